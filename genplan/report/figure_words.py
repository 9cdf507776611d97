"""Shares, chances and intervals as a person reads them."""

from __future__ import annotations

from fractions import Fraction
from math import floor

from genplan.evidence.intervals import Interval, clopper_pearson
from genplan.language import _
from genplan.language.numbers import decimals


def percent(share: Fraction | float) -> str:
    """Rounded half up, but never to 0 or 100 what is not exactly that."""
    whole = floor(share * 100 + Fraction(1, 2))
    if share > 0 and whole == 0:
        return _("under 1 %")
    return _("over 99 %") if share < 1 and whole == 100 else _("{whole} %", whole=whole)


def chance_words(chance: Fraction) -> str:
    """`0.028`: three places, and never 0."""
    return (
        decimals(float(chance), 3)
        if chance >= Fraction(1, 1000)
        else _("under {least}", least=decimals(0.001, 3))
    )


def interval_words(correct: int, trials: int) -> str:
    """The exact interval of a proportion, 95 %: `28 % to 99 %`."""
    return range_words(clopper_pearson(correct, trials))


def range_words(found: Interval) -> str:
    return _("{low} to {high}", low=percent(found.low), high=percent(found.high))
