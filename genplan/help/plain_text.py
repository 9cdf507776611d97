"""What was found in the reference, as lines for a terminal."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator

from genplan.help.lookup import Answer
from genplan.help.pages import POINT, Page, Part, pages
from genplan.language import _, ngettext, speech

LINK = re.compile(r"\[([^]]+)\]\([^)]+\)")
STRESSED = re.compile(r"(?<![\w*])\*([^*]+)\*(?![\w*])")
NO = "–"
MOST_MENTIONS = 6
MOST_WIDE = 100
MOST_LONGER = 20


def answer_lines(answer: Answer, width: int | None) -> Iterator[str]:
    """Without a width no line is broken."""
    for section in answer.sections:
        yield from _section(section, width)
    for part in answer.rows:
        yield from (f"{place_of(part)}:", *part_lines(part, width, "  "), "")
    if answer.mentions:
        yield from _mentions(answer, width)
    yield from _beside(answer, width)
    shown = (*answer.rows, *answer.mentions[:MOST_MENTIONS], *(p for s in answer.sections for p in s))
    if any(map(is_foreign, shown)):
        yield from _wrapped(english_only(), width, "")


def is_foreign(read: Page | Part) -> bool:
    """Whether it is there in English only, while another language is spoken."""
    return read.language != speech().language


def page_english_only() -> str:
    return _("This page is there in English only.")


def english_only() -> str:
    return _("What stands here in English is there in English only.")


def _mentions(answer: Answer, width: int | None) -> Iterator[str]:
    yield _("Spoken of in:")
    shown = answer.mentions[:MOST_MENTIONS]
    for part in shown:
        yield from (f"  {place_of(part)}:", *part_lines(part, width, "    "), "")
    left = answer.mentions[len(shown) :]
    if left:
        names = ", ".join(dict.fromkeys(part.page for part in left))
        more = ngettext(
            "… and once more, on this page: {names}.",
            "… and {n} times more, on these pages: {names}.",
            len(left),
            names=names,
        )
        yield from _wrapped(more, width, "  ")
        yield ""


def _beside(answer: Answer, width: int | None) -> Iterator[str]:
    if answer.longer:
        more = "" if len(answer.longer) <= MOST_LONGER else ", …"
        names = ", ".join(answer.longer[:MOST_LONGER])
        yield from _wrapped(_("See also: {names}{more}.", names=names, more=more), width, "")
    if answer.page:
        yield _("A whole page is about it: {command}", command=f"genplan help page {answer.page}")


def list_lines() -> Iterator[str]:
    """The pages, and how to ask."""
    yield from _wrapped(
        _(
            "{command} tells what the reference says of a key, a column, a status, an option, a command "
            "or a word of the trade. Such as:",
            command="genplan help WORD",
        ),
        MOST_WIDE,
        "",
    )
    yield ""
    for asked in ("rest_minutes", "met_untaught", "retest", "record --corrects", "material set"):
        yield f"  genplan help {asked}"
    yield ""
    yield _("Its pages:")
    yield ""
    for page in pages():
        yield f"  genplan help page {page.name:<10} {page.about}"
    if any(map(is_foreign, pages())):
        yield from ("", english_only())


def page_lines(page: Page, width: int | None) -> Iterator[str]:
    yield from _heading(page.title, "=")
    yield from (*_wrapped(bare(page.about), width, ""), "")
    if is_foreign(page):
        yield from (*_wrapped(page_english_only(), width, ""), "")
    under: tuple[str, ...] = (page.title,)
    for part in page.parts:
        if part.headings != under:
            under = part.headings
            yield from _heading(bare(under[-1]), "-")
        yield from (*part_lines(part, width, ""), "")


def _section(parts: Iterable[Part], width: int | None) -> Iterator[str]:
    parts = list(parts)
    yield from _heading(" › ".join(map(bare, parts[0].headings)), "-")
    for part in parts:
        yield from (*part_lines(part, width, ""), "")


def _heading(text: str, line: str) -> Iterator[str]:
    yield from (text, line * len(text))


def part_lines(part: Part, width: int | None, margin: str) -> Iterator[str]:
    if part.typed:
        yield from (f"{margin}  {line}" for line in part.text.splitlines())
    elif part.cells:
        yield from _row(part, width, margin)
    else:
        hanging = " " * len(found[0]) if (found := POINT.match(part.text)) else ""
        yield from _wrapped(bare(part.text), width, margin, hanging)


def _row(part: Part, width: int | None, margin: str) -> Iterator[str]:
    name, *lines = row_lines(part)
    yield margin + name
    for line in lines:
        yield from _wrapped(line, width, f"{margin}  ", "  ")


def row_lines(part: Part) -> list[str]:
    """Its name, and each other column with its head; of two columns the second needs none, and columns that only say
    yes or nothing are told together."""
    name = LINK.sub(r"\1", part.cells[0]).replace("`", "")
    pairs = list(zip(map(bare, part.head[1:]), map(bare, part.cells[1:]), strict=True))
    if {cell for _head, cell in pairs} <= {"yes", _("yes"), NO}:
        yes, no = ([h for h, c in pairs if (c == NO) is is_no] for is_no in (False, True))
        pairs = [(word, ", ".join(heads) or _("nothing")) for word, heads in ((_("yes"), yes), (_("no"), no))]
    return [name, *(cell if len(part.head) == 2 else f"{head}: {cell}" for head, cell in pairs)]


def bare(text: str) -> str:
    """Without the marks of a page: what is to be typed stands in single quotes."""
    plain = re.sub(r"`([^`]+)`", r"'\1'", LINK.sub(r"\1", text)).replace("**", "").replace("\\|", "|")
    return STRESSED.sub(r"\1", plain)


def place_of(part: Part) -> str:
    """The headings that it stands under; of a row also what its table is of."""
    where = " › ".join(map(bare, part.headings))
    return f"{where}, {bare(part.head[0])}" if part.head else where


def _wrapped(text: str, width: int | None, margin: str, hanging: str = "") -> list[str]:
    if width is None:
        return [margin + text]
    return textwrap.wrap(
        text,
        min(max(width, 40), MOST_WIDE),
        initial_indent=margin,
        subsequent_indent=margin + hanging,
        break_on_hyphens=False,
    )
