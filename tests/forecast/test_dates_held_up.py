"""What holds up one thing that is wanted by a date, held against counts made without the planner's ways."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from itertools import combinations
from random import Random

import pytest

from genplan.audit import unsound_sittings
from genplan.case import AdultLimits, Case, LearnerLimits, Wish
from genplan.coverage.tuples import Tuple, tuples_of, wished_tuples
from genplan.evidence.log import Log
from genplan.forecast.baseline import Baseline, BaselineWeek, baseline_projection
from genplan.forecast.bottleneck import BottleneckAnalysis
from genplan.forecast.dates_held_up import of_what_ranks_as_high, wish_held_up
from genplan.forecast.values import BottleneckKind, HeldUp
from genplan.plan import Plan, ProbeKind
from genplan.planning.assemble import sittings_of
from genplan.report.forecast_words import held_up_sentence, wish_sentence
from genplan.report.names_and_words import Names
from genplan.rules.limits import Kind
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.forecast_cases import (
    NOW,
    WEEK,
    Inline,
    hours,
    look_ahead,
    nine_case,
    product_case,
    second_target,
    weeks_from,
    with_adult,
)

SUNDAY = date(2026, 12, 6)
DAY = 24 * 60


def held_up(case: Case, target: str = "skill") -> HeldUp:
    """What is told of the one date of the target."""
    found = next(t for t in look_ahead(case, rate=1.0, weeks=1, courses=1).targets if t.target == target)
    (one,) = (w.held_up for w in found.wishes)
    assert one is not None
    return one


def told(case: Case, found: HeldUp, target: str = "skill") -> str:
    return held_up_sentence(case, case.targets[target], found)


def test_the_probes_that_one_date_takes_and_not_all_of_the_skill() -> None:
    # nine combinations are open; the date asks for the three of one place, and the week holds two
    first, second, _ = nine_case().locations
    case = nine_case(2, first=(Wish({"location": first}, SUNDAY),))
    found = held_up(case)
    assert (found.limit is not None and found.limit.kind) is Kind.TARGET_WEEK
    assert (found.needed, found.others) == (fewest_by_hand(case, 0), 0) == (3, 0)
    assert "2 probes of a skill a week, and this alone takes at least 3" in told(case, found)
    (wish,) = look_ahead(case, rate=1.0, weeks=2, courses=1).targets[0].wishes
    # the third is run in the second week, and the first is the only one up to the date
    assert (wish.line is not None and wish.line > SUNDAY, found.weeks, found.of) == (True, 1, 1)
    assert "(in the only week until then)" in wish_sentence(Names(case), case.targets["skill"], wish)
    # another date of the skill takes a part of the two
    both = nine_case(
        2, first=(Wish({"location": second}, SUNDAY), Wish({"location": first, "adult": "a0-0"}, SUNDAY))
    )
    earlier = next(
        w.held_up for w in look_ahead(both, rate=1.0, weeks=1, courses=1).targets[0].wishes if w.held_up
    )
    assert (earlier.needed, earlier.others) == (3, 1)
    assert "1 more of the skill until then is due or wanted by another date" in told(both, earlier)


def test_what_has_no_date_holds_nothing_up() -> None:
    """One day and two probes of the child. The other skill is wanted first, but by no date: it gives way, and is not
    told as what takes the time."""
    case = second_target(product_case((3, 1, 1), cover="all", a_week=7, a_day=7))
    case = one_day(case, LearnerLimits(probes_per_day=2))
    one, zeal = case.targets.values()
    dated = replace(one, first=(Wish({"location": "l1-0"}, SUNDAY),))
    case = replace(case, targets={one.id: dated, zeal.id: replace(zeal, first=(Wish({"adult": "a0-0"}),))})
    found = held_up(case)
    assert found.by is BottleneckKind.LEARNER
    assert found.others == 0
    # with a date of its own it ranks as high
    both = replace(
        case, targets={**case.targets, "zeal": replace(zeal, first=(Wish({"adult": "a0-0"}, SUNDAY),))}
    )
    of_both = held_up(both)
    assert (of_both.by, of_both.others, of_both.probes) == (BottleneckKind.OTHERS_FIRST, 1, 2)
    assert "1 of the 2 probes until then that are due or wanted by a date is of other skills" in told(
        both, of_both
    )


def one_day(case: Case, limits: LearnerLimits) -> Case:
    """The child has Mondays alone."""
    (wren,) = case.learners.values()
    return replace(case, learners={"wren": replace(wren, limits=limits, free=hours((9, 12), None))})


def fewest_by_hand(case: Case, wish: int) -> int:
    """The fewest combinations that show all that a wish asks for, by trying them all."""
    target = case.targets["skill"]
    rows = [set(tuples_of(target, c)) for c in target.combinations()]
    wanted = wished_tuples(target, target.first[wish].pattern, set().union(*rows))
    return next(
        n for n in range(len(rows) + 1) if any(wanted <= set().union(*some) for some in combinations(rows, n))
    )


def random_case(dice: Random) -> Case:
    """Two skills of one child, two adults with few hours, dates that mostly cannot hold."""
    levels = (2, dice.randint(1, 2), dice.randint(1, 2))
    case = second_target(product_case(levels, cover=dice.choice(["all", "pairs"]), a_week=dice.randint(2, 4)))
    days = {a: dice.sample(range(5), dice.randint(1, 2)) for a in case.adults}
    for adult, own in days.items():
        free = hours(*((9, 10) if d in own else None for d in range(7)))
        most = dice.choice([None, 10, 20])
        case = with_adult(case, adult, free=free, limits=AdultLimits(minutes_per_week=most))
    limits = LearnerLimits(probes_per_day=dice.choice([None, 1, 2]))
    case = replace(
        case,
        learners={"wren": replace(case.learners["wren"], limits=limits)},
        policy=replace(case.policy, start_every_minutes=20),
    )
    one, zeal = case.targets.values()
    by = date(2026, 12, dice.choice([2, 4, 6, 9]))
    first = (Wish({"location": "l1-0"}, by),)
    other = dice.choice([(), (Wish({"adult": "a0-0"}, None),), (Wish({"adult": "a0-0"}, by),)])
    return replace(case, targets={one.id: replace(one, first=first), zeal.id: replace(zeal, first=other)})


@pytest.mark.parametrize("seed", range(8))
def test_in_each_week_that_is_told_no_rule_lets_it_in_beside_what_ranks_as_high(seed: int) -> None:
    """The auditor is asked of each probe at each minute of the grid. What is told of no date is taken out by the
    test's own reading of what ranks as high."""
    case = random_case(Random(seed))
    line = baseline_projection(
        case, Log(), weeks_from(WEEK, 2), NOW, {}, Inline(), lambda _: None, teaching_weeks=1
    )
    target = case.targets["skill"]
    (wish,) = target.first
    assert wish.by is not None
    wanted = wished_tuples(target, wish.pattern, line.before["skill"].open)
    found = wish_held_up(BottleneckAnalysis(case, line, target), wanted, wish.by)
    late = wanted - shown_until(line, wish.by)
    assert (found.by is BottleneckKind.RETESTS) is not late
    for week, ranks in zip(
        line.until(wish.by).weeks, of_what_ranks_as_high(line.until(wish.by)).weeks, strict=True
    ):
        kept = by_hand(week, line)
        assert {(s.start, p) for s in ranks.seats for p in s.probes} == kept
        if week.week in found.held_in and found.limit is not None:
            open_for = [t for t in late if fits(week, ranks.seats, t, wish.by, line)]
            if found.limit.kind is Kind.LESS_URGENT:
                assert open_for
            else:
                assert late - {*open_for}


