"""What lies before the auditor, and the minutes in which it counts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from functools import cached_property
from typing import Any

from genplan.audit.history import Past, past_of
from genplan.case import Absence, Case, Combination
from genplan.evidence.log import Log, Result, ResultKind
from genplan.language import _
from genplan.plan import LeftOut, Plan, Sitting, ToldLately

DAY = 24 * 60

Groups = Mapping[str, list[Sitting]]


@dataclass(frozen=True)
class AuditContext:
    """The `by_…` groups hold every sitting of the plan in order of time, begun ones among them. `lately` is what people
    were told of the weeks before, as far as fairness looks back."""

    case: Case
    log: Log
    plan: Plan
    busy: Mapping[str, tuple[Absence, ...]]
    kept: tuple[Sitting, ...]
    lately: tuple[ToldLately, ...] = ()

    @cached_property
    def by_time(self) -> tuple[Sitting, ...]:
        return tuple(sorted(self.plan.sittings, key=lambda s: (s.start.replace(tzinfo=None), s.id)))

    @cached_property
    def new(self) -> tuple[Sitting, ...]:
        """The sittings that this plan decides: all but those that have begun."""
        return tuple(s for s in self.by_time if not s.begun)

    @cached_property
    def ahead(self) -> tuple[Sitting, ...]:
        """All sittings from the moment of planning on, what somebody decided among them."""
        return tuple(s for s in self.by_time if s.start >= self.plan.now)

    @cached_property
    def left_out_of(self) -> Mapping[str, list[LeftOut]]:
        """By target: of a large caseload there are thousands, and each target is asked about by itself."""
        found = defaultdict[str, list[LeftOut]](list)
        for item in self.plan.left_out:
            found[item.target].append(item)
        return found

    @cached_property
    def by_learner(self) -> Groups:
        return _grouped((s.learner, s) for s in self.by_time)

    @cached_property
    def by_adult(self) -> Groups:
        """A sitting is there for the adult who runs it and for the one beside."""
        return _grouped(
            (adult, s) for s in self.by_time for adult in dict.fromkeys((s.adult, s.beside)) if adult
        )

    @cached_property
    def by_location(self) -> Groups:
        return _grouped((s.location, s) for s in self.by_time)

    @cached_property
    def by_set(self) -> Groups:
        return _grouped(
            (set_, s) for s in self.by_time for set_ in sorted({p.combination[2] for p in s.probes})
        )

    @cached_property
    def by_target(self) -> Groups:
        """A sitting is there once for each of its probes of the target."""
        return _grouped((p.target, s) for s in self.by_time for p in s.probes)

    @cached_property
    def past(self) -> Mapping[str, Past]:
        """What was known of each target on the day of the plan."""
        targets = self.case.targets.values()
        return {t.id: past_of(self.case, t, self.rows.get(t.id, []), self.today) for t in targets}

    @cached_property
    def beside_what_was_decided(self) -> AuditContext:
        """The same for figures: what somebody decided is planned around, as what has begun is."""
        decided = self.plan.decided
        if not decided:
            return self
        return self.with_sittings(replace(s, begun=s.begun or s.id in decided) for s in self.plan.sittings)

    def with_sittings(self, sittings: Iterable[Sitting]) -> AuditContext:
        """The same with a plan of other sittings; what was known before is not worked out anew."""
        other = replace(self, plan=replace(self.plan, sittings=tuple(sittings)))
        vars(other).update(past=self.past, rows=self.rows, found=self.found)
        return other

    @cached_property
    def found(self) -> dict[object, Any]:
        """What checks found in what was known before, so that it is not found again."""
        return {}

    @cached_property
    def found_of_plan(self) -> dict[object, Any]:
        """The same of this plan's own sittings."""
        return {}

    @cached_property
    def rows(self) -> Mapping[str, list[Result]]:
        """The log's rows by target, without lessons that a later row of the same time has replaced."""
        rows: dict[str, list[Result]] = defaultdict(list)
        last: dict[object, int] = {}
        for row in self.log.results:
            key = (row.target, row.combination, row.date, row.time)
            if row.time and row.kind in (ResultKind.TEACHING, ResultKind.NOT_RUN):
                last[key] = max(last.get(key, 0), row.line)
        for row in self.log.results:
            key = (row.target, row.combination, row.date, row.time)
            if not row.time or row.kind is not ResultKind.TEACHING or last[key] == row.line:
                rows[row.target].append(row)
        return dict(rows)

    @property
    def today(self) -> date:
        """The day that decides ages."""
        return self.plan.now.date()

    @cached_property
    def monday(self) -> datetime:
        return datetime.combine(date.fromisocalendar(self.plan.week.year, self.plan.week.number, 1), time())

    @property
    def sunday(self) -> date:
        return self.monday.date() + timedelta(days=6)

    def minute(self, moment: datetime) -> float:
        """Wall-clock minutes since Monday 00:00, whatever the zone."""
        return (moment.replace(tzinfo=None) - self.monday) / timedelta(minutes=1)


def _grouped(pairs: Iterable[tuple[str, Sitting]]) -> Groups:
    groups: dict[str, list[Sitting]] = defaultdict(list)
    for key, sitting in pairs:
        groups[key].append(sitting)
    return dict(groups)


def words(combination: Combination) -> str:
    return ", ".join(combination)


def name(sitting: Sitting) -> str:
    """How a complaint names a sitting."""
    when = f"{sitting.start:%Y-%m-%d %H:%M}"
    return _(
        "Sitting {sitting} ({learner} with {adult} at {location}, {when})",
        sitting=sitting.id,
        learner=sitting.learner,
        adult=sitting.adult,
        location=sitting.location,
        when=when,
    )


def of(sitting: Sitting, complaint: str) -> str:
    return f"{name(sitting)}: {complaint}"
