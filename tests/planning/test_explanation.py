"""What would help most, and what a left-out combination would cost: each against the week planned with it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from genplan.case import Case, WeeklyHours, Window
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import Beside, LeftOut, Plan, ProbeKind, Sitting
from genplan.planning.assemble import seat_of
from genplan.planning.caseload import plan_caseload
from genplan.planning.explanation import Why, why
from genplan.planning.figures import coverage_counts
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.jobs import Workers
from genplan.planning.opportunity_costs import OpportunityCost, opportunity_costs, with_cost
from genplan.planning.reasons import teachings_left_out, tuples_left_out
from genplan.planning.relaxation import Easing, RelaxationKind
from genplan.planning.relaxations import relaxation_groups
from genplan.planning.week_context import WeekContext, week_context_of
from genplan.planning.what_if import GAINED, Gain
from genplan.report.help_lines import helps
from genplan.report.names_and_words import Names
from genplan.rules.limits import LESS_URGENT, Kind, Limit
from genplan.rules.placed_sittings import PlacedSitting
from genplan.text.gains import easing_text, piece_text
from genplan.text.left_out import what_text
from genplan.text.limits import limit_sentence
from tests.fixtures.every_week import NEW, TEACHING, Shown, Tries, ahead
from tests.fixtures.monday_cases import NINE, limited, monday, monday_case, skill
from tests.fixtures.nightly import by_day_the_first, seeds
from tests.fixtures.planning_cases import NOTHING_RUN, NOW, WEEK, Inline, plan_one
from tests.fixtures.random_cases import now_of, random_case, random_log
from tests.fixtures.search_settings import search_with
from tests.fixtures.tiny_weeks import tiny_week
from tests.fixtures.week_scores import Scores, best_of

BLANK = LeftOut(learner="", target="", kind=ProbeKind.NEW, values=(), limit=LESS_URGENT)
HERE = Workers(Inline(), lambda _: None)


def answered(case: Case, log: Log = NOTHING_RUN, now: datetime = NOW, plan: Plan | None = None) -> Why:
    ground = week_context_of(case, log, WEEK, now, {}, ())
    return why(ground, plan or plan_one(case, log, now=now), HERE, tuple(case.learners))


def told(case: Case, found: Why) -> dict[str, tuple[int, ...]]:
    return {
        f"{easing_text(case, g.easing)} {piece_text(g.piece) if g.piece else ''}".strip(): g.more
        for g in found.gains.found
    }


def more(**gained: int) -> tuple[int, ...]:
    return tuple(gained.get(name.replace(" ", "_"), 0) for name in GAINED)


def test_half_an_hour_of_the_one_who_lacks_it() -> None:
    # Wren has 60 minutes from 9:00, Ann 10 of them: a sitting of one probe. With 30 minutes more Ann holds both skills:
    # 5 minutes to settle and 5 for each. Before 9:00 nobody is there, and half an hour more of Wren brings nothing.
    case = monday_case({"wren": monday(60)}, {"ann": monday(10)}, skill("a", "wren"), skill("b", "wren"))
    found = answered(case)
    assert told(case, found) == {
        "ann has half an hour more on Monday from 09:10 to 09:40": more(new_tuples=1)
    }


def test_an_hour_that_is_not_to_be_had_is_not_proposed() -> None:
    # the same, but the policy plans Tuesday and on, Monday being over: nothing can be added to it
    case = monday_case({"wren": monday(60)}, {"ann": monday(10)}, skill("a", "wren"), skill("b", "wren"))
    case = replace(case, policy=replace(case.policy, days=(1, 2, 3)))
    assert told(case, answered(case)) == {}


def test_a_limit_one_higher() -> None:
    # two skills, and one probe a day allowed; both would fit into the hour
    case = monday_case({"wren": monday(60)}, {"ann": monday(60)}, skill("a", "wren"), skill("b", "wren"))
    found = answered(limited(case, "wren", probes_per_day=1))
    assert told(case, found) == {"wren may have 2 probes a day": more(new_tuples=1)}
    assert {i.rule for i in found.left_out} == {"probes of a day"}


def test_a_second_copy() -> None:
    # both learners are free for the same 10 minutes, with an adult each, and there is one copy of the cups
    case = monday_case(
        {"robin": monday(10), "wren": monday(10)},
        {"ann": monday(10), "ben": monday(10)},
        skill("a", "robin", "ann", sets="cups"),
        skill("b", "wren", "ben", sets="cups"),
    )
    found = answered(case)
    assert told(case, found)["there are 2 copies of 'cups'"] == more(new_tuples=1)


def test_somebody_briefed() -> None:
    case = monday_case({"wren": monday(60)}, {"ann": monday(60)}, skill("a", "wren"))
    unbriefed = replace(case.adults["ann"], briefed_on=frozenset({"other"}))
    case = replace(case, adults={"ann": unbriefed})
    assert told(case, answered(case)) == {"ann is briefed on 'a'": more(new_tuples=1)}


def test_nothing_helps_where_nothing_is_left_out() -> None:
    case = monday_case({"wren": monday(60)}, {"ann": monday(60)}, skill("a", "wren"))
    found = answered(case)
    assert (found.left_out, found.gains.found, found.unasked) == ((), (), 0)


@pytest.mark.parametrize("seed", by_day_the_first(range(6)))
def test_what_is_promised_is_had_when_the_changed_week_is_planned(seed: int) -> None:
    case = random_case(seed, learners=1, targets=3, adults=3, locations=2, sets=2, oddity=0.4)
    log, now = random_log(case, seed), now_of(case)
    ground = week_context_of(case, log, WEEK, now, {}, ())
    found = why(ground, plan_one(case, log, now=now), HERE, tuple(case.learners)).gains.found
    before = counts(ground, ground.case, {})
    for gain in found:
        lift = next(
            part
            for idea in relaxation_groups(ground, tuple(case.learners))
            for part in idea.parts
            if (part.easing, part.piece) == (gain.easing, gain.piece)
        )
        changed = replace(ground, case=lift.case, free=lift.free)
        after = counts(changed, lift.case, {n.id: n for n in lift.needs})
        assert after >= tuple(b + m for b, m in zip(before, gain.more, strict=True)), gain


def counts(ground: WeekContext, case: Case, changed: dict[str, object]) -> tuple[int, ...]:
    load = ground.caseload
    load = replace(load, case=case, needs=tuple(changed.get(n.id, n) for n in load.needs))  # type: ignore[misc]
    seats = plan_caseload(load, HERE).seats
    found = coverage_counts(load.needs, seats)
    return tuple(found[name] for name in GAINED)


@pytest.mark.parametrize(
    ("sort", "told_of"),
    [
        ("plain", {"worth less", "as good"}),
        ("wished", {"worth less", "as good"}),
        ("few of many", {"as good"}),
    ],
)
def test_what_a_combination_costs_is_so_among_all_weeks(sort: str, told_of: set[str], nightly: bool) -> None:
    told: set[str] = set()
    for seed in seeds(8, nightly):
        given, weeks = tiny_week(sort, seed)
        scores = Scores(given, weeks)
        ground = week_context_of(given.case, given.log, WEEK, given.now, {}, ())
        plan = plan_one(given.case, given.log, now=given.now)
        seats = tuple(seat_of(given.case, WEEK, s) for s in plan.sittings)
        tuples = {(t, words): shown for t, words, shown in in_words(given.case, scores)}
        asked = list(every_tuple_left_out(ground, seats))
        for item, cost in zip(asked, opportunity_costs(ground.caseload, HERE, seats, asked), strict=True):
            wanted = (item.target, tuples[item.target, what_text(given.case, item)])
            answer = with_cost(item, cost)
            assert answer.limit == cost_among(scores, weeks, ahead(plan), wanted), (seed, item)
            told.add(answer.rule)
    assert told == told_of


LOSSES = ("due", "dated", "teaching", "wished", "new tuples")


@pytest.mark.parametrize("sort", ["taught", "taught and begun"])
def test_what_a_teaching_costs_is_so_among_all_weeks(sort: str, nightly: bool) -> None:
    told: set[str] = set()
    for seed in seeds(14, nightly):
        given, weeks = tiny_week(sort, seed)
        scores = Scores(given, weeks)
        ground = week_context_of(given.case, given.log, WEEK, given.now, {}, given.kept)
        plan = plan_one(given.case, given.log, now=given.now, kept=given.kept)
        seats = tuple(seat_of(given.case, WEEK, s) for s in plan.sittings if not s.begun)
        ways = InsertionFinder(given.case, ground.free, seats)
        asked = [item for n in ground.needs for item in teachings_left_out(ways, n, seats)]
        for item, cost in zip(asked, opportunity_costs(ground.caseload, HERE, seats, asked), strict=True):
            answer = with_cost(item, cost)
            assert answer.limit in costs_among(scores, weeks, ahead(plan), item), (seed, item)
            told.add(answer.rule)
    assert ({"worth less", "no room"} if nightly else {"worth less"}) <= told


def costs_among(scores: Scores, weeks: Sequence[Tries], planned: Tries, item: LeftOut) -> set[Limit]:
    """What may be told of a teaching: of weeks that are equally good the losses can differ."""
    where = tuple(value for _, value in item.values)
    due = scores.owed[item.target]
    wanted = due.sessions if due.sessions is not None else due.teach[where]

    def held(week: Tries) -> int:
        everything = (p for s in week for p in s.probes)
        return sum(
            t == item.target and kind == TEACHING and (not where or c == where) for t, c, kind in everything
        )

    most = max(map(held, weeks))
    if most <= held(planned):
        return {Limit(Kind.NO_ROOM)}
    order = [one for one in scores.order if one[0] in (*LOSSES, "told")]
    _, best = best_of([week for week in weeks if held(week) == most], order)
    names = [name for name, *_ in order if name in LOSSES]
    return {_cost(names, scores, planned, week, some=most < wanted) for week in best}


def _cost(names: Sequence[str], scores: Scores, planned: Tries, week: Tries, *, some: bool) -> Limit:
    before, after = ([_count(scores, name, w) for name in names] for w in (planned, week))
    for name, fewer in zip(names, (a - b for a, b in zip(before, after, strict=True)), strict=True):
        worth = int(scores.teaching(planned) - scores.teaching(week))
        if name == "teaching" and worth > 0 >= fewer:
            return Limit(Kind.WORTH_LESS, goal="unlocked", figure=worth - fewer, some=some)
        if fewer > 0 and (name != "teaching" or worth > 0):
            return Limit(Kind.WORTH_LESS, goal=name, figure=fewer, some=some)
    return Limit(Kind.AS_GOOD, some=some)


def _count(scores: Scores, name: str, week: Tries) -> int:
    kinds = [kind for s in week for _, _, kind in s.probes]
    match name:
        case "due":
            return sum(kind not in (NEW, TEACHING) for kind in kinds)
        case "teaching":
            return kinds.count(TEACHING)
        case "new tuples":
            return len(scores.fresh(week))
        case _:
            return int(scores.dated(week) if name == "dated" else scores.wished(week))


def test_what_no_plan_can_hold_is_told_so() -> None:
    # two sittings of 10 minutes and a rest of 5 take 25, and the hour with both adults has 20
    case = monday_case(
        {"wren": monday(20)},
        {"ann": monday(10), "ben": monday(10, after_nine=10)},
        skill("a", "wren", "ann"),
        skill("b", "wren", "ben", minutes=6),
    )
    ground = week_context_of(case, NOTHING_RUN, WEEK, NOW, {}, ())
    asked = list(every_tuple_left_out(ground, ()))
    prices = opportunity_costs(ground.caseload, HERE, (), asked)
    found = [with_cost(item, cost).rule for item, cost in zip(asked, prices, strict=True)]
    assert found == ["as good", "no room"]


def every_tuple_left_out(ground: WeekContext, seats: tuple[PlacedSitting, ...]) -> Iterator[LeftOut]:
    for need in ground.needs:
        planned = {p.combination for s in seats for p in s.probes if p.target == need.id}
        yield from tuples_left_out(InsertionFinder(ground.case, ground.free, seats), need, planned)


def in_words(case: Case, scores: Scores) -> Iterator[tuple[str, str, Shown]]:
    """Open tuples as the plan names them."""
    for owed in scores.owed.values():
        for shown in owed.open:
            values = [(d.name, dict(shown).get(d.name)) for d in owed.target.dimensions]
            yield owed.target.id, " + ".join(case.called(n, v) for n, v in values if v is not None), shown


def cost_among(scores: Scores, weeks: Sequence[Tries], planned: Tries, asked: tuple[str, Shown]) -> Limit:
    def worth(week: Tries) -> tuple[int, ...]:
        return int(scores.dated(week)), int(scores.wished(week)), len(scores.fresh(week))

    showing = [worth(week) for week in weeks if asked in scores.fresh(week)]
    if not showing:
        return with_cost(BLANK, OpportunityCost(False, {})).limit
    names = ("dated", "wished", "new tuples")
    less = [a - b for a, b in zip(worth(planned), max(showing), strict=True)]
    return with_cost(BLANK, OpportunityCost(True, dict(zip(names, less, strict=True)))).limit


def test_a_cost_that_is_not_proven_is_told_as_what_was_found() -> None:
    less = {"due": 0, "new tuples": 2}
    case = monday_case({"wren": monday(10)}, {"ann": monday(10)}, skill("a", "wren"))
    proven, found = (with_cost(BLANK, OpportunityCost(True, less, proven=p)).limit for p in (True, False))
    assert limit_sentence(case, proven).endswith("the week would then show 2 new combinations fewer")
    assert limit_sentence(case, found).endswith(
        "the best week with it that was found shows 2 new combinations fewer"
    )


def test_a_cost_beside_other_children_says_so() -> None:
    """Were they planned anew too, it might cost nothing."""
    case = monday_case({"wren": monday(10)}, {"ann": monday(10)}, skill("a", "wren"))
    cost = OpportunityCost(True, {"new tuples": 2}, beside=True)
    assert limit_sentence(case, with_cost(BLANK, cost).limit) == (
        "it could be run if it were planned first, but beside what the other learners have the week would then"
        " show 2 new combinations fewer"
    )


def test_gains_are_ordered_by_the_objectives() -> None:
    gain = Gain(easing=Easing(RelaxationKind.TARGET_DAY), piece=None, more=more(wished=1), learners=())
    assert gain.of("wished") == 1
    assert gain.of("new tuples") == 0


@pytest.mark.parametrize(("at_most", "unasked"), [(0, 3), (2, 1), (3, 0), (60, 0)])
def test_how_many_were_not_looked_into(at_most: int, unasked: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of four skills with Ann ten minutes hold one: what stands against the other three is that sitting."""
    search_with(monkeypatch, "explanation", asked_at_most=at_most)
    skills = [skill(name, "wren") for name in "abcd"]
    case = limited(
        monday_case({"wren": monday(10)}, {"ann": monday(10)}, *skills), "wren", probes_per_sitting=1
    )
    found = answered(case)
    assert found.unasked == unasked
    asked = [item for item in found.left_out if item.rule == "as good"]
    assert len(asked) == 3 - unasked


