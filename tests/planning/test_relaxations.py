"""Which small changes are tried, by hand: half hours beside hours, an hour of a place, one more of a limit."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from genplan.case import Absence, Case, WeeklyHours, Window
from genplan.case.targets import TargetState
from genplan.evidence.log import Log
from genplan.planning.openings import openings_of
from genplan.planning.relaxation import Easing, Relaxation, RelaxationGroup, RelaxationKind
from genplan.planning.relaxations import relaxation_groups
from genplan.planning.week_context import WeekContext, week_context_of
from genplan.text.gains import easing_text, piece_text
from tests.fixtures.monday_cases import NINE, holding, limited, monday, monday_case, skill, with_copies
from tests.fixtures.planning_cases import NOW, WEEK
from tests.fixtures.random_cases import random_case

DAY = 24 * 60
HOURS = (RelaxationKind.ADULT_HOURS, RelaxationKind.LEARNER_HOURS, RelaxationKind.LOCATION_HOURS)


def ground(case: Case, now: datetime = NOW) -> WeekContext:
    return week_context_of(case, Log(), WEEK, now, {}, ())


def tried(case: Case, *learners: str, now: datetime = NOW) -> list[RelaxationGroup]:
    return list(relaxation_groups(ground(case, now), learners or tuple(case.learners)))


def hours_tried(case: Case, *learners: str, now: datetime = NOW) -> list[tuple[str, str]]:
    """The changes of hours, each part in its order."""
    parts = [part for idea in tried(case, *learners, now=now) for part in idea.parts]
    return [(easing_text(case, part.easing), piece_text(part.piece)) for part in parts if part.piece]


def others_tried(case: Case, *learners: str) -> dict[str, Relaxation]:
    """The changes that are not of one day, by their words."""
    ideas_tried = tried(case, *learners)
    return {
        easing_text(case, idea.together.easing): idea.together
        for idea in ideas_tried
        if idea.together.easing.kind not in HOURS
    }


def opened(case: Case, lift: Relaxation) -> list[tuple[int, int]]:
    """Wren's openings with the change, in minutes after nine."""
    return [(o.start - NINE, o.end - NINE) for o in openings_of(lift.case, lift.free, "wren")]


def case_of(wren: WeeklyHours, ann: WeeklyHours, home: WeeklyHours | None = None) -> Case:
    case = monday_case({"wren": wren}, {"ann": ann}, skill("a", "wren"))
    place = replace(case.locations["home"], open=home or WeeklyHours.always())
    return replace(case, locations={"home": place})


def test_half_an_hour_beside_the_hours_of_a_day() -> None:
    """Wren has nine to ten, Ann half past nine to half past ten: a half hour before hers, and one after Wren's."""
    case = case_of(monday(60), monday(60, after_nine=30))
    assert hours_tried(case) == [
        ("ann has half an hour more", "on Monday from 09:00 to 09:30"),
        ("wren has half an hour more", "on Monday from 10:00 to 10:30"),
    ]
    before, after = (idea.parts[0] for idea in tried(case)[:2])
    assert opened(case, before) == [(0, 60)]
    assert opened(case, after) == [(30, 90)]
    assert before.learners == ("wren",)


def test_what_is_too_short_opens_nothing() -> None:
    """A probe takes ten minutes: half an hour more of Ann meets nine minutes of Wren's, or ten."""
    wrens = ("wren has half an hour more", "on Monday from 09:09 to 09:39")
    assert hours_tried(case_of(monday(9), monday(60, after_nine=9))) == [wrens]
    assert hours_tried(case_of(monday(10), monday(60, after_nine=10))) == [
        ("ann has half an hour more", "on Monday from 08:40 to 09:10"),
        ("wren has half an hour more", "on Monday from 09:10 to 09:40"),
    ]


def test_on_a_day_without_hours_they_begin_or_end_with_the_others() -> None:
    """Ann has Monday only, Wren Tuesday from nine to half past ten too: half hours at both ends, or every day."""
    wren = WeeklyHours((monday(60).days[0], (Window(NINE, NINE + 90),), *[()] * 5))
    case = case_of(wren, monday(60))
    ann = tried(case)[0]
    assert [(easing_text(case, p.easing), p.piece and piece_text(p.piece)) for p in ann.parts] == [
        ("ann has half an hour more", "on Tuesday from 09:00 to 09:30"),
        ("ann has half an hour more", "on Tuesday from 10:00 to 10:30"),
    ]
    assert (ann.together.easing, ann.together.piece) == (Easing(RelaxationKind.ADULT_HOURS, "ann"), None)
    assert opened(case, ann.together) == [(0, 60), (DAY, DAY + 30), (DAY + 60, DAY + 90)]
    assert ann.together.learners == ("wren",)


