"""The plan of a term: dates share out a scarce adult over the weeks."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest

from genplan.audit.term import audit_term
from genplan.case import Absence, AdultLimits, Birth, LearnerLimits, WeeklyHours, Wish
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import Probe, ProbeKind, StageStatus
from genplan.plan.term import NoWay, Promise, Whose
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.jobs import Workers
from genplan.planning.term.building import problem_of
from genplan.planning.term.compose import term_of
from genplan.planning.term.following import following
from genplan.planning.term.wanted import TermFacts, dates_of
from genplan.planning.week_context import week_context_of
from tests.fixtures import builders as b
from tests.fixtures.planning_cases import NOW, WEEK, Inline
from tests.fixtures.term_cases import BY, TESS, WEEKS, sunday_before, the_term, therapist_case, with_rules


def test_who_has_the_sooner_date_has_the_scarce_hour_first() -> None:
    term = the_term(therapist_case())
    assert (term.kept, term.bound, term.status) == (3, 3, StageStatus.OPTIMAL)
    by_child = {d.learner: sorted(p.week for p in term.serving(d)) for d in term.dates}
    # six sittings of Ida and Jon fill three weeks; Kai's follow, as early as there is room
    assert sorted(by_child["ida"] + by_child["jon"]) == [0, 0, 1, 1, 2, 2]
    assert by_child["kai"] == [3, 3, 4]
    (tess,) = (load for load in term.loads if load.name == TESS)
    assert (tess.used, tess.free) == ((60, 60, 60, 60, 30, 0), (60,) * 6)


def test_a_week_without_the_adult_costs_a_date_and_the_term_says_who_is_short() -> None:
    case = therapist_case()
    monday = datetime.combine(WEEKS[1].monday, time())
    away = replace(case.adults[TESS], away=(Absence(monday, monday + timedelta(weeks=1)),))
    term = the_term(replace(case, adults={**case.adults, TESS: away}))
    assert (term.kept, term.bound) == (2, 2)
    (missed,) = (d for d in term.dates if not d.is_kept)
    # one child has three of the four sittings that are left, the other one
    assert missed.promise is Promise.GIVES_WAY
    assert any((s.whose, s.names) == (Whose.ADULT, (TESS,)) and s.weeks == (0, 2) for s in missed.short)


def test_what_no_hours_are_left_for_cannot_be_kept() -> None:
    case = therapist_case({"ida": WEEK.sunday})
    (few,) = the_term(case).dates
    # two probes show two places and the set
    assert (few.promise, len(few.shown), few.no_way) == (Promise.CANNOT, 3, {})
    monday = datetime.combine(WEEK.monday, time())
    away = replace(case.adults[TESS], away=(Absence(monday, monday + timedelta(weeks=1)),))
    (found,) = the_term(replace(case, adults={**case.adults, TESS: away})).dates
    assert found.promise is Promise.CANNOT
    assert found.no_way == dict.fromkeys(found.tuples, NoWay.NO_HOURS)


def test_what_has_no_way_says_what_is_the_matter() -> None:
    """Tess is there as she always is: a probe that is too long for a sitting, a skill that waits for teaching."""
    case = therapist_case({"ida": BY["ida"]})
    short = replace(case.learners["ida"], limits=LearnerLimits(sitting_minutes=20))
    (found,) = the_term(replace(case, learners={"ida": short})).dates
    assert found.no_way == dict.fromkeys(found.tuples, NoWay.TOO_LONG)
    case = with_rules(therapist_case({"ida": WEEK.sunday}), new_wait_after_lapse=True)
    taught = replace(case.targets["ida-skill"], taught=({"adult": "idas-mum", "location": "gym"},))
    day = NOW.date() - timedelta(days=9)
    row = Result(
        line=2, date=day, time=None, target="ida-skill", kind=ResultKind.PROBE,
        combination=("idas-mum", "gym", "red"), trials=5, correct=0,
    )  # fmt: skip
    (found,) = the_term(replace(case, targets={"ida-skill": taught}), log=Log((row,))).dates
    assert found.promise is Promise.CANNOT
    assert found.no_way == dict.fromkeys(found.tuples, NoWay.WAITS)


@pytest.mark.parametrize(
    ("companions", "wished", "why"),
    [(True, False, NoWay.NO_COMPANION), (False, True, NoWay.NOT_WISHED), (True, True, NoWay.NOT_WISHED)],
)
def test_hours_that_there_are_are_not_said_to_lack(companions: bool, wished: bool, why: NoWay) -> None:
    """Tess is there on Monday and Wednesday of the only week before the date. She is new to the child, and everybody
    who is not is away; or somebody wished that no sitting of hers with it takes place on these days."""
    case = with_rules(therapist_case({"ida": WEEK.sunday}), accompany_new_adults=companions)
    never = replace(case.adults["idas-mum"], free=WeeklyHours(((),) * 7))
    case = replace(case, adults={**case.adults, "idas-mum": never})
    ground = week_context_of(case, Log(), WEEK, NOW, {}, ())
    if wished:
        ground = replace(ground, free=replace(ground.free, barred={("ida", TESS): ground.free.adults[TESS]}))
    facts = TermFacts(case=case, ground=ground, weeks=(WEEK, WEEK.next()), busy={})
    (found,) = term_of(facts, Workers(Inline(), lambda _: None, ENDLESS)).dates
    assert found.promise is Promise.CANNOT
    assert found.no_way == dict.fromkeys(found.tuples, why)


def test_a_date_in_the_middle_of_a_week_has_its_days_alone() -> None:
    """Two sittings with Tess in the week before, a third on the Monday of its own: that is one too few for two
    children."""
    tuesday = WEEKS[1].monday + timedelta(days=1)
    term = the_term(therapist_case({"ida": tuesday}))
    assert term.kept == 1
    assert [(p.week, p.first, p.last) for p in term.probes] == [(0, 0, 6), (0, 0, 6), (1, 0, 1)]
    assert the_term(therapist_case({"ida": tuesday, "jon": tuesday})).bound == 1


def test_limits_count() -> None:
    ida = {"ida": BY["ida"]}
    case = therapist_case(ida)
    assert the_term(case, WEEKS[:1]).later == (("ida-skill", 0),)
    one_a_week = replace(case.learners["ida"], limits=LearnerLimits(sittings_per_week=1))
    assert the_term(replace(case, learners={"ida": one_a_week})).kept == 1
    assert the_term(with_rules(case, probes_per_target_per_week=1)).kept == 1
    sooner = therapist_case({"ida": WEEKS[1].sunday})
    assert the_term(sooner).kept == 1
    assert the_term(with_rules(sooner, probes_per_target_per_week=1)).kept == 0


def test_one_probe_of_a_skill_a_day_holds_of_the_days_of_an_adult() -> None:
    """Tess has all of one Monday, and a skill is tried once a day: one probe of three, whatever Mum does later."""
    case = therapist_case({"ida": WEEK.sunday})
    monday = WeeklyHours((case.learners["ida"].free.days[0], *((),) * 6))
    tess, skill = replace(case.adults[TESS], free=monday), case.targets["ida-skill"]
    also = replace(skill, first=(*skill.first, Wish({"adult": "idas-mum", "location": "gym"}, WEEK.sunday)))
    term = the_term(replace(case, adults={**case.adults, TESS: tess}, targets={skill.id: also}))
    assert [(d.is_kept, d.promise) for d in term.dates] == [(False, Promise.CANNOT), (True, Promise.KEPT)]


def test_a_sitting_holds_as_many_probes_as_it_has_minutes_for() -> None:
    """Two skills of 25 minutes and half an hour with Tess: one probe in each sitting, though nothing limits them. Said
    by their number it is a cut that proves in a fifth of the work what minutes alone leave open."""
    case = therapist_case({"ida": WEEK.sunday})
    skill = case.targets["ida-skill"]
    both = {i: replace(skill, id=i) for i in ("ida-skill", "ida-too")}
    ground = week_context_of(replace(case, targets=both), Log(), WEEK, NOW, {}, ())
    facts = TermFacts(case=replace(case, targets=both), ground=ground, weeks=(WEEK,), busy={})
    problem, _ = problem_of(facts, dates_of(facts).wanted)
    assert set(problem.most_probes.values()) == {1}


def test_what_was_run_is_done_and_what_is_over_is_told() -> None:
    case = therapist_case()
    rows = [
        Result(
            line=n,
            date=WEEK.monday + timedelta(days=2),
            time=None,
            target="ida-skill",
            kind=ResultKind.PROBE,
            combination=(TESS, place, "red"),
            trials=5,
            correct=1,
        )
        for n, place in enumerate(("clinic", "gym"), 2)
    ]
    term = the_term(case, WEEKS[1:], Log.of(rows), sunday_before(WEEKS[1]))
    (ida,) = (d for d in term.dates if d.learner == "ida")
    # met or not, two of three places were tried
    assert ida.tuples == {(("adult", TESS), ("location", "hall"))}
    late = the_term(case, WEEKS[3:], Log.of(rows), sunday_before(WEEKS[3]))
    assert late.over == (("ida-skill", 0), ("jon-skill", 0))
    assert [d.learner for d in late.dates] == ["kai"]


def test_a_case_without_dates_has_nothing_to_search() -> None:
    case = therapist_case()
    undated = {i: replace(t, first=(Wish({"adult": TESS}),)) for i, t in case.targets.items()}
    term = the_term(replace(case, targets=undated))
    assert (term.dates, term.probes, term.bound) == ((), (), 0)


def test_the_same_term_whatever_the_order_of_the_case() -> None:
    case = therapist_case()
    turned = replace(
        case,
        learners=dict(reversed(case.learners.items())),
        adults=dict(reversed(case.adults.items())),
        targets=dict(reversed(case.targets.items())),
    )
    assert the_term(case) == the_term(turned)


def test_a_child_grows_into_a_set() -> None:
    """Small parts are possible from the month in which a child is three: the term may count on it, and no sooner."""
    case = therapist_case({"ida": WEEKS[5].sunday})
    small = replace(case.material_sets["red"], small_parts=True)
    case = replace(case, material_sets={"red": small})
    born = replace(case.learners["ida"], born=Birth(2023, 12, 10))
    term = the_term(replace(case, learners={"ida": born}))
    assert term.dates == ()  # nothing is possible today, so nothing is asked for
    assert NOW.date() < date(2026, 12, 10)


def test_a_clock_that_strikes_leaves_the_first_plan_and_proves_nothing() -> None:
    """Date by date there is room for two of three children; that no more can be is for the search to prove."""
    case = therapist_case(dict.fromkeys(("ida", "jon", "kai"), WEEKS[2].sunday))
    term = the_term(case, budget=Budget(deadline=0.0, clock=lambda: 1.0))
    assert (term.kept, term.bound, term.status, term.repeatable) == (2, 3, StageStatus.STOPPED, False)
    assert [d.promise for d in term.dates].count(Promise.UNKNOWN) == 1
    assert audit_term(case, Log(), term, NOW, {}) == ()
    assert (the_term(case).kept, the_term(case).bound) == (2, 2)


def test_a_term_that_keeps_nothing_has_no_say_in_the_week() -> None:
    case = therapist_case({"ida": WEEK.sunday})
    ground = week_context_of(case, Log(), WEEK, NOW, {}, ())
    assert the_term(case).kept == 0
    assert following(ground, the_term(case)) is ground


def test_what_is_free_of_an_adult_is_what_the_limits_of_the_week_leave() -> None:
    case = therapist_case({"ida": BY["ida"]})
    for limits, free, sittings, most, fullest in (
        (AdultLimits(minutes_per_week=30), (30, 30, 30), (), (), 1.0),
        (AdultLimits(sittings_per_week=1), (60, 60, 60), (1, 1, 1), (1, 1, 1), 1.0),
        (AdultLimits(minutes_per_week=500, sittings_per_week=3), (60, 60, 60), None, (3, 3, 3), 1.0),
    ):
        limited = replace(case.adults[TESS], limits=limits)
        changed = replace(case, adults={**case.adults, TESS: limited})
        term = the_term(changed)
        (tess,) = (load for load in term.loads if load.name == TESS)
        assert (tess.free, tess.most_sittings, tess.fullest) == (free, most, fullest)
        assert sum(tess.used) == 90
        if sittings is not None:
            assert tess.sittings == sittings
        assert not audit_term(changed, Log(), term, NOW, {})


def test_a_sitting_that_has_begun_takes_of_what_the_limits_leave() -> None:
    """Tess's half an hour of Monday has begun: of 45 minutes and two sittings 15 minutes and one sitting are left."""
    case = therapist_case({"ida": BY["ida"]})
    limited = replace(case.adults[TESS], limits=AdultLimits(minutes_per_week=45, sittings_per_week=2))
    case = replace(case, adults={**case.adults, TESS: limited})
    monday = datetime.combine(WEEK.monday, time(10), NOW.tzinfo)
    probe = Probe(
        target="ida-skill", combination=(TESS, "hall", "red"), kind=ProbeKind.NEW, trials=5, new_tuples=1
    )
    begun = replace(
        b.a_sitting("ida", TESS, "hall", monday, [probe]), end=monday + timedelta(minutes=30), begun=True
    )
    ground = week_context_of(case, Log(), WEEK, monday + timedelta(hours=2), {}, (begun,))
    facts = TermFacts(case=case, ground=ground, weeks=WEEKS, busy={})
    term = term_of(facts, Workers(Inline(), lambda _: None, ENDLESS))
    (tess,) = (load for load in term.loads if load.name == TESS)
    # on Wednesday she has half an hour, of which the limit leaves 15 minutes
    assert (tess.free, tess.most_sittings) == ((15, 45, 45), (1, 2, 2))
    assert tess.used == (0, 30, 30)
    assert (tess.sittings, tess.shares) == ((0, 1, 1), (0.0, 30 / 45, 30 / 45))
