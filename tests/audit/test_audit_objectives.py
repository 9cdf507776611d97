"""What a plan tells of its search, changed in one place. The values are worked out by hand here."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from genplan.audit import audit
from genplan.case import AdultLimits, TargetState, Wish
from genplan.plan import Beside, LeftOut, Objective, Plan, ProbeKind, StageStatus
from genplan.rules.limits import Kind, Limit
from tests.fixtures.audited_world import MON, TUE, WED, World, at, probe

# Wren has sittings a (mum, park, Monday 16:00: zips and greets) and c (grandad, home, Tuesday 16:00: zips), Robin b
# (grandad, park, Wednesday 17:00) and d (grandad, home, Tuesday 17:00). a shows 3 + 3 new pairs, b, c and d 3 each.
GOOD = World()


def complaints_of(world: World, plan: Plan) -> tuple[str, ...]:
    return audit(world.case, world.log, plan, world.busy, world.kept)


def objective(name: str, value: float, sense: str = "most", bound: float | None = None) -> Objective:
    """Proven, if no other bound is given."""
    status = StageStatus.OPTIMAL if bound is None else StageStatus.BEST_SO_FAR
    return Objective(
        name=name,
        sense=sense,
        value=value,
        bound=value if bound is None else bound,
        status=status,
    )


def said(world: World, *objectives: Objective) -> tuple[str, ...]:
    return complaints_of(world, replace(world.plan, objectives=objectives))


RIGHT = {
    "due": objective("due", 0),
    "dated": objective("dated", 0),
    "wished": objective("wished", 0),
    # Wren has 9 of the 9 + 12 that are open, Robin 6 of 8: 0.4286 and 0.75
    "shares": objective("shares", 0.428, "most", 1),
    # more would fit, so this is not told as proven
    "new tuples": objective("new tuples", 15, "most", 29),
    # of zips grandad-park-jackets is enough, of greets three, of buttons two
    "further probes": objective("further probes", 6, "fewest"),
    "changes": objective("changes", 0, "fewest"),
    # four sittings; nobody is in two places on one day
    "sittings": objective("sittings", 4, "fewest"),
    "probes": objective("probes", 5, "fewest"),
    # grandad has 30 of his 7 x 180 minutes: a quarter of a tenth, so one tenth as a whole number
    "loads": objective("loads", 1, "fewest", 0),
    # Wren's Monday has 2, Robin's days 1
    "spread": objective("spread", 3, "fewest"),
    "waiting": objective("waiting", 0, "fewest"),
    # quarters of an hour after midnight: 64 twice, 68 twice
    "early": objective("early", 264, "fewest"),
}


def test_objectives_that_are_right() -> None:
    assert said(GOOD, *RIGHT.values()) == ()
    unknown = replace(objective("told", 99), status=StageStatus.NOT_REACHED)
    assert said(GOOD, *RIGHT.values(), unknown) == ()


@pytest.mark.parametrize(
    ("spoilt", "words"),
    [
        (objective("new tuples", 14), "'new tuples': its value is 15, not 14"),
        (objective("sittings", 5, "fewest"), "'sittings': its value is 4, not 5"),
        (objective("due", 1), "'due': its value is 0, not 1"),
        (objective("wished", 1), "'wished': its value is 0, not 1"),
        (objective("probes", 4, "fewest"), "'probes': its value is 5, not 4"),
        (objective("changes", 1, "fewest"), "'changes': its value is 0, not 1"),
        (objective("waiting", 1, "fewest"), "'waiting': its value is 0, not 1"),
        (objective("early", 263, "fewest"), "'early': its value is 264, not 263"),
        (objective("dated", 1), "'dated': its value is 0, not 1"),
        (objective("shares", 1.1), "'shares': its value is 0.428, not 1.1"),
        (objective("further probes", 5, "fewest"), "'further probes': its value is 6, not 5"),
        (objective("further probes", 7, "fewest"), "'further probes': its value is 6, not 7"),
        (
            objective("further probes", 9, "fewest", 7),
            "'further probes': its value is 6, beyond the bound of 7",
        ),
        (objective("spread", 2, "fewest"), "'spread': its value is 3, not 2"),
        (objective("spread", 4, "fewest"), "'spread': its value is 3, not 4"),
        (objective("loads", 0, "fewest"), "'loads': its value is 1, not 0"),
        (objective("loads", 2, "fewest", 0), "'loads': its value is 1, not 2"),
        (objective("told", 1), "'told': its value is 0, not 1"),
        (objective("new tuples", 15, "most", 14), "value 15 and bound 14 contradict"),
        (objective("sittings", 4, "fewest", 5), "value 4 and bound 5 contradict"),
        (replace(objective("shares", 0.428), bound=1), "value 0.428 and bound 1 contradict"),
        (objective("new tuples", 15, "fewest"), "'new tuples': nobody looks for the 'fewest' of it"),
        (objective("comfort", 15), "'comfort': nobody looks for the 'most' of it"),
    ],
)
def test_a_wrong_objective(spoilt: Objective, words: str) -> None:
    others = [o for o in RIGHT.values() if o.name != spoilt.name]
    (complaint,) = said(GOOD, *others, spoilt)
    assert words in complaint


def test_a_learner_without_sittings_has_no_fullest_day() -> None:
    """Wren's Monday alone, with its two probes."""
    world = replace(GOOD, sittings={"a": GOOD.sittings["a"]})
    assert said(world, objective("spread", 2, "fewest")) == ()


