"""The pages of the reference, taken apart: headings, paragraphs, points of a list, rows of a table, blocks to type.

A page is read in the language of now where there is one, `de/words.md`, and else in English.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

from genplan.language import LANGUAGES, speech

ENGLISH = LANGUAGES[0]
ORDER = (
    *(
        "words",
        "cautions",
        "rules",
        "case",
        "tables",
        "policy",
        "teaching",
        "results",
        "figures",
        "questions",
    ),
    *("outputs", "told", "machines", "commands", "browser", "data"),
)
"""The pages as they are listed and read: what a case is, then what is done with it."""

REMARK = re.compile(r"<!--.*?-->")
HEADING = re.compile(r"(#+) (.+)")
POINT = re.compile(r"(?:- |\d+\. )")
CELLS = re.compile(r"(?<!\\)\|")
QUOTED = re.compile(r"`([^`]+)`")


@dataclass(frozen=True)
class Part:
    """A paragraph, a point of a list, a row of a table or a block to type, as the page has it.

    page      the name of its page
    headings  those it stands under, the page's own first
    text      its words; of a block to type its lines
    head      of a row: the heads of the columns; else empty
    cells     of a row: what stands under each
    typed     a block to type
    language  of its words
    """

    page: str
    headings: tuple[str, ...]
    text: str
    head: tuple[str, ...] = ()
    cells: tuple[str, ...] = ()
    typed: bool = False
    language: str = ENGLISH


@dataclass(frozen=True)
class Page:
    name: str
    title: str
    about: str
    parts: tuple[Part, ...]
    language: str


def pages() -> tuple[Page, ...]:
    return pages_in(speech().language)


@cache
def pages_in(language: str) -> tuple[Page, ...]:
    return tuple(_page(name, language if is_there(name, language) else ENGLISH) for name in ORDER)


def is_there(name: str, language: str) -> bool:
    return language == ENGLISH or (files(__package__) / language / f"{name}.md").is_file()


def page_text(name: str, language: str = ENGLISH) -> str:
    folder = files(__package__)
    return ((folder if language == ENGLISH else folder / language) / f"{name}.md").read_text("utf-8")


def _page(name: str, language: str) -> Page:
    lines = REMARK.sub("", page_text(name, language)).splitlines()
    parts = tuple(replace(part, language=language) for part in _parts(name, lines))
    return Page(name, parts[0].headings[0], parts[0].text, parts[1:], language)


def _parts(page: str, lines: Iterable[str]) -> Iterator[Part]:
    headings: tuple[str, ...] = ()
    for block in _blocks(lines):
        if found := HEADING.fullmatch(block[0]):
            headings = (*headings[: len(found[1]) - 1], found[2])
        elif block[0].startswith("|"):
            yield from _rows(page, headings, block)
        elif block[0].startswith("```"):
            yield Part(page, headings, "\n".join(block[1:-1]), typed=True)
        else:
            yield Part(page, headings, " ".join(line.strip() for line in block))


def _blocks(lines: Iterable[str]) -> Iterator[list[str]]:
    """Lines that belong together: a heading, a whole table, a block to type with its fences, one point, one
    paragraph."""
    held: list[str] = []
    for line in lines:
        if held and held[0].startswith("```"):
            held.append(line)
            if line.startswith("```"):
                yield held
                held = []
            continue
        begins = not line.strip() or HEADING.match(line) or POINT.match(line) or line.startswith("```")
        if held and (begins or HEADING.match(held[0]) or _is_row(line) != _is_row(held[0])):
            yield held
            held = []
        if line.strip():
            held.append(line)
    if held:
        yield held


def _is_row(line: str) -> bool:
    return line.startswith("|")


def _rows(page: str, headings: tuple[str, ...], block: list[str]) -> Iterator[Part]:
    head, _, *rows = ([c.strip() for c in CELLS.split(line.strip())[1:-1]] for line in block)
    for cells in rows:
        yield Part(page, headings, " ".join(cells), tuple(head), tuple(cells))
