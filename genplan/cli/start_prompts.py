"""How the guided start shows a question on a terminal, and which choice an answer stands for."""

from __future__ import annotations

from genplan.language import N_, said
from genplan.start.questions import Kind, Options, Question

ANEW, OUT = "again", "out"
ALL, NOTHING = N_("all"), N_("nothing")
OR_ELSE = N_("'again' to answer anew, 'out' to take it out")


class Choice(Exception):
    """'again' or 'out' was typed in the place of an answer."""


def listed(choices: Options) -> str:
    return "".join(f"\n  {number} {words}" for number, (_, words) in enumerate(choices, 1)) + (
        "\n " if choices else ""
    )


def picked(typed: str, choices: Options) -> str:
    """The choice that a number or its words stand for; nothing for none."""
    if typed.isdecimal() and 1 <= int(typed) <= len(choices):
        return choices[int(typed) - 1][0]
    return next((key for key, words in choices if typed.lower() in (words.lower(), key)), "")


def shown_of(question: Question, there: str, choices: dict[str, str]) -> str:
    """What holds if nothing is typed."""
    if question.kind is Kind.SOME_OF and not there:
        return said(ALL)
    if question.kind is Kind.TICKS and not there:
        return said(NOTHING)
    return ", ".join(choices.get(part, part) for part in there.split("\n"))


def prompt(words: str, choices: Options = (), shown: str = "") -> str:
    """A question's words, what can be chosen, what holds if nothing is typed, and one sign at the end."""
    text = f"{words}{listed(choices)}{f' [{shown}]' if shown else ''}"
    return text + (" " if text.endswith("?") else ": ")
