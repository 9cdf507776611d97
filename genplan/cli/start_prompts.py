"""How the guided start shows a question on a terminal, what it says of it, and which choice an answer stands for."""

from __future__ import annotations

import re
from collections.abc import Mapping

from genplan.language import N_, _, said
from genplan.language.every_language import in_every_language
from genplan.language.lists import or_list
from genplan.language.typed import SHORTEST
from genplan.start.asked_about_places import NONE_OF_THESE
from genplan.start.questions import NOBODY, Kind, Options, Question

ANEW, OUT, BACK, HELP, STOP = "again", "out", "back", "help", "stop"
ALL, NO, NOTHING, UNKNOWN = N_("all"), N_("no"), N_("nothing"), N_("I do not know")
OR_ELSE = N_("'again' to answer anew, 'out' to take it out")
CORRECTING = N_("""\
Type 'back' for the question before, 'help' for what a question is about, 'again' to answer all about the same one
anew, 'out' to take it out. At the end you see all that you said, and can still change it.""")
HOW: Mapping[Kind, str] = {
    Kind.LINE: N_("Type a name or a few words."),
    Kind.LONG: N_("Type a sentence or two."),
    Kind.NUMBER: N_("Type a whole number."),
    Kind.MONTH: N_("Type a year and a month, such as 2020-04. Enter alone, if you would rather not say."),
    Kind.DAY: N_("Type a day, such as 2026-09-28. Enter alone leaves it open."),
    Kind.ZONE: N_("Type a large city or a country, such as Dublin or Ireland."),
    Kind.HOURS: N_("Type days and hours, such as mon-fri 3-5pm, sat 10-12. Several are parted by commas."),
    Kind.MARK: N_("Type how many of how many, such as 4/5."),
    Kind.NAMES: N_("Type names with commas between them. Enter alone means that there are none."),
    Kind.ALLERGIES: N_("Type them with commas between them. Enter alone means that there are none."),
    Kind.CHOICE: N_("Type the number of one of the lines."),
    Kind.ONE_OF: N_("Type the number of one of the lines."),
    Kind.TICKS: N_("Type the numbers of all that hold, with commas between them, such as 1, 3."),
    Kind.SOME_OF: N_("Type the numbers of those that are meant, such as 1, 3, or 'all'."),
}
PICKED = (Kind.CHOICE, Kind.TICKS, Kind.ONE_OF, Kind.SOME_OF)


class Choice(Exception):
    """'again' or 'out' was typed in the place of an answer."""


class Back(Exception):
    """'back' was typed, and the question before is not one of those that are asked here."""


def listed(choices: Options) -> str:
    return "".join(f"\n  {number} {words}" for number, (_key, words) in enumerate(choices, 1)) + (
        "\n " if choices else ""
    )


def picked(typed: str, choices: Options) -> str:
    """The choice that a number, its words or a beginning of them that no other has stand for; nothing for none."""
    if typed.isdecimal() and 1 <= int(typed) <= len(choices):
        return choices[int(typed) - 1][0]
    found = [key for key, words in choices if typed.casefold() == words.casefold()] or begun(typed, choices)
    return found[0] if len(found) == 1 else ""


def begun(typed: str, choices: Options, *, whole_words: bool = False) -> list[str]:
    """The choices that begin so: with that word, or unless only whole words count, with these letters."""
    word = typed.casefold()
    if not word or word.isdecimal():
        return []
    enough = len(word) >= SHORTEST and not whole_words
    return [
        key
        for key, words in choices
        if (rest := words.casefold()).startswith(word) and (enough or not rest[len(word) :][:1].isalnum())
    ]


def picked_all(typed: str, choices: Options) -> tuple[tuple[str, ...], str]:
    """The choices that `1, 3`, `1 and 3`, `Mum und Opa` stand for, and the first part that stands for none. The words
    of a choice may hold a comma or an 'and' themselves."""
    if whole := picked(typed, choices):
        return (whole,), ""
    joining = "|".join(re.escape(word) for word in sorted(in_every_language(N_(" and "))))
    finer = r"[,;&+/\s]" if re.fullmatch(r"[\d,;&+/\s]+", typed) else rf"[,;&+/]|{joining}"
    for between in ("[,;&+/]", finer):
        parts = [part.strip() for part in re.split(between, typed) if part.strip()]
        found = tuple(dict.fromkeys(picked(part, choices) for part in parts))
        if found and all(found):
            return found, ""
    return (), next((part for part in parts if not picked(part, choices)), typed)


def shown_of(question: Question, there: str, choices: dict[str, str]) -> str:
    """What holds if nothing is typed."""
    if question.kind is Kind.SOME_OF and not there:
        return said(ALL)
    if question.kind is Kind.TICKS and not there and len(choices) == 1:
        return said(NO)
    if question.kind is Kind.TICKS and not there:
        return said(UNKNOWN if NONE_OF_THESE in choices else NOTHING)
    if there == NOBODY:
        return said(NOTHING)
    return ", ".join(choices.get(part, part) for part in there.split("\n"))


def prompt(words: str, choices: Options = (), shown: str = "") -> str:
    """A question's words, what can be chosen, what holds if nothing is typed, and one sign at the end."""
    ends = f" [{shown}]" if shown else f" {_('Your choice')}" if choices else ""
    text = f"{words}{listed(choices)}{ends}"
    return text + (" " if text.endswith("?") else ": ")


def about(question: Question, screen: str) -> str:
    """What a question is for, and how it is answered."""
    return " ".join(filter(None, (screen, said(question.hint), said(HOW[question.kind]))))


def none_of_them(part: str, choices: Options = ()) -> str:
    """Of a beginning that several have, which ones."""
    if len(several := [dict(choices)[key] for key in begun(part, choices)]) > 1:
        return _("'{typed}' may be {several}: type more of it.", typed=part, several=or_list(several))
    return _("'{typed}' is none of them.", typed=part)
