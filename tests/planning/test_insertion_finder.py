"""What stands in each way of one more probe, by hand on a Monday morning: every start, and every sitting that grows.

A sitting of one probe takes 10 minutes, a rest and each further probe 5, a way 20, and sittings start on a grid of 5.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from genplan.case import Absence, Case, Travel, WeeklyHours, Window
from genplan.plan import Beside, ProbeKind
from genplan.planning.budget import ENDLESS
from genplan.planning.caseload_problem import all_seats
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.needs import Choice
from genplan.planning.openings import hours, openings_of
from genplan.planning.probe_insertion import insert_probes
from genplan.planning.week_context import week_context_of
from genplan.rules.limits import LESS_URGENT, OTHERS_IN_THE_WAY, Kind, Limit
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.monday_cases import NINE, holding, limited, monday, monday_case, skill, with_copies
from tests.fixtures.planning_cases import NOW, WEEK, ZONE
from tests.fixtures.random_cases import now_of, random_case, random_log

HOUR = monday(60)
DAY = 24 * 60
WITH_ANN = {"wren": HOUR, "robin": HOUR}, {"ann": HOUR, "ben": HOUR}


def case_of(*, place: str = "park", sets: str = "", **policy: int) -> Case:
    """Wren's skills a and c at home with Ann, Robin's b with either adult at the place; `sets`: all with this one."""
    ours = skill("a", "wren", sets=sets), skill("c", "wren", "ann ben", "home park", sets="c-set")
    return monday_case(*WITH_ANN, *ours, skill("b", "robin", "ann ben", place, sets=sets), way=20, **policy)


def seat(learner: str, adult: str, location: str, start: int, *probes: str, day: int = 0) -> PlacedSitting:
    """From so many minutes after nine; each probe is a skill and its set, such as 'b set-b'."""
    held = tuple(PlacedProbe(t, (adult, location, m), "new") for t, m in map(str.split, probes))
    begin = day * DAY + NINE + start
    return PlacedSitting(learner, adult, location, begin, begin + 5 + 5 * len(held), held)


def choice(case: Case, target: str = "a") -> Choice:
    return Choice(target, case.targets[target].combinations()[0], ProbeKind.NEW)


def own_ways(case: Case, seats: Iterable[PlacedSitting] = ()) -> dict[int, set[str]]:
    """For each start, in minutes after nine, the rules in the way of a sitting with skill a."""
    ways = InsertionFinder(case, hours(case, WEEK, NOW, {}), tuple(seats))
    found = {new.start - NINE: rules for old, new, rules in ways.each(choice(case)) if old is None}
    return {start: {limit.rule for limit in limits} for start, limits in found.items()}


def growing(case: Case, *seats: PlacedSitting) -> set[str]:
    """The rules in the way of skill a at the end of the first seat."""
    ways = InsertionFinder(case, hours(case, WEEK, NOW, {}), seats)
    return next({i.rule for i in limits} for old, _, limits in ways.each(choice(case)) if old == seats[0])


def blocked(ways: Mapping[int, set[str]]) -> dict[str, list[int]]:
    """Which starts a rule stands in."""
    return {
        rule: [start for start, rules in ways.items() if rule in rules]
        for rule in set().union(*ways.values())
    }


ALL = list(range(0, 51, 5))
HERS = seat("wren", "ann", "home", 20, "c c-set")


def test_a_free_hour_has_a_start_every_five_minutes() -> None:
    assert own_ways(case_of()) == {start: set() for start in ALL}


@pytest.mark.parametrize(("after", "first"), [(0, 0), (1, 5), (4, 5), (5, 5), (6, 10)])
def test_the_first_start_is_on_the_grid(after: int, first: int) -> None:
    case = monday_case({"wren": monday(60 - after, after)}, {"ann": HOUR}, skill("a", "wren"))
    assert list(own_ways(case)) == [s for s in ALL if s >= first]


@pytest.mark.parametrize(("minutes", "starts"), [(9, []), (10, [0]), (14, [0]), (15, [0, 5])])
def test_the_last_start_leaves_room_for_the_probe(minutes: int, starts: list[int]) -> None:
    assert list(own_ways(monday_case({"wren": monday(minutes)}, {"ann": HOUR}, skill("a", "wren")))) == starts


def test_the_grid_begins_anew_each_midnight() -> None:
    """Steps of 50 minutes: 9:10 and 10:00 on Tuesday, the day that begins with minute 1440."""
    tuesday = WeeklyHours(((), (Window(NINE, NINE + 70),), *[()] * 5))
    case = monday_case({"wren": tuesday}, {"ann": tuesday}, skill("a", "wren"))
    case = replace(case, policy=replace(case.policy, start_every_minutes=50))
    assert list(own_ways(case)) == [DAY + 10, DAY + 60]


def test_each_pair_of_adult_and_place_has_its_own_ways() -> None:
    """Of two adults and two places, each meeting is found, whatever comes before it."""
    case = case_of()
    ways = InsertionFinder(case, hours(case, WEEK, NOW, {}), ())
    for combination in case.targets["c"].combinations():
        found = [new for _, new, _ in ways.each(Choice("c", combination, ProbeKind.NEW))]
        assert [(s.adult, s.location) for s in found] == [combination[:2]] * len(ALL)


def test_the_learners_other_sitting_and_the_rest_around_it() -> None:
    """Ben has Wren at home from 9:20 to 9:30: ten minutes end by 9:15 or begin at 9:35."""
    ways = own_ways(case_of(), [seat("wren", "ben", "home", 20, "c c-set")])
    assert blocked(ways) == {"learner's time": [10, 15, 20, 25, 30]}


def test_the_learners_way_where_it_is_longer_than_the_rest() -> None:
    """Ben has Wren in the park: ten minutes at home begin at 9:50, or would end at nine."""
    ways = own_ways(case_of(), [seat("wren", "ben", "park", 20, "c c-set")])
    assert blocked(ways) == {"learner's time": [s for s in ALL if s < 50]}


def test_the_adult_with_another_learner_and_the_way_there() -> None:
    """Ann has Robin in the park from 9:20 to 9:30."""
    ways = own_ways(case_of(), [seat("robin", "ann", "park", 20, "b set-b")])
    assert blocked(ways) == {"time of ann": [s for s in ALL if s < 50]}
    sits_beside = replace(
        seat("robin", "ben", "park", 20, "b set-b"), beside="ann", beside_as=Beside.OBSERVER
    )
    assert own_ways(case_of(), [sits_beside]) == ways
    assert blocked(own_ways(case_of(), [replace(sits_beside, beside="")])) == {}


def test_the_adult_with_another_learner_at_the_same_place() -> None:
    """From 9:20 to 9:30, with no way and no rest: what overlaps."""
    ways = own_ways(case_of(place="home"), [seat("robin", "ann", "home", 20, "b set-b")])
    assert blocked(ways) == {"time of ann": [15, 20, 25]}


def test_another_day_is_in_nobodys_way() -> None:
    assert blocked(own_ways(case_of(), [seat("robin", "ann", "park", 20, "b set-b", day=1)])) == {}


def test_a_place_that_is_taken_by_somebody_else() -> None:
    case, robins = case_of(place="home"), seat("robin", "ben", "home", 20, "b set-b")
    assert blocked(own_ways(holding(case, "home", 1), [robins])) == {"room in home": [15, 20, 25]}
    assert blocked(own_ways(case, [robins])) == {}
    # two at once, from 9:20 to 9:25
    second = seat("finch", "dan", "home", 15, "b other")
    assert blocked(own_ways(case, [second, robins])) == {"room in home": [15, 20]}
    # one of the two that are there is another learner's
    beside_own = [seat("wren", "ben", "home", 20, "c c-set"), robins]
    assert blocked(own_ways(case, beside_own))["room in home"] == [15, 20, 25]
    # what the learner itself takes of the room is no matter of the room
    own = [seat("wren", "ben", "home", 20, "c c-set")]
    assert "room in home" not in blocked(own_ways(holding(case, "home", 1), own))
    elsewhere = [seat("robin", "ben", "park", 20, "b set-b")]
    assert blocked(own_ways(holding(case, "home", 1), elsewhere)) == {}


def test_a_set_in_use_with_one_copy_and_with_two() -> None:
    case, robins = case_of(sets="x"), seat("robin", "ben", "park", 20, "b x")
    assert blocked(own_ways(case, [robins])) == {"copies of x": [s for s in ALL if s < 50]}
    assert blocked(own_ways(with_copies(case, "x", 2), [robins])) == {}
    finchs = seat("finch", "dan", "park", 15, "b x")
    assert blocked(own_ways(with_copies(case, "x", 2), [finchs, robins])) == {"copies of x": [15, 20]}
    assert blocked(own_ways(with_copies(case, "x", 3), [finchs, robins])) == {}
    # another set of the learner who is there, and the set with the learner itself, are in nobody's way
    assert blocked(own_ways(case, [seat("robin", "ben", "park", 20, "b y")])) == {}
    assert set(blocked(own_ways(case, [seat("wren", "ben", "home", 20, "c x")]))) == {"learner's time"}


def test_a_set_that_is_missing_for_ten_minutes() -> None:
    """From 9:20 to 9:30, so nothing of ten minutes begins from 9:15 to 9:25."""
    begin = datetime(2026, 11, 30, 9, 20, tzinfo=ZONE)
    gone = Absence(begin.replace(tzinfo=None), begin.replace(tzinfo=None) + timedelta(minutes=10))
    case = case_of()
    sets = {**case.material_sets, "set-a": replace(case.material_sets["set-a"], missing=(gone,))}
    ways = own_ways(replace(case, material_sets=sets))
    assert list(ways) == list(range(0, 51, 5))
    assert blocked(ways) == {"set set-a": [15, 20, 25]}


@pytest.mark.parametrize(
    ("who", "limits", "rule"),
    [
        ("wren", {"sittings_per_day": 1}, "sittings of a day"),
        ("wren", {"sittings_per_day": 2}, None),
        ("ann", {"sittings_per_day": 2}, "sittings of ann"),
        ("ann", {"sittings_per_day": 3}, None),
        ("wren", {"sittings_per_week": 1}, "sittings of the week"),
        ("wren", {"sittings_per_week": 2}, None),
        ("ann", {"sittings_per_week": 2}, "sittings of ann in the week"),
        ("ann", {"sittings_per_week": 3}, None),
        ("wren", {"probes_per_day": 1}, "probes of a day"),
        ("wren", {"probes_per_day": 2}, None),
        ("ann", {"minutes_per_week": 29}, "minutes of ann"),
        ("ann", {"minutes_per_week": 30}, None),
    ],
)
def test_limits_of_a_day_and_of_a_week(who: str, limits: dict[str, int], rule: str | None) -> None:
    """Ann has Wren on Monday from 9:20 to 9:30, and Robin then from 9:30; the new sitting would be her third."""
    seats = [HERS, seat("robin", "ann", "home", 30, "b set-b")]
    ways = blocked(own_ways(limited(case_of(place="home"), who, **limits), seats))
    assert set(ways) == {"learner's time", "time of ann"} | ({rule} if rule else set())
    assert rule is None or ways[rule] == ALL


def test_limits_of_a_day_leave_another_day_alone() -> None:
    seats = [seat("wren", "ann", "home", 20, "a set-a", day=1)]
    for who, limits in (
        ("wren", {"sittings_per_day": 1, "probes_per_day": 1}),
        ("ann", {"sittings_per_day": 1}),
    ):
        assert blocked(own_ways(limited(case_of(), who, **limits), seats)) == {}


@pytest.mark.parametrize(
    ("a_day", "a_week", "rules"),
    [(1, 4, {"target and day"}), (2, 4, set()), (2, 2, {"target and week"}), (2, 3, set())],
)
def test_probes_of_a_skill_in_a_day_and_a_week(a_day: int, a_week: int, rules: set[str]) -> None:
    """Skill a is probed on Monday with Ben and on Tuesday; Monday's other probe is of another skill."""
    case = case_of(probes_per_target_per_day=a_day, probes_per_target_per_week=a_week)
    seats = [
        seat("wren", "ben", "home", 20, "a set-a", "c c-set"),
        seat("wren", "ben", "home", 20, "a set-a", day=1),
    ]
    ways = blocked(own_ways(case, seats))
    assert set(ways) - {"learner's time"} == rules
    assert all(ways[rule] == ALL for rule in rules)


