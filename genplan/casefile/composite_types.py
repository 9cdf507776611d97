"""Values of several parts: lists, tables with keys of a user's own, hours of the week, days off."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from genplan.case import WeeklyHours
from genplan.case.week import DAY_NAMES
from genplan.case.windows import Windows, merge
from genplan.casefile import time_texts
from genplan.casefile.diagnostics import Diagnostics, InvalidValue, Path
from genplan.casefile.invisible_characters import alike
from genplan.casefile.scalar_types import (
    MISSING,
    NOTHING,
    FieldType,
    Schema,
    an_id,
    either,
    parsed,
    shown,
    texts,
    then,
)
from genplan.casefile.tree import Leaf, Node
from genplan.language import N_, _, said
from genplan.language.marked import Sayable, say


def list_of(
    item: FieldType, *, least: int = 0, apart: bool = False, one_alone: bool = True, expects: Sayable = ""
) -> FieldType:
    """A list -> a tuple. `apart`: no value twice; `one_alone`: a single value stands for a list of one."""
    wanted = expects or (lambda: _("a list of {item}", item=item.expects))

    def read(node: Node, path: Path, notes: Diagnostics) -> Any:
        if isinstance(node, Leaf) and node.is_empty and not least:
            return ()
        if isinstance(node, dict) or (isinstance(node, Leaf) and (node.is_empty or not one_alone)):
            hint = _("start each item with a dash, or put the items in [ ]") if isinstance(node, dict) else ""
            notes.error(path, shown(node), say(wanted), hint)
            return MISSING
        if isinstance(node, Leaf):
            value = item.read(node, path, notes)
            return MISSING if value is MISSING else (value,)
        if len(node) < least:
            notes.error(path, _("an empty list"), say(wanted), _("leave the key out for its default"))
            return MISSING
        values = [item.read(n, (*path, str(i)), notes) for i, n in enumerate(node, 1)]
        if apart:
            _tell_twins(values, node, path, notes)
        return tuple(v for v in values if v is not MISSING)

    many: Schema = {"type": "array", "items": item.schema, "minItems": least, "uniqueItems": apart}
    others = [*([item.schema] if one_alone else []), *([] if least else [NOTHING])]
    return FieldType(wanted, read, either(many, *others) if others else many, item.keys)


def _tell_twins(values: list[Any], node: list[Node], path: Path, notes: Diagnostics) -> None:
    """An error for each value that is there already, or looks as if it were."""
    first: dict[Any, Any] = {}
    for i, value in enumerate(values, 1):
        if value is MISSING:
            continue
        key = alike(value) if isinstance(value, str) else value
        if key not in first:
            first[key] = value
        elif first[key] == value:
            notes.error(
                (*path, str(i)), _("{value} a second time", value=shown(node[i - 1])), _("each value once")
            )
        else:
            twin = first[key]
            found = _(
                "{value}, which differs from '{twin}' only in capitals or in how a letter is coded",
                value=shown(node[i - 1]),
                twin=twin,
            )
            notes.error(
                (*path, str(i)),
                found,
                _("values that are told apart"),
                _("use another word, or keep one of them"),
            )


EMPTY_LIST: Schema = {"type": "array", "maxItems": 0}


def ids_or_all(*, least: int = 0) -> FieldType:
    """Ids -> a tuple in the order given; `all` -> None."""
    expects = N_("ids, such as [home, school], or all")
    listed = list_of(an_id(), least=max(least, 1), apart=True, expects=expects)

    def read(node: Node, path: Path, notes: Diagnostics) -> Any:
        if isinstance(node, Leaf) and node.text == "all":
            return None
        if node == [] and not least:
            return ()
        if isinstance(node, Leaf) and "," in node.text:
            notes.error(
                path,
                shown(node),
                said(expects),
                _("write [{text}] for more than one", text=node.text.strip()),
            )
            return MISSING
        return listed.read(node, path, notes)

    schema = listed.schema if least else either(listed.schema, EMPTY_LIST)
    return FieldType(expects, read, schema, many_ids=True)


def table_of(value: FieldType, expects: Sayable, name: Callable[[str], str] = str) -> FieldType:
    """Keys that a user chooses -> a dict in the order given; `name` may rename a key and raises `Unclear`."""

    def read(node: Node, path: Path, notes: Diagnostics) -> Any:
        if isinstance(node, Leaf) and node.is_empty:
            return {}
        if not isinstance(node, dict):
            notes.error(path, shown(node), say(expects))
            return MISSING
        entries: dict[str, Any] = {}
        for key, part in node.items():
            try:
                entries[name(key)] = value.read(part, (*path, key), notes)
            except InvalidValue as problem:
                notes.unclear((*path, key), problem, say(expects))
        return {k: v for k, v in entries.items() if v is not MISSING}

    return FieldType(
        expects, read, {"type": ["object", "null"], "additionalProperties": value.schema}, value.keys
    )


def _day_windows(node: Node, path: Path, notes: Diagnostics) -> Windows:
    if isinstance(node, Leaf) and node.is_empty:
        hint = _(
            'inside { } put several days in quotation marks, such as "mon,wed"; leave a day without hours out'
        )
        notes.error(path, _("no value"), said(time_texts.A_WINDOW), hint)
        return ()
    items = node if isinstance(node, list) else [node]
    found: list[tuple[int, int]] = []
    for i, item in enumerate(items, 1):
        at = (*path, str(i)) if isinstance(node, list) else path
        if not isinstance(item, Leaf):
            notes.error(at, shown(item), said(time_texts.A_WINDOW))
            continue
        try:
            found.extend(time_texts.windows([item.text]))
        except InvalidValue as problem:
            hint = problem.hint or (_("leave a day without hours out") if item.text.isalpha() else "")
            notes.error(at, problem.found, problem.expected, hint)
    return merge(found)


def weekly_hours(*, empty: str = "") -> FieldType:
    """Days -> windows. `empty` is the hint for hours without any day, where that is an error."""
    expects = N_('days with windows, such as {mon-fri: "15:30-18:30", sat: ["09:30-12:00", "14:00-16:00"]}')

    def read(node: Node, path: Path, notes: Diagnostics) -> Any:
        nothing = node == {} or (isinstance(node, Leaf) and node.is_empty)
        if nothing and not empty:
            return WeeklyHours.never()
        if nothing or not isinstance(node, dict):
            notes.error(
                path, _("no hours") if nothing else shown(node), said(expects), said(empty) if nothing else ""
            )
            return MISSING
        days: list[list[tuple[int, int]]] = [[] for _ in DAY_NAMES]
        for key, value in node.items():
            found = _day_windows(value, (*path, key), notes)
            try:
                for number in time_texts.day_numbers(key):
                    days[number].extend(found)
            except InvalidValue as problem:
                notes.unclear((*path, key), problem, said(time_texts.SOME_DAYS))
        return WeeklyHours(tuple(merge(parts) for parts in days))

    window = texts(
        rf"\s*{time_texts.WINDOW_TEXT}\s*(?:,\s*{time_texts.WINDOW_TEXT}\s*)*",
        description=time_texts.A_WINDOW,
    )
    table: Schema = {
        "type": "object" if empty else ["object", "null"],
        "patternProperties": {
            f"^{time_texts.DAYS_TEXT}$": either(window, {"type": "array", "items": window})
        },
        "additionalProperties": False,
    }
    return FieldType(expects, read, {**table, "minProperties": 1} if empty else table)


def absences(why: str) -> FieldType:
    item = parsed(time_texts.AN_ABSENCE, lambda text: time_texts.absence(text, why), time_texts.ABSENCE_TEXT)
    listed = list_of(
        item, expects=N_("dates away, such as [2026-12-03, 2026-12-04 09:00-12:00, 2026-12-24..2027-01-03]")
    )
    return then(listed, lambda found: tuple(sorted(set(found))))


def terms() -> FieldType:
    """Ranges of dates -> the absences between and around them."""
    item = parsed(time_texts.RANGE, time_texts.term, time_texts.RANGE_TEXT)
    return then(
        list_of(item, least=1, expects=N_("ranges of dates, such as [2026-08-27..2026-12-18]")),
        time_texts.outside,
    )


def days_of_week() -> FieldType:
    item = parsed(time_texts.SOME_DAYS, time_texts.day_numbers, time_texts.DAYS_TEXT)
    listed = list_of(item, least=1, expects=time_texts.SOME_DAYS)
    return then(listed, lambda found: tuple(sorted({day for days in found for day in days})))


def ascending(item: FieldType, expects: Sayable) -> FieldType:
    return then(list_of(item, apart=True, expects=expects), lambda found: tuple(sorted(found)))
