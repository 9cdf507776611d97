"""Which sitting is which: held against all pairings of small weeks, by what a person has to be told, counted here."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from itertools import permutations
from random import Random

import pytest

from genplan.case.sitting_ids import stem_of
from genplan.case.week import DAY_NAMES
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.keeping.differences import Change, differences
from genplan.keeping.revision import revise
from genplan.keeping.same_sittings import cheapest_pairs, content, pairs
from genplan.keeping.told import Told
from genplan.plan import Sitting
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.tiny import WEEK
from tests.keeping.test_revision import GREETS, MONDAY, SUNDAY, ZIPS, kept, sitting

ADULTS, PLACES, PROBES = ("grandad", "mum"), ("park", "home"), ((ZIPS,), (GREETS,), (ZIPS, GREETS))


def test_two_that_moved_are_each_told_as_the_plain_move_that_it_is() -> None:
    """Wednesday's in the park goes to Friday, Thursday's at home to Saturday; by time alone Thursday's is nearest to
    Friday, and both would be told other places and other probes too."""
    wednesday, thursday = sitting(2, 16, "grandad", "park", ZIPS), sitting(3, 10, "grandad", "home", GREETS)
    friday, saturday = sitting(4, 10, "grandad", "park", ZIPS), sitting(5, 16, "grandad", "home", GREETS)
    before = kept(wednesday, thursday)
    moved = [(Change.MOVED, wednesday, friday), (Change.MOVED, thursday, saturday)]
    for after in ([friday, saturday], [saturday, friday]):
        assert [(d.change, d.before, d.after) for d in differences(before, after, MONDAY)] == moved
        told = revise(before, after, MONDAY, settled=True)
        assert [(t.event, t.sitting.location) for t in told] == [
            (wednesday.id, "park"),
            (thursday.id, "home"),
        ]


def drawn(random: Random) -> list[Sitting]:
    """Some sittings of two adults, of which no two of one adult begin at once; their ids count those of a day."""
    starts = random.sample([(day, hour) for day in range(1, 5) for hour in (9, 10, 15)], random.randint(0, 5))
    found: list[Sitting] = []
    for day, hour in sorted(starts):
        adult = random.choice(ADULTS)
        one = sitting(day, hour, adult, random.choice(PLACES), *random.choice(PROBES))
        one = replace(one, end=one.start + timedelta(minutes=random.choice((20, 25))))
        number = sum(s.id.startswith(one.id) for s in found)
        found.append(replace(one, id=one.id + ("", "-b", "-c", "-d", "-e")[number]))
    return found


def varied(random: Random, told: list[Sitting]) -> list[Sitting]:
    """A plan that keeps some of what was told: as it is, at another place or later that day."""
    new = {s.id: s for s in drawn(random)}
    for one in told:
        match random.randint(0, 3):
            case 0:
                new[one.id] = one
            case 1:
                new[one.id] = replace(one, location=random.choice(PLACES))
            case 2:
                hour = timedelta(hours=1)
                new[one.id] = replace(one, start=one.start + hour, end=one.end + hour)
    return list(new.values())


def said_otherwise(before: Sitting, after: Sitting) -> tuple[int, ...]:
    """What a person hears if `after` is `before`: anything, another start, how many things, another day, minutes."""
    things = [
        (before.start, before.end) != (after.start, after.end),
        before.location != after.location,
        before.probes != after.probes,
    ]
    minutes = abs((after.start - before.start).total_seconds()) / 60
    days = before.start.date() != after.start.date()
    return any(things), minutes > 0, sum(things), days, round(minutes)


def least(told: list[Sitting], plan: list[Sitting]) -> tuple[int, ...]:
    few, many = sorted((told, plan), key=len)
    sums = (
        [said_otherwise(a, b) for a, b in zip(few, chosen, strict=True)]
        for chosen in permutations(many, len(few))
    )
    return min(tuple(map(sum, zip(*one, strict=True))) for one in sums)


def of(adult: str, sittings: list[Sitting]) -> list[Sitting]:
    return [s for s in sittings if s.adult == adult]


@pytest.mark.parametrize("seed", by_day_the_first(range(150), 50))
def test_no_other_pairing_of_a_small_week_has_less_to_tell(seed: int) -> None:
    random = Random(seed)
    before = drawn(random)
    plan = varied(random, before)
    told = list(kept(*before))
    now = MONDAY - timedelta(days=1)
    found = pairs(told, plan, now, ())
    for adult in ADULTS:
        old, new = of(adult, before), of(adult, plan)
        ours = [(found[s.id].sitting, s) for s in new if s.id in found]
        assert len(ours) == min(len(old), len(new))
        assert {t.adult for t, _ in ours} <= {adult}
        if ours:
            sums = zip(*(said_otherwise(*pair) for pair in ours), strict=True)
            assert tuple(map(sum, sums)) == least(old, new)
    random.shuffle(told)
    random.shuffle(plan)
    assert pairs(told, plan, now, ()) == found


@pytest.mark.parametrize("seed", by_day_the_first(range(150), 50))
def test_nothing_of_a_plan_vanishes_where_it_is_kept(seed: int) -> None:
    """Some of what was told has begun, and not all of that was held: another one may be called as it was."""
    random = Random(seed)
    before = drawn(random)
    now = datetime(2026, 12, random.randint(1, 4), 12, tzinfo=SUNDAY.tzinfo)
    begun = [s for s in before if s.start < now and random.random() < 0.5]
    plan = [*begun, *(s for s in varied(random, before) if s.start >= now)]
    plan = list({s.id: s for s in reversed(plan)}.values())
    told = revise(kept(*before), plan, now, settled=True)
    so = [content(t.sitting) for t in told if not t.cancelled]
    assert [content(s) for s in plan if content(s) not in so] == []
    assert [s for s in before if s.start < now and content(s) not in so] == []
    assert len({t.event for t in told}) == len(told)


@pytest.mark.parametrize("seed", by_day_the_first(range(60), 20))
def test_pairs_are_the_cheapest_of_all(seed: int) -> None:
    random = Random(seed)
    rows, columns = random.randint(1, 5), random.randint(1, 5)
    costs = [[(random.randint(0, 2), random.randint(0, 9)) for _ in range(columns)] for _ in range(rows)]
    found = cheapest_pairs(costs)
    assert len({i for i, _ in found}) == len({j for _, j in found}) == min(rows, columns)
    short, long = sorted((rows, columns))
    all_of_them = (
        [costs[k][j] if rows <= columns else costs[j][k] for k, j in enumerate(chosen)]
        for chosen in permutations(range(long), short)
    )
    sums = [tuple(map(sum, zip(*one, strict=True))) for one in all_of_them]
    assert tuple(map(sum, zip(*(costs[i][j] for i, j in found), strict=True))) == min(sums)


def test_what_had_begun_is_itself_and_nothing_else_is_it() -> None:
    begun, later = sitting(1, 9), sitting(3)
    now = datetime(2026, 12, 1, 10, tzinfo=SUNDAY.tzinfo)
    other = sitting(2)
    told: tuple[Told, ...] = kept(begun, later)
    found = pairs(told, [begun, other], now, ())
    assert {id_: t.sitting for id_, t in found.items()} == {begun.id: begun, other.id: later}


@pytest.mark.parametrize("aside", [None, 16], ids=["dropped", "moved"])
def test_who_takes_the_hour_of_another_leaves_nobody_with_a_cancelled_hour_that_is_held(
    aside: int | None,
) -> None:
    """Tuesday's goes to Thursday at ten, as somebody wished. Is Thursday's own not held any more, Thursday at ten is
    held with other probes and Tuesday is off, in words and in calendars; is it at another hour, both are
    told as moved."""
    tuesday, thursday = (
        replace(
            sitting(day, 10, "grandad", "park", probe), id=stem_of(WEEK, DAY_NAMES[day], "grandad", "wren")
        )
        for day, probe in ((1, ZIPS), (3, GREETS))
    )
    moved = replace(tuesday, id=thursday.id, start=thursday.start, end=thursday.end)
    later = replace(sitting(3, aside, "grandad", "park", GREETS), id=f"{thursday.id}-b") if aside else None
    after = [moved, *([later] if later else [])]
    wish = PlannersWish(
        kind=WishKind.MOVE,
        sitting=tuesday.id,
        at=tuesday.start.replace(tzinfo=None),
        start=thursday.start.replace(tzinfo=None),
    )
    before = kept(tuesday, thursday)
    found = differences(before, after, SUNDAY, [wish])
    events = {t.event: t for t in revise(before, after, SUNDAY, settled=True, wishes=[wish])}
    assert len({t.event for t in events.values()}) == 2
    if later is None:
        off, other = (Change.DROPPED, tuesday, None), (Change.CONTENT, thursday, moved)
        assert [(d.change, d.before, d.after) for d in found] == [off, other]
        assert events[tuesday.id].cancelled
        assert events[thursday.id].sitting.start == thursday.start
    else:
        assert {(d.change, d.before) for d in found} == {(Change.MOVED, tuesday), (Change.MOVED, thursday)}
        assert [events[s.id].sitting.start for s in (tuesday, thursday)] == [thursday.start, later.start]
        assert not any(t.cancelled for t in events.values())
