"""The other words: each id, name, value and text of a case, and what stands for it in a copy that anybody may read.

New ids and values are numbered in an order that is drawn by lot: in the order of the old ones, whoever has a list of
the children could read their names off. Dates are moved by one number of whole weeks: days of the week and the time
between two dates stay.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from random import Random
from typing import TypeVar

from genplan.case import Week
from genplan.case.targets import BASE_DIMENSIONS
from genplan.casefile.domain_types import SECTION_OF, UNTAUGHT, VALUES_OF, WITH
from genplan.casefile.tree import Leaf, Node

ONE_OF = {
    "learners": "learner",
    "adults": "adult",
    "locations": "location",
    "material_sets": "set",
    "targets": "target",
}
"""Section of a case -> what one of its things is called in the copy."""

SPOKEN = "wording"
"""The dimension that the program knows by its name."""

T = TypeVar("T")

DATE = re.compile("[0-9]{4}-[0-9]{2}-[0-9]{2}")


@dataclass(frozen=True, kw_only=True)
class Pseudonyms:
    """The other words of one copy.

    ids         by section, old -> new
    dimensions  names of extra dimensions, old -> new
    values      by the name of an extra dimension, old -> new
    shift       added to every date
    lot         draws the order of what has none of the case's own (`mixed`)
    texts       (kind, text) -> the other text; it fills as words are met
    """

    ids: Mapping[str, Mapping[str, str]]
    dimensions: Mapping[str, str]
    values: Mapping[str, Mapping[str, str]]
    shift: timedelta
    lot: Random
    texts: dict[tuple[str, str], str] = field(default_factory=dict)

    def id(self, section: str, id_: str) -> str:
        """An id that the case does not have becomes one that the copy does not have."""
        return self.ids[section].get(id_) or self.text(f"unknown-{ONE_OF[section]}-", id_)

    def text(self, kind: str, text: str) -> str:
        """The same for the same text: `kind` and a number, in the order in which texts are met."""
        if (kind, text) not in self.texts:
            self.texts[kind, text] = f"{kind}{1 + sum(k == kind for k, _ in self.texts)}"
        return self.texts[kind, text]

    def mixed(self, things: Iterable[T]) -> list[T]:
        """The things in an order that says nothing of the order in which they were."""
        drawn = list(things)
        self.lot.shuffle(drawn)
        return drawn

    def dimension(self, name: str) -> str:
        if name in BASE_DIMENSIONS or name in VALUES_OF:
            return name
        return self.dimensions.get(name) or self.text("unknown-dimension-", name)

    def value(self, dimension: str, value: str) -> str:
        section = SECTION_OF.get(dimension)
        if section:
            return self.id(section, value)
        return self.values.get(dimension, {}).get(value) or self.text("unknown value ", value)

    def day(self, on: date) -> date:
        return on + self.shift

    def wall(self, moment: datetime) -> datetime:
        """What the clock on the wall shows then; the zone is dropped."""
        return moment.replace(tzinfo=None) + self.shift

    def week(self, week: Week) -> Week:
        return Week.of(self.day(week.monday))

    def dates_in(self, text: str) -> str:
        """A text with its dates moved. Raises ValueError for one that is no date."""
        return DATE.sub(lambda found: self.day(date.fromisoformat(found[0])).isoformat(), text)


def pseudonyms_of(tree: Mapping[str, Node], shift: timedelta, secret: int) -> Pseudonyms:
    """The other words for the whole tree of a case. `secret` decides the lots: who knows it can undo them. It is no
    part of the shift of the dates, which can be found out."""
    lot = Random(secret)
    ids = {section: _numbered(_keys(tree.get(section)), f"{one}-", lot) for section, one in ONE_OF.items()}
    varied = [v for t in _parts(tree.get("targets")) for v in _parts_by_name(_get(t, "also_vary"))]
    names = {n for n, _ in varied} | {n for t in _parts(tree.get("targets")) for n in _names_in(t)}
    names -= {*BASE_DIMENSIONS, *VALUES_OF, SPOKEN, "by"}
    values = {
        n: _numbered({v for m, held in varied if m == n for v in _texts(held)}, "value ", lot)
        for n, _ in varied
    }
    return Pseudonyms(
        ids=ids,
        dimensions={**_numbered(names, "dimension-", lot), SPOKEN: SPOKEN},
        values=values,
        shift=shift,
        lot=lot,
    )


def _numbered(texts: Iterable[str], stem: str, lot: Random) -> dict[str, str]:
    """Numbers by lot, with as many digits as all need."""
    drawn = sorted(set(texts))
    width = len(str(len(drawn)))
    lot.shuffle(drawn)
    return {text: f"{stem}{number:0{width}d}" for number, text in enumerate(drawn, 1)}


def _keys(node: Node | None) -> list[str]:
    return list(node) if isinstance(node, dict) else []


def _get(node: Node, key: str) -> Node | None:
    return node.get(key) if isinstance(node, dict) else None


def _parts(node: Node | None) -> list[Node]:
    return list(node.values()) if isinstance(node, dict) else []


def _parts_by_name(node: Node | None) -> list[tuple[str, Node]]:
    return list(node.items()) if isinstance(node, dict) else []


def _texts(node: Node) -> list[str]:
    if isinstance(node, Leaf):
        return [node.text]
    return [n.text for n in node if isinstance(n, Leaf)] if isinstance(node, list) else []


def _names_in(target: Node) -> list[str]:
    """Dimensions that a target's patterns and counts name."""
    patterns = [p for key in ("taught", "never", "first", "hold_out") for p in _items(_get(target, key))]
    criterion = _get(target, "generalised_when")
    patterns += _items(_get(criterion, WITH)) if criterion is not None else []
    counted = [n for n in _keys(criterion) if n not in (WITH, UNTAUGHT)]
    return [*(n for p in patterns for n in _keys(p)), *counted]


def _items(node: Node | None) -> list[Node]:
    return node if isinstance(node, list) else []
