"""Which of the dates that a week misses people were told of in time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from genplan.case import Case
from genplan.coverage.tuples import tuples_of
from genplan.plan import MissedDate, Sitting


def with_told(case: Case, missed: Iterable[MissedDate], told: Sequence[Sitting]) -> Iterator[MissedDate]:
    """Each with the first of the sittings told that would have shown it in time."""
    in_order = sorted(told, key=lambda s: (s.start, s.id))
    for one in missed:
        first = next((s for s in in_order if _shows(case, s, one)), None)
        yield replace(one, told=first.id) if first else one


def _shows(case: Case, sitting: Sitting, missed: MissedDate) -> bool:
    target = case.targets[missed.item.target]
    return sitting.start.date() <= missed.by and any(
        p.target == target.id and p.kind.is_test and missed.item.values in tuples_of(target, p.combination)
        for p in sitting.probes
    )
