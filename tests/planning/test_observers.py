"""Second observers: the share is reached with the fewest visits, no probe is lost, every limit of the adult holds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from itertools import product
from random import Random

import pytest

from genplan.audit import audit
from genplan.case import AdultLimits, Case, LearnerLimits, TargetState, Travel, WeeklyHours, Window
from genplan.case.windows import merge
from genplan.evidence.log import Log
from genplan.keeping.optimistic_log import optimistic_log
from genplan.plan import Beside, ObservedShare, Plan, ProbeKind, Unwatched
from genplan.planning.observer_options import ObserverOptions, observer_options
from genplan.planning.observers import run_observers
from genplan.planning.openings import Hours
from genplan.planning.planner import plan_week
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from genplan.text.notes import remarks
from genplan.text.observers import share_text
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.random_cases import now_of, random_case, random_log
from tests.fixtures.second_cases import (
    ALL_DAY,
    MONDAY,
    NOTHING_RUN,
    WEEK,
    Inline,
    at,
    beside,
    case_of,
    day,
    having,
    planned,
    ran,
    skill,
)


def with_share(share: float, sets: str = "blue green red white", **policy: object) -> Case:
    """Ann runs the sets of Wren's skill, one a day; Ben could observe."""
    return case_of(skill("wren", "ann", sets=sets), adults="ann ben", observed_share=share, **policy)


def observed(plan: Plan) -> int:
    return sum(s.beside_as is Beside.OBSERVER for s in plan.sittings)


def the_share(plan: Plan) -> ObservedShare:
    (share,) = plan.observed
    return share


@pytest.mark.parametrize(
    ("share", "visits"), [(0, 0), (0.2, 1), (0.25, 1), (0.26, 2), (0.5, 2), (0.51, 3), (1, 4)]
)
def test_the_share_of_four_probes(share: float, visits: int) -> None:
    # four probes, a day each: a fifth of them is 0.8, so one; 26 % of them is 1.04, so two
    plan = planned(with_share(share))
    assert len(plan.sittings) == 4
    assert observed(plan) == visits
    assert {s.beside for s in plan.sittings} - {""} <= {"ben"}


def test_nothing_is_told_where_nobody_is_asked() -> None:
    assert planned(with_share(0)).observed == ()


def test_the_figures_and_the_sentence() -> None:
    plan = planned(with_share(0.5))
    sentence = (
        "W.: a second observer for 2 of the 4 probes of the last 4 weeks and this one; 50 % asks for 2."
    )
    assert plan.observed == (ObservedShare(learner="wren", probes=4, observed=2, new=2, wanted=2),)
    assert share_text(with_share(0.5), the_share(plan)) == sentence
    assert sentence in remarks(with_share(0.5), plan)


def test_the_times_are_those_of_the_week_without_observers() -> None:
    with_, without = planned(with_share(1)), planned(with_share(0))
    assert [replace(s, beside="", beside_as=Beside.NOBODY) for s in with_.sittings] == list(without.sittings)


@pytest.mark.parametrize(
    ("day_of_row", "counts"),
    [((2026, 11, 1), False), ((2026, 11, 2), True), ((2026, 11, 28), True)],
)
def test_the_probes_of_four_weeks_count(day_of_row: tuple[int, int, int], counts: bool) -> None:
    # the week begins on 30 November; four weeks before it is 2 November
    plan = planned(with_share(0.5), Log.of([ran("ann", date(*day_of_row))]))
    found = the_share(plan)
    # blue is tested: three probes are left, and with the row four. Half of four is two, half of three is 1.5, so two
    assert (found.probes, found.observed, found.wanted) == ((4, 2, 2) if counts else (3, 2, 2))


def test_observed_probes_of_the_weeks_before_count() -> None:
    log = Log.of([ran("ann", date(2026, 11, 20), observer="ben", observer_correct=5)])
    found = the_share(planned(with_share(0.5), log))
    # of four probes two are wanted, one has been observed already
    assert (found.probes, found.observed, found.new) == (4, 2, 1)


