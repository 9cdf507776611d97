"""What becomes of a key's value in a copy without names, as a value; `sharing.redaction` does it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto


class How(Enum):
    AS_IS = auto()
    """Numbers, hours, days and the format's own words; anything else is lost."""
    LOST = auto()
    OUT = auto()
    """The key is not in the copy at all."""
    DATES = auto()
    BIRTH = auto()
    ZONE = auto()
    CALENDAR = auto()
    EMAIL = auto()
    TEXT = auto()
    """Other words: `of` is what they begin with."""
    IDS = auto()
    """Other ids: `of` are the sections that may have them."""
    SITTINGS = auto()
    """Ids of sittings: another day, adult and learner. One that is no sitting's is a target's."""
    NAMES = auto()
    """Names of allergens or hazards: `of` is what the other one begins with, then the names that stay."""
    ALLERGENS = auto()
    """Of a child, or of a thing."""
    PATTERNS = auto()
    COUNTS = auto()
    VARIED = auto()
    POLICY = auto()
    POLICY_NAME = auto()
    GROUP = auto()
    """Each of its keys as that key says."""
    GROUPS_MIXED = auto()
    """The same for a list of groups, in an order that tells nothing."""
    SECTION = auto()
    """Things by their ids, each key as it says: `of` is the section."""


@dataclass(frozen=True)
class InCopy:
    how: How
    of: tuple[str, ...] = ()


AS_IS, LOST, DATES, BIRTH = InCopy(How.AS_IS), InCopy(How.LOST), InCopy(How.DATES), InCopy(How.BIRTH)
ZONE, CALENDAR = InCopy(How.ZONE), InCopy(How.CALENDAR)
ALLERGENS_MIXED = InCopy(How.ALLERGENS)
SITTINGS = InCopy(How.SITTINGS)
EMAIL, OUT = InCopy(How.EMAIL), InCopy(How.OUT)
PATTERNS, COUNTS, VARIED = InCopy(How.PATTERNS), InCopy(How.COUNTS), InCopy(How.VARIED)
POLICY, POLICY_NAME = InCopy(How.POLICY), InCopy(How.POLICY_NAME)
GROUP, GROUPS_MIXED = InCopy(How.GROUP), InCopy(How.GROUPS_MIXED)


def said(start: str) -> InCopy:
    return InCopy(How.TEXT, (start,))


def ids(*sections: str) -> InCopy:
    return InCopy(How.IDS, sections)


def names(start: str, *known: str) -> InCopy:
    return InCopy(How.NAMES, (start, *known))


def section(name: str) -> InCopy:
    return InCopy(How.SECTION, (name,))
