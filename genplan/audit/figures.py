"""Every figure that a plan carries, counted once more."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta

from genplan.audit.history import Past, Shown, shown_by
from genplan.audit.lasting import maintenance_dates
from genplan.audit.matter import Matter, name
from genplan.case import Target
from genplan.plan import TargetCoverage

TOLERANCE = 1e-6


def new_tuples_of_probes(matter: Matter) -> Iterator[str]:
    """A probe's figure is the number of tuples that it is the first to show, in the order of time."""
    for target in matter.case.targets.values():
        seen = _shown_before(matter.past[target.id])
        for s in dict.fromkeys(matter.by_target.get(target.id, [])):
            for probe in s.probes:
                if probe.target != target.id:
                    continue
                fresh = (shown_by(target, probe.combination) & matter.past[target.id].possible) - seen
                seen |= fresh
                if probe.new_tuples != len(fresh):
                    what = f"{len(fresh)} new tuples, not {probe.new_tuples}"
                    yield f"{name(s)}: its probe of {target.id} shows {what}."


def coverage_rows(matter: Matter) -> Iterator[str]:
    times = Counter(row.target for row in matter.plan.coverage)
    for target in matter.case.targets.values():
        if times[target.id] != 1 and (times[target.id] or target.state.value == "mastered"):
            yield f"Target {target.id}: it has {times[target.id]} rows of coverage instead of one."
    for row in matter.plan.coverage:
        known = matter.case.targets.get(row.target)
        if known is None or known.learner != row.learner:
            yield f"Target {row.target}: the case knows no such target of learner {row.learner}."
        else:
            yield from _wrong_coverage(matter, known, row)


def _wrong_coverage(matter: Matter, target: Target, row: TargetCoverage) -> Iterator[str]:
    past = matter.past[target.id]
    planned = _planned(matter, target)
    still_open = past.possible - _shown_before(past) - planned
    counted = {
        "possible": len(past.possible),
        "shown_before": len(_shown_before(past)),
        "tested_before": len(past.tested),
        "met_before": len(past.met),
        "new": len(planned - _shown_before(past)),
        "open": len(still_open),
    }
    for key, count in counted.items():
        if getattr(row, key) != count:
            said = f"{getattr(row, key)} tuples {key.replace('_', ' ')}"
            yield f"Target {target.id}: its coverage says {said}, counted {count}."
    fullest = max(Counter(tuple(i for i, _ in t) for t in still_open).values(), default=0)
    if not fullest <= row.fewest_further <= len(still_open):
        said = f"{row.fewest_further} further probes for {len(still_open)} open tuples"
        yield f"Target {target.id}: {said} cannot be, with {fullest} of them of the same dimensions."
    if row.fewest_proven > row.fewest_further:
        said = f"{row.fewest_proven} further probes are said to be needed"
        yield f"Target {target.id}: {said}, and {row.fewest_further} to be enough."


def _shown_before(past: Past) -> frozenset[Shown]:
    return past.tested | past.taught


def _planned(matter: Matter, target: Target, begun: bool | None = None) -> frozenset[Shown]:
    """The possible tuples that the plan's sittings show; `begun` picks those that have begun or the rest."""
    shown: frozenset[Shown] = frozenset()
    for s in matter.by_target.get(target.id, []):
        for probe in s.probes:
            if probe.target == target.id and begun in (None, s.begun):
                shown |= shown_by(target, probe.combination)
    return shown & matter.past[target.id].possible


def matrix_rows(matter: Matter) -> Iterator[str]:
    """Each combination once, with its status and what its latest rows say."""
    times = Counter((row.target, row.combination) for row in matter.plan.matrix)
    present = {row.target for row in matter.plan.matrix}
    for target in matter.case.targets.values():
        if target.state.value != "mastered" and target.id not in present:
            continue
        for combination in matter.past[target.id].known:
            if times[target.id, combination] != 1:
                yield (
                    _row_name(target.id, combination) + f"it is there {times[target.id, combination]} times."
                )
    for row in matter.plan.matrix:
        if row.target not in matter.case.targets:
            yield _row_name(row.target, row.combination) + "the case knows no such target."
            continue
        past = matter.past[row.target]
        known = past.of(row.combination)
        status = known.status if row.combination in past.possible_combinations else "not possible"
        if row.combination not in past.known:
            yield _row_name(row.target, row.combination) + "there is no such combination."
        elif row.status != status:
            yield _row_name(row.target, row.combination) + f"its status is '{status}', not '{row.status}'."
        elif status == "not possible" and not row.why:
            yield _row_name(row.target, row.combination) + "it is not possible, but the reason is not given."
        else:
            said = row.standing
            if (said.last_date, said.correct, said.trials, said.tested, said.retest_due) != (
                known.last_date,
                known.correct,
                known.trials,
                known.tested,
                known.retest_due,
            ):
                yield (
                    _row_name(row.target, row.combination)
                    + "its latest date or counts are not those of the rows."
                )


def _row_name(target: str, combination: tuple[str, ...]) -> str:
    return f"Row {', '.join(combination)} of the matrix of {target}: "


def objectives(matter: Matter) -> Iterator[str]:
    """Bounds are on the right side of their values; the values that can be counted are counted."""
    counted = {
        "due": _due(matter),
        "new tuples": _new_tuples(matter),
        "sittings": _sittings_and_journeys(matter),
        "probes": sum(len(s.probes) for s in matter.new),
    }
    for o in matter.plan.objectives:
        if o.status.value == "not reached":
            continue
        proven = o.status.value == "optimal"
        beyond = o.value - o.bound if o.sense == "most" else o.bound - o.value
        if beyond > TOLERANCE or (proven and beyond < -TOLERANCE):
            yield f"Objective '{o.name}': value {o.value:g} and bound {o.bound:g} contradict each other."
        if o.name in counted and abs(counted[o.name] - o.value) > TOLERANCE:
            yield f"Objective '{o.name}': its value is {counted[o.name]:g}, not {o.value:g}."


def _new_tuples(matter: Matter) -> float:
    """New tuples of the sittings that this plan decides, each as often as its learner's weight says."""
    total = 0.0
    for target in matter.case.targets.values():
        before = _shown_before(matter.past[target.id]) | _planned(matter, target, begun=True)
        fresh = _planned(matter, target, begun=False) - before
        total += round(100 * matter.case.learners[target.learner].needs) / 100 * len(fresh)
    return total


def _due(matter: Matter) -> float:
    """Retests, and maintenance probes: an overdue one, whose date is before this week, counts twice."""
    total = 0
    monday = matter.monday.date()
    for s in matter.new:
        for probe in s.probes:
            if probe.kind.value == "retest":
                total += 1
            elif probe.kind.value == "maintenance":
                target = matter.case.targets[probe.target]
                total += 2 if _latest_due(matter, target, monday + timedelta(days=6)) < monday else 1
    return total


def _latest_due(matter: Matter, target: Target, by: date) -> date:
    dates = maintenance_dates(matter.case, target, matter.rows.get(target.id, []))
    return max((day for day, _ in dates if day <= by), default=by)


def _sittings_and_journeys(matter: Matter) -> float:
    """Sittings, and for each learner and each adult and day the places used, less one."""
    places: dict[tuple[str, str, date], set[str]] = {}
    for s in matter.new:
        for who in (("learner", s.learner), ("adult", s.adult)):
            places.setdefault((*who, s.start.date()), set()).add(s.location)
    return len(matter.new) + sum(len(p) - 1 for p in places.values())


FIGURES = (new_tuples_of_probes, coverage_rows, matrix_rows, objectives)
