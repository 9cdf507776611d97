"""A week that people were told of, planned anew with the fewest people told."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from functools import cache
from itertools import chain, combinations

import pytest

from genplan.audit import audit
from genplan.case import Absence, Case, SolverLimits, TargetState
from genplan.evidence.log import Log
from genplan.keeping.deeper import Deeper, deeper_of
from genplan.plan import Plan, ProbeKind, Sitting
from genplan.planning.assemble import seat_of
from genplan.planning.caseload_problem import Caseload, Settled
from genplan.planning.jobs import Workers
from genplan.planning.relaxations import relaxation_groups
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.still_possible import could_be_held
from genplan.planning.week_context import week_context_of
from genplan.planning.what_if import what_if_gains
from genplan.report.help_lines import anyway_sentence
from genplan.report.names_and_words import Names
from genplan.report.people_told import price_of_fewer, told_lines, told_sentence
from genplan.report.week_changes import deeper_lines
from genplan.rules.placed_sittings import PlacedSitting
from tests.fixtures.monday_cases import holding, limited, monday, monday_case, skill
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.planning_cases import Inline, plan_one
from tests.fixtures.random_cases import WEEK, now_of, random_case
from tests.fixtures.search_settings import search_with


def three_children(seed: int = 5) -> Case:
    """To whom nothing is due."""
    case = random_case(seed, learners=3, targets=2, adults=3, locations=2, sets=2, staff=2, oddity=0.2)
    targets = {i: replace(t, maintenance_days=(), first=(), cover="pairs") for i, t in case.targets.items()}
    policy = replace(case.policy, solver=SolverLimits(work_per_stage=2.0))
    return replace(case, targets=targets, policy=policy)


@cache
def kept_of_three() -> tuple[Sitting, ...]:
    """What the three are told of their week."""
    case = three_children()
    return plan_one(case, now=now_of(case)).sittings


def one_a_day(kept: tuple[Sitting, ...]) -> list[Sitting]:
    """One sitting of each adult and day: with the others just the same is lost."""
    return list({(s.adult, s.start.date()): s for s in kept}.values())


def away(case: Case, sitting: Sitting) -> Case:
    """The adult of a sitting is ill on its day."""
    day = sitting.start.replace(hour=0, minute=0)
    absence = Absence(day.replace(tzinfo=None), (day + timedelta(days=1)).replace(tzinfo=None))
    adult = case.adults[sitting.adult]
    ill = replace(adult, away=(*adult.away, absence))
    return replace(case, adults={**case.adults, adult.id: ill})


def replanned(case: Case, kept: tuple[Sitting, ...]) -> Plan:
    plan = plan_one(case, now=now_of(case), kept=kept, fewest_told=True)
    assert audit(case, Log(), plan, {}, kept) == ()
    return plan


def test_nothing_changes_where_all_can_still_be_held() -> None:
    case, kept = three_children(), kept_of_three()
    again = replanned(case, kept)
    assert (again.sittings, again.people_told) == (kept, ())


@pytest.mark.parametrize("parts", [False, True])
def test_one_adult_ill_tells_only_those_of_the_sittings_that_are_lost(
    monkeypatch: pytest.MonkeyPatch, parts: bool
) -> None:
    if parts:
        search_with(monkeypatch, "replanning", joint_variables=0)
    case, kept = three_children(), kept_of_three()
    for one in one_a_day(kept):
        lost = [s for s in kept if one.adult in s.adults and s.start.date() == one.start.date()]
        plan = replanned(away(case, one), kept)
        people = {("learner", s.learner) for s in lost} | {("adult", a) for s in lost for a in s.adults}
        assert set(plan.people_told or ()) == people
        assert set(kept) - set(lost) <= set(plan.sittings)
        found = {o.name: o for o in plan.objectives}
        assert (found["people told"].bound, found["otherwise"].bound) == (len(people), len(lost))
        assert f"{len(people)} people have to be told (" in told_lines(case, plan)[0]
        assert "It cannot be fewer without " in told_lines(case, plan)[0]


def test_all_that_is_due_is_claimed_only_where_it_is_there() -> None:
    due, new = ProbeKind.MAINTENANCE, ProbeKind.NEW
    assert told_sentence(["Ann"], 1, price_of_fewer([new], wishes_kept=False)) == (
        "1 person has to be told (Ann). It cannot be fewer without leaving out something that is due."
    )
    assert told_sentence(["Ann", "Ben"], 1, price_of_fewer([new, due], wishes_kept=False)) == (
        "2 people have to be told (Ann and Ben). Without leaving out more of what is due, no week that tells fewer was"
        " found, and none can tell fewer than 1."
    )
    assert told_sentence(["Ann"], 0, price_of_fewer([new, due], wishes_kept=False)).endswith(
        "Without leaving out more of what is due, no week that tells fewer was found."
    )
    assert told_sentence(["Ann"], 1, price_of_fewer([due], wishes_kept=True)).endswith(
        "It cannot be fewer without giving up a wish or leaving out more of what is due."
    )
    both = "giving up a wish or leaving out something that is due"
    assert price_of_fewer([new], wishes_kept=True) == both


def test_other_trials_have_to_be_told() -> None:
    case, kept = three_children(), kept_of_three()
    (target, *_) = (p.target for p in kept[0].probes)
    other = replace(case.targets[target], trials=case.targets[target].trials + 1)
    plan = replanned(replace(case, targets={**case.targets, target: other}), kept)
    told = [s for s in kept if any(p.target == target for p in s.probes)]
    assert len(told) == next(o.value for o in plan.objectives if o.name == "otherwise")
    assert {("learner", s.learner) for s in told} <= set(plan.people_told or ())


def test_a_deeper_search_says_its_price() -> None:
    case, kept = three_children(), kept_of_three()
    ill = away(case, kept[0])
    settled, further = replanned(ill, kept), plan_one(ill, now=now_of(case), kept=kept, fewest_told=False)
    price = deeper_of(settled, further)
    assert price.people == len(further.people_told or ()) - len(settled.people_told or ())
    assert price.taken == (price.new > 0 or price.due > 0)
    assert deeper_of(settled, settled) == Deeper(False, 0, 0, 0, 0)
    assert "no week that shows more" in deeper_lines(case, Deeper(False, 2, 0, 0, 0))[0]
    assert deeper_lines(case, Deeper(True, 3, 0, 0, 4))[0].endswith(": 3 more people told, 4 more pairs.")
    assert deeper_lines(case, Deeper(True, 1, 0, 1, -1))[0].endswith(
        ": 1 more person told, 1 more check that is due, 1 fewer pair."
    )
    assert deeper_lines(case, Deeper(True, 1, 1, 0, 0))[0].endswith(
        ": 1 more person told, 1 more sitting that was wished for."
    )


def test_what_more_people_told_would_bring_is_no_gain_of_a_change() -> None:
    """Nobody uses the hours that Staff 2 may give, so one hour more brings nothing, and telling more people does."""
    case = limited(three_children(0), "staff-2", minutes_per_week=1000)
    kept = plan_one(case, now=now_of(case)).sittings
    ill = away(case, kept[2])
    plan = replanned(ill, kept)
    ground = week_context_of(ill, Log(), WEEK, now_of(ill), {}, kept, fewest_told=True)
    seats = tuple(seat_of(ill, WEEK, s) for s in plan.sittings)
    useless = [
        idea
        for idea in relaxation_groups(ground, tuple(ill.learners))
        if idea.together.easing.subject == "staff-2" and idea.together.easing.key == "minutes_per_week"
    ]
    gains = what_if_gains(ground.caseload, Workers(Inline(), lambda _: None), seats, useless)
    assert (gains.found, gains.tried, gains.all_changes) == ((), 1, 1)
    assert gains.anyway.of("new tuples") > 0
    sentence = anyway_sentence(Names(ill), gains.anyway, "'Search further'")
    assert sentence.startswith("Without any change a week that tells more people has ")
    # a page names its button, and no command of the terminal
    assert ": 'Search further' looks for it." in sentence
    assert "genplan" not in sentence


def test_what_is_found_by_chance_could_be_held_without_the_change() -> None:
    """Each sitting that a plan holds could be held in it, and one with an adult who is ill could not."""
    case, kept = three_children(), kept_of_three()
    for learner in case.learners:
        seats = [seat_of(case, WEEK, s) for s in kept]
        own = [s for s in seats if s.learner == learner]
        others = [s for s in seats if s.learner != learner]
        assert could_be_held(week_context_of(case, Log(), WEEK, now_of(case), {}, ()).caseload, own, others)
        for sitting, seat in zip(kept[:2], seats, strict=False):
            ill = week_context_of(away(case, sitting), Log(), WEEK, now_of(case), {}, ()).caseload
            assert could_be_held(ill, [seat], []) is False


def to_be_taught(asked: int) -> Case:
    """One child, free for two sittings on Monday; the skill is taught with the blue set."""
    new = skill(
        "a", "robin", sets="blue pink red", state=TargetState.TEACHING, taught=({"material_set": "blue"},)
    )
    free = {"robin": monday(25)}
    return monday_case(free, {"ann": monday(25)}, new, baseline_per_target=asked, probes_per_target_per_day=2)


def test_a_baseline_probe_is_due_though_people_were_told_of_another_week() -> None:
    """People were told of one; since then two are asked for, and for one more some are told something."""
    kept = plan_one(to_be_taught(1)).sittings
    case = to_be_taught(2)
    plan = plan_one(case, kept=kept, fewest_told=True)
    assert audit(case, Log(), plan, {}, kept) == ()
    assert [p.kind for s in (*kept, *plan.sittings) for p in s.probes] == [ProbeKind.BASELINE] * 3
    assert [(o.value, o.bound) for o in plan.objectives if o.name == "due"] == [(2, 2)]


def test_of_the_baseline_probes_that_people_were_told_of_no_more_stay_than_are_asked_for() -> None:
    kept = plan_one(to_be_taught(2)).sittings
    case = to_be_taught(1)
    plan = plan_one(case, kept=kept, fewest_told=True)
    assert audit(case, Log(), plan, {}, kept) == ()
    assert [p.kind for s in plan.sittings for p in s.probes] == [ProbeKind.BASELINE]


def test_who_gives_way_to_others_need_not_be_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """The place holds two sittings at a time, then one. Three children have their one probe that is due beside three
    sittings of a fourth, to whom nothing is: without these, two people are told in place of three and their adult."""
    for module in ("caseload", "replanning"):
        search_with(monkeypatch, module, joint_variables=0)
    due = {"state": TargetState.TEACHING, "taught": ({"material_set": "blue"},), "minutes": 25}
    skills = [skill(i, i, adult="ben", sets=f"blue set-{i}", **due) for i in ("sky", "tui", "wren")]
    free = {i: monday(30, 30 * at) for at, i in enumerate(("sky", "tui", "wren"))} | {"robin": monday(100)}
    new = skill("a", "robin", sets="pink red white", minutes=25)
    adults = {"ann": monday(100), "ben": monday(90)}
    case = monday_case(free, adults, new, *skills, baseline_per_target=1, probes_per_target_per_day=3)
    case = limited(case, "robin", probes_per_sitting=1)
    kept = plan_one(case).sittings
    assert [s.learner for s in kept] == ["robin", "sky", "tui", "robin", "wren", "robin"]
    smaller = holding(case, "home", 1)
    plan = plan_one(smaller, kept=kept, fewest_told=True)
    assert audit(smaller, Log(), plan, {}, kept) == ()
    assert set(plan.people_told or ()) == {("learner", "robin"), ("adult", "ann")}
    assert [(o.value, o.bound) for o in plan.objectives if o.name == "people told"] == [(2, 2)]


@pytest.mark.parametrize("seed", by_day_the_first([6, 7, 8]))
def test_who_observes_where_nothing_changes_bears_no_load_for_it(seed: int) -> None:
    """The largest load is searched for, told and audited by one count: observing ahead is never asked for in a search,
    so it is no part of it, and the bound that is proven is no more than the value."""
    case = three_children(seed)
    case = replace(case, policy=replace(case.policy, observed_share=1.0))
    kept = plan_one(case, now=now_of(case)).sittings
    assert any(s.observer for s in kept)
    for one in one_a_day(kept):
        replanned(away(case, one), kept)


def test_what_stays_of_others_takes_its_room_from_what_is_won_back() -> None:
    """Several are planned anew against the same week and taken over in order: an adult has no time for both, whoever of
    the two is not planned at all."""
    case = three_children()
    load = week_context_of(case, Log(), WEEK, now_of(case), {}, ()).caseload
    mine, theirs = _at_once(load)
    settled = Settled(held=(), others=(theirs,), adults=frozenset(), can_give={}, load_at_least=0)
    for beside, has_room in ((None, True), (settled, False)):
        best = BestSoFar(load=replace(load, settled=beside), most={})
        assert best.has_room_for((mine.learner,), (mine,)) is has_room


def _at_once(load: Caseload) -> tuple[PlacedSitting, PlacedSitting]:
    """Sittings of two children with one adult."""
    one, other, start = next(
        (one, other, start)
        for one, other in combinations(sorted(chain(*load.openings.values())), 2)
        if one.learner != other.learner
        and one.adult == other.adult
        and (start := max(one.start, other.start)) + 10 <= min(one.end, other.end)
    )
    mine, theirs = (
        PlacedSitting(o.learner, o.adult, o.location, start, start + 10, ()) for o in (one, other)
    )
    return mine, theirs


@pytest.mark.parametrize(("lost", "due"), [(True, 2), (False, 1)])
def test_others_give_way_for_what_was_lost_and_not_for_what_people_were_never_told_of(
    monkeypatch: pytest.MonkeyPatch, lost: bool, due: int
) -> None:
    """Sky could come later, so that Ben had time for Wren, whose adult does not come any more: where people were told
    of that sitting of Wren's, Sky gives way for it."""
    for module in ("caseload", "replanning"):
        search_with(monkeypatch, module, joint_variables=0)
    owed = {"state": TargetState.TEACHING, "taught": ({"material_set": "blue"},)}
    skills = (
        skill("s", "sky", "ben", sets="blue a", **owed),
        skill("w", "wren", "ann ben", sets="blue b", **owed),
    )
    early = {"sky": monday(10), "wren": monday(10)}
    adults = {"ann": monday(10), "ben": monday(40)}
    case = monday_case(early, adults, *skills, baseline_per_target=1)
    kept = plan_one(case).sittings
    assert {(s.learner, s.adult) for s in kept} == {("sky", "ben"), ("wren", "ann")}
    sky = replace(case.learners["sky"], free=monday(40))
    ann = replace(case.adults["ann"], free=monday(0))
    case = replace(case, learners={**case.learners, "sky": sky}, adults={**case.adults, "ann": ann})
    told = kept if lost else tuple(s for s in kept if s.learner == "sky")
    plan = plan_one(case, kept=told, fewest_told=True)
    assert audit(case, Log(), plan, {}, told) == ()
    assert [o.value for o in plan.objectives if o.name == "due"] == [due]
    assert len(plan.people_told or ()) == (4 if lost else 0)
