"""Material sets, and what about them decides whether a child may be given them.

Screening only: an estimate never clears a set for good. Local rules and the licensed practitioner in charge decide.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from genplan.case.people import Absence

SMALL_PARTS_MONTHS = 36
"""Under this age a small part is refused: 16 CFR 1501.2 and 1500.18(a)(9) speak of children under 3 years, which 1501.2
puts as 36 months (both read). The size is that of 1501.4."""

ALLERGENS: frozenset[str] = frozenset(
    [
        "gluten",
        "wheat",
        "crustaceans",
        "egg",
        "fish",
        "peanut",
        "soy",
        "milk",
        "nuts",
        "tree-nuts",
        "celery",
        "mustard",
        "sesame",
        "sulphites",
        "lupin",
        "molluscs",
        "latex",
    ]
)
"""The 14 of Regulation (EU) 1169/2011, Annex II, in short names, and wheat and latex beside them. Its nuts are the
`tree-nuts`; who says `nuts` leaves open which are meant."""

ALLERGENS_WITHIN = {"gluten": frozenset({"wheat"})}
"""Who avoids the key avoids these too, and what holds the key may hold any of these."""

IN_DOUBT = {"nuts": frozenset({"tree-nuts", "peanut"})}
"""A word that leaves open which is meant, of a child or of a thing -> each that it may be: all of them count."""

_STANDS_FOR = {**ALLERGENS_WITHIN, **IN_DOUBT}

NEVER_PLANNED = frozenset({"magnet", "button-cell"})
"""Hazards that no probe may hold, for no child (a rule of this program, stricter than 16 CFR 1262, and
than 16 CFR 1263 as remembered)."""

NAMED_HAZARDS = ("magnet", "button-cell", "balloon")
"""Those that the name of a thing may say, and of which `free_of` says that somebody looked and there is none."""

HAZARDS = ("small-ball", "magnet", "button-cell", "balloon", "cord", "heat", "water", "sharp")
"""Known hazards; a sheet prints a caution for each. A small ball is one of 16 CFR 1500.19(a)(2); that those
are banned for children under three is 1500.18(a)(17), from memory."""

# A rigid object is certainly too big for the small-parts cylinder (16 CFR 1501.4, figure 1: 31.75 mm across,
# 25.4 to 57.15 mm deep; the short side and the millimetres from memory) if its middle size is over 31.75 mm,
# since it then holds a disc of that width, or if its largest is over 65.38 mm, the longest straight line in the
# cavity: sqrt(31.75² + 57.15²). A millimetre and more is kept for the error of a ruler.
TOO_WIDE_MM = 33.0
TOO_LONG_MM = 67.0
MOST_COPIES = 1000


@dataclass(frozen=True, kw_only=True)
class MaterialSet:
    """The objects of a probe.

    copies          how many of the set there are
    kept_at         ids of locations; None: it travels with the learner
    small_parts     a piece is, or may be, one; None: nobody said
    dimensions_mm   three sizes of the smallest piece, mm
    min_age_months  no younger learner is given it
    allergens       what it holds
    free_of         what somebody looked for and did not find in it: allergens, and hazards that its name says
    holds_nothing   somebody said that it holds no allergen
    by_name         allergens that its name says that it holds, where neither of the two answers
    maybe_by_name   allergens that what is called so often holds: asked about, where nothing answers
    hazards         what an adult must watch
    small_by_name   called as what usually has small pieces; it counts while nothing else is known of their size
    hazards_by_name what its name says that an adult must watch, where neither `hazards` nor `free_of` answers
    bring           it has to be brought; not so with empty hands, or what is there anyway
    missing         stretches in which no sitting may use it, half-open
    """

    id: str
    name: str
    copies: int = 1
    kept_at: frozenset[str] | None = None
    small_parts: bool | None = None
    dimensions_mm: tuple[float, float, float] | None = None
    min_age_months: int = 0
    allergens: frozenset[str] = frozenset()
    free_of: frozenset[str] = frozenset()
    holds_nothing: bool = False
    by_name: frozenset[str] = frozenset()
    maybe_by_name: frozenset[str] = frozenset()
    hazards: frozenset[str] = frozenset()
    small_by_name: bool = False
    hazards_by_name: frozenset[str] = frozenset()
    bring: bool = True
    missing: tuple[Absence, ...] = ()

    @property
    def holds(self) -> frozenset[str]:
        """What it is said to hold, and what its name says: both are kept from whoever must not meet it."""
        return self.allergens | self.by_name

    def left_unsaid(self, allergens: Collection[str]) -> frozenset[str]:
        """Those of which nobody said whether it holds them. Of nuts of no kind each kind is answered by itself: that it
        holds one, or does not, says nothing of the other."""
        if not allergens:
            return frozenset()
        wider = {name for name, within in ALLERGENS_WITHIN.items() if within & self.allergens}
        answered, left = with_meanings(self.allergens) | wider | self.free_of, set[str]()
        for name in set(allergens) - answered:
            kinds = IN_DOUBT.get(name, frozenset({name}))
            unsaid = kinds - answered
            left |= {name} if unsaid == kinds else unsaid
        return frozenset(left)

    @property
    def is_nothing(self) -> bool:
        """A set of nothing, for a skill without objects: nobody brings it, it is kept nowhere, nothing in it is small,
        and nothing is said of it that only a thing has."""
        of_a_thing = (
            self.holds or self.maybe_by_name or self.watched or self.dimensions_mm or self.min_age_months
        )
        return not (self.bring or of_a_thing) and self.kept_at is None and self.small_parts is False

    @property
    def watched(self) -> frozenset[str]:
        """The hazards that it is said to have, and those that its name says."""
        return self.hazards | self.hazards_by_name

    @property
    def is_small_by_name(self) -> bool:
        """Called as what is usually small, and nobody said whether it is."""
        return self.small_by_name and self.may_be_small_part is None

    @property
    def may_be_small_part(self) -> bool | None:
        """True: it is or may be one; False: said or measured not to be; None: nothing is known."""
        if self.small_parts or "small-ball" in self.hazards:
            return True
        if self.dimensions_mm is not None:
            return not certainly_too_big(self.dimensions_mm)
        return self.small_parts


def certainly_too_big(dimensions_mm: tuple[float, float, float]) -> bool:
    """Whether a rigid object of these three sizes cannot fit the small-parts cylinder, whatever its shape."""
    _, middle, largest = sorted(dimensions_mm)
    return middle >= TOO_WIDE_MM or largest >= TOO_LONG_MM


def avoided_allergens(allergens: frozenset[str]) -> frozenset[str]:
    """What a learner with these allergens must not meet: the names themselves, all that they hold, all that they may
    mean."""
    return with_meanings(allergens)


def with_meanings(allergens: Collection[str]) -> frozenset[str]:
    """With all that each may stand for, of a child or of a thing: gluten may be that of wheat."""
    return frozenset(allergens).union(*(_STANDS_FOR.get(name, ()) for name in allergens))


def allergens_met(avoided: frozenset[str], held: Collection[str]) -> tuple[str, ...]:
    """Of what a thing holds, what a learner with these allergens must not meet, as the thing has it."""
    if not avoided or not held:
        return ()
    kept_away = avoided_allergens(avoided)
    return tuple(name for name in sorted(held) if not kept_away.isdisjoint(with_meanings((name,))))


def are_in_doubt(allergens: Collection[str]) -> bool:
    """Whether it is left open if peanuts are meant: `nuts` beside `peanut` is both."""
    return "nuts" in allergens and "peanut" not in allergens
