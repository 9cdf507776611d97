"""What is due comes first in the weeks of a term: dates have what it leaves, and each bound says whose it is."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta

from genplan.audit.term import audit_term
from genplan.case import Absence, Case, LearnerLimits
from genplan.case.targets import TargetState
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import ProbeKind, StageStatus
from genplan.plan.term import Promise, Term, Whose
from tests.fixtures.planning_cases import NOW, WEEK
from tests.fixtures.term_cases import TESS, WEEKS, the_term, therapist_case

HELPED = "helped"
CLINIC = (TESS, "clinic", "red")


def row(day: date, kind: ResultKind, correct: int, combination: tuple[str, ...] = CLINIC) -> Result:
    return Result(
        line=2,
        date=day,
        time=None,
        target=HELPED,
        kind=kind,
        combination=combination,
        trials=5,
        correct=correct,
    )


def with_helped(by: date, **changes: object) -> Case:
    """Ida has a second skill, which only Tess tries; of the first she asks for Tess at three places by the date. Tess
    has room for two sittings a week."""
    case = therapist_case({"ida": by})
    first = case.targets["ida-skill"]
    second = replace(first, id=HELPED, name="Was helped", first=(), mastered_on=None, maintenance_days=())
    return replace(case, targets={**case.targets, HELPED: replace(second, **changes)})  # type: ignore[arg-type]


MET = Log.of([row(WEEK.monday - timedelta(days=20), ResultKind.PROBE, 5)])


def checked(case: Case, log: Log | None = None) -> Term:
    """The term, in which the auditor finds nothing wrong."""
    term = the_term(case, log=log)
    assert not audit_term(case, log or Log(), term, NOW, {})
    return term


def mastered(days: int) -> dict[str, object]:
    """Maintenance is due so many days after the Monday of the first week."""
    return {"mastered_on": WEEK.monday - timedelta(days=20), "maintenance_days": (20 + days,)}


def test_a_date_whose_hour_is_due_elsewhere_gives_way_to_it() -> None:
    """Four sittings with Tess in two weeks, three of them for the date; with two checks one is left too few."""
    assert checked(therapist_case({"ida": WEEKS[1].sunday})).kept == 1
    one = checked(with_helped(WEEKS[1].sunday, **mastered(2)), MET)
    assert (one.kept, one.bound, [c.probe.week for c in one.checks if c.probe]) == (1, 1, [0])
    two = mastered(2) | {"maintenance_days": (22, 29)}
    term = checked(with_helped(WEEKS[1].sunday, **two), MET)
    assert [(c.kind, c.due, c.probe and c.probe.week) for c in term.checks] == [
        (ProbeKind.MAINTENANCE, WEEK.monday + timedelta(days=2), 0),
        (ProbeKind.MAINTENANCE, WEEK.monday + timedelta(days=9), 1),
    ]
    # a sitting of 25 minutes with one probe fills half an hour
    assert (term.kept, term.bound, term.status) == (0, 1, StageStatus.BEST_SO_FAR)
    (missed,) = term.dates
    assert missed.promise is Promise.GIVES_WAY_TO_DUE
    assert (Whose.ADULT, (TESS,)) in [(s.whose, s.names) for s in missed.short]
    (tess,) = (load for load in term.loads if load.name == TESS)
    assert tess.used == (60, 60)


def test_the_bound_beside_what_is_due_holds_of_plans_that_repeat_what_is_met_until_then() -> None:
    """The second check may repeat what a new probe with Mum met in the first week: so one plan keeps the date beside
    both checks, and nothing may be told as proven against it."""
    two = mastered(2) | {"maintenance_days": (22, 29)}
    term = checked(with_helped(WEEKS[1].sunday, **two), MET)
    assert (term.kept, term.bound_beside_due) == (0, 1)
    case = with_helped(WEEKS[1].sunday, **two)
    alone = replace(
        case,
        adults={
            **case.adults,
            "idas-mum": replace(case.adults["idas-mum"], briefed_on=frozenset(["ida-skill"])),
        },
    )
    term = checked(alone, MET)
    # with Tess alone for the second skill no plan does
    assert (term.kept, term.bound_beside_due, term.bound) == (0, 0, 1)


def test_what_has_no_room_in_its_week_waits_and_what_never_has_is_told() -> None:
    case = with_helped(WEEKS[2].sunday, **mastered(2))
    monday = datetime.combine(WEEK.monday, time())
    away = replace(case.adults[TESS], away=(Absence(monday, monday + timedelta(weeks=1)),))
    (check,) = checked(replace(case, adults={**case.adults, TESS: away}), MET).checks
    assert check.probe
    assert check.probe.week == 1
    nothing = replace(case.learners["ida"], limits=LearnerLimits(probes_per_day=0))
    assert [c.probe for c in checked(replace(case, learners={"ida": nothing}), MET).checks] == [None]


def test_retests_and_baseline_probes_that_are_owed_come_first_too() -> None:
    failed = row(WEEK.monday - timedelta(days=9), ResultKind.PROBE, 0)
    taught = replace(row(WEEK.monday - timedelta(days=8), ResultKind.TEACHING, 5), line=3)
    case = with_helped(WEEKS[1].sunday, teachings_before_retest=1, retest_after_days=10)
    (check,) = checked(case, Log.of([failed, taught])).checks
    assert (check.kind, check.due) == (ProbeKind.RETEST, WEEK.monday + timedelta(days=2))
    assert check.probe
    assert (check.probe.week, check.probe.combination) == (0, CLINIC)
    teaching = with_helped(WEEKS[1].sunday, state=TargetState.TEACHING)
    with_baseline = replace(teaching, policy=replace(teaching.policy, baseline_per_target=2))
    found = checked(with_baseline).checks
    assert [c.kind for c in found] == [ProbeKind.BASELINE] * 2
    assert len({c.probe.combination for c in found if c.probe}) == 2
