"""The decimal sign of the language spoken, where people read a number."""

from __future__ import annotations

from fractions import Fraction

import pytest

from genplan.language import Speech, speaking
from genplan.language.numbers import decimals, number_words
from genplan.report.figure_words import chance_words


@pytest.mark.parametrize(
    ("value", "english", "german"),
    [(0.5, "0.5", "0,5"), (12.0, "12", "12"), (-1.25, "-1.25", "-1,25"), (1234567.5, "1.23457e+06", "1.23457e+06")],
)  # fmt: skip
def test_a_number(value: float, english: str, german: str) -> None:
    assert number_words(value) == english
    with speaking(Speech("de")):
        assert number_words(value) == german


def test_places_are_kept() -> None:
    assert (decimals(0.1, 3), decimals(12345.678, 1), decimals(2, 0)) == ("0.100", "12345.7", "2")
    with speaking(Speech("de")):
        assert (decimals(0.1, 3), decimals(12345.678, 1), decimals(2, 0)) == ("0,100", "12345,7", "2")
        assert chance_words(Fraction(1, 36)) == "0,028"
        assert chance_words(Fraction(1, 9999)) == "unter 0,001"
