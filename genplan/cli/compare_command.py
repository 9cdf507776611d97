"""`genplan compare`: its words, its help page, its call."""

from __future__ import annotations

from argparse import Namespace
from typing import Any

from genplan.cli import output
from genplan.cli.common import add_now, command_of_case
from genplan.cli.pages import Page
from genplan.cli.warnings_shown import warn_of_case
from genplan.language import N_, Words, _, speech

COMPARE = Page(
    "compare",
    N_("set two plans of a week side by side: what a decision costs"),
    "genplan compare CASE PLAN_1 PLAN_2 [--figures] [--now MOMENT]",
    N_("""\
Tells in plain sentences what the second plan does otherwise than the first:
what one shows and the other does not, wishes and dates, who is told what
otherwise, minutes of each adult. Below them stands what the search counted of
both: in plain words what differs in it, with --figures, and in the words of the
trade always, all of it and what is proven. Nothing is written.

A plan is the folder that 'genplan plan' or 'genplan replan' wrote,
its plan.json, or a week as people were told of it, such as 2026-W49.
"""),
    N_("""\
examples:
  genplan plan my-case --out with-pop
  genplan change my-case --away pop
  genplan plan my-case --out without-pop
  genplan compare my-case with-pop without-pop
  genplan compare my-case 2026-W49 without-pop

A kept week has no values: of it only what its sittings hold is compared.
"""),
)


def add_commands(listed: Any) -> None:
    parser = command_of_case(listed, COMPARE, compare)
    for dest, which in (("first", "1"), ("second", "2")):
        parser.add_argument(
            dest, metavar=f"PLAN_{which}", help=_("a folder with a plan, its plan.json, or a kept week")
        )
    parser.add_argument(
        "--figures", action="store_true", help=_("all that the search counted, with what is proven of it")
    )
    add_now(parser)


def compare(words: Namespace) -> int:
    from genplan import workflow
    from genplan.report.compared_lines import compared_lines

    view = workflow.compare(words.folder, words.first, words.second, words.now)
    warn_of_case(words.folder, view.findings)
    figures = words.figures or speech().words is Words.TRADE
    output.show_lines(compared_lines(view.case, view.names, view.found, figures=figures))
    return 0
