"""The term of a case folder, from reading to files, and a plan that follows it."""

from __future__ import annotations

import contextlib
import io
import json
from datetime import datetime
from pathlib import Path

import pytest

import genplan
from genplan import workflow
from genplan.case import Week
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.cli import main
from genplan.keeping.store import read_kept
from genplan.plan import NoteKind, Sitting
from genplan.plan.term import NoWay
from genplan.workflow import term_ahead
from tests.fixtures.busy_calendars import calendar
from tests.fixtures.small_case import SUNDAY, WEDNESDAY, WEEK, silent, small_case

NOW = ("--now", "2026-11-29T12:00")
WISH = "first: [{adult: gran, location: yard, by: 2026-12-11}]"


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """Gran in the yard is wished by Friday of next week, with both sets: two probes."""
    return with_text(small_case(tmp_path / "case"), "cover: all}", f"cover: all, {WISH}}}")


def with_text(folder: Path, old: str, new: str) -> Path:
    path = folder / "case.yaml"
    path.write_text(path.read_text().replace(old, new))
    return folder


def said(*words: str) -> str:
    told = io.StringIO()
    with contextlib.redirect_stdout(told), contextlib.redirect_stderr(told), contextlib.suppress(SystemExit):
        main(words)
    return told.getvalue()


def test_files_lines_and_the_front_door_say_the_same(case: Path, tmp_path: Path) -> None:
    text = said("term", str(case), *NOW, "--out", str(tmp_path / "out"))
    assert "Counted by day and week there is room for 1 of 1 date." in text
    assert "There is room: L., Puts it on: Gran, The yard, by Friday 11 December 2026." in text
    assert f"Written to {tmp_path / 'out'}" in text
    assert "There is room" not in (page := (tmp_path / "out" / "term.html").read_text())
    assert "Nothing: there is room for every date." in page
    document = json.loads((tmp_path / "out" / "term.json").read_text())
    assert (document["kept"], document["bound"], len(document["weeks"])) == (1, 1, 12)
    assert (tmp_path / "out" / "term.csv").read_text().splitlines()[1].startswith("lark,puts-on,adult=gran")
    frame = genplan.plan_term(genplan.read_case(case, now="2026-11-29T12:00"), weeks=2)
    assert (frame.attrs, list(frame["promise"])) == ({"kept": 1, "bound": 1}, ["kept"])


def test_a_calendar_of_later_weeks_counts(case: Path) -> None:
    """Gran has no hour but this week's Monday left: one probe of two."""
    with_text(case, "gran: {name: Gran,", "gran: {name: Gran, busy: busy/gran.ics,")
    (case / "busy").mkdir()
    away = "DTSTART;VALUE=DATE:20261201\nDTEND;VALUE=DATE:20261219"
    (case / "busy" / "gran.ics").write_bytes(calendar(away))
    view = workflow.term(case, WEEK, SUNDAY, 2, silent)
    assert (view.term.kept, view.term.bound, len(view.term.dates[0].shown)) == (0, 0, 1)


def test_a_week_that_has_begun_counts_from_now_on(case: Path) -> None:
    view = workflow.term(case, WEEK, WEDNESDAY, 1, silent)
    assert view.begun
    text = said("term", str(case), "--week", "2026-W49", "--weeks", "2", "--now", "2026-12-02T12:00")
    assert "The week 2026-W49 has begun: of it only what is still ahead is counted." in text


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--weeks", "60"), "'60' is not a number of weeks from 1 to 26"),
        (("--weeks", "0"), "'0' is not a number of weeks from 1 to 26"),
        (("--week", "2026-W40"), "The week 2026-W40 is over"),
        (("--week", "2027-W53"), "the year 2027 has no week 53"),
    ],
)
def test_weeks_that_cannot_be(case: Path, words: tuple[str, str], sentence: str) -> None:
    assert sentence in said("term", str(case), *NOW, *words)


def test_dates_that_are_over_and_a_case_without_any(case: Path, tmp_path: Path) -> None:
    with_text(case, "by: 2026-12-11", "by: 2026-11-20")
    text = said("term", str(case), *NOW)
    assert "Nothing to plan: no date of which something is still to be tried lies in these weeks." in text
    assert (
        "Before these weeks, so nothing is said of it: L., Puts it on: Gran, The yard, by Friday 20 November 2026."
        in text
    )
    without = small_case(tmp_path / "none")
    assert "Nothing to plan: no mastered target has a date." in said("term", str(without), *NOW)


def test_a_plan_follows_it_where_the_policy_says_so(case: Path) -> None:
    without = workflow.plan(case, WEEK, SUNDAY, None, silent).plan
    assert without.turns is None
    with_text(case, "policy: {", "policy: {follow_term: yes, ")
    plan = workflow.plan(case, WEEK, SUNDAY, None, silent).plan
    assert plan.turns is not None
    # both lie in this week, as early as there is room: by the weeks alone neither has its last chance
    assert {dict(values)["material_set"] for _, values, _ in plan.turns} == {"boots", "hats"}
    assert {o.name: o.value for o in without.objectives}["dated"] == 0
    assert {o.name: o.value for o in plan.objectives}["dated"] == 2
    (note,) = (n for n in plan.notes if n.kind is NoteKind.TERM)
    assert (note.kept, note.of, note.most) == (1, 1, 1)
    assert plan == workflow.plan(case, WEEK, SUNDAY, None, silent).plan
    found = workflow.why(case, WEEK, SUNDAY, silent)
    assert found.plan.turns == plan.turns


