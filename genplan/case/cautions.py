"""The cautions of a sitting, as values: what to look out for in what was planned.

Screening only: which sets are planned at all is decided by `case.possible`. The small-parts age is that of 16 CFR
1501.2 and 1500.18(a)(9); the advice on supervision is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from genplan.case.model import Case
from genplan.case.people import Learner
from genplan.case.possible import is_kept_from_small_parts, kept_away
from genplan.case.safety import (
    NEVER_PLANNED,
    SMALL_PARTS_MONTHS,
    MaterialSet,
    allergens_met,
    avoided_allergens,
)
from genplan.case.unsaid import unsaid_allergens


class CautionKind(StrEnum):
    AVOID = "allergens to avoid"
    NOTHING_SMALL = "nothing small nearby"
    ALLERGEN = "allergen in a set"
    CONTENT_UNKNOWN = "allergen not asked about"
    MOUTH = "small part, no mouth"
    CONFIRM_SIZE = "size to confirm"
    SMALL_PART = "small part, too young"
    SIZE_UNKNOWN = "size unknown"
    MINIMUM_AGE = "minimum age"
    HAZARD = "hazard"
    SUPERVISION = "supervision"
    ASSENT = "assent"


EVERY_SITTING = (CautionKind.SUPERVISION, CautionKind.ASSENT)
"""Of any sitting, whatever lies on the table."""
OF_SIZE = (CautionKind.MOUTH, CautionKind.CONFIRM_SIZE, CautionKind.SMALL_PART, CautionKind.SIZE_UNKNOWN)
"""Of the size of a set: one of them at most, by what is known of it."""
BEFORE_USE = (CautionKind.MOUTH, CautionKind.CONFIRM_SIZE, CautionKind.SIZE_UNKNOWN)
"""What to do before or while it is used: not said of a set that the child is kept from, which is not to be used."""


@dataclass(frozen=True, kw_only=True)
class Caution:
    """For one learner, of a set or at a location by id, where it is about one. `found` are allergens or hazards,
    `months` the minimum age of the set; `age_unknown`: the case does not say how old the learner is. `also` are further
    sets of which the same is to be said (`together`)."""

    kind: CautionKind
    learner: str
    material_set: str = ""
    location: str = ""
    found: tuple[str, ...] = ()
    months: int = 0
    age_unknown: bool = False
    also: tuple[str, ...] = ()


def together(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    """With one for all sets of which nobody said whether they hold the same: a line for each would hide the others."""
    found: dict[Caution, list[str]] = {}
    for caution in cautions:
        of_any = caution.kind is CautionKind.CONTENT_UNKNOWN
        sets = found.setdefault(replace(caution, material_set="") if of_any else caution, [])
        sets += [caution.material_set] if of_any and caution.material_set not in sets else []
    return tuple(
        replace(c, material_set=sets[0], also=tuple(sets[1:])) if sets else c for c, sets in found.items()
    )


def cautions_for(
    case: Case, learner: Learner, material_set_ids: Iterable[str], location_id: str, on: date
) -> tuple[Caution, ...]:
    """What to look out for in one sitting: the learner's allergens, each set by id, supervision, assent.

    `on` decides the age. Raises KeyError for an id that the case does not have."""
    found: list[Caution] = []
    if avoided := avoided_allergens(learner.allergens):
        held = tuple(sorted(avoided))
        found.append(Caution(kind=CautionKind.AVOID, learner=learner.id, location=location_id, found=held))
    if is_kept_from_small_parts(learner, on):
        found.append(Caution(kind=CautionKind.NOTHING_SMALL, learner=learner.id))
    for set_id in sorted(set(material_set_ids)):
        thing = case.material_sets[set_id]
        if unsaid := unsaid_allergens(case, learner, thing, on):
            kind = CautionKind.CONTENT_UNKNOWN
            found.append(Caution(kind=kind, learner=learner.id, material_set=set_id, found=unsaid))
        found += _of_set(learner, thing, on)
    supervision = Caution(kind=CautionKind.SUPERVISION, learner=learner.id, location=location_id)
    return (*found, supervision, Caution(kind=CautionKind.ASSENT, learner=learner.id))


def _of_set(learner: Learner, material_set: MaterialSet, on: date) -> Iterator[Caution]:
    """The cautions of one set for this learner: allergens, small parts, age, hazards."""

    def caution(kind: CautionKind, found: Iterable[str] = (), months: int = 0) -> Caution:
        return Caution(
            kind=kind,
            learner=learner.id,
            material_set=material_set.id,
            found=tuple(found),
            months=months,
            age_unknown=learner.born is None,
        )

    if held := allergens_met(learner.allergens, material_set.holds):
        yield caution(CautionKind.ALLERGEN, held)
    away = kept_away(learner, material_set, on) is not None
    small = _small_parts(learner, material_set, on)
    if small and not (away and small in BEFORE_USE):
        yield caution(small)
    young = learner.born is not None and learner.born.age_months(on) < material_set.min_age_months
    if young or (learner.born is None and material_set.min_age_months):
        yield caution(CautionKind.MINIMUM_AGE, months=material_set.min_age_months)
    for hazard in sorted(material_set.watched):
        yield caution(CautionKind.HAZARD, [hazard])


def _small_parts(learner: Learner, material_set: MaterialSet, on: date) -> CautionKind | None:
    """What there is to say of small parts, by what is known of the set and of the child's age."""
    small = material_set.may_be_small_part
    young = learner.mouths or learner.born is None or learner.born.age_months(on) < SMALL_PARTS_MONTHS
    if not young:
        return CautionKind.MOUTH if small else None
    if small is False:
        return CautionKind.CONFIRM_SIZE if material_set.dimensions_mm is not None else None
    if small is None and material_set.watched & NEVER_PLANNED:
        return None  # that it holds one of them is said, and nobody is to have it
    named = material_set.is_small_by_name and is_kept_from_small_parts(learner, on)
    return CautionKind.SMALL_PART if small or named else CautionKind.SIZE_UNKNOWN
