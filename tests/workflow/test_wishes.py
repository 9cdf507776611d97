"""Wishes for a kept week from the words typed to the plan that keeps them, told anew, and taken back."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest

from genplan import workflow
from genplan.case import Week
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.cli import main
from genplan.errors import UsageError
from genplan.keeping.store import read_kept
from genplan.plan import Plan, Sitting, Unkept
from genplan.report.document import plan_document
from genplan.report.people_told import told_lines
from genplan.report.said_anew import answer_of
from genplan.report.terminal import week_summary
from genplan.rules.limits import Kind
from genplan.workflow.wish_answers import answers_in
from tests.fixtures.places import ROOT
from tests.fixtures.small_case import SUNDAY, TEXT, WEDNESDAY, WEEK, silent, small_case

HOLD, MOVE, ADD, NOT, APART, RATHER = WishKind


def told(case: Path) -> tuple[Sitting, ...]:
    kept = read_kept(case, WEEK, workflow.open_case(case, SUNDAY).case)
    assert kept
    return kept.sittings


def planned(case: Path, now: datetime = SUNDAY) -> Plan:
    return workflow.plan(case, WEEK, now, None, silent).plan


def wish(case: Path, kind: WishKind, now: datetime = SUNDAY, **more: Any) -> workflow.Wished:
    return workflow.wish(case, PlannersWish(kind=kind, **more), now)


def content(s: Sitting) -> tuple[object, ...]:
    return s.learner, s.adult, s.location, s.start, {(p.target, p.combination) for p in s.probes}


def naive(moment: datetime) -> datetime:
    return moment.replace(tzinfo=None)


def test_a_sitting_that_is_held_stays_whatever_comes(case: Path) -> None:
    first = told(case)[0]
    assert wish(case, HOLD, sitting=first.id).answer.kept  # type: ignore[union-attr]
    assert f'at: "{first.start:%Y-%m-%d %H:%M}"' in (case / "changes.yaml").read_text("utf-8")
    plan = planned(case)
    (answer,) = plan.wishes
    assert answer.kept
    assert answer.sitting == first.id
    assert [content(s) for s in plan.sittings if s.id == first.id] == [content(first)]


@pytest.mark.parametrize("kind", [HOLD, MOVE, ADD])
def test_a_wish_that_was_kept_is_kept_once_its_sitting_has_begun(tmp_path: Path, kind: WishKind) -> None:
    """Monday's sitting stays, moves by an hour or is put in an hour later by hand; on Wednesday it is over."""
    case = told_twice_on_monday(tmp_path)
    first = told(case)[0]
    later = datetime(2026, 11, 30, 16)
    probe = first.probes[0]
    by_hand = {
        "learner": first.learner,
        "adult": first.adult,
        "location": first.location,
        "target": probe.target,
        "values": (("material_set", probe.combination[2]),),
    }
    more = {HOLD: {}, MOVE: {"start": later}, ADD: {"start": later, **by_hand}}[kind]
    wish(case, kind, **(more if kind is ADD else {"sitting": first.id, **more}))
    for now in (SUNDAY, WEDNESDAY):
        outcome, _ = workflow.replan(case, WEEK, now, None, True, silent)
        (answer,) = outcome.plan.wishes
        assert answer.kept
        (there,) = [s for s in outcome.plan.sittings if s.id == answer.sitting]
        assert (naive(there.start), there.begun) == (
            naive(first.start) if kind is HOLD else later,
            now is WEDNESDAY,
        )


@pytest.mark.parametrize("kind", [HOLD, MOVE])
def test_of_a_sitting_that_was_not_run_it_is_not_said_that_nobody_was_told_of_it(
    tmp_path: Path, kind: WishKind
) -> None:
    case = told_twice_on_monday(tmp_path)
    first = told(case)[0]
    wish(case, kind, sitting=first.id, **({"start": datetime(2026, 11, 30, 16)} if kind is MOVE else {}))
    workflow.replan(case, WEEK, SUNDAY, None, True, silent)
    probe = first.probes[0]
    row = f"2026-11-30,{probe.target},not run,{','.join(probe.combination)},,,ill"
    head = "date,target,kind,adult,location,material_set,trials,correct,note"
    (case / "results.csv").write_text(f"{head}\n{row}\n", encoding="utf-8")
    (answer,) = planned(case, WEDNESDAY).wishes
    assert (answer.kept, answer.why, [x.kind for x in answer.limits]) == (False, Unkept.RULES, [Kind.PAST])


