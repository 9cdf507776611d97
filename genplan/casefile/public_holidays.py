"""Public holidays of a country, from the library `holidays`: an optional extra."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, time, timedelta
from functools import cache
from typing import Any

from genplan.case import Absence, Case
from genplan.case.people import AbsenceKind
from genplan.casefile.diagnostics import Diagnostics, InvalidValue, Path
from genplan.casefile.scalar_types import MISSING, FieldType, either, shown, texts
from genplan.casefile.tree import Leaf, Node
from genplan.findings import nearest
from genplan.language import N_, _, said

EXPECTED = N_("a country such as IE, or {country: AU, subdivision: TAS}")
INSTALL = N_("install it with: pip install 'genplan[holidays]'; or write the days under 'closed'")
YEARS_AHEAD = 3


def country() -> FieldType:
    """`IE` or `{country: AU, subdivision: TAS}` -> (country, subdivision or '')."""

    def read(node: Node, path: Path, notes: Diagnostics) -> Any:
        try:
            return known(*_codes(node))
        except InvalidValue as problem:
            notes.unclear(path, problem, said(EXPECTED))
            return MISSING

    part = {"country": texts(), "subdivision": texts()}
    group = {"type": "object", "properties": part, "required": ["country"], "additionalProperties": False}
    return FieldType(EXPECTED, read, either(texts(), group))


def _codes(node: Node) -> tuple[str, str]:
    if isinstance(node, Leaf) and not node.is_empty:
        return node.text, ""
    if not isinstance(node, dict) or not node.keys() <= {"country", "subdivision"} or "country" not in node:
        raise InvalidValue(shown(node))
    parts = [node.get(key, Leaf("", True)) for key in ("country", "subdivision")]
    if not all(isinstance(p, Leaf) for p in parts):
        raise InvalidValue(shown(node))
    first, second = (p.text if isinstance(p, Leaf) else "" for p in parts)
    return first, second


def known(code: str, part: str) -> tuple[str, str]:
    """The same codes. Raises Unclear for those that the library does not know, or if it is not installed."""
    countries = _library().list_supported_countries(include_aliases=False)
    if code not in countries:
        raise InvalidValue(
            f"'{code}'",
            _("the two capital letters of a country, such as IE"),
            nearest(code.upper(), countries),
        )
    if part and part not in countries[code]:
        parts = ", ".join(countries[code]) or _("none")
        raise InvalidValue(
            f"'{part}'",
            _("a part of {code} that is known ({parts})", code=code, parts=parts),
            nearest(part.upper(), countries[code]),
        )
    return code, part


def _library() -> Any:
    try:
        import holidays
    except ImportError:
        raise InvalidValue(
            _("public holidays, which need the library 'holidays'"), _("that library"), said(INSTALL)
        ) from None
    return holidays


def with_holidays(case: Case, years: Iterable[int]) -> Case:
    """The case with the public holidays of these years among the times at which its locations are closed."""
    span = tuple(sorted(set(years)))
    places = {
        i: replace(p, closed=tuple(sorted({*p.closed, *_closed(*p.holidays, span)}))) if p.holidays else p
        for i, p in case.locations.items()
    }
    return replace(case, locations=places) if any(p.holidays for p in places.values()) else case


@cache
def _closed(code: str, part: str, years: tuple[int, ...]) -> tuple[Absence, ...]:
    found = _library().country_holidays(code, subdiv=part or None, years=years)
    return tuple(
        Absence(start := datetime.combine(day, time()), start + timedelta(days=1), AbsenceKind.HOLIDAY, name)
        for day, name in sorted(found.items())
        if day.year in years
    )
