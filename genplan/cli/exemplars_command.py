"""The command about what to teach before anything failed: its words, its help page and its call."""

from __future__ import annotations

from argparse import Namespace
from typing import Any

from genplan.case.targets import STRENGTHS
from genplan.cli import output
from genplan.cli.common import add_now, add_table, command_of_case, write_table
from genplan.cli.pages import Page
from genplan.cli.warnings_shown import warn_of_case
from genplan.language import N_, _

EXEMPLARS = Page(
    "exemplars",
    N_("tell which few combinations to teach"),
    """\
genplan exemplars CASE [TARGET ...] [--span WHAT] [--csv [FILE]]
                       [--now MOMENT]""",
    N_("""\
Tells for each target that is named, or for all that are not paused, the fewest
combinations to teach that between them hold each adult, place and material set
(or what else is varied), and the fewest to leave untaught and probe, which show
each of them once more. So a few are taught well, and the probes say whether the
skill goes beyond them.

Only what is possible is chosen, and to teach only where somebody may who can be
there; 'hold_out' in the case is kept. What cannot be taught is named, with what
stands against it. Lines to put into the case are printed: 'hold_out' at once,
'taught' once each has been taught. Nothing is written, and nobody is told
anything.
"""),
    N_("""\
examples:
  genplan exemplars my-case
  genplan exemplars my-case greets-back --span pairs
  genplan exemplars my-case --csv exemplars.csv

words:
  combination   an adult, a place and a material set (or what else is varied)
  proven        no smaller choice exists; where that is not certain it says so
  usual week    the hours under 'free' and 'open', without absences, calendars
                and dated changes

Of choices that are equally small the one that comes first in the order of the
target's values is told, so the answer is always the same.
"""),
)


def add_commands(listed: Any) -> None:
    parser = command_of_case(listed, EXEMPLARS, exemplars)
    parser.add_argument(
        "targets", metavar="TARGET", nargs="*", help=_("ids of targets; default: all that are not paused")
    )
    parser.add_argument(
        "--span",
        metavar="WHAT",
        choices=tuple(STRENGTHS),
        default="each-value",
        help=_(
            "what the taught ones hold between them: each-value, pairs, triples or all; default: each-value"
        ),
    )
    add_table(parser)
    add_now(parser)


def exemplars(words: Namespace) -> int:
    from genplan import workflow

    view = workflow.exemplars(words.folder, words.targets, words.span, words.now)
    warn_of_case(words.folder, view.findings)
    if words.csv is None:
        from genplan.report.exemplar_lines import exemplar_lines

        output.show_lines(exemplar_lines(view.case, view.on, view.found, view.tested, output.width()))
    else:
        from genplan.report.exemplar_table import exemplar_table

        write_table(exemplar_table(view.case, view.found), words.csv, _("Wrote {file}.", file=words.csv))
    return 0