def test_further_probes_may_be_told_higher_than_they_are() -> None:
    """Of a search cut short a smaller design was not found; nothing else may be told worse than it is."""
    assert said(GOOD, objective("further probes", 9, "fewest", 0)) == ()
    for name in ("spread", "loads", "sittings"):
        assert len(said(GOOD, objective(name, 9, "fewest", 0))) == 1


def test_an_objective_is_there_once() -> None:
    (complaint,) = said(GOOD, *RIGHT.values(), RIGHT["due"])
    assert complaint == "Objective 'due': it is there 2 times."


@pytest.mark.parametrize(
    ("pattern", "value"),
    [
        # mum-park and park-coats of sitting a
        ({"location": "park"}, 2),
        # sitting c shows grandad-home, home-coats; home-jackets was taught
        ({"location": "home"}, 2),
        ({"adult": "mum", "location": "park"}, 1),
        # more than two values: every pair of two of them
        ({"adult": "mum", "location": "park", "material_set": "coats"}, 3),
        ({"adult": "mum", "location": "home"}, 0),
    ],
)
def test_new_pairs_that_a_wish_asks_for(pattern: dict[str, str], value: int) -> None:
    world = GOOD.having("targets", "zips", first=(Wish(pattern),))
    assert said(world, objective("wished", value), objective("dated", 0)) == ()
    assert len(said(world, objective("wished", value + 1))) == 1
    assert len(said(world, objective("dated", value + 1))) == 1


def test_a_pair_that_two_wishes_ask_for_counts_once() -> None:
    world = GOOD.having("targets", "zips", first=(Wish({"location": "park"}), Wish({"adult": "mum"})))
    # mum-park and park-coats, and mum-coats
    assert said(world, objective("wished", 3)) == ()


LAST_DAY, NEXT_WEEK, FAR_OFF = date(2026, 12, 6), date(2026, 12, 7), date(2027, 2, 1)