def test_a_planned_baseline_probe_counts_as_little_as_one_that_was_run() -> None:
    """Ann runs two baseline probes of another skill of Wren's, alone in their sittings or not."""
    before = skill("wren", "ann", "new-skill", "green red", taught=(), state=TargetState.TEACHING)
    case = case_of(skill("wren", "ann"), before, adults="ann ben", observed_share=0.5, baseline_per_target=2)
    plan = planned(case)
    assert [p.kind for s in plan.sittings for p in s.probes].count(ProbeKind.BASELINE) == 2
    found = the_share(plan)
    assert (found.probes, found.observed, found.wanted) == (2, 1, 1)
    watched = [s for s in plan.sittings if s.beside_as is Beside.OBSERVER]
    assert all(any(p.kind.is_test for p in s.probes) for s in watched)
    bare = planned(replace(case, targets={"new-skill": before}))
    assert (bare.observed, observed(bare)) == ((), 0)


def test_a_name_without_a_count_is_no_observation() -> None:
    log = Log.of([ran("ann", date(2026, 11, 20), observer="ben")])
    found = the_share(planned(with_share(0.5), log))
    assert (found.observed, found.new) == (2, 2)


def test_a_share_that_the_weeks_before_put_out_of_reach() -> None:
    rows = [replace(ran("ann", date(2026, 11, d)), line=d) for d in range(2, 22)]
    found = the_share(planned(with_share(0.5), Log.of(rows)))
    # twenty probes of blue, none observed, and three more this week: 11.5 of 23, so twelve, and three can be
    assert (found.probes, found.observed, found.wanted) == (23, 3, 12)
    assert found.unwatched is Unwatched.ALL_OBSERVED
    assert share_text(with_share(0.5), found).endswith(
        "Every sitting that is ahead has one: too few were observed before."
    )


HINDRANCES = {
    "does not go to Home": {"locations": frozenset({"park"})},
    "is not briefed on 'skill'": {"briefed_on": frozenset()},
    "is not free then": {"free": WeeklyHours.never()},
    "has as many sittings or minutes as the limits allow": {"limits": AdultLimits(minutes_per_week=9)},
}


@pytest.mark.parametrize("why", HINDRANCES)
def test_why_nobody_can_observe_is_told(why: str) -> None:
    case = having(with_share(0.2, "blue"), "adults", "ben", **HINDRANCES[why])
    plan = planned(case)
    assert observed(plan) == 0
    assert share_text(case, the_share(plan)).endswith(
        f"Nobody can observe in the one sitting with probes: Ben {why}."
    )


def test_who_does_not_work_with_the_child_is_nobody_to_name() -> None:
    plan = planned(having(with_share(0.2), "adults", "ben", learners=frozenset()))
    assert observed(plan) == 0
    assert the_share(plan).unwatched is Unwatched.NO_SECOND_ADULT


@pytest.mark.parametrize(
    ("never", "visits"),
    [({"adult": "ben", "location": "home"}, 0), ({"adult": "ben", "location": "park"}, 1)],
)
def test_who_must_not_run_a_probe_there_does_not_watch_it(never: dict[str, str], visits: int) -> None:
    assert observed(planned(having(with_share(0.2, "blue"), "targets", "skill", never=(never,)))) == visits


@pytest.mark.parametrize(("minutes", "visits"), [(9, 0), (10, 1)])
def test_an_observer_is_there_for_all_of_it(minutes: int, visits: int) -> None:
    # the sitting is 9:00 to 9:10
    case = having(with_share(1, "blue"), "learners", "wren", free=MONDAY)
    case = having(case, "adults", "ben", free=day((at(9), at(9, minutes)), on=0))
    assert observed(planned(case)) == visits


@pytest.mark.parametrize(("limit", "visits"), [(9, 0), (10, 1), (29, 2), (30, 3)])
def test_the_minutes_count_against_the_limit(limit: int, visits: int) -> None:
    case = having(with_share(1), "adults", "ben", limits=AdultLimits(minutes_per_week=limit))
    assert observed(planned(case)) == visits


