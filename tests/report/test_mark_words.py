"""What a mark can show stands on the pages, once for each."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest

from genplan.case import PassMark
from genplan.coverage.review import review
from genplan.evidence.log import Log
from genplan.report.evidence_lines import progress_lines
from genplan.report.mark_words import mark_sentences
from genplan.report.names_and_words import Names
from genplan.report.page import week_page
from genplan.report.review_page import review_page
from tests.fixtures import builders as b
from tests.fixtures.pagecheck import read

FOUR = "A probe met with 4 of 5 ("


def said(*marks: tuple[PassMark, int]) -> list[str]:
    targets = [
        b.a_target(f"t-{i}", pass_mark=mark, trials=trials, criterion=None)
        for i, (mark, trials) in enumerate(marks)
    ]
    return list(mark_sentences(Names(b.a_case(targets=targets)), targets))


# 0.7^5 + 5 0.7^4 0.3 = 0.528, 1 - 0.9^5 - 5 0.9^4 0.1 = 0.081; the low ends of n of n are (1/40)^(1/n)
@pytest.mark.parametrize(
    ("mark", "trials", "told"),
    [
        (
            PassMark(4, 5),
            5,
            ("53 % of the time", "misses it 8 % of the time", "all 5 correct", "from 48 % up"),
        ),
        (PassMark(1, 1), 1, ("70 % of the time", "misses it 10 %", "the one trial correct", "from 3 % up")),
        (PassMark(4, 5), 10, ("A probe met with 8 of 10", "all 10 correct", "from 69 % up")),
    ],
)
def test_what_a_mark_is_worth(mark: PassMark, trials: int, told: tuple[str, ...]) -> None:
    (sentence,) = said((mark, trials))
    for words in told:
        assert words in sentence
    assert ("no number of trials can show" in sentence) is (mark == PassMark(1, 1))


def test_targets_of_one_mark_are_told_together() -> None:
    assert len(said((PassMark(4, 5), 5), (PassMark(8, 10), 5), (PassMark(1, 1), 5))) == 2
    case = b.a_case()
    criterion = [
        s
        for s in mark_sentences(Names(case), case.targets.values())
        if s.startswith("Mastery judged by 9 of 10")
    ]
    assert len(criterion) == 1


def test_the_pages_and_the_terminal_say_it_once() -> None:
    case = b.a_case()
    found = review(case, "wren", Log(), date(2026, 11, 1), date(2026, 11, 28))
    now = datetime(2026, 11, 29, 12, tzinfo=ZoneInfo("Europe/Dublin"))
    for text in (
        read(review_page(case, found, now)).words,
        read(week_page(case, b.a_plan(case))).words,
        " ".join(progress_lines(case, [found])),
    ):
        assert text.count(FOUR) == 1
        assert "A probe of 5 trials is met with 4 correct." in text


def test_a_target_without_a_criterion_has_none() -> None:
    target = replace(b.a_target(), criterion=None)
    assert not any(
        s.startswith("Mastery") for s in mark_sentences(Names(b.a_case(targets=[target])), [target])
    )