def test_a_sitting_that_is_not_wished_is_gone_and_stays_gone_once_the_week_is_told(case: Path) -> None:
    first = told(case)[0]
    wish(case, NOT, sitting=first.id)
    for _ in range(2):
        plan = planned(case)
        assert plan.wishes[0].kept
        day = [s for s in plan.sittings if s.start.date() == first.start.date()]
        assert not [s for s in day if (s.learner, s.adult) == (first.learner, first.adult)]
        workflow.keep(case, WEEK, None, SUNDAY, silent)
    assert first.id not in {s.id for s in told(case)}


def test_one_wish_of_a_sitting_stands_in_the_place_of_another(case: Path) -> None:
    first = told(case)[0]
    wish(case, HOLD, sitting=first.id)
    assert (
        "in the place of: L. with Gran on Monday at 15:00 stays as it is"
        in wish(case, NOT, sitting=first.id).said
    )
    assert [w.kind for w in workflow.open_case(case, SUNDAY).case.wishes] == [NOT]


def test_what_was_wished_is_taken_back(case: Path) -> None:
    first, before = told(case)[0], planned(case)
    wish(case, NOT, sitting=first.id)
    said = workflow.take_back(case, PlannersWish(kind=NOT, sitting=first.id), SUNDAY)
    assert said.startswith("Taken out of changes.yaml, no wish any more: call off ")
    assert planned(case) == before
    with pytest.raises(UsageError, match="Nothing like that is wished"):
        workflow.take_back(case, PlannersWish(kind=NOT, sitting=first.id), SUNDAY)


def test_a_sitting_moves_and_is_told_where_it_went(case: Path) -> None:
    """By a grid's step, to where it can be held: the same sitting in the day of its adult."""
    for first in told(case):
        to = naive(first.start) + timedelta(minutes=15)
        done = wish(case, MOVE, sitting=first.id, start=to)
        if done.answer and done.answer.kept:
            break
        workflow.take_back(case, PlannersWish(kind=MOVE, sitting=first.id), SUNDAY)
    else:
        pytest.fail("no sitting can be moved")
    for _ in range(2):
        plan = planned(case)
        (answer,) = plan.wishes
        assert answer.kept
        (there,) = [s for s in plan.sittings if s.id == answer.sitting]
        assert (there.learner, there.adult, naive(there.start)) == (first.learner, first.adult, to)
        workflow.keep(case, WEEK, None, SUNDAY, silent)
    assert to in {naive(s.start) for s in told(case)}


def test_a_move_that_was_told_and_then_cancelled_is_not_said_to_be_told_to_nobody(case: Path) -> None:
    """The child was ill on that day: what was wished had been met."""
    test_a_sitting_moves_and_is_told_where_it_went(case)
    (wished,) = workflow.open_case(case, SUNDAY).case.wishes
    assert wished.start is not None
    start = datetime.combine(wished.start.date(), datetime.min.time())
    ill = workflow.ChangeRequest("away", "lark", start=start, end=start + timedelta(days=1))
    workflow.change(case, ill, SUNDAY)
    workflow.keep(case, WEEK, None, SUNDAY, silent)
    assert wished.start not in {naive(s.start) for s in told(case)}
    assert not [f for f in workflow.check(case, SUNDAY) if "nobody was told" in f.found]


def told_with_two_a_day(folder: Path) -> Path:
    text = TEXT.replace("sittings_per_day: 1", "sittings_per_day: 2")
    assert text != TEXT
    (small_case(folder) / "case.yaml").write_text(text, encoding="utf-8")
    workflow.keep(folder, WEEK, None, SUNDAY, silent)
    return folder


def test_a_sitting_that_moves_into_the_place_of_another_that_moves_is_told_so_once(tmp_path: Path) -> None:
    """Of two sittings with one adult the second goes to a free hour, and the first to where the second was, at the
    other place. They are told as the two that they are, in the order asked; and then nothing moves again."""
    case = told_with_two_a_day(tmp_path / "two")
    one, other, aside = two_that_can_move(case)
    there = "yard" if other.location == "home" else "home"
    wish(case, MOVE, sitting=one.id, start=naive(other.start), location=there)
    wish(case, MOVE, sitting=other.id, start=aside)
    outcome, _ = workflow.replan(case, WEEK, SUNDAY, None, True, silent)
    assert [(a.wish.sitting, a.kept) for a in outcome.plan.wishes] == [(one.id, True), (other.id, True)]
    moved = {(d.before and d.before.id): d.after and naive(d.after.start) for d in outcome.differences}
    assert moved[one.id] == naive(other.start)
    assert moved[other.id] == aside
    known = told(case)
    outcome, _ = workflow.replan(case, WEEK, SUNDAY, None, True, silent)
    assert all(a.kept for a in outcome.plan.wishes)
    assert not outcome.differences
    assert told(case) == known


