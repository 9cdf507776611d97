"""Who has to give way for the seats that a learner would like best, and who is planned again together."""

from __future__ import annotations

from dataclasses import replace

from genplan.case import Case
from genplan.plan import ProbeKind
from genplan.planning.jobs import Workers
from genplan.planning.search.best_so_far import BestSoFar
from genplan.planning.search.loop import improved
from genplan.planning.search.operators import OPERATORS
from genplan.planning.search_settings import SETTINGS
from genplan.planning.week_context import week_context_of
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.monday_cases import NINE, holding, limited, monday, monday_case, skill
from tests.fixtures.planning_cases import NOTHING_RUN, NOW, WEEK, Asked, Inline

DAY = 24 * 60


def seat(
    learner: str,
    start: int,
    minutes: int = 10,
    *,
    adult: str = "tess",
    place: str = "",
    set_: str = "",
    day: int = 0,
) -> PlacedSitting:
    """In minutes after nine, each learner with an own place and set unless said otherwise."""
    probe = PlacedProbe(learner, (adult, place or f"home-{learner}", set_ or f"set-{learner}"), ProbeKind.NEW)
    at = day * DAY + NINE + start
    return PlacedSitting(learner, adult, place or f"home-{learner}", at, at + minutes, (probe,))


def case_of(*learners: str) -> Case:
    skills = [skill(i, i, "ann tess", f"home-{i} hall", f"set-{i} kit") for i in learners]
    people = dict.fromkeys(learners, monday(60))
    return monday_case(people, dict.fromkeys(("ann", "tess"), monday(60)), *skills)


GIVING_WAY = [o for o in OPERATORS if o.name == "giving way"]
PAIRS = [o for o in OPERATORS if o.name == "pairs"]


def gave_way(case: Case, wanted: PlacedSitting, *others: PlacedSitting) -> list[str] | None:
    """Who sits otherwise once the wanted seat is given; None: it is not given, and all stays."""
    load = week_context_of(case, NOTHING_RUN, WEEK, NOW, {}, ()).caseload
    seats = {i: tuple(s for s in others if s.learner == i) for i in case.learners}
    best = BestSoFar(
        load=load,
        most={i: int(i == wanted.learner) for i in case.learners},
        wanted={i: (wanted,) if i == wanted.learner else () for i in case.learners},
    ).with_seats(seats)
    found = improved(best, Workers(Inline(), lambda _: None), GIVING_WAY).seats
    if found[wanted.learner] != (wanted,):
        assert found == seats
        return None
    return [i for i in case.learners if i != wanted.learner and found[i] != seats[i]]


def test_the_one_whose_adult_is_wanted_gives_way() -> None:
    case = case_of("robin", "tit", "wren")
    others = seat("robin", 5), seat("tit", 20)
    assert gave_way(case, seat("wren", 0), *others) == ["robin"]
    assert gave_way(case, seat("wren", 15, minutes=15), *others) == ["tit"]
    assert gave_way(case, seat("wren", 40), *others) == []


def test_minutes_of_the_week_are_given_up_on_another_day() -> None:
    case = limited(case_of("robin", "wren"), "tess", minutes_per_week=30)
    assert gave_way(case, seat("wren", 0, minutes=10), seat("robin", 0, minutes=20, day=1)) == []
    assert gave_way(case, seat("wren", 0, minutes=15), seat("robin", 0, minutes=20, day=1)) == ["robin"]


def test_a_place_is_given_up_at_its_time_and_a_set_for_its_way() -> None:
    case = holding(case_of("robin", "wren"), "hall", 1)
    there = seat("robin", 0, adult="ann", place="hall")
    assert gave_way(case, seat("wren", 9, place="hall"), there) == ["robin"]
    assert gave_way(case, seat("wren", 10, place="hall"), there) == []
    travelling = replace(case, travel=replace(case.travel, otherwise=15))
    with_kit = seat("robin", 0, adult="ann", set_="kit")
    assert gave_way(travelling, seat("wren", 24, set_="kit"), with_kit) == ["robin"]
    assert gave_way(travelling, seat("wren", 25, set_="kit"), with_kit) == []


def test_too_many_are_not_asked() -> None:
    learners = [f"learner-{n}" for n in range(SETTINGS.give_way_at_most + 1)]
    case = case_of(*learners, "wren")
    others = [seat(i, 2 * n, minutes=2) for n, i in enumerate(learners)]
    at_most = SETTINGS.give_way_at_most
    assert gave_way(case, seat("wren", 0, minutes=2 * at_most), *others) == learners[:-1]
    assert gave_way(case, seat("wren", 0, minutes=2 * at_most + 1), *others) is None


def tried(case: Case, *seats: PlacedSitting, short: str) -> list[tuple[str, ...]]:
    """The groups that are planned together where one learner falls short of one tuple."""
    load = week_context_of(case, NOTHING_RUN, WEEK, NOW, {}, ()).caseload
    theirs = {i: tuple(s for s in seats if s.learner == i) for i in case.learners}
    asked = Asked()
    most = {i: int(i == short) for i in case.learners}
    improved(BestSoFar(load=load, most=most).with_seats(theirs), Workers(asked, lambda _: None), PAIRS)
    return [move.group for move in asked.jobs]


def test_who_holds_most_of_what_a_learner_could_use_is_planned_with_it() -> None:
    case = case_of("ash", "robin", "tit", "wren")
    robin = [seat("robin", 0), seat("robin", 20)]
    tit = [seat("tit", 30)]
    assert tried(case, *robin, *tit, short="wren") == [("robin", "wren")]
    # as many each: by their names
    assert tried(case, robin[0], *tit, short="wren") == [("robin", "wren")]
    # after Wren's hour, or with people and at a place that Wren has no use for
    elsewhere = [seat("robin", 60), seat("robin", 0, adult="ben", place="far")]
    assert tried(case, *elsewhere, *tit, short="wren") == [("tit", "wren")]
    assert tried(case, *elsewhere, short="wren") == []
    assert tried(case, *robin, *tit, short="none") == []


def test_pairs_are_given_up_after_some_rounds_without_a_better_one() -> None:
    rounds = int(PAIRS[0].patience)
    learners = [f"learner-{n:02}" for n in range(2 * SETTINGS.round_jobs * (rounds + 2))]
    case = case_of(*learners)
    load = week_context_of(case, NOTHING_RUN, WEEK, NOW, {}, ()).caseload
    # every other one falls short and has another rival
    seats = {i: (seat(i, n % 50, 1, place="hall"),) if n % 2 else () for n, i in enumerate(learners)}
    asked = Asked()
    best = BestSoFar(load=load, most=dict.fromkeys(learners, 9)).with_seats(seats)
    improved(best, Workers(asked, lambda _: None), PAIRS)
    assert len(asked.jobs) == SETTINGS.round_jobs * rounds
