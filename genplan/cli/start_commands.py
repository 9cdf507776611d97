"""`genplan new FOLDER --ask`: the questions, the case, its first week."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from genplan.case import Week
from genplan.cli import output
from genplan.cli.as_typed import command_of
from genplan.cli.spoken import as_the_case_says
from genplan.cli.start_prompts import CORRECTING
from genplan.cli.start_walk import Walk
from genplan.cli.warnings_shown import line_of
from genplan.errors import UsageError
from genplan.language import N_, _, said, speaking, speech
from genplan.language.dates import in_english
from genplan.start.answers import Answers

HELLO = N_("""\
Some questions, one after the other; about ten minutes. Enter alone takes what stands in brackets.
Every answer is kept at once: end with 'stop' or Ctrl+D whenever you like, and go on later.""")
GOES_ON = N_("You have begun already: it goes on where you were.")


def start(words: Namespace) -> int:
    """Where the answers end half-way they are kept, and it is said how to go on."""
    from genplan import workflow

    folder: Path = words.folder
    answers = workflow.answers_so_far(folder, words.now)
    output.show(said(GOES_ON if answers.groups else HELLO))
    output.show(said(CORRECTING))
    try:
        today = workflow.wall_clock(words.now).date()
        answers = Walk(answers, input, _keeper(folder, answers), today).run()
    except EOFError:
        spoken = () if in_english() else ("--language", speech().language)
        with speaking(as_the_case_says(words)):
            output.show(
                "\n"
                + _(
                    "Your answers are kept. Go on where you were with: {command}",
                    command=command_of(*spoken, "new", folder, "--ask"),
                )
            )
        return 0
    output.progress.begin()
    with speaking(as_the_case_says(words)):
        started = workflow.case_of_answers(folder, answers, words.now)
    with speaking(as_the_case_says(words)):  # it had no words of its own before it was made
        for finding in started.findings:
            output.tell(line_of(finding))
        output.show(_("Made {file}.", file=started.files[0]))
        return _first_week(folder, started.week, words.now)


def _keeper(folder: Path, there: Answers) -> Callable[[Answers], None]:
    """Keeps answers in the folder, as long as nothing else writes there: `there` are those that it holds."""
    from genplan import workflow

    def keep(so_far: Answers) -> None:
        nonlocal there
        if workflow.answers_so_far(folder) != there:
            raise UsageError(
                _(
                    "Your answers were changed elsewhere meanwhile, such as in a browser. Your last answer is not "
                    "kept; what is there stays. Begin again, and it goes on from there."
                )
            )
        workflow.keep_answers(folder, so_far)
        there = so_far

    return keep


def _first_week(folder: Path, week: Week, now: datetime | None) -> int:
    from genplan import workflow
    from genplan.report.terminal import week_summary

    out = folder / f"plan-{week}"
    outcome = workflow.plan(folder, week, now, out, output.progress)
    output.show_lines(["", *week_summary(outcome.case, outcome.plan).splitlines()])
    if not outcome.plan.sittings:
        output.show(
            "\n"
            + _(
                "This week is empty, so there is nothing to tell anybody yet: why stands above. Change the hours, or "
                "add a person, a place or a thing, in the browser with: {command}",
                command=command_of("open", folder),
            )
        )
        output.show(_("Then plan it again: {command}", command=command_of("plan", folder, "--week", week)))
        return 0
    output.show("\n" + _("To look at it, open {file}.", file=out / "week.html"))
    output.show(
        _(
            "If it is good, keep it, so that everybody can be told: {command}",
            command=command_of("keep", folder, "--from", out),
        )
    )
    output.show(_("The same in a browser: {command}", command=command_of("open", folder)))
    return 0
