"""Cells of a table that a spreadsheet would run as a formula, on the way out and back in."""

from __future__ import annotations

import re

_RUNS = re.compile(r"'*[=+\-@\t\r]")
_DEFUSED = re.compile(r"'+[=+\-@\t\r]")


def escape_formula(text: str) -> str:
    """The text, with an apostrophe before it if a spreadsheet would take it for a formula.

    That is a text that starts with one of ``= + - @``, a tab or a carriage return; one that has apostrophes
    before these gets one more, so that `unescape_formula` gives it back."""
    return f"'{text}" if _RUNS.match(text) else text


def unescape_formula(text: str) -> str:
    """What `escape_formula` was given, for every text that it changes."""
    return text[1:] if text[:1] == "'" and _DEFUSED.match(text) else text