def shown_until(line: Baseline, by: date) -> set[Tuple]:
    return {
        t
        for w in line.weeks
        for s in w.seats
        if w.week.days[s.day] <= by
        for p in s.probes
        if p.target == "skill"
        for t in tuples_of(w.case.targets["skill"], p.combination)
    }


def by_hand(week: BaselineWeek, line: Baseline) -> set[tuple[int, PlacedProbe]]:
    """The probes of the week that show, until a date, something that this date still asks for; nothing is due here."""
    at = [w.week for w in line.weeks].index(week.week)
    before = line.weeks[at - 1].after if at else line.before
    kept = set()
    for seat in week.seats:
        for probe in seat.probes:
            target = week.case.targets[probe.target]
            open_now = before[probe.target].open.intersection(tuples_of(target, probe.combination))
            for wish in target.first:
                in_time = wish.by is not None and (
                    wish.by < week.week.monday or week.week.days[seat.day] <= wish.by
                )
                if in_time and any(set(wish.pattern.items()) <= set(t) for t in open_now):
                    kept.add((seat.start, probe))
    return kept


def fits(
    week: BaselineWeek, seats: tuple[PlacedSitting, ...], wanted: Tuple, by: date, line: Baseline
) -> bool:
    """Whether a probe that shows it has a place until the date that the auditor finds nothing wrong with: a sitting of
    its own, or the end of one that is planned."""
    return any(
        not unsound_sittings(week.case, week.log, plan_of(week, some), week.busy)
        for some in with_one_more(week, seats, wanted, by)
    )


def plan_of(week: BaselineWeek, seats: tuple[PlacedSitting, ...]) -> Plan:
    return Plan.of_sittings(week.week, NOW, sittings_of(week.case, week.week, (), seats, ()))


def with_one_more(
    week: BaselineWeek, seats: tuple[PlacedSitting, ...], wanted: Tuple, by: date
) -> Iterator[tuple[PlacedSitting, ...]]:
    target = week.case.targets["skill"]
    step, settle = week.case.policy.start_every_minutes, week.case.policy.settle_minutes
    for combination in target.combinations():
        if wanted not in tuples_of(target, combination):
            continue
        adult, place = combination[:2]
        probe = PlacedProbe("skill", combination, ProbeKind.NEW.value)
        for seat in seats:
            if (seat.adult, seat.location) == (adult, place):
                longer = replace(seat, end=seat.end + target.minutes, probes=(*seat.probes, probe))
                yield tuple(longer if s == seat else s for s in seats)
        for start in range(0, 7 * DAY, step):
            if 9 * 60 <= start % DAY < 10 * 60 and week.week.days[start // DAY] <= by:
                own = PlacedSitting("wren", adult, place, start, start + settle + target.minutes, (probe,))
                yield (*seats, own)
