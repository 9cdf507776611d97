"""The auditor on the second adult: the offence breaks exactly the rule that is meant, the near miss breaks none."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from datetime import date

import pytest

from genplan.audit import audit
from genplan.case import Absence, AdultLimits, Travel
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import Beside, ObservedShare, Plan, Sitting
from tests.fixtures.audited_world import MON, TUE, World, at, hours, wall

Share = tuple[str, int, int, int, int]
OBSERVER, COMPANION = Beside.OBSERVER, Beside.COMPANION

# Wren has sittings a (mum, park, Monday 16:00 to 16:15: zips and greets) and c (grandad, home, Tuesday 16:00 to 16:10:
# zips), Robin b (grandad, park, Wednesday 17:00) and d (grandad, home, Tuesday 17:00). A half of Wren's three probes is
# 1.5, so two; of Robin's two it is one.
ASKED = World().under(observed_share=0.5)
WATCHED = ("wren", 3, 2, 2, 2), ("robin", 2, 1, 1, 1)


def seen(world: World, **by: str) -> World:
    """With observers: sitting id -> adult."""
    return world.seated(*(replace(world.sittings[i], beside=a, beside_as=OBSERVER) for i, a in by.items()))


def complaints(world: World, *shares: Share) -> tuple[str, ...]:
    plan = with_shares(world.plan, *shares)
    return audit(world.case, world.log, plan, world.busy, world.kept)


def with_shares(plan: Plan, *shares: Share) -> Plan:
    names = [f.name for f in fields(ObservedShare)][:5]
    observed = tuple(ObservedShare(**dict(zip(names, share, strict=True))) for share in shares)
    return replace(plan, observed=observed)


GOOD = seen(ASKED, a="grandad", b="mum")


def test_a_good_plan_has_no_fault() -> None:
    assert complaints(GOOD, *WATCHED) == ()


Change = Callable[[], World]
ABSENT = (Absence(wall(MON, "16:14"), wall(MON, "18:00")),)

OFFENCES: dict[str, tuple[str, Change]] = {
    "not free": ("free hours of adult grandad", lambda: GOOD.having("adults", "grandad", away=ABSENT)),
    "busy": ("free hours of adult grandad", lambda: replace(GOOD, busy={"grandad": ABSENT})),
    "runs another": ("adult grandad is still in a", lambda: GOOD.moved("d", at(MON, "16:00"))),
    "no way there in time": (
        "adult grandad needs 20 minutes of travel after a",
        lambda: GOOD.moved("d", at(MON, "16:30")),
    ),
    "over the day's sittings": (
        "2 sittings of adult grandad on 2026-11-30",
        lambda: GOOD.moved("d", at(MON, "17:00")).having("adults", "grandad", limits=AdultLimits(1)),
    ),
    # grandad: a 15, b 10, c 10 and d 10 minutes
    "over the week's minutes": (
        "45 minutes of adult grandad",
        lambda: GOOD.having("adults", "grandad", limits=AdultLimits(None, 44)),
    ),
    "does not work with the learner": (
        "mum, who is beside, does not work with the learner",
        lambda: GOOD.having("adults", "mum", learners=frozenset({"wren"})),
    ),
    "does not go there": (
        "gran, who is beside, does not go to the location",
        lambda: seen(GOOD, b="gran").in_case(
            adults={
                **GOOD.case.adults,
                "gran": replace(GOOD.case.adults["mum"], id="gran", locations=frozenset({"home"})),
            }
        ),
    ),
    "never to be there": (
        "grandad is beside a probe of greets, where that adult is never to be",
        lambda: GOOD.having("targets", "greets", never=({"adult": "grandad", "location": "park"},)),
    ),
    "not briefed": (
        "observer mum is not briefed on buttons",
        lambda: GOOD.having("adults", "mum", briefed_on=frozenset({"zips", "greets"})),
    ),
    "not known": ("the case knows no adult 'gran'", lambda: seen(GOOD, b="gran")),
    "beside themselves": ("grandad runs it and is beside too", lambda: seen(GOOD, b="grandad")),
    "without a part": (
        "'mum' is beside as ''",
        lambda: GOOD.seated(
            replace(GOOD.sittings["c"], beside="mum"),
        ),
    ),
    "a part without an adult": (
        "'' is beside as 'companion'",
        lambda: GOOD.seated(replace(GOOD.sittings["c"], beside_as=COMPANION)),
    ),
    "not asked for": (
        "it has an observer, and the policy asks for none",
        lambda: GOOD.under(observed_share=0),
    ),
    "begun and changed": (
        "it has begun, but the plan changes it",
        lambda: begun(replace(GOOD.sittings["a"], begun=True, beside="", beside_as=Beside.NOBODY)),
    ),
}


def begun(as_kept: Sitting) -> World:
    """It is Monday 16:05, five minutes into sitting a."""
    now = replace(GOOD.sittings["a"], begun=True)
    return replace(GOOD.seated(now), now=at(MON, "16:05"), kept=(as_kept,))


@pytest.mark.parametrize("name", OFFENCES)
def test_an_offence(name: str) -> None:
    words, change = OFFENCES[name]
    found = complaints(change(), *WATCHED)
    assert any(words in c for c in found), found
    # the figures follow: they are those of the good plan
    about_sittings = [c for c in found if not c.startswith("Learner ")]
    assert len(about_sittings) == (2 if name == "not asked for" else 1), found


NEAR_MISSES: dict[str, Change] = {
    "back at the start": lambda: GOOD.having(
        "adults", "grandad", away=(Absence(wall(MON, "15:00"), wall(MON, "16:00")),)
    ),
    "hours to the minute": lambda: GOOD.having("adults", "mum", free=hours(16 * 60, 17 * 60 + 10)),
    "the way to the minute": lambda: GOOD.moved("d", at(MON, "16:45")).in_case(
        travel=Travel(0, {frozenset(("home", "park")): 30})
    ),
    "the day's sittings": lambda: GOOD.moved("d", at(MON, "17:00")).having(
        "adults", "grandad", limits=AdultLimits(2)
    ),
    "the week's minutes": lambda: GOOD.having("adults", "grandad", limits=AdultLimits(None, 45)),
    "never elsewhere": lambda: GOOD.having(
        "targets", "greets", never=({"adult": "grandad", "location": "home"},)
    ),
    "briefed on what is probed": lambda: GOOD.having(
        "adults", "mum", briefed_on=frozenset({"zips", "greets", "buttons"})
    ),
}


@pytest.mark.parametrize("name", NEAR_MISSES)
def test_a_near_miss(name: str) -> None:
    assert complaints(NEAR_MISSES[name](), *WATCHED) == ()


def test_begun_and_left_as_it_is_counts_and_is_not_new() -> None:
    world = begun(replace(GOOD.sittings["a"], begun=True))
    assert complaints(world, ("wren", 3, 2, 0, 2), ("robin", 2, 1, 1, 1)) == ()


FALSE_FIGURES = [
    ("wren", 2, 2, 2, 2),
    ("wren", 3, 1, 2, 2),
    ("wren", 3, 2, 1, 2),
    ("wren", 3, 2, 2, 1),
]


@pytest.mark.parametrize("row", FALSE_FIGURES)
def test_a_false_figure(row: Share) -> None:
    (found,) = complaints(GOOD, row, WATCHED[1])
    assert found.endswith("counted 2 of 3, 2, 2.")


def test_a_figure_that_is_missing_twice_or_of_nobody() -> None:
    assert complaints(GOOD, WATCHED[0]) == ("Learner robin: the share that is observed is not told.",)
    assert "a learner is there twice" in complaints(GOOD, *WATCHED, WATCHED[1])[0]
    assert "a learner is there twice" in complaints(GOOD, *WATCHED, ("kit", 1, 1, 1, 1))[0]


def row(day: date, line: int = 2, kind: ResultKind = ResultKind.PROBE, seen_by: int | None = None) -> Result:
    """Mum's probe of zips at home with the coats, not in this plan."""
    counts = (5, 5) if kind is ResultKind.PROBE else (None, None)
    values = ("mum", "home", "coats")
    return Result(
        line=line,
        date=day,
        time=None,
        target="zips",
        kind=kind,
        combination=values,
        trials=counts[0],
        correct=counts[1],
        observer_correct=seen_by,
    )


