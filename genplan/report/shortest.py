"""Which adult or place is short for most of several children: who or what stands in the way of what is left out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from genplan.language import _, and_list_of
from genplan.plan import LeftOut
from genplan.report.names_and_words import Names
from genplan.report.reasons import amount_of, amounts_read
from genplan.rules.limits import Kind, Limit

Whose = tuple[str, str]
"""`("adult" or "location", id)`."""

OF_HOURS = (
    *(Kind.ADULT_NOT_FREE, Kind.LOCATION_SHUT, Kind.PEOPLE_APART, Kind.NEVER_ALL),
    *(Kind.LOCATION_AND_LEARNER, Kind.LOCATION_AND_ADULT),
)
"""Parts of hours that do not meet that say whose are missing."""
OF_MINUTES = (
    *(Kind.ADULT_MINUTES_PER_WEEK, Kind.ADULT_SITTINGS_PER_DAY, Kind.ADULT_SITTINGS_PER_WEEK),
    *(Kind.ADULT_TIME, Kind.ROOM),
)
"""What others take, or a limit ends."""
NAMED_AT_MOST = 6


def shortest_lines(names: Names, left_out: Iterable[LeftOut]) -> Iterator[str]:
    """The adult or place that is short for the most children, and of equals for the most of what is left out; nothing
    where none is. An amount counts each thing once, whatever else stands in its way."""
    found: dict[Whose, list[LeftOut]] = defaultdict(list)
    for item in left_out:
        for whose in {one for limit in _each(item.limit) for one in _short(limit)}:
            found[whose].append(item)
    if not found:
        return
    (kind, id_), items = min(found.items(), key=lambda one: (*_most_first(one[1]), one[0]))
    children = sorted({i.learner for i in items}, key=lambda i: (-_of_child(items, i), i))
    yield _(
        "Short for most: {who}, whose time, alone or with something else, stands in the way of {amount}"
        " ({children}).",
        who=names.adult(id_) if kind == "adult" else names.location(id_),
        amount=amounts_read(names, items),
        children=and_list_of([names.learner(i) for i in children], NAMED_AT_MOST),
    )


def _most_first(items: list[LeftOut]) -> tuple[int, int]:
    return -len({i.learner for i in items}), -sum(map(amount_of, items))


def _of_child(items: list[LeftOut], learner: str) -> int:
    return sum(amount_of(i) for i in items if i.learner == learner)


def _each(limit: Limit) -> Iterator[Limit]:
    """It, and the limits in which several ways end, or that say why hours do not meet."""
    yield limit
    for part in limit.parts:
        yield from _each(part)


def _short(limit: Limit) -> Iterator[Whose]:
    if limit.kind in OF_HOURS or limit.kind in OF_MINUTES:
        yield limit.kind.of, limit.subject