TWO_ON_MONDAY = """\
format: 1
timezone: Europe/Dublin
policy: {like: none, probes_per_target_per_day: 2}
learners:
  lark: {name: Lark, alias: L., free: {mon: ["10:00-11:00", "16:00-17:00"]}, limits: {probes_per_sitting: 1}}
adults: {mum: {name: Mum, free: {mon: "09:00-20:00"}}}
locations: {home: {name: Home}}
material_sets: {boots: {name: Boots}, hats: {name: Hats}}
targets: {puts-on: {learner: lark, name: Puts it on, correct_when: It is on, cover: all}}
"""


def told_twice_on_monday(folder: Path) -> Path:
    (folder / "case.yaml").write_text(TWO_ON_MONDAY, encoding="utf-8")
    workflow.keep(folder, WEEK, None, SUNDAY, silent)
    return folder


@pytest.mark.parametrize("noted", [True, False])
@pytest.mark.parametrize("to", [None, datetime(2026, 11, 30, 16)])
def test_two_sittings_of_one_day_place_and_adult_change_places_once(
    tmp_path: Path, to: datetime | None, noted: bool
) -> None:
    """The second to the hour of the first, and that to the hour of the second or to another. `noted`: the lines say
    when each was to begin, as `genplan change` writes them; by hand nobody does."""
    one, other = told(told_twice_on_monday(tmp_path))
    goal = {one.probes: to or naive(other.start), other.probes: naive(one.start)}
    if noted:
        for sitting in (one, other):
            wish(tmp_path, MOVE, sitting=sitting.id, start=goal[sitting.probes])
    else:
        lines = (f'{{move: {s.id}, to: "{goal[s.probes]:%Y-%m-%d %H:%M}"}}' for s in (one, other))
        (tmp_path / "changes.yaml").write_text(f"changes: [{', '.join(lines)}]\n", encoding="utf-8")
    outcome, _ = workflow.replan(tmp_path, WEEK, SUNDAY, None, True, silent)
    assert [a.kept for a in outcome.plan.wishes] == [True, True]
    assert {s.probes: naive(s.start) for s in told(tmp_path)} == goal
    known = read_kept(tmp_path, WEEK, workflow.open_case(tmp_path, SUNDAY).case)
    for _ in range(2):
        outcome, _ = workflow.replan(tmp_path, WEEK, SUNDAY, None, True, silent)
        assert [a.kept for a in outcome.plan.wishes] == [True, True]
        assert not outcome.differences
        assert read_kept(tmp_path, WEEK, workflow.open_case(tmp_path, SUNDAY).case) == known


@pytest.mark.parametrize("kind", [HOLD, NOT, MOVE])
def test_a_wish_of_a_sitting_that_moved_and_was_told_so_stands_in_the_place_of_the_move(
    case: Path, kind: WishKind
) -> None:
    for first in told(case):
        to = naive(first.start) + timedelta(minutes=15)
        done = wish(case, MOVE, sitting=first.id, start=to)
        if done.answer and done.answer.kept:
            break
        workflow.take_back(case, PlannersWish(kind=MOVE, sitting=first.id), SUNDAY)
    workflow.replan(case, WEEK, SUNDAY, None, True, silent)
    (there,) = [s for s in told(case) if naive(s.start) == to]
    again = {"start": to + timedelta(minutes=15)} if kind is MOVE else {}
    done = wish(case, kind, sitting=there.id, **again)
    assert "in the place of: L. with Gran on Monday at 15:00 moves to" in done.said
    assert done.answer
    assert done.answer.kept
    assert [w.kind for w in workflow.open_case(case, SUNDAY).case.wishes] == [kind]


def test_what_is_put_in_at_the_hour_of_one_that_is_not_wished_is_not_taken_for_it_once_told(
    case: Path,
) -> None:
    """Not Tuesday at the yard, but at home at the same time: both wishes stay kept, and nothing changes again."""
    first = next(s for s in told(case) if s.adult == "mum")
    (probe,) = first.probes
    there = "yard" if first.location == "home" else "home"
    wish(case, NOT, sitting=first.id)
    wish(
        case,
        ADD,
        learner=first.learner,
        adult=first.adult,
        location=there,
        start=naive(first.start),
        target=probe.target,
        values=(("material_set", "hats"),),
    )
    workflow.replan(case, WEEK, SUNDAY, None, True, silent)
    outcome, _ = workflow.replan(case, WEEK, SUNDAY, None, False, silent)
    assert [a.kept for a in outcome.plan.wishes] == [True, True]
    assert not outcome.differences
    assert there in {s.location for s in told(case) if s.start == first.start}


