"""Warnings on the terminal. Those about a case as it stands are said in full by `check` and on a first plan; other
commands say in one line how many there are, so that they hide nothing that is new."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from pathlib import Path

from genplan.cli import output
from genplan.cli.as_typed import command_of
from genplan.findings import Finding
from genplan.language import ngettext, said
from genplan.language.sentences import capital


def warn(findings: Iterable[Finding]) -> None:
    """What this command has come upon, in full."""
    for finding in findings:
        output.tell(line_of(finding))


def warn_of_case(folder: Path, findings: Iterable[Finding], new: Collection[Finding] = ()) -> None:
    """How many of the findings are about the case as it stands; `new` are those that `check` does not say."""
    warn(new)
    number = len([f for f in findings if f not in new])
    if number:
        output.tell(
            ngettext(
                "Warning: the case has 1 warning. It is shown by: {command}",
                "Warning: the case has {n} warnings. They are shown by: {command}",
                number,
                command=command_of("check", folder),
            )
        )


def line_of(finding: Finding) -> str:
    return f"{capital(said(finding.severity.value))}: {finding.sentence()}"