@pytest.mark.parametrize(("a_day", "visits"), [(1, 1), (2, 2)])
def test_the_sittings_count_against_the_limit_of_a_day(a_day: int, visits: int) -> None:
    # two probes on Monday in two sittings of one each
    case = with_share(1, "blue red", probes_per_target_per_day=2)
    case = having(case, "learners", "wren", free=MONDAY, limits=LearnerLimits(probes_per_sitting=1))
    assert observed(planned(having(case, "adults", "ben", limits=AdultLimits(a_day)))) == visits


@pytest.mark.parametrize(
    ("start", "place", "visits"),
    [(9, "home", 0), (10, "home", 1), (14, "park", 0), (15, "park", 1)],
)
def test_an_observer_has_no_other_sitting_and_travels(start: int, place: str, visits: int) -> None:
    """Ben runs Robin's probe from 9:00 to 9:10; Wren's begins at 9:`start`. The way to the park takes five minutes."""
    case = case_of(
        skill("wren", "ann", sets="blue"),
        skill("robin", "ben", "other", "green", places=place),
        adults="ann ben",
        observed_share=1,
        start_every_minutes=1,
    )
    case = replace(case, travel=Travel(0, {frozenset(("home", "park")): 5}))
    case = having(case, "learners", "robin", free=day((at(9), at(9, 10)), on=0))
    case = having(case, "learners", "wren", free=day((at(9, start), at(9, start + 10)), on=0))
    plan = planned(having(case, "adults", "ann", learners=frozenset({"wren"})))
    assert [s.learner for s in plan.sittings] == ["robin", "wren"] or start == 9
    assert observed(plan) == visits


def test_the_fewest_visits_take_the_fullest_sittings() -> None:
    """Monday holds three skills in one sitting, Tuesday one: half of four probes is two, and one visit is enough."""
    skills = [skill("wren", "ann", f"skill-{i}", "blue") for i in range(3)]
    late = skill("wren", "cat", "skill-3", "blue", taught=({"adult": "cat"},))
    case = case_of(*skills, late, observed_share=0.5)
    case = having(case, "adults", "ann", free=MONDAY)
    case = having(case, "adults", "cat", free=day((at(9), at(17)), on=1))
    plan = planned(case)
    assert [(len(s.probes), s.beside_as.value) for s in plan.sittings] == [(3, "observer"), (1, "")]


def test_visits_are_spread_over_targets_and_adults() -> None:
    """Two skills with two sittings each, one a day: two visits, one of each skill, by two adults."""
    first, second = (skill("wren", "ann", i, "blue red") for i in ("skill-a", "skill-b"))
    case = case_of(first, second, observed_share=0.5)
    plan = planned(having(case, "learners", "wren", free=ALL_DAY, limits=LearnerLimits(probes_per_day=1)))
    seen = [(s.probes[0].target, s.beside) for s in plan.sittings if s.beside]
    assert {target for target, _ in seen} == {"skill-a", "skill-b"}
    assert {adult for _, adult in seen} == {"ben", "cat"}


def test_a_companion_is_no_observer_and_keeps_the_place() -> None:
    case = case_of(skill("wren", "ben"), observed_share=0.5, accompany_new_adults=True)
    plan = planned(case)
    assert beside(plan) == [("ben", "ann", "companion")] * 2
    assert "Ann is there as a companion (2 of them)" in share_text(case, the_share(plan))


def test_an_observer_that_people_were_told_of_stays() -> None:
    case = case_of(skill("wren", "ann", sets="blue green red white"), observed_share=0.2)
    plan = planned(case)
    (number,) = [i for i, s in enumerate(plan.sittings) if s.beside]
    for other in range(4):
        for adult in ("ben", "cat"):
            kept = tuple(
                replace(s, beside=adult, beside_as=Beside.OBSERVER)
                if i == other
                else replace(s, beside="", beside_as=Beside.NOBODY)
                for i, s in enumerate(plan.sittings)
            )
            assert planned(case, kept=kept).sittings == kept
    assert plan.sittings[number].beside == "ben"


