"""Doubts about what is to be added, each with a tick of its own: none is taken for granted with another."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from genplan.web.endpoints import Answers

NAME = "sure"


@dataclass(frozen=True)
class Tick:
    """`word` stands for the sentence in the form."""

    word: str
    sentence: str
    is_set: bool


def asked(doubts: Sequence[str], answers: Answers) -> tuple[Tick, ...]:
    return tuple(Tick(_word(d), d, _word(d) in answers.all(NAME)) for d in doubts)


def all_of(doubts: Sequence[str], answers: Answers) -> bool:
    """Whether each of them was ticked."""
    return {_word(d) for d in doubts} <= set(answers.all(NAME))


def _word(doubt: str) -> str:
    return hashlib.sha256(doubt.encode()).hexdigest()[:16]
