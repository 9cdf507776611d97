"""The cautions that a sheet and a calendar event show, as whole sentences.

Screening only: which sets are planned at all is decided by `coverage.possible`; this says what to look out for in what
was planned. The small-parts age is that of 16 CFR 1501.4; the advice on supervision is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from genplan.case.model import Case
from genplan.case.people import Learner
from genplan.case.safety import HAZARDS, SMALL_PARTS_MONTHS, MaterialSet, avoided_allergens

LOCAL_RULES = "Local rules, and the licensed practitioner in charge, come before anything written here: ask them where in doubt."
NO_TREATMENT = "This program plans checks of skills that were already taught. It prescribes no treatment."
SCREENING_ONLY = (
    "Its checks of materials are a first screening by what was written down. They clear nothing for good: look at each"
    " set before use, for loose or broken pieces too."
)
STANDING_CAUTIONS: tuple[str, ...] = (LOCAL_RULES, NO_TREATMENT, SCREENING_ONLY)
"""What every page that is handed out says once."""


def assent_caution(shown_as: str) -> str:
    """When to stop, and how that is written down. `shown_as` is what the learner is called on this page."""
    return (
        f"If {shown_as} says no, walks away or is distressed, stop. That is not a wrong answer and nobody has failed:"
        " write 'not run' and the reason."
    )


def supervision_caution(shown_as: str, place: str) -> str:
    return f"An adult who is responsible for {shown_as} stays within sight and reach all the time at {place}."


def cautions_for(
    case: Case,
    learner: Learner,
    material_set_ids: Iterable[str],
    location_id: str,
    on: date,
    shown_as: str | None = None,
) -> tuple[str, ...]:
    """What to look out for in one sitting, in a fixed order: the learner's allergens, then each set by id, then
    supervision and assent. `on` decides the age. The learner is called by the alias unless `shown_as` says otherwise.
    Raises KeyError for an id that the case does not have."""
    called = learner.alias if shown_as is None else shown_as
    place = case.locations[location_id].name
    sentences = list(_allergen_reminder(learner, called, place))
    for set_id in sorted(set(material_set_ids)):
        sentences += _of_set(learner, called, case.material_sets[set_id], on)
    return (*sentences, supervision_caution(called, place), assent_caution(called))


def _allergen_reminder(learner: Learner, called: str, place: str) -> Iterable[str]:
    avoided = sorted(avoided_allergens(learner.allergens))
    if avoided:
        yield f"{called} must not meet {', '.join(avoided)}: check food, creams and materials at {place} first."


def _of_set(learner: Learner, called: str, material_set: MaterialSet, on: date) -> list[str]:
    """The cautions of one set for this learner: allergens, small parts, age, hazards."""
    held = sorted(avoided_allergens(learner.allergens) & material_set.allergens)
    sentences = (
        [f"'{material_set.name}' holds {', '.join(held)}: do not use it with {called}."] if held else []
    )
    small = _small_parts(learner, called, material_set, on)
    if small:
        sentences.append(small)
    if learner.born is None and material_set.min_age_months:
        sentences.append(
            f"'{material_set.name}' is for {material_set.min_age_months} months and over, and the case does not say"
            f" how old {called} is."
        )
    sentences += [
        f"'{material_set.name}': {HAZARDS.get(hazard, hazard)}." for hazard in sorted(material_set.hazards)
    ]
    return sentences


def _small_parts(learner: Learner, called: str, material_set: MaterialSet, on: date) -> str:
    """What is said of small parts, depending on what is known of the set and of the child's age; may be empty."""
    name, small = material_set.name, material_set.may_be_small_part
    age_known = learner.born is not None
    young = learner.born is None or learner.born.age_months(on) < SMALL_PARTS_MONTHS
    if small and not young:
        return f"'{name}' is or may be a small part: watch that no piece goes to the mouth."
    if not young or (small is False and material_set.dimensions_mm is None):
        return ""
    age = (
        ""
        if age_known
        else f", and the case does not say whether {called} is {SMALL_PARTS_MONTHS} months old"
    )
    if small:
        return f"'{name}' is or may be a small part{age}: a child under {SMALL_PARTS_MONTHS} months must not be given it."
    if small is None:
        return (
            f"It is not known whether '{name}' is a small part{age}: check with a small-parts gauge before use, for"
            f" a child under {SMALL_PARTS_MONTHS} months."
        )
    return f"'{name}' is no small part by its measured sizes; confirm it with a small-parts gauge before use."
