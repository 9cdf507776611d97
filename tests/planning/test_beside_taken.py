"""What the solver may still plan beside seats that are fixed: begun sittings of a learner, and other learners' ones.

On a Monday from nine: a sitting of one probe takes 10 minutes, a rest 5, and each skill here is one new tuple.
"""

from __future__ import annotations

import pytest

from genplan.case import Case
from genplan.evidence.log import Log
from genplan.plan import ObjectiveName
from genplan.planning.needs import need_of
from genplan.planning.openings import hours
from genplan.planning.problem import problem_for
from genplan.planning.solver.stages import solve
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.monday_cases import NINE, holding, limited, monday, monday_case, skill, with_copies
from tests.fixtures.planning_cases import NOW, WEEK

DAY = 24 * 60


def planned(case: Case, *taken: PlacedSitting) -> int:
    """How many probes of the case's learners the solver finds room for."""
    needs = tuple(need_of(case, t, Log(), WEEK, NOW.date(), taken) for t in case.mastered)
    free = hours(case, WEEK, NOW, {})
    outcome = solve(
        problem_for(case, WEEK, free, tuple(case.learners), needs, taken), (ObjectiveName.NEW_TUPLES,)
    )
    found = outcome.objective("new tuples")
    assert found is not None
    assert found.value == sum(len(s.probes) for s in outcome.seats)
    return int(found.value)


def seat(learner: str, adult: str, location: str, start: int, *probes: str, day: int = 0) -> PlacedSitting:
    """From so many minutes after nine; each probe is a skill and its set, such as 'b set-b'."""
    held = tuple(PlacedProbe(t, (adult, location, m), "new") for t, m in map(str.split, probes))
    begin = day * DAY + NINE + start
    return PlacedSitting(learner, adult, location, begin, begin + 5 + 5 * len(held), held)


def finchs(start: int, *, place: str = "home", sets: str = "y", day: int = 0) -> PlacedSitting:
    """Ten minutes of a learner who is planned already, with an adult whom nobody else needs."""
    return seat("finch", "dan", place, start, f"f {sets}", day=day)


def two_at_home(minutes: int, sets: str = "") -> Case:
    """Wren with Ann and Robin with Ben at the same place, with so many minutes each."""
    skills = skill("a", "wren", "ann", sets=sets), skill("b", "robin", "ben", sets=sets)
    free = {"wren": monday(minutes), "robin": monday(minutes)}
    return monday_case(free, {"ann": monday(180), "ben": monday(180)}, *skills, way=20)


@pytest.mark.parametrize(
    ("capacity", "taken", "probes"),
    [
        (2, finchs(0), 1),
        (3, finchs(0), 2),
        (2, finchs(0, place="park"), 2),
        (2, finchs(0, day=1), 2),
        (2, finchs(10), 2),
    ],
)
def test_a_place_holds_what_is_taken_and_what_is_planned(
    capacity: int, taken: PlacedSitting, probes: int
) -> None:
    assert planned(holding(two_at_home(10), "home", capacity), taken) == probes


@pytest.mark.parametrize(
    ("copies", "taken", "probes"),
    [
        (2, finchs(0, sets="x"), 1),
        (3, finchs(0, sets="x"), 2),
        (2, finchs(0, sets="y"), 2),
        (2, finchs(0, sets="x", day=1), 2),
        (2, finchs(10, sets="x"), 2),
    ],
)
def test_copies_of_a_set_that_are_taken(copies: int, taken: PlacedSitting, probes: int) -> None:
    case = holding(two_at_home(10, sets="x"), "home", 3)
    assert planned(with_copies(case, "x", copies), taken) == probes


@pytest.mark.parametrize(
    ("minutes", "taken", "probes"),
    [
        # in the park until 9:30, and twenty minutes on its way
        (59, finchs(20, place="park", sets="x"), 0),
        (60, finchs(20, place="park", sets="x"), 1),
        # it has to be in the park at 9:30, or at 9:25
        (40, finchs(30, place="park", sets="x"), 1),
        (40, finchs(25, place="park", sets="x"), 0),
        (10, finchs(10, sets="x"), 1),
        (10, finchs(9, sets="x"), 0),
        (59, finchs(20, place="park", sets="y"), 1),
        (59, finchs(20, place="park", sets="x", day=1), 1),
    ],
)
def test_the_way_of_a_single_copy_that_is_taken(minutes: int, taken: PlacedSitting, probes: int) -> None:
    case = monday_case({"wren": monday(minutes)}, {"ann": monday(180)}, skill("a", "wren", sets="x"), way=20)
    assert planned(case, taken) == probes


