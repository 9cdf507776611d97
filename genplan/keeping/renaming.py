"""An id changed in what a case left behind: its results, and the weeks that were kept. What people were given, pages,
sheets and calendars, stays as they have it; an event keeps its UID."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from genplan.case.targets import BASE_DIMENSIONS
from genplan.casefile.domain_types import SECTION_OF
from genplan.casefile.renaming import Renaming
from genplan.errors import FileError, unreadable
from genplan.evidence.delimited_text import BOM, delimiter_of, ending_of, lines_of, row_of
from genplan.evidence.results import COLUMNS, FILE_NAME
from genplan.files import read_file
from genplan.keeping.store import FILE, FOLDER, MOST_BYTES, as_bytes, kept_weeks
from genplan.language import _

SECTIONS = {
    **{dimension: SECTION_OF[dimension] for dimension in BASE_DIMENSIONS},
    "learner": "learners",
    "target": "targets",
    "beside": "adults",
    "observer": "adults",
}
"""Columns and keys that hold an id, and the section that it is of."""
SITTINGS = ("sitting", "planned")
"""Columns that hold the id of a sitting."""
TABLES = ("plan.csv", "matrix.csv", "coverage.csv")


def renamed_beside(folder: Path, renaming: Renaming, held: Mapping[str, bytes]) -> dict[str, bytes]:
    """What is to be written beside the case, by name; `held` are files as they would be already. Raises FileError."""
    found = {}
    for name in _names(folder):
        try:
            old = held[name] if name in held else read_file(folder / name, MOST_BYTES)
        except FileNotFoundError:
            continue
        except OSError as problem:
            raise unreadable(folder / name, problem) from problem
        try:
            fresh = _told(old, renaming) if name.endswith(FILE) else renamed_table(old, renaming)
        except (ValueError, csv.Error):
            raise FileError(
                _("{name} cannot be read, so the id cannot be changed in it. Nothing was changed.", name=name)
            ) from None
        if fresh != old:
            found[name] = fresh
    return found


def _names(folder: Path) -> Iterator[str]:
    yield FILE_NAME
    for week in kept_weeks(folder):
        yield from (f"{FOLDER}/{week}/{name}" for name in (FILE, *TABLES))


def renamed_table(data: bytes, renaming: Renaming) -> bytes:
    """Rows in which nothing changes stay as they are written, to the byte."""
    bom = BOM if data.startswith(BOM) else b""
    lines = lines_of(data.removeprefix(BOM).decode("utf-8"))
    if not lines:
        return data
    delimiter = delimiter_of(lines[0], COLUMNS)
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    header: list[str] = []
    held: list[int] = []
    parts, at = [], 0
    for cells in reader:
        written, at = "".join(lines[at : reader.line_num]), reader.line_num
        if not header:
            header = [name.strip() for name in cells]
            held = [n for n, name in enumerate(header) if _may_hold(name, renaming)]
            parts.append(written)
            continue
        fresh = list(cells)
        for n in held:
            fresh[n : n + 1] = (_cell(header[n], cell, renaming) for cell in cells[n : n + 1])
        parts.append(written if fresh == cells else row_of(fresh, delimiter, ending_of(written)))
    return bom + "".join(parts).encode("utf-8")


def _may_hold(column: str, renaming: Renaming) -> bool:
    """Whether the cells of a column may have to change."""
    return column in SITTINGS or SECTIONS.get(column) == renaming.section


def _cell(column: str, text: str, renaming: Renaming) -> str:
    if column in SITTINGS:
        return renaming.sitting(text)
    fresh = renaming.id(SECTIONS.get(column, ""), text.strip())
    return text if fresh == text.strip() else fresh


def _told(data: bytes, renaming: Renaming) -> bytes:
    old = json.loads(data)
    fresh = _walked(old, renaming)
    return data if fresh == old else as_bytes(fresh)


def _walked(part: Any, renaming: Renaming) -> Any:
    if isinstance(part, list):
        return [_walked(item, renaming) for item in part]
    if isinstance(part, dict):
        return {
            k: _text(k, v, renaming) if isinstance(v, str) else _walked(v, renaming) for k, v in part.items()
        }
    return part


def _text(key: str, text: str, renaming: Renaming) -> str:
    return renaming.sitting(text) if key == "id" else renaming.id(SECTIONS.get(key, ""), text)


def rows_with(data: bytes, section: str, id_: str) -> int:
    """How many rows of a table name an id."""
    other = renamed_table(data, Renaming(section, id_, f"{id_}-"))
    return sum(a != b for a, b in zip(data.split(b"\n"), other.split(b"\n"), strict=False))