def test_a_day_without_hours_before_one_with() -> None:
    """Ann has Tuesday only, Wren the same hour on Monday and on Tuesday."""
    hour = monday(60).days[0]
    wrens, anns = WeeklyHours((hour, hour, *[()] * 5)), WeeklyHours(((), hour, *[()] * 5))
    assert hours_tried(case_of(wrens, anns)) == [
        ("ann has half an hour more", "on Monday from 09:00 to 09:30"),
        ("ann has half an hour more", "on Monday from 09:30 to 10:00"),
    ]


def test_a_place_is_open_an_hour_longer() -> None:
    case = case_of(monday(60), monday(60), home=monday(30, after_nine=30))
    assert hours_tried(case) == [("home is open an hour longer", "on Monday from 08:30 to 09:30")]
    shut = replace(case.locations["home"], learners=frozenset(["robin"]))
    assert hours_tried(replace(case, locations={"home": shut})) == []


def test_no_place_is_open_longer_on_a_day_on_which_it_is_shut() -> None:
    """Wren and Ann have an hour on Monday and on Tuesday; home opens on Monday only, or is closed on Tuesday."""
    both = WeeklyHours((*monday(60).days[:1] * 2, *[()] * 5))
    on_monday = [("home is open an hour longer", "on Monday from 08:30 to 09:30")]
    case = case_of(both, both, monday(60, after_nine=30))
    longer = [found for found in hours_tried(case) if "open" in found[0]]
    assert longer == on_monday
    place = replace(
        case.locations["home"],
        open=WeeklyHours((*monday(60, after_nine=30).days[:1] * 2, *[()] * 5)),
        closed=(Absence(datetime(2026, 12, 1), datetime(2026, 12, 2)),),
    )
    longer = [found for found in hours_tried(replace(case, locations={"home": place})) if "open" in found[0]]
    assert longer == on_monday


def test_nobody_is_asked_for_what_cannot_be() -> None:
    """Ann is away until a quarter past nine; it is past nine; the policy plans no Monday."""
    case = case_of(monday(60), monday(60, after_nine=30))
    nine = datetime(2026, 11, 30, 9)
    away = replace(case.adults["ann"], away=(Absence(nine, nine + timedelta(minutes=15)),))
    wrens = ("wren has half an hour more", "on Monday from 10:00 to 10:30")
    assert hours_tried(replace(case, adults={"ann": away})) == [wrens]
    assert hours_tried(case, now=NOW.replace(month=11, day=30, hour=9, minute=1)) == [wrens]
    assert hours_tried(replace(case, policy=replace(case.policy, days=(1,)))) == []
    stranger = replace(case.adults["ann"], learners=frozenset(["robin"]))
    assert hours_tried(replace(case, adults={"ann": stranger})) == []
    away = replace(
        case.learners["wren"], away=(Absence(nine + timedelta(minutes=80), nine + timedelta(minutes=90)),)
    )
    anns = ("ann has half an hour more", "on Monday from 09:00 to 09:30")
    assert hours_tried(replace(case, learners={"wren": away})) == [anns]


def test_one_more_of_each_limit_there_is() -> None:
    case = monday_case({"wren": monday(60)}, {"ann": monday(60)}, skill("a", "wren"))
    assert list(others_tried(case)) == [
        "a target may have 5 probes a week",
        "a target may have 2 probes a day",
    ]
    case = limited(case, "wren", sittings_per_day=1, probes_per_day=2, probes_per_sitting=3)
    case = limited(case, "ann", minutes_per_week=60, sittings_per_day=4)
    found = others_tried(case)
    assert list(found) == [
        "a target may have 5 probes a week",
        "a target may have 2 probes a day",
        "wren may have 2 sittings a day",
        "wren may have 3 probes a day",
        "wren may have 4 probes in a sitting",
        "ann may give 90 minutes a week",
        "ann may have 5 sittings a day",
    ]
    week, day, sittings, probes, each, minutes, hers = (lift.case for lift in found.values())
    assert week.policy == replace(case.policy, probes_per_target_per_week=5)
    assert day.policy == replace(case.policy, probes_per_target_per_day=2)
    limits = case.learners["wren"].limits
    assert sittings.learners["wren"].limits == replace(limits, sittings_per_day=2)
    assert probes.learners["wren"].limits == replace(limits, probes_per_day=3)
    assert each.learners["wren"].limits == replace(limits, probes_per_sitting=4)
    assert minutes.adults["ann"].limits == replace(case.adults["ann"].limits, minutes_per_week=90)
    assert hers.adults["ann"].limits == replace(case.adults["ann"].limits, sittings_per_day=5)
    assert {lift.learners for lift in found.values()} == {("wren",)}


def two_learners() -> Case:
    """Both vary set x, at home with either adult."""
    skills = skill("a", "wren", "ann ben", sets="x"), skill("b", "robin", "ann ben", sets="x y")
    hour = monday(60)
    return monday_case({"robin": hour, "wren": hour}, {"ann": hour, "ben": hour}, *skills)