@pytest.mark.parametrize(
    ("by", "told", "words"),
    [
        (LAST_DAY, True, ""),
        (LAST_DAY, False, "wish 1 has its last chance in this week, and it is not told"),
        # whether a later week has time for it takes its hours to know
        (NEXT_WEEK, True, ""),
        (NEXT_WEEK, False, ""),
        # 31 January is eight weeks after the Sunday of the week
        (date(2027, 1, 31), True, ""),
        (FAR_OFF, True, "wish 1 is told as at its last chance, and has time"),
        (FAR_OFF, False, ""),
        (None, True, "wish 1 is told as at its last chance, and has time"),
        (None, False, ""),
    ],
)
def test_a_wish_has_its_last_chance_in_the_week_of_its_date(by: date | None, told: bool, words: str) -> None:
    world = GOOD.having("targets", "zips", first=(Wish({"location": "park"}, by),))
    plan = replace(world.plan, last_chances=frozenset([("zips", 0)] if told else []))
    right = replace(plan, objectives=(objective("dated", 2 * told),))
    wrong = replace(plan, objectives=(objective("dated", 2 * (not told)),))
    found = complaints_of(world, right)
    assert [words in c for c in found] == ([True] if words else [])
    assert len(complaints_of(world, wrong)) == len(found) + 1


def test_a_wish_of_which_nothing_is_open_needs_no_last_chance() -> None:
    """Home with jackets was taught; and there is no second wish."""
    pattern = {"adult": "mum", "location": "home", "material_set": "jackets"}
    world = GOOD.having("targets", "zips", first=(Wish(pattern, LAST_DAY),))
    plan = replace(world.plan, objectives=(objective("dated", 0),))
    assert complaints_of(world, replace(plan, last_chances=frozenset())) == ()
    (complaint,) = complaints_of(world, replace(plan, last_chances=frozenset([("zips", 1)])))
    assert complaint == "Target zips: there is no wish 2 to have a last chance."


@pytest.mark.parametrize(
    ("robin", "wren", "share"),
    [
        (8, 21, 0.428),
        (6, 9, 1.0),
        # 9 of 17 and 6 of 7: 0.529411… is rounded down
        (7, 17, 0.529),
        (8, 9, 0.75),
    ],
)
def test_the_share_of_the_one_who_is_worst_off(robin: float, wren: float, share: float) -> None:
    """Wren has 9 new pairs, Robin 6."""
    plan = replace(GOOD.plan, alone={"robin": robin, "wren": wren})
    for value in (share - 0.001, share, share + 0.001):
        told = replace(plan, objectives=(objective("shares", value, "most", 2),))
        assert (complaints_of(GOOD, told) == ()) is (value == share)


@pytest.mark.parametrize(
    ("alone", "words"),
    [
        (
            {"robin": 5, "wren": 21},
            "5 new tuples are told as the most that it could have alone, with 6 in the plan",
        ),
        (
            {"robin": 9, "wren": 21},
            "9 new tuples are told as the most that it could have alone, with 6 in the plan",
        ),
        ({"robin": 8}, "Learner wren: it is owed something, and no most that it could have alone is told"),
        ({"robin": 8, "wren": 21, "finch": 1}, "Learner finch: it is owed nothing, and a most"),
    ],
)
def test_a_wrong_most_alone(alone: dict[str, float], words: str) -> None:
    plan = replace(GOOD.plan, alone=alone, objectives=(objective("new tuples", 15, "most", 29),))
    (complaint,) = complaints_of(GOOD, plan)
    assert words in complaint


def test_what_comes_before_new_tuples_can_leave_more_of_them_in_company() -> None:
    """Alone Robin might keep a wish with one probe more of what is wished, and one new pair less."""
    world = GOOD.having("targets", "buttons", first=(Wish({"location": "park"}),))
    plan = replace(world.plan, objectives=(objective("new tuples", 15, "most", 29),))
    assert complaints_of(world, replace(plan, alone={"robin": 5, "wren": 21})) == ()
    assert len(complaints_of(world, replace(plan, alone={"robin": 9, "wren": 21}))) == 1


def test_one_learner_has_no_share() -> None:
    world = GOOD.having("targets", "buttons", state=TargetState.PAUSED)
    world = replace(world, sittings={i: world.sittings[i] for i in "ac"})
    plan = replace(world.plan, objectives=(objective("shares", 0), objective("new tuples", 9, "most", 21)))
    assert complaints_of(world, plan) == ()