def two_that_can_move(case: Path) -> tuple[Sitting, Sitting, datetime]:
    """Two told sittings of one adult and a start for the second, with which both moves are kept by the rules."""
    for one, other in permutations(told(case), 2):
        if one.adult != other.adult or one.start.date() == other.start.date():
            continue
        for hours in (1, 1.5, -1, 24, 48, -24, -48, 25, -23):
            aside = naive(other.start) + timedelta(hours=hours)
            there = "yard" if other.location == "home" else "home"
            if aside in {naive(s.start) for s in told(case)}:
                continue  # it is to be a free hour
            try:
                wish(case, MOVE, sitting=other.id, start=aside)
            except UsageError:
                continue
            wish(case, MOVE, sitting=one.id, start=naive(other.start), location=there)
            answers = answers_in(workflow.open_case(case, SUNDAY), WEEK)
            for sitting in (one, other):
                workflow.take_back(case, PlannersWish(kind=MOVE, sitting=sitting.id), SUNDAY)
            if all(answer.kept for answer in answers):
                return one, other, aside
    pytest.fail("no two sittings can move so")


def test_other_places_are_found_beside_a_sitting_by_hand_that_ousts_a_told_one(case: Path) -> None:
    """The same probe a quarter of an hour later: what people were told of gives way, as it will in the plan."""
    known = workflow.open_case(case, SUNDAY).case
    for ousted in told(case):
        probe, start = ousted.probes[0], naive(ousted.start) + timedelta(minutes=15)
        values = dict(zip(known.targets[probe.target].dimension_names, probe.combination, strict=True))
        who, where = values.pop("adult"), values.pop("location")
        put_in = {"learner": ousted.learner, "target": probe.target, "values": tuple(values.items())}
        done = wish(case, ADD, adult=who, location=where, start=start, **put_in)
        if done.answer and done.answer.kept:
            break
        workflow.take_back(case, PlannersWish(kind=ADD, start=start, adult=who), SUNDAY)
    else:
        pytest.fail("no probe can be put in")
    other = next(s for s in told(case) if s.id != ousted.id)
    found = workflow.alternatives(case, other.id, SUNDAY).all
    assert found
    same = (ousted.learner, ousted.adult, start)
    assert same not in {
        (a.seat.learner, a.seat.adult, naive(WEEK.moment(a.seat.start, known.timezone))) for a in found
    }


def test_what_stands_in_the_way_is_said_at_once_and_in_the_plan(case: Path) -> None:
    """Nobody is free at three in the night."""
    first = told(case)[0]
    night = naive(first.start).replace(hour=3, minute=0)
    done = wish(case, MOVE, sitting=first.id, start=night)
    assert done.answer
    assert not done.answer.kept
    outcome = workflow.plan(case, WEEK, SUNDAY, None, silent)
    (answer,) = outcome.plan.wishes
    assert (answer.kept, answer.why, answer.proven) == (False, Unkept.RULES, True)
    document = plan_document(outcome.case, outcome.plan)["wishes"][0]
    assert document["kept"] is False
    assert "is not free then" in document["reason"]
    assert document["limits"][0]["kind"] == "learner not free then"
    assert document["wish"]["move"] == first.id
    assert document["reason"] in week_summary(outcome.case, outcome.plan)


def test_wishes_against_each_other_are_told_as_such(case: Path) -> None:
    """One hand wrote to hold it, another not to have it."""
    first = told(case)[0]
    (case / "changes.yaml").write_text(
        f"changes:\n  - {{hold: {first.id}}}\n  - {{not: {first.id}}}\n", "utf-8"
    )
    outcome = workflow.plan(case, WEEK, SUNDAY, None, silent)
    hold, not_ = outcome.plan.wishes
    assert (hold.kept, not_.kept, not_.why) == (True, False, Unkept.WISHES)
    assert not_.against == (hold.wish,)
    assert "it cannot be kept beside '" in week_summary(outcome.case, outcome.plan)


def test_a_sitting_of_ones_own_is_checked_by_every_rule(case: Path) -> None:
    opened = workflow.open_case(case, SUNDAY)
    first = told(case)[0]
    probe = first.probes[0]
    names = opened.case.targets[probe.target].dimension_names
    own = PlannersWish(
        kind=ADD,
        learner=first.learner,
        adult=first.adult,
        location=first.location,
        start=naive(first.start),
        target=probe.target,
        values=tuple(sorted(zip(names[2:], probe.combination[2:], strict=True))),
    )
    assert workflow.wish(case, own, SUNDAY).answer.kept  # type: ignore[union-attr]
    plan = planned(case)
    (there,) = [s for s in plan.sittings if s.id == plan.wishes[0].sitting]
    assert [(p.target, p.combination) for p in there.probes] == [(probe.target, probe.combination)]
    workflow.take_back(case, own, SUNDAY)
    off = replace(own, start=naive(first.start) + timedelta(minutes=1))
    answer = workflow.wish(case, off, SUNDAY).answer
    assert answer
    assert {limit.kind.value for limit in answer.limits} >= {"off the grid"}


