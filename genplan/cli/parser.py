"""The commands and their words."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import Any, NoReturn

from genplan import __version__
from genplan.cli import (
    argument_types,
    changed_case_commands,
    commands,
    compare_command,
    evidence_parser,
    exemplars_command,
    forecast_command,
    help_command,
    page_commands,
    pages,
    share_command,
    store_command,
    tables_command,
    term_command,
    timetable_command,
    told_week_commands,
    week_parser,
    why_command,
)
from genplan.cli.argparse_words import is_excluded, misses_its_value, speak_for_argparse
from genplan.cli.common import (
    add_language,
    add_now,
    add_other_dimensions,
    add_table,
    add_week,
    add_weeks,
    command,
    command_of_case,
)
from genplan.cli.interrupts import add_interrupt
from genplan.cli.workers_option import add_workers
from genplan.findings import nearest
from genplan.language import _, said
from genplan.language.sentences import capital

KINDS = ("probe", "maintenance", "teaching", "baseline", "not-run")


class _Parser(argparse.ArgumentParser):
    """Says what is wrong with the words in one sentence, and names the nearest known word."""

    def __init__(self, typed: dict[str, list[str]] | None = None, **settings: Any) -> None:
        """`typed`: what was typed behind each option so far, shared with the parser of the whole program."""
        super().__init__(formatter_class=argparse.RawDescriptionHelpFormatter, allow_abbrev=False, **settings)
        self._is_first = typed is None
        self._typed = {} if typed is None else typed
        self._is_apart = False

    def add_subparsers(self, **settings: Any) -> Any:
        settings["parser_class"] = partial(_Parser, self._typed)
        return super().add_subparsers(**settings)

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        if self._is_first:
            self._typed.clear()
        if self.get_default("anywhere") and not self._is_apart:
            # options between several files of a list: argparse would take the first files for all
            self._is_apart = True
            try:
                return self.parse_known_intermixed_args(args, namespace)
            finally:
                self._is_apart = False
        return super().parse_known_args(args, namespace)

    def _get_values(self, action: argparse.Action, arg_strings: list[str]) -> Any:
        """argparse's own hook for the words behind an option. Of two it would drop the first without a word."""
        if action.option_strings and type(action) is self._registry_get("action", "store"):
            self._refuse_twice(action.option_strings[-1], arg_strings)
        return super()._get_values(action, arg_strings)

    def _refuse_twice(self, option: str, words: list[str]) -> None:
        before = self._typed.get(option)
        if before is None:
            self._typed[option] = words
            return
        both = [" ".join(each) for each in (before, words)]
        if not all(both):
            self.error(_("{option} is given twice; give it once", option=option))
        self.error(
            _("{option} is given twice: {values}; give it once", option=option, values=", ".join(both))
        )

    def error(self, message: str) -> NoReturn:
        for option in ("--marks", "--observer-marks"):
            if misses_its_value(message, option):
                message = _(
                    "{text}, the signs: where they begin with a '-', write the '=' too, such as {option}=-++p+",
                    text=message,
                    option=option,
                )
        if self.get_default("one_a_command") and is_excluded(message):
            message = _(
                "{text}: one command takes one fact or wish. Give each a command of its own, or write several into a"
                " sheet of changes and read it: 'genplan tables read changes.csv CASE'",
                text=message,
            )
        sentence = capital(message)
        end = "" if sentence.endswith((".", "?")) else "."
        see = _("See '{program} --help'.", program=self.prog)
        self.exit(2, f"{sentence}{end} {see}\n")

    def _check_value(self, action: argparse.Action, value: Any) -> None:
        """argparse's own hook for words that have to be one of several; here the nearest is named."""
        if action.choices is not None and value not in action.choices:
            known = [str(choice) for choice in action.choices]
            hint = nearest(str(value), known)
            self.error(
                _beside_hint(_("'{value}' is not one of {known}", value=value, known=", ".join(known)), hint)
            )

    def refuse_unknown(self, word: str) -> NoReturn:
        hint = nearest(word.partition("=")[0], self._option_string_actions)
        self.error(_beside_hint(_("'{word}' is not known here", word=word), hint))


def _beside_hint(sentence: str, hint: str) -> str:
    return f"{sentence}; {hint}" if hint else sentence


def read_words(argv: Sequence[str] | None = None) -> argparse.Namespace:
    """The words typed, as values; `run` is the command to call with them. Ends the program (SystemExit) with
    2 and a sentence where they make no sense, with 0 after a help page."""
    words, unknown = build_parser().parse_known_args(argv)
    if unknown and (takes := getattr(words, "any_option", "")):
        # an option of another command is what is asked about
        setattr(words, takes, [*getattr(words, takes), *unknown])
    elif unknown:
        words.parser.refuse_unknown(unknown[0])
    return words


