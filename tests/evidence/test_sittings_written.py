"""Which sittings are written down and not run: sittings are counted and not rows, and a child's no is nobody's."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, time

import pytest

from genplan.coverage.review import review
from genplan.evidence.intervals import Interval
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.sittings_written import (
    SittingsCount,
    child_was_ill,
    childs_own,
    childs_reason,
    sittings_of_adults,
    sittings_of_learners,
    sittings_written,
    together,
)
from genplan.language.catalogues import LANGUAGES, Speech, Words
from genplan.language.saying import speaking
from genplan.report.evidence_lines import progress_lines
from genplan.report.names_and_words import Names
from genplan.report.progress_tables import progress_tables
from genplan.report.sittings_words import how_counted, sittings_of_all, sittings_sentences
from tests.fixtures import builders as b

TARGET = b.a_target(never=())
CASE = b.a_case(targets=[TARGET])
NOT_RUN, PROBE, TEACHING = ResultKind.NOT_RUN, ResultKind.PROBE, ResultKind.TEACHING


def row(
    line: int, day: int, kind: ResultKind, at: int | None = 15, adult: str = "mum", note: str = ""
) -> Result:
    return Result(
        line=line,
        date=date(2026, 11, day),
        time=None if at is None else time(at),
        target=TARGET.id,
        kind=kind,
        combination=(adult, "home", "jackets"),
        trials=5 if kind is PROBE else None,
        correct=5 if kind is PROBE else None,
        note=note,
    )


def counts(*rows: Result) -> dict[str, SittingsCount]:
    return dict(sittings_of_adults(sittings_written(CASE, Log.of(rows))))


def test_five_rows_of_one_absence_are_one_sitting() -> None:
    rows = [row(n, 2, NOT_RUN, note="adult away") for n in range(2, 7)]
    assert counts(*rows) == {"mum": SittingsCount(1, 0, 1)}
    assert counts(*rows, row(7, 2, NOT_RUN, at=17)) == {"mum": SittingsCount(2, 0, 2)}
    assert counts(*rows, row(7, 3, NOT_RUN)) == {"mum": SittingsCount(2, 0, 2)}


def test_a_sitting_in_which_anything_was_run_was_run() -> None:
    assert counts(row(2, 2, PROBE), row(3, 2, NOT_RUN)) == {"mum": SittingsCount(1)}


def test_a_row_without_a_time_is_of_the_days_first_sitting() -> None:
    """A probe at three and one at five, and a row without a time: two sittings, not three."""
    rows = row(2, 2, NOT_RUN, at=15), row(3, 2, PROBE, at=17), row(4, 2, NOT_RUN, at=None)
    assert counts(*rows) == {"mum": SittingsCount(2, 0, 1)}
    assert counts(row(2, 2, NOT_RUN, at=None), row(3, 2, NOT_RUN, at=None)) == {"mum": SittingsCount(1, 0, 1)}


def test_what_went_as_it_does_every_day_is_no_sitting() -> None:
    """Teaching without a time, and rows that only stand for what is planned."""
    assert counts(row(2, 2, TEACHING, at=None)) == {}
    assert counts(row(2, 2, TEACHING, at=15)) == {"mum": SittingsCount(1)}


@pytest.mark.parametrize(
    ("note", "childs"),
    [
        ("Wren was ill", True),
        ("w. was ill", True),
        ("W: had a fever, since noon", True),
        ("Wren war krank", True),
        ("Wren is ill", True),
        ("Wren hat Fieber", True),
        ("Wren: ill, as Mum is", True),
        ("Mum was ill", False),
        ("ill: Mum", False),
        ("ill, so is mum", False),
        ("Refused: Mum", False),
        ("Refused: wanted Mum", True),
        ("Wren was collected early", False),
        ("Wrens bus was late", False),
    ],
)
def test_a_reason_after_the_childs_own_name_is_read(note: str, childs: bool) -> None:
    """Of nobody else's: whose illness it was is as plain then as where nobody is named."""
    assert bool(childs_own(CASE, row(2, 2, NOT_RUN, note=note))) is childs
    assert counts(row(2, 2, NOT_RUN, note=note)) == {"mum": SittingsCount(1, int(childs), int(not childs))}


@pytest.mark.parametrize(
    ("note", "childs"),
    [("I was ill", False), ("I ill", False), ("i: sick", False), ("I. was ill", True), ("Ines is ill", True)],
)
def test_an_i_without_a_full_stop_is_who_writes(note: str, childs: bool) -> None:
    ines = replace(CASE.learners["wren"], name="Ines", alias="I.")
    case = replace(CASE, learners={**CASE.learners, "wren": ines})
    assert child_was_ill(case, row(2, 2, NOT_RUN, note=note)) is childs