def test_what_is_wished_apart_is_on_no_day_together(case: Path) -> None:
    """The sittings of two adults; some days have both before."""
    one = told(case)[0]
    two = next(s for s in told(case) if s.adult != one.adult)
    wish(case, APART, two=(one.id, two.id))
    plan = planned(case)
    assert plan.wishes[0].kept
    for day in WEEK.days:
        assert not {one.adult, two.adult} <= {s.adult for s in plan.sittings_on(day)}


def test_the_price_of_keeping_two_targets_apart_is_told_before_it_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is that of the week planned again with the wish, once this is written, against the one without it."""
    more = "  other: {learner: lark, name: Other, correct_when: It is done, mastered_on: 2026-10-01, cover: all}\n"
    folder = small_case(tmp_path / "two", more)
    workflow.keep(folder, WEEK, None, SUNDAY, silent)
    asked = ["change", str(folder), "--apart", "other", "puts-on", "--now", f"{SUNDAY:%Y-%m-%dT%H:%M}"]
    assert main([*asked, "--try"]) == 0
    said = capsys.readouterr().out
    assert not (folder / "changes.yaml").exists()
    without, _ = workflow.replan(folder, WEEK, SUNDAY, None, False, silent)
    assert main(asked) == 0
    apart, _ = workflow.replan(folder, WEEK, SUNDAY, None, False, silent)
    fewer = sum(c.new for c in without.plan.coverage) - sum(c.new for c in apart.plan.coverage)
    people = len(apart.plan.people_told or ()) - len(without.plan.people_told or ())
    assert (fewer > 0, people > 0) == (True, True)
    assert "not on one day: kept.\n" in said
    assert f"against the same without it: {people} more people told" in said
    assert f"{fewer} fewer " in said


@pytest.mark.parametrize("kind", ["--not", "--move"])
def test_the_price_of_a_sitting_that_is_not_to_be_or_moves_is_told_before_it_is_written(
    case: Path, capsys: pytest.CaptureFixture[str], kind: str
) -> None:
    """It names whom it would be told, and what is lost, as the plans without it and with it have it."""
    first = told(case)[0]
    later = naive(first.start) + timedelta(minutes=30)
    to = [] if kind == "--not" else ["--to", f"{later:%Y-%m-%dT%H:%M}"]
    asked = ["change", str(case), kind, first.id, *to, "--now", f"{SUNDAY:%Y-%m-%dT%H:%M}"]
    assert main([*asked, "--try"]) == 0
    said = capsys.readouterr().out
    assert not (case / "changes.yaml").exists()
    without = workflow.replan(case, WEEK, SUNDAY, None, False, silent)[0].plan
    assert main(asked) == 0
    plan = workflow.replan(case, WEEK, SUNDAY, None, False, silent)[0].plan
    assert plan.wishes[0].kept
    known = without.people_told or ()
    more = [one for one in plan.people_told or () if one not in known]
    assert more
    assert f"{len(more)} more pe" in said
    names = {"mum": "Mum", "gran": "Gran", "lark": "the family of L."}
    (line,) = (x for x in said.splitlines() if x.startswith("Because of it these would have to be told: "))
    assert all(names[who] in line for _, who in more)
    lost = sum(c.new for c in without.coverage) - sum(c.new for c in plan.coverage)
    assert (f"{lost} fewer " in said) is (lost > 0)


def test_of_two_targets_it_is_said_how_long_they_are_kept_apart(tmp_path: Path) -> None:
    """Without days in every week; with days for these alone, and nothing has to be said."""
    more = "  other: {learner: lark, name: Other, correct_when: It is done, mastered_on: 2026-10-01}\n"
    folder = small_case(tmp_path / "two", more)
    always = ". Without days it holds in every week until it is taken back"
    assert wish(folder, APART, two=("other", "puts-on")).said.endswith(always)
    first = datetime(2026, 12, 1)
    dated = wish(folder, APART, two=("other", "puts-on"), start=first, end=first + timedelta(days=1))
    assert "until it is taken back" not in dated.said


def test_what_has_begun_together_already_is_kept_apart_on_the_other_days(tmp_path: Path) -> None:
    more = "  other: {learner: lark, name: Other, correct_when: It is done, mastered_on: 2026-10-01, cover: all}\n"
    folder = small_case(tmp_path / "two", more)
    first = planned(folder).sittings[0]
    evening = naive(first.end) + timedelta(minutes=1)
    workflow.keep(folder, WEEK, None, SUNDAY, silent)

    def days_with_both(plan: Plan) -> set[str]:
        by_day = {day: {p.target for s in plan.sittings_on(day) for p in s.probes} for day in WEEK.days}
        return {str(day) for day, there in by_day.items() if there == {"other", "puts-on"}}

    begun = str(first.start.date())
    assert days_with_both(planned(folder)) > {begun}
    answer = wish(folder, APART, evening, two=("other", "puts-on")).answer
    plan = workflow.replan(folder, WEEK, evening, None, False, silent)[0].plan
    assert plan.wishes[0].kept
    assert answer == plan.wishes[0]
    assert answer.broken_on == (first.start.date(),)
    told_so = ": kept on the days that are left; on Monday it was broken already."
    case = workflow.open_case(folder, evening).case
    document = plan_document(case, plan)["wishes"][0]
    assert document["sentence"].endswith(told_so)
    assert document["broken_on"] == [begun]
    assert answer_of(document, case) == answer
    assert days_with_both(plan) == {begun}
    # of the one day on which both have begun nothing is left to keep
    workflow.take_back(folder, PlannersWish(kind=APART, two=("other", "puts-on")), evening)
    night = datetime.combine(first.start.date(), datetime.max.time().replace(microsecond=0))
    wish(folder, APART, evening, two=("other", "puts-on"), start=evening, end=night)
    assert not planned(folder, evening).wishes[0].kept


def test_once_nothing_told_is_ahead_it_is_said_that_the_rest_is_planned_anew(tmp_path: Path) -> None:
    folder = small_case(tmp_path / "one")
    plan = planned(folder)
    workflow.keep(folder, WEEK, None, SUNDAY, silent)
    opened = workflow.open_case(folder, SUNDAY)
    last = naive(max(s.end for s in plan.sittings))
    told = told_lines(opened.case, workflow.replan(folder, WEEK, last, None, False, silent)[0].plan)
    assert not told or "planned as a new one is" in told[-1]
    monday = naive(plan.sittings[0].end)
    gone = workflow.ChangeRequest("away", plan.sittings[1].adult, monday, monday + timedelta(days=6))
    workflow.change(folder, gone, monday)
    told = told_lines(opened.case, workflow.replan(folder, WEEK, monday, None, False, silent)[0].plan)
    assert told
    assert not any("planned as a new one is" in line for line in told)


def test_rather_somebody_else_on_a_day(case: Path) -> None:
    opened = workflow.open_case(case, SUNDAY)
    before = planned(case)
    kept = 0
    for adult in opened.case.adults:
        for day in WEEK.days:
            if any(s.adult == adult and s.start.date() == day for s in before.sittings):
                continue
            start = datetime.combine(day, datetime.min.time())
            asked = PlannersWish(
                kind=RATHER,
                adult=adult,
                learner=before.sittings[0].learner,
                start=start,
                end=start + timedelta(days=1),
            )
            workflow.wish(case, asked, SUNDAY)
            plan = planned(case)
            (answer,) = plan.wishes
            there = [s for s in plan.sittings if s.adult == adult and s.start.date() == day]
            assert answer.kept is bool(there)
            assert answer.kept or answer.proven
            kept += answer.kept
            workflow.take_back(case, asked, SUNDAY)
    assert kept


def test_rather_names_what_people_were_told_of_with_others_and_that_stays_beside_it(case: Path) -> None:
    """A wish for somebody takes nobody away, and that is said; what is asked for outside its stretch is none of it."""
    opened, before = workflow.open_case(case, SUNDAY), told(case)
    learner, monday = before[0].learner, datetime.combine(WEEK.monday, datetime.min.time())
    named = 0
    for adult in opened.case.adults:
        for days in (1, 7):
            asked = PlannersWish(
                kind=RATHER, adult=adult, learner=learner, start=monday, end=monday + timedelta(days=days)
            )
            workflow.wish(case, asked, SUNDAY)
            plan = planned(case)
            (answer,) = plan.wishes
            with_others = {(s.adult, s.start.date()) for s in before if s.adult != adult}
            assert {*answer.stay} == {
                s.id
                for s in plan.sittings
                if answer.kept and (s.adult, s.start.date()) in with_others and naive(s.end) <= asked.end  # type: ignore[operator]
            }
            document = plan_document(opened.case, plan)["wishes"][0]
            assert ("stays beside it: " in document["sentence"]) is bool(answer.stay)
            assert answer_of(document, workflow.open_case(case, SUNDAY).case) == answer
            named += len(answer.stay)
            workflow.take_back(case, asked, SUNDAY)
    assert named


def test_rather_with_somebody_who_is_away_is_told_at_once(
    case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A day alone is said: any hour of it would do. What the search decides is told with its price."""
    first = told(case)[0]
    day, adult = first.start.date(), first.adult
    now, here = ("--now", f"{SUNDAY:%Y-%m-%dT%H:%M}"), ("--rather", adult, "--learner", first.learner)
    asked = ["change", str(case), *here, "--from", f"{day:%A}", *now]
    assert main([*asked, "--try"]) == 0
    out = capsys.readouterr().out
    assert ": kept." in out
    assert "planned again with it" in out
    assert main(["change", str(case), "--away", adult, "--from", day.isoformat(), *now]) == 0
    capsys.readouterr()
    assert main([*asked, "--try"]) == 0
    assert "not kept, since Gran is not free then." in capsys.readouterr().out
    assert main(asked) == 0
    said = capsys.readouterr().out
    assert "As it is, the plan cannot keep it." in said
    assert f'from: "{day} 00:00", to: "{day} 24:00"' in (case / "changes.yaml").read_text("utf-8")
    (answer,) = planned(case).wishes
    assert not answer.kept
    assert [limit.kind for limit in answer.limits] == [Kind.ADULT_THEN]


