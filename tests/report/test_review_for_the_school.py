"""The review as the document of a meeting: what comes first, every target, what it cannot show, who is asked, room for
what is decided; nothing in it prescribes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pandas as pd
import pytest

from genplan.case import Case, PassMark, TargetState, Wish
from genplan.coverage.dates_ahead import dates_ahead
from genplan.coverage.review import Review, review
from genplan.coverage.tally import tally
from genplan.evidence.log import Log, Result, ResultKind
from genplan.report.asked_words import DECIDERS, asked_by_person
from genplan.report.first_things import NOTHING_FIRST, first_things
from genplan.report.frames import as_frame
from genplan.report.names_and_words import Names
from genplan.report.pdf import browsers, pdf_of
from genplan.report.review_page import review_page
from genplan.report.review_tables import ASKED_COLUMNS, review_tables
from tests.fixtures.builders import a_case, a_target
from tests.fixtures.pagecheck import faults, read

NOW = datetime(2026, 11, 29, 12, tzinfo=ZoneInfo("Europe/Dublin"))
FIRST, LAST = date(2026, 11, 1), date(2026, 11, 28)
ZIPS = a_target(maintenance_days=(14, 28, 42), first=(Wish({"location": "school"}, date(2026, 12, 18)),))
BUTTONS = a_target(
    "buttons",
    name="Buttons a coat",
    state=TargetState.TEACHING,
    mastered_on=None,
    criterion=PassMark(4, 5),
    correct_when="All buttons, in any order",
)
LACES = a_target("laces", name="Ties laces", state=TargetState.PAUSED, correct_when="A bow that holds")
TREATS = ("teach first", "must be taught", "should be taught", "it breaks here", "needs therapy")
"""Words that would tell somebody how to treat."""


def row(day: int, where: tuple[str, str, str], correct: int, kind: str = "probe", target: str = "") -> Result:
    return Result(
        line=day + 1,
        date=date(2026, 11, day),
        time=None,
        target=target or ZIPS.id,
        kind=ResultKind(kind),
        combination=where,
        trials=5,
        correct=correct,
    )


HOME, PARK, FAR = ("mum", "home", "jackets"), ("mum", "park", "coats"), ("grandad", "park", "jackets")
ROWS = [
    row(3, PARK, 5),
    row(5, FAR, 2),
    row(10, HOME, 1, "maintenance"),
    row(12, PARK, 1),
    row(20, HOME, 5, "teaching", BUTTONS.id),
]


def the_case(*targets: object) -> Case:
    return a_case(targets=targets or (ZIPS, BUTTONS, LACES))  # type: ignore[arg-type]


def reviewed(case: Case | None = None, rows: list[Result] = ROWS) -> Review:
    return review(case or the_case(), "wren", Log.of(rows), FIRST, LAST)


def test_the_page_is_well_made_and_has_its_parts_in_order() -> None:
    page = review_page(the_case(), reviewed(), NOW)
    assert faults(page) == []
    titles = [h.words for h in read(page).all("h2")]
    first, glance, done = titles[:3]
    assert (first, glance, done) == ("What the team needs first", "At a glance", "What was done")
    assert titles[-5:-2] == ["What it cannot show", "What is asked of whom next", "At the meeting"]


def test_first_comes_what_lapsed_then_what_waits_then_dates_then_decisions() -> None:
    things = list(first_things(Names(the_case()), reviewed()))
    kinds = [t.kind for t in things]
    assert list(dict.fromkeys(kinds)) == [
        "Lapsed",
        "Not met",
        "Date at risk",
        "Date ahead",
        "Check due",
        "To decide",
    ]
    said = [t.sentence for t in things]
    # where it was taught, by a maintenance probe; then what had been met in the span
    assert said[0].startswith("'Zips up a jacket' was not met on 10 November 2026 where it was taught")
    assert (
        said[1]
        == "'Zips up a jacket' had been met and was not on 12 Nov 2026: Mum, The park, Three winter coats, 1 of 5."
    )
    assert said[2].startswith("'Zips up a jacket' waits for teaching or a decision since 5 Nov 2026: Grandad")
    assert said[-1].startswith("'Buttons a coat' meets its criterion of 4/5 since 20 November 2026")


def test_a_child_without_news_has_a_sentence_that_says_so() -> None:
    quiet = the_case(replace(ZIPS, first=(), maintenance_days=()))
    assert list(first_things(Names(quiet), reviewed(quiet, []))) == []
    assert NOTHING_FIRST in read(review_page(quiet, reviewed(quiet, []), NOW)).words


def test_every_target_has_its_definition_criterion_and_day_of_mastery() -> None:
    words = read(review_page(the_case(), reviewed(), NOW)).words
    for said in (
        "Starts and closes the zip to the chest within 30 s, no help",
        "All buttons, in any order",
        "A bow that holds",
        "still in teaching",
        "paused",
        "9/10",
        "19 Oct 2026",
        "not mastered yet",
    ):
        assert said in words, said


def test_intervals_are_printed_and_are_the_exact_ones() -> None:
    words = read(review_page(the_case(), reviewed(), NOW)).words
    # Clopper and Pearson: 1 of 5 0.0051 to 0.7164, of 1 of 2 0.0126 to 0.9874 (as SciPy has them)
    assert "1 of 5 correct (true rates that go with it: 1 % to 72 %)" in words
    assert "1 of 2 first probes met; exact 95 % interval of the share: 1 % to 99 %." in words


def test_who_is_asked_is_named_and_nobody_is_told_how_to_treat() -> None:
    case = the_case()
    asked = dict(asked_by_person(Names(case), reviewed()))
    assert next(iter(asked)) == DECIDERS
    assert any("to be decided what follows" in s for s in asked[DECIDERS])
    assert any("waits for teaching or a decision: Grandad, The park" in s for s in asked["Grandad"])
    assert any("meets its criterion" in s for s in asked[DECIDERS])
    page = read(review_page(case, reviewed(), NOW)).words.lower()
    assert [w for w in TREATS if w in page] == []


def test_of_what_is_paused_or_in_teaching_no_probe_is_asked() -> None:
    for state in (TargetState.PAUSED, TargetState.TEACHING):
        case = the_case(replace(ZIPS, state=state))
        (found,) = reviewed(case).targets
        assert {a.kind.value for a in found.asked} <= {"a date", "decide on mastery"}


def test_there_is_room_for_names_decisions_and_the_next_date() -> None:
    page = read(review_page(the_case(), reviewed(), NOW))
    (room,) = page.with_class("meeting")
    for said in ("Who was there", "What was decided", "Who does it", "Until when", "Next meeting"):
        assert said in room.words
    assert len(room.all("tbody")[0].all("tr")) == 5


@pytest.mark.parametrize(
    ("by", "room", "cannot"),
    [
        # the review ends on Saturday the 28th, of which some may be ahead; one probe a day and two a week: Saturday and
        # Sunday are one each, the week after them two
        (date(2026, 11, 29), 2, True),
        (date(2026, 12, 6), 4, False),
        (date(2026, 12, 20), 8, False),
        (date(2026, 11, 28), 1, True),
        (date(2026, 11, 20), 0, True),
    ],
)
def test_a_date_is_counted_by_what_the_policy_allows(by: date, room: int, cannot: bool) -> None:
    """School is to be seen with each of three sets and the one adult who goes there: four pairs, and three probes, as
    each shows one set."""
    case = the_case(replace(ZIPS, first=(Wish({"location": "school"}, by),), never=()))
    case = replace(case, policy=replace(case.policy, probes_per_target_per_week=2))
    (found,) = dates_ahead(case, tally(case, case.targets[ZIPS.id], Log(), LAST), LAST)
    assert (found.open, found.fewest) == (4, 3)
    assert (found.room, found.cannot_hold) == (room, cannot)
    assert found.is_over == (by < LAST)


def test_the_tables_hold_the_picture_the_phases_and_what_is_asked() -> None:
    tables = {name: as_frame(t) for name, t in review_tables(the_case(), [reviewed()]).items()}
    points = tables["review-points.csv"]
    points = points[points["target"] == ZIPS.id].reset_index()
    assert list(points["what"]) == ["first probe", "first probe", "maintenance", "probe again"]
    assert list(points["met"]) == ["yes", "no", "no", "no"]
    assert (points["low"][0], points["high"][0]) == ("0.4782", "1.0000")
    phases = tables["review-phases.csv"]
    assert ("wren", ZIPS.id, "mastered", "2026-10-19") in set(phases.itertuples(index=False, name=None))
    asked = tables["review-asked.csv"]
    assert tuple(asked.columns) == ASKED_COLUMNS
    waiting = asked[asked["kind"] == "teaching or a decision"]
    assert set(waiting["values"]) >= {"; ".join(FAR)}
    assert isinstance(asked, pd.DataFrame)


@pytest.mark.skipif(next(browsers(), None) is None, reason="no browser is installed that prints a page")
def test_the_page_becomes_a_pdf_of_a4(tmp_path: Path) -> None:
    made = pdf_of(review_page(the_case(), reviewed(), NOW).encode("utf-8"), tmp_path)
    assert made.startswith(b"%PDF")
    assert list(tmp_path.iterdir()) == []
