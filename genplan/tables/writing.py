"""A case -> the rows of its tables, or tables with nothing but headings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from genplan.case.week import DAY_NAMES
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.keys import SECTIONS
from genplan.casefile.scalar_types import MISSING
from genplan.casefile.time_texts import windows_text
from genplan.casefile.tree import Leaf, Node
from genplan.language import N_, _, said
from genplan.tables.cells import Form, cell_of
from genplan.tables.changed import at
from genplan.tables.other_rows import form_at
from genplan.tables.sheets import (
    ABOUT,
    BY_SECTION,
    CHANGES,
    HOURS,
    HOURS_IN,
    IN_CASE,
    REMARK,
    RESULTS,
    SHEETS,
    THE_CASE,
    WAYS,
    SheetKind,
)
from genplan.tables.ways_rows import OTHERWISE

Tree = Mapping[str, Node]
KIND_OF = {"learners": "child", "adults": "adult", "locations": "place"}


@dataclass(frozen=True)
class Written:
    """A sheet to write: its headings, a row that explains them, and the rows."""

    name: str
    headings: tuple[str, ...]
    words: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


ABOUT_LINES = (
    N_(
        "A case as tables. 'genplan tables read FILE CASE' shows what "
        "they would change; with --write it is written."
    ),
    N_("A row, a heading or a sheet that begins with # is a remark and not read; so is this sheet."),
    N_("An empty cell says nothing: what the case holds there stays. A hyphen alone takes it out."),
    N_("A row that is not there takes nothing out of the case. Take things out in the case itself."),
    N_("Sheets, columns and rows may be left out, and columns may stand in any order."),
    N_(
        "People, places, things and skills may be called by their names "
        "or their ids; several with commas between them."
    ),
    N_("An id is made of the name where its cell is empty, and stays. Two of one name need ids."),
    N_(
        "Hours: 15:00-17:30, 15.00-17.30, 3-5pm, 9-12 or 9-12, 13-15; "
        "of the week: Mon, Wed 15:00-17:00; Fri 3-5pm."
    ),
    N_(
        "Dates: 2026-12-03, or dates of the spreadsheet; several with "
        "semicolons: 2026-12-03; 2026-12-24..2027-01-03."
    ),
    N_("Texts in one cell, such as steps, stand on lines of their own or have semicolons between them."),
    N_("Anything else may be written in brackets as in a case file, such as [{adult: mum, location: home}]."),
    N_(
        "Calendars in the folder busy and weeks that people were "
        "told of are files of the case, and not in here."
    ),
)


def empty_tables() -> list[Written]:
    return [_about(), *(_sheet(kind, ()) for kind in SHEETS)]


def tables_of_case(tree: Tree, results: Sequence[Mapping[str, str]], columns: Sequence[str]) -> list[Written]:
    """`tree` is the case as it is written, `results` are the rows of results.csv with their columns."""
    sheets = {s: _sheet(kind, tuple(_things(tree, s, kind))) for s, kind in BY_SECTION.items()}
    rows = {
        HOURS.name: tuple(_hours(tree)),
        WAYS.name: tuple(_ways(tree)),
        CHANGES.name: tuple(_changes(tree)),
        THE_CASE.name: tuple(_case(tree)),
    }
    of_results = Written(
        RESULTS.name,
        tuple(columns),
        (f"{REMARK} {RESULTS.words}",),
        tuple(tuple(row.get(c, "") for c in columns) for row in results),
    )
    found = [_about()]
    for kind in SHEETS:
        if kind is RESULTS:
            found.append(of_results)
        else:
            found.append(sheets[kind.section] if kind.section else _sheet(kind, rows[kind.name]))
    return found


def _about() -> Written:
    return Written(ABOUT, (_("about this workbook"),), (), tuple((said(line),) for line in ABOUT_LINES))


def _sheet(kind: SheetKind, rows: tuple[tuple[str, ...], ...]) -> Written:
    first, *others = (c.words or kind.words for c in kind.columns)
    return Written(kind.name, tuple(c.heading for c in kind.columns), (f"{REMARK} {first}", *others), rows)


def _things(tree: Tree, section: str, kind: SheetKind) -> Iterator[tuple[str, ...]]:
    for one in (section, "skills") if section == "targets" else (section,):
        things = tree.get(one)
        for id_, record in things.items() if isinstance(things, dict) else ():
            cells = []
            for column in kind.columns[1:]:
                node = at(record, column.path) if isinstance(record, dict) else None
                is_hours = column.heading == HOURS_IN.get(section)
                cells.append("" if node is None or is_hours else cell_of(column.form, node))
            yield (id_, *cells)


def _hours(tree: Tree) -> Iterator[tuple[str, ...]]:
    for section, key in HOURS_IN.items():
        things, keys = tree.get(section), SECTIONS[section].keys or {}
        for id_, record in things.items() if isinstance(things, dict) else ():
            node = record.get(key) if isinstance(record, dict) else None
            hours = keys[key].kind.read(node, (), Diagnostics("")) if node is not None else MISSING
            if hours is not MISSING:
                of_days = [windows_text(windows) for windows in hours.days]
                days = dict(zip(DAY_NAMES, of_days if any(of_days) else ["-"] * len(of_days), strict=True))
                row = {"who": id_, "kind": KIND_OF[section], **days}
                yield tuple(row.get(c.heading, "") for c in HOURS.columns)


def _ways(tree: Tree) -> Iterator[tuple[str, ...]]:
    travel = tree.get("travel_minutes")
    if not isinstance(travel, dict):
        return
    if isinstance(otherwise := travel.get(OTHERWISE), Leaf):
        yield (OTHERWISE, "", otherwise.text)
    routes = travel.get("routes")
    for route in routes if isinstance(routes, list) else ():
        ends = at(route, ("between",)) if isinstance(route, dict) else None
        texts = [n.text for n in ends if isinstance(n, Leaf)] if isinstance(ends, list) else []
        minutes = route.get("minutes") if isinstance(route, dict) else None
        if len(texts) == 2 and isinstance(minutes, Leaf):
            yield (*texts, minutes.text)


def _changes(tree: Tree) -> Iterator[tuple[str, ...]]:
    changes = tree.get("changes")
    for change in changes if isinstance(changes, list) else ():
        record = change if isinstance(change, dict) else {}
        nodes = (record.get(c.heading) for c in CHANGES.columns)
        yield tuple("" if node is None else cell_of(Form.VALUE, node) for node in nodes)


def _case(tree: Tree) -> Iterator[tuple[str, ...]]:
    for key in IN_CASE:
        if key in tree:
            yield from _flat((key,), tree[key])


def _flat(path: tuple[str, ...], node: Node) -> Iterator[tuple[str, ...]]:
    if isinstance(node, dict) and node:
        for key, part in node.items():
            yield from _flat((*path, key), part)
    else:
        yield (".".join(path), cell_of(form_at(path), node))
