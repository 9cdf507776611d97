"""A maintenance probe is planned on no day on which it would not answer its date, and the best week that is left is
found. Every week of tiny cases is tried."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from genplan.audit import audit
from genplan.evidence.maintenance import maintenance_due
from genplan.keeping.optimistic_log import optimistic_log
from genplan.plan import ProbeKind
from genplan.report.terminal import week_summary
from genplan.text.notes import remarks
from tests.fixtures.every_week import every_week
from tests.fixtures.given_week import Given
from tests.fixtures.nightly import seeds
from tests.fixtures.planning_cases import WEEK, plan_one, product_case
from tests.fixtures.tiny_weeks import MOST_WEEKS, tiny_week
from tests.fixtures.week_scores import Scores, best_of

TUESDAY = date(2026, 11, 24)


def two_dates(given: Given, first: int) -> Given:
    """Every skill has a date on Monday or Tuesday and one on Saturday: the second opens on the day after the first."""
    changed = {"mastered_on": TUESDAY, "maintenance_days": (first, 11)}
    targets = {i: replace(t, **changed) for i, t in given.case.targets.items()}
    return replace(given, case=replace(given.case, targets=targets))


@pytest.mark.parametrize("first", [6, 7])
def test_no_probe_before_the_day_that_answers(first: int, nightly: bool) -> None:
    opens = TUESDAY + timedelta(days=first + 1)
    held = 0
    for seed in seeds(25, nightly):
        given = two_dates(tiny_week("due", seed)[0], first)
        plan = plan_one(given.case, given.log, now=given.now)
        assert audit(given.case, given.log, plan, {}) == (), seed
        days = [s.start.date() for s in plan.sittings for p in s.probes if p.kind is ProbeKind.MAINTENANCE]
        assert all(day >= opens for day in days), seed
        held += len(days)
        weeks = every_week(given, MOST_WEEKS)
        if not weeks:
            continue
        scores = Scores(given, weeks)
        stages, _ = best_of(weeks, scores.order)
        assert [(o.name, o.value) for o in plan.objectives] == [
            (s.name, pytest.approx(s.value)) for s in stages
        ], seed
        log = optimistic_log(given.log, plan.sittings)
        for target in given.case.mastered:
            due = maintenance_due(target, log, WEEK.sunday + timedelta(days=7))
            run = any(
                p.target == target.id and p.kind is ProbeKind.MAINTENANCE
                for s in plan.sittings
                for p in s.probes
            )
            assert (due is None) == run, f"{seed} {target.id}"
    assert bool(held) == (first == 6)  # hours are on Monday and Tuesday only


def test_a_date_that_gives_way_in_its_week_is_told() -> None:
    """Dates on Tuesday and Saturday of the week; not where they lie in two weeks."""
    for days, said in (((7, 11), True), ((5, 11), False), ((11,), False)):
        case = product_case((1, 1, 2), mastered_on=TUESDAY, maintenance_days=days)
        plan = plan_one(case)
        text = (
            "Two maintenance dates of 'A skill' fall in this week: Tuesday's gives way to Saturday's, and one probe is"
            " owed."
        )
        assert (text in remarks(case, plan)) is said
        assert (text in " ".join(week_summary(case, plan).split())) is said