@pytest.mark.parametrize(
    ("limits", "rules"),
    [
        ({"probes_per_sitting": 1}, {"probes in a sitting"}),
        ({"probes_per_sitting": 2}, set()),
        ({"sitting_minutes": 14}, {"minutes of a sitting"}),
        ({"sitting_minutes": 15}, set()),
        # a sitting more there is not
        ({"sittings_per_day": 1}, set()),
        ({"probes_per_day": 1}, {"probes of a day"}),
        ({"probes_per_day": 2}, set()),
    ],
)
def test_a_sitting_that_grows_within_the_learners_limits(limits: dict[str, int], rules: set[str]) -> None:
    assert growing(limited(case_of(), "wren", **limits), HERS) == rules


@pytest.mark.parametrize(("limit", "rules"), [(14, {"minutes of ann"}), (15, set())])
def test_a_sitting_that_grows_takes_the_adults_minutes(limit: int, rules: set[str]) -> None:
    """Five minutes more, beside the ten."""
    assert growing(limited(case_of(), "ann", minutes_per_week=limit), HERS) == rules


def test_a_sitting_that_grows_holds_one_probe_of_a_skill() -> None:
    case = case_of(probes_per_target_per_day=2)
    for held in (["a set-a"], ["a set-a", "c c-set"]):
        assert growing(case, seat("wren", "ann", "home", 20, *held)) == {"target and sitting"}