def test_changes_from_what_was_taught() -> None:
    """Zips was taught with mum, at home, with jackets: a and c change two things each, so one beyond one each. Of the
    other targets nothing is known to begin from."""
    world = GOOD.in_case(
        policy=replace(GOOD.case.policy, prefer=replace(GOOD.case.policy.prefer, one_change_at_a_time=True))
    )
    assert said(world, objective("changes", 2, "fewest")) == ()
    # met: grandad-home-jackets, so c (grandad, home, coats) changes one thing and a (mum, park, coats) still two
    nearer = world.knowing(("2026-11-02", "zips", "grandad home jackets", 5, 5))
    assert said(nearer, objective("changes", 1, "fewest")) == ()
    # what was not met is nothing to begin from
    failed = world.knowing(("2026-11-02", "zips", "grandad home jackets", 5, 1))
    assert said(failed, objective("changes", 2, "fewest")) == ()


def test_what_is_due_waits_by_the_day() -> None:
    """Two retests, on Monday and on Tuesday: no day and one. New probes do not count."""
    rows = [
        (day, "zips", values, trials, 0)
        for values in ("mum park coats", "grandad home coats")
        for day, trials in (("2026-11-02", 5), ("2026-11-03", 0))
    ]
    a, c = GOOD.sittings["a"], GOOD.sittings["c"]
    world = GOOD.knowing(*rows).seated(
        replace(a, probes=(replace(a.probes[0], kind=ProbeKind.RETEST), a.probes[1])),
        replace(c, probes=(replace(c.probes[0], kind=ProbeKind.RETEST),)),
    )
    assert world.complaints() == ()
    assert said(world, objective("waiting", 1, "fewest"), objective("due", 2)) == ()


@pytest.mark.parametrize(("tenths", "right"), [(4, False), (5, True), (6, False)])
def test_the_load_of_the_most_burdened(tenths: int, right: bool) -> None:
    """Grandad's 30 minutes of 60 are five tenths."""
    world = GOOD.having("adults", "grandad", limits=AdultLimits(minutes_per_week=60))
    assert (said(world, objective("loads", tenths, "fewest", 0)) == ()) is right


def test_a_load_counts_a_companion_and_no_observer() -> None:
    """Mum beside in b and d has 15 + 20 minutes of 70: five tenths as a companion, and 15, three tenths, else."""
    world = GOOD.having("adults", "mum", limits=AdultLimits(minutes_per_week=70))
    for part, tenths in ((Beside.COMPANION, 5), (Beside.OBSERVER, 3)):
        beside = [replace(world.sittings[i], beside="mum", beside_as=part) for i in ("b", "d")]
        plan = world.seated(*beside).plan
        for value in (tenths - 1, tenths):
            told = [objective("loads", value, "fewest", 0)]
            found = complaints_of(world, replace(plan, objectives=tuple(told)))
            assert any("'loads'" in c for c in found) is (value < tenths)


def test_what_the_policy_does_not_ask_for_is_nothing() -> None:
    prefer = replace(GOOD.case.policy.prefer, fair_shares=False, spread_over_days=False)
    world = GOOD.in_case(policy=replace(GOOD.case.policy, prefer=prefer))
    assert said(world, objective("loads", 0, "fewest"), objective("spread", 0, "fewest")) == ()
    assert len(said(world, objective("spread", 3, "fewest"))) == 1


# a keeps its time 2, its two probes 2 and all of it 2; b, c and d 2 + 1 + 2 each
TOLD = replace(GOOD, kept=tuple(GOOD.sittings.values()))


def test_what_people_were_told_stays() -> None:
    assert said(TOLD, objective("told", 21)) == ()
    assert said(TOLD, objective("told", 22)) == ("Objective 'told': its value is 21, not 22.",)
    assert said(TOLD, objective("told", 20, "most", 21)) == ("Objective 'told': its value is 21, not 20.",)


