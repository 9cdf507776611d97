"""What people have to be told of a week that was kept more than once, and of what is called off since."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import datetime, timedelta

from genplan.keeping.differences import Change, Difference, differences
from genplan.keeping.revision import revise
from genplan.keeping.store import _kept_week, kept_bytes
from genplan.keeping.to_tell import to_tell
from genplan.keeping.told import KeptWeek, Telling
from genplan.plan import Sitting
from genplan.report.change_texts import change_texts
from genplan.report.week_changes import changes_by_day, changes_of_people, changes_summary, lines_by_day
from tests.fixtures.planning_cases import WEEK, product_case, told_sitting

CASE = product_case((2, 1, 1))
MONDAY = datetime(2026, 11, 30, 8, tzinfo=CASE.timezone)
TUESDAY, THURSDAY = (datetime(2026, 12, d, 8, tzinfo=CASE.timezone) for d in (1, 3))


def at(day: int, hour: int) -> Sitting:
    return told_sitting(CASE, day, hour)


def told_one_by_one(*weeks: tuple[Sitting, ...]) -> tuple[Telling, ...]:
    found: list[Telling] = []
    for week in weeks:
        before = found[-1].told if found else ()
        found.append(Telling(MONDAY, revise(before, week, MONDAY, settled=True)))
    return tuple(found)


def words(found: tuple[Difference, ...]) -> list[tuple[Change, int | None, int | None]]:
    return [
        (d.change, d.before.start.hour if d.before else None, d.after.start.hour if d.after else None)
        for d in found
    ]


def test_what_changed_when_the_week_was_kept_before_is_told_again() -> None:
    """Wednesday moved by the second keeping, Thursday by the third: whoever missed the second is told of both."""
    before = told_one_by_one((at(2, 15), at(3, 15)), (at(2, 16), at(3, 15)))
    found = to_tell(before, (at(2, 16), at(3, 17)), TUESDAY)
    assert words(found.new) == [(Change.MOVED, 15, 17)]
    assert words(found.again) == [(Change.MOVED, 15, 16)]


def test_what_moved_twice_is_told_once_with_how_it_was_last_and_at_first() -> None:
    """Who missed the first move would come as told before it."""
    before = told_one_by_one((at(2, 15),), (at(2, 16),))
    found = to_tell(before, (at(2, 17),), TUESDAY)
    assert words(found.new) == [(Change.MOVED, 16, 17)]
    assert found.again == ()
    text = changes_summary(CASE, found.new)
    assert text.count("Before: ") == text.count("Told at first: ") == 2
    for line in text.splitlines():
        if "Moved: " in line:
            assert (
                line.index("17:00") < line.index("Before: Wednesday 2 December, 16:00") < line.index("15:00")
            )


def test_of_what_moved_twice_the_other_probes_are_told_to_who_missed_them() -> None:
    two = product_case((1, 1, 2))
    target = next(iter(two.targets.values()))
    whole = told_sitting(two, 2, 15, *((target.id, c) for c in target.combinations()))
    less = replace(whole, probes=whole.probes[:1])
    hour = timedelta(hours=1)
    once, twice = (replace(less, start=less.start + n * hour, end=less.end + n * hour) for n in (1, 2))
    found = to_tell(told_one_by_one((whole,), (once,)), (twice,), TUESDAY)
    assert words(found.new) == [(Change.MOVED, 16, 17)]
    assert [(d.change, d.before and d.before.probes) for d in found.again] == [(Change.CONTENT, whole.probes)]
    assert words(found.again) == [(Change.CONTENT, 17, 17)]


def test_what_a_new_sitting_loses_afterwards_is_told() -> None:
    """Who heard of it brings all of it, who did not hear of it has to be told that it is there."""
    two = product_case((1, 1, 2))
    target = next(iter(two.targets.values()))
    whole = told_sitting(two, 2, 16, *((target.id, c) for c in target.combinations()))
    less = replace(whole, probes=whole.probes[:1])
    assert len(whole.probes) == 2
    found = to_tell(told_one_by_one((at(3, 15),), (at(3, 15), whole)), (at(3, 15), less), TUESDAY)
    assert [(d.change, d.before, d.after) for d in found.new] == [(Change.CONTENT, whole, less)]
    assert [(d.change, d.before, d.after) for d in found.again] == [(Change.ADDED, None, less)]
    # it stands in one text in two ways, and whoever reads both comes once
    for text in change_texts(two, WEEK, TUESDAY, found.new, found.again).values():
        first, _below, second = text.decode().partition("If you did not get the changes sent before")
        assert second.count("This is the same sitting as above, and no second one.") == 1
        assert "no second one" not in first


def test_what_is_back_as_it_was_first_is_told_to_whoever_heard_of_the_move() -> None:
    before = told_one_by_one((at(2, 15),), (at(2, 16),))
    found = to_tell(before, (at(2, 15),), TUESDAY)
    assert words(found.new) == [(Change.MOVED, 16, 15)]
    assert found.again == ()


def test_what_was_new_and_is_called_off_is_only_called_off() -> None:
    before = told_one_by_one((at(2, 15),), (at(2, 15), at(3, 16)))
    found = to_tell(before, (at(2, 15),), TUESDAY)
    assert words(found.new) == [(Change.DROPPED, 16, None)]
    assert found.again == ()


def test_of_what_is_past_it_is_told_where_somebody_went_for_nothing() -> None:
    """Who knew of Wednesday at 15:00 alone was there for nothing; who missed what was new on it can do nothing more."""
    so = (at(2, 16), replace(at(2, 18), id="new-on-wednesday"), at(4, 15))
    found = to_tell(told_one_by_one((at(2, 15),), so), so, THURSDAY).again
    assert words(found) == [(Change.MOVED, 15, 16), (Change.ADDED, None, 15)]
    assert [d.past for d in found] == [True, False]
    text = changes_summary(CASE, found)
    assert "Was moved: Wednesday 2 December, 16:00 to 16:10" in text
    assert "Before: Wednesday 2 December, 15:00 to 15:10" in text
    assert "bring" not in text.splitlines()[1]
    gone = to_tell(told_one_by_one((at(2, 15),), ()), (), THURSDAY).again
    assert [(d.change, d.past) for d in gone] == [(Change.DROPPED, True)]
    assert changes_summary(CASE, gone).count("  - Was cancelled: Wednesday 2 December, 15:00 to 15:10, ") == 2
    assert to_tell(told_one_by_one((at(2, 15),), ()), (), THURSDAY + timedelta(days=7)).again == ()


def test_the_family_that_met_another_adult_then_and_there_was_there_for_something() -> None:
    other = replace(at(2, 15), adult=list(CASE.adults)[1])
    before = told_one_by_one((at(2, 15),), (other,))
    found = to_tell(before, (other,), THURSDAY).again
    assert [(d.change, d.past, d.adults) for d in found] == [(Change.DROPPED, True, at(2, 15).adults)]
    assert [p.kind for p in changes_of_people(CASE, found)] == ["adult"]
    elsewhere = replace(other, location="elsewhere")
    found = to_tell(told_one_by_one((at(2, 15),), (elsewhere,)), (elsewhere,), THURSDAY).again
    [family] = (p for p in changes_of_people(CASE, found) if p.kind == "learner")
    assert family.lines[0].startswith("Was elsewhere: Wednesday 2 December, 15:00 to 15:10, with ")


def test_earlier_tellings_are_read_as_they_were_written() -> None:
    before = told_one_by_one((at(2, 15),), (at(2, 16),))
    week = KeptWeek(WEEK, MONDAY, before[-1].told, before[:-1])
    assert _kept_week(json.loads(kept_bytes(week, CASE)), CASE) == week


def test_changes_are_listed_by_day_and_time_and_each_persons_together_to_send() -> None:
    """Friday's comes to Tuesday, which is today, at eleven, Tuesday's at three is off, and Thursday's goes to Saturday:
    each stands on the first of its days."""
    other = replace(at(4, 9), adult=list(CASE.adults)[1], id="other")
    told = told_one_by_one((at(1, 15), at(3, 10), other))[-1].told
    so = (replace(at(5, 15), id="later"), replace(other, start=at(1, 11).start, end=at(1, 11).end))
    found = differences(told, so, MONDAY)
    assert [(d.day.isoformat(), len(d.lines)) for d in changes_by_day(CASE, found)] == [
        ("2026-12-01", 4),
        ("2026-12-03", 2),
    ]
    lines = lines_by_day(CASE, found, TUESDAY.date())
    assert [line for line in lines if line[:3] != "  -"] == [
        "Today, Tuesday 1 December",
        "",
        "Thursday 3 December",
    ]
    hours = [re.findall(r" (\d\d:00) to ", line) for line in lines if line.startswith("  - A0-")]
    assert hours == [["11:00", "09:00"], ["15:00"], ["15:00", "10:00"]]
    family = next(p for p in changes_of_people(CASE, found) if p.kind == "learner")
    assert [re.findall(r" (\d\d:00) to ", line) for line in family.lines] == hours
    assert lines_by_day(CASE, (), TUESDAY.date()) == ("Nothing changes for anybody.",)
