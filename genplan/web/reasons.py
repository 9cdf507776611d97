"""Why something was not run, as a choice: the log's own words stand behind the sentences, so that whose reason it was
need not be guessed."""

from __future__ import annotations

from collections.abc import Mapping

from genplan.evidence.sittings_written import REASONS, with_reason
from genplan.language import N_, said
from genplan.web.endpoints import Answers

NAME = "why"
WORDS: Mapping[str, str] = dict(
    zip(
        REASONS,
        (
            N_("The child was ill"),
            N_("The child refused: did not want to, cried, walked away"),
            N_("The adult was away"),
            N_("There was no time"),
        ),
        strict=True,
    )
)


def choices() -> list[tuple[str, str]]:
    return [(reason, said(words)) for reason, words in WORDS.items()]


def chosen(answers: Answers) -> str:
    return answers.one(NAME) if answers.one(NAME) in WORDS else ""


def note_with(answers: Answers) -> str:
    """The note that was typed, behind the reason that was chosen."""
    return with_reason(chosen(answers), answers.one("note"))
