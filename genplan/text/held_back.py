"""What is held back by a caution, in words: that it is, and why, in the place of any word of a probe to come."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import replace
from datetime import date

from genplan.case import Case, Combination, Target
from genplan.case.possible import Obstacle, kept_from, things_kept_away
from genplan.case.targets import MATERIAL_SET
from genplan.coverage.held_back_tuples import HeldBackTuples
from genplan.language import _, and_list, ngettext
from genplan.text.obstacles import obstacle_text
from genplan.text.tuple_words import counted_tuples


def held_back_text(case: Case, target: Target, combination: Combination, on: date) -> str:
    """A sentence on a thing from which the learner is kept on the day `on`; empty where it is kept from none."""
    why = kept_from(case, target, target.value(combination, MATERIAL_SET), on)
    if why is None:
        return ""
    return _("It is held back for now, neither taught nor probed: {why}.", why=obstacle_text(case, why))


def tuples_held_back_text(target: Target, held: HeldBackTuples) -> str:
    """A sentence on what is not counted for that, and how much of it was tried; empty where nothing is."""
    if not held.number:
        return ""
    return ngettext(
        "{tuples} with a thing that is held back by a caution is left out here ({tried} of them tried, {met} met).",
        "{tuples} with a thing that is held back by a caution are left out here ({tried} of them tried, {met} met).",
        held.number,
        tuples=counted_tuples(target, held.number),
        tried=held.tested,
        met=held.met,
    )


def things_held_back(
    case: Case, learners: Collection[str], on: date, only: str | None = None
) -> tuple[str, ...]:
    """A sentence for each thing from which one of these learners is kept on the day `on`, and which their targets
    name, or the only one asked about: tried or not, no plan holds it."""
    found = defaultdict[Obstacle, list[str]](list)
    for target in case.planned:
        if target.learner in learners and only in (None, target.id):
            for why in things_kept_away(case, target, on).values():
                same = next((w for w in found if _is_same(case, w, why)), why)
                found[same].append(target.name or target.id)
    return tuple(
        _(
            "Not planned in {skills}: {why}.",
            why=obstacle_text(case, why),
            skills=and_list([f"'{skill}'" for skill in skills]),
        )
        for why, skills in found.items()
    )


def _is_same(case: Case, one: Obstacle, other: Obstacle) -> bool:
    """Whether they keep one child from one thing, in two of its targets."""
    alike = case.targets[one.target].learner == case.targets[other.target].learner
    return alike and replace(one, target="") == replace(other, target="")