def test_a_name_that_an_adult_has_too_is_nobodys_own() -> None:
    adults = {i: replace(a, name="Wren") for i, a in CASE.adults.items()}
    assert not childs_own(replace(CASE, adults=adults), row(2, 2, NOT_RUN, note="Wren was ill"))


@pytest.mark.parametrize(
    ("note", "childs"),
    [
        ("ill", True),
        ("Refused: he hid under the table", True),
        (" refused, twice", True),
        ("krank", True),
        ("Abgelehnt: wollte nicht", True),
        ("Wollte nicht", True),
        ("wollte nicht, lief ins Bad", True),
        ("Didn’t want to!", True),
        ("had a fever", True),
        ("Mum did not want to", False),
        ("she would not", False),
        ("Krankheit der Tante", False),
        ("adult away", False),
        ("no time", False),
        ("illness of Aunt Bea", False),
        ("", False),
    ],
)
def test_whose_reason_it_was(note: str, childs: bool) -> None:
    assert bool(childs_reason(note)) is childs
    expected = SittingsCount(1, int(childs), int(not childs))
    assert counts(row(2, 2, NOT_RUN, note=note)) == {"mum": expected}


def test_a_childs_no_is_left_out_of_the_adults_interval() -> None:
    """One of three that the child did not refuse: exact, 95 %: from 0.0084 to 0.9057 (Clopper and Pearson; the ends by
    hand: 1 - 0.975^(1/3), and the root of (1 - p)^3 + 3p(1 - p)^2 = 0.025)."""
    found = SittingsCount(5, 2, 1)
    assert (found.not_run, found.asked) == (3, 3)
    assert found.interval is not None
    assert (round(found.interval.low, 4), round(found.interval.high, 4)) == (0.0084, 0.9057)
    assert SittingsCount(2, 2, 0).interval is None
    assert SittingsCount(1).interval == Interval(0.0, SittingsCount(1, 0, 0).interval.high)  # type: ignore[union-attr]


LOG = Log.of(
    [
        *(row(n, n, PROBE) for n in range(2, 8)),
        row(8, 9, NOT_RUN, note="refused"),
        row(9, 10, NOT_RUN, note="the car broke down"),
        row(10, 11, PROBE, adult="dad"),
    ]
)


def test_learners_and_adults_are_counted_apart() -> None:
    written = sittings_written(CASE, LOG)
    assert sittings_of_learners(written) == {"wren": SittingsCount(9, 1, 1)}
    assert together([sittings_of_adults(written), {"mum": SittingsCount(1, 0, 1)}]) == {
        "mum": SittingsCount(9, 1, 2),
        "dad": SittingsCount(1),
    }


def test_progress_tells_it_only_where_there_is_something_to_say() -> None:
    """Of 8 sittings with Mum 2 were not run, one of them refused: 1 of 7. Of Dad nothing is said."""
    first, last = date(2026, 11, 1), date(2026, 11, 28)
    told = review(CASE, "wren", LOG, first, last)
    names = Names(CASE)
    assert list(sittings_sentences(names, told.sittings)) == [
        f"With {names.adult('mum')}: 2 of 8 sittings written down not run, 1 of them for the child's own reason; of the"
        " other 7 it is 1 (14 %, exact interval under 1 % to 58 %).",
        how_counted(),
    ]
    assert "  Sittings that were not run" in list(progress_lines(CASE, [told]))
    quiet = review(CASE, "wren", Log.of([row(2, 2, PROBE)]), first, last)
    assert "  Sittings that were not run" not in list(progress_lines(CASE, [quiet]))
    assert list(sittings_of_all(names, [told])) == []
    assert next(sittings_of_all(names, [told, told])).startswith(
        "In all: 4 of 18 sittings written down not run, 2 of"
    )


def test_the_table_has_them_with_each_learner_and_with_all() -> None:
    told = review(CASE, "wren", LOG, date(2026, 11, 1), date(2026, 11, 28))
    table = progress_tables([told, told])["progress-sittings.csv"]
    assert list(map(list, table.rows)) == [
        *2 * (["wren", "dad", 1, 0, 0, "0.000", "0.975"], ["wren", "mum", 8, 2, 1, "0.004", "0.579"]),
        ["", "dad", 2, 0, 0, "0.000", "0.842"],
        ["", "mum", 16, 4, 2, "0.018", "0.428"],
    ]
    assert len(progress_tables([told])["progress-sittings.csv"].rows) == 2


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("words", Words)
def test_the_words_that_are_said_to_count_do_count(language: str, words: Words) -> None:
    """Each that the sentence on how sittings are counted names: the two reasons, and one in other words."""
    with speaking(Speech(language, words)):
        named = re.findall(r"(?<!\w)'([^']+)'", how_counted())
    assert [childs_reason(word) for word in named] == ["ill", "refused", "refused"]
    assert [childs_reason(f"{word}: all day") for word in named] == ["ill", "refused", "refused"]
