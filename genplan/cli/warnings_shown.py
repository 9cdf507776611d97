"""Warnings on the terminal. Those about a case as it stands are said in full by `check` and on a first plan; other
commands say in one line that there are some, so that they hide nothing that is new."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from pathlib import Path

from genplan.cli import output
from genplan.cli.as_typed import command_of
from genplan.findings import Finding
from genplan.language import _, said
from genplan.language.sentences import capital


def warn(findings: Iterable[Finding]) -> None:
    """What this command has come upon, in full."""
    for finding in findings:
        output.tell(line_of(finding))


def warn_of_case(folder: Path, findings: Iterable[Finding], new: Collection[Finding] = ()) -> None:
    """Whether any of the findings are about the case as it stands; `new` are those that `check` does not say."""
    warn(new)
    if any(f not in new for f in findings):
        # no number: a command that reads less of the case comes upon fewer
        output.tell(
            _(
                "Warning: the case has warnings. They are shown by: {command}",
                command=command_of("check", folder),
            )
        )


def line_of(finding: Finding) -> str:
    return f"{capital(said(finding.severity.value))}: {finding.sentence()}"
