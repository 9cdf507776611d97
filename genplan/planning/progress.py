"""How far a search is, as values. What a person reads is made of them last (`text/progress.py`)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from genplan.case import Week
from genplan.plan import ObjectiveName
from genplan.rules.placed_sittings import PlacedSitting

if TYPE_CHECKING:
    from genplan.planning.first_week import FirstWeek
    from genplan.planning.week_context import WeekContext


class Phase(StrEnum):
    """What is being done."""

    SEARCHING = "searching"
    TOGETHER = "all together"
    SHORTEST_WAY = "on the shortest way"
    ALONE = "alone"
    SCARCE = "without what is scarce"
    IN_TURN = "in turn"
    BETTERING = "bettering"
    INSERTING = "inserting"
    FINISHING = "finishing"
    BOUND = "what all can have together"
    OBSERVERS = "observers"
    REASONS = "reasons"
    CHECKING = "checking"
    WRITING = "writing"


@dataclass(frozen=True)
class PhaseProgress:
    """A phase, and how many of how many things of it are done; `of` is 0 where they are not counted. `better`: how many
    of them made the week better, where that is what they are for."""

    phase: Phase
    done: int = 0
    of: int = 0
    better: int = 0


@dataclass(frozen=True)
class StageProgress:
    """The stage of one search: its objective, and the best value and bound by now, None before there are any."""

    objective: ObjectiveName
    most: bool
    value: float | None = None
    bound: float | None = None


@dataclass(frozen=True)
class SearchBegun:
    """The search of a week begins, from these facts; `first` is the week without a search. Not for another process."""

    context: WeekContext
    first: FirstWeek


@dataclass(frozen=True)
class WeekSoFar:
    """The sittings of the best week so far, without those that have begun; `at_most` is proven of the new tuples."""

    seats: tuple[PlacedSitting, ...]
    at_most: int | None = None


@dataclass(frozen=True)
class InWeek:
    """What is said of one of several weeks."""

    week: Week
    said: Said


Said = PhaseProgress | StageProgress | SearchBegun | WeekSoFar | InWeek | str
"""A text is of what has no value of its own yet, and shown as it is."""
Say = Callable[[Said], None]


def no_progress(said: Said) -> None:
    """Says nothing."""
