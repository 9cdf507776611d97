"""Sequences by RFC 5546, 2.1.4: raised when times or the status change; and by 2.1.5 a reader takes the higher one.

Nobody told: -1. A proposal is one more, a kept event two more, since the status changes between the two.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from genplan.case.sitting_ids import mark_of
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.keeping.differences import Change, differences
from genplan.keeping.revision import revise
from genplan.keeping.told import Told, still_expected
from genplan.plan import Probe, ProbeKind, Sitting

DUBLIN = ZoneInfo("Europe/Dublin")
SUNDAY = datetime(2026, 11, 29, 12, tzinfo=DUBLIN)
MONDAY = datetime(2026, 11, 30, 12, tzinfo=DUBLIN)
TUESDAY = datetime(2026, 12, 1, 12, tzinfo=DUBLIN)
ZIPS = Probe(
    target="zips", combination=("grandad", "park", "jackets"), kind=ProbeKind.NEW, trials=5, new_tuples=3
)
GREETS = Probe(
    target="greets", combination=("grandad", "park", "cards"), kind=ProbeKind.NEW, trials=5, new_tuples=1
)


def sitting(
    day: int = 2, hour: int = 16, who: str = "grandad", where: str = "park", *probes: Probe
) -> Sitting:
    """On a day of December at an hour, for 20 minutes, with an id as the planner makes it."""
    start = datetime(2026, 12, day, hour, tzinfo=DUBLIN)
    name = ("sun", "mon", "tue", "wed", "thu", "fri", "sat")[start.isoweekday() % 7]
    return Sitting(
        id=f"2026-W49-{name}-{who}-abc",
        learner="wren",
        adult=who,
        location=where,
        start=start,
        end=start + timedelta(minutes=20),
        probes=probes or (ZIPS,),
    )


def kept(*sittings: Sitting) -> tuple[Told, ...]:
    return revise((), sittings, SUNDAY, settled=True)


def test_a_first_proposal_has_sequence_0_and_once_kept_1() -> None:
    (proposed,) = revise((), [sitting()], SUNDAY, settled=False)
    (told,) = kept(sitting())
    assert (proposed.sequence, proposed.settled) == (0, False)
    assert (told.sequence, told.settled, told.changed) == (1, True, SUNDAY)
    assert proposed.event == told.event == sitting().id


def test_what_does_not_change_stays_as_it_was_told() -> None:
    before = kept(sitting(2), sitting(4))
    assert revise(before, [sitting(2), sitting(4)], MONDAY, settled=False) == before
    assert revise(before, [sitting(2), sitting(4)], MONDAY, settled=True) == before


@pytest.mark.parametrize(("settled", "sequence"), [(False, 2), (True, 3)])
def test_a_moved_sitting_keeps_its_event_and_only_its_sequence_rises(settled: bool, sequence: int) -> None:
    before = kept(sitting(2), sitting(4, who="mum"))
    moved, other = revise(before, [sitting(3), sitting(4, who="mum")], MONDAY, settled)
    assert moved.event == sitting(2).id  # though its own id is that of Thursday
    assert moved.sitting.id == "2026-W49-thu-grandad-abc"
    assert (moved.sequence, moved.use_sequence, moved.changed, moved.settled) == (
        sequence,
        sequence,
        MONDAY,
        settled,
    )
    assert other == before[1]


def test_other_probes_raise_the_event_and_not_the_use_of_the_place() -> None:
    before = kept(sitting())
    (told,) = revise(before, [sitting(2, 16, "grandad", "park", ZIPS, GREETS)], MONDAY, settled=True)
    assert (told.sequence, told.changed) == (3, MONDAY)
    assert (told.use_sequence, told.use_changed) == (1, SUNDAY)


def test_new_tuples_are_no_change() -> None:
    before = kept(sitting())
    again = sitting(2, 16, "grandad", "park", replace(ZIPS, new_tuples=0))
    assert [t.sequence for t in revise(before, [again], MONDAY, settled=True)] == [1]


def test_another_adult_is_another_sitting() -> None:
    before = kept(sitting())
    mum, grandad = sorted(
        revise(before, [sitting(who="mum")], MONDAY, settled=True), key=lambda t: t.cancelled
    )
    assert (mum.event, mum.sequence, mum.cancelled) == (sitting(who="mum").id, 1, False)
    assert (grandad.event, grandad.sequence, grandad.cancelled) == (sitting().id, 3, True)


def test_the_nearest_of_two_is_the_one_that_moved() -> None:
    # Wednesday and Friday; now Thursday and Friday at another hour: Friday is Friday, Wednesday moved to Thursday
    before = kept(sitting(2), sitting(4))
    told = revise(before, [sitting(3), sitting(4, 15)], MONDAY, settled=True)
    assert [(t.sitting.id[9:12], t.event[9:12]) for t in told] == [("thu", "wed"), ("fri", "fri")]


def lettered(hour: int, letter: str = "", *probes: Probe, where: str = "park") -> Sitting:
    """One of several sittings with Grandad on Wednesday: the planner tells their ids apart by letters, in time."""
    one = sitting(2, hour, "grandad", where, *probes)
    return replace(one, id=one.id + letter)


def test_what_stays_as_it_was_is_itself_though_its_id_has_another_letter() -> None:
    """The first of two goes, or one comes before them, and the letters of those that stay are others."""
    before = kept(lettered(9), lettered(11, "-b", GREETS))
    (drop,) = differences(before, [lettered(11, "", GREETS)], MONDAY)
    assert (drop.change, drop.before) == (Change.DROPPED, lettered(9))
    after = [lettered(8, "", ZIPS, GREETS), lettered(9, "-b"), lettered(11, "-c", GREETS)]
    (added,) = differences(before, after, MONDAY)
    assert (added.change, added.after) == (Change.ADDED, after[0])
    told = revise(before, after, MONDAY, settled=True)
    assert [t.event[15:] for t in told[1:]] == [t.event[15:] for t in before]
    assert [t.sequence for t in told] == [1, 1, 1]


def test_two_that_move_as_somebody_wished_are_told_so_and_a_wish_that_was_told_moves_nothing_again() -> None:
    """Wednesday's goes to Thursday, Thursday's to Friday: without the wishes Thursday's would have other probes."""
    wednesday, thursday = sitting(2, 16, "grandad", "park", ZIPS), sitting(3, 16, "grandad", "park", GREETS)
    after = [sitting(3, 16, "grandad", "park", ZIPS, GREETS), sitting(4)]
    sign = mark_of("wren")
    wishes = [
        PlannersWish(
            kind=WishKind.MOVE,
            sitting=f"2026-W49-{day}-grandad-{sign}",
            at=(old := s.start.replace(tzinfo=None)),
            start=old + timedelta(days=1),
        )
        for day, s in (("wed", wednesday), ("thu", thursday))
    ]
    before = kept(wednesday, thursday)
    moved = [(Change.MOVED, wednesday, after[0]), (Change.MOVED, thursday, after[1])]
    found = differences(before, after, MONDAY, wishes)
    assert [(d.change, d.before, d.after) for d in found] == moved
    told = revise(before, after, MONDAY, settled=True, wishes=wishes)
    assert [t.event for t in told] == [t.event for t in before]
    apart = [(d.change, d.before, d.after) for d in differences(before, after, MONDAY)]
    assert apart == [(Change.CONTENT, thursday, after[0]), (Change.MOVED, wednesday, after[1])]
    again = [sitting(3, 16, "grandad", "park", GREETS), sitting(4, 16, "grandad", "park", GREETS)]
    changed = [(d.change, d.before, d.after) for d in differences(told, again, MONDAY, wishes)]
    assert changed == [(Change.CONTENT, old, new) for old, new in zip(after, again, strict=True)]


