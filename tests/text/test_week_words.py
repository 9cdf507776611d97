"""Plain words say a week by its days, and words of the trade by its code, in every language."""

from __future__ import annotations

import re
from datetime import date

import pytest

from genplan.case import Week
from genplan.keeping.loads_lately import AdultsLoad
from genplan.language import Speech, speaking
from genplan.language.catalogues import Words
from genplan.report.lately_lines import lately_lines
from genplan.report.lately_words import span_words
from genplan.text.week_words import first_and_last, week_end, week_head, week_named
from tests.fixtures import builders as b

WEEKS = (Week.of(date(2026, 11, 30)), Week.of(date(2026, 12, 7)))


@pytest.mark.parametrize(
    ("language", "words", "said"),
    [
        ("en", Words.TRADE, ("2026-W49", "2026-W49", "2026-W50", "W49", "Sunday 6 December (2026-W49)")),
        ("en", Words.PLAIN,
         ("the week from 30 November", "30 November", "13 December", "30 Nov", "Sunday 6 December")),
        ("de", Words.PLAIN,
         ("der Woche ab 30. November", "30. November", "13. Dezember", "30. Nov.", "Sonntag, 6. Dezember")),
    ],
)  # fmt: skip
def test_what_a_week_is_called(language: str, words: Words, said: tuple[str, ...]) -> None:
    with speaking(Speech(language, words)):
        assert (
            week_named(WEEKS[0]), *first_and_last(*WEEKS), week_head(WEEKS[0]), week_end(WEEKS[0])
        ) == said  # fmt: skip


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_family_reads_no_code_of_a_week(language: str) -> None:
    loads: list[AdultsLoad] = []
    for words, has_codes in ((Words.TRADE, True), (Words.PLAIN, False)):
        with speaking(Speech(language, words)):
            told = "\n".join((*lately_lines(b.a_case(), WEEKS, loads, (), {}), span_words(WEEKS[:1])))
        assert bool(re.search(r"W\d\d", told)) is has_codes, told
