"""How far each skill is, one picture for all: how much was tried and met of what is possible, and what is asked for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET, TargetState
from genplan.coverage.criterion import CriterionPart
from genplan.coverage.review import TargetReview
from genplan.language import N_, _, ngettext, said
from genplan.report.criterion_words import parts_told
from genplan.report.names_and_words import Names, clean, with_only_taught
from genplan.text.held_back import tuples_held_back_text
from genplan.text.tuple_words import counted_tuples


@dataclass(frozen=True)
class AskedBoxes:
    """What is asked for of one dimension: a box for each value wanted, so many of them full; `words` says it."""

    words: str
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


_STATES = {TargetState.TEACHING: N_("still taught"), TargetState.PAUSED: N_("paused")}


def skill_bars(names: Names, found: Iterable[TargetReview]) -> tuple[SkillBar, ...]:
    return tuple(_bar(names, one) for one in found)


def _bar(names: Names, found: TargetReview) -> SkillBar:
    target, count, criterion = found.target, found.tally, found.criterion
    possible, tried, met = len(count.possible), len(count.tested), len(count.met)
    words = _(
        "{tried} of {tuples} tried, {met} met", tried=tried, tuples=counted_tuples(target, possible), met=met
    )
    words = with_only_taught(words, len(count.taught - count.tested))
    if left_out := tuples_held_back_text(target, found.held_back_tuples):
        words = f"{words}. {left_out}"
    reached = "" if not criterion.is_set else _("reached") if criterion.is_met else _("not yet")
    if criterion.is_met and criterion.failed:
        reached = ngettext(
            "reached, though {n} combination was not met the last time",
            "reached, though {n} combinations were not met the last time",
            len(criterion.failed),
        )
    return SkillBar(
        target.id,
        names.target(target.id),
        possible,
        tried,
        met,
        words,
        tuple(map(_boxes, parts_told(names, criterion))),
        reached,
        said(_STATES.get(target.state, "")),
    )


def _boxes(part: CriterionPart) -> AskedBoxes:
    full, wanted = min(len(part.met), part.wanted), part.wanted
    words = _full_of(part.dimension, full, wanted)
    if part.in_reach < wanted:
        words = _("{words} (no more than {in_reach} possible)", words=words, in_reach=part.in_reach)
    elif part.missing and part.in_reach > wanted:
        words = _("{words} (any of {in_reach})", words=words, in_reach=part.in_reach)
    return AskedBoxes(words, wanted, full)


def _full_of(dimension: str, full: int, wanted: int) -> str:
    if dimension == ADULT:
        return ngettext("{full} of {n} person", "{full} of {n} people", wanted, full=full)
    if dimension == LOCATION:
        return ngettext("{full} of {n} place", "{full} of {n} places", wanted, full=full)
    if dimension == MATERIAL_SET:
        return ngettext("{full} of {n} material set", "{full} of {n} material sets", wanted, full=full)
    return _("{what}: {full} of {n}", what=clean(dimension), full=full, n=wanted)