def test_what_stays_at_its_time_with_other_probes_has_not_moved() -> None:
    before = kept(lettered(9), lettered(11, "-b", GREETS))
    after = [lettered(11, "", ZIPS, GREETS), lettered(15, "-b")]
    assert [(d.change, d.before, d.after) for d in differences(before, after, MONDAY)] == [
        (Change.CONTENT, lettered(11, "-b", GREETS), after[0]),
        (Change.MOVED, lettered(9), after[1]),
    ]


def test_what_is_wholly_as_it_was_comes_before_one_of_the_same_id() -> None:
    """Ids change places: each sitting is the one of its time, and nothing differs."""
    before = kept(lettered(9, "-b"), lettered(11))
    assert differences(before, [lettered(9), lettered(11, "-b")], MONDAY) == ()


def test_a_dropped_sitting_stays_cancelled_and_calendars_hold_it_as_long_as_one_may_expect_it() -> None:
    before = kept(sitting(2))  # Wednesday, until 16:20
    (gone,) = revise(before, [], MONDAY, settled=True)
    assert (gone.cancelled, gone.sequence, gone.use_sequence) == (True, 3, 3)
    end = sitting(2).end
    for now in (TUESDAY, end, end + timedelta(days=2)):
        assert revise([gone], [], now, settled=True) == (gone,)
    assert tuple(still_expected([gone], end - timedelta(minutes=1))) == (gone,)
    assert tuple(still_expected([gone], end)) == ()