@pytest.mark.parametrize(
    ("start", "rules"), [(0, set()), (45, set()), (46, {"end of the hours"}), (50, {"end of the hours"})]
)
def test_a_sitting_that_grows_ends_with_the_hours(start: int, rules: set[str]) -> None:
    assert growing(case_of(), seat("wren", "ann", "home", start, "c c-set")) == rules


@pytest.mark.parametrize(
    ("start", "rules"), [(39, {"learner's time"}), (40, set()), (4, set()), (6, {"learner's time"})]
)
def test_a_sitting_that_grows_towards_the_next(start: int, rules: set[str]) -> None:
    """From 9:20 to 9:35, and a rest. What begins before is not moved nearer: to 9:15 and to 9:17."""
    assert growing(case_of(), HERS, seat("wren", "ben", "home", start, "c c-set")) == rules


@pytest.mark.parametrize(
    ("adult", "place", "start", "rules"),
    [
        ("ann", "home", 34, {"time of ann"}),
        ("ann", "home", 35, set()),
        ("ann", "park", 54, {"time of ann"}),
        ("ann", "park", 55, set()),
        ("ben", "home", 34, {"room in home"}),
        ("ben", "home", 35, set()),
        ("ben", "park", 34, set()),
    ],
)
def test_a_sitting_that_grows_beside_another_learners(
    adult: str, place: str, start: int, rules: set[str]
) -> None:
    case = holding(case_of(place=place), "home", 1)
    assert growing(case, HERS, seat("robin", adult, place, start, "b set-b")) == rules


