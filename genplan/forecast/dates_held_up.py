"""What holds up one thing that is wanted by a date, counted for that alone.

It is looked for beside what ranks as high: what is due and what has a date. All else in the weeks of the line gives way
to it, and so holds nothing of it up.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from genplan.case import Target
from genplan.coverage.tally import Tally, fewest_at_least
from genplan.coverage.tuples import Tuple, tuples_of, wished_tuples
from genplan.forecast.baseline import Baseline, BaselineWeek
from genplan.forecast.bottleneck import BottleneckAnalysis
from genplan.forecast.values import BottleneckKind, HeldUp
from genplan.plan import ProbeKind
from genplan.planning.needs import counts_until
from genplan.planning.reasons_of_dates import with_these_alone
from genplan.rules.limits import Kind
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting


def wish_held_up(asked: BottleneckAnalysis, wanted: frozenset[Tuple], by: date) -> HeldUp:
    """What holds up a wish whose tuples these are: what of them the line shows after the date, or never."""
    line, target = asked.line.until(by), asked.target
    late = tuple(sorted(wanted.difference(*(_shown(target, p) for w in line.weeks for p in _tests(w)))))
    if not late:
        return HeldUp(by=BottleneckKind.RETESTS)
    beside = of_what_ranks_as_high(line)
    found = replace(asked, line=beside, dated=True).items_held_up(late, len(beside.weeks))
    if found.limit is not None and found.limit.kind is Kind.TARGET_WEEK:
        own = [p for w in beside.weeks for p in _tests(w) if p.target == target.id]
        others = sum(wanted.isdisjoint(_shown(target, p)) for p in own)
        found = replace(found, needed=fewest_at_least(wanted), at_least=True, others=others)
    return replace(found, dated=True)


def of_what_ranks_as_high(line: Baseline) -> Baseline:
    """The line with what is due, and with what shows in time something that a date still asks for, alone."""
    before = (line.before, *(w.after for w in line.weeks))
    weeks = (_beside_dates(w, stands) for w, stands in zip(line.weeks, before, strict=False))
    return replace(line, weeks=tuple(weeks))


def _beside_dates(week: BaselineWeek, before: Mapping[str, Tally]) -> BaselineWeek:
    asked = {
        target.id: [
            (wished_tuples(target, w.pattern, before[target.id].open), counts_until(w, week.week, week.on))
            for w in target.first
            if w.by is not None
        ]
        for target in week.case.mastered
    }

    def stays(seat: PlacedSitting, probe: PlacedProbe) -> bool:
        if probe.kind != ProbeKind.NEW:
            return ProbeKind(probe.kind).is_due
        shown = _shown(week.case.targets[probe.target], probe)
        return any(seat.day <= last and not some.isdisjoint(shown) for some, last in asked[probe.target])

    return replace(week, seats=with_these_alone(week.case, week.seats, stays, week.begun))


def _tests(week: BaselineWeek) -> list[PlacedProbe]:
    return [p for s in week.seats for p in s.probes if p.is_test]


def _shown(target: Target, probe: PlacedProbe) -> tuple[Tuple, ...]:
    """What the probe shows of the target."""
    return tuples_of(target, probe.combination) if probe.target == target.id else ()
