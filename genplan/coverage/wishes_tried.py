"""Wishes of which something was tried and is not met: nothing of it is open any more, and still it is not there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from genplan.case import Wish
from genplan.coverage.tally import Tally
from genplan.coverage.tuples import tuples_of, wished_tuples
from genplan.evidence.log import Log


@dataclass(frozen=True, kw_only=True)
class WishTried:
    """A `first` wish of which `tuples` were tried and are met nowhere, at the latest on the day `on`. What it waits
    for: `to_teach`: teaching, or a decision; `to_retest`: a retest that is due, or will be."""

    wish: Wish
    tuples: int
    on: date
    to_teach: bool
    to_retest: bool


def wishes_tried(count: Tally, log: Log) -> Iterator[WishTried]:
    """In the case's order; `count` is the tally of the rows of `log`."""
    target = count.target
    tried = {r.combination: r.date for r in log.of_target(target.id) if r.kind.is_test and r.trials}
    for wish in target.first:
        left = wished_tuples(target, wish.pattern, count.tested - count.met)
        failed = [c for c in tried if not left.isdisjoint(tuples_of(target, c))]
        if failed:
            yield WishTried(
                wish=wish,
                tuples=len(left),
                on=max(tried[c] for c in failed),
                to_teach=any(count.standing(c).waits_for_teaching for c in failed),
                to_retest=any(count.standing(c).retest_due for c in failed),
            )
