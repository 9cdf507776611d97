"""What there is to do today, from a case and a moment: no solver, no browser, no server."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest

from genplan.case import Absence, Case, Week
from genplan.coverage.review import review
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.standing import standings
from genplan.plan import ProbeKind, Sitting
from genplan.report.week_table import State
from genplan.web.params import plan_words
from genplan.web.sitting_cards import days
from genplan.web.today_values import Facts, Fallen, Today, ToTell
from genplan.web.todays_work import today_of
from tests.fixtures import builders as b

WEDNESDAY = datetime(2026, 12, 2, 10, tzinfo=b.ZONE)
HELD = b.the_sittings()
FIRST, *LATER = sorted(HELD, key=lambda s: s.start)


def facts(
    case: Case | None = None, now: datetime = WEDNESDAY, log: Log | None = None, **more: object
) -> Facts:
    case, log = case or b.a_case(), log or b.a_log()
    day = now.date()
    reviews = tuple(review(case, i, log, day - timedelta(30), day) for i in case.learners)
    given = {"sittings": HELD, "kept": frozenset([b.WEEK]), "reviews": reviews, **more}
    return Facts(case, log, now, **given)  # type: ignore[arg-type]


def day(**more: object) -> Today:
    return today_of(facts(**more))  # type: ignore[arg-type]


def written(sitting: Sitting, *which: int) -> Log:
    """The rows of some probes of a sitting, run as they were planned."""
    rows = [
        Result(
            line=50 + n, date=sitting.start.date(), time=None, target=p.target, kind=ResultKind.PROBE,
            combination=p.combination, trials=p.trials, correct=p.trials,
        )
        for n, p in enumerate(sitting.probes) if n in which
    ]  # fmt: skip
    return Log.of((*b.a_log().results, *rows))


def test_the_next_sitting_says_who_where_what_goes_along_and_what_counts() -> None:
    case = b.a_case()
    at = LATER[0].location
    place = replace(case.locations[at], address="2 Mill Lane")
    found = day(case=replace(case, locations={**case.locations, at: place}))
    (first,) = found.next
    assert first.sheet.sitting == LATER[0].id
    assert first.address == "2 Mill Lane"
    assert first.sheet.comes
    assert first.mind == "W. must not meet egg: check what is brought."
    assert first.sheet.probes[0].correct_when == case.targets["zips-jacket"].correct_when
    early = day(now=FIRST.start + timedelta(minutes=1))
    assert early.next[0].when == f"now, until {FIRST.end:%H:%M}"
    assert day(now=FIRST.start - timedelta(hours=20)).next[0].when.startswith("tomorrow, ")


def test_a_known_small_part_is_said_beside_what_is_brought() -> None:
    case = b.a_case()
    small = {i: replace(x, small_parts=True, bring=False) for i, x in case.material_sets.items()}
    for one in day(case=replace(case, material_sets=small)).next:
        assert "small part" in one.mind
    assert "small part" not in day(case=case).next[0].mind


def test_an_allergy_is_said_only_beside_what_is_brought() -> None:
    case = b.a_case()
    nothing = {i: replace(x, bring=False) for i, x in case.material_sets.items()}
    assert {one.mind for one in day(case=replace(case, material_sets=nothing)).next} == {""}
    fine = {i: replace(x, allergens=frozenset()) for i, x in case.learners.items()}
    assert {one.mind for one in day(case=replace(case, learners=fine)).next} == {""}


def test_the_days_of_a_plan_say_the_allergy_at_each_sitting() -> None:
    case = b.a_case()
    shown = [s.mind for d in days(case, b.a_log(), HELD, WEDNESDAY) for s in d.sittings]
    assert shown == ["W. must not meet egg: check what is brought."] * len(HELD)


def test_what_has_begun_is_asked_for_until_a_row_speaks_of_it() -> None:
    (child,) = day().children
    assert len(child.unwritten) == len(FIRST.probes) > 0
    assert child.unwritten[0].when == f"Yesterday, {FIRST.start:%H:%M}"
    assert "/record/row?target=zips-jacket" in child.unwritten[0].probe.record
    (less,) = day(log=written(FIRST, 0)).children
    assert len(less.unwritten) == len(FIRST.probes) - 1
    (done,) = day(log=written(FIRST, *range(len(FIRST.probes)))).children
    assert not done.unwritten


def test_it_is_asked_for_as_long_as_the_notes_of_a_plan_speak_of_it() -> None:
    """From the week of a fortnight ago on, across the border of the week."""
    last = date(2026, 12, 20)
    assert last.weekday() == 6
    for on in (date(2026, 12, 6), date(2026, 12, 7), date(2026, 12, 14), last):
        now = datetime.combine(on, time(9), tzinfo=b.ZONE)
        assert day(now=now, sittings=(FIRST,)).unwritten == len(FIRST.probes), on
        assert day(now=now, sittings=(FIRST,)).step.words == "Write the first one down", on
    assert day(now=datetime(2026, 12, 21, 9, tzinfo=b.ZONE), sittings=(FIRST,)).unwritten == 0


def test_a_teaching_that_was_not_run_is_not_planned_any_more() -> None:
    waiting = waits_for_teaching(day(sittings=()))
    assert len(waiting) == 1
    case, log = b.a_case(), b.a_log()
    standing = standings(case.targets["zips-jacket"], log)
    (failed,) = [c for c, s in standing.items() if s.waits_for_teaching]
    lesson = replace(LATER[0].probes[0], kind=ProbeKind.TEACHING, combination=failed)
    taught = replace(LATER[0], adult="grandad", probes=(lesson,))
    assert not waits_for_teaching(day(sittings=(taught,)))
    row = Result(
        line=60, date=taught.start.date(), time=taught.start.time(), target=lesson.target,
        kind=ResultKind.NOT_RUN, combination=failed, note="ill",
    )  # fmt: skip
    off = Log.of((*log.results, row))
    assert waits_for_teaching(day(sittings=(taught,), log=off)) == waiting


def test_what_was_taught_and_failed_again_says_so_and_is_asked_for_once() -> None:
    case, log = b.a_case(), b.a_log()
    known = standings(case.targets["zips-jacket"], log)
    (failed,) = [c for c, s in known.items() if s.waits_for_teaching]
    before = next(r for r in reversed(log.results) if r.combination == failed and r.kind.is_test)
    lesson = replace(
        before, line=70, date=date(2026, 11, 29), kind=ResultKind.TEACHING, trials=None, correct=None
    )
    again = replace(before, line=71, date=date(2026, 11, 30))
    (wanted,) = waits_for_teaching(day(sittings=(), log=Log.of((*log.results, lesson, again))))
    assert "was taught, and was not met again on 30 November 2026" in wanted
    assert wanted.endswith("Ask the practitioner in charge whether to go on like this.")
    (first,) = waits_for_teaching(day(sittings=()))
    assert "again" not in first


def test_with_what_is_held_back_nothing_invites_to_teach() -> None:
    """The coats turned out to have a loose button; whoever taught with them before still has the form for a row."""
    case, log = b.a_case(), b.a_log()
    (failed,) = [c for c, s in standings(case.targets["zips-jacket"], log).items() if s.waits_for_teaching]
    before = next(r for r in reversed(log.results) if r.combination == failed and r.kind.is_test)
    lesson = replace(
        before, line=70, date=date(2026, 11, 29), kind=ResultKind.TEACHING, trials=None, correct=None
    )
    again = Log.of((*log.results, lesson, replace(before, line=71, date=date(2026, 11, 30))))
    thing = case.material_sets[failed[2]]
    held = replace(
        case,
        learners={i: replace(x, mouths=True) for i, x in case.learners.items()},
        material_sets={**case.material_sets, thing.id: replace(thing, small_parts=True)},
    )
    for rows in (log, again):
        (child,) = day(case=held, sittings=(), log=rows).children
        of_thing = [w for w in child.wanted if thing.name in w.sentence]
        assert [(w.words, w.address) for w in of_thing if failed[2] in w.address] == [
            ("To the thing", f"/case/material_sets/{thing.id}")
        ] * len(of_thing)
        assert of_thing
        assert all("held back for now, not to be taught" in w.sentence for w in of_thing)
        assert "It was taught" not in {w.words for w in child.wanted if failed[2] in w.address}


def waits_for_teaching(today: Today) -> list[str]:
    return [w.sentence for c in today.children for w in c.wanted if w.words == "It was taught"]


def test_one_thing_to_press_in_the_order_of_what_is_urgent() -> None:
    done = written(FIRST, *range(len(FIRST.probes)))
    fallen = (Fallen(LATER[0], "can no longer be held", "Grandad is away"),)
    drafted = frozenset([b.WEEK])
    assert day(fallen=fallen, drafted=drafted).step.address == f"/plan/{b.WEEK}"
    assert day(fallen=fallen).step.words == "Plan the rest of this week"
    assert day(drafted=drafted).step.words == "Look at the plan"
    assert day().step.words == "Write the first one down"
    assert day(log=done).step.words == "Print the sheets"
    assert day(kept=frozenset(), sittings=()).step == replace(
        day().step,
        words="Plan this week",
        address=f"/plan/{b.WEEK}",
        why="Nobody was told of a plan of this week.",
    )
    # a week that nobody was told of is not gone back to when the next one is kept, nor from Friday on
    following = frozenset([b.WEEK.next()])
    assert day(kept=following, sittings=()).step.words == "Look at the week"
    friday = day(now=WEDNESDAY + timedelta(2), kept=frozenset(), sittings=())
    assert friday.step.words == "Plan next week"
    saturday = WEDNESDAY + timedelta(3)
    assert day(now=saturday, log=done, sittings=()).step.address == f"/plan/{b.WEEK.next()}"
    none = replace(b.a_case(), targets={})
    assert day(case=none, sittings=(), log=Log()).step.address == "/case/targets/new"


def test_people_are_told_first_and_the_rest_stands_behind_it() -> None:
    untold = (ToTell(b.WEEK, 1), ToTell(b.WEEK.next(), 2, of_cautions=True))
    tell, step = day(to_tell=untold).steps
    assert (tell.address, step) == (f"/week/{b.WEEK}#to-send", day().step)
    assert tell.why == "3 people still have to be told something. It is about what to look out for, too."
    # what fell through is planned again before that
    fallen = (Fallen(LATER[0], "can no longer be held", "Grandad is away"),)
    assert [s.words for s in day(to_tell=untold[:1], fallen=fallen).steps] == [
        "Plan the rest of this week",
        "To the texts to send",
    ]
    # of the first week of all the messages are offered, unless there is a text to send
    first = ToTell(b.WEEK, 2)
    offered, _step = day(first_to_tell=first).steps
    assert (offered.words, "messages for 2 people" in offered.why) == ("To the messages to send", True)
    assert day(first_to_tell=first, to_tell=untold).steps[0] == tell
    assert day().steps == (day().step,)


def test_the_whole_week_is_that_of_the_next_sitting() -> None:
    week_before = datetime(2026, 11, 27, 10, tzinfo=b.ZONE)
    assert day(now=week_before).week == b.WEEK
    assert day(now=week_before, sittings=()).week == Week(2026, 48)


def test_nothing_is_said_to_be_written_down_before_anything_was_to_be() -> None:
    early = day(now=FIRST.start - timedelta(hours=20), kept=frozenset([b.WEEK, b.WEEK.next()]))
    assert early.step.why == "The week is planned, and nothing is to be written down yet."


def test_the_button_says_which_week_it_plans() -> None:
    sunday = date(2026, 12, 6)
    assert plan_words(Week(2026, 50), sunday) == "Plan the week of Monday 7 December"
    assert plan_words(Week(2026, 49), sunday) == "Plan this week"


def test_what_fell_through_leads_to_another_place_for_it() -> None:
    (one,) = day(fallen=(Fallen(LATER[0], "can no longer be held", "Grandad is away"),)).fallen
    assert one.address == f"/week/{b.WEEK}/alternatives/{LATER[0].id}"
    assert "Grandad is away" in one.sentence


def test_the_next_sitting_says_that_it_cannot_be_held() -> None:
    off = Fallen(LATER[0], "cannot happen", "beside the others it does not fit")
    found = day(fallen=(replace(off, in_part=True),))
    assert found.next[0].fallen == "Cannot happen: beside the others it does not fit."
    assert found.next[0].instead == found.fallen[0].address
    assert "cannot happen. Beside the others it does not fit." in found.fallen[0].sentence
    assert not day().next[0].fallen


def test_next_is_what_can_be_held() -> None:
    """Not what fell through altogether: that stands under what can no longer be held."""
    (first,) = LATER
    later = replace(
        first, id="later", start=first.start + timedelta(hours=2), end=first.end + timedelta(hours=2)
    )
    ahead = [first, later]
    found = day(sittings=(*HELD, later), fallen=(Fallen(first, "can no longer be held", "Grandad is away"),))
    assert [n.sheet.sitting for n in found.next] == ["later"]
    assert [c.next.sheet.sitting for c in found.children if c.next] == ["later"]
    assert all(not n.fallen for n in found.next)
    assert len(found.fallen) == 1
    every = tuple(Fallen(s, "can no longer be held", "all are away") for s in ahead)
    assert day(sittings=(*HELD, later), fallen=every).next == ()


def test_a_plan_that_is_not_kept_is_no_sitting_ahead() -> None:
    found = day(kept=frozenset(), sittings=(), drafted=frozenset([b.WEEK]))
    assert (found.next, found.not_kept) == ((), b.WEEK)
    assert day().not_kept is None


def test_what_waits_for_teaching_can_be_written_down_and_a_date_at_risk_is_said() -> None:
    (child,) = day().children
    waiting = [w for w in child.wanted if w.words == "It was taught"]
    assert len(waiting) == 1
    assert "kind=teaching" in waiting[0].address
    assert "with-adult=grandad" in waiting[0].address
    assert not [w for w in child.wanted if "18 Dec 2026" in w.sentence]
    (late,) = day(now=datetime(2026, 12, 17, 10, tzinfo=b.ZONE), sittings=()).children
    assert [w.words for w in late.wanted if "18 Dec 2026" in w.sentence] == ["How long will it take?"]


def test_teaching_on_the_day_of_the_failure_has_its_time() -> None:
    """Without one it would count as taught before what failed, and be owed once more."""
    target, log = b.a_case().targets["zips-jacket"], b.a_log()
    failed = [s.last_date for s in standings(target, log).values() if s.waits_for_teaching]
    for on, told in ((failed[0], True), (failed[0] + timedelta(days=1), False)):
        (child,) = day(now=datetime.combine(on, time(18, 5), tzinfo=b.ZONE), sittings=()).children
        waiting = [
            w for w in child.wanted if w.words == "It was taught" and "with-adult=grandad" in w.address
        ]
        assert ["time=18%3A05" in w.address for w in waiting] == [told]


def test_who_is_away_is_said_for_a_week_ahead() -> None:
    case = b.a_case()
    off = (
        Absence(datetime(2026, 12, 3), datetime(2026, 12, 5)),
        Absence(datetime(2026, 12, 6, 9), datetime(2026, 12, 6, 12)),
        Absence(datetime(2026, 12, 20), datetime(2026, 12, 21)),
    )
    mum = replace(case.adults["mum"], away=off)
    assert day(case=replace(case, adults={**case.adults, "mum": mum})).away == (
        "Mum: away from Thursday 3 December to Friday 4 December",
        "Mum: away on Sunday 6 December, 09:00 to 12:00",
    )


def test_those_who_are_away_together_are_said_together_and_midnight_is_no_time_of_day() -> None:
    case, off = b.a_case(), (Absence(datetime(2026, 12, 3, 12), datetime(2026, 12, 4)),)
    away = {i: replace(case.adults[i], away=off) for i in ("mum", "grandad")}
    assert day(case=replace(case, adults={**case.adults, **away})).away == (
        "Grandad and Mum: away on Thursday 3 December, from 12:00 on",
    )


def test_what_is_not_written_down_stands_together_by_sitting() -> None:
    (child,) = day(now=HELD[-1].end).children
    assert [len(found) for found in child.by_sitting] == [len(s.probes) for s in HELD]
    assert [u for found in child.by_sitting for u in found] == list(child.unwritten)


def test_the_picture_holds_every_sitting_of_the_week_once_and_says_how_it_stands() -> None:
    fallen = (Fallen(LATER[0], "can no longer be held", "Grandad is away"),)
    picture = day(fallen=fallen).picture
    assert picture is not None
    blocks = {x.id: x for d in picture.days for c in d.cells for x in c.blocks}
    assert sorted(blocks) == sorted(s.id for s in HELD)
    assert blocks[FIRST.id].state.words == "… not written down"
    assert blocks[LATER[0].id].state.words == "✗ can no longer be held"
    assert [d.today for d in picture.days] == [d == WEDNESDAY.date() for d in b.WEEK.days]
    assert picture.hours == tuple(sorted({s.start.hour for s in HELD}))


def test_the_picture_says_of_a_sitting_that_nothing_of_it_was_held() -> None:
    def state(log: Log) -> State:
        picture = day(log=log).picture
        assert picture is not None
        return next(x.state for d in picture.days for c in d.cells for x in c.blocks if x.id == FIRST.id)

    every = range(len(FIRST.probes))
    held = written(FIRST, *every)
    before = len(held.results) - len(every)
    not_held = [replace(r, kind=ResultKind.NOT_RUN, trials=None, correct=None) for r in held.results[before:]]
    assert state(held).words == "✓ written down"
    assert state(Log.of((*held.results[:before], *not_held))).words == "✗ not held"
    # one that was held makes it a sitting that was
    extra = replace(held.results[-1], line=99)
    assert state(Log.of((*held.results[:before], *not_held[:-1], extra))).words == "✓ written down"


def test_each_child_has_the_own_part_and_a_line() -> None:
    two = [b.a_learner(), b.a_learner("robin", "Robin Example", "R.")]
    case = b.a_case(learners=two, targets=[b.a_target(), b.a_target("waves", "robin", name="Waves")])
    robin, wren = day(case=case).children
    assert (robin.number, robin.name, wren.number, wren.name) == (1, "R.", 2, "W.")
    assert robin.next is None
    assert robin.unwritten == ()
    assert robin.line == "nothing is waiting"
    assert wren.line.startswith(f"next {wren.next.when if wren.next else ''}, ")
    assert [s.name for s in robin.skills] == ["Waves"]
    assert wren.skills[0].met <= wren.skills[0].tried <= wren.skills[0].possible
    assert f"{wren.skills[0].tried} of {wren.skills[0].possible} pairs tried" in wren.skills[0].words


@pytest.mark.parametrize(
    ("parts", "heading", "why"),
    [
        (
            (True,),
            "Can be held, but not as people were told",
            "1 sitting can be held, but not as people were told.",
        ),
        ((False,), "Can no longer be held", "1 sitting can no longer be held."),
        (
            (True, False),
            "Not as people were told",
            "1 sitting can no longer be held. 1 sitting can be held, but not as people were told.",
        ),
    ],
)
def test_what_can_be_held_in_part_is_not_said_to_be_lost(
    parts: tuple[bool, ...], heading: str, why: str
) -> None:
    fallen = tuple(Fallen(s, "x", "y", in_part=part) for s, part in zip(LATER * 2, parts, strict=False))
    found = day(fallen=fallen)
    assert (found.about_fallen, found.step.why) == (heading, why)
    signs = ["±" if part else "✗" for part in parts]  # as the week has them
    assert [w.sign for w in found.fallen] == signs[: len(fallen)]
    if parts == (True,):
        assert found.next[0].sign == "±"