def build_parser() -> argparse.ArgumentParser:
    speak_for_argparse()
    parser = _Parser(
        prog="genplan",
        description=said(pages.PROGRAM),
        epilog=said(pages.PROGRAM_END) + said(pages.EXIT_CODES),
    )
    parser.add_argument("--version", action="version", version=f"genplan {__version__}")
    add_language(parser)
    listed = parser.add_subparsers(title=_("commands"), metavar="COMMAND", required=True, dest="command")
    for add in (_new, _check, _plan, _record, _matrix):
        add(listed)
    evidence_parser.add_commands(listed)
    forecast_command.add_commands(listed)
    term_command.add_commands(listed)
    exemplars_command.add_commands(listed)
    why_command.add_commands(listed)
    week_parser.add_commands(listed)
    told_week_commands.add_commands(listed)
    timetable_command.add_commands(listed)
    compare_command.add_commands(listed)
    share_command.add_commands(listed)
    tables_command.add_commands(listed)
    changed_case_commands.add_commands(listed)
    command(listed, pages.SCHEMA, commands.schema)
    store_command.add_commands(listed)
    page_commands.add_commands(listed)
    help_command.add_commands(listed)
    return parser


def _new(listed: Any) -> None:
    parser = command(listed, pages.NEW, commands.new)
    parser.add_argument("folder", metavar="FOLDER", type=Path, help=_("the folder to make"))
    parser.add_argument("--ask", action="store_true", help=_("ask for everything, a question at a time"))
    add_now(parser)


def _check(listed: Any) -> None:
    parser = command_of_case(listed, pages.CHECK, commands.check)
    add_week(parser, _("the week of which busy calendars are looked at; default: the week of now"))
    add_now(parser)


def _plan(listed: Any) -> None:
    parser = command_of_case(listed, pages.PLAN, commands.plan)
    add_week(parser, _("the ISO week to plan, such as 2026-W49; default: the week after now"))
    parser.add_argument("--out", metavar="OUT", type=Path, help=_("the folder to write the results into"))
    add_weeks(
        parser,
        _("plan so many weeks, each as if the week before were met; OUT then has a folder for each"),
        1,
    )
    add_interrupt(parser)
    add_workers(parser)
    add_now(parser)


def _matrix(listed: Any) -> None:
    parser = command_of_case(listed, pages.MATRIX, commands.matrix)
    parser.add_argument("--target", metavar="ID", help=_("only this target"))
    parser.add_argument("--learner", metavar="ID", help=_("only this learner's targets"))
    add_table(parser)
    add_now(parser)


def _record(listed: Any) -> None:
    parser = command_of_case(listed, pages.RECORD, commands.record)
    for name, what in (
        ("target", _("the target")),
        ("adult", _("who ran it")),
        ("location", _("where")),
        ("material-set", _("with which material set")),
    ):
        parser.add_argument(f"--{name}", metavar="ID", help=what)
    add_other_dimensions(parser, _("the value of another dimension that the target varies; once for each"))
    parser.add_argument(
        "--kind",
        choices=KINDS,
        type=argument_types.kind,
        help=_("what was run; default: probe, or maintenance if the kept plan says so"),
    )
    _numbers(parser)
    parser.add_argument(
        "--date", type=argument_types.day_until_now, help=_("the day, such as 2026-12-01; default: today")
    )
    parser.add_argument("--time", type=argument_types.clock, help=_("when it began, such as 16:30"))
    parser.add_argument("--observer", default="", help=_("who else counted"))
    for word, whose in (("--marks", _("of whoever ran it")), ("--observer-marks", _("of the observer"))):
        parser.add_argument(
            word,
            metavar="SIGNS",
            default="",
            help=_(
                "the marks {whose}, one sign a trial, such as {word}=++-p+: the counts follow",
                whose=whose,
                word=word,
            ),
        )
    parser.add_argument(
        "--steps-kept",
        metavar="N/N",
        default="",
        help=_("steps of the procedure that were kept, of those that the observer marked, such as 7/8"),
    )
    parser.add_argument("--note", default="", help=_("anything worth keeping; the reason, if it was not run"))
    evidence_parser.add_ways_to_record(parser)
    add_now(parser)


def _numbers(parser: argparse.ArgumentParser) -> None:
    for name, what in (
        ("correct", _("responses that were correct without help")),
        ("trials", _("trials that were run; default: the target's")),
        ("prompted", _("responses that were correct with help")),
        ("observer-correct", _("correct responses that the observer counted")),
    ):
        parser.add_argument(f"--{name}", metavar="N", type=argument_types.count, help=what)
