"""A move of the search: whose seats are freed, what stays, and the searches that fill the rest. It is a plain value
that any process can run."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, replace

from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.compatible import keep_what_fits
from genplan.planning.jobs import SolveJob, run_solve
from genplan.planning.openings import Hours
from genplan.planning.outcome import Outcome
from genplan.planning.problem import beside
from genplan.rules.placed_sittings import PlacedSitting


@dataclass(frozen=True, kw_only=True)
class Move:
    """One try.

    - `subject`: what the operator tries: a learner, a group, a day
    - `group`: the learners whose seats are freed
    - `stay`: sittings that they have in any case
    - `free`: everybody's hours before anything was planned, for a search beside the seats of one before
    - `solves`: the searches for the rest, one after the other, each beside what the ones before it gave"""

    subject: Hashable
    group: tuple[str, ...]
    free: Hours | None
    stay: tuple[PlacedSitting, ...] = ()
    solves: tuple[SolveJob, ...] = ()

    def reduced(self) -> Move:
        """Without what decides nothing, where no search begins from what another found."""
        if len(self.solves) != 1:
            return self
        return replace(self, free=None, solves=(self.solves[0].reduced(),))


@dataclass(frozen=True)
class Answer:
    """All seats of the group, and what each search of the move found."""

    seats: tuple[PlacedSitting, ...]
    outcomes: tuple[Outcome, ...] = ()

    @property
    def further(self) -> dict[str, float]:
        """The further probes of learners for whom a search of their own looked for them."""
        return {i: n for o in self.outcomes for i, n in o.further.items()}

    @property
    def repeatable(self) -> bool:
        return all(o.repeatable for o in self.outcomes)

    @property
    def shortest_way(self) -> bool:
        return any(o.shortest_way for o in self.outcomes)


def run_move(move: Move, budget: Budget = ENDLESS) -> Answer:
    """The seats that stay, and what is found beside them. The first search is given beside them already."""
    together = move.stay
    outcomes: list[Outcome] = []
    for job in move.solves:
        if outcomes and move.free is not None:
            left = beside(job.problem, move.free, tuple(s for o in outcomes for s in o.seats))
            job = replace(job, problem=left, start=keep_what_fits(left.case, job.start, left.taken))
        outcomes.append(run_solve(job, budget))
        together += outcomes[-1].seats
    return Answer(together, tuple(outcomes))