def test_a_run_makes_it_once(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """However much is searched: the reasons are those of the week that followed it."""
    with_text(case, "policy: {", "policy: {follow_term: yes, ")
    workflow.keep(case, WEEK, None, SUNDAY, silent)
    made, real = [], term_ahead.term_of_facts
    monkeypatch.setattr(term_ahead, "term_of_facts", lambda *given: made.append(given) or real(*given))
    assert workflow.why(case, WEEK, SUNDAY, silent).plan.turns is not None
    assert len(made) == 1
    outcome, _ = workflow.replan(case, WEEK, SUNDAY, None, False, silent, deeper=True)
    assert outcome.deeper is not None
    assert len(made) == 2


@pytest.mark.parametrize("ahead", [0, 1])
def test_of_a_kept_week_the_term_says_what_that_shows(case: Path, ahead: int) -> None:
    """Gran in the yard is wished with both sets. Whatever the kept week holds of it lies in that week of the term,
    though an earlier one has room, and nothing else does: one of its sittings was called off."""
    week = WEEK.run(ahead + 1)[-1]
    workflow.keep(case, week, None, SUNDAY, silent)
    first = next(s for s in kept_sittings(case, week) if is_wished(s))
    workflow.wish(case, PlannersWish(kind=WishKind.NOT, sitting=first.id), SUNDAY)
    workflow.replan(case, week, SUNDAY, None, True, silent)
    held = [s for s in kept_sittings(case, week) if is_wished(s)]
    term = workflow.term(case, WEEK, SUNDAY, 2, silent).term
    assert term.told == (week,)
    told = {
        p.combination
        for s in held
        for p in s.probes
        if p.kind.is_test and p.combination[:2] == ("gran", "yard")
    }
    assert {p.combination for p in term.probes if p.week == ahead} == told
    text = said("term", str(case), *NOW, "--weeks", "2")
    assert f"{week} stays as people were told of it: nothing is added to it here." in text


def test_a_date_that_only_a_kept_week_could_keep_is_told_so(tmp_path: Path) -> None:
    """The week is kept before the wish is written down, which lies in it."""
    case = small_case(tmp_path / "case")
    workflow.keep(case, WEEK, None, SUNDAY, silent)
    with_text(case, "cover: all}", "cover: all, first: [{adult: gran, location: yard, by: 2026-12-06}]}")
    shown = {
        p.combination
        for s in kept_sittings(case, WEEK)
        for p in s.probes
        if p.combination[:2] == ("gran", "yard")
    }
    term = workflow.term(case, WEEK, SUNDAY, 2, silent).term
    (date,) = term.dates
    assert {p.combination for p in term.probes} == shown
    assert date.is_kept is (len(shown) == 2)
    assert set(date.no_way.values()) == (set() if date.is_kept else {NoWay.TOLD})


def kept_sittings(case: Path, week: Week) -> tuple[Sitting, ...]:
    kept = read_kept(case, week, workflow.open_case(case, SUNDAY).case)
    assert kept
    return kept.sittings


def is_wished(sitting: Sitting) -> bool:
    return (sitting.adult, sitting.location) == ("gran", "yard")


@pytest.mark.parametrize("words", [("--week", "2026-W49"), ("--week", "2026-W50")])
def test_what_is_over_and_not_written_down_counts_as_not_run_whichever_week_it_begins_with(
    case: Path, words: tuple[str, str]
) -> None:
    """The kept week shows a part of the date, and is over; nobody wrote anything down."""
    workflow.keep(case, WEEK, None, SUNDAY, silent)
    kept = kept_sittings(case, WEEK)
    assert any(map(is_wished, kept))
    week = Week.parse(words[1])
    end = datetime(2026, 12, 6, 12)
    term = workflow.term(case, week, end, 2, silent).term
    (date,) = term.dates
    before = workflow.term(small_with_wish(case.parent / "fresh"), WEEK, SUNDAY, 2, silent).term.dates[0]
    assert date.tuples == before.tuples
    text = " ".join(said("term", str(case), *words, "--weeks", "2", "--now", "2026-12-06T12:00").split())
    assert f"Nothing is written down of {len(kept)} sittings of 2026-W49 that people were told of" in text
    assert text.count(" with ") >= 3 or len(kept) < 3


def test_a_date_of_a_day_that_is_over_is_named_and_weeks_after_the_last_one_are_said_not_to_count(
    case: Path,
) -> None:
    with_text(case, WISH, f"{WISH[:-1]}, {{adult: mum, location: yard, by: 2026-12-01}}]")
    text = said("term", str(case), "--week", "2026-W49", "--now", "2026-12-02T12:00")
    assert "That day is over, so nothing is said of it: L., Puts it on: Mum, The yard, by Tuesday 1" in text
    assert "Counted up to 2026-W50, the week of the last date" in text
    assert "Counted up to" not in said("term", str(case), *NOW, "--weeks", "2")
    assert "Minutes are those of probes that a date needs and of what is due" in text


def small_with_wish(folder: Path) -> Path:
    return with_text(small_case(folder), "cover: all}", f"cover: all, {WISH}}}")