def test_a_begun_sitting_keeps_its_observer_and_counts() -> None:
    case = with_share(0.5)
    first = planned(case)
    kept = tuple(replace(s, beside="ben", beside_as=Beside.OBSERVER) for s in first.sittings[:1])
    kept += tuple(replace(s, beside="", beside_as=Beside.NOBODY) for s in first.sittings[1:])
    after = first.sittings[0].start.replace(hour=12)
    plan = planned(case, now=after, kept=kept)
    assert (plan.sittings[0].begun, plan.sittings[0].beside) == (True, "ben")
    # for a second one people would have to be told, and nobody is who need not be
    assert (the_share(plan).observed, the_share(plan).new) == (1, 0)
    assert the_share(plan).unwatched is Unwatched.AS_TOLD
    assert plan.people_told == ()
    # written down without a second count, it was not observed after all
    row = ran("ann", first.sittings[0].start.date(), first.sittings[0].probes[0].combination[2])
    plan = planned(case, Log.of([row]), now=after, kept=kept)
    assert (the_share(plan).probes, the_share(plan).observed, the_share(plan).new) == (4, 0, 0)


def test_the_log_looked_ahead_holds_the_observer() -> None:
    plan = planned(with_share(0.5))
    log = optimistic_log(NOTHING_RUN, plan.sittings)
    assert [r.observer for r in log.results] == [s.beside for s in plan.sittings]
    assert [r.observer_correct for r in log.results] == [5 if s.beside else None for s in plan.sittings]


@pytest.mark.parametrize("seed", by_day_the_first(range(9), 2))
def test_random_cases_with_both_policies(seed: int) -> None:
    case = random_case(seed, learners=1 + seed % 3, adults=3, targets=2, oddity=0.4)
    policy = replace(
        case.policy, observed_share=(0.2, 0.5, 1.0)[seed % 3], accompany_new_adults=seed % 4 != 3
    )
    case, log = replace(case, policy=policy), random_log(case, seed, 1.0)
    plan = plan_week(case, log, WEEK, now_of(case), {}, (), Inline(), lambda _: None).plan
    assert audit(case, log, plan, {}) == ()
    bare = replace(case, policy=replace(policy, observed_share=0.0))
    again = plan_week(bare, log, WEEK, now_of(case), {}, (), Inline(), lambda _: None).plan
    assert plan.coverage == again.coverage
    assert [o.value for o in plan.objectives] == [o.value for o in again.objectives]


# The selection against every selection that there is.


def a_week(seed: int) -> tuple[Case, Hours, list[PlacedSitting], list[PlacedSitting]]:
    """Two children, three adults, up to five seats whose times are settled; some of them told with an observer."""
    rng = Random(seed)
    names = ("wren", "robin")
    targets = [skill(i, "ann ben cat", f"{i}-{j}", "blue", minutes=5) for i in names for j in range(2)]
    case = case_of(*targets, observed_share=0.5)
    case = replace(case, travel=Travel(10))
    for adult in case.adults:
        limits = AdultLimits(rng.choice([None, 1, 2]), rng.choice([None, 20, 40]))
        briefed = rng.choice([None, frozenset(t.id for t in targets[1:])])
        case = having(case, "adults", adult, limits=limits, briefed_on=briefed)
    seats: list[PlacedSitting] = []
    for _ in range(rng.randint(3, 5)):
        learner, adult = rng.choice(names), rng.choice(sorted(case.adults))
        start = 1440 * rng.randrange(2) + at(9) + 5 * rng.randrange(6)
        chosen = [t for t in targets if t.learner == learner][: rng.randint(1, 2)]
        probes = tuple(PlacedProbe(t.id, (adult, "home", "blue"), "new") for t in chosen)
        seats.append(
            PlacedSitting(
                learner, adult, rng.choice(["home", "park"]), start, start + 5 + 5 * len(probes), probes
            )
        )
    seats = sorted(set(seats))
    told = [
        replace(s, beside="ben", beside_as=Beside.OBSERVER)
        for s in seats
        if s.adult != "ben" and rng.random() < 0.3
    ]
    open_ = merge([(at(9), at(9, 35)), (1440 + at(9), 1440 + at(9, 20)), (1440 + at(9, 20), 1440 + at(10))])
    free = Hours(
        learners={},
        adults={a: open_ if rng.random() < 0.8 else merge([(at(9), at(9, 20))]) for a in case.adults},
        locations={},
    )
    return case, free, seats, told


