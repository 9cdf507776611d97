"""The command about what is ahead: its words, its help page and its call."""

from __future__ import annotations

from argparse import Namespace
from typing import Any

from genplan.cli import argument_types, output
from genplan.cli.common import add_now, add_table, add_week, add_weeks, command_of_case, write_table
from genplan.cli.interrupts import NO_ANSWER, ends_with
from genplan.cli.pages import Page
from genplan.cli.warnings_shown import warn_of_case
from genplan.cli.workers_option import add_workers
from genplan.language import N_, _

FORECAST = Page(
    "forecast",
    N_("tell how long it will still take"),
    """\
genplan forecast CASE [--week WEEK] [--weeks N] [--learner ID]
                      [--taught-within N] [--csv [FILE]] [--seed N]
                      [--now MOMENT] [--workers ADDRESS [--workers-config FILE]
                      [--workers-unencrypted]]""",
    N_("""\
Tells for each mastered target when it will be generalised and when all that is
to be tried will have been, at the hours that people have now; whether each date
under 'first' will hold; and the one thing that holds a target up most.

The weeks ahead are planned one after the other, each as if every probe before
it were met. Then some hundreds of courses are simulated, in which probes fail
as often as the results so far say: what failed is taught, comes again, and
takes its place in the hours of a later week. Few results give a wide range.
Nothing is written, and nobody is told anything.
"""),
    N_("""\
examples:
  genplan forecast my-case
  genplan forecast my-case --weeks 8 --learner ines
  genplan forecast my-case --taught-within 1
  genplan forecast my-case --csv forecast.csv

words:
  generalised   as many adults, locations and material sets were met as
                'generalised_when' asks for; no judgement beyond that
  tried         held by a probe, met or not, or taught before
  tried in time by its date all that a wish asks for was tried, met or not, in
                at least 9 of 10 simulated courses; 'not tried in time': in
                fewer than 1 of 10; 'at risk': between the two
  all met       in how many of the courses all of it was met too
  holds it up   what stood in the way, in most of the weeks before, of what
                comes last: without it alone that could have been run earlier

What is taken for granted is printed at the end. A case with many learners
takes a minute or two; Ctrl+C stops it, and nothing is lost.
"""),
)


def add_commands(listed: Any) -> None:
    parser = command_of_case(listed, FORECAST, forecast)
    add_week(parser, _("the first week; default: the week after now"))
    add_weeks(parser, _("look so many weeks ahead; default: 12"), 12)
    parser.add_argument("--learner", metavar="ID", help=_("tell only of this learner; all are planned"))
    parser.add_argument(
        "--taught-within",
        metavar="N",
        type=argument_types.weeks_or_none,
        default=2,
        help=_(
            "where no teaching is planned, what was not met is taken to need so many whole weeks of teaching "
            "before it comes again; default: 2, a guess to be replaced by yours"
        ),
    )
    add_table(parser)
    parser.add_argument(
        "--seed",
        metavar="N",
        type=argument_types.count,
        default=1,
        help=_("another draw of the simulated courses"),
    )
    add_workers(parser)
    add_now(parser)


def forecast(words: Namespace) -> int:
    from genplan import workflow

    with ends_with(NO_ANSWER):
        view = workflow.forecast(
            words.folder,
            words.week,
            words.now,
            words.weeks,
            output.progress,
            teaching_weeks=words.taught_within,
            learner=words.learner,
            seed=words.seed,
        )
    warn_of_case(words.folder, view.findings, view.about_week)
    if words.csv is None:
        from genplan.report.forecast_lines import forecast_lines

        output.show_lines(forecast_lines(view.case, view.forecast, output.width()))
    else:
        from genplan.report.forecast_table import forecast_table

        write_table(forecast_table(view.case, view.forecast), words.csv, _("Wrote {file}.", file=words.csv))
    return 0
