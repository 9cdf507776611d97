"""The commands about a week that people are told of: one call each, and what came back."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.cli import output
from genplan.cli.as_typed import command_of
from genplan.cli.interrupts import best_so_far, code_of, ends_with
from genplan.cli.told_week_commands import show_otherwise, show_tried, told_next
from genplan.cli.warnings_shown import warn_of_case
from genplan.errors import UsageError
from genplan.language import N_, _, said

if TYPE_CHECKING:
    from genplan.workflow import Kept

WRITTEN = N_(
    "It is written down. Stopped before it was looked at what of the kept weeks can still be held: 'genplan week' shows"
    " that."
)


def keep(words: Namespace) -> int:
    from genplan import workflow

    _told(words.folder, workflow.keep(words.folder, words.week, words.source, words.now, output.progress))
    return 0


def change(words: Namespace) -> int:
    from genplan import workflow
    from genplan.cli.argument_types import NearDay
    from genplan.cli.wish_commands import tell, wish_of

    today = workflow.wall_clock(words.now).date()
    for key in ("start", "end"):
        if isinstance(typed := getattr(words, key), NearDay):
            setattr(words, key, typed.since(today))
    if wanted := wish_of(words):
        return tell(words, wanted)
    what, id_, hours = _fact(words)
    request = workflow.ChangeRequest(
        what, id_, words.start, words.end, hours=hours, week=words.week, note=words.note
    )
    if words.tried:
        show_tried(words.folder, request, words.now)
        return 0
    output.show(workflow.change(words.folder, request, words.now))
    with ends_with(WRITTEN):
        show_otherwise(words.folder, words.now)
    output.show(
        _(
            "For a week that people were told of, next: {command}",
            command=command_of("replan", words.folder),
        )
    )
    return 0


def replan(words: Namespace) -> int:
    from genplan import workflow
    from genplan.report.people_told import further_sentence, told_lines
    from genplan.report.terminal import run_line, week_summary
    from genplan.report.week_changes import deeper_lines, lines_by_day

    with best_so_far(words) as before:
        outcome, kept = workflow.replan(
            words.folder,
            words.week,
            words.now,
            words.out,
            words.keep,
            output.progress,
            deeper=words.deeper,
        )
    warn_of_case(words.folder, outcome.findings, outcome.about_week)
    output.show_lines(week_summary(outcome.case, outcome.plan).splitlines())
    told = [*told_lines(outcome.case, outcome.plan), *deeper_lines(outcome.case, outcome.deeper)]
    deeper = command_of("replan", words.folder, "--week", outcome.plan.week, "--deeper")
    if further := further_sentence((x.limit for x in outcome.plan.left_out), deeper):
        told.append(further)
    changes = lines_by_day(outcome.case, outcome.differences, outcome.plan.now.date())
    output.show_lines(["", _("What changes for people"), *told, *([""] if told else []), *changes])
    if words.out is not None:
        texts = (
            _(" What changes for each person is in {folder}.", folder=words.out / "changes")
            if outcome.differences
            else ""
        )
        output.show("\n" + _("Written to {out}.", out=words.out) + texts)
        if kept is None:
            output.show(told_next(words.folder, words.out))
    if kept is not None:
        _kept(kept)
    output.tell(run_line(output.progress.seconds, outcome.run))
    return code_of(outcome.plan.interrupted, words.out, before, not_kept=words.keep)


def publish(words: Namespace) -> int:
    from genplan import workflow

    done = workflow.publish(
        words.folder,
        words.url,
        words.user,
        words.now,
        output.progress,
        put_back=words.put_back,
        withdraw=words.withdraw,
    )
    warn_of_case(words.folder, done.findings)
    for line in done.lines:
        output.show(line)
    return 0


def _fact(words: Namespace) -> tuple[str, str, str]:
    """What, whom, and the hours of an extra one."""
    if words.extra_hour is not None:
        if words.start or words.end:
            raise UsageError(_("--extra-hour has its day and hours in one text; leave --from and --to out."))
        return "extra", words.extra_hour[0], words.extra_hour[1]
    given = (("away", words.away), ("closed", words.closed), ("missing", words.missing_set))
    return next((what, id_, "") for what, id_ in given if id_ is not None)


def _told(folder: Path, kept: Kept) -> None:
    from genplan.report.week_changes import changes_summary

    warn_of_case(folder, kept.findings)
    output.show_lines(changes_summary(kept.case, kept.differences).splitlines())
    _kept(kept)


def _kept(kept: Kept) -> None:
    from genplan.report.change_texts import AGAIN
    from genplan.report.week_changes import NAMED

    told_again = bool(kept.differences) and not kept.first
    texts = (
        _(" What changes for each person, ready to send, is in {folder}.", folder=kept.folder / "changes")
        if told_again
        else ""
    )
    output.show(
        "\n"
        + _(
            "Kept in {folder}. Hand out the files in {calendars}.",
            folder=kept.folder,
            calendars=kept.folder / "calendars",
        )
        + texts
    )
    if kept.again:
        output.show(said(AGAIN))
    if kept.named:
        output.show(said(NAMED))
