"""The cautions that a sheet and a calendar event show, as whole sentences.

Screening only: which sets are planned at all is decided by `coverage.possible`; this says what to look out
for in what was planned. The small-parts age is that of 16 CFR 1501.2 and 1500.18(a)(9); the advice on
supervision is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from genplan.case.model import Case
from genplan.case.people import Learner
from genplan.case.safety import HAZARDS, SMALL_PARTS_MONTHS, MaterialSet, avoided_allergens

LOCAL_RULES = (
    "Local rules, and the licensed practitioner in charge, come before anything written here:"
    " ask them where in doubt."
)
NO_TREATMENT = "This program plans checks of skills that were already taught. It prescribes no treatment."
SCREENING_ONLY = (
    "Its checks of materials are a first screening by what was written down. They clear nothing for good:"
    " look at each set before use, for loose or broken pieces too."
)
STANDING_CAUTIONS: tuple[str, ...] = (LOCAL_RULES, NO_TREATMENT, SCREENING_ONLY)
"""What every page that is handed out says once."""


def assent_caution(shown_as: str) -> str:
    """When to stop, and how that is written down. `shown_as` is what the learner is called on this page."""
    return (
        f"If {shown_as} says no, walks away or is distressed, stop. That is not a wrong answer and nobody has"
        " failed: write 'not run' and the reason."
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
    """What to look out for in one sitting: the learner's allergens, each set by id, supervision, assent.

    `on` decides the age. The learner is called by the alias unless `shown_as` is given. Raises KeyError
    for an id that the case does not have."""
    called = learner.alias if shown_as is None else shown_as
    place = case.locations[location_id].name
    sentences = _allergen_reminder(learner, called, place)
    for set_id in sorted(set(material_set_ids)):
        sentences += _of_set(learner, called, case.material_sets[set_id], on)
    return (*sentences, supervision_caution(called, place), assent_caution(called))


def _allergen_reminder(learner: Learner, called: str, place: str) -> list[str]:
    avoided = ", ".join(sorted(avoided_allergens(learner.allergens)))
    return (
        [f"{called} must not meet {avoided}: check food, creams and materials at {place}."] if avoided else []
    )


def _of_set(learner: Learner, called: str, material_set: MaterialSet, on: date) -> list[str]:
    """The cautions of one set for this learner: allergens, small parts, age, hazards."""
    name, months = material_set.name, material_set.min_age_months
    sentences = []
    held = sorted(avoided_allergens(learner.allergens) & material_set.allergens)
    if held:
        sentences.append(f"'{name}' holds {', '.join(held)}: do not use it with {called}.")
    small = _small_parts(learner, called, material_set, on)
    if small:
        sentences.append(small)
    if learner.born is None and months:
        sentences.append(
            f"'{name}' is for {months} months and over; the case does not say how old {called} is."
        )
    return sentences + [
        f"'{name}': {HAZARDS.get(hazard, hazard)}." for hazard in sorted(material_set.hazards)
    ]


def _small_parts(learner: Learner, called: str, material_set: MaterialSet, on: date) -> str:
    """What is said of small parts, by what is known of the set and of the child's age; may be empty."""
    name, small, limit = material_set.name, material_set.may_be_small_part, SMALL_PARTS_MONTHS
    young = learner.born is None or learner.born.age_months(on) < limit
    if not young:
        return f"'{name}' is or may be a small part: watch that no piece goes to the mouth." if small else ""
    if small is False:
        by_size = material_set.dimensions_mm is not None
        return (
            f"'{name}' is no small part by its sizes: confirm it with a small-parts gauge." if by_size else ""
        )
    unsure = "" if learner.born else f" The case does not say whether {called} is {limit} months old."
    if small:
        return f"'{name}' is or may be a small part: never give it to a child under {limit} months.{unsure}"
    return f"Not known whether '{name}' is a small part: check with a small-parts gauge before use.{unsure}"