def test_an_observer_of_a_sitting_that_has_begun_changes_no_answer() -> None:
    """Three probes of Wren's are owed: x again, y and z; a day holds one sitting of one probe. Monday's has begun."""
    hours = WeeklyHours(tuple((Window(NINE, NINE + m),) if m else () for m in (10, 10, 0, 0, 0, 0, 0)))
    long = WeeklyHours(tuple((Window(NINE, NINE + m),) if m else () for m in (60, 60, 0, 0, 0, 0, 0)))
    case = monday_case(
        {"wren": hours},
        {"ann": long, "ben": long},
        skill("a", "wren", sets="x y z"),
        probes_per_target_per_day=2,
    )
    rows = [
        Result(
            line=2,
            date=date(2026, 11, 2),
            time=None,
            target="a",
            kind=ResultKind.PROBE,
            combination=("ann", "home", "x"),
            trials=10,
            correct=0,
        ),
        Result(
            line=3,
            date=date(2026, 11, 4),
            time=None,
            target="a",
            kind=ResultKind.TEACHING,
            combination=("ann", "home", "x"),
            trials=10,
            correct=0,
        ),
    ]
    log, noon = Log.of(rows), NOW + timedelta(days=1)
    kept = plan_one(case, log).sittings
    watched = tuple(
        replace(s, beside="ben", beside_as=Beside.OBSERVER) if s.start < noon else s for s in kept
    )
    assert watched != kept

    def answer(told: tuple[Sitting, ...]) -> Why:
        ground = week_context_of(case, log, WEEK, noon, {}, told)
        return why(ground, plan_one(case, log, kept=told, now=noon), HERE, ("wren",))

    plain = answer(kept)
    assert plain.left_out
    assert plain.gains.found
    assert answer(watched) == plain


