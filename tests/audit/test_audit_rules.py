"""One change at a time: the offence breaks exactly the rule that is meant, the near miss breaks none."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from genplan.audit.possible import months_old
from genplan.case import (
    Absence,
    AdultLimits,
    Birth,
    LearnerLimits,
    TargetState,
    Travel,
    Week,
    WeeklyHours,
)
from genplan.case.people import AbsenceKind
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import ProbeKind, Sitting
from tests.fixtures.audited_world import MON, TUE, WED, World, at, hours, probe, sitting, target, wall

GOOD = World()
Change = Callable[[], World]


def absent(day: int, start: str, end: str) -> tuple[Absence, ...]:
    return (Absence(wall(day, start), wall(day, end)),)


def at_home(day: int, start: str, end: str) -> tuple[Absence, ...]:
    """Something in a busy calendar at home, twenty minutes from the park."""
    return (Absence(wall(day, start), wall(day, end), AbsenceKind.BUSY, place="home"),)


def two_of_wren_on_monday(start: str) -> World:
    """Sitting c (10 minutes at home) on the day of sitting a (16:00 to 16:15 in the park)."""
    c = sitting("c", "wren", at(MON, start), probe("zips", "grandad home jackets"))
    return GOOD.under(probes_per_target_per_day=2).seated(c)


def grandad_in_the_park_then_home(start: str) -> World:
    """Grandad leaves the park at 16:10; the way home takes 20 minutes."""
    in_the_park = sitting("c", "wren", at(TUE, "16:00"), probe("zips", "grandad park jackets"))
    at_home = sitting("d", "robin", at(TUE, start), probe("buttons", "grandad home ribbons"))
    elsewhere = sitting("b", "robin", at(WED, "17:00"), probe("buttons", "grandad park jackets"))
    return GOOD.seated(in_the_park, at_home, elsewhere)


def grandad_goes_on_at_once() -> World:
    """Grandad ends with Wren at 16:15 and begins with Robin at the same place in that minute."""
    both = (probe("zips", "grandad home coats"), probe("greets", "grandad home dolls"))
    robin = sitting("d", "robin", at(TUE, "16:15"), probe("buttons", "grandad home jackets"))
    return GOOD.seated(sitting("c", "wren", at(TUE, "16:00"), *both), robin)


def jackets_twice(start: str, place: str = "home") -> World:
    """Mum has the jackets in the park until 16:15; Grandad wants them too."""
    mum = sitting(
        "a", "wren", at(MON, "16:00"), probe("zips", "mum park jackets"), probe("greets", "mum park cards")
    )
    grandad = sitting("d", "robin", at(MON, start), probe("buttons", f"grandad {place} jackets"))
    return GOOD.seated(mum, grandad)


def failed(*rows: tuple[str, str, str, int, int]) -> World:
    """The combination of sitting c was not met on 2 November, and then these rows."""
    return GOOD.knowing(("2026-11-02", "zips", "grandad home coats", 5, 1), *rows)


def as_kind(world: World, kind: ProbeKind) -> World:
    c = world.sittings["c"]
    return world.seated(replace(c, probes=(replace(c.probes[0], kind=kind),)))


def maintenance(mastered_on: date, times: int = 1) -> World:
    """Maintenance probes on Wednesday and, with two, Thursday; one is due a week after mastery."""
    world = GOOD.having("targets", "zips", mastered_on=mastered_on, maintenance_days=(7,))
    combinations = ["grandad park jackets", "mum home jackets"]
    world = world.knowing(*(("2026-11-02", "zips", values, 5, 5) for values in combinations))
    extra = [
        sitting(f"m{i}", "wren", at(32 + i, "16:00"), probe("zips", values, ProbeKind.MAINTENANCE))
        for i, values in enumerate(combinations[:times])
    ]
    return world.seated(*extra)


def only(id_: str, start: datetime) -> World:
    """One sitting of the week alone, at that moment."""
    moved = GOOD.moved(id_, start)
    return replace(moved, sittings={id_: moved.sittings[id_]})


def any_hour(world: World) -> World:
    """Robin, Grandad and the park have all hours, and sittings start every five minutes."""
    for group, id_, key in (
        ("learners", "robin", "free"),
        ("adults", "grandad", "free"),
        ("locations", "park", "open"),
    ):
        world = world.having(group, id_, **{key: WeeklyHours.always()})
    return world.under(start_every_minutes=5)


def on_the_night_of_the_change(start: str, minutes: int = 10) -> World:
    """Dublin, Sunday 25 October 2026: 01:00 to 01:59 comes twice (zoneinfo)."""
    begin = at(-6, start)
    week = replace(GOOD, week=Week(2026, 43), now=at(-20, "12:00"), sittings={})
    week = any_hour(week).having("targets", "buttons", minutes=minutes - 5)
    s = sitting("n", "robin", begin, probe("buttons", "grandad park ribbons"))
    return week.seated(replace(s, end=begin + timedelta(minutes=minutes)))


def begun(old: Sitting, new: Sitting) -> World:
    """It is Monday 16:05, five minutes into sitting a."""
    return replace(GOOD.seated(new), now=at(MON, "16:05"), kept=(old,))


def naive(moment: datetime) -> datetime:
    return moment.replace(tzinfo=None)


A = GOOD.sittings["a"]
C = GOOD.sittings["c"]
D_NAMED_A = replace(GOOD.sittings["d"], id="a")
PARIS = ZoneInfo("Europe/Paris")
NOW_BEGUN = replace(A, begun=True)
RETEST, MAINTENANCE = ProbeKind.RETEST, ProbeKind.MAINTENANCE

OFFENCES: dict[str, tuple[str, Change]] = {
    "learner's hours end a minute early": (
        "free hours of learner wren",
        lambda: GOOD.having("learners", "wren", free=hours(15 * 60, 16 * 60 + 14)),
    ),
    "learner is away in the last minute": (
        "free hours of learner wren",
        lambda: GOOD.having("learners", "wren", away=absent(MON, "16:14", "17:00")),
    ),
    "learner is away from before the week": (
        "free hours of learner wren",
        lambda: GOOD.having("learners", "wren", away=(Absence(wall(MON - 9, "12:00"), wall(MON, "16:01")),)),
    ),
    "learner is away from Sunday into the next week": (
        "free hours of learner robin",
        lambda: only("b", at(MON + 6, "17:00")).having(
            "learners", "robin", away=(Absence(wall(MON + 6, "17:09"), wall(MON + 9, "12:00")),)
        ),
    ),
    "adult's hours start a minute late": (
        "free hours of adult mum",
        lambda: GOOD.having("adults", "mum", free=hours(16 * 60 + 1, 18 * 60)),
    ),
    "adult is away": (
        "free hours of adult mum",
        lambda: GOOD.having("adults", "mum", away=absent(MON, "15:00", "16:01")),
    ),
    "adult is busy": (
        "free hours of adult mum",
        lambda: replace(GOOD, busy={"mum": absent(MON, "15:00", "16:01")}),
    ),
    "adult is on the way from a busy event": (
        "adult mum has no time for the way",
        lambda: replace(GOOD, busy={"mum": at_home(MON, "15:00", "15:41")}),
    ),
    "adult is on the way to a busy event": (
        "adult mum has no time for the way",
        lambda: replace(GOOD, busy={"mum": at_home(MON, "16:34", "17:00")}),
    ),
    "adult is busy for half a minute": (
        "free hours of adult mum",
        lambda: replace(
            GOOD, busy={"mum": (Absence(wall(MON, "15:00"), wall(MON, "16:00") + timedelta(seconds=30)),)}
        ),
    ),
    "location opens late": (
        "opening times of location park",
        lambda: GOOD.having("locations", "park", open=hours(16 * 60 + 1, 18 * 60)),
    ),
    "location is closed": (
        "opening times of location park",
        lambda: GOOD.having("locations", "park", closed=absent(MON, "16:14", "17:00")),
    ),
    "a day that the policy does not use": ("no such day", lambda: GOOD.under(days=(1, 2, 3, 4))),
    "another week": ("not in week 2026-W50", lambda: replace(free_all_day(), week=Week(2026, 50))),
    "a minute before the week": (
        "not in week 2026-W49",
        lambda: any_hour(only("b", at(MON - 1, "23:59"))).under(start_every_minutes=1),
    ),
    "a minute after the week": (
        "not in week 2026-W49",
        lambda: any_hour(only("b", at(MON + 6, "23:51"))).under(start_every_minutes=1),
    ),
    "over midnight": ("the day on which it starts", lambda: free_all_day().moved("b", at(WED, "23:55"))),
    "off the grid": ("the grid of 15", lambda: GOOD.moved("a", at(MON, "16:05"))),
    "seconds are off the grid": (
        "the grid of 15",
        lambda: GOOD.moved("a", at(MON, "16:00") + timedelta(seconds=1)),
    ),
    "longer than its probes": (
        "settling and probes take 15 minutes",
        lambda: GOOD.seated(replace(A, end=A.end + timedelta(minutes=1))),
    ),
    "in the past": ("starts before now", lambda: replace(GOOD, now=at(MON, "16:01"))),
    "begun and dropped": (
        "the plan does not hold it",
        lambda: replace(GOOD, now=at(MON, "15:00"), kept=(replace(A, id="z", begun=True),)),
    ),
    "begun and moved": (
        "the plan changes it",
        lambda: begun(NOW_BEGUN, replace(NOW_BEGUN, end=A.end + timedelta(minutes=5))),
    ),
    "begun and another probe": (
        "the plan changes it",
        lambda: begun(NOW_BEGUN, replace(NOW_BEGUN, probes=NOW_BEGUN.probes[:1])),
    ),
    "begun, but nobody kept it": (
        "no kept sitting",
        lambda: replace(GOOD.seated(NOW_BEGUN), now=at(MON, "16:05")),
    ),
    "offset of another zone": (
        "has not the offset",
        lambda: GOOD.seated(replace(A, start=A.start.replace(tzinfo=PARIS), end=A.end.replace(tzinfo=PARIS))),
    ),
    "an hour that comes twice": ("the clock changes in it", lambda: on_the_night_of_the_change("01:30")),
    "over the hour that comes twice": (
        "the clock changes in it",
        lambda: on_the_night_of_the_change("00:55", 70),
    ),
    "only its last minute comes twice": (
        "the clock changes in it",
        lambda: on_the_night_of_the_change("00:45", 16),
    ),
    "too little rest": ("30 minutes of rest after a", lambda: two_of_wren_on_monday("16:30")),
    "the way is longer than the rest": (
        "learner wren needs 40 minutes of travel",
        lambda: two_of_wren_on_monday("16:45").in_case(travel=Travel(40)),
    ),
    "adult in two sittings": (
        "adult grandad is still in c",
        lambda: GOOD.having("locations", "home", capacity=2).moved("d", at(TUE, "16:00")),
    ),
    "adult in two sittings for a minute": (
        "adult grandad is still in c",
        # 5 to settle and 11 for the probe: until 16:16
        lambda: (
            GOOD.having("locations", "home", capacity=2)
            .having("targets", "zips", minutes=11)
            .seated(
                replace(GOOD.sittings["c"], end=at(TUE, "16:16")),
                replace(GOOD.sittings["a"], end=at(MON, "16:21")),
            )
            .moved("d", at(TUE, "16:15"))
        ),
    ),
    "adult cannot be there yet": (
        "adult grandad needs 20 minutes of travel",
        lambda: grandad_in_the_park_then_home("16:15"),
    ),
    "location is full": (
        "park holds 1 at a time",
        lambda: GOOD.having("locations", "park", capacity=1).moved("b", at(MON, "16:00")),
    ),
    "set has no time to travel": (
        "the set jackets needs 20 minutes of travel",
        lambda: jackets_twice("16:15").having("material_sets", "cards", copies=2),
    ),
    "set is in use": ("1 of the set jackets", lambda: jackets_twice("16:00", "park")),
    "set is on its way": (
        "the set jackets needs 20 minutes of travel",
        lambda: jackets_twice("16:30"),
    ),
    "sittings of a learner a day": (
        "2 sittings of learner wren",
        lambda: two_of_wren_on_monday("17:00").having(
            "learners", "wren", limits=LearnerLimits(sittings_per_day=1)
        ),
    ),
    "probes of a learner a day": (
        "3 probes of learner wren",
        lambda: two_of_wren_on_monday("17:00").having(
            "learners", "wren", limits=LearnerLimits(probes_per_day=2)
        ),
    ),
    "probes in a sitting": (
        "2 probes are over the limit of one sitting",
        lambda: GOOD.having("learners", "wren", limits=LearnerLimits(probes_per_sitting=1)),
    ),
    "minutes of a sitting": (
        "15 minutes are over the limit of one sitting",
        lambda: GOOD.having("learners", "wren", limits=LearnerLimits(sitting_minutes=14)),
    ),
    "sittings of an adult a day": (
        "2 sittings of adult grandad",
        lambda: GOOD.having("adults", "grandad", limits=AdultLimits(sittings_per_day=1)),
    ),
    # b, c and d are 10 minutes each
    "minutes of an adult a week": (
        "30 minutes of adult grandad",
        lambda: GOOD.having("adults", "grandad", limits=AdultLimits(minutes_per_week=29)),
    ),
    "probes of a target a day": (
        "2 probes of zips on 2026-11-30",
        lambda: two_of_wren_on_monday("17:00").under(probes_per_target_per_day=1),
    ),
    "probes of a target a week": ("in the week are over", lambda: GOOD.under(probes_per_target_per_week=1)),
    "a target twice in a sitting": (
        "it holds zips 2 times",
        lambda: GOOD.under(probes_per_target_per_day=2).seated(
            sitting(
                "c",
                "wren",
                C.start,
                probe("zips", "grandad home coats"),
                probe("zips", "grandad home jackets"),
            )
        ),
    ),
    "no probe in a sitting": (
        "it holds nothing",
        lambda: GOOD.seated(replace(C, probes=(), end=C.start + timedelta(minutes=5))),
    ),
    "adult does not work with the learner": (
        "not a possible combination",
        lambda: GOOD.having("adults", "mum", learners=frozenset({"robin"})),
    ),
    "adult does not go there": (
        "not a possible combination",
        lambda: GOOD.having("adults", "mum", locations=frozenset({"home"})),
    ),
    "adult is not briefed": (
        "mum, park, coats is not a possible combination of zips",
        lambda: GOOD.having("adults", "mum", briefed_on=frozenset({"greets"})),
    ),
    "location does not take the learner": (
        "not a possible combination",
        lambda: GOOD.having("locations", "park", learners=frozenset({"robin"})),
    ),
    "set is kept elsewhere": (
        "mum, park, coats is not a possible combination",
        lambda: GOOD.having("material_sets", "coats", kept_at=frozenset({"home"})),
    ),
    "set is missing for its first minute": (
        "the material set coats is missing then",
        lambda: GOOD.having(
            "material_sets",
            "coats",
            missing=(Absence(naive(C.start - timedelta(hours=1)), naive(C.start + timedelta(minutes=1))),),
        ),
    ),
    "allergen": (
        "mum, park, cards is not a possible combination",
        lambda: GOOD.having("learners", "wren", allergens=frozenset({"egg"})).having(
            "material_sets", "cards", allergens=frozenset({"egg"})
        ),
    ),
    "wheat holds gluten": (
        "mum, park, cards is not a possible combination",
        lambda: GOOD.having("learners", "wren", allergens=frozenset({"gluten"})).having(
            "material_sets", "cards", allergens=frozenset({"wheat"})
        ),
    ),
    "gluten may be that of wheat": (
        "mum, park, cards is not a possible combination",
        lambda: GOOD.having("learners", "wren", allergens=frozenset({"wheat"})).having(
            "material_sets", "cards", allergens=frozenset({"gluten"})
        ),
    ),
    "magnet": (
        "not a possible combination",
        lambda: GOOD.having("material_sets", "cards", hazards=frozenset({"magnet"})),
    ),
    "small part": (
        "not a possible combination",
        lambda: GOOD.having("learners", "wren", born=Birth(2024, 4)).having(
            "material_sets", "cards", small_parts=True
        ),
    ),
    "may be a small part by its sizes": (
        "not a possible combination",
        lambda: GOOD.having("learners", "wren", born=Birth(2024, 4)).having(
            "material_sets", "cards", dimensions_mm=(32.9, 66.9, 2.0)
        ),
    ),
    "minimum age": (
        "not a possible combination",
        lambda: GOOD.having("material_sets", "cards", min_age_months=67),
    ),
    "never": (
        "mum, park, coats is not a possible combination",
        lambda: GOOD.having("targets", "zips", never=({"adult": "mum", "location": "park"},)),
    ),
    "not mastered": (
        "greets is not mastered but teaching",
        lambda: GOOD.having("targets", "greets", state=TargetState.TEACHING),
    ),
    "not met and not taught": (
        "was not met, and not taught since as often and as well as is asked for",
        failed,
    ),
    "taught before it was not met": (
        "was not met, and not taught since",
        lambda: failed(("2026-11-01", "zips", "grandad home coats", 0, 0)),
    ),
    "a retest called new": (
        "is due for a retest, so it is no new probe",
        lambda: failed(("2026-11-03", "zips", "grandad home coats", 0, 0)),
    ),
    "a new one called retest": ("is untested, so it is no retest", lambda: as_kind(GOOD, RETEST)),
    "tested already": (
        "is met, so it is no new probe",
        lambda: GOOD.knowing(("2026-11-02", "zips", "grandad home coats", 5, 5)),
    ),
    # 2 December + 7 days is after Sunday the 6th
    "maintenance is not due": ("no maintenance probe of zips is due", lambda: maintenance(date(2026, 12, 2))),
    "maintenance was run": (
        "no maintenance probe of zips is due",
        lambda: with_maintenance_run(maintenance(date(2026, 11, 1)), "2026-11-08"),
    ),
    "maintenance was run early, but in time": (
        "no maintenance probe of zips is due",
        lambda: with_maintenance_run(
            maintenance(date(2026, 11, 1)).under(maintenance_tolerance_days=2), "2026-11-06"
        ),
    ),
    "maintenance twice": ("2 maintenance probes of zips", lambda: maintenance(date(2026, 11, 1), times=2)),
    "maintenance of what was only taught, though something was met": (
        "is taught, so it is no maintenance",
        lambda: (
            GOOD.having("targets", "zips", mastered_on=date(2026, 11, 1), maintenance_days=(7,))
            .knowing(("2026-11-02", "zips", "grandad park jackets", 5, 5))
            .seated(sitting("m0", "wren", at(32, "16:00"), probe("zips", "mum home jackets", MAINTENANCE)))
        ),
    ),
    "maintenance of what is untested": (
        "is untested, so it is no maintenance",
        lambda: as_kind(GOOD, MAINTENANCE).having("targets", "zips", maintenance_days=(7,)),
    ),
    "a combination twice": (
        "grandad, home, coats of zips is also in c",
        lambda: GOOD.seated(replace(C, id="e", start=at(33, "16:00"), end=at(33, "16:10"))),
    ),
    "another learner's target": (
        "buttons is a target of learner robin",
        lambda: GOOD.seated(sitting("c", "wren", at(33, "16:00"), probe("buttons", "grandad home ribbons"))),
    ),
    "another adult's probe": (
        "its probe of zips is with adult grandad",
        lambda: GOOD.seated(replace(C, adult="mum")),
    ),
    "a probe elsewhere": (
        "its probe of zips is at location home",
        lambda: GOOD.seated(replace(C, location="park")),
    ),
    "trials": (
        "zips has 5 trials a probe, not 4",
        lambda: GOOD.seated(replace(C, probes=(replace(C.probes[0], trials=4),))),
    ),
    "an unknown learner": ("no learner 'wrenn'", lambda: GOOD.seated(replace(C, learner="wrenn"))),
    "an unknown adult": ("no adult 'gran'", lambda: GOOD.seated(replace(C, adult="gran"))),
    "an unknown location": ("no location 'pier'", lambda: GOOD.seated(replace(C, location="pier"))),
    "an unknown target": (
        "no target 'zip'",
        lambda: GOOD.seated(replace(C, probes=(probe("zip", "grandad home coats"),))),
    ),
    "an unknown value": (
        "zips does not vary material_set 'cards'",
        lambda: GOOD.seated(replace(C, probes=(probe("zips", "grandad home cards"),))),
    ),
    "too few values": (
        "not one value for each dimension",
        lambda: GOOD.seated(replace(C, probes=(probe("zips", "grandad home"),))),
    ),
    "an id twice": (
        "its id is there 2 times",
        lambda: replace(GOOD, sittings={**GOOD.sittings, "e": D_NAMED_A}),
    ),
}


NEAR_MISSES: dict[str, Change] = {
    "a set that comes back as the sitting starts and goes as it ends": lambda: GOOD.having(
        "material_sets",
        "coats",
        missing=(
            Absence(naive(C.start - timedelta(hours=1)), naive(C.start)),
            Absence(naive(C.end), naive(C.end + timedelta(days=9))),
        ),
    ),
    "nothing changed": lambda: GOOD,
    "hours fit to the minute": lambda: GOOD.having("learners", "wren", free=hours(16 * 60, 16 * 60 + 15)),
    "away from the end on": lambda: GOOD.having("learners", "wren", away=absent(MON, "16:15", "17:00")),
    "adult back at the start": lambda: GOOD.having("adults", "mum", away=absent(MON, "15:00", "16:00")),
    "busy until the start": lambda: replace(GOOD, busy={"mum": absent(MON, "15:00", "16:00")}),
    "away from the end of the week on": lambda: any_hour(only("b", at(MON + 6, "23:50"))).having(
        "learners", "robin", away=(Absence(wall(MON + 7, "00:00"), wall(MON + 9, "12:00")),)
    ),
    "busy elsewhere, with time for the way": lambda: replace(
        GOOD, busy={"mum": (*at_home(MON, "15:00", "15:40"), *at_home(MON, "16:35", "17:00"))}
    ),
    "another adult is busy": lambda: replace(GOOD, busy={"grandad": absent(MON, "15:00", "18:00")}),
    "closed from the end on": lambda: GOOD.having("locations", "park", closed=absent(MON, "16:15", "17:00")),
    "the days that it uses": lambda: GOOD.under(days=(0, 1, 2)),
    "up to midnight": lambda: free_all_day().moved("b", at(WED, "23:50")),
    "on the grid": lambda: GOOD.moved("a", at(MON, "16:15")),
    # 16:30 is the 22nd of 45 minutes after midnight
    "on a grid that no hour holds": lambda: only("a", at(MON, "16:30")).under(start_every_minutes=45),
    "the first minutes of the week": lambda: any_hour(only("b", at(MON, "00:00"))),
    "the last minutes of the week": lambda: any_hour(only("b", at(MON + 6, "23:50"))),
    "starts now": lambda: replace(GOOD, now=at(MON, "16:00")),
    "begun and left as it is": lambda: begun(NOW_BEGUN, NOW_BEGUN),
    "begun outside of today's hours": lambda: begun(NOW_BEGUN, NOW_BEGUN).having(
        "adults", "mum", away=absent(MON, "15:00", "18:00")
    ),
    "kept and about to begin may move": lambda: replace(
        GOOD.moved("a", at(MON, "17:00")), kept=(A,), now=at(MON, "16:00")
    ),
    "kept and not begun may move": lambda: replace(GOOD.moved("a", at(MON, "17:00")), kept=(A,)),
    "ends where the hour twice begins": lambda: on_the_night_of_the_change("00:50"),
    "starts where the hour twice ends": lambda: on_the_night_of_the_change("02:00"),
    "rest to the minute": lambda: two_of_wren_on_monday("16:45"),
    "the way to the minute": lambda: two_of_wren_on_monday("17:00").in_case(travel=Travel(45)),
    "the way counts within a day": lambda: GOOD.in_case(travel=Travel(24 * 60)),
    "adult's next sitting in the same place": lambda: GOOD.moved("d", at(TUE, "16:15")),
    "adult's way to the minute": lambda: grandad_in_the_park_then_home("16:30"),
    "location holds two": lambda: GOOD.moved("b", at(MON, "16:00")),
    "one leaves, one comes": lambda: GOOD.having("locations", "park", capacity=1).moved(
        "b", at(MON, "16:15")
    ),
    "two copies": lambda: jackets_twice("16:00", "park").having("material_sets", "jackets", copies=2),
    "two copies need no way": lambda: jackets_twice("16:30").having("material_sets", "jackets", copies=2),
    "a set of several before it": lambda: jackets_twice("16:45").having("material_sets", "cards", copies=2),
    "an adult goes on at once": grandad_goes_on_at_once,
    "set's way is over": lambda: jackets_twice("16:45"),
    "limits of a learner to the full": lambda: two_of_wren_on_monday("17:00").having(
        "learners",
        "wren",
        limits=LearnerLimits(sittings_per_day=2, probes_per_day=3, probes_per_sitting=2, sitting_minutes=15),
    ),
    "limits of an adult to the full": lambda: GOOD.having("adults", "grandad", limits=AdultLimits(2, 30)),
    "limits of a target to the full": lambda: GOOD.under(probes_per_target_per_week=2),
    "briefed on both": lambda: GOOD.having("adults", "mum", briefed_on=frozenset({"greets", "zips"})),
    "set is kept there": lambda: GOOD.having("material_sets", "cards", kept_at=frozenset({"park"})),
    "another's allergen": lambda: GOOD.having("learners", "robin", allergens=frozenset({"egg"})).having(
        "material_sets", "cards", allergens=frozenset({"egg"})
    ),
    "water is a caution": lambda: GOOD.having("material_sets", "cards", hazards=frozenset({"water"})),
    # born on 29 November 2023, so 36 months old today
    "small part, old enough": lambda: GOOD.having("learners", "wren", born=Birth(2023, 11, 29)).having(
        "material_sets", "cards", small_parts=True
    ),
    "certainly too big": lambda: GOOD.having("learners", "wren", born=Birth(2024, 4)).having(
        "material_sets", "cards", dimensions_mm=(33.0, 40.0, 2.0)
    ),
    # born in April 2021, at the latest on the 30th: 67 months are complete on 30 November, a day after now
    "minimum age to the month": lambda: GOOD.having("material_sets", "cards", min_age_months=66),
    "never something else": lambda: GOOD.having(
        "targets", "zips", never=({"adult": "mum", "material_set": "coats", "location": "home"},)
    ),
    "taught after it was not met": lambda: as_kind(
        failed(("2026-11-03", "zips", "grandad home coats", 0, 0)), RETEST
    ),
    # 29 November + 7 days is Sunday the 6th
    "maintenance falls due on Sunday": lambda: maintenance(date(2026, 11, 29)),
    "maintenance was run too early": lambda: with_maintenance_run(
        maintenance(date(2026, 11, 2)).under(maintenance_tolerance_days=2), "2026-11-06"
    ),
    "maintenance was run before it was due": lambda: with_maintenance_run(
        maintenance(date(2026, 11, 2)), "2026-11-08"
    ),
}


def free_all_day() -> World:
    world = GOOD
    for group, key in (("learners", "free"), ("adults", "free"), ("locations", "open")):
        for id_ in getattr(world.case, group):
            world = world.having(group, id_, **{key: WeeklyHours.always()})
    return world.under(start_every_minutes=5)


def with_maintenance_run(world: World, day: str) -> World:
    row = Result(
        line=9,
        date=date.fromisoformat(day),
        time=None,
        target="zips",
        kind=ResultKind.MAINTENANCE,
        combination=("mum", "home", "jackets"),
        trials=5,
        correct=5,
    )
    return replace(world, log=Log.of([*world.log.results, row]))


@pytest.mark.parametrize("change", NEAR_MISSES.values(), ids=NEAR_MISSES)
def test_a_near_miss_breaks_no_rule(change: Change) -> None:
    assert change().complaints() == ()


@pytest.mark.parametrize(("words", "change"), OFFENCES.values(), ids=OFFENCES)
def test_an_offence_breaks_the_one_rule(words: str, change: Change) -> None:
    complaints = change().complaints()
    assert complaints
    assert [c for c in complaints if words not in c] == []


def test_a_complaint_names_the_sitting() -> None:
    (complaint,) = GOOD.moved("a", at(MON, "16:05")).complaints()
    assert complaint == (
        "Sitting a (wren with mum at park, 2026-11-30 16:05): it does not start on the grid of 15 minutes."
    )


def test_begun_sittings_count_toward_limits_of_others() -> None:
    """Sitting a has begun and takes up Monday's one sitting, so c may not come on Monday too."""
    world = two_of_wren_on_monday("17:00").having(
        "learners", "wren", limits=LearnerLimits(sittings_per_day=1)
    )
    world = replace(world.seated(NOW_BEGUN), now=at(MON, "16:05"), kept=(NOW_BEGUN,))
    (complaint,) = world.complaints()
    assert "2 sittings of learner wren on 2026-11-30" in complaint


