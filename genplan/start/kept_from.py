"""What a child is kept from, and what nobody has to be asked about before it is tried."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from datetime import date
from typing import Any

from genplan.case.people import Birth, Learner
from genplan.case.possible import Rule, kept_away
from genplan.case.safety import HAZARDS, NEVER_PLANNED, SMALL_PARTS_MONTHS, MaterialSet
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.small_words import hazards_named, usually_small
from genplan.language import _, said
from genplan.start.answers import Answers, Entry
from genplan.start.asked_about_people import CHILDREN
from genplan.start.asked_about_places import (
    BALLOON,
    BIG_WHATEVER_ITS_NAME,
    CAUTIONS,
    NONE_OF_THESE,
    ON_SIZE,
    SEEN_TO_BE_FREE,
    SMALL,
    THINGS,
    TOO_BIG,
)
from genplan.start.questions import Group
from genplan.start.reading import value_of
from genplan.text.obstacles import allergens_text, at_risk_text


def kept_from(answers: Answers, child: Entry, thing: Entry, today: date) -> str:
    """Why a thing is not planned for this child as of `today`; nothing where it may be. Raises InvalidValue."""
    learner, held = _learner(answers, child, today), material_set(answers, thing)
    why = kept_away(learner, held, today)
    if why is None:
        return ""
    if why.rule is Rule.ALLERGEN:
        return _("it holds {allergens}", allergens=allergens_text(why.found))
    if why.rule is Rule.HAZARD:
        hazard = dict(THINGS.question("cautions").choices(answers))[why.found[0]]
        if why.by_name:
            return _("by its name it may hold {hazard}, and nothing was said of that", hazard=hazard)
        return hazard
    if why.by_name:
        return _("by its name it may have small pieces, and nothing was said of that")
    if learner.mouths:
        return _("nothing that could be swallowed is planned for a child who puts things into the mouth")
    return _(
        "nothing that could be swallowed is planned under the age of {months} months",
        months=SMALL_PARTS_MONTHS,
    )


def material_set(answers: Answers, thing: Entry) -> MaterialSet:
    """The thing, as far as a child may be kept from it. Raises InvalidValue."""
    cautions = _said(answers, THINGS, thing, "cautions")
    seen = not {NONE_OF_THESE, TOO_BIG}.isdisjoint(cautions)
    hazards = frozenset((*cautions, *_said(answers, THINGS, thing, "hazards"))) & frozenset(HAZARDS)
    free = seen_to_be_free(answers, thing)
    return MaterialSet(
        id=thing.key,
        name=thing.get("name"),
        small_parts=True if SMALL in cautions else False if seen else None,
        allergens=frozenset(_said(answers, THINGS, thing, "holds")),
        hazards=hazards,
        small_by_name=usually_small(thing.get("name")),
        hazards_by_name=hazards_named(thing.get("name")) - hazards - free,
    )


def seen_to_be_free(answers: Answers, thing: Entry) -> frozenset[str]:
    """The hazards that somebody looked for and did not find. To what its name says outright only the answer that names
    it is one: the tick that says it of all three may be meant of many things. Raises InvalidValue."""
    cautions = _said(answers, THINGS, thing, "cautions")
    of_all = NEVER_PLANNED - hazards_named(thing.get("name")) if NONE_OF_THESE in cautions else frozenset()
    named = {hazard for hazard, (answer, _words) in SEEN_TO_BE_FREE.items() if answer in cautions}
    return of_all.union(named).difference(cautions, _said(answers, THINGS, thing, "hazards"))


def _learner(answers: Answers, child: Entry, today: date | None) -> Learner:
    born = _said(answers, CHILDREN, child, "born")
    return Learner(
        id=child.key,
        name=child.get("name"),
        alias=child.get("name"),
        born=Birth(*map(int, born.split("-"))) if born and today else None,
        mouths=bool(_said(answers, CHILDREN, child, "mouths")),
        allergens=frozenset(_said(answers, CHILDREN, child, "allergies")),
    )


def small_by_name(thing: Entry, answers: Answers, cautions: Sequence[str]) -> str:
    """What to say of a thing that is called as what is usually small, and that is said to be nothing small, where a
    child may be too young for that: a slip, or a tick for many at once, would bring it there."""
    is_said = SMALL in cautions or TOO_BIG in cautions or NONE_OF_THESE not in cautions
    if is_said or not usually_small(thing.get("name")) or not _somebody_may_be_young(answers):
        return ""
    return _(
        "By its name {name} may have pieces small enough to be swallowed. If one is loose or could come off, choose "
        "'{small}' and no more. If you have looked and there is none, choose '{too_big}'.",
        name=thing.get("name"),
        small=said(dict(CAUTIONS)[SMALL]),
        too_big=said(BIG_WHATEVER_ITS_NAME),
    )


def held_by_name(thing: Entry, cautions: Sequence[str]) -> str:
    """What to say of a thing whose name says outright what is in it, and that is said to be nothing to look out for."""
    left = hazards_named(thing.get("name")) if NONE_OF_THESE in cautions else frozenset()
    has, chosen = dict((*CAUTIONS, BALLOON)), {*cautions, *thing.get("hazards").split("\n")}
    return " ".join(
        _(
            "By its name this may be in {name}, or on it: {hazard}. If it is there, choose that. If you have looked "
            "and there is none, choose '{free}'.",
            name=thing.get("name"),
            hazard=said(has[hazard]),
            free=said(SEEN_TO_BE_FREE[hazard][1]),
        )
        for hazard in sorted(left)
        if {hazard, SEEN_TO_BE_FREE[hazard][0]}.isdisjoint(chosen)
    )


def not_answered(thing: Entry, answers: Answers, cautions: Sequence[str]) -> str:
    """What to say of a thing of which nobody said whether a piece could be swallowed, where a child is known to be at
    risk: each thing is asked about by itself."""
    if not ON_SIZE.isdisjoint(cautions) or not (child := at_risk(answers)):
        return ""
    return _(
        "Look at {name}, and say here what you saw: {at_risk}. If you cannot look, choose '{small}': then it is kept "
        "from {child}.",
        name=thing.get("name"),
        child=child.name,
        at_risk=at_risk_text(child, child.name),
        small=said(dict(CAUTIONS)[SMALL]),
    )


def at_risk(answers: Answers) -> Learner | None:
    """The first child who is known to be too young for small parts, or to put things into the mouth."""
    for child in answers.entries("children"):
        with suppress(InvalidValue):
            learner = _learner(answers, child, answers.today)
            if learner.mouths or (learner.born is not None and _is_young(learner, answers)):
                return learner
    return None


def _somebody_may_be_young(answers: Answers) -> bool:
    children = (_learner(answers, child, answers.today) for child in answers.entries("children"))
    return any(child.mouths or _is_young(child, answers) for child in children)


def _is_young(child: Learner, answers: Answers) -> bool:
    """Or may be, for all that is known."""
    today = answers.today
    return child.born is None or today is None or child.born.age_months(today) < SMALL_PARTS_MONTHS


def _said(answers: Answers, group: Group, entry: Entry, question: str) -> Any:
    return value_of(group.question(question), entry, answers)
