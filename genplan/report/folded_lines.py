"""Sentences as lines of a terminal: folded to its width, under the titles of their sections."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from textwrap import wrap

NARROWEST = 40


def section(title: str, lines: Iterable[str]) -> Iterator[str]:
    """A title and its lines; nothing at all without lines."""
    found = list(lines)
    if found:
        yield from ("", title, "-" * len(title), *found)


def folded(text: str, width: int | None, indent: str = "", *, whole_words: bool = False) -> list[str]:
    """The text in lines of the width, those after the first with the indent; None: in one line. A word that is longer
    than a line is broken, unless `whole_words` are asked for."""
    if width is None:
        return [text]
    start = text[: len(text) - len(text.lstrip())]
    return wrap(
        text.lstrip(),
        max(width, NARROWEST),
        initial_indent=start,
        subsequent_indent=indent,
        break_long_words=not whole_words,
    )
