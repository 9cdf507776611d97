"""What is still to be done in a case at the end, and could be done: nothing, if the program plans what it owes."""

from __future__ import annotations

from datetime import datetime, time

from genplan.case import Case, Combination, Week
from genplan.case.second_adults import can_be_taught
from genplan.coverage.tally import Tally
from genplan.evidence.log import Log
from genplan.plan import ProbeKind
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.week_context import week_context_of

Left = tuple[str, ProbeKind, Combination]


def owed(count: Tally) -> tuple[Combination, ...]:
    """The combinations that were not met last, whether they were taught since or not."""
    standings = ((c, count.standing(c)) for c in count.possible_combinations)
    return tuple(c for c, s in standings if s.waits_for_teaching or s.retest_due)


def left_open(case: Case, log: Log, quiet: Week) -> list[Left]:
    """What an empty week, in which nothing special is on, would have room for: open tuples, teachings, retests. What is
    left beside that the case makes impossible: nobody may, or people and place never meet for so long."""
    now = datetime.combine(quiet.monday, time(), case.timezone)
    ground = week_context_of(case, log, quiet, now, {}, ())
    ways = InsertionFinder(ground.case, ground.free, ())
    found: list[Left] = []
    for need in ground.needs:
        if not need.is_probed:
            continue
        choices = [*need.choices, *(c for c, _ in need.held_back)]
        possible = [c for c in choices if any(not limits for limits in ways.of(c))]
        found += [(c.target, c.kind, c.combination) for c in possible if c.kind is not ProbeKind.MAINTENANCE]
        taught = {c.combination for c in choices if c.kind is ProbeKind.TEACHING}
        found += [
            (need.id, ProbeKind.TEACHING, c)
            for c in owed(need.tally)
            if need.tally.standing(c).waits_for_teaching
            and c not in taught
            and can_be_taught(case, need.target, c)
        ]
    return found