def test_namesakes_keep_their_own_reasons() -> None:
    """Both adults are called Sam. Ben meets Wren on Monday for one sitting of one probe, which skill a's other set
    takes or leaves; Ann never does."""
    tuesday = WeeklyHours(((), (Window(NINE, NINE + 60),), *[()] * 5))
    case = monday_case(
        {"wren": monday(10)},
        {"ann": tuesday, "ben": monday(10)},
        skill("a", "wren", "ann ben", sets="x y"),
        probes_per_target_per_day=4,
    )
    sams = {i: replace(a, name="Sam") for i, a in case.adults.items()}
    case = replace(case, adults=sams)
    found = answered(case)
    # of ben's two one is planned; the other might be in its place; with ann nobody is ever there
    assert sorted(item.rule for item in found.left_out) == ["as good", "hours", "hours"]
    by_name = {what_text(case, item): item.rule for item in found.left_out}
    assert len(by_name) == 3
    assert {rule for what, rule in by_name.items() if "(ann)" in what} == {"hours"}


def test_the_limits_of_namesakes_are_told_apart() -> None:
    """Each Sam has ten minutes a week, and both are used up."""
    case = monday_case(
        {"wren": monday(60)},
        {"ann": monday(60), "ben": monday(60)},
        skill("a", "wren", "ann ben", sets="x y"),
        probes_per_target_per_day=4,
    )
    case = replace(case, adults={i: replace(a, name="Sam") for i, a in case.adults.items()})
    case = limited(limited(case, "ann", minutes_per_week=10), "ben", minutes_per_week=10)
    reasons = {
        limit_sentence(case, item.limit)
        for item in answered(case).left_out
        if item.limit.kind is Kind.ADULT_MINUTES_PER_WEEK
    }
    assert reasons == {f"Sam ({i})'s 10 minutes of the week are used up" for i in ("ann", "ben")}


def test_what_would_help_tells_namesakes_apart() -> None:
    """Each Sam has ten minutes a week: half an hour more of either holds the skill that is left out."""
    case = monday_case(
        {"wren": monday(60)},
        {"ann": monday(60), "ben": monday(60)},
        skill("a", "wren", "ann ben", sets="x y z w"),
    )
    case = replace(case, adults={i: replace(a, name="Sam") for i, a in case.adults.items()})
    case = limited(limited(case, "ann", minutes_per_week=10), "ben", minutes_per_week=10)
    case = replace(case, policy=replace(case.policy, probes_per_target_per_day=4))
    found = helps(Names(case), answered(case).gains)
    said = [s for one in found for s in (one.best, *one.others) if "minutes a week" in s]
    assert [s.split(" may give")[0] for s in said] == ["Sam (ann)", "Sam (ben)"]
