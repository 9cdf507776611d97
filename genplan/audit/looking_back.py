"""What the weeks before gave to adults and learners, counted once more from what was told and what was written down."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from datetime import date, timedelta

from genplan.audit.context import AuditContext
from genplan.audit.history import Shown, shown_by
from genplan.case import Target
from genplan.evidence.log import Result, ResultKind
from genplan.plan import Sitting

Meeting = tuple[date, str, str]
"""A day, a learner and the adult who runs the sitting."""


def what_the_weeks_before_gave(matter: AuditContext) -> Iterator[str]:
    """What is told of them is what was told to people and written down."""
    told, weeks = matter.plan.before, matter.case.policy.fair_over_weeks - 1
    if not matter.plan.objectives:
        return
    if told.weeks != weeks:
        yield f"Fairness is told to look back at {told.weeks} weeks, and the policy says {weeks}."
    yield from _against("Adult", "minutes", told.minutes, minutes_before(matter))
    yield from _against("Learner", "new tuples", told.tuples, tuples_before(matter))


def _against(who: str, what: str, told: Mapping[str, int], counted: Mapping[str, int]) -> Iterator[str]:
    for id_ in sorted(told.keys() | counted.keys()):
        if told.get(id_, 0) != counted.get(id_, 0):
            said = f"{told.get(id_, 0)} {what} are told of the weeks before"
            yield f"{who} {id_}: {said}, and it is {counted.get(id_, 0)}."


def minutes_before(matter: AuditContext) -> dict[str, int]:
    """Of each adult what was held, or told and not written down as not run."""
    minutes: dict[str, int] = defaultdict(int)
    told, rows = _told(matter), _rows(matter)
    for meeting, some in told.items():
        for sitting, counts in _with_rows(some, rows.get(meeting, [])):
            for adult in {sitting.adult, sitting.beside} - {""} if counts else ():
                minutes[adult] += int((sitting.end.timestamp() - sitting.start.timestamp()) // 60)
    for meeting in rows.keys() - told.keys():
        minutes[meeting[2]] += _untold_minutes(matter, rows[meeting])
    return {adult: n for adult, n in minutes.items() if n}


def tuples_before(matter: AuditContext) -> dict[str, int]:
    """Of each learner the tuples that were tested for the first time in those weeks."""
    found: dict[str, int] = defaultdict(int)
    first = _first_day(matter)
    for target in matter.case.targets.values():
        tests = [r for r in matter.rows.get(target.id, []) if r.kind.value in ("probe", "maintenance")]
        old = {t for r in tests if r.date < first for t in shown_by(target, r.combination)}
        new = {
            t
            for r in tests
            if first <= r.date < matter.monday.date()
            for t in shown_by(target, r.combination)
        }
        found[target.learner] += sum(not _is_named_as_taught(target, t) for t in new - old)
    return {learner: n for learner, n in found.items() if n}


def _is_named_as_taught(target: Target, shown: Shown) -> bool:
    return any(
        all(pattern.get(target.dimensions[at].name) == value for at, value in shown)
        for pattern in target.taught
    )


def _first_day(matter: AuditContext) -> date:
    return matter.monday.date() - timedelta(weeks=matter.case.policy.fair_over_weeks - 1)


def _told(matter: AuditContext) -> dict[Meeting, list[tuple[Sitting, bool]]]:
    """The sittings told of those weeks by meeting, each with whether it was cancelled; what is held comes first."""
    found: dict[Meeting, list[tuple[Sitting, bool]]] = defaultdict(list)
    for one in matter.lately:
        s = one.sitting
        if _first_day(matter) <= s.start.date() < matter.monday.date():
            found[s.start.date(), s.learner, s.adult].append((s, one.cancelled))
    return {key: sorted(some, key=lambda x: (x[1], x[0].start, x[0].id)) for key, some in found.items()}


def _rows(matter: AuditContext) -> dict[Meeting, list[Result]]:
    found: dict[Meeting, list[Result]] = defaultdict(list)
    for target in matter.case.targets.values():
        for row in matter.rows.get(target.id, []):
            if _first_day(matter) <= row.date < matter.monday.date() and not row.planned:
                found[row.date, target.learner, row.combination[0]].append(row)
    return found


def _with_rows(some: list[tuple[Sitting, bool]], rows: list[Result]) -> Iterator[tuple[Sitting, bool]]:
    """Each told sitting of a meeting, and whether its minutes count."""
    for number, (sitting, cancelled) in enumerate(some):
        own = [r for r in rows if _whose(some, r) == number]
        run = any(r.kind is not ResultKind.NOT_RUN for r in own)
        yield sitting, run or not (own or cancelled)


def _whose(some: list[tuple[Sitting, bool]], row: Result) -> int:
    for number, (sitting, _) in enumerate(some):
        if any((p.target, p.combination) == (row.target, row.combination) for p in sitting.probes):
            return number
    return 0


def _untold_minutes(matter: AuditContext, rows: list[Result]) -> int:
    """The rows of one time are one sitting; those without a time are of the first. Teaching without a time tells of
    none."""
    rows = [r for r in rows if r.time is not None or r.kind.value != "teaching"]
    first = min((r.time for r in rows if r.time is not None), default=None)
    total, settled = 0, set()
    for row in rows:
        if row.kind is not ResultKind.NOT_RUN:
            target = matter.case.targets[row.target]
            total += target.teaching_minutes if row.kind.value == "teaching" else target.minutes
            settled.add(row.time or first)
    return total + len(settled) * matter.case.policy.settle_minutes
