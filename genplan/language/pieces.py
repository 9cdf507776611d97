"""A sentence of which the pieces are known by name: it says by itself which it needs."""

from __future__ import annotations

from functools import cache
from string import Formatter

from genplan.language.saying import said


def said_of(pieces: object, marked: str) -> str:
    """The sentence with each `{name}` in it replaced by what `pieces` calls so."""
    return said(marked, **{name: getattr(pieces, name) for name in _named_in(marked)})


@cache
def _named_in(marked: str) -> frozenset[str]:
    return frozenset(part[1] for part in Formatter().parse(marked) if part[1])
