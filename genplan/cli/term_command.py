"""The command about dates over several weeks: its words, its help page and its call."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import Any

from genplan.cli import output
from genplan.cli.common import add_now, add_table, add_week, add_weeks, command_of_case, write_table
from genplan.cli.interrupts import NO_ANSWER, ends_with
from genplan.cli.pages import Page
from genplan.cli.warnings_shown import warn_of_case
from genplan.language import N_, _

TERM = Page(
    "term",
    N_("plan several weeks ahead so that dates hold"),
    """\
genplan term CASE [--week WEEK] [--weeks N] [--out OUT] [--csv [FILE]]
                  [--now MOMENT]""",
    N_("""\
Plans twelve weeks ahead for the dates under 'first', of all learners together:
in which week each probe is that a date needs, so that as many dates as can be
hold. What is scarce, an adult's hours or a room, is shared out over the weeks.
What is due by dates that are known today has its room before them. Told are how
many dates there is room for, with a proven bound; each date with its weeks, or
with what stands in its way; and who and what is needed most.

With 'follow_term: yes' in the policy every week is planned by it, and the term
is made anew each time: so what fell through comes later, and what was run is
done. Nothing is written without --out, and nobody is told anything.
"""),
    N_("""\
examples:
  genplan term my-case
  genplan term my-case --week 2026-W49 --weeks 8
  genplan term my-case --out my-term

words:
  in time           every probe that the date needs lies in a week before it
  gives way         not all do; there might be room if nothing else were wanted
  gives way to what is due
                    alone there is room, but none was found beside that
  cannot be kept    not even alone, which is proven
  proven            of all ways to plan these weeks none keeps more dates. Hours
                    and limits are counted by day and week, so a week may hold
                    less than its part of the term, but never more

With --out OUT term.html shows the weeks, term.csv has a row for each date, and
term.json everything.
"""),
)


def add_commands(listed: Any) -> None:
    parser = command_of_case(listed, TERM, term)
    add_week(parser, _("the first week; default: the week after now"))
    add_weeks(parser, _("plan so many weeks ahead; default: 12"), 12)
    parser.add_argument(
        "--out",
        metavar="OUT",
        type=Path,
        help=_("the folder to write term.html, term.csv and term.json into"),
    )
    add_table(parser)
    add_now(parser)


def term(words: Namespace) -> int:
    from genplan import workflow

    with ends_with(NO_ANSWER):
        view = workflow.term(words.folder, words.week, words.now, words.weeks, output.progress, words.out)
    warn_of_case(words.folder, view.findings, view.about_week)
    if words.csv is not None:
        from genplan.report.term_table import term_table

        write_table(term_table(view.case, view.term), words.csv, _("Wrote {file}.", file=words.csv))
        return 0
    from genplan.report.term_lines import term_lines

    width = output.width()
    output.show_lines(
        term_lines(
            view.case, view.term, view.now, begun=view.begun, not_counted=view.not_counted, width=width
        )
    )
    if words.out is not None:
        output.show("\n" + _("Written to {folder}: term.html, term.csv and term.json.", folder=words.out))
    return 0
