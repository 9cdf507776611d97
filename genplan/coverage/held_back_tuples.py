"""What of a target is not counted while its learner is kept from a thing: a tally holds only what is possible."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from genplan.case import Case
from genplan.case.possible import possible_with, things_kept_away
from genplan.coverage.tally import Tally
from genplan.coverage.tuples import tuples_of_all
from genplan.evidence.standing import Status


@dataclass(frozen=True, kw_only=True)
class HeldBackTuples:
    """So many tuples that no caution would leave out of the possible ones, and how many of them were tested and met."""

    number: int = 0
    tested: int = 0
    met: int = 0


def held_back_tuples(case: Case, count: Tally, on: date) -> HeldBackTuples:
    target = count.target
    things = things_kept_away(case, target, on)
    if not things:
        return HeldBackTuples()
    left_out = tuples_of_all(target, possible_with(case, target, [*things])) - count.possible
    tested = tuples_of_all(target, (c for c, s in count.standings.items() if s.tested))
    met = tuples_of_all(target, (c for c, s in count.standings.items() if s.status is Status.MET))
    return HeldBackTuples(number=len(left_out), tested=len(left_out & tested), met=len(left_out & met))