@pytest.mark.parametrize(
    ("place", "start", "near"),
    [("home", 34, True), ("home", 35, False), ("park", 54, True), ("park", 55, False)],
)
def test_a_sitting_that_grows_by_a_set_in_use(place: str, start: int, near: bool) -> None:
    case = case_of(place=place, sets="x")
    assert growing(case, HERS, seat("robin", "ben", place, start, "b x")) == (
        {"copies of x"} if near else set()
    )


def test_only_sittings_of_the_same_people_and_place_grow() -> None:
    case = case_of()
    seats = (
        HERS,
        seat("wren", "ben", "home", 40, "c c-set"),
        seat("wren", "ann", "park", 80, "c c-set"),
        seat("wren", "ann", "home", 20, "c c-set", day=1),
    )
    ways = InsertionFinder(case, hours(case, WEEK, NOW, {}), seats)
    grown = [(old, new) for old, new, _ in ways.each(choice(case)) if old]
    assert [old for old, _ in grown] == [HERS]
    assert grown[0][1].end == HERS.end + 5
    assert [p.target for p in grown[0][1].probes] == ["c", "a"]


COMPANION = "companion of ann"


def accompanied(case: Case, *seats: PlacedSitting, knows: str = "ben") -> list[int]:
    """The starts at which nobody can sit beside Ann, who is new to Wren."""
    case = replace(case, policy=replace(case.policy, accompany_new_adults=True))
    free = hours(case, WEEK, NOW, {}, {"wren": frozenset([knows]), "robin": frozenset(["ann", "ben"])})
    ways = InsertionFinder(case, free, seats)
    return [
        new.start - NINE
        for old, new, rules in ways.each(choice(case))
        if not old and COMPANION in {i.rule for i in rules}
    ]


