"""What a child is kept from, and what nobody has to be asked about before it is tried."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from genplan.case.people import Birth
from genplan.case.safety import NEVER_PLANNED, SMALL_PARTS_MONTHS, allergens_met
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.small_words import usually_small
from genplan.language import _, said
from genplan.start.allergies import named_and_not_chosen
from genplan.start.answers import Answers, Entry
from genplan.start.asked_about_people import CHILDREN
from genplan.start.asked_about_places import (
    BIG_WHATEVER_ITS_NAME,
    CAUTIONS,
    NONE_OF_THESE,
    SMALL,
    THINGS,
    TOO_BIG,
)
from genplan.start.questions import Group
from genplan.start.reading import value_of
from genplan.text.obstacles import allergens_text


def kept_from(answers: Answers, child: Entry, thing: Entry, today: date) -> str:
    """Why a thing is not planned for this child as of `today`; nothing where it may be. Raises InvalidValue."""
    avoided = frozenset(_said(answers, CHILDREN, child, "allergies"))
    if found := allergens_met(avoided, _said(answers, THINGS, thing, "holds")):
        return _("it holds {allergens}", allergens=allergens_text(found))
    cautions = _said(answers, THINGS, thing, "cautions")
    for caution in cautions:
        if caution in NEVER_PLANNED:
            return dict(THINGS.question("cautions").choices(answers))[caution]
    months = _age_months(answers, child, today)
    mouths = bool(_said(answers, CHILDREN, child, "mouths"))
    if not mouths and (months is None or months >= SMALL_PARTS_MONTHS):
        return ""
    if SMALL in cautions:
        if mouths:
            return _("nothing that could be swallowed is planned for a child who puts things into the mouth")
        return _(
            "nothing that could be swallowed is planned under the age of {months} months",
            months=SMALL_PARTS_MONTHS,
        )
    if usually_small(thing.get("name")) and {NONE_OF_THESE, TOO_BIG}.isdisjoint(cautions):
        return _("by its name it may have small pieces, and nothing was said of that")
    return ""


def fits_everybody(answers: Answers, thing: Entry) -> bool:
    """No child is kept from it, nothing in it could be swallowed, and nothing about that is left open: whether another
    thing fits somebody has to say. A child who may be too young for small parts needs somebody who has looked."""
    try:
        cautions = _said(answers, THINGS, thing, "cautions")
        if SMALL in cautions or (
            {NONE_OF_THESE, TOO_BIG}.isdisjoint(cautions) and _somebody_may_be_young(answers)
        ):
            return False
        if named_and_not_chosen(thing, answers, _said(answers, THINGS, thing, "holds")):
            return False
        return not any(kept_from(answers, child, thing, date.max) for child in answers.entries("children"))
    except InvalidValue:
        return False


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


def _somebody_may_be_young(answers: Answers) -> bool:
    return any(
        (months := _age_months(answers, child, answers.today)) is None
        or months < SMALL_PARTS_MONTHS
        or _said(answers, CHILDREN, child, "mouths")
        for child in answers.entries("children")
    )


def _age_months(answers: Answers, child: Entry, today: date | None) -> int | None:
    born = _said(answers, CHILDREN, child, "born")
    return Birth(*map(int, born.split("-"))).age_months(today) if born and today else None


def _said(answers: Answers, group: Group, entry: Entry, question: str) -> Any:
    return value_of(group.question(question), entry, answers)