def test_what_of_it_is_otherwise() -> None:
    a, c = GOOD.sittings["a"], GOOD.sittings["c"]
    jackets = replace(c, probes=(probe("zips", "grandad home jackets"),))
    shorter = replace(a, probes=a.probes[:1], end=at(MON, "16:10"))
    for world, value in (
        (TOLD.moved("c", at(TUE, "15:15")), 21 - 4),  # the probe stays
        (TOLD.moved("c", at(WED, "16:00")), 21 - 5),  # another day is another meeting
        (TOLD.seated(jackets), 21 - 3),  # the time stays
        (TOLD.seated(shorter), 21 - 3),  # one of two probes stays
    ):
        assert world.complaints() == ()
        assert said(world, objective("told", value)) == ()


def test_a_companion_who_was_told_stays() -> None:
    """Mum was beside in d: 1 more where she stays; without her that, and the 2 for all of it, are gone."""
    with_mum = replace(GOOD.sittings["d"], beside="mum", beside_as=Beside.COMPANION)
    told = replace(GOOD, kept=(with_mum,))
    assert said(told, objective("told", 3)) == ()
    (complaint,) = [c for c in said(told.seated(with_mum), objective("told", 3)) if "told" in c]
    assert complaint == "Objective 'told': its value is 6, not 3."


def test_needs_weigh_new_tuples() -> None:
    """Wren's 9 count twice, Robin's 6 once: 24."""
    world = GOOD.having("learners", "wren", needs=2.0)
    assert (
        complaints_of(world, replace(world.plan, objectives=(objective("new tuples", 24, "most", 50),))) == ()
    )
    assert complaints_of(world, replace(world.plan, objectives=(objective("new tuples", 15, "most", 29),)))


def test_places_beyond_the_first_count_with_the_sittings() -> None:
    """Grandad is at home and in the park on Tuesday: one place more beside four sittings."""
    d = GOOD.sittings["d"]
    world = GOOD.seated(
        replace(d, location="park", probes=(probe("buttons", "grandad park jackets"),)),
        replace(GOOD.sittings["b"], probes=(probe("buttons", "grandad home ribbons"),), location="home"),
    )
    assert world.complaints() == ()
    assert complaints_of(world, replace(world.plan, objectives=(objective("sittings", 5, "fewest"),))) == ()


def test_home_the_park_and_home_again_are_two_places() -> None:
    """Wren and mum on Monday at home, in the park and at home: three sittings, and a place more for each of the two."""
    a = GOOD.sittings["a"]
    home = [
        replace(a, id=i, location="home", start=at(MON, start), end=at(MON, end), probes=(p,))
        for i, start, end, p in (
            ("x", "15:00", "15:10", probe("zips", "mum home coats")),
            ("y", "17:00", "17:10", probe("greets", "mum home cards")),
        )
    ]
    park = replace(a, probes=(probe("greets", "mum park dolls"),), end=at(MON, "16:10"))
    world = replace(GOOD.under(probes_per_target_per_day=2), sittings={s.id: s for s in (*home, park)})
    assert world.complaints() == ()
    assert said(world, objective("sittings", 5, "fewest")) == ()
    assert len(said(world, objective("sittings", 7, "fewest"))) == 1


def test_what_is_due_counts_and_overdue_counts_twice() -> None:
    """1 + 21 November is before the week, so the maintenance probe counts two; a retest counts one."""
    world = GOOD.having("targets", "zips", maintenance_days=(21,))
    world = world.knowing(
        ("2026-11-02", "zips", "grandad home coats", 5, 0), ("2026-11-03", "zips", "grandad home coats", 0, 0)
    )
    a, c = world.sittings["a"], world.sittings["c"]
    world = world.seated(
        replace(a, probes=a.probes[1:], end=a.start.replace(minute=10)),
        replace(c, probes=(replace(c.probes[0], kind=ProbeKind.RETEST),)),
        replace(
            a,
            id="m",
            start=a.start.replace(day=3, month=12),
            end=a.start.replace(day=3, month=12, minute=10),
            location="home",
            probes=(probe("zips", "mum home jackets", ProbeKind.MAINTENANCE),),
        ),
    )
    assert world.complaints() == ()
    assert complaints_of(world, replace(world.plan, objectives=(objective("due", 3),))) == ()


