"""Cautions as whole sentences: the standing ones, and those of a sitting."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping

from genplan.case import Case
from genplan.case.cautions import OF_SIZE, Caution, CautionKind
from genplan.case.safety import SMALL_PARTS_MONTHS, avoided_allergens
from genplan.case.targets import LOCATION, MATERIAL_SET
from genplan.keeping.told import CautionTold
from genplan.language import N_, _, and_list, or_list, said
from genplan.text.obstacles import HAZARDS, allergens_text

LOCAL_RULES = N_(
    "Local rules, and the licensed practitioner in charge, come before anything written here:"
    " ask them where in doubt."
)
NO_TREATMENT = N_("This program plans checks of skills that were already taught. It prescribes no treatment.")
BEFORE_AND_AFTER = N_(
    "This program plans checks of skills, of some before anybody teaches them. It prescribes no treatment."
)
TEACHING_IS_THEIRS = N_(
    "This program plans when skills are checked and when they are taught. How they are taught the practitioner decides."
    " It prescribes no treatment."
)
SCREENING_ONLY = N_(
    "Its checks of materials are a first screening by what was written down. They clear nothing for good:"
    " look at each set before use, for loose or broken pieces too."
)


def standing_cautions(case: Case) -> tuple[str, ...]:
    """What every page that is handed out says once."""
    before = BEFORE_AND_AFTER if case.policy.baseline_per_target else NO_TREATMENT
    return (
        said(LOCAL_RULES),
        said(TEACHING_IS_THEIRS if case.policy.plan_teaching else before),
        said(SCREENING_ONLY),
    )


def assent_caution(shown_as: str) -> str:
    """When to stop, and how that is written down. `shown_as` is what the learner is called on this page."""
    return _(
        "If {shown_as} says no, walks away or is distressed, stop. That is not a wrong answer and nobody has"
        " failed: write 'not run' and the reason.",
        shown_as=shown_as,
    )


def caution_text(case: Case, caution: Caution, called: str, locations: Collection[str] = ()) -> str:
    """What to look out for. The learner is `called` so on this page; `locations` are all at which it holds, without
    them the caution's own."""
    places = locations or ([caution.location] if caution.location else [])
    named = "; ".join(case.called(LOCATION, place) for place in places)
    at = _(" at {place}", place=named) if named else ""
    sets = (caution.material_set, *caution.also) if caution.material_set else ()
    name = and_list([f"'{case.called(MATERIAL_SET, id_)}'" for id_ in sets])
    text = _TEXTS[caution.kind](caution, called, name, at)
    return text.replace(f"{called}.", called) if called.endswith(".") else text


def allergy_caution(case: Case, learner: str, called: str) -> str:
    """In few words, beside what is brought to a sitting; empty where nothing has to be kept away."""
    avoided = sorted(avoided_allergens(case.learners[learner].allergens))
    if not avoided:
        return ""
    return _(
        "{called} must not meet {found}: check what is brought.", called=called, found=allergens_text(avoided)
    )


def no_longer_text(case: Case, told: CautionTold, called: str) -> str:
    """What people were told to look out for and is not written down any more. It promises nothing: that nobody wrote it
    down does not make it safe."""
    about = case.called(MATERIAL_SET, told.material_set) if told.material_set else ""
    what = _NO_LONGER[CautionKind(told.kind)](told.found, called)
    return _(
        "No longer written down for {about}: {what}. Before anything that was put away is used again, look as you"
        " always would.",
        about=f"'{about}'" if about else called,
        what=what,
    )


def _any_of(found: Collection[str]) -> str:
    return or_list([allergens_text((one,)) for one in sorted(found)])


def _of_size(found: Collection[str], called: str) -> str:
    return _("that a piece may be small enough to be swallowed, or is to be measured")