def test_somebody_who_can_sit_beside() -> None:
    case = case_of()
    assert accompanied(case) == []
    assert accompanied(case, knows="ann") == []
    # Ben has Robin in the park from 9:20 to 9:30, twenty minutes away; or at home
    assert accompanied(case, seat("robin", "ben", "park", 20, "b set-b")) == [s for s in ALL if s < 50]
    assert accompanied(case_of(place="home"), seat("robin", "ben", "home", 20, "b set-b")) == [15, 20, 25]
    assert (
        accompanied(
            limited(case, "ben", minutes_per_week=19), seat("robin", "ben", "park", 20, "b set-b", day=1)
        )
        == ALL
    )
    assert (
        accompanied(
            limited(case, "ben", minutes_per_week=20), seat("robin", "ben", "park", 20, "b set-b", day=1)
        )
        == []
    )
    # he is there twice, and one of the two is enough
    twice = replace(case.adults["ben"], free=WeeklyHours(((Window(0, 10), *monday(60).days[0]), *[()] * 6)))
    assert accompanied(replace(case, adults={**case.adults, "ben": twice})) == []
    ruled_out = replace(case.targets["a"], never=({"adult": "ben", "location": "home"},))
    assert accompanied(replace(case, targets={**case.targets, "a": ruled_out})) == ALL


def never_ben(case: Case) -> Case:
    target = replace(case.targets["a"], never=({"adult": "ben", "location": "home"},))
    return replace(case, targets={**case.targets, "a": target})


HIS_TIME = Limit(Kind.ADULT_TIME, adult="ben")
HIS_MINUTES = Limit(Kind.ADULT_MINUTES_PER_WEEK, adult="ben", figure=4)


