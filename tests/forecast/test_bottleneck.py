"""The one thing that holds a target up, and that without it the line is shorter."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from itertools import product

import pytest

from genplan.case import Absence, AdultLimits, Case, Learner, LearnerLimits, WeeklyHours, Window, Wish
from genplan.case.people import Birth
from genplan.evidence.log import Log
from genplan.forecast import BottleneckKind, Forecast, HeldUp, TargetForecast
from genplan.forecast.baseline import WeekFacts
from genplan.forecast.remaining_capacity import RemainingCapacity
from genplan.forecast.values import Values
from genplan.language import Speech, Words, speaking
from genplan.plan import ProbeKind
from genplan.planning.needs import Choice
from genplan.planning.openings import Hours
from genplan.report.forecast_table import forecast_table
from genplan.report.forecast_words import target_sentences, wish_sentence
from genplan.report.names_and_words import Names
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from genplan.text.held_up import held_up_text
from tests.fixtures.forecast_cases import (
    WEEK,
    hours,
    last_reason,
    look_ahead,
    nine_case,
    only,
    product_case,
    row,
    second_target,
    with_adult,
    with_target,
)

BEFORE = date(2026, 11, 25)


def the(found: Forecast, target: str) -> TargetForecast:
    return next(t for t in found.targets if t.target == target)


def told(case: Case, held_up: HeldUp) -> str:
    return held_up_text(case, case.targets["skill"], held_up)


def line_of(case: Case, log: Log | None = None) -> int:
    line = only(look_ahead(case, log, rate=1.0, courses=1, weeks=12)).coverage.line
    assert line is not None
    return line


def test_what_is_asked_for_by_name_and_cannot_be_met() -> None:
    """A place in no combination that is possible; and one that was taught, where only what was not taught counts."""
    case = product_case((2, 2, 1), generalised_with=({"location": "l1-1"},), never=({"location": "l1-1"},))
    found = only(look_ahead(case, rate=1.0))
    assert (found.generalised, found.out_of_reach) == (None, True)
    assert "no combination that is possible holds it" in told(case, last_reason(found))
    assert case.locations["l1-1"].name in told(case, last_reason(found))
    taught = product_case(
        (1, 1, 1), generalised_when={"adult": 1}, generalised_untaught=True, taught=({"adult": "a0-0"},)
    )
    found = only(look_ahead(taught, rate=1.0))
    assert (last_reason(found).by, found.out_of_reach) == (BottleneckKind.OUT_OF_REACH, True)
    assert "1 adult met without teaching, and only 0 can still be" in told(taught, last_reason(found))


def test_nothing_where_the_first_week_finishes_it() -> None:
    found = last_reason(only(look_ahead(product_case((2, 1, 1), cover="all"), rate=1.0)))
    assert (found.by, found.of) == (BottleneckKind.NOTHING, 0)


def test_the_probes_that_the_policy_allows() -> None:
    # 9 probes at 2 a week: in each of the 4 weeks before the fifth the policy alone stood in the way
    case = nine_case(2)
    found = last_reason(only(look_ahead(case, rate=1.0)))
    assert (found.by, found.weeks, found.of) == (BottleneckKind.PROBES_OF_A_SKILL, 4, 4)
    assert found.held_in == tuple(WEEK.run(4))
    assert "2 probes of a target a week" in told(case, found)
    assert "9 are still to be run" in told(case, found)
    assert line_of(nine_case(3)) < line_of(nine_case(2))
    # in two weeks four of them are run
    found = last_reason(only(look_ahead(case, weeks=2, rate=1.0)))
    assert "at least 9 are still to be run" in told(case, found)


def test_the_minutes_of_an_adult() -> None:
    # 2 adults x 3 places, all in one day if need be; the first has 10 minutes a week, one sitting of 5 + 5: 3 weeks
    ample = product_case((2, 3, 1), cover="all", a_week=6, a_day=6)
    first = next(iter(ample.adults))
    case = with_adult(ample, first, limits=AdultLimits(minutes_per_week=10))
    found = only(look_ahead(case, rate=1.0))
    assert found.coverage.line == 2
    assert (last_reason(found).by, last_reason(found).weeks, last_reason(found).of) == (
        BottleneckKind.ADULT,
        2,
        2,
    )
    assert case.adults[first].name in told(case, last_reason(found))
    assert line_of(ample) == 0


def test_one_thing_that_would_have_been_enough_comes_before_what_stands_in_all_ways() -> None:
    # five places, two adults with one probe a week each: 3 weeks. Every place could be run by either if that one alone
    # had more time; no one limit stands in all ways
    case = product_case((2, 5, 1), cover="each-value", a_week=7, a_day=7)
    for adult in case.adults:
        case = with_adult(case, adult, limits=AdultLimits(minutes_per_week=10))
    found = only(look_ahead(case, rate=1.0))
    assert found.coverage.line == 2
    assert (last_reason(found).by, last_reason(found).weeks, last_reason(found).of) == (
        BottleneckKind.ADULT,
        2,
        2,
    )


def test_hours_that_people_do_not_share() -> None:
    # the only adult is away in the first two weeks; then there are 3 probes, one a day
    case = product_case((1, 3, 1), cover="all")
    (adult,) = case.adults
    away = (Absence(datetime(2026, 11, 30), datetime(2026, 12, 14)),)
    longer = with_adult(case, adult, away=away)
    found = only(look_ahead(longer, rate=1.0))
    assert found.coverage.line == 2
    assert (last_reason(found).by, last_reason(found).weeks, last_reason(found).of) == (
        BottleneckKind.HOURS,
        2,
        2,
    )
    assert case.adults[adult].name in told(case, last_reason(found))
    assert "this week" not in told(case, last_reason(found))


def test_hours_that_others_do_not_share_in_another_week_are_not_counted_with_them() -> None:
    """Away is the adult in the first week, and in the second the place is shut: each is told of its own week."""
    case = product_case((1, 1, 1), cover="all")
    (adult,), (place,) = case.adults, case.locations.values()
    away = (Absence(datetime(2026, 11, 30), datetime(2026, 12, 7)),)
    shut = replace(place, closed=(Absence(datetime(2026, 12, 7), datetime(2026, 12, 14)),))
    case = replace(with_adult(case, adult, away=away), locations={place.id: shut})
    found = only(look_ahead(case, rate=1.0))
    assert found.coverage.line == 2
    held_up = last_reason(found)
    assert (held_up.by, held_up.weeks, held_up.of) == (BottleneckKind.HOURS, 1, 2)
    (name,) = (w.name for w in (case.adults[adult], place) if w.name in told(case, held_up))
    assert [str(w) for w in held_up.held_in] == [
        "2026-W49" if name == case.adults[adult].name else "2026-W50"
    ]


def test_busy_times_count() -> None:
    case = product_case((1, 2, 1), cover="all")
    (adult,) = case.adults
    week = look_ahead(case, weeks=1).weeks[0]
    busy = {adult: (Absence(datetime(2026, 11, 30), datetime(2026, 12, 7), "busy"),)}
    found = only(look_ahead(case, rate=1.0, facts={week: WeekFacts(busy)}))
    assert found.coverage.line == 1


def test_a_day_that_the_policy_does_not_use() -> None:
    # the second adult comes on Saturdays only, and the policy plans from Monday to Friday
    case = product_case((2, 1, 1), cover="all")
    _, second = case.adults
    case = with_adult(case, second, free=hours(None, None, None, None, None, (9, 17), None))
    case = replace(case, policy=replace(case.policy, days=(0, 1, 2, 3, 4)))
    found = only(look_ahead(case, weeks=3, rate=1.0))
    assert found.coverage.line is None
    assert last_reason(found).by is BottleneckKind.HOURS
    assert "the policy" in told(case, last_reason(found))
    assert "Sat" in told(case, last_reason(found))


def test_what_a_child_grows_into_is_no_longer_out_of_reach() -> None:
    """The second set is for children of 36 months: reached in the week that begins with them, and not before."""
    case = product_case((1, 1, 2), generalised_when={"material_set": 2})
    (target,) = case.targets.values()
    *_, later = target.dimensions[2].values
    case = replace(
        case,
        material_sets={**case.material_sets, later: replace(case.material_sets[later], min_age_months=36)},
    )

    def born(day: int) -> TargetForecast:
        young = replace(case.learners["wren"], born=Birth(2023, 12, day))
        return only(look_ahead(replace(case, learners={"wren": young}), weeks=4, rate=1.0))

    on_a_monday, a_day_later = born(14), born(15)
    assert on_a_monday.generalised is not None
    assert a_day_later.generalised is not None
    assert (on_a_monday.generalised.line, on_a_monday.out_of_reach) == (2, False)
    assert a_day_later.generalised.line == 3
    assert last_reason(on_a_monday).by is BottleneckKind.TOO_YOUNG
    assert case.material_sets[later].name in told(case, last_reason(on_a_monday))


def test_an_adult_who_is_not_briefed() -> None:
    # the criterion asks for three adults; two are briefed
    case = nine_case(2, generalised_when={"adult": 3})
    *_, last = case.adults
    case = with_adult(case, last, briefed_on=frozenset())
    found = only(look_ahead(case, rate=1.0))
    assert (found.generalised, found.out_of_reach) == (None, True)
    assert last_reason(found).by is BottleneckKind.BRIEFING
    assert case.adults[last].name in told(case, last_reason(found))
    briefed = with_adult(case, last, briefed_on=frozenset({"skill"}))
    assert not only(look_ahead(briefed, rate=1.0)).out_of_reach


def test_a_criterion_that_no_briefing_brings_into_reach() -> None:
    case = nine_case(2, generalised_when={"material_set": 2})
    found = only(look_ahead(case, rate=1.0))
    assert last_reason(found).by is BottleneckKind.OUT_OF_REACH
    assert "2 material sets" in told(case, last_reason(found))


def waiting_case() -> tuple[Case, Log]:
    """One combination, not met and not taught since."""
    case = product_case((1, 1, 1), cover="all", generalised_when={"adult": 1})
    target = case.targets["skill"]
    return case, Log.of([row(target, target.combinations()[0], False, BEFORE)])


def test_something_that_waits_for_teaching() -> None:
    case, log = waiting_case()
    found = only(look_ahead(case, log, rate=1.0, teaching_weeks=3))
    # three weeks of teaching: probed again in the fourth
    assert found.generalised is not None
    assert (found.coverage.done, found.generalised.line) == (True, 3)
    assert (last_reason(found).by, last_reason(found).weeks, last_reason(found).of) == (
        BottleneckKind.TEACHING,
        3,
        3,
    )
    sooner = only(look_ahead(case, log, rate=1.0, teaching_weeks=0)).generalised
    assert sooner is not None
    assert sooner.line == 0


@pytest.mark.parametrize(
    ("by", "planned", "teaching_weeks", "told"),
    [
        (date(2026, 12, 20), False, 3, 3),
        (date(2026, 12, 21), False, 3, 0),
        (date(2026, 12, 27), False, 3, 0),
        (date(2026, 12, 20), False, 2, 0),
        (date(2026, 12, 20), True, 3, 0),
    ],
)
def test_a_date_that_teaching_alone_puts_out_of_reach(
    by: date, planned: bool, teaching_weeks: int, told: int
) -> None:
    case, log = waiting_case()
    case = with_target(case, first=(Wish({"adult": "a0-0"}, by),))
    case = replace(case, policy=replace(case.policy, plan_teaching=planned))
    (wish,) = only(look_ahead(case, log, rate=1.0, teaching_weeks=teaching_weeks)).wishes
    assert (wish.done, wish.teaching_weeks) == (True, told)
    # what the courses have of it
    assert wish.met == 0.0 if told else planned or by.weekday() < 6 or wish.met == 1.0
    sentence = wish_sentence(Names(case), case.targets["skill"], wish)
    assert (
        "What of it was not met cannot come again before the date if teaching it takes 3 weeks (--taught-within)."
        in sentence
    ) is bool(told)


def test_teaching_that_never_comes() -> None:
    case, log = waiting_case()
    found = only(look_ahead(case, log, weeks=3, rate=1.0, teaching_weeks=3))
    assert found.generalised is not None
    assert (found.generalised.line, found.generalised.within) == (None, 0)
    assert last_reason(found).by is BottleneckKind.TEACHING


def test_other_skills_in_the_same_hours() -> None:
    # two skills of four probes each, one probe a day for both together: 7 in the first week, the eighth after it
    case = second_target(product_case((4, 1, 1), cover="all", a_week=7))
    (learner,) = case.learners.values()
    limited: Learner = replace(learner, limits=LearnerLimits(probes_per_day=1))
    case = replace(case, learners={"wren": limited})
    found = look_ahead(case, rate=1.0)
    last = next(t for t in found.targets if t.coverage.line == 1)
    assert last_reason(last).by is BottleneckKind.OTHERS_FIRST
    assert "other targets" in told(case, last_reason(last))


def test_what_was_only_taught_and_the_criterion_wants_met() -> None:
    # one adult, one place, two sets, each value once; the first set is taught, so only the second is probed
    case = product_case((1, 1, 2), cover="each-value", generalised_when={"material_set": 2})
    target = case.targets["skill"]
    names, first = target.dimension_names, target.combinations()[0]
    case = with_target(case, taught=(dict(zip(names, first, strict=True)),))
    found = only(look_ahead(case, weeks=3, rate=1.0))
    assert found.generalised is not None
    assert (found.coverage.line, found.generalised.line) == (0, None)
    assert last_reason(found).by is BottleneckKind.NOT_PLANNED
    assert "1 material set" in told(case, last_reason(found))


def test_what_was_only_taught_where_it_is_never_open() -> None:
    # two places, each once: both are taught, so nothing is probed as new; the second is never open
    case = product_case((1, 2, 1), cover="each-value", generalised_when={"location": 2})
    target = case.targets["skill"]
    names, combinations = target.dimension_names, target.combinations()
    case = with_target(case, taught=tuple(dict(zip(names, c, strict=True)) for c in combinations))
    closed = combinations[1][1]
    place = replace(case.locations[closed], open=WeeklyHours.never())
    never = replace(case, locations={**case.locations, closed: place})
    for one, by in ((case, BottleneckKind.NOT_PLANNED), (never, BottleneckKind.HOURS)):
        assert last_reason(only(look_ahead(one, weeks=3, rate=1.0))).by is by
    found = last_reason(only(look_ahead(never, weeks=3, rate=1.0)))
    assert (found.weeks, found.of) == (3, 3)
    assert f"{closed} is not open in those weeks" in told(never, found)


def test_a_wish_that_does_not_hold_is_held_up_by_something_of_its_own() -> None:
    # three combinations at the first place in one week, of which the policy allows two
    first = next(iter(nine_case().locations))
    case = nine_case(2, first=(Wish({"location": first}, date(2026, 12, 6)),))
    (wish,) = only(look_ahead(case, rate=1.0)).wishes
    assert wish.held_up is not None
    assert wish.held_up.by is BottleneckKind.PROBES_OF_A_SKILL


def test_a_wish_that_holds_unless_something_fails() -> None:
    # 3 wanted, 1 a week: the third in the third week, by 20 December; a retest in that week puts it off
    first = next(iter(nine_case().locations))
    case = nine_case(1, first=(Wish({"location": first}, date(2026, 12, 20)),))
    (wish,) = only(look_ahead(case, rate=0.5, courses=200)).wishes
    assert wish.verdict.value == "at risk"
    assert wish.held_up is not None
    assert wish.held_up.by is BottleneckKind.RETESTS
    # the first probe fails in half of the courses and is probed again in the third week
    assert 0.4 < wish.tried < 0.6


def test_a_course_keeps_the_rest_over_midnight() -> None:
    """A sitting of the line ends on Monday at 23:50; with a rest of 30 minutes one on Tuesday begins at 0:30, on a grid
    of 15, and not at midnight."""
    case = product_case((1, 1, 2), cover="all", a_day=4)
    first, second = case.targets["skill"].combinations()
    day = 24 * 60
    (adult,), (place,) = case.adults, case.locations
    evening = PlacedSitting(
        "wren", adult, place, day - 20, day - 10, (PlacedProbe("skill", first, ProbeKind.NEW.value),)
    )
    who, adults, places = ({i: (Window(day, day + 60),)} for i in ("wren", adult, place))
    tuesday = Hours(learners=who, adults=adults, locations=places)
    room = RemainingCapacity(case, WEEK, tuesday, (evening,), "wren")
    found = room.beside((evening,), Choice("skill", second, ProbeKind.NEW))
    assert found is not None
    assert [s.start - day for s in found] == [-20, 30]


def test_new_probes_that_wait_for_a_lapse() -> None:
    """What was taught is not met any more, and is taught in three weeks: until then nothing new is probed."""
    case = product_case((2, 2, 1))
    case = replace(case, policy=replace(case.policy, new_wait_after_lapse=True))
    (target,) = case.targets.values()
    adult, place = next(iter(case.adults)), next(iter(case.locations))
    case = with_target(case, taught=({"adult": adult, "location": place},))
    lapse = next(c for c in product(*(d.values for d in target.dimensions)) if c[:2] == (adult, place))
    log = Log.of([row(target, lapse, False, BEFORE)])
    waiting = only(look_ahead(case, log, rate=1.0, courses=1, weeks=2))
    assert waiting.coverage.line is None
    assert last_reason(waiting).by is BottleneckKind.NEW_WAIT
    assert "not met any more where it was taught, and new combinations wait" in told(
        case, last_reason(waiting)
    )
    free = replace(case, policy=replace(case.policy, new_wait_after_lapse=False))
    assert only(look_ahead(free, log, rate=1.0, courses=1, weeks=2)).coverage.line is not None


def test_in_plain_words_several_things_are_no_one_thing() -> None:
    case = product_case((2, 2, 1))
    held_up = HeldUp(
        by=BottleneckKind.OUT_OF_REACH, weeks=1, of=1, lacking=(Values(3, "location"),), in_reach=2
    )
    with speaking(Speech("en", Words.PLAIN)):
        assert told(case, held_up) == "the aim is 3 places, and the case leaves only 2 possible"


def test_each_row_has_the_reason_of_its_own_milestone() -> None:
    """Out of reach is the criterion, and the coverage waits for what the policy allows; a criterion that the first week
    meets is held up by nothing."""
    out = nine_case(2, generalised_when={"adult": 4})
    rows = {r["what"]: r["held_up_by"] for r in rows_of(out)}
    assert rows == {"generalised": "out of reach", "coverage": "probes of a skill"}
    at_once = nine_case(2, generalised_when={"adult": 1})
    rows = {r["what"]: r["held_up_by"] for r in rows_of(at_once)}
    assert rows == {"generalised": "nothing", "coverage": "probes of a skill"}
    later = nine_case(2, generalised_when={"adult": 3})
    found = only(look_ahead(later, rate=1.0))
    assert (found.generalised and found.generalised.line, found.coverage.line) == (1, 4)
    assert found.criterion_held_up is not None
    assert (found.criterion_held_up.by, found.criterion_held_up.of) == (BottleneckKind.PROBES_OF_A_SKILL, 1)
    lines = list(target_sentences(later, look_ahead(later, rate=1.0), found))
    assert [label for label, _ in lines] == [
        "Generalised",
        "What holds it up most",
        "Every combination tried",
        "What holds it up most",
        "So far",
    ]


def rows_of(case: Case) -> list[dict[str, str]]:
    table = forecast_table(case, look_ahead(case, rate=1.0))
    return [dict(zip(table.columns, map(str, row), strict=True)) for row in table.rows]
