"""Cells of a spreadsheet that show nothing to a reader of values: of an .xlsx file a formula that no program has worked
out yet, and one whose answer is an error such as #REF!; of an .ods file those that lie under a merged one. A reader of
values takes all of them for empty cells."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from posixpath import join, normpath
from typing import IO
from xml.etree import ElementTree
from zipfile import BadZipFile, ZipFile

from genplan.language import N_, said

Problem = tuple[str, str, str]
"""What was found, what was expected, what to do."""

NO_VALUE: Problem = (
    N_("a formula that was never worked out"),
    N_("a value"),
    N_(
        "open the file in a spreadsheet program and save it there, or put the values in place of the formulas"
    ),
)
AN_ERROR: Problem = (
    N_("a formula that has come to an error"),
    N_("a value"),
    N_("mend the formula, or type the value"),
)


def _said(problem: Problem) -> Problem:
    found, expected, hint = problem
    return said(found), said(expected), said(hint)


def uncomputed_cells(data: bytes) -> dict[str, dict[tuple[int, int], Problem]]:
    """By name of the sheet and 0-based row and column. Nothing for what is no .xlsx file."""
    found = {}
    try:
        with ZipFile(io.BytesIO(data)) as packed:
            for name, part in sheet_parts(packed):
                with packed.open(part) as xml:
                    found[name] = dict(_cells(xml))
    except (BadZipFile, KeyError, ElementTree.ParseError, ValueError):
        return {}
    return found


def merged_in_ods(data: bytes) -> dict[str, list[tuple[int, int, int, int]]]:
    """Merged cells of an .ods file by the name of the sheet, 0-based: first row and column, last row and column.
    Nothing for what is no such file."""
    found: dict[str, list[tuple[int, int, int, int]]] = {}
    try:
        with ZipFile(io.BytesIO(data)) as packed, packed.open("content.xml") as xml:
            for _, element in ElementTree.iterparse(xml):
                if _bare(element.tag) == "table":
                    found[_attribute(element, "name")] = list(_spans(element))
                    element.clear()
    except (BadZipFile, KeyError, ElementTree.ParseError, ValueError):
        return {}
    return found


def _spans(table: ElementTree.Element) -> Iterator[tuple[int, int, int, int]]:
    row = 0
    for line in (e for e in table.iter() if _bare(e.tag) == "table-row"):
        column = 0
        for cell in line:
            rows = int(_attribute(cell, "number-rows-spanned") or 1)
            columns = int(_attribute(cell, "number-columns-spanned") or 1)
            if rows > 1 or columns > 1:
                yield row, column, row + rows - 1, column + columns - 1
            column += int(_attribute(cell, "number-columns-repeated") or 1)
        row += int(_attribute(line, "number-rows-repeated") or 1)


def _attribute(element: ElementTree.Element, name: str) -> str:
    return next((v for k, v in element.attrib.items() if _bare(k) == name), "")


def sheet_parts(packed: ZipFile) -> Iterator[tuple[str, str]]:
    """Each sheet with the file it lies in."""
    links = ElementTree.fromstring(packed.read("xl/_rels/workbook.xml.rels"))
    targets = {link.get("Id", ""): link.get("Target", "") for link in links}
    for entry in ElementTree.fromstring(packed.read("xl/workbook.xml")).iter():
        if _bare(entry.tag) != "sheet":
            continue
        if target := targets.get(_attribute(entry, "id")):
            yield entry.get("name", ""), normpath(join("/xl", target)).lstrip("/")


def _cells(xml: IO[bytes]) -> Iterator[tuple[tuple[int, int], Problem]]:
    for _, element in ElementTree.iterparse(xml):
        if _bare(element.tag) == "row":
            element.clear()  # what was looked at is not kept
        if _bare(element.tag) != "c":
            continue
        parts = {_bare(part.tag): part for part in element}
        value = parts["v"].text if "v" in parts else None
        if element.get("t") == "e":
            yield _at(element.get("r", "")), _said(AN_ERROR)
        elif "f" in parts and not value and "is" not in parts and element.get("t") != "str":
            yield _at(element.get("r", "")), _said(NO_VALUE)


def _at(name: str) -> tuple[int, int]:
    found = re.fullmatch("([A-Z]{1,3})([0-9]{1,7})", name)
    if not found:
        raise ValueError(name)
    column = 0
    for letter in found[1]:
        column = column * 26 + ord(letter) - ord("A") + 1
    return int(found[2]) - 1, column - 1


def _bare(tag: str) -> str:
    """A name without its namespace."""
    return tag.rpartition("}")[2]