def test_rather_until_the_week_after_is_not_denied_for_the_first_week_alone(
    case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first = told(case)[0]
    day, adult = first.start.date(), first.adult
    now = ("--now", f"{SUNDAY:%Y-%m-%dT%H:%M}")
    sunday, after = Week.of(day).sunday, Week.of(day).sunday + timedelta(days=7)
    assert main(["change", str(case), "--away", adult, "--from", f"{day}", "--to", f"{sunday}", *now]) == 0
    capsys.readouterr()
    asked = ["change", str(case), "--rather", adult, "--learner", first.learner, "--from", f"{day}"]
    for until, denied in ((sunday, True), (after, False), (after + timedelta(days=21), False)):
        assert main([*asked, "--to", f"{until}", *now, "--try"]) == 0
        assert ("not kept, since Gran is not free then." in capsys.readouterr().out) is denied


def test_rather_on_a_day_that_the_file_gives_without_an_hour(case: Path) -> None:
    first = told(case)[0]
    day = first.start.date()
    line = f"changes:\n  - {{rather: {first.adult}, learner: {first.learner}, from: {day}}}\n"
    (case / "changes.yaml").write_text(line, "utf-8")
    (wished,) = workflow.open_case(case, SUNDAY).case.wishes
    assert (wished.start, wished.end) == (
        datetime.combine(day, datetime.min.time()),
        datetime.combine(day + timedelta(days=1), datetime.min.time()),
    )


def test_nothing_is_wished_of_what_has_begun_or_of_nobodys_sitting(case: Path) -> None:
    first = told(case)[0]
    with pytest.raises(UsageError, match="has begun"):
        wish(case, NOT, WEDNESDAY, sitting=first.id)
    with pytest.raises(UsageError, match=f"Did you mean '{first.id}'"):
        wish(case, HOLD, sitting=first.id[:-1] + "z")
    with pytest.raises(UsageError, match="An id has the week, the day"):
        wish(case, HOLD, sitting="the one on Tuesday")
    assert not (case / "changes.yaml").exists()


def test_an_unknown_sitting_in_the_file_is_told_with_its_line(case: Path) -> None:
    first = told(case)[0]
    other = first.id.replace("-mon-", "-sun-")
    (case / "changes.yaml").write_text(f"changes:\n  - {{hold: {other}}}\n", "utf-8")
    (finding,) = [f for f in workflow.check(case, SUNDAY) if "nobody was told" in f.found]
    assert (finding.file, finding.line, finding.key) == ("changes.yaml", 2, "changes.1.hold")
    assert finding.hint.startswith("did you mean '2026-W49-")
    (answer,) = planned(case).wishes
    assert answer.why is Unkept.UNKNOWN


def test_the_words_typed(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    first = told(case)[0]
    now = ("--now", f"{SUNDAY:%Y-%m-%dT%H:%M}")
    assert main(["change", str(case), "--hold", first.id, *now]) == 0
    assert "Added to changes.yaml, as a wish: L. with Gran on Monday" in capsys.readouterr().out
    assert main(["change", str(case), "--hold", first.id, "--take-back", *now]) == 0
    assert "Taken out of changes.yaml, no wish any more: L. with Gran on Monday" in capsys.readouterr().out
    assert main(["change", str(case), "--move", first.id, *now]) == 2
    assert "When is it to begin?" in capsys.readouterr().err
    assert main(["change", str(case), "--rather", first.adult, *now]) == 2
    assert "From when on?" in capsys.readouterr().err
    assert main(["change", str(case), "--hold", first.id, "--learner", first.learner, *now]) == 2
    assert "--learner says nothing beside --hold" in capsys.readouterr().err
    assert main(["change", str(case), "--add", "learner=lark", *now]) == 2
    assert "needs adult, location, start, target, material_set too" in capsys.readouterr().err
    here = ["adult=nan", "location=home", "target=zips", "material_set=coats", "learner=lark"]
    assert main(["change", str(case), "--add", *here, "start=2026-12-02", *now]) == 2
    assert "'2026-12-02' is not a date and time such as" in capsys.readouterr().err
    assert main(["change", str(case), "--add", *here, "start=2026-12-02T15:00", "learner=wren", *now]) == 2
    assert "--add gives two values for 'learner'" in capsys.readouterr().err
    assert main(["change", str(case), "--move", first.id, "--to", "2026-11-01T15:00", *now]) == 2
    assert "It would end on Sunday 1 November 2026, 15:" in capsys.readouterr().err
    assert main(["change", str(case), "--away", first.adult, "--take-back", *now]) == 2
    assert "--take-back is for wishes" in capsys.readouterr().err
    out = case.parent / "out"
    assert main(["change", str(case), "--not", first.id, *now]) == 0
    assert main(["replan", str(case), "--out", str(out), *now]) == 0
    assert "What people wish" in capsys.readouterr().out
    assert json.loads((out / "plan.json").read_text("utf-8"))["wishes"][0]["kept"] is True


def test_a_wish_for_a_time_that_nobody_was_told_of_is_warned_of(case: Path) -> None:
    first = told(case)[0]
    when = naive(first.start) - timedelta(hours=1)
    (case / "changes.yaml").write_text(
        f'changes:\n  - {{hold: {first.id}, at: "{when:%Y-%m-%d %H:%M}"}}\n', "utf-8"
    )
    found = [f for f in workflow.check(case, SUNDAY) if f.key == "changes.1.hold"]
    assert [f.found for f in found] == [f"'{first.id}' at {when:%H:%M}, of which nobody was told"]
    assert first.id not in found[0].hint


def test_why_is_not_asked_of_one_child_and_a_skill_of_another() -> None:
    here = ROOT / "examples" / "school-transfer"
    known = workflow.open_case(here, SUNDAY).case
    target = next(iter(known.targets.values()))
    other = next(i for i in known.learners if i != target.learner)
    with pytest.raises(
        UsageError, match=f"'{target.id}' is a target of {target.learner}, and not of {other}"
    ):
        workflow.why(here, WEEK, SUNDAY, silent, other, target.id)


def test_a_wish_of_no_child_says_whose_it_is_when_it_is_added_and_taken_back(tmp_path: Path) -> None:
    """It takes hold of each child that the adult is with, though nobody named one."""
    case = tmp_path / "case"
    shutil.copytree(ROOT / "examples" / "caseload", case)
    opened = workflow.open_case(case, SUNDAY)
    adult = next(i for i, a in opened.case.adults.items() if sum(map(a.works_with, opened.case.learners)) > 1)
    start = datetime.combine(WEEK.days[2], datetime.min.time())
    asked = PlannersWish(kind=RATHER, adult=adult, start=start, end=start + timedelta(days=1))
    added = workflow.wish(case, asked, SUNDAY).said
    gone = workflow.take_back(case, asked, SUNDAY)
    whose = [x.alias for i, x in opened.case.learners.items() if opened.case.adults[adult].works_with(i)]
    for said in (added, gone):
        assert all(alias in said for alias in whose), said


def test_what_is_there_already_is_not_moved(case: Path) -> None:
    """The form is filled in with where it is: sent as it stands it would be a wish that says nothing."""
    first = told(case)[0]
    for more in ({}, {"adult": first.adult, "location": first.location}):
        with pytest.raises(UsageError, match="is there at that time already"):
            wish(case, MOVE, sitting=first.id, start=naive(first.start), **more)
    assert not (case / "changes.yaml").exists()
    other = next(i for i in workflow.open_case(case, SUNDAY).case.locations if i != first.location)
    wish(case, MOVE, sitting=first.id, start=naive(first.start), location=other)
    assert (case / "changes.yaml").exists()
