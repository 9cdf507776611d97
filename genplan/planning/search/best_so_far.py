"""The best week so far of a caseload, as a value that is never changed, and what it is worth."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import isclose

from genplan.plan import COMFORT, COVERAGE, FEWEST, TAUGHT, ObjectiveName
from genplan.planning.alone import proven_of
from genplan.planning.caseload_problem import Caseload, Seats, all_seats
from genplan.planning.compatible import fits
from genplan.planning.figures import (
    coverage_values,
    new_tuples,
    rather_value,
    sittings_and_journeys,
    thousandths,
    told_value,
)
from genplan.planning.outcome import Outcome
from genplan.planning.recount import largest_load, own_comfort
from genplan.rules.placed_sittings import PlacedSitting, of_learner

OWED = (
    ObjectiveName.RATHER,
    ObjectiveName.DUE,
    ObjectiveName.DATED,
    ObjectiveName.WISHED,
    *TAUGHT,
)
"""What the week shows or holds besides new tuples, of which `share` tells."""
Own = Mapping[str, float]
"""What the seats of one learner come to, by objective, and its `shown`: the new tuples, counted once each."""


@dataclass(frozen=True, kw_only=True)
class BestSoFar:
    """A week of all learners, and what is known beside it.

    - `load`: the caseload
    - `most`: learner -> the most new tuples that were proven possible for it alone, a count
    - `alone`: what was found and proven of each alone
    - `wanted`: in the order in which learners are planned, the seats that each would like best
    - `scarce`: the adults and locations, as `("adult" or "location", id)`, that more want than they have room for
    - `seats`: each learner's
    - `own`: what each learner's seats come to, which is counted once
    - `further`: the probes that later weeks need beside these seats, of learners for whom a search looked"""

    load: Caseload
    most: Mapping[str, int]
    alone: Mapping[str, Outcome] = field(default_factory=dict)
    wanted: Seats = field(default_factory=dict)
    scarce: tuple[tuple[str, str], ...] = ()
    seats: Seats = field(default_factory=dict)
    own: Mapping[str, Own] = field(default_factory=dict)
    further: Mapping[str, float] = field(default_factory=dict)

    def with_seats(self, seats: Seats, further: Mapping[str, float] | None = None) -> BestSoFar:
        """The same with other seats of these learners, and what a search said of their further probes."""
        own = {i: own_values(self.load, i, mine, self.most.get(i, 0)) for i, mine in seats.items()}
        kept = {i: n for i, n in self.further.items() if i not in seats}
        return replace(
            self, seats={**self.seats, **seats}, own={**self.own, **own}, further={**kept, **(further or {})}
        )

    def proven_of(self, group: Collection[str]) -> dict[ObjectiveName, float]:
        """What no week of the group can beat that is at its best in all objectives before."""
        return proven_of([self.alone[i] for i in group if i in self.alone], len(group))

    @property
    def shows_the_most(self) -> bool:
        """Whether the week has all that is proven of each learner alone, in every objective of coverage."""
        proven = self.proven_of(self.load.learners)
        return all(
            isclose(value, proven[name], abs_tol=1e-6)
            for name, value in self.values.items()
            if name in proven and name in COVERAGE
        )

    def others(self, group: Collection[str]) -> tuple[PlacedSitting, ...]:
        return all_seats(self.seats, but=group)

    def has_room_for(self, group: Collection[str], seats: Sequence[PlacedSitting]) -> bool:
        """Whether the group could have these seats in place of its own, beside all others, planned or not."""
        settled = self.load.settled.others if self.load.settled else ()
        return fits(self.load.case, seats, (*self.load.begun, *settled, *self.others(group)))

    def share(self, learner: str) -> float:
        """What a learner has of the most new tuples that it could have alone, with what the weeks before gave."""
        most, had = self.most.get(learner, 0), self.load.before.tuples.get(learner, 0)
        return (had + self.own[learner]["shown"]) / (had + most) if most > 0 else 1.0

    def owed(self, learner: str) -> float:
        """How much more a learner had alone of all but new tuples: probes that are due, dates, wishes, teachings."""
        alone = self.alone.get(learner)
        if alone is None:
            return 0.0
        return sum(
            max(0.0, found.value - self.own[learner][name])
            for name in OWED
            if (found := alone.objective(name))
        )

    @cached_property
    def short(self) -> tuple[str, ...]:
        """Learners who have less than they could have alone, who has least of the new tuples first."""
        shares = sorted((self.share(i), i) for i in self.load.learners)
        return tuple(i for share, i in shares if share < 1 or self.owed(i))

    @cached_property
    def short_of_new(self) -> tuple[str, ...]:
        """Those of them for whom whole weeks are planned again: who is short of new tuples, or, where teaching is
        planned, of anything. What else is missing a day alone wins back for a twentieth of the work."""
        teaching = self.load.case.policy.plan_teaching
        return tuple(i for i in self.short if teaching or self.share(i) < 1)

    @cached_property
    def values(self) -> Mapping[ObjectiveName, float]:
        """What the whole week comes to, objective by objective in their order. Where nobody looked for the further
        probes of a learner they are taken to be one more than are enough for sure: one for each tuple left open."""
        own, seats = self.own.values(), all_seats(self.seats)
        had = self.load.before.tuples
        shares = [
            thousandths(int(self.own[i]["shown"]), most, had.get(i, 0))
            for i, most in self.most.items()
            if most > 0
        ]
        of_all: dict[str, float] = {
            ObjectiveName.SHARES: min((1000, *shares)) / 1000 if shares else 0.0,
            ObjectiveName.FURTHER_PROBES: sum(
                self.further.get(i, o["left open"] + 1) for i, o in self.own.items()
            ),
            ObjectiveName.SITTINGS: float(sittings_and_journeys(seats)),
            ObjectiveName.LOADS: float(largest_load(self.load, seats)),
            ObjectiveName.PEOPLE: float(len(self.load.told_anew(seats).people)),
        }
        # sums of tenths differ in their last digits by the order of adding
        return {
            name: of_all[name] if name in of_all else round(sum(o[name] for o in own), 6)
            for name in self.load.objectives_of_all(*COVERAGE, *COMFORT)
        }

    @cached_property
    def worth(self) -> tuple[float, ...]:
        """What weeks are compared by: the objectives in their order, each so that more is better."""
        return tuple(-value if name in FEWEST else value for name, value in self.values.items())


def own_values(load: Caseload, learner: str, seats: Sequence[PlacedSitting], most: int) -> Own:
    """All that the seats of one learner decide by themselves."""
    needs = [n for n in load.needs if n.target.learner == learner]
    shown = sum(len(new_tuples(n, seats)) for n in needs)
    return {
        **coverage_values(load.case, load.week, needs, seats, {learner: most}),
        **own_comfort(load, learner, seats),
        ObjectiveName.OTHERWISE: float(load.told_anew(seats, learner).otherwise),
        ObjectiveName.TOLD: told_value(load.told, seats, (learner,)),
        ObjectiveName.RATHER: rather_value(load.rather, seats, (learner,)),
        "shown": float(shown),
        "left open": float(sum(len(n.open) for n in needs) - shown),
    }


def by_learner(group: Collection[str], seats: Sequence[PlacedSitting]) -> Seats:
    return {i: of_learner(seats, i) for i in group}
