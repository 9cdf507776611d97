"""Why a combination is not possible, and what it waits for, without a full stop. A room by itself: what is
found in results.csv says it too."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from genplan.case import Case, Learner, Target
from genplan.case.possible import Obstacle, Rule
from genplan.case.safety import IN_DOUBT, SMALL_PARTS_MONTHS
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.language import N_, _, said
from genplan.language.pieces import said_of
from genplan.language.sentences import noun
from genplan.text.dimension_words import dimension_word

HAZARDS: Mapping[str, str] = {
    "small-ball": N_("a small ball: choking hazard, not for a child under three"),
    "magnet": N_("a magnet that a child can get at"),
    "button-cell": N_("a button cell that a child can get at"),
    "balloon": N_("a balloon: uninflated or burst it can choke; an adult keeps it in hand"),
    "cord": N_("a cord: an adult watches that it goes round no neck"),
    "heat": N_("something hot: an adult stays within reach"),
    "water": N_("water: an adult stays within arm's reach"),
    "sharp": N_("something sharp: an adult hands it out and takes it back"),
}
HAZARD_WORDS: Mapping[str, str] = {
    "small-ball": N_("small ball"),
    "magnet": N_("magnet"),
    "button-cell": N_("button cell"),
    "balloon": N_("balloon"),
    "cord": N_("cord"),
    "heat": N_("something hot"),
    "water": N_("water"),
    "sharp": N_("something sharp"),
}
"""In few words, where one of them is chosen."""


ALLERGEN_WORDS = {
    "gluten": N_("gluten"),
    "wheat": N_("wheat"),
    "crustaceans": N_("crustaceans"),
    "egg": N_("egg"),
    "fish": N_("fish"),
    "peanut": N_("peanut"),
    "soy": N_("soy"),
    "milk": N_("milk"),
    "nuts": N_("nuts or peanuts"),
    "tree-nuts": N_("tree nuts"),
    "celery": N_("celery"),
    "mustard": N_("mustard"),
    "sesame": N_("sesame"),
    "sulphites": N_("sulphites"),
    "lupin": N_("lupin"),
    "molluscs": N_("molluscs"),
    "latex": N_("latex"),
}


def allergens_text(found: Iterable[str]) -> str:
    """Known ones in the language of now, others as the case says. Nuts that may be any are said so once."""
    names = tuple(found)
    meant = {name for doubt, may_be in IN_DOUBT.items() if doubt in names for name in may_be}
    return ", ".join(
        said(ALLERGEN_WORDS[name]) if name in ALLERGEN_WORDS else _own(name)
        for name in names
        if name not in meant
    )


def _own(name: str) -> str:
    """The case has it as an id of small letters; it was typed as a word."""
    return noun(name.replace("-", " "))


def chosen_word(name: str) -> str:
    """What an allergen or a hazard is called in the language of now; one of the case's own as it says."""
    known = ALLERGEN_WORDS.get(name) or HAZARD_WORDS.get(name)
    return said(known) if known else _own(name)


def at_risk_text(learner: Learner, called: str) -> str:
    """Why a child is kept from what could be swallowed, the one of two reasons that holds: at any age, that it puts
    things into the mouth."""
    if learner.mouths:
        return _("{child} puts everything into the mouth", child=called)
    return _("{child} is under {months} months", child=called, months=SMALL_PARTS_MONTHS)


def obstacle_text(case: Case, against: Obstacle) -> str:
    texts = _BY_NAME if against.by_name else _TEXTS
    return said_of(_Said(case, against), texts[against.rule])


@dataclass(frozen=True)
class _Said:
    """An obstacle with what its sentence is made of."""

    case: Case
    against: Obstacle

    @property
    def target(self) -> Target:
        return self.case.targets[self.against.target]

    @property
    def child(self) -> str:
        return self.case.learners[self.target.learner].alias

    def called(self, dimension: str) -> str:
        return self.case.called(dimension, dict(self.against.values)[dimension])

    @property
    def person(self) -> str:
        return self.called(ADULT)

    @property
    def place(self) -> str:
        return self.called(LOCATION)

    @property
    def set(self) -> str:
        return f"'{self.called(MATERIAL_SET)}'"

    @property
    def months(self) -> int:
        return self.case.material_sets[dict(self.against.values)[MATERIAL_SET]].min_age_months

    @property
    def at_risk(self) -> str:
        return at_risk_text(self.case.learners[self.target.learner], self.child)

    @property
    def found(self) -> str:
        return allergens_text(self.against.found)

    @property
    def hazard(self) -> str:
        return said(HAZARDS[self.against.found[0]])

    @property
    def never(self) -> str:
        return ", ".join(self.called(name) for name, __ in self.against.values)

    @property
    def skill(self) -> str:
        return self.target.name

    @property
    def skill_id(self) -> str:
        return self.target.id

    @property
    def dimension(self) -> str:
        return dimension_word(self.against.values[0][0])

    @property
    def varied(self) -> str:
        return self.against.values[0][1]


_TEXTS: Mapping[Rule, str] = {
    Rule.ALLERGEN: N_("{set} holds {found}, which {child} must not meet"),
    Rule.HAZARD: N_("{set} holds {hazard}"),
    Rule.SMALL_PART: N_("{set} is or may be a small part, and {at_risk}"),
    Rule.MINIMUM_AGE: N_("{set} is for {months} months and over"),
    Rule.NEVER: N_("the case says never: {never}"),
    Rule.ADULT_AND_LEARNER: N_("{person} does not work with {child}"),
    Rule.ADULT_AND_LOCATION: N_("{person} does not go to {place}"),
    Rule.LOCATION_AND_LEARNER: N_("{place} does not take {child}"),
    Rule.SET_AND_LOCATION: N_("{set} is not kept at {place}"),
    Rule.BRIEFING: N_("{person} is not briefed on '{skill}' yet"),
    Rule.NOT_VARIED: N_("'{skill_id}' does not vary {dimension} '{varied}'"),
}

_BY_NAME: Mapping[Rule, str] = {
    Rule.HAZARD: N_("by its name {set} may hold {hazard}, and under this name nobody said that it does not"),
    Rule.SMALL_PART: N_(
        "by its name {set} may have pieces small enough to be swallowed, nobody said whether it has, and "
        "{at_risk}"
    ),
}
"""Of what only the name of a thing says."""