def wrens(*at: int, day: int = 0) -> list[PlacedSitting]:
    """Begun sittings of Wren with Ann, one probe each, of skills that nobody asks for any more."""
    return [seat("wren", "ann", "home", start, f"old-{start} z", day=day) for start in at]


WRENS_TWO = monday_case(
    {"wren": monday(180)},
    {"ann": monday(180), "ben": monday(180)},
    skill("a", "wren", "ann"),
    skill("c", "wren", "ben"),
)


@pytest.mark.parametrize("key", ["sittings_per_day", "probes_per_day"])
@pytest.mark.parametrize(
    ("limit", "begun", "probes"),
    [(1, 0, 1), (2, 0, 2), (2, 1, 1), (3, 1, 2), (1, 1, 0), (2, 2, 0), (1, 2, 0), (1, 3, 0)],
)
def test_a_learners_day_counts_what_has_begun(key: str, limit: int, begun: int, probes: int) -> None:
    """A limit that was passed already, since it was lowered, leaves no room and is no contradiction."""
    taken = wrens(*(60, 80, 100)[:begun])
    assert planned(limited(WRENS_TWO, "wren", **{key: limit}), *taken) == probes


def test_a_learners_day_does_not_count_another_day_or_learner() -> None:
    for key in ("sittings_per_day", "probes_per_day"):
        case = limited(WRENS_TWO, "wren", **{key: 2})
        assert planned(case, *wrens(60, 80, day=1), finchs(60), finchs(80)) == 2


@pytest.mark.parametrize(
    ("limit", "begun", "probes"), [(1, 0, 1), (2, 1, 1), (3, 1, 2), (1, 1, 0), (1, 2, 0), (1, 3, 0)]
)
def test_an_adults_day_counts_what_has_begun(limit: int, begun: int, probes: int) -> None:
    """Ann sees Wren and Robin, each once."""
    skills = skill("a", "wren", "ann"), skill("b", "robin", "ann")
    free = {"wren": monday(180), "robin": monday(180)}
    case = limited(monday_case(free, {"ann": monday(180)}, *skills), "ann", sittings_per_day=limit)
    taken = [seat("finch", "ann", "home", start, "f y") for start in (60, 80, 100)[:begun]]
    assert planned(case, *taken, finchs(120), seat("finch", "ann", "home", 60, "f y", day=1)) == probes


@pytest.mark.parametrize(
    ("limit", "begun", "probes"),
    [(20, 0, 2), (19, 0, 1), (30, 1, 2), (29, 1, 1), (19, 1, 0), (10, 1, 0), (5, 2, 0)],
)
def test_an_adults_week_counts_what_has_begun(limit: int, begun: int, probes: int) -> None:
    """Ten minutes a sitting, begun ones on Tuesday."""
    skills = skill("a", "wren", "ann"), skill("b", "robin", "ann")
    free = {"wren": monday(180), "robin": monday(180)}
    case = limited(monday_case(free, {"ann": monday(180)}, *skills), "ann", minutes_per_week=limit)
    taken = [seat("finch", "ann", "home", start, "f y", day=1) for start in (60, 80)[:begun]]
    assert planned(case, *taken, finchs(60, day=1)) == probes


@pytest.mark.parametrize(
    ("a_day", "a_week", "begun", "day", "probes"),
    [
        (2, 3, 0, 0, 2),
        (2, 3, 1, 0, 1),
        (1, 3, 1, 0, 0),
        (1, 3, 2, 0, 0),
        (1, 9, 3, 0, 0),
        (1, 9, 1, 1, 1),
        (2, 3, 1, 1, 2),
        (2, 2, 1, 1, 1),
        (2, 1, 1, 1, 0),
        (2, 1, 2, 1, 0),
        (2, 1, 3, 1, 0),
    ],
)
def test_a_skills_day_and_week_count_what_has_begun(
    a_day: int, a_week: int, begun: int, day: int, probes: int
) -> None:
    """A skill with five sets, of which some have begun on this Monday (0) or on Tuesday (1); so has another skill."""
    case = monday_case(
        {"wren": monday(180)},
        {"ann": monday(180)},
        skill("a", "wren", sets="v w x y z"),
        probes_per_target_per_day=a_day,
        probes_per_target_per_week=a_week,
    )
    taken = [
        seat("wren", "ann", "home", start, f"a {name}", day=day)
        for start, name in zip((60, 80, 100)[:begun], "xyz", strict=False)
    ]
    assert planned(case, *taken, *wrens(130, day=day)) == probes
