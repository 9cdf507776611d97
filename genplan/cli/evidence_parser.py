"""The words of the commands about what was run."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from genplan.cli import argument_types
from genplan.cli import evidence_commands as commands
from genplan.cli import evidence_pages as pages
from genplan.cli.common import add_now, add_other_dimensions, add_weeks, command, command_of_case
from genplan.language import _, said


def add_commands(listed: Any) -> None:
    """Adds history, progress, loads, review and chance."""
    history = command_of_case(listed, pages.HISTORY, commands.history)
    history.add_argument("--target", metavar="ID", required=True, help=_("the target"))
    for name in ("adult", "location", "material-set"):
        history.add_argument(
            f"--{name}", metavar="ID", help=_("only with this {kind}", kind=said(name.replace("-", " ")))
        )
    add_other_dimensions(history, _("only with this value of another dimension"))
    add_now(history)
    progress = command_of_case(listed, pages.PROGRESS, commands.progress)
    progress.add_argument("--learner", metavar="ID", help=_("only this learner"))
    progress.add_argument(
        "--csv", metavar="FOLDER", type=Path, help=_("the folder to write the same figures into, as tables")
    )
    add_now(progress)
    loads = command_of_case(listed, pages.LOADS, commands.loads)
    add_weeks(loads, _("so many weeks, this one the last of them; default: 8"), None)
    loads.add_argument(
        "--out", metavar="OUT", type=Path, help=_("the folder to write the page and the tables into")
    )
    add_now(loads)
    _review(command_of_case(listed, pages.REVIEW, commands.review))
    chance = command(listed, pages.CHANCE, commands.chance)
    chance.add_argument("mark", metavar="MARK", type=argument_types.mark, help=_("a pass mark such as 4/5"))
    chance.add_argument(
        "--trials", metavar="N", type=argument_types.count, help=_("trials of the probe; default: the mark's")
    )


def _review(parser: argparse.ArgumentParser) -> None:
    for word, dest, what in (
        ("--from", "first", _("the first day, such as 2026-10-01")),
        ("--to", "last", _("the last day, such as 2026-10-01")),
    ):
        parser.add_argument(
            word,
            dest=dest,
            metavar="DAY",
            type=argument_types.day_until_now,
            help=what,
        )
    parser.add_argument("--learner", metavar="ID", help=_("only this learner"))
    parser.add_argument(
        "--out", metavar="OUT", type=Path, help=_("the folder to write the pages and tables into")
    )
    parser.add_argument(
        "--names", action="store_true", help=_("learners by name, not by alias: for the family alone")
    )
    parser.add_argument(
        "--pdf",
        action="store_true",
        help=_("with --out: each page as PDF too, by a browser that is installed"),
    )
    add_now(parser)


def add_ways_to_record(parser: argparse.ArgumentParser) -> None:
    """The other ways of `record`."""
    parser.add_argument(
        "--ask", action="store_true", help=_("ask step by step, proposing what is planned that day")
    )
    parser.add_argument(
        "--plan",
        metavar="OUT",
        type=Path,
        help=_("with --ask: the folder of the plan; default: the kept one"),
    )
    parser.add_argument(
        "--from",
        dest="sheet",
        metavar="FILE",
        type=Path,
        help=_("take a filled sheet: CSV, or a spreadsheet file"),
    )
    parser.add_argument(
        "--fell-through",
        metavar="SITTING",
        nargs="?",
        const="",
        help=_(
            "a whole sitting of the kept week was not run: a row 'not run' for each thing that was planned in it, with "
            "--note as the reason. SITTING is its id; without one it is the one sitting of --date (default: today)"
        ),
    )
    parser.add_argument(
        "--ahead",
        action="store_true",
        help=_(
            "write down what is still ahead all the same; without it that is "
            "asked about on a terminal, and not added elsewhere"
        ),
    )
    parser.add_argument(
        "--long-ago",
        action="store_true",
        help=_(
            "write down what would be of these weeks in another year all the same; without it that is asked about on a "
            "terminal, and not added elsewhere"
        ),
    )
    parser.add_argument(
        "--corrects",
        metavar="LINE",
        type=argument_types.count,
        help=_(
            "the same probe as on this line of results.csv, with the counts given now; the line "
            "stays. What the line says is to be given too: --target and --date at least"
        ),
    )