def test_of_two_dates_reached_the_later_one_is_due() -> None:
    """8 November was missed; 6 December, the Sunday of the week, takes its place and is not overdue."""
    world = GOOD.having("targets", "zips", maintenance_days=(7, 35))
    c = GOOD.sittings["c"]
    world = world.seated(
        replace(c, probes=(probe("zips", "mum home jackets", ProbeKind.MAINTENANCE),), adult="mum")
    )
    assert world.complaints() == ()
    assert said(world, objective("due", 1)) == ()


def left_out(plan: Plan, target: str, kind: ProbeKind) -> list[LeftOut]:
    return [x for x in plan.left_out if (x.target, x.kind) == (target, kind)]


# not met and not taught since; not met, and taught since; and the maintenance probe of 11 November
OWING = GOOD.having("targets", "greets", maintenance_days=(10,)).knowing(
    ("2026-11-02", "greets", "grandad home cards", 5, 0),
    ("2026-11-02", "greets", "grandad home dolls", 5, 0),
    ("2026-11-03", "greets", "grandad home dolls", 0, 0),
)


def test_what_is_owed_is_told() -> None:
    assert OWING.complaints() == ()
    assert len(left_out(OWING.plan, "greets", ProbeKind.RETEST)) == 2
    assert len(left_out(OWING.plan, "greets", ProbeKind.MAINTENANCE)) == 1


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (ProbeKind.RETEST, "1 probes of the kind retest are told as left out, counted 2"),
        (ProbeKind.MAINTENANCE, "0 probes of the kind maintenance are told as left out, counted 1"),
        (ProbeKind.NEW, "open tuples are told as left out"),
    ],
)
def test_what_is_left_out_and_not_told(kind: ProbeKind, words: str) -> None:
    plan = OWING.plan
    gone = left_out(plan, "greets", kind)[0]
    (complaint,) = complaints_of(OWING, replace(plan, left_out=tuple(x for x in plan.left_out if x != gone)))
    assert complaint.startswith("Target greets: ")
    assert words in complaint
    (complaint,) = complaints_of(OWING, replace(plan, left_out=(*plan.left_out, gone)))
    assert complaint.startswith("Target greets: ")


def test_a_retest_that_is_planned_is_not_left_out() -> None:
    again = probe("greets", "grandad home dolls", ProbeKind.RETEST)
    c = GOOD.sittings["c"]
    world = OWING.seated(replace(c, probes=(*c.probes, again), end=at(TUE, "16:15")))
    assert world.complaints() == ()
    assert len(left_out(world.plan, "greets", ProbeKind.RETEST)) == 1


@pytest.mark.parametrize("change", [{"values": ()}, {"learner": "robin"}, {"target": "nobodys"}])
def test_what_is_left_out_has_a_name_a_reason_and_a_target(change: dict[str, object]) -> None:
    plan = GOOD.plan
    (first, *rest) = [x for x in plan.left_out if x.target == "zips"]
    others = [x for x in plan.left_out if x.target != "zips"]
    complaints = complaints_of(GOOD, replace(plan, left_out=(replace(first, **change), *rest, *others)))  # type: ignore[arg-type]
    assert any("without its name" in c or "no mastered target" in c for c in complaints)


def test_nothing_is_owed_of_a_target_that_is_paused() -> None:
    world = OWING.having("targets", "greets", state=TargetState.PAUSED)
    a = world.sittings["a"]
    world = world.seated(replace(a, probes=a.probes[:1], end=at(MON, "16:10")))
    assert world.complaints() == ()
    one = LeftOut(
        learner="wren",
        target="greets",
        kind=ProbeKind.NEW,
        values=(("adult", "mum"),),
        limit=Limit(Kind.HOURS),
        tuples=0,
    )
    assert len(complaints_of(world, replace(world.plan, left_out=(*world.plan.left_out, one)))) == 1
