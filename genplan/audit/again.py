"""What fell through and what is to be caught up, held against the rows, the hours and the sittings once more."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from genplan.audit.context import DAY, AuditContext, words
from genplan.audit.coverage_values import WEEKS_AHEAD, asks_for, shown_in_time
from genplan.audit.history import Shown, as_shown, shown_by
from genplan.audit.minutes import Free, stretches
from genplan.case import Combination, Target

Key = tuple[str, Combination]


def not_again(matter: AuditContext) -> float:
    """Of what is told as fallen through before, how much no sitting of this plan holds."""
    return len(told_as_fallen(matter).keys() - _held(matter))


def too_late(matter: AuditContext) -> float:
    """Of what is told as to be caught up, how much is not shown by its day."""
    return len(matter.plan.catch_up) - shown_in_time(matter, matter.plan.catch_up)


def told_as_fallen(matter: AuditContext) -> dict[Key, date]:
    """What is told as fallen through before, each with its latest day."""
    return {
        (n.target, n.combination): n.on for n in matter.plan.notes if n.kind.value == "fell through" and n.on
    }


def what_fell_through(matter: AuditContext) -> Iterator[str]:
    """Of each the rows of its latest day say that it was not run, and nothing else; what is planned of it is told."""
    if not matter.plan.objectives:
        return
    rows, told, held = _by_rows(matter), told_as_fallen(matter), _held(matter)
    for key, on in sorted(told.items()):
        if rows.get(key) != on:
            yield f"Target {key[0]}: {words(key[1])} is told as not run on {on}, and the rows say otherwise."
    for id_, combination in sorted((rows.keys() & held) - told.keys()):
        yield f"Target {id_}: {words(combination)} was not run before, which is not told."


def what_can_be_caught_up(matter: AuditContext) -> Iterator[str]:
    """Some wish with a date ahead asks for each, and by the hours it can be shown on a later day up to that."""
    if matter.plan.catch_up and not matter.case.policy.prefer.catch_up:
        yield "Something is told as to be caught up, and the policy does not ask for it."
    free = Free(matter, ())
    for id_, values, until in matter.plan.catch_up:
        target = matter.case.targets[id_]
        shown = as_shown(target, values)
        dates = [
            w.by for w in target.first if w.by and asks_for(target, w, shown) and _is_ahead(matter, w.by)
        ]
        last = max(((by - matter.monday.date()).days for by in dates), default=-1)
        if not any(until < day <= last for day in _days(matter, free, target, shown)):
            what = " + ".join(value for _, value in values)
            yield f"Target {id_}: '{what}' is told as to be caught up after day {until + 1}, and there is no day left."


def _is_ahead(matter: AuditContext, by: date) -> bool:
    return matter.monday.date() <= by <= matter.sunday + timedelta(weeks=WEEKS_AHEAD)


def _days(matter: AuditContext, free: Free, target: Target, shown: Shown) -> Iterator[int]:
    """The days of the week with hours for a sitting that shows it."""
    minutes = matter.case.policy.settle_minutes + target.minutes
    for combination in matter.past[target.id].possible_combinations:
        if shown in shown_by(target, combination):
            for start, end in stretches(free.together(target.learner, *combination[:2])):
                if end - start >= minutes:
                    yield start // DAY


def _held(matter: AuditContext) -> set[Key]:
    return {(p.target, p.combination) for s in matter.new for p in s.probes}


def _by_rows(matter: AuditContext) -> dict[Key, date]:
    """What is not run on the latest day of which rows tell."""
    kinds: dict[Key, dict[date, set[str]]] = {}
    for id_, rows in matter.rows.items():
        for row in rows:
            kinds.setdefault((id_, row.combination), {}).setdefault(row.date, set()).add(row.kind.value)
    return {key: max(days) for key, days in kinds.items() if days[max(days)] == {"not run"}}
