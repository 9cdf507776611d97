"""What the reference says of a word, and its pages: for reading beside the work."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from starlette.requests import Request
from starlette.responses import Response

from genplan.help.lookup import look_up
from genplan.help.pages import Page, Part, pages
from genplan.help.plain_text import (
    MOST_MENTIONS,
    bare,
    english_only,
    is_foreign,
    page_english_only,
    place_of,
    row_lines,
)
from genplan.language import _
from genplan.web.app_state import AppState
from genplan.web.templating import screen

MOST_LETTERS = 100


@dataclass(frozen=True)
class Block:
    """What stands under one heading: of each part its name, if it has one, its lines, and whether it is to be typed;
    and the language of all that."""

    heading: str
    parts: Sequence[tuple[str, Sequence[str], bool]]
    language: str


def show(site: AppState, request: Request) -> Response:
    """The answer to `word`, or the page `page`; without either how to ask, and the list of the pages."""
    asked = request.query_params.get("word", "").strip()[:MOST_LETTERS]
    read = next((p for p in pages() if p.name == request.query_params.get("page")), None)
    answer = look_up(asked.split()) if asked else None
    named = [p for section in answer.sections for p in section] + list(answer.rows) if answer else []
    mentions = answer.mentions[:MOST_MENTIONS] if answer else ()
    return screen(
        site,
        request,
        "help-screen.html",
        title=read.title if read else _("Help"),
        asked=asked,
        read=read,
        about=bare(read.about) if read else "",
        blocks=_blocks(read.parts, own_heading) if read else _blocks(named),
        mentions=_blocks(mentions),
        others=(*answer.longer, *answer.near) if answer else (),
        pages=[(p.name, p.title, bare(p.about), p.language) for p in pages()],
        english_only=_english_only(read, (*named, *mentions)),
    )


def _english_only(read: Page | None, parts: Sequence[Part]) -> str:
    """With nothing to show but the list of the pages, it is of that."""
    if read:
        return page_english_only() if is_foreign(read) else ""
    return english_only() if any(map(is_foreign, parts or pages())) else ""


def own_heading(part: Part) -> str:
    return bare(part.headings[-1])


def _blocks(parts: Iterable[Part], heading: Callable[[Part], str] = place_of) -> list[Block]:
    """Parts that stand under one heading, and follow each other, are one block."""
    together = groupby(parts, lambda part: (heading(part), part.language))
    return [Block(words, [_drawn(p) for p in some], language) for (words, language), some in together]


def _drawn(part: Part) -> tuple[str, Sequence[str], bool]:
    if part.typed:
        return "", [part.text], True
    if part.cells:
        return row_lines(part)[0], row_lines(part)[1:], False
    return "", [bare(part.text)], False
