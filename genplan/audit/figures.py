"""Every figure that a plan carries, counted once more."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from genplan.audit.context import AuditContext, name
from genplan.audit.history import Past, Shown, shown_by
from genplan.audit.shown_tuples import shown_before, shown_in_plan
from genplan.case import Target
from genplan.plan import TargetCoverage

NOT_POSSIBLE = "not possible"
FROM_ROWS = ("last_date", "correct", "trials", "tested", "retest_due", "teachings", "retest_from")


def new_tuples_of_probes(matter: AuditContext) -> Iterator[str]:
    """A probe's figure is the number of tuples that it is the first to show, in the order of time."""
    for target in matter.case.targets.values():
        seen = shown_before(matter.past[target.id])
        for s in dict.fromkeys(matter.by_target.get(target.id, [])):
            for probe in s.probes:
                if probe.target != target.id:
                    continue
                nothing = probe.kind.value in ("teaching", "baseline")
                shows = frozenset[Shown]() if nothing else shown_by(target, probe.combination)
                fresh = (shows & matter.past[target.id].possible) - seen
                seen |= fresh
                if probe.new_tuples != len(fresh):
                    what = f"{len(fresh)} new tuples, not {probe.new_tuples}"
                    yield f"{name(s)}: its probe of {target.id} shows {what}."


def new_probes_show_something(matter: AuditContext) -> Iterator[str]:
    """Of a week that people were told of: that something stays as told is no reason to run what shows nothing."""
    told = {s.learner for s in matter.kept if s.start >= matter.plan.now}
    for s in matter.new:
        for probe in s.probes:
            if s.learner in told and probe.kind.value == "new" and not probe.new_tuples:
                yield f"{name(s)}: its new probe of {probe.target} shows nothing that is open."


def coverage_rows(matter: AuditContext) -> Iterator[str]:
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


def _wrong_coverage(matter: AuditContext, target: Target, row: TargetCoverage) -> Iterator[str]:
    past = matter.past[target.id]
    planned = shown_in_plan(matter, target)
    still_open = past.possible - shown_before(past) - planned
    counted = {
        "possible": len(past.possible),
        "shown_before": len(shown_before(past)),
        "tested_before": len(past.tested),
        "met_before": len(past.met),
        "met_untaught_before": len(past.met_untaught),
        "new": len(planned - shown_before(past)),
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
    if row.fewest_proven <= min(fullest, row.fewest_further):
        return  # so many are needed, since a probe shows one of those of the same dimensions
    enough = min(row.fewest_further, probes_that_finish(target, past, still_open))
    if row.fewest_proven > enough:
        said = f"{row.fewest_proven} further probes are said to be needed"
        yield f"Target {target.id}: {said}, and {enough} are enough."


def probes_that_finish(target: Target, past: Past, still_open: frozenset[Shown]) -> int:
    """How many probes show all that is open if each is the one that shows most of what is left. There may be fewer, so
    no more can be needed."""
    left, probes = still_open, 0
    shows = [shown_by(target, c) & still_open for c in sorted(past.possible_combinations)]
    while left:
        left -= max(shows, key=lambda shown: len(shown & left))
        probes += 1
    return probes


def matrix_rows(matter: AuditContext) -> Iterator[str]:
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
        status = known.status if row.combination in past.possible_combinations else NOT_POSSIBLE
        if row.combination not in past.known:
            yield _row_name(row.target, row.combination) + "there is no such combination."
        elif row.status != status:
            yield _row_name(row.target, row.combination) + f"its status is '{status}', not '{row.status}'."
        elif row.learner != matter.case.targets[row.target].learner:
            yield _row_name(row.target, row.combination) + f"it is not a row of learner {row.learner}."
        elif (row.obstacle is not None) != (status == NOT_POSSIBLE):
            given = "a reason is given" if row.obstacle else "the reason is not given"
            yield _row_name(row.target, row.combination) + f"its status is '{status}', but {given}."
        else:
            said = row.standing
            if any(getattr(said, key) != getattr(known, key) for key in FROM_ROWS):
                yield (
                    _row_name(row.target, row.combination)
                    + "its latest date or counts are not those of the rows."
                )


def _row_name(target: str, combination: tuple[str, ...]) -> str:
    return f"Row {', '.join(combination)} of the matrix of {target}: "


FIGURES = (new_tuples_of_probes, new_probes_show_something, coverage_rows, matrix_rows)
