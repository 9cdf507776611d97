"""Rules of amounts: how many sittings, probes and minutes people have in a sitting, on a day and in a week.

Each limit of a learner or an adult is one row here; reasons, the check of what fits together, observers, what would
help and the solver's encoding all go through the rows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

from genplan.case import Case
from genplan.case.people import AdultLimits, LearnerLimits
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import RETEST, PlacedSitting


class Span(Enum):
    SITTING = "sitting"
    DAY = "day"
    WEEK = "week"


class Unit(Enum):
    SITTINGS = "sittings"
    PROBES = "probes"
    TEACHINGS = "teachings"
    RETESTS = "retests"
    MINUTES = "minutes"


@dataclass(frozen=True)
class Amount:
    """The limit that is called `key` in a case: so much of a `unit` in a `span`. `more` is by how much people might be
    asked to raise it; 0: they are not asked."""

    key: str
    unit: Unit
    span: Span
    kind: Kind
    more: int = 1

    def most(self, limits: LearnerLimits | AdultLimits) -> int | None:
        """What the limits allow; None: no limit."""
        most: int | None = getattr(limits, self.key)
        return most

    def of(self, seat: PlacedSitting) -> int:
        """How much of it a sitting takes."""
        match self.unit:
            case Unit.SITTINGS:
                return 1
            case Unit.PROBES:
                return len(seat.real_probes)
            case Unit.TEACHINGS:
                return len(seat.probes) - len(seat.real_probes)
            case Unit.RETESTS:
                return sum(p.kind == RETEST for p in seat.probes)
            case Unit.MINUTES:
                return seat.minutes

    def taken(self, seat: PlacedSitting, others: Iterable[PlacedSitting]) -> int:
        """How much of it the others take in the span in which the seat lies."""
        return self.taken_on(seat.day, others)

    def taken_on(self, day: int, others: Iterable[PlacedSitting]) -> int:
        """The same of a sitting that is to be on that day."""
        if self.span is Span.SITTING:
            return 0
        return sum(self.of(o) for o in others if self.span is Span.WEEK or o.day == day)

    def is_over(
        self, limits: LearnerLimits | AdultLimits, seat: PlacedSitting, others: Iterable[PlacedSitting]
    ) -> bool:
        most = self.most(limits)
        return most is not None and self.of(seat) + self.taken(seat, others) > most


LEARNER_AMOUNTS = (
    Amount("sittings_per_day", Unit.SITTINGS, Span.DAY, Kind.SITTINGS_PER_DAY),
    Amount("probes_per_day", Unit.PROBES, Span.DAY, Kind.PROBES_PER_DAY),
    Amount("probes_per_sitting", Unit.PROBES, Span.SITTING, Kind.PROBES_PER_SITTING),
    Amount("sitting_minutes", Unit.MINUTES, Span.SITTING, Kind.SITTING_MINUTES, more=0),
    Amount("sittings_per_week", Unit.SITTINGS, Span.WEEK, Kind.SITTINGS_PER_WEEK),
    Amount("teachings_per_day", Unit.TEACHINGS, Span.DAY, Kind.TEACHINGS_PER_DAY),
    Amount("retests_per_day", Unit.RETESTS, Span.DAY, Kind.RETESTS_PER_DAY),
)
ADULT_AMOUNTS = (
    Amount("minutes_per_week", Unit.MINUTES, Span.WEEK, Kind.ADULT_MINUTES_PER_WEEK, more=30),
    Amount("sittings_per_day", Unit.SITTINGS, Span.DAY, Kind.ADULT_SITTINGS_PER_DAY),
    Amount("sittings_per_week", Unit.SITTINGS, Span.WEEK, Kind.ADULT_SITTINGS_PER_WEEK),
)


def learner_amounts(case: Case, seat: PlacedSitting, own: Sequence[PlacedSitting]) -> Iterator[Limit]:
    """The limits of the learner that the seat would pass; `own` are the learner's others."""
    limits = case.learners[seat.learner].limits
    for amount in LEARNER_AMOUNTS:
        if amount.is_over(limits, seat, own):
            yield Limit(amount.kind, learner=seat.learner, figure=amount.most(limits) or 0)


def adult_amounts(
    case: Case, adult: str, seat: PlacedSitting, hers: Sequence[PlacedSitting]
) -> Iterator[Limit]:
    """The limits of an adult in the seat that it would pass; `hers` are the adult's others, run or sat beside."""
    limits = case.adults[adult].limits
    for amount in ADULT_AMOUNTS:
        if amount.is_over(limits, seat, hers):
            yield Limit(amount.kind, adult=adult, figure=amount.most(limits) or 0)


def target_amounts(
    case: Case,
    target: str,
    seat: PlacedSitting,
    own: Sequence[PlacedSitting],
    recorded: Sequence[int] = (),
    recorded_teachings: Sequence[int] = (),
) -> Iterator[Limit]:
    """Probes and teachings of a target: one of them in a sitting, and what the policy allows of each on a day and in a
    week. `recorded` are the days on which further ones were run."""
    policy = case.policy
    if sum(p.target == target for p in seat.probes) > 1:
        yield Limit(Kind.TARGET_SITTING, figure=1)
    for probes, known, (day, a_day), (week, a_week) in (
        (
            True,
            recorded,
            (Kind.TARGET_DAY, policy.probes_per_target_per_day),
            (Kind.TARGET_WEEK, policy.probes_per_target_per_week),
        ),
        (
            False,
            recorded_teachings,
            (Kind.TEACHINGS_DAY, policy.teachings_per_target_per_day),
            (Kind.TEACHINGS_WEEK, policy.teachings_per_target_per_week),
        ),
    ):
        here = sum(p.target == target and p.is_probe is probes for p in seat.probes)
        days = [
            *known,
            *(o.day for o in own for p in o.probes if p.target == target and p.is_probe is probes),
        ]
        if here and here + days.count(seat.day) > a_day:
            yield Limit(day, figure=a_day)
        if here and here + len(days) > a_week:
            yield Limit(week, figure=a_week)
