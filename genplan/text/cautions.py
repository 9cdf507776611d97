"""Cautions in English, as whole sentences: the standing ones, and those of a sitting."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping

from genplan.case import Case
from genplan.case.cautions import Caution, CautionKind
from genplan.case.safety import SMALL_PARTS_MONTHS
from genplan.case.targets import LOCATION, MATERIAL_SET
from genplan.text.obstacles import HAZARDS

LOCAL_RULES = (
    "Local rules, and the licensed practitioner in charge, come before anything written here:"
    " ask them where in doubt."
)
NO_TREATMENT = "This program plans checks of skills that were already taught. It prescribes no treatment."
BEFORE_AND_AFTER = (
    "This program plans checks of skills, of some before anybody teaches them. It prescribes no treatment."
)
TEACHING_IS_THEIRS = (
    "This program plans when skills are checked and when they are taught. How they are taught the practitioner decides."
    " It prescribes no treatment."
)
SCREENING_ONLY = (
    "Its checks of materials are a first screening by what was written down. They clear nothing for good:"
    " look at each set before use, for loose or broken pieces too."
)


def standing_cautions(case: Case) -> tuple[str, ...]:
    """What every page that is handed out says once."""
    before = BEFORE_AND_AFTER if case.policy.baseline_per_target else NO_TREATMENT
    return (LOCAL_RULES, TEACHING_IS_THEIRS if case.policy.plan_teaching else before, SCREENING_ONLY)


def assent_caution(shown_as: str) -> str:
    """When to stop, and how that is written down. `shown_as` is what the learner is called on this page."""
    return (
        f"If {shown_as} says no, walks away or is distressed, stop. That is not a wrong answer and nobody has"
        " failed: write 'not run' and the reason."
    )


def caution_text(case: Case, caution: Caution, called: str, locations: Collection[str] = ()) -> str:
    """What to look out for. The learner is `called` so on this page; `locations` are all at which it holds, without
    them the caution's own."""
    places = locations or ([caution.location] if caution.location else [])
    at = ";".join(f" at {case.called(LOCATION, place)}" for place in places)
    name = case.called(MATERIAL_SET, caution.material_set) if caution.material_set else ""
    return _TEXTS[caution.kind](caution, called, f"'{name}'", at)


def _of_age(caution: Caution, called: str) -> str:
    if not caution.age_unknown:
        return ""
    return f" The case does not say whether {called} is {SMALL_PARTS_MONTHS} months old."


_TEXTS: Mapping[CautionKind, Callable[[Caution, str, str, str], str]] = {
    CautionKind.AVOID: lambda c, called, name, at: (
        f"{called} must not meet {', '.join(c.found)}: check food, creams and materials{at}."
    ),
    CautionKind.ALLERGEN: lambda c, called, name, at: (
        f"{name} holds {', '.join(c.found)}: do not use it with {called}."
    ),
    CautionKind.MOUTH: lambda c, called, name, at: (
        f"{name} is or may be a small part: watch that no piece goes to the mouth."
    ),
    CautionKind.CONFIRM_SIZE: lambda c, called, name, at: (
        f"{name} is no small part by its sizes: confirm it with a small-parts gauge."
    ),
    CautionKind.SMALL_PART: lambda c, called, name, at: (
        f"{name} is or may be a small part: never give it to a child under {SMALL_PARTS_MONTHS}"
        f" months.{_of_age(c, called)}"
    ),
    CautionKind.SIZE_UNKNOWN: lambda c, called, name, at: (
        f"Not known whether {name} is a small part: check with a small-parts gauge before use.{_of_age(c, called)}"
    ),
    CautionKind.MINIMUM_AGE: lambda c, called, name, at: (
        f"{name} is for {c.months} months and over; the case does not say how old {called} is."
    ),
    CautionKind.HAZARD: lambda c, called, name, at: (
        f"{name}: {'; '.join(HAZARDS.get(hazard, hazard) for hazard in c.found)}."
    ),
    CautionKind.SUPERVISION: lambda c, called, name, at: (
        f"An adult who is responsible for {called} stays within sight and reach all the time{at}."
    ),
    CautionKind.ASSENT: lambda c, called, name, at: assent_caution(called),
}