@pytest.mark.parametrize(
    ("case", "kind", "parts"),
    [
        (case_of(place="home"), Kind.COMPANION_TAKEN, (HIS_TIME,)),
        (limited(case_of(place="home"), "ben", minutes_per_week=4), Kind.COMPANION_TAKEN, (HIS_MINUTES,)),
        (never_ben(case_of(place="home")), Kind.COMPANION, ()),
    ],
)
def test_who_knows_the_child_and_is_taken_is_not_told_as_absent(
    case: Case, kind: Kind, parts: tuple[Limit, ...]
) -> None:
    """Ben alone knows Wren, and is with Robin for the whole hour; his minutes are used up; he must not be there."""
    case = replace(case, policy=replace(case.policy, accompany_new_adults=True))
    free = hours(case, WEEK, NOW, {}, {"wren": frozenset(["ben"]), "robin": frozenset(["ann", "ben"])})
    robins = replace(seat("robin", "ben", "home", 0, "b set-b"), end=NINE + 60)
    ways = InsertionFinder(case, free, (robins,)).of(choice(case))
    beside = {x for limits in ways for x in limits if x.rule == COMPANION}
    assert beside == {Limit(kind, adult="ann", learner="wren", parts=parts)}


def test_a_companion_for_each_probe_of_a_sitting_that_grows() -> None:
    """Ben must not be there for skill a, and c is in the sitting already."""
    case = case_of()
    policy = replace(case.policy, accompany_new_adults=True)
    for target, rules in (("a", {COMPANION}), ("b", set())):
        never = replace(case.targets[target], never=({"adult": "ben", "location": "home"},))
        with_it = replace(case, policy=policy, targets={**case.targets, target: never})
        free = hours(with_it, WEEK, NOW, {}, {"wren": frozenset(["ben"]), "robin": frozenset(["ann"])})
        held = replace(HERS, beside="ben", beside_as=Beside.COMPANION)
        ways = InsertionFinder(with_it, free, [held])
        found = [limits for old, _, limits in ways.each(choice(with_it)) if old == held]
        assert [{limit.rule for limit in limits} for limits in found] == [rules]


def test_a_companion_for_all_of_the_sitting() -> None:
    """Ben comes from 9:20 to 9:40, and openings for Ann lie within that."""
    case = case_of()
    case = replace(case, adults={**case.adults, "ben": replace(case.adults["ben"], free=monday(20, 20))})
    with_it = replace(case, policy=replace(case.policy, accompany_new_adults=True))
    free = hours(with_it, WEEK, NOW, {}, {"wren": frozenset(["ben"]), "robin": frozenset(["ann", "ben"])})
    assert [
        n.start - NINE for _, n, rules in InsertionFinder(with_it, free, ()).each(choice(case)) if not rules
    ] == [
        20,
        25,
        30,
    ]
    # with the openings of a week without such a rule the companion is what is lacking
    without = hours(case, WEEK, NOW, {})
    known = {"wren": openings_of(case, without, "wren")}
    found = {
        n.start - NINE: {i.rule for i in r}
        for _, n, r in InsertionFinder(with_it, free, (), known).each(choice(case))
    }
    assert [start for start, rules in found.items() if rules] == [s for s in ALL if s not in (20, 25, 30)]


def test_which_limit_is_the_stronger_reason() -> None:
    """What holds whatever else is planned before what comes of other sittings, and the wider before the narrower."""
    narrow = {"sittings_per_day": 1, "probes_per_day": 1, "probes_per_sitting": 1, "sitting_minutes": 10}
    case = holding(case_of(place="home", sets="x", probes_per_target_per_week=1), "home", 1)
    case = limited(limited(case, "wren", **narrow), "ann", minutes_per_week=1, sittings_per_day=1)
    known = {"wren": openings_of(case, hours(case, WEEK, NOW, {}), "wren")}
    gone = Absence(datetime(2026, 11, 30), datetime(2026, 12, 1))
    sets = {**case.material_sets, "x": replace(case.material_sets["x"], missing=(gone,))}
    policy = replace(case.policy, accompany_new_adults=True)
    case = replace(case, material_sets=sets, policy=policy)
    free = hours(case, WEEK, NOW, {}, {"wren": frozenset(), "robin": frozenset()})
    hers = seat("wren", "ann", "home", 45, "c c-set", "a x"), seat("robin", "ann", "park", 50, "b b-set")
    ways = InsertionFinder(case, free, (*hers, seat("robin", "ben", "home", 50, "b x")), known)
    by_rank: dict[int, set[str]] = {}
    for _, _, limits in ways.each(choice(case)):
        for limit in limits:
            by_rank.setdefault(limit.kind.rank, set()).add(limit.rule)
    from_others = {"learner's time", "time of ann", "room in home", "copies of x", "companion of ann"}
    assert [rules for _, rules in sorted(by_rank.items())] == [
        {"target and week", "set x"},
        {"target and day"},
        {"sittings of a day", "sittings of ann", "probes of a day", "minutes of ann"},
        {"probes in a sitting", "minutes of a sitting"},
        {"target and sitting"},
        {"end of the hours"},
        from_others,
    ]
    # planned otherwise, these might not be there, so they are looked into further
    assert set().union(*(rules for n, rules in by_rank.items() if n >= OTHERS_IN_THE_WAY)) == from_others
    assert max(by_rank) < LESS_URGENT.kind.rank