_NO_LONGER: Mapping[CautionKind, Callable[[Collection[str], str], str]] = {
    CautionKind.AVOID: lambda found, called: _("to keep away from {found}", found=allergens_text(found)),
    CautionKind.NOTHING_SMALL: lambda found, called: _(
        "to have no other small things nearby (magnets and button cells stay away from every child as before)"
    ),
    CautionKind.ALLERGEN: lambda found, called: _("that it holds {found}", found=allergens_text(found)),
    CautionKind.CONTENT_UNKNOWN: lambda found, called: _(
        "that nobody knew whether there is any {found} in it", found=_any_of(found)
    ),
    CautionKind.MINIMUM_AGE: lambda found, called: _("that {called} may be too young for it", called=called),
    CautionKind.HAZARD: lambda found, called: "; ".join(
        said(HAZARDS.get(hazard, hazard)) for hazard in found
    ),
    **dict.fromkeys(OF_SIZE, _of_size),
}


def _of_age(caution: Caution, called: str) -> str:
    if not caution.age_unknown:
        return ""
    return _(
        " The case does not say whether {called} is {months} months old.",
        called=called,
        months=SMALL_PARTS_MONTHS,
    )


_TEXTS: Mapping[CautionKind, Callable[[Caution, str, str, str], str]] = {
    CautionKind.AVOID: lambda c, called, name, at: _(
        "{called} must not meet {found}: check what is brought, food, creams and materials{at}.",
        called=called,
        found=allergens_text(c.found),
        at=at,
    ),
    CautionKind.NOTHING_SMALL: lambda c, called, name, at: _(
        "{called} may put anything into the mouth: no other small things, magnets or button cells nearby.",
        called=called,
    ),
    CautionKind.ALLERGEN: lambda c, called, name, at: _(
        "{name} holds {found}: do not use it with {called}.",
        name=name,
        found=allergens_text(c.found),
        called=called,
    ),
    CautionKind.CONTENT_UNKNOWN: lambda c, called, name, at: (
        _(
            "{names}: nobody has written down whether there is any {found} in them. Read each label first; what does "
            "not say, leave out.",
            names=name,
            found=_any_of(c.found),
        )
        if c.also
        else _(
            "{name}: nobody has written down whether there is any {found} in it. Read the label first; if that does "
            "not say, leave it out.",
            name=name,
            found=_any_of(c.found),
        )
    ),
    CautionKind.MOUTH: lambda c, called, name, at: _(
        "{name} is or may be a small part: watch that no piece goes to the mouth.", name=name
    ),
    CautionKind.CONFIRM_SIZE: lambda c, called, name, at: _(
        "{name} is no small part by its sizes: measure its smallest piece once more before use.", name=name
    ),
    CautionKind.SMALL_PART: lambda c, called, name, at: _(
        "{name} is or may be a small part: never give it to a child under {months} months, or to one who puts "
        "everything into the mouth.{of_age}",
        name=name,
        months=SMALL_PARTS_MONTHS,
        of_age=_of_age(c, called),
    ),
    CautionKind.SIZE_UNKNOWN: lambda c, called, name, at: _(
        "Not known whether {name} has a piece small enough to be swallowed, a magnet or a button cell: look before "
        "use.{of_age}",
        name=name,
        of_age=_of_age(c, called),
    ),
    CautionKind.MINIMUM_AGE: lambda c, called, name, at: (
        _(
            "{name} is for {months} months and over; the case does not say how old {called} is.",
            name=name,
            months=c.months,
            called=called,
        )
        if c.age_unknown
        else _(
            "{name} is for {months} months and over: do not use it with {called}.",
            name=name,
            months=c.months,
            called=called,
        )
    ),
    CautionKind.HAZARD: lambda c, called, name, at: (
        f"{name}: {'; '.join(said(HAZARDS.get(hazard, hazard)) for hazard in c.found)}."
    ),
    CautionKind.SUPERVISION: lambda c, called, name, at: _(
        "An adult who is responsible for {called} stays within sight and reach all the time{at}.",
        called=called,
        at=at,
    ),
    CautionKind.ASSENT: lambda c, called, name, at: assent_caution(called),
}