def test_a_later_sitting_of_the_day_goes_on_from_the_one_that_was_cancelled_long_before() -> None:
    """A calendar that has the cancelled event takes nothing with a lower SEQUENCE for it (RFC 5546, 2.1.5), however
    often the week was kept in between."""
    gone = revise(kept(sitting(2, 10)), [], TUESDAY, settled=True)
    noon = datetime(2026, 12, 2, 12, tzinfo=DUBLIN)
    meanwhile = revise(gone, [], noon, settled=True)
    (back,) = revise(meanwhile, [sitting(2, 16)], noon + timedelta(hours=1), settled=True)
    assert back.event == gone[0].event
    assert (back.sequence, back.use_sequence) == (gone[0].sequence + 2, gone[0].use_sequence + 2)


def test_one_moved_to_an_earlier_day_and_dropped_is_cancelled_until_its_latest_end() -> None:
    friday, wednesday = sitting(4), sitting(2)
    moved = revise(kept(friday), [wednesday], MONDAY, settled=True)
    (gone,) = revise(moved, [], TUESDAY, settled=True)
    assert gone.until == friday.end
    assert tuple(still_expected([gone], wednesday.end)) == (gone,)


def test_what_was_cancelled_and_comes_back_is_the_same_event() -> None:
    gone = revise(kept(sitting()), [], MONDAY, settled=True)
    (back,) = revise(gone, [sitting()], TUESDAY, settled=True)
    assert (back.event, back.sequence, back.use_sequence, back.cancelled) == (sitting().id, 5, 5, False)


def test_a_new_sitting_on_the_day_that_a_moved_one_left_gets_an_event_of_its_own() -> None:
    moved = revise(kept(sitting(2)), [sitting(3)], MONDAY, settled=True)
    told = revise(moved, [sitting(2), sitting(3)], TUESDAY, settled=True)
    assert [(t.sitting.id[9:12], t.event) for t in told] == [
        ("wed", "2026-W49-wed-grandad-abc-2"),
        ("thu", "2026-W49-wed-grandad-abc"),
    ]


def test_a_place_that_is_left_is_told_and_a_return_goes_on_from_there() -> None:
    away = revise(kept(sitting()), [sitting(where="home")], MONDAY, settled=True)
    assert [(x.id, x.sequence, x.until) for x in away[0].left] == [("park", 3, sitting().end)]
    back = revise(away, [sitting()], TUESDAY, settled=True)
    # at the park the event goes from 3 (cancelled) to 5, at home from 3 to 5 (cancelled)
    assert (back[0].use_sequence, [(x.id, x.sequence) for x in back[0].left]) == (5, [("home", 5)])


def test_what_had_begun_stays_whatever_the_plan_says() -> None:
    before = kept(sitting(1))  # Tuesday 16:00
    during = sitting(1).start + timedelta(minutes=1)
    assert revise(before, [], during, settled=True) == before
    told = revise(before, [sitting(3)], during, settled=True)
    assert [(t.event, t.cancelled) for t in told] == [(sitting(1).id, False), (sitting(3).id, False)]
    assert differences(before, [], during) == ()
    assert [d.change for d in differences(before, [], sitting(1).start)] == [Change.DROPPED]


def test_differences_are_moved_dropped_added_and_other_probes() -> None:
    before = kept(sitting(2), sitting(3, who="mum"), sitting(4), sitting(5))
    plan = [sitting(2, 17), sitting(4, 16, "grandad", "park", GREETS), sitting(5), sitting(5, who="dad")]
    found = differences(before, plan, MONDAY)
    assert [(d.change, d.sitting.start.day) for d in found] == [
        (Change.MOVED, 2),
        (Change.DROPPED, 3),
        (Change.CONTENT, 4),
        (Change.ADDED, 5),
    ]


def test_the_order_of_the_sittings_decides_nothing() -> None:
    before = kept(sitting(2), sitting(3, who="mum"), sitting(4))
    plan = [sitting(3), sitting(5, who="mum"), sitting(5)]
    assert revise(before, plan, MONDAY, True) == revise(before[::-1], plan[::-1], MONDAY, True)