def test_a_place_holds_one_more_where_more_could_come() -> None:
    words = "home may hold {} sittings at once"
    case = two_learners()
    assert words.format(3) not in others_tried(case)
    one = holding(case, "home", 1)
    lift = others_tried(one, "wren")[words.format(2)]
    assert (lift.case, lift.learners) == (case, ("wren",))
    only_robin = replace(one.locations["home"], learners=frozenset(["robin"]))
    assert words.format(2) not in others_tried(replace(one, locations={"home": only_robin}))


def test_a_copy_more_of_a_set_that_several_vary() -> None:
    case = two_learners()
    copies = {words: lift for words, lift in others_tried(case).items() if "copies" in words}
    assert list(copies) == ["there are 2 copies of 'x'"]
    assert copies["there are 2 copies of 'x'"].case == with_copies(case, "x", 2)
    assert set(copies["there are 2 copies of 'x'"].learners) == {"robin", "wren"}
    assert others_tried(case, "wren")["there are 2 copies of 'x'"].learners == ("wren",)
    assert not any("copies" in words for words in others_tried(with_copies(case, "x", 2)))


def test_an_adult_is_briefed() -> None:
    """Ben is briefed on Robin's skill alone; with a briefing on Wren's he has what he had, and Wren has two choices."""
    case = two_learners()
    case = replace(
        case, adults={**case.adults, "ben": replace(case.adults["ben"], briefed_on=frozenset("b"))}
    )
    found = others_tried(case)
    lift = found["ben is briefed on 'a'"]
    assert [words for words in found if "briefed" in words] == ["ben is briefed on 'a'"]
    assert lift.case.adults["ben"].briefed_on == {"a", "b"}
    assert lift.learners == ("wren",)
    assert [len(n.choices) for n in lift.needs] == [2]
    assert not any("briefed" in words for words in others_tried(case, "robin"))


def test_a_copy_more_of_a_set_with_which_another_child_is_still_taught() -> None:
    case = two_learners()
    of_robin = next(t for t in case.targets.values() if t.learner == "robin")
    taught = tuple(dict(zip(of_robin.dimension_names, c, strict=True)) for c in of_robin.combinations())
    still = replace(of_robin, state=TargetState.TEACHING, taught=taught, teaching_per_week=1)
    learning = replace(
        case,
        targets={**case.targets, still.id: still},
        policy=replace(case.policy, plan_teaching=True),
    )
    assert others_tried(learning, "wren")["there are 2 copies of 'x'"].learners == ("wren",)
    resting = replace(learning, policy=replace(case.policy, plan_teaching=False))
    assert not any("copies" in words for words in others_tried(resting))


def test_hours_for_a_baseline_probe_of_a_child_that_has_nothing_else() -> None:
    case = case_of(monday(30), monday(30, 30))
    (target,) = case.targets.values()
    still = replace(target, state=TargetState.TEACHING)
    case = replace(case, targets={still.id: still})
    assert not hours_tried(case)
    case = replace(case, policy=replace(case.policy, baseline_per_target=1))
    assert ("ann has half an hour more", "on Monday from 09:00 to 09:30") in hours_tried(case)


@pytest.mark.parametrize("accompany", [False, True])
def test_openings_of_one_adult_or_place_are_those_of_all_with_it(accompany: bool) -> None:
    """What a change of hours opens is looked for there alone; the same changes come out as where all is looked
    through, also where an adult's hours let others be met beside whom it can sit."""
    for seed in range(12):
        case = random_case(seed)
        case = replace(case, policy=replace(case.policy, accompany_new_adults=accompany))
        free = ground(case).free
        for learner in case.learners:
            whole = openings_of(case, free, learner)
            for adult in case.adults:
                alone = openings_of(case, free, learner, adult=adult)
                assert alone == tuple(o for o in whole if o.adult == adult)
            for place in case.locations:
                there = openings_of(case, free, learner, location=place)
                assert there == tuple(o for o in whole if o.location == place)
        g = ground(case)
        for part in (p for idea in tried(case) for p in idea.parts if p.easing.kind in HOURS):
            assert part.learners == tuple(i for i in case.learners if _gains(g, part, i))


def _gains(g: WeekContext, part: Relaxation, learner: str) -> bool:
    """Whether the learner has a new opening that holds something, all being looked through."""
    own = [n for n in g.needs if n.target.learner == learner]
    lengths = [n.target.minutes for n in own if n.is_probed or n.baseline.times]
    lengths += [n.target.teaching_minutes for n in own if n.teachings]
    needed = g.case.policy.settle_minutes + min(lengths, default=DAY)
    new = set(openings_of(g.case, part.free, learner)) - set(openings_of(g.case, g.free, learner))
    return any(o.end - o.start >= needed for o in new)
