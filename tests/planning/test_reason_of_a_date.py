"""Why a date is missed: what of the same or a higher rank takes the scarce adult, and no choice of lower rank."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from genplan.case import Adult, Case, Learner, WeeklyHours, Wish
from genplan.case.windows import Window
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import ProbeKind
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.needs import need_of
from genplan.planning.openings import hours as hours_of
from genplan.planning.reasons_of_dates import DatedWays, reason_of_dated
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from genplan.text.limits import limit_sentence
from tests.fixtures.planning_cases import NOW, WEEK, hours, plan_one, product_case

SCARCE = "a0-0"
VERA_S = (SCARCE, "l1-0", "m2-0")
THURSDAY = 3 * 24 * 60


def two_who_want_one_hour(minutes: int) -> Case:
    """Two children, one probe of each skill a day, and an adult with so many minutes, on Thursday alone, with whom both
    have a date; with others they could be probed on every day."""
    case = product_case((3, 1, 1))
    wish = Wish(pattern={"adult": SCARCE}, by=date(2026, 12, 4))
    skill = replace(case.targets["skill"], first=(wish,))
    vera = Adult(
        id=SCARCE,
        name="Vera",
        free=WeeklyHours(((), (), (), (Window(600, 600 + minutes),), (), (), ())),
    )
    wren = case.learners["wren"]
    return replace(
        case,
        adults={**case.adults, SCARCE: vera},
        learners={"wren": wren, "finn": Learner(id="finn", name="Finn", alias="F.", free=hours((9, 17)))},
        targets={"skill": skill, "other": replace(skill, id="other", learner="finn")},
    )


def test_the_scarce_adult_is_named_with_whoever_ranks_as_high() -> None:
    case = two_who_want_one_hour(20)
    plan = plan_one(case)
    dates = [i for i in plan.left_out if i.kind is ProbeKind.NEW and ("adult", SCARCE) in i.values]
    held = {s.learner for s in plan.sittings if s.adult == SCARCE}
    assert len(held) == 1
    assert dates
    for item in dates:
        assert item.learner not in held
        assert item.limit.kind is Kind.ADULT_TIME, limit_sentence(case, item.limit)
        assert set(item.limit.as_high) == held
        alias = case.learners[next(iter(held))].alias
        assert limit_sentence(case, item.limit).endswith(
            f"; and what takes it ({alias}) is due or has its last chance, too"
        )


def test_with_time_for_both_no_date_is_missed() -> None:
    plan = plan_one(two_who_want_one_hour(40))
    assert not [i for i in plan.left_out if ("adult", SCARCE) in i.values]


def a_probe_that_could_be_on_another_day(a_day: int = 1) -> Case:
    """The same hour of Vera, in which only one sitting has room; the maintenance probe of Wren's skill is owed, too,
    with somebody who is there every day."""
    case = two_who_want_one_hour(10)
    skill = replace(case.targets["skill"], mastered_on=date(2026, 11, 1), maintenance_days=(29,))
    case = replace(case, targets={**case.targets, "skill": skill})
    return replace(case, policy=replace(case.policy, probes_per_target_per_day=a_day))


def why_missed(case: Case, *, with_finn: bool, stays: bool = False) -> Limit | None:
    """Wren's maintenance probe stands on the Thursday, and Finn is with Vera there, if he is; `stays`: people decided
    that Wren's sitting stays as it is."""
    other = ("a0-1", "l1-0", "m2-0")
    met = Result(
        line=2,
        date=date(2026, 9, 1),
        time=None,
        target="skill",
        combination=other,
        correct=5,
        trials=5,
        kind=ResultKind.PROBE,
    )
    found = need_of(case, case.targets["skill"], Log((met,)), WEEK, NOW.date())
    need = replace(found, wishes=tuple(replace(w, last_chance=True) for w in found.wishes))
    assert need.of_kind(ProbeKind.MAINTENANCE)
    upkeep, new = ((PlacedProbe(*p),) for p in (("skill", other, "maintenance"), ("other", VERA_S, "new")))
    seats = [PlacedSitting("wren", "a0-1", "l1-0", THURSDAY + 840, THURSDAY + 850, upkeep)]
    if with_finn:
        seats.append(PlacedSitting("finn", SCARCE, "l1-0", THURSDAY + 600, THURSDAY + 610, new))
    finder = InsertionFinder(case, hours_of(case, WEEK, NOW, {}), seats)
    ways = DatedWays(finder, frozenset(seats[:1] if stays else ()))
    (wanted,) = {t for w in need.wishes for t in w.tuples if {"adult", "location"} == {name for name, _ in t}}
    return reason_of_dated(ways, need, wanted, [c for c in need.of_kind(ProbeKind.NEW) if wanted in c.shows])


def test_a_probe_that_could_as_well_be_on_another_day_takes_no_date_its_day() -> None:
    found = why_missed(a_probe_that_could_be_on_another_day(), with_finn=True)
    assert found is not None
    assert (found.kind, found.adult, found.as_high) == (Kind.ADULT_TIME, SCARCE, ("finn",))
    # more probes a day are no help, and without what is told nothing else is in the way
    assert why_missed(a_probe_that_could_be_on_another_day(a_day=2), with_finn=True) == found
    assert why_missed(a_probe_that_could_be_on_another_day(), with_finn=False) is None


def test_a_probe_that_stays_takes_the_day_and_alone_is_told_only_where_it_is_enough() -> None:
    alone = why_missed(a_probe_that_could_be_on_another_day(), with_finn=False, stays=True)
    assert alone is not None
    assert (alone.kind, alone.as_high) == (Kind.TARGET_DAY, ("wren",))
    case = a_probe_that_could_be_on_another_day()
    both = why_missed(case, with_finn=True, stays=True)
    assert both is not None
    assert [part.kind for part in both.parts] == [Kind.TARGET_DAY, Kind.ADULT_TIME]
    assert "one thing less in the way would not be enough" in limit_sentence(case, both)
