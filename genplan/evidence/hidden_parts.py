"""Rows and columns of an .xlsx file that whoever opens it does not see: filtered out or hidden."""

from __future__ import annotations

import io
import re
from xml.etree import ElementTree
from zipfile import BadZipFile, ZipFile

from genplan.evidence.cells_without_value import sheet_parts

MOST_COLUMNS = 16_384
_HIDDEN = re.compile(rb"<(?:\w+:)?(row|col)\b[^>]*?\shidden=\"(?:1|true)\"[^>]*>")
_NUMBER = {name: re.compile(rb"\s" + name + rb"=\"(\d{1,7})\"") for name in (b"r", b"min", b"max")}


def hidden_parts(data: bytes) -> dict[str, tuple[list[int], list[int]]]:
    """By name of the sheet its hidden rows and columns, 1-based. Nothing for what is no .xlsx file."""
    try:
        with ZipFile(io.BytesIO(data)) as packed:
            return {name: _hidden_in(packed.read(part)) for name, part in sheet_parts(packed)}
    except (BadZipFile, KeyError, ElementTree.ParseError, ValueError):
        return {}


def _hidden_in(xml: bytes) -> tuple[list[int], list[int]]:
    rows: list[int] = []
    columns: set[int] = set()
    for tag in _HIDDEN.finditer(xml):
        numbers = {name: int(found[1]) for name, sign in _NUMBER.items() if (found := sign.search(tag[0]))}
        if tag[1] == b"row":
            rows += [numbers[b"r"]] if b"r" in numbers else []
        elif b"min" in numbers:
            columns.update(range(numbers[b"min"], min(numbers.get(b"max", 0), MOST_COLUMNS) + 1))
    return rows, sorted(columns)
