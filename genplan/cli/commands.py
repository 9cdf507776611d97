"""The commands: each makes one call of the workflow and prints what came back. Heavy imports come late."""

from __future__ import annotations

from argparse import Namespace
from collections import Counter
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from genplan.cli import output
from genplan.cli.as_typed import command_of
from genplan.cli.common import write_table
from genplan.cli.interrupts import best_so_far, code_of, code_of_weeks
from genplan.cli.told_week_commands import show_no_longer_held, told_next
from genplan.cli.warnings_shown import line_of, warn, warn_of_case
from genplan.errors import CaseError, UsageError
from genplan.findings import Finding, Severity
from genplan.language import _, ngettext, said

if TYPE_CHECKING:
    from genplan.workflow import Checked


def new(words: Namespace) -> int:
    from genplan import workflow

    if words.ask:
        from genplan.cli.start_commands import start

        return start(words)
    for path in workflow.new(words.folder):
        output.show(_("Made {path}", path=path))
    output.show(
        _(
            "Open the files and change them. Then: {command}",
            command=command_of("check", words.folder),
        )
    )
    return 0


def schema(words: Namespace) -> int:
    from genplan.casefile.schema import schema_text

    output.show_bytes(schema_text().encode("utf-8"))
    return 0


def check(words: Namespace) -> int:
    from genplan import workflow

    checked = workflow.checked(words.folder, words.now, words.week)
    for finding in checked.findings:
        output.show(line_of(finding))
    count = Counter(f.severity for f in checked.findings)
    errors, warnings = count[Severity.ERROR], count[Severity.WARNING]
    output.show(f"{words.folder}: {_errors(errors)}, {_warnings(warnings)}.")
    if not errors:
        _show_not_briefed(checked)
        show_no_longer_held(words.folder, words.now)
    return 1 if errors else 0


def _show_not_briefed(checked: Checked) -> None:
    if checked.case and checked.unbriefed:
        from genplan.report.briefing_lines import NOT_BRIEFED, briefing_lines

        output.show(said(NOT_BRIEFED))
        output.show_lines(f"  {line}" for line in briefing_lines(checked.case, checked.unbriefed))


def plan(words: Namespace) -> int:
    from genplan import workflow
    from genplan.report.terminal import run_line, week_summary

    if words.weeks > 1:
        return _plan_weeks(words)
    with best_so_far(words) as before:
        outcome = workflow.plan(words.folder, words.week, words.now, words.out, output.progress)
    _warn_of_plan(words.folder, outcome)
    output.show_lines(week_summary(outcome.case, outcome.plan).splitlines())
    if outcome.kept is not None:
        from genplan.report.people_told import told_lines
        from genplan.report.week_changes import changes_summary

        output.show(f"\n{_('What changes for people who were told of this week')}")
        output.show_lines(told_lines(outcome.case, outcome.plan))
        output.show_lines(changes_summary(outcome.case, outcome.differences).splitlines())
    if words.out is not None:
        output.show(
            "\n"
            + _("Written to {out}. Look at week.html first; sheets.html is for the printer.", out=words.out)
        )
        output.show(told_next(words.folder, words.out))
    output.tell(run_line(output.progress.seconds, outcome.run))
    return code_of(outcome.plan.interrupted, words.out, before)


def _plan_weeks(words: Namespace) -> int:
    from genplan import workflow
    from genplan.report.terminal import run_line, week_summary

    with best_so_far(words) as before:
        outcomes = workflow.plan_weeks(
            words.folder, words.week, words.weeks, words.now, words.out, output.progress
        )
    _warn_of_plan(words.folder, outcomes[0])
    for outcome in outcomes:
        output.show_lines([*week_summary(outcome.case, outcome.plan).splitlines(), ""])
    if words.out is not None:
        output.show(_("Written to {out}, a folder for each week.", out=words.out))
    output.tell(run_line(output.progress.seconds, *(o.run for o in outcomes)))
    return code_of_weeks(outcomes, words.weeks, words.out, before)


def _warn_of_plan(folder: Path, outcome: Any) -> None:
    """In full as long as nothing was run and nobody was told of the week: a first plan is looked at whole."""
    if outcome.kept is None and not outcome.log.results:
        warn(outcome.findings)
    else:
        warn_of_case(folder, outcome.findings, outcome.about_week)


def matrix(words: Namespace) -> int:
    from genplan import workflow
    from genplan.report.matrix_lines import matrix_view

    view = workflow.matrix(words.folder, words.now, words.learner, words.target)
    warn_of_case(words.folder, view.findings)
    if words.csv is None:
        output.show_lines(matrix_view(view.case, view.rows, output.width()).splitlines())
    else:
        from genplan.report.tables import matrix_table

        table = matrix_table(view.case, view.rows, view.planned)
        write_table(table, words.csv, _wrote_rows(len(view.rows), words.csv))
    return 0


def record(words: Namespace) -> int:
    from genplan import workflow
    from genplan.cli.added_rows import show_who_may_be_away, sure
    from genplan.cli.argument_types import NearDay, each_once
    from genplan.cli.evidence_commands import record_otherwise

    if isinstance(words.date, NearDay):
        words.date = words.date.lately(workflow.wall_clock(words.now).date())
    code = record_otherwise(words)
    if code is not None:
        return code
    _all_four(words)
    entry = workflow.RecordRequest(
        target=words.target,
        adult=words.adult,
        location=words.location,
        material_set=words.material_set,
        extra=each_once(words.extra),
        kind=(words.kind or "probe").replace("-", " "),
        date=words.date,
        time=words.time,
        trials=words.trials,
        correct=words.correct,
        prompted=words.prompted,
        observer=words.observer,
        observer_correct=words.observer_correct,
        note=words.note,
        marks=words.marks,
        observer_marks=words.observer_marks,
        steps_kept=words.steps_kept,
    )
    try:
        are_sure = partial(sure, folder=words.folder, ahead=words.ahead, long_ago=words.long_ago)
        outcome = workflow.record(words.folder, entry, words.now, are_sure)
    except CaseError as error:
        raise CaseError([_naming_with(f) for f in error.findings]) from error
    warn(outcome.findings)
    output.show(outcome.sentence)
    show_who_may_be_away(words.folder, outcome)
    return 0


def _naming_with(finding: Finding) -> Finding:
    """What is to be done about an empty cell of an extra dimension, with the word by which it is given."""
    from genplan.evidence.results import COLUMNS, OPTIONAL

    if finding.line or finding.key in ("", *COLUMNS, *OPTIONAL) or finding.hint.endswith("?"):
        return finding
    return replace(finding, hint=_("{hint}, by --with {key}=VALUE", hint=finding.hint, key=finding.key))


def _all_four(words: Namespace) -> None:
    """What one row needs; the other ways to record do without."""
    if words.plan is not None:
        raise UsageError(_("--plan goes with --ask only: it names the plan whose probes are proposed."))
    missing = [
        f"--{n.replace('_', '-')}"
        for n in ("target", "adult", "location", "material_set")
        if not vars(words)[n]
    ]
    if missing:
        words.parser.error(_("the following arguments are required: {missing}", missing=", ".join(missing)))


def _errors(number: int) -> str:
    return ngettext("{n} error", "{n} errors", number) if number else _("no errors")


def _warnings(number: int) -> str:
    return ngettext("{n} warning", "{n} warnings", number) if number else _("no warnings")


def _wrote_rows(number: int, file: str) -> str:
    if not number:
        return _("Wrote no rows to {file}.", file=file)
    return ngettext("Wrote {n} row to {file}.", "Wrote {n} rows to {file}.", number, file=file)