def every_selection(case: Case, free: Hours, seats: list[PlacedSitting]) -> Iterator[tuple[str, ...]]:
    """An observer or nobody ('') for each seat, so that every rule holds; said once more, in plain loops."""
    for chosen in product(("", *sorted(case.adults)), repeat=len(seats)):
        if all(_holds(case, free, seats, chosen, adult) for adult in case.adults):
            yield chosen


def _holds(case: Case, free: Hours, seats: list[PlacedSitting], chosen: tuple[str, ...], adult: str) -> bool:
    person, extra = case.adults[adult], []
    for seat, observer in zip(seats, chosen, strict=True):
        if observer != adult:
            continue
        if seat.adult == adult or not _covers(free.adults[adult], seat):
            return False
        if person.briefed_on is not None and not {p.target for p in seat.probes} <= person.briefed_on:
            return False
        extra.append(seat)
    own = [s for s in seats if s.adult == adult]
    for i, one in enumerate(extra):
        for other in (*own, *extra[i + 1 :]):
            gap = 0 if one.location == other.location else 10
            if one.day == other.day and one.start < other.end + gap and other.start < one.end + gap:
                return False
    there, limits = [*own, *extra], person.limits
    if not extra:
        return True
    for seat in extra:
        count = sum(s.day == seat.day for s in there)
        if limits.sittings_per_day is not None and count > limits.sittings_per_day:
            return False
    return limits.minutes_per_week is None or sum(s.end - s.start for s in there) <= limits.minutes_per_week


def _covers(windows: tuple[Window, ...], seat: PlacedSitting) -> bool:
    return any(w.start <= seat.start and seat.end <= w.end for w in windows)


def worth(
    seats: list[PlacedSitting],
    told: list[PlacedSitting],
    chosen: tuple[str, ...],
    missing: dict[str, int],
    of: dict[str, int],
) -> tuple[int, ...]:
    """The aims of the selection in their order, smaller is better; without the last, which only breaks ties."""
    lacking, lacking_of = dict(missing), dict(of)
    known = {(s.learner, s.adult, s.start, s.beside) for s in told}
    untold = 0
    for seat, observer in zip(seats, chosen, strict=True):
        if observer:
            lacking[seat.learner] -= len(seat.probes)
            for probe in seat.probes:
                lacking_of[probe.target] -= 1
            untold += (seat.learner, seat.adult, seat.start, observer) not in known
    visits = [c for c in chosen if c]
    return (
        sum(max(0, n) for n in lacking.values()),
        len(visits),
        untold,
        sum(max(0, n) for n in lacking_of.values()),
        max((visits.count(a) for a in set(visits)), default=0),
    )


@pytest.mark.parametrize("seed", range(40))
def test_no_other_selection_is_better(seed: int) -> None:
    case, free, seats, told = a_week(seed)
    rng = Random(f"missing {seed}")
    missing = {i: rng.randint(0, 4) for i in case.learners}
    of = {t: rng.randint(0, 2) for t in case.targets}
    # nobody is asked for a child whose share is reached
    asked: ObserverOptions = observer_options(case, free, (), seats, told, missing, of)
    numbers = run_observers(asked) if asked.visits else ()
    found = {asked.visits[i].seat: asked.visits[i].adult for i in numbers}
    assert len(found) == len(numbers)
    chosen = tuple(found.get(s, "") for s in seats)
    wanted = [s.learner for s in seats]
    best = min(
        worth(seats, told, c, missing, of)
        for c in every_selection(case, free, seats)
        if all(not o or missing[i] for o, i in zip(c, wanted, strict=True))
    )
    assert all(_holds(case, free, seats, chosen, adult) for adult in case.adults)
    assert worth(seats, told, chosen, missing, of) == best


def test_the_order_of_seats_decides_nothing() -> None:
    case, free, seats, told = a_week(3)
    missing, of = dict.fromkeys(case.learners, 2), dict.fromkeys(case.targets, 1)
    forward = observer_options(case, free, (), seats, told, missing, of)
    backward = observer_options(case, free, (), seats[::-1], told[::-1], missing, of)
    assert forward == backward
