"""What people write in a cell beside the value that its key wants: `1 child`, `2x`, `3 of 3`, `everyone`, `y`."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

from genplan.case import PassMark
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.record_types import Key
from genplan.casefile.tree import Leaf
from genplan.language import pgettext
from genplan.language.typed import WORDS, words_in_every_language
from genplan.tables.headings import apart_in_every_language, plain

MASTERED_ON = ("mastered_on",)
COUNTED = (("capacity",), ("copies",))
"""Numbers of children and of things: a unit beside one says no more than the heading does, any other word may say that
there are fewer."""


def without_words(text: str, path: tuple[str, ...], key: Key) -> str:
    """The value alone, where nothing else can be meant."""
    if path in COUNTED and (
        match := re.fullmatch(r"(?:x\s?)?(\d{1,4})(\s?x|\s+[^\W\d][^\d]*)?", text.lower())
    ):
        return match[1] if plain(match[2] or "x") in {"x", *_units()[path]} else text
    of_tries = re.fullmatch(r"(\d{1,3})\s+([^\W\d][^\d]*?)\s+(\d{1,3})", text) if is_mark(key) else None
    if of_tries and plain(of_tries[2]) in _words_between():
        return f"{of_tries[1]}/{of_tries[3]}"
    if key.kind.many_ids and plain(text) in words_for_all():
        return "all"
    if _is_yes_or_no(key):
        word = plain(text)
        return next((said for said in ("yes", "no") if word in words_in_every_language(WORDS[said])), text)
    return text


def is_not_yet(path: tuple[str, ...], text: str) -> bool:
    """Whether a cell says in place of the day on which a skill was mastered that it is still taught."""
    return path == MASTERED_ON and plain(text) in _words_for_not_yet()


@lru_cache
def _words_for_not_yet() -> frozenset[str]:
    return apart_in_every_language(
        lambda: pgettext(
            "in place of the day on which a skill was mastered, apart by commas",
            "not yet, no, not mastered, not mastered yet, still learning, learning, in teaching, being taught, open",
        )
    )


def is_mark(key: Key) -> bool:
    """Whether the key takes a mark such as 4/5, which spreadsheets like to make a date of."""
    return isinstance(key.kind.read(Leaf("4/5", True), (), Diagnostics("")), PassMark)


@lru_cache
def _units() -> Mapping[tuple[str, ...], frozenset[str]]:
    return {
        ("capacity",): apart_in_every_language(
            lambda: pgettext(
                "behind a number of children, apart by commas",
                "child, children, kid, kids, pupil, pupils, learner, learners, person, persons, people, max, at most, "
                "at a time, children at a time, place, places",
            )
        ),
        ("copies",): apart_in_every_language(
            lambda: pgettext(
                "behind a number of things, apart by commas",
                "copy, copies, piece, pieces, pc, pcs, set, sets, item, items, of them, times, box, boxes, pair, pairs",
            )
        ),
    }


@lru_cache
def _words_between() -> frozenset[str]:
    return apart_in_every_language(
        lambda: pgettext("between what was right and the number of tries, apart by commas", "of, out of")
    )


@lru_cache
def words_for_all() -> frozenset[str]:
    return apart_in_every_language(
        lambda: pgettext(
            "who a cell of names is about, apart by commas", "all, everyone, everybody, all of them"
        )
    )


def _is_yes_or_no(key: Key) -> bool:
    notes = Diagnostics("")
    return key.kind.read(Leaf("yes", True), (), notes) is True and not notes.findings