@pytest.mark.parametrize(
    ("rows", "probes", "observed"),
    [
        # the week begins on 30 November: four weeks before are from 2 November on
        ([row(date(2026, 11, 1))], 3, 2),
        ([row(date(2026, 11, 2))], 4, 2),
        ([row(date(2026, 11, 2), seen_by=4)], 4, 3),
        ([row(date(2026, 11, 2)), row(date(2026, 11, 2), 3, seen_by=5)], 4, 3),
        ([row(date(2026, 11, 2), kind=ResultKind.TEACHING)], 3, 2),
        ([row(date(2026, 11, 2), kind=ResultKind.NOT_RUN)], 3, 2),
    ],
)
def test_the_rows_of_the_weeks_before(rows: list[Result], probes: int, observed: int) -> None:
    world = replace(GOOD, log=Log.of(rows))
    assert complaints(world, ("wren", probes, observed, 2, 2), WATCHED[1]) == ()


# Companions: mum taught Wren's zips, so she has worked with Wren; grandad with nobody.
ACCOMPANIED = World().under(accompany_new_adults=True)


def accompanied(*ids: str, by: str = "mum") -> World:
    return ACCOMPANIED.seated(
        *(replace(ACCOMPANIED.sittings[i], beside=by, beside_as=COMPANION) for i in ids)
    )


