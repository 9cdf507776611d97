"""What the commands have in common: the parser of one, words that several take, a table where it was asked for."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import Any

from genplan.cli import argument_types, output
from genplan.cli.pages import EXIT_CODES, Page
from genplan.language import LANGUAGES, N_, _, said

CASE_FOLDER = N_("the case folder")


def command(
    listed: Any, page: Page, run: Callable[[argparse.Namespace], int], *, takes_any_option: bool = False
) -> Any:
    """The parser of one command, among those that are listed. `takes_any_option`: it is asked about options."""
    end = f"{page.end}\n{said(EXIT_CODES)}"
    parser = listed.add_parser(
        page.name, usage=page.usage, help=page.summary, description=page.text, epilog=end
    )
    parser.set_defaults(run=run, parser=parser)
    if not takes_any_option:
        add_language(parser, argparse.SUPPRESS)
    return parser


def add_language(parser: Any, default: Any = None) -> None:
    """For every command, before its name or behind it."""
    parser.add_argument(
        "--language",
        choices=LANGUAGES,
        default=default,
        help=_("in which language; default: the case's, else en"),
    )


def command_of_case(
    listed: Any, page: Page, run: Callable[[argparse.Namespace], int], words: str = CASE_FOLDER
) -> Any:
    """The same of a command that reads a case."""
    parser = command(listed, page, run)
    parser.add_argument("folder", metavar="CASE", type=Path, help=said(words))
    return parser


def add_now(parser: Any) -> None:
    parser.add_argument(
        "--now",
        metavar="MOMENT",
        type=argument_types.moment,
        help=_(
            "what counts as now, such as 2026-11-29T12:00 in the case's own time zone; default: the clock"
        ),
    )


def add_week(parser: Any, words: str) -> None:
    parser.add_argument("--week", type=argument_types.week, help=words)


def add_weeks(parser: Any, words: str, default: int | None) -> None:
    parser.add_argument("--weeks", metavar="N", type=argument_types.weeks, default=default, help=words)


def add_source(parser: Any, words: str) -> None:
    parser.add_argument("--from", dest="source", metavar="OUT", type=Path, help=words)


def add_table(parser: Any) -> None:
    parser.add_argument(
        "--csv",
        metavar="FILE",
        nargs="?",
        const="-",
        help=_("write a table instead: into FILE, or to the terminal if no file is named"),
    )


def add_other_dimensions(parser: Any, words: str) -> None:
    parser.add_argument(
        "--with",
        dest="extra",
        metavar="DIM=VALUE",
        action="append",
        default=[],
        type=argument_types.value_of_dimension,
        help=words,
    )


def write_table(table: Any, file: str, sentence: str) -> None:
    """To the terminal for '-', else into the file, and then it is said."""
    from genplan.folders import write_file
    from genplan.report.tables import csv_bytes

    data = csv_bytes(table)
    if file == "-":
        output.show_bytes(data)
    else:
        write_file(Path(file), data)
        output.show(sentence)
