"""Numbers as people read them: with the decimal sign of the language spoken. Files have a point in every language."""

from __future__ import annotations

import re

from genplan.language.dates import in_english
from genplan.language.saying import speech


def number_words(value: float) -> str:
    """Whole numbers without a point, others with up to six digits."""
    return _in_speech(f"{value:.6g}")


def decimals(value: float, places: int) -> str:
    """With so many places: `0.028`."""
    return _in_speech(f"{value:.{places}f}")


def _in_speech(written: str) -> str:
    if in_english() or not re.fullmatch(r"-?[0-9]+\.[0-9]+", written):
        return written
    from babel.numbers import format_decimal

    places = len(written.partition(".")[2])
    return format_decimal(written, f"0.{'0' * places}", speech().locale, decimal_quantization=False)