def with_robin_known(world: World) -> World:
    known = ({"adult": "grandad", "location": "home", "material_set": "jackets"},)
    return world.having("targets", "buttons", taught=known)


def test_companions_innocent_offence_and_near_miss() -> None:
    good = with_robin_known(accompanied("c"))
    assert complaints(good) == ()
    (found,) = complaints(with_robin_known(ACCOMPANIED))
    assert "grandad has not worked with the learner yet, and nobody who has is beside" in found
    assert len(complaints(accompanied("c"))) == 2  # b and d: grandad is new to Robin
    assert complaints(with_robin_known(accompanied("c")).under(accompany_new_adults=True)) == ()


def test_a_companion_who_is_new_too() -> None:
    gran = replace(ACCOMPANIED.case.adults["mum"], id="gran")
    world = with_robin_known(accompanied("c", by="gran"))
    world = world.in_case(adults={**world.case.adults, "gran": gran})
    (found,) = complaints(world)
    assert "its companion gran has not worked with the learner" in found


def test_a_companion_whom_nobody_needs() -> None:
    (found,) = complaints(with_robin_known(accompanied("c")).under(accompany_new_adults=False))
    assert "it has a companion, and needs none" in found
    known = Result(
        line=2,
        date=date(2026, 11, 2),
        time=None,
        target="greets",
        kind=ResultKind.PROBE,
        combination=("grandad", "home", "cards"),
        trials=5,
        correct=5,
    )
    (found,) = complaints(replace(with_robin_known(accompanied("c")), log=Log.of([known])))
    assert "it has a companion, and needs none" in found
    not_run = replace(known, kind=ResultKind.NOT_RUN, trials=None, correct=None)
    assert complaints(replace(with_robin_known(accompanied("c")), log=Log.of([not_run]))) == ()


def test_a_companions_time_is_their_own_once() -> None:
    """Mum is beside c on Tuesday at 16:00 in the home; a moves to Tuesday, in the park."""
    world = with_robin_known(accompanied("c")).under(probes_per_target_per_day=2, rest_minutes=0)
    late = world.moved("a", at(TUE, "16:15"))
    assert any("adult mum needs 20 minutes of travel after c" in c for c in complaints(late))
    assert complaints(world.moved("a", at(TUE, "16:30"))) == ()
