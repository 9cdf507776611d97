"""The commands and their words."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NoReturn

from genplan import __version__
from genplan.cli import (
    commands,
    evidence_parser,
    forecast_command,
    page_commands,
    pages,
    share_command,
    typed,
    week_parser,
    why_command,
)
from genplan.findings import nearest

KINDS = ("probe", "maintenance", "teaching", "not-run")


class _Parser(argparse.ArgumentParser):
    """Says what is wrong with the words in one sentence, and names the nearest known word."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(formatter_class=argparse.RawDescriptionHelpFormatter, allow_abbrev=False, **settings)

    def error(self, message: str) -> NoReturn:
        sentence = f"{message[:1].upper()}{message[1:]}"
        end = "" if sentence.endswith((".", "?")) else "."
        self.exit(2, f"{sentence}{end} See '{self.prog} --help'.\n")

    def _check_value(self, action: argparse.Action, value: Any) -> None:
        """argparse's own hook for words that have to be one of several; here the nearest is named."""
        if action.choices is not None and value not in action.choices:
            known = [str(choice) for choice in action.choices]
            hint = nearest(str(value), known)
            self.error(f"'{value}' is not one of {', '.join(known)}" + (f"; {hint}" if hint else ""))

    def refuse_unknown(self, word: str) -> NoReturn:
        hint = nearest(word.partition("=")[0], self._option_string_actions)
        self.error(f"'{word}' is not known here" + (f"; {hint}" if hint else ""))


def read_words(argv: Sequence[str] | None = None) -> argparse.Namespace:
    """The words typed, as values; `run` is the command to call with them. Ends the program (SystemExit) with
    2 and a sentence where they make no sense, with 0 after a help page."""
    words, unknown = build_parser().parse_known_args(argv)
    if unknown:
        words.parser.refuse_unknown(unknown[0])
    return words


def build_parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="genplan", description=pages.PROGRAM, epilog=pages.PROGRAM_END)
    parser.add_argument("--version", action="version", version=f"genplan {__version__}")
    listed = parser.add_subparsers(title="commands", metavar="COMMAND", required=True, dest="command")
    for add in (_new, _check, _plan, _record, _matrix):
        add(listed)
    evidence_parser.add_commands(listed, _command, _now)
    forecast_command.add_commands(listed, _command, _now)
    why_command.add_commands(listed, _command, _now)
    week_parser.add_commands(listed, _command, _now)
    share_command.add_commands(listed, _command, _now)
    _command(listed, pages.SCHEMA, commands.schema)
    page_commands.add_commands(listed, _command, _now)
    return parser


def _command(listed: Any, page: pages.Page, run: Callable[[argparse.Namespace], int]) -> _Parser:
    parser: _Parser = listed.add_parser(
        page.name, usage=page.usage, help=page.summary, description=page.text, epilog=page.end
    )
    parser.set_defaults(run=run, parser=parser)
    return parser


def _new(listed: Any) -> None:
    parser = _command(listed, pages.NEW, commands.new)
    parser.add_argument("folder", metavar="FOLDER", type=Path, help="the folder to make")


def _check(listed: Any) -> None:
    parser = _command(listed, pages.CHECK, commands.check)
    _case(parser)
    _now(parser)


def _plan(listed: Any) -> None:
    parser = _command(listed, pages.PLAN, commands.plan)
    _case(parser)
    parser.add_argument(
        "--week", type=typed.week, help="the ISO week to plan, such as 2026-W49; default: the week after now"
    )
    parser.add_argument("--out", metavar="OUT", type=Path, help="the folder to write the results into")
    week_parser.add_weeks(parser)
    _now(parser)


def _matrix(listed: Any) -> None:
    parser = _command(listed, pages.MATRIX, commands.matrix)
    _case(parser)
    parser.add_argument("--target", metavar="ID", help="only this target")
    parser.add_argument("--learner", metavar="ID", help="only this learner's targets")
    parser.add_argument(
        "--csv",
        metavar="FILE",
        nargs="?",
        const="-",
        help="write a table instead: into FILE, or to the terminal if no file is named",
    )
    _now(parser)


def _record(listed: Any) -> None:
    parser = _command(listed, pages.RECORD, commands.record)
    _case(parser)
    for name, what in (
        ("target", "the target"),
        ("adult", "who ran it"),
        ("location", "where"),
        ("material-set", "with which material set"),
    ):
        parser.add_argument(f"--{name}", metavar="ID", help=what)
    parser.add_argument(
        "--with",
        dest="extra",
        metavar="DIM=VALUE",
        action="append",
        default=[],
        type=typed.value_of_dimension,
        help="the value of another dimension that the target varies; once for each",
    )
    parser.add_argument(
        "--kind",
        choices=KINDS,
        default="probe",
        type=typed.kind,
        help="what was run; default: probe, or maintenance if the kept plan says so",
    )
    _numbers(parser)
    parser.add_argument("--date", type=typed.day, help="the day, such as 2026-12-01; default: today")
    parser.add_argument("--time", type=typed.clock, help="when it began, such as 16:30")
    parser.add_argument("--observer", default="", help="who else counted")
    parser.add_argument("--note", default="", help="anything worth keeping; the reason, if it was not run")
    evidence_parser.add_ways_to_record(parser)
    _now(parser)


def _numbers(parser: argparse.ArgumentParser) -> None:
    for name, what in (
        ("correct", "responses that were correct without help"),
        ("trials", "trials that were run; default: the target's"),
        ("prompted", "responses that were correct with help"),
        ("observer-correct", "correct responses that the observer counted"),
    ):
        parser.add_argument(f"--{name}", metavar="N", type=typed.count, help=what)


def _case(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", metavar="CASE", type=Path, help="the case folder")


def _now(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--now",
        metavar="MOMENT",
        type=typed.moment,
        help="what counts as now, such as 2026-11-29T12:00 in the case's own time zone; default: the clock",
    )
