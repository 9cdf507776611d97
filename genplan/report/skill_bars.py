"""How far each skill is, one picture for all: how much was tried and met of what is possible, and what is asked for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET, TargetState
from genplan.coverage.criterion import CriterionPart
from genplan.coverage.review import TargetReview
from genplan.report.names_and_words import Names, clean, tuple_word
from genplan.report.plain_characters import counted


@dataclass(frozen=True)
class AskedBoxes:
    """What is asked for of one dimension: a box for each value wanted, so many of them full."""

    of: str
    wanted: int
    full: int


@dataclass(frozen=True)
class SkillBar:
    """`possible`, `tried` and `met` are the lengths; `words` says them. `state` is said of a skill that is not
    probed."""

    id: str
    name: str
    possible: int
    tried: int
    met: int
    words: str
    asked: tuple[AskedBoxes, ...]
    reached: str
    state: str


_MANY = {ADULT: "people", LOCATION: "places", MATERIAL_SET: "material sets"}
_STATES = {TargetState.TEACHING: "still taught", TargetState.PAUSED: "paused"}


def skill_bars(names: Names, found: Iterable[TargetReview]) -> tuple[SkillBar, ...]:
    return tuple(_bar(names, one) for one in found)


def _bar(names: Names, found: TargetReview) -> SkillBar:
    target, count, criterion = found.target, found.tally, found.criterion
    possible, tried, met = len(count.possible), len(count.tested), len(count.met)
    words = f"{tried} of {counted(possible, tuple_word(target))} tried, {met} met"
    reached = "" if not criterion.is_set else "reached" if criterion.is_met else "not yet"
    return SkillBar(
        target.id,
        names.target(target.id),
        possible,
        tried,
        met,
        words,
        tuple(_boxes(part) for part in criterion.parts),
        reached,
        _STATES.get(target.state, ""),
    )


def _boxes(part: CriterionPart) -> AskedBoxes:
    return AskedBoxes(
        _MANY.get(part.dimension, clean(part.dimension)), part.wanted, min(len(part.met), part.wanted)
    )