def test_a_rest_goes_on_over_midnight() -> None:
    """Wren's sitting ends on Monday at 23:50 and a rest is 30 minutes, so on Tuesday nothing begins before 0:20. The
    way to the park, 60 minutes, counts within a day only."""
    late = WeeklyHours(((Window(DAY - 60, DAY),), (Window(0, 60),), *[()] * 5))
    case = case_of()
    case = replace(
        case,
        learners={i: replace(x, free=late) for i, x in case.learners.items()},
        adults={i: replace(x, free=late) for i, x in case.adults.items()},
        travel=Travel(60),
        policy=replace(case.policy, rest_minutes=30),
    )
    evening = seat("wren", "ben", "park", DAY - 20 - NINE, "c c-set")
    assert (evening.end, evening.day) == (DAY - 10, 0)
    ways = {start + NINE: rules for start, rules in own_ways(case, [evening]).items() if start + NINE >= DAY}
    assert blocked(ways) == {"learner's time": [DAY + m for m in range(0, 20, 5)]}
    # and a sitting of the morning that would lie before it, a probe longer, is in its way as well
    morning = seat("wren", "ann", "home", DAY + 15 - NINE, "c c-set")
    ways = {start + NINE: rules for start, rules in own_ways(case, [morning]).items() if start + NINE < DAY}
    assert blocked(ways)["learner's time"] == [DAY - 20, DAY - 15, DAY - 10]


@pytest.mark.parametrize("seed", range(4))
def test_the_clear_ways_are_those_without_a_limit(seed: int) -> None:
    case = random_case(seed, learners=3, targets=2, adults=3, locations=2, sets=2, oddity=0.5)
    ground = week_context_of(case, random_log(case, seed), WEEK, now_of(case), {}, ())
    seats = all_seats(insert_probes(ground.caseload, {}, ENDLESS, {}))
    clear = 0
    for some in (seats, seats[::2]):
        ways = InsertionFinder(ground.case, ground.free, some)
        for choice in (c for need in ground.needs for c in need.choices):
            found = [(old, new) for old, new, limits in ways.each(choice) if not limits]
            assert list(ways.clear(choice)) == found
            clear += len(found)
    assert clear


@pytest.mark.parametrize("seed", range(3))
def test_choices_that_are_alike_have_the_same_limits_in_their_ways(seed: int) -> None:
    """With and without adults who are new to a learner, beside whom somebody sits who may be ruled out."""
    case = random_case(seed, learners=2, targets=3, adults=3, oddity=0.4)
    context = week_context_of(case, random_log(case, seed), WEEK, now_of(case), {}, ())
    nobody = dict.fromkeys(case.learners, frozenset[str]())
    for free in (context.free, replace(context.free, acquainted=nobody)):
        ways, found = InsertionFinder(context.case, free, ()), {}
        for choice in (c for n in context.needs for c in n.choices):
            limits = list(ways.of(choice))
            assert found.setdefault(ways.alike(choice), limits) == limits
