"""Weeks with teachings: what is owed, what is taught when and by whom, and that the auditor agrees."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from genplan.audit import audit
from genplan.case import Case, WeeklyHours, Window
from genplan.case.second_adults import Beside
from genplan.case.targets import TargetState, Teach
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import NoteKind, ObjectiveName, Plan, Probe, ProbeKind, Sitting
from genplan.planning.alternatives import alternatives
from genplan.planning.assemble import seat_of
from genplan.planning.budget import Budget
from genplan.planning.explanation import why
from genplan.planning.jobs import Workers
from genplan.planning.needs import TargetNeed, need_of
from genplan.planning.probe_insertion import insert_probes
from genplan.planning.week_context import week_context_of
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from genplan.text.gains import easing_text
from genplan.text.matrix_rows import row_text
from genplan.text.notes import note_text, remarks
from tests.fixtures.planning_cases import NOW, WEEK, Inline, hours, plan_one, product_case

TEACHING, RETEST, NEW = ProbeKind.TEACHING, ProbeKind.RETEST, ProbeKind.NEW


def combination(bits: str) -> tuple[str, ...]:
    """`010` -> ('a0-0', 'l1-1', 'm2-0')."""
    return tuple(f"{name}{i}-{bit}" for i, (name, bit) in enumerate(zip("alme", bits, strict=False)))


def row(day: int, bits: str, correct: int | None, kind: ResultKind = ResultKind.PROBE) -> Result:
    """Of five trials, on a day of November (31 is 1 December)."""
    return Result(
        line=day,
        date=date(2026, 11, 1) + timedelta(days=day - 1),
        time=None,
        target="skill",
        kind=kind,
        combination=combination(bits),
        trials=None if correct is None else 5,
        correct=correct,
    )


def lesson(day: int, bits: str, correct: int | None = None) -> Result:
    return row(day, bits, correct, ResultKind.TEACHING)


def taught_case(
    levels: Iterable[int] = (2, 1, 1), policy: dict[str, Any] | None = None, **target: Any
) -> Case:
    """Everything covered, teaching planned; two adults, one place, one set."""
    case = product_case(levels, cover="all", **target)
    return replace(case, policy=replace(case.policy, **{"plan_teaching": True, **(policy or {})}))


def with_adult(case: Case, adult: str, **changes: Any) -> Case:
    return replace(case, adults={**case.adults, adult: replace(case.adults[adult], **changes)})


def with_learner(case: Case, **changes: Any) -> Case:
    return replace(case, learners={"wren": replace(case.learners["wren"], **changes)})


def needed(case: Case, rows: Iterable[Result], begun: Iterable[PlacedSitting] = ()) -> TargetNeed:
    return need_of(case, case.targets["skill"], Log.of(rows), WEEK, NOW.date(), begun)


def planned(case: Case, *rows: Result, **more: Any) -> Plan:
    log = Log.of(rows)
    plan = plan_one(case, log, **more)
    assert audit(case, log, plan, {}, more.get("kept", ())) == ()
    return plan


def things(plan: Plan) -> list[tuple[str, str, int]]:
    """Kind, bits and day of the week of everything, in order of time."""
    return [
        (p.kind.value, "".join(v[-1] for v in p.combination), s.start.weekday())
        for s in plan.sittings
        for p in s.probes
    ]


def value(plan: Plan, name: ObjectiveName) -> float:
    return next(o.value for o in plan.objectives if o.name is name)


def reasons(plan: Plan, kind: ProbeKind) -> list[Kind]:
    return [item.limit.kind for item in plan.left_out if item.kind is kind]


FAILED = row(2, "000", 1)


def test_a_failure_is_owed_its_teachings() -> None:
    need = needed(taught_case(teachings_before_retest=3), [FAILED, lesson(5, "000")])
    (due,) = need.teachings
    assert (due.combinations, due.times, due.unlocks) == ((combination("000"),), 2, True)
    assert [(c.kind, c.combination) for c in need.choices] == [
        (NEW, combination("100")),
        (TEACHING, combination("000")),
    ]


@pytest.mark.parametrize(("day", "weeks"), [(2, 3), (15, 2), (16, 1), (22, 1), (23, 0), (29, 0)])
def test_it_has_waited_since_the_week_in_which_it_failed(day: int, weeks: int) -> None:
    """The week begins on 30 November; 23 November is the Monday before."""
    (due,) = needed(taught_case(), [row(day, "000", 1)]).teachings
    assert due.waited == weeks
    # a teaching of two was held since: its combination still waits for the same
    (due,) = needed(taught_case(teachings_before_retest=2), [row(2, "000", 1), lesson(24, "000")]).teachings
    assert due.waited == 3


@pytest.mark.parametrize("planning", [True, False])
def test_what_was_taught_today_is_not_probed_today_whether_or_not_teaching_is_planned(planning: bool) -> None:
    """The child has time on Tuesday alone, and something was taught that day before the plan is made."""
    case = with_learner(taught_case(policy={"plan_teaching": planning}), free=hours(None, (9, 17), None))
    tuesday = NOW.replace(month=12, day=1, hour=8)
    assert [day for _, _, day in things(planned(case, now=tuesday))] == [1]
    assert things(planned(case, lesson(31, "000"), now=tuesday)) == []


def test_a_skill_that_nobody_may_teach_where_it_is_taught_says_so() -> None:
    case = taught_case(state=TargetState.TEACHING, teaching_per_week=1, taught=({"adult": "a0-0"},))
    for adult in case.adults:
        assert "somebody who may teach it" not in " ".join(remarks(case, planned(case)))
        case = with_adult(case, adult, teaches=frozenset())
    plan = planned(case)
    assert plan.sittings == ()
    assert (
        "No teaching of it is planned until the case says where it is taught, by somebody who may teach it."
        in " ".join(remarks(case, plan))
    )


def test_a_skill_that_is_still_taught_has_waited_since_its_last_teaching() -> None:
    case = taught_case(state=TargetState.TEACHING, teaching_per_week=1, taught=({"adult": "a0-0"},))
    assert [due.waited for due in needed(case, []).teachings] == [0]
    assert [due.waited for due in needed(case, [lesson(4, "000"), lesson(11, "000")]).teachings] == [2]


def test_of_two_for_whom_one_teaching_is_left_the_one_who_waited_longer_is_taught() -> None:
    """One teaching a week of the skill: which of the two it is, is told as the objective and in the reason."""
    one_a_week = taught_case(policy={"teachings_per_target_per_week": 1})
    for first, other in (("000", "100"), ("100", "000")):
        plan = planned(one_a_week, row(3, first, 1), row(24, other, 1))
        assert [bits for kind, bits, _ in things(plan) if kind == "teaching"] == [first]
        assert value(plan, ObjectiveName.WAITED) == 3
    # what failed last week has waited no whole week: nothing to count
    plan = planned(one_a_week, row(23, "000", 1), row(24, "100", 1))
    assert ObjectiveName.WAITED not in {o.name for o in plan.objectives}


def test_another_place_that_teaches_what_has_waited_less_says_so() -> None:
    """Told: Monday with the first adult, where it failed in October. The second, who is there on Tuesday, failed last
    week."""
    case = taught_case((2, 1, 1), policy={"teachings_per_target_per_week": 1})
    case = with_adult(case, "a0-0", free=hours((9, 10), None))
    case = with_adult(case, "a0-1", free=hours(None, (9, 10), None))
    rows = Log.of([row(2, "000", 1), row(24, "100", 1)])
    (told,) = plan_one(case, rows).sittings
    context = week_context_of(case, rows, WEEK, NOW, {}, ())
    found = alternatives(context, (), seat_of(case, WEEK, told))
    other = next(a for a in found if a.seat.adult == "a0-1")
    assert told.adult == "a0-0"
    assert (other.more_than_told["teaching"], other.more_than_told["waited"]) == (0, -3)


def test_nobody_is_asked_for_hours_so_that_one_thing_is_taught_in_place_of_another() -> None:
    """Another place would hold what has waited longer, and no more than is planned."""
    case = taught_case((2, 1, 1), policy={"teachings_per_target_per_week": 1})
    case = with_adult(case, "a0-0", free=hours(None))
    case = with_adult(case, "a0-1", free=hours((9, 10), None))
    assert helpful(case, row(2, "000", 1), row(24, "100", 1)) == {}


FEWEST = {"teach": Teach.FEWEST, "teachings_before_retest": 2}


def test_the_fewest_go_on_with_what_was_begun() -> None:
    """Both failed with the second set, which nothing else was run with: either would do, and the second was begun."""
    case = taught_case((2, 1, 2), **FEWEST)
    rows = [row(2, "000", 5), row(3, "100", 5), row(4, "001", 1), row(5, "101", 1)]
    assert [d.combinations for d in needed(case, rows).teachings] == [(combination("001"),)]
    begun = [*rows, lesson(6, "101")]
    assert [(d.combinations, d.times) for d in needed(case, begun).teachings] == [((combination("101"),), 1)]
    again = planned(case, *begun)
    assert [bits for kind, bits, _ in things(again) if kind == "teaching"] == ["101"]
    # had the plan begun the other, the auditor would say so
    fresh = planned(case, *rows)
    assert any("was begun" in said for said in audit(case, Log.of(begun), fresh, {}, ()))


def test_the_fewest_stay_what_people_were_told() -> None:
    """A failure after the week was told could be taught in the first combination; the second stays as it was told."""
    case = taught_case((2, 1, 2), **FEWEST)
    rows = [row(2, "000", 5), row(3, "100", 5), row(5, "101", 1)]
    kept = planned(case, *rows).sittings
    taught = {p.combination for s in kept for p in s.probes if p.kind is TEACHING}
    assert taught == {combination("101")}
    more = (*rows, row(6, "001", 1))
    again = planned(case, *more, kept=kept)
    assert [bits for kind, bits, _ in things(again) if kind == "teaching"] == ["101", "101"]
    assert {bits for kind, bits, _ in things(planned(case, *more)) if kind == "teaching"} == {"001"}
    # what another plan teaches of the week is told by the auditor
    assert any("was begun" in said for said in audit(case, Log.of(more), planned(case, *more), {}, kept))


def in_place(case: Case, *rows: Result) -> tuple[list[str], dict[str, str]]:
    """What the notes say of teaching in place of something else, and the matrix, by bits."""
    plan = planned(case, *rows)
    notes = [note_text(case, n) for n in plan.notes if n.kind is NoteKind.TAUGHT_IN_PLACE]
    said = {r.combination: row_text(case, r) for r in plan.matrix if r.instead_of}
    assert {n.combination for n in plan.notes if n.instead_of} == said.keys()
    held = {p.combination: p.instead_of for s in plan.sittings for p in s.probes if p.instead_of}
    assert held == {r.combination: r.instead_of for r in plan.matrix if r.instead_of}
    return notes, {"".join(v[-1] for v in c): text for c, text in said.items()}


@pytest.mark.parametrize("teach", Teach)
def test_what_is_taught_though_it_never_failed_is_said_with_the_reason(teach: Teach) -> None:
    """The second set only failed: held out there, or where nobody who may teach goes; else it is taught itself."""
    rows = [row(2, "000", 5), row(3, "100", 5), row(4, "001", 1)]
    case = taught_case((2, 1, 2), teach=teach, hold_out=({"adult": "a0-0", "material_set": "m2-1"},))
    said = "in place of a0-0, l1-0, m2-1 (held out)"
    assert in_place(case, *rows) == (
        [f"'A skill' is to be taught in a0-1, l1-0, m2-1, where it was never probed: {said}."],
        {"101": f"to be taught {said}"},
    )
    assert in_place(taught_case((2, 1, 2), teach=teach), *rows) == ([], {})


def test_where_nobody_may_teach_what_is_taught_instead_says_so() -> None:
    case = with_adult(taught_case((2, 2, 2), teach=Teach.FEWEST), "a0-0", teaches=frozenset())
    case = with_adult(case, "a0-1", locations=frozenset({"l1-1"}))
    _, matrix = in_place(case, row(2, "000", 5), row(3, "010", 5), row(4, "001", 1))
    assert matrix == {"011": "to be taught in place of a0-0, l1-0, m2-1 (nobody may teach there)"}


def test_nothing_is_owed_where_no_teaching_is_planned() -> None:
    case = taught_case(policy={"plan_teaching": False})
    assert needed(case, [FAILED]).teachings == ()
    plan = planned(case, FAILED)
    assert [kind for kind, *_ in things(plan)] == ["new"]
    assert ObjectiveName.TEACHING not in {o.name for o in plan.objectives}


def test_what_sits_in_a_begun_sitting_counts_once() -> None:
    """One of two was held on Monday: with its row, and before it is written down, one is left."""
    case = taught_case(teachings_before_retest=2)
    monday = PlacedSitting(
        "wren", "a0-0", "l1-0", 600, 615, (PlacedProbe("skill", combination("000"), "teaching"),)
    )
    for rows in ([FAILED], [FAILED, lesson(30, "000")]):
        assert [due.times for due in needed(case, rows, [monday]).teachings] == [1]
    assert needed(case, [FAILED, lesson(30, "000"), lesson(31, "000")], [monday]).teachings == ()


def test_what_is_taught_and_what_is_new_share_the_week() -> None:
    plan = planned(taught_case(), FAILED)
    assert [(kind, bits) for kind, bits, _ in sorted(things(plan))] == [("new", "100"), ("teaching", "000")]
    assert value(plan, ObjectiveName.TEACHING) == 2
    assert value(plan, ObjectiveName.PROBES) == 1
    (waits,) = [item for item in plan.left_out if item.kind is RETEST]
    assert waits.limit.kind is Kind.TEACHING_PLANNED


def test_a_sitting_is_as_long_as_its_teaching() -> None:
    plan = planned(taught_case(teaching_minutes=25), FAILED)
    (sitting,) = [s for s in plan.sittings if s.probes[0].kind is TEACHING]
    assert sitting.end - sitting.start == timedelta(minutes=5 + 25)


def test_a_skill_that_is_still_taught_has_its_sessions() -> None:
    case = taught_case(
        (2, 1, 1), state=TargetState.TEACHING, teaching_per_week=3, taught=({"adult": "a0-0"},)
    )
    plan = planned(case)
    assert things(plan) == [("teaching", "000", day) for day in (0, 1, 2)]
    assert (plan.coverage, plan.matrix) == ((), ())
    # two were held without a plan on Monday and Tuesday
    later = planned(case, lesson(30, "000"), lesson(31, "000"), now=NOW + timedelta(days=3))
    assert things(later) == [("teaching", "000", 2)]


def test_more_than_the_week_allows_is_left_out_with_its_reason() -> None:
    case = taught_case(state=TargetState.TEACHING, teaching_per_week=5, taught=({"adult": "a0-0"},))
    plan = planned(case)
    (item,) = plan.left_out
    assert (len(plan.sittings), item.kind, item.teachings) == (3, TEACHING, 2)
    assert (item.limit.kind, item.limit.figure) == (Kind.TEACHINGS_WEEK, 3)


@pytest.mark.parametrize(("first", "kept"), [(True, "teaching"), (False, "new")])
def test_which_comes_first_where_there_is_room_for_one(first: bool, kept: str) -> None:
    """One sitting of twenty minutes a week: five to settle, then either ten of teaching or five of a probe."""
    case = taught_case(policy={"teaching_first": first})
    case = with_learner(
        case, free=hours((9, 10), None), limits=replace(case.learners["wren"].limits, sittings_per_week=1)
    )
    plan = planned(case, FAILED)
    assert [kind for kind, _, _ in things(plan)] == [kept]
    names = [o.name for o in plan.objectives]
    assert (names.index(ObjectiveName.TEACHING) < names.index(ObjectiveName.NEW_TUPLES)) is first


def test_no_probe_of_a_skill_on_a_day_after_it_was_taught() -> None:
    """Monday alone, the adult of the failure from nine to ten, the other from eleven: the new one would come after."""
    for policy, expected in (({}, 1), ({"probe_after_teaching": True}, 2)):
        case = taught_case(policy={"probes_per_target_per_day": 2, **policy})
        case = with_adult(case, "a0-0", free=hours((9, 10), None))
        case = with_adult(case, "a0-1", free=hours((11, 12), None))
        assert len(things(planned(case, FAILED))) == expected
    # the other way round both are possible
    case = with_adult(case, "a0-0", free=hours((13, 14), None))
    case = replace(case, policy=replace(case.policy, probe_after_teaching=False))
    assert [kind for kind, *_ in things(planned(case, FAILED))] == ["new", "teaching"]


@pytest.mark.parametrize(("end", "expected"), [((10, 15), ["new"]), ((12, 0), ["new", "teaching"])])
def test_where_hours_overlap_the_clock_decides_what_comes_first(
    end: tuple[int, int], expected: list[str]
) -> None:
    """Monday alone: the adult of the failure from nine on, the other from ten to eleven. By a quarter past ten only the
    teaching could be held first; by noon it comes after the probe."""
    case = taught_case(policy={"probes_per_target_per_day": 2})
    case = with_adult(case, "a0-0", free=WeeklyHours(((Window(540, 60 * end[0] + end[1]),), *((),) * 6)))
    case = with_adult(case, "a0-1", free=hours((10, 11), None))
    assert [kind for kind, *_ in things(planned(case, FAILED))] == expected


def test_in_one_stretch_of_an_adult_the_probe_comes_before_the_teaching() -> None:
    """Two sets, one adult, Monday alone: both are held one after the other, as far as the stretch has room. The probe
    takes half an hour, so the other way round both would begin earlier."""
    for hour, expected in ((11, ["new", "teaching"]), (10, ["new"])):
        case = taught_case((1, 1, 2), policy={"probes_per_target_per_day": 2}, minutes=30)
        case = with_adult(case, "a0-0", free=hours((9, hour), None))
        assert [kind for kind, *_ in things(planned(case, FAILED))] == expected


def test_after_a_lesson_that_was_recorded_nothing_is_probed_on_that_day() -> None:
    case = taught_case(teachings_before_retest=2)
    case = with_adult(case, "a0-0", free=hours((9, 17), None))
    case = with_adult(case, "a0-1", free=hours((9, 17), None))
    noon = NOW + timedelta(days=1)
    assert [kind for kind, *_ in things(planned(case, FAILED, now=noon))] == ["new", "teaching"]
    assert things(planned(case, FAILED, lesson(30, "000"), now=noon)) == []


def test_the_limits_of_the_child() -> None:
    case = taught_case((3, 1, 1), policy={"teachings_per_target_per_day": 3})
    rows = [row(2, f"{n}00", 1) for n in range(3)]
    for most in (1, 2):
        limits = replace(case.learners["wren"].limits, teachings_per_day=most)
        monday = with_learner(case, free=hours((9, 17), None), limits=limits)
        plan = planned(monday, *rows)
        assert len(things(plan)) == most
        assert set(reasons(plan, TEACHING)) == {Kind.TEACHINGS_PER_DAY}


def test_so_many_retests_on_a_day() -> None:
    case = taught_case((3, 1, 1), policy={"probes_per_target_per_day": 3})
    rows = [r for n in range(3) for r in (row(2, f"{n}00", 1), lesson(3, f"{n}00"))]
    limits = replace(case.learners["wren"].limits, retests_per_day=1)
    plan = planned(with_learner(case, limits=limits), *rows)
    assert [day for _, _, day in things(plan)] == [0, 1, 2]
    monday = planned(with_learner(case, limits=limits, free=hours((9, 17), None)), *rows)
    assert reasons(monday, RETEST) == [Kind.RETESTS_PER_DAY] * 2


@pytest.mark.parametrize(("days", "first"), [(0, 0), (27, 2), (40, None)])
def test_a_retest_waits_its_days(days: int, first: int | None) -> None:
    """Taught on 5 November: 27 days on is Wednesday 2 December."""
    plan = planned(taught_case((1, 1, 1), retest_after_days=days), FAILED, lesson(5, "000"))
    assert things(plan) == ([("retest", "000", first)] if first is not None else [])
    if first is None:
        (item,) = plan.left_out
        assert (item.limit.kind, item.limit.on) == (Kind.RETEST_LATER, date(2026, 12, 15))


def test_somebody_who_teaches_sits_beside() -> None:
    """Only the second adult teaches, and is free on Thursday at the earliest."""
    case = with_adult(taught_case(), "a0-0", teaches=frozenset())
    case = with_adult(case, "a0-1", free=hours(None, None, None, (9, 17)))
    plan = planned(case, FAILED)
    (sitting,) = [s for s in plan.sittings if s.probes[0].kind is TEACHING]
    assert (sitting.adult, sitting.beside, sitting.beside_as) == ("a0-0", "a0-1", Beside.TEACHER)
    assert sitting.start.weekday() == 3
    assert all(not s.beside for s in plan.sittings if s != sitting)


def test_nobody_to_sit_beside_is_told() -> None:
    case = with_adult(taught_case(), "a0-0", teaches=frozenset())
    # the one who teaches comes when the other is gone
    case = with_adult(case, "a0-0", free=hours((9, 12)))
    case = with_adult(case, "a0-1", free=hours((13, 17)))
    plan = planned(case, FAILED)
    assert (reasons(plan, TEACHING), reasons(plan, RETEST)) == ([Kind.TEACHER], [Kind.TEACHING])


def test_where_nobody_teaches_at_all_it_is_told() -> None:
    case = taught_case()
    for adult in case.adults:
        case = with_adult(case, adult, teaches=frozenset())
    plan = planned(case, FAILED)
    assert [kind for kind, *_ in things(plan)] == ["new"]
    assert (reasons(plan, RETEST), reasons(plan, TEACHING)) == ([Kind.NOBODY_TEACHES], [])


def test_a_companion_who_teaches_is_both() -> None:
    """Nobody but the other adult knows the child; it sits beside as a companion, and teaches."""
    taught = ({"adult": "a0-1", "location": "l1-0", "material_set": "m2-0"},)
    case = taught_case(policy={"accompany_new_adults": True}, taught=taught)
    case = with_adult(case, "a0-0", teaches=frozenset())
    known = replace(FAILED, combination=combination("000"))
    case = with_adult(case, "a0-0", learners=None)
    plan = planned(case, known)
    for sitting in plan.sittings:
        if sitting.adult == "a0-0" and sitting.beside:
            assert sitting.beside_as is not Beside.OBSERVER


def helpful(case: Case, *rows: Result) -> dict[str, int]:
    """What would help, by its words, with how many teachings more."""
    log = Log.of(rows)
    ground = week_context_of(case, log, WEEK, NOW, {}, ())
    found = why(ground, plan_one(case, log), Workers(Inline(), lambda _: None), ("wren",)).gains.found
    return {easing_text(case, gain.easing): gain.of("teaching") for gain in found}


def test_that_somebody_taught_it_would_help() -> None:
    case = taught_case((1, 1, 1))
    case = with_adult(case, "a0-0", teaches=frozenset())
    assert helpful(case, FAILED) == {"may a0-0 teach 'A skill'? The practitioner would have to say so": 1}
    assert helpful(with_adult(case, "a0-0", teaches=None), FAILED) == {}


def test_that_more_teachings_were_allowed_would_help() -> None:
    case = taught_case(
        (1, 1, 1), state=TargetState.TEACHING, teaching_per_week=4, taught=({"adult": "a0-0"},)
    )
    assert helpful(case) == {"a target may have 4 teachings a week": 1}
    monday = with_learner(case, free=hours((9, 17), None))
    assert helpful(monday)["a target may have 2 teachings a day"] == 1


def test_weeks_after_each_other_come_to_an_end() -> None:
    """A failure is taught, probed again and met: nothing waits for what nobody plans."""
    from genplan.keeping.optimistic_log import optimistic_log

    case, log, week, now = taught_case((2, 2, 1), teachings_before_retest=2), Log.of([FAILED]), WEEK, NOW
    kinds = []
    for _ in range(4):
        plan = plan_one(case, log, week, now)
        kinds += [kind for kind, *_ in things(plan)]
        log = optimistic_log(log, plan.sittings)
        week, now = week.next(), now + timedelta(days=7)
    assert sorted(kinds) == ["new", "new", "new", "retest", "teaching", "teaching"]
    assert plan.left_out == ()


def test_a_week_that_was_told_keeps_its_teaching() -> None:
    case = taught_case()
    before = planned(case, FAILED)
    again = planned(case, FAILED, kept=before.sittings)
    assert [(s.id, s.start, s.probes) for s in again.sittings] == [
        (s.id, s.start, s.probes) for s in before.sittings
    ]


def test_midweek_a_teaching_that_was_held_makes_the_retest_due() -> None:
    case = taught_case((1, 1, 1))
    before = planned(case, FAILED)
    (monday,) = before.sittings
    assert things(before) == [("teaching", "000", 0)]
    later = monday.end + timedelta(hours=1)
    unwritten = planned(case, FAILED, kept=before.sittings, now=later)
    assert things(unwritten) == [("teaching", "000", 0)]
    written = planned(case, FAILED, lesson(30, "000"), kept=before.sittings, now=later)
    assert things(written) == [("teaching", "000", 0), ("retest", "000", 1)]


def test_what_was_told_as_a_probe_and_is_a_teaching_now_is_a_change() -> None:
    case = taught_case((1, 1, 1))
    probe = Probe(target="skill", combination=combination("000"), kind=NEW, trials=5, new_tuples=1)
    start = NOW.replace(hour=9) + timedelta(days=1)
    told = Sitting(
        id="2026-W49-mon",
        learner="wren",
        adult="a0-0",
        location="l1-0",
        start=start,
        end=start + timedelta(minutes=10),
        probes=(probe,),
    )
    plan = planned(case, FAILED, kept=(told,))
    assert [kind for kind, *_ in things(plan)] == ["teaching"]
    assert value(plan, ObjectiveName.TOLD) == 2  # the sitting stays at its time, its content does not


def broken_case(**policy: Any) -> tuple[Case, list[Result]]:
    """Nine probes: with the adult a0-0 none of four was met, with the other all of five."""
    case = taught_case((2, 5, 1), policy=policy)
    combos = [("a0-0", f"l1-{n}", "m2-0") for n in range(4)] + [("a0-1", f"l1-{n}", "m2-0") for n in range(5)]
    return case, [
        replace(row(2, "000", 1 if c[0] == "a0-0" else 5), combination=c, line=n)
        for n, c in enumerate(combos, 2)
    ]


def test_where_it_breaks_new_ones_wait_for_one_that_is_met_again() -> None:
    case, rows = broken_case(new_wait_where_it_breaks=True)
    plan = planned(case, *rows)
    assert {kind for kind, *_ in things(plan)} == {"teaching"}
    (item,) = [item for item in plan.left_out if item.kind is NEW]
    assert (item.limit.kind, item.limit.value) == (Kind.BREAKS, ("adult", "a0-0"))
    assert plan.coverage[0].fewest_further == 1
    # taught and met again at one place
    again = [lesson(3, "000", 5), replace(row(4, "000", 5), line=30)]
    assert ("new", "040") in [(kind, bits) for kind, bits, _ in things(planned(case, *rows, *again))]
    free, _ = broken_case()
    assert ("new", "040") in [(kind, bits) for kind, bits, _ in things(planned(free, *rows))]


def test_while_a_skill_has_lapsed_where_it_was_taught_new_ones_wait() -> None:
    taught = ({"adult": "a0-0", "location": "l1-0", "material_set": "m2-0"},)
    for wait, kinds in ((False, ["new", "teaching"]), (True, ["teaching"])):
        case = taught_case(policy={"new_wait_after_lapse": wait}, taught=taught)
        plan = planned(case, FAILED)
        assert sorted(kind for kind, *_ in things(plan)) == kinds
        assert reasons(plan, NEW) == ([Kind.LAPSED] if wait else [])
    assert [kind for kind, *_ in things(planned(case, FAILED, lesson(3, "000"), row(4, "000", 5)))] == ["new"]


def test_what_was_not_run_and_waits_for_another_reason_is_named_all_the_same() -> None:
    taught = ({"adult": "a0-0", "location": "l1-0", "material_set": "m2-0"},)
    case = taught_case(policy={"new_wait_after_lapse": True}, taught=taught)
    plan = planned(case, FAILED, row(4, "100", None, ResultKind.NOT_RUN))
    (note,) = [n for n in plan.notes if n.kind is NoteKind.FELL_AND_WAITS]
    assert (note.combination, note.on, note.limit) == (
        combination("100"),
        date(2026, 11, 4),
        Limit(Kind.LAPSED),
    )
    assert "it is not in this week, since" in note_text(case, note)


def test_a_teaching_is_inserted_like_a_due_probe() -> None:
    """A week without a search: what is owed twice is taught on two days, and only then is there no more to insert."""
    case, log = taught_case((2, 1, 1), teachings_before_retest=2), Log.of([FAILED])
    load = week_context_of(case, log, WEEK, NOW, {}, ()).caseload
    seats = insert_probes(load, {}, Budget.of(60), {})["wren"]
    kinds = sorted((s.day, p.kind) for s in seats for p in s.probes)
    assert [kind for _, kind in kinds].count("teaching") == 2
    assert len({day for day, kind in kinds if kind == "teaching"}) == 2
    assert [kind for _, kind in kinds].count("new") == 1
    # what needs somebody beside is not inserted
    case = with_adult(case, "a0-0", teaches=frozenset())
    load = week_context_of(case, log, WEEK, NOW, {}, ()).caseload
    assert [p.kind for s in insert_probes(load, {}, Budget.of(60), {})["wren"] for p in s.probes] == ["new"]


def test_what_an_adult_can_give_is_the_same_for_the_search_and_the_count() -> None:
    """The retest may be run from Saturday on; the minutes of Monday count all the same: 10 of 540 are one tenth."""
    case = with_adult(
        taught_case((1, 1, 1), retest_after_days=30),
        "a0-0",
        free=hours((9, 17), None, None, None, None, (9, 10), None),
    )
    plan = planned(case, FAILED, lesson(5, "000"))
    assert things(plan) == [("retest", "000", 5)]
    loads = next(o for o in plan.objectives if o.name is ObjectiveName.LOADS)
    assert (loads.value, loads.bound) == (1, 1)


def test_what_is_left_for_later_is_counted_where_nothing_can_be_run_now() -> None:
    taught = ({"adult": "a0-0", "location": "l1-0", "material_set": "m2-0"},)
    case = taught_case(policy={"new_wait_after_lapse": True}, taught=taught)
    case = with_adult(case, "a0-0", teaches=frozenset())
    case = with_adult(case, "a0-1", teaches=frozenset())
    plan = planned(case, FAILED)
    assert (things(plan), value(plan, ObjectiveName.FURTHER_PROBES)) == ([], 1)