def test_limits_passed_by_begun_sittings_alone_are_nobodys_fault() -> None:
    world = begun(NOW_BEGUN, NOW_BEGUN).having("learners", "wren", limits=LearnerLimits(probes_per_day=1))
    assert world.complaints() == ()


def test_every_complaint_is_reported() -> None:
    world = GOOD.moved("a", at(MON, "16:05")).having(
        "adults", "grandad", limits=AdultLimits(sittings_per_day=1)
    )
    assert len(world.complaints()) == 2


def test_a_target_with_an_extra_dimension() -> None:
    """2 x 2 x 2 x 2 has six sets of two dimensions with four pairs each: 24; a probe shows six."""
    world = GOOD.in_case(
        targets={
            **GOOD.case.targets,
            "zips": target("zips", "wren", "mum grandad", "home park", "coats jackets", "A B"),
        }
    )
    world = world.seated(
        sitting("a", "wren", A.start, probe("zips", "mum park coats A"), A.probes[1]),
        sitting("c", "wren", C.start, probe("zips", "grandad home coats B")),
    )
    assert world.complaints() == ()
    row = next(r for r in world.plan.coverage if r.target == "zips")
    # a and c have (coats) in common, so no pair: 6 + 6 new
    assert (row.possible, row.new, row.open) == (24, 12, 12)


def test_an_unborn_child_is_no_month_old() -> None:
    assert months_old(Birth(2027, 1), date(2026, 11, 29)) == 0
