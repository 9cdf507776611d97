"""The auditor on teaching: a plan by hand that teaches what it should, and one thing changed in it.

Wren's zips (mum and grandad, home and park, coats and jackets) was not met in two combinations on 2 November, both with
grandad: at home with the coats and in the park with the coats; with mum and the jackets it was met in both. A teaching
takes ten minutes, a probe five, settling five. Everybody is free from 15:00 to 18:00.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from genplan.audit import audit
from genplan.case import LearnerLimits, PassMark, TargetState
from genplan.case.targets import Teach
from genplan.plan import Beside, LeftOut, Objective, Probe, ProbeKind, Sitting, StageStatus
from genplan.rules.limits import LESS_URGENT
from tests.fixtures.audited_world import HOURS, MON, TUE, WED, World, at, probe, sitting

HOME, PARK = "grandad home coats", "grandad park coats"
RETEST, TEACHING = ProbeKind.RETEST, ProbeKind.TEACHING
THU = 33


def lesson(values: str, id_: str = "zips") -> Probe:
    return probe(id_, values, TEACHING)


def held(id_: str, start: Any, *probes: Probe) -> Sitting:
    """As long as what is in it."""
    s = sitting(id_, "wren", start, *probes)
    minutes = 5 + sum(5 if p.kind.is_probe else 10 for p in probes)
    return replace(s, end=s.start + timedelta(minutes=minutes))


def rows(*others: tuple[str, str, str, int, int]) -> tuple[tuple[str, str, str, int, int], ...]:
    failed = ("2026-11-02", "zips", HOME, 5, 1), ("2026-11-02", "zips", PARK, 5, 0)
    met = ("2026-11-01", "zips", "mum home jackets", 5, 5), ("2026-11-01", "zips", "mum park jackets", 5, 5)
    return (*met, *failed, *others)


def world_of(*sittings: Sitting, **policy: Any) -> World:
    """Zips alone, with these sittings."""
    world = World().having("targets", "greets", state=TargetState.PAUSED)
    world = world.having("targets", "buttons", state=TargetState.PAUSED)
    world = replace(world, sittings={s.id: s for s in sittings}).knowing(*rows())
    return world.under(plan_teaching=True, **policy)


AT_HOME, IN_THE_PARK = held("h", at(MON, "16:00"), lesson(HOME)), held("p", at(TUE, "16:00"), lesson(PARK))
GOOD = world_of(AT_HOME, IN_THE_PARK)
ONE = world_of(AT_HOME)
"""Teaching in the park is left out."""


def left(values: str = "", teachings: int = 1) -> LeftOut:
    names = ("adult", "location", "material_set")
    return LeftOut(
        learner="wren",
        target="zips",
        kind=TEACHING,
        values=tuple(zip(names, values.split(), strict=False)),
        limit=HOURS,
        teachings=teachings,
    )


def complaints(world: World, *missing: LeftOut, **changes: Any) -> tuple[str, ...]:
    plan = replace(world.plan, **changes)
    plan = replace(plan, left_out=(*plan.left_out, *missing))
    return audit(world.case, world.log, plan, world.busy, world.kept)


def test_good_plans_have_no_fault() -> None:
    assert complaints(GOOD) == ()
    assert complaints(ONE, left(PARK)) == ()


Change = Callable[[], tuple[str, ...]]


def with_mum(may: str, part: Beside = Beside.TEACHER) -> World:
    """Grandad may teach nothing; mum is beside."""
    world = GOOD.having("adults", "grandad", teaches=frozenset())
    world = world.having("adults", "mum", teaches=frozenset(may.split()))
    return world.seated(*(replace(s, beside="mum", beside_as=part) for s in world.sittings.values()))


def paid(*days: int, correct: int = 5, **zips: Any) -> World:
    """Taught at home on these days of November."""
    lessons = [(f"2026-11-{d:02}", "zips", HOME, 0, 0) for d in days]
    world = GOOD.knowing(*rows(*lessons)).having("targets", "zips", **zips)
    counted = [
        replace(r, trials=5, correct=correct) if r.kind.value == "teaching" else r for r in world.log.results
    ]
    return replace(world, log=type(world.log).of(counted))


def again_at_home(day: int) -> Sitting:
    return held("h", at(day, "16:00"), probe("zips", HOME, RETEST))


def of_a_week(times: int, *sittings: Sitting, **changes: Any) -> World:
    """Zips is still taught, at home so many times a week."""
    world = world_of(*sittings).knowing()
    given = {"taught": ({"location": "home"},), "teaching_per_week": times, "state": TargetState.TEACHING}
    return world.having("targets", "zips", **{**given, **changes})


WEEKLY = (held("h", at(MON, "16:00"), lesson("mum home coats")), held("p", at(TUE, "16:00"), lesson(HOME)))
FEWEST: dict[str, Any] = {"teach": Teach.FEWEST}
AT_HOME_WITH_HIM = {"adult": "grandad", "location": "home"}
JACKETS = held("j", at(WED, "16:00"), lesson("grandad park jackets"))

OFFENCES: dict[str, tuple[str, Change]] = {
    "the policy plans none": (
        "the policy plans no teaching",
        lambda: complaints(GOOD.under(plan_teaching=False)),
    ),
    "held out": (
        "grandad, home, coats of zips is held out, and is taught",
        lambda: only(complaints(GOOD.having("targets", "zips", hold_out=(AT_HOME_WITH_HIM,))), "held out"),
    ),
    "owed no teaching": (
        "mum, park, jackets of zips is taught, and is owed no teaching",
        lambda: only(
            complaints(GOOD.seated(held("m", at(WED, "16:00"), lesson("mum park jackets")))), "owed no"
        ),
    ),
    "taught already": (
        "grandad, home, coats of zips is taught, and is owed no teaching",
        lambda: only(complaints(paid(3)), "owed no"),
    ),
    "taught more often than it is owed": (
        "is taught 2 times, and 1 are owed",
        lambda: only(
            complaints(GOOD.seated(replace(AT_HOME, id="x", start=at(WED, "16:00"), end=at(WED, "16:15")))),
            "2 times",
        ),
    ),
    "taught and probed": (
        "grandad, home, coats of zips is taught, and probed in the same week",
        lambda: only(complaints(GOOD.seated(replace(again_at_home(THU), id="r"))), "taught, and probed"),
    ),
    "a target that is paused": (
        "zips is not mastered but paused",
        lambda: only(complaints(GOOD.having("targets", "zips", state=TargetState.PAUSED)), "paused"),
    ),
    "a length without the minutes of teaching": (
        "take 15 minutes, but it ends at 16:10",
        lambda: complaints(GOOD.seated(replace(AT_HOME, end=at(MON, "16:10")))),
    ),
    "two taught on a day": (
        "2 teachings of zips on 2026-11-30 are over the limit",
        lambda: complaints(GOOD.moved("p", at(MON, "17:00"))),
    ),
    "two taught in the week": (
        "2 teachings of zips in the week are over the limit",
        lambda: complaints(GOOD.under(teachings_per_target_per_week=1)),
    ),
    "teachings of the learner's day": (
        "2 teachings of learner wren on 2026-11-30",
        lambda: complaints(
            GOOD.moved("p", at(MON, "17:00"))
            .under(teachings_per_target_per_day=2)
            .having("learners", "wren", limits=LearnerLimits(teachings_per_day=1))
        ),
    ),
    "probed after it was taught": (
        "zips is probed after it was taught on that day",
        lambda: complaints(GOOD.seated(held("n", at(MON, "17:00"), probe("zips", "mum park coats")))),
    ),
    "taught and probed in a sitting": (
        "it holds zips 2 times",
        lambda: only(
            complaints(
                GOOD.seated(held("h", at(MON, "16:00"), lesson(HOME), probe("zips", "grandad home jackets")))
            ),
            "2 times",
        ),
    ),
    "a retest too soon": (
        "grandad, home, coats of zips may be probed again from 2026-12-02 on",
        lambda: complaints(paid(29, retest_after_days=3).seated(again_at_home(MON))),
    ),
    "nobody who may teach": (
        "grandad may not teach zips, and nobody who may is beside",
        lambda: only(complaints(GOOD.having("adults", "grandad", teaches=frozenset())), "nobody who may"),
    ),
    "beside and may not teach": (
        "neither grandad nor mum may teach zips",
        lambda: only(complaints(with_mum("")), "neither"),
    ),
    "a teacher beside for nothing": (
        "it has a teacher beside, and needs none",
        lambda: complaints(with_mum("zips").having("adults", "grandad", teaches=None)),
    ),
    "an observer of teaching": (
        "it has an observer, and no probe to observe",
        lambda: only(
            complaints(with_mum("zips", Beside.OBSERVER).under(observed_share=0.5)), "no probe to observe"
        ),
    ),
    "a figure of its own": (
        "its probe of zips shows 0 new tuples, not 3",
        lambda: only(complaints(GOOD, sittings=with_new(GOOD, 3)), "shows 0 new"),
    ),
    "not told": (
        "grandad, park, coats is owed teaching, and it is neither planned nor left out",
        lambda: complaints(ONE),
    ),
    "told as left out and planned": (
        "1 teachings are told as left out, counted 0",
        lambda: complaints(GOOD, left(PARK)),
    ),
    "too many told as left out": (
        "2 teachings are told as left out, counted 1",
        lambda: complaints(ONE, left(PARK, 2)),
    ),
    "more in the week than are owed": (
        "zips is taught 2 times in the week, and 1 are owed",
        lambda: only(complaints(of_a_week(1, *WEEKLY)), "2 times in the week"),
    ),
    "where it is not taught": (
        "zips is not taught in grandad, park, coats",
        lambda: complaints(of_a_week(2, WEEKLY[0], IN_THE_PARK)),
    ),
    "a session that nobody tells of": (
        "0 teachings are told as left out, counted 1",
        lambda: complaints(of_a_week(3, *WEEKLY)),
    ),
    "both are taught, and one is enough": (
        # all that only failed are grandad and coats; each of the two holds both
        "2 are taught, and 1 are enough",
        lambda: complaints(GOOD.having("targets", "zips", **FEWEST)),
    ),
    "what did not fail is taught": (
        "1 that did not fail are taught, and 0 are enough",
        lambda: complaints(world_of(AT_HOME, JACKETS).having("targets", "zips", **FEWEST)),
    ),
    "what only failed is taught nowhere": (
        "coats only failed, and it is taught nowhere",
        lambda: only(complaints(world_of(JACKETS).having("targets", "zips", **FEWEST)), "nowhere"),
    ),
    "a new probe after a lapse": (
        "is new, and new probes wait there",
        lambda: complaints(lapsed(5, 1)),
    ),
}


def only(found: tuple[str, ...], words: str) -> tuple[str, ...]:
    """The complaint that is meant; what follows from it is told beside it."""
    assert any(words in c for c in found), found
    return tuple(c for c in found if words in c)


def with_new(world: World, figure: int) -> tuple[Sitting, ...]:
    return tuple(
        replace(s, probes=tuple(replace(p, new_tuples=figure) for p in s.probes)) for s in world.plan.sittings
    )


def lapsed(trials: int, correct: int) -> World:
    """Mum at home with the jackets, where zips was taught, was tested; a new probe is planned."""
    taught = world_of(held("n", at(MON, "16:00"), probe("zips", "mum park coats")), new_wait_after_lapse=True)
    taught = taught.knowing(("2026-11-02", "zips", "mum home jackets", trials, correct))
    return taught.under(plan_teaching=False)


NEAR_MISSES: dict[str, Change] = {
    "one of two that are owed, and two": lambda: complaints(
        paid(3, teachings_before_retest=2).seated(held("q", at(WED, "16:00"), lesson(PARK)))
    ),
    "a lesson below the mark pays nothing": lambda: complaints(
        paid(3, correct=3, taught_when=PassMark(4, 5))
    ),
    "a retest on the first day": lambda: complaints(
        paid(29, retest_after_days=2).seated(
            again_at_home(TUE), replace(IN_THE_PARK, start=at(WED, "16:00"), end=at(WED, "16:15"))
        )
    ),
    "a second on another day": lambda: complaints(GOOD.under(teachings_per_target_per_week=2)),
    "a policy with two on a day": lambda: complaints(
        GOOD.moved("p", at(MON, "17:00")).under(teachings_per_target_per_day=2)
    ),
    "probes and teachings are counted apart": lambda: complaints(
        GOOD.seated(held("n", at(MON, "15:00"), probe("zips", "mum park coats")))
        .under(probes_per_target_per_day=1, probes_per_target_per_week=1)
        .having("learners", "wren", limits=LearnerLimits(probes_per_day=1, teachings_per_day=1))
    ),
    "probed before it is taught": lambda: complaints(
        GOOD.seated(held("n", at(MON, "15:00"), probe("zips", "mum park coats")))
    ),
    "probed after it, where the policy says so": lambda: complaints(
        GOOD.seated(held("n", at(MON, "17:00"), probe("zips", "mum park coats"))).under(
            probe_after_teaching=True
        )
    ),
    "mum may teach it beside": lambda: complaints(with_mum("zips")),
    "sessions of the week": lambda: complaints(of_a_week(2, *WEEKLY)),
    "a session that is left out": lambda: complaints(of_a_week(3, *WEEKLY), left()),
    "the fewest": lambda: complaints(ONE.having("targets", "zips", **FEWEST)),
    "another of the fewest": lambda: complaints(world_of(IN_THE_PARK).having("targets", "zips", **FEWEST)),
    "elsewhere, where all that failed is held out": lambda: complaints(
        world_of(
            held("m", at(MON, "16:00"), lesson("grandad home jackets")),
            held("c", at(TUE, "16:00"), lesson("mum home coats")),
        ).having("targets", "zips", hold_out=({"adult": "grandad", "material_set": "coats"},))
    ),
    "a new probe where nothing has lapsed": lambda: complaints(lapsed(5, 5)),
}


@pytest.mark.parametrize("change", NEAR_MISSES.values(), ids=NEAR_MISSES)
def test_a_near_miss_breaks_no_rule(change: Change) -> None:
    assert change() == ()


@pytest.mark.parametrize(("words", "change"), OFFENCES.values(), ids=OFFENCES)
def test_an_offence_breaks_the_one_rule(words: str, change: Change) -> None:
    found = change()
    assert found
    assert [c for c in found if words not in c] == []


def told(name: str, value: float, sense: str = "most", *, proven: bool = True) -> Objective:
    status = StageStatus.OPTIMAL if proven else StageStatus.BEST_SO_FAR
    bound = value if proven else value + (1 if sense == "most" else -1)
    return Objective(name=name, sense=sense, value=value, bound=bound, status=status)


def said(world: World, *objectives: Objective, missing: tuple[LeftOut, ...] = ()) -> tuple[str, ...]:
    """But for what would fit beside a proof."""
    found = complaints(world, *missing, objectives=objectives)
    return tuple(c for c in found if "fits beside" not in c)


TAUGHT_TWICE = world_of(AT_HOME, held("x", at(TUE, "16:00"), lesson(HOME))).having(
    "targets", "zips", teachings_before_retest=2
)


@pytest.mark.parametrize(
    ("world", "missing", "value"),
    [
        # each teaching counts, and each with which a combination is through
        (GOOD, (), 4),
        (ONE, (left(PARK),), 2),
        (TAUGHT_TWICE, (left(PARK, 2),), 3),
        (
            world_of(AT_HOME).having("targets", "zips", teachings_before_retest=2),
            (left(HOME), left(PARK, 2)),
            1,
        ),
        # of sessions of a week no probe waits
        (of_a_week(2, *WEEKLY), (), 2),
    ],
)
def test_the_worth_of_teaching(world: World, missing: tuple[LeftOut, ...], value: float) -> None:
    assert said(world, told("teaching", value), missing=missing) == ()
    (complaint,) = said(world, told("teaching", value + 1), missing=missing)
    assert complaint == f"Objective 'teaching': its value is {value:g}, not {value + 1:g}."


BESIDE_A_PROBE = GOOD.seated(held("n", at(WED, "16:00"), probe("zips", "mum park coats")))


@pytest.mark.parametrize(
    ("name", "value"),
    # one probe on Wednesday; it waits for nothing, the teachings for Monday and Tuesday; three sittings at 16:00
    [("probes", 1), ("spread", 1), ("waiting", 1), ("early", 3 * 64), ("sittings", 3)],
)
def test_comfort_with_teaching(name: str, value: float) -> None:
    teaching = told("teaching", 4)
    assert said(BESIDE_A_PROBE, teaching, told(name, value, "fewest")) == ()
    (complaint,) = said(BESIDE_A_PROBE, teaching, told(name, value + 1, "fewest"))
    assert complaint == f"Objective '{name}': its value is {value:g}, not {value + 1:g}."


def test_the_place_of_teaching_is_the_policys() -> None:
    due, teaching, new = told("due", 0), told("teaching", 4), told("new tuples", 0, proven=False)
    after = GOOD.under(teaching_first=False)
    first = GOOD.under(teaching_first=True)
    assert said(first, due, teaching, new) == said(after, due, new, teaching) == ()
    assert said(first, due, new, teaching) == ("Objective 'teaching': it comes after new tuples.",)
    assert said(after, due, teaching, new) == ("Objective 'teaching': it comes before new tuples.",)


def test_where_no_teaching_is_planned_it_is_no_objective() -> None:
    paused = GOOD.having("targets", "zips", state=TargetState.PAUSED)
    without = replace(paused, sittings={})
    assert said(without.under(plan_teaching=False), told("due", 0)) == ()
    assert said(without, told("due", 0)) == ("Objective 'teaching': it is not there.",)
    assert said(without.under(plan_teaching=False), told("teaching", 0)) == (
        "Objective 'teaching': it is there, and none is planned.",
    )


def test_what_people_were_told_of_teaching() -> None:
    """The time, the teaching, the teacher beside, and that nothing is otherwise: 2 + 1 + 1 + 2 for each of two."""
    world = with_mum("zips")
    world = replace(world, kept=tuple(world.sittings.values()))
    assert said(world, told("teaching", 4), told("told", 12)) == ()
    probed = held("h", at(MON, "16:00"), probe("zips", HOME, RETEST))
    (complaint,) = (c for c in said(world.seated(probed), told("told", 12)) if "'told'" in c)
    # of the first the time stays; a probe in the teaching's place is another thing
    assert complaint == "Objective 'told': its value is 8, not 12."


def fits(world: World, *objectives: Objective, missing: tuple[LeftOut, ...]) -> tuple[str, ...]:
    return tuple(c for c in complaints(world, *missing, objectives=objectives) if "fits beside" in c)


def test_a_teaching_that_fits_beside_a_proof_is_found() -> None:
    missing = (left(PARK),)
    assert fits(ONE, told("due", 0), told("teaching", 2), missing=missing) == (
        "Target zips: grandad, park, coats at 2026-12-01 15:00 fits beside the plan, which is told as proven best.",
    )
    assert fits(ONE, told("due", 0), told("teaching", 2, proven=False), missing=missing) == ()
    assert fits(ONE.under(days=(0,)), told("due", 0), told("teaching", 2), missing=missing) == ()
    assert fits(GOOD, told("due", 0), told("teaching", 4), missing=()) == ()


def test_a_teaching_with_mum_beside_that_fits_is_found() -> None:
    world = with_mum("zips")
    world = replace(world, sittings={"h": world.sittings["h"]})
    proof, missing = (told("due", 0), told("teaching", 2)), (left(PARK),)
    assert len(fits(world, *proof, missing=missing)) == 1
    assert fits(world.having("adults", "mum", locations=frozenset({"home"})), *proof, missing=missing) == ()


def test_less_urgent_beside_a_proof_is_a_contradiction() -> None:
    one = replace(left(PARK), limit=LESS_URGENT)
    proven = (told("due", 0), told("teaching", 2))
    (complaint,) = (c for c in complaints(ONE, one, objectives=proven) if "less urgent" in c)
    assert complaint.endswith("is told as less urgent beside a proven best of teaching.")
    open_ = (told("due", 0), told("teaching", 2, proven=False))
    assert not [c for c in complaints(ONE, one, objectives=open_) if "less urgent" in c]


def in_the_park(*again: tuple[str, str, str, int, int], **policy: Any) -> tuple[str, ...]:
    """All that was tested was met at home and not met in the park, and greets is probed in the park for the first time:
    four and three probes on each side, of which one is left for greets. By chance they fall so once in 70 x 35."""
    values = [("zips", f"{a} {{}} {m}") for a in ("mum", "grandad") for m in ("coats", "jackets")]
    values += [("greets", f"{a} {{}} {m}") for a in ("mum", "grandad") for m in ("cards", "dolls")]
    before = [
        (f"2026-11-0{correct + 1}", id_, some.format(place), 5, correct)
        for id_, some in values
        for place, correct in (("home", 5), ("park", 0))
        if (id_, some, place) != ("greets", "grandad {} dolls", "park")
    ]
    world = World().having("targets", "buttons", state=TargetState.PAUSED)
    world = replace(world, sittings={"n": held("n", at(MON, "16:00"), probe("greets", "grandad park dolls"))})
    return complaints(world.knowing(*before, *again).under(**policy))


def test_new_probes_wait_where_it_breaks() -> None:
    waits = {"new_wait_where_it_breaks": True}
    (complaint,) = in_the_park(**waits)
    assert complaint.endswith("grandad, park, dolls of greets is new, and new probes wait there.")
    assert in_the_park() == ()
    taught = ("2026-11-10", "zips", "mum park coats", 0, 0)
    again = ("2026-11-11", "zips", "mum park coats", 5)
    assert in_the_park(taught, (*again, 5), **waits) == ()
    assert in_the_park(taught, (*again, 0), **waits) == (complaint,)
