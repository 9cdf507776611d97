"""What the reference says of a word: the rows, points and sections of that name, then where else it is spoken of."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

from genplan.help.pages import ENGLISH, QUOTED, Part, pages_in
from genplan.language import speech

LEADS = re.compile(r"(?:- |\d+\. )?(?:\*\*([^*]+)\*\*|(`[^:]*):)")
ARTICLE = re.compile(r"^(?:an?|the|your|under|genplan|der|die|das|eine?) (?=\w)")
ENDINGS = {"de": ("en", "n", "e", "s")}
"""Of several; elsewhere it is an s."""
MOST_NEAR = 5


@dataclass(frozen=True)
class Answer:
    """What was found of a word.

    rows      rows and points that are called so
    sections  whole sections that are called so
    mentions  other parts that speak of it
    longer    names in which it is one word of several
    page      the name of the page that is called so, or nothing
    near      where there is nothing of these: names that look like it
    """

    rows: tuple[Part, ...] = ()
    sections: tuple[tuple[Part, ...], ...] = ()
    mentions: tuple[Part, ...] = ()
    longer: tuple[str, ...] = ()
    page: str = ""
    near: tuple[str, ...] = ()

    @property
    def is_named(self) -> bool:
        """Whether something is called so."""
        return bool(self.rows or self.sections)


def look_up(words: Sequence[str]) -> Answer:
    """`words` are a name, or a name after words that say where: 'record --corrects', 'learner limits'. What nothing is
    called in the language of now may be the English name: of something that is so written in the files."""
    language = speech().language
    answer = _look_up_in(language, words)
    if answer.is_named or language == ENGLISH:
        return answer
    english = _look_up_in(ENGLISH, words)
    return english if english.is_named else answer


def _look_up_in(language: str, words: Sequence[str]) -> Answer:
    endings = ENDINGS.get(language, ("s",))
    for first in range(len(words)):
        where = [plain(w) for w in words[:first]]
        there = [p for p in _parts(language) if all(_stands_in(p, word, endings) for word in where)]
        for form in forms(plain(" ".join(words[first:])), endings):
            answer = _called(form, there, language)
            if answer.is_named:
                return answer
    return _spoken_of(plain(" ".join(words)), language)


@cache
def _parts(language: str) -> tuple[Part, ...]:
    return tuple(part for page in pages_in(language) for part in page.parts)


def _called(name: str, there: Sequence[Part], language: str) -> Answer:
    """What of `there` is called so, and what else anywhere names it as something to be typed."""
    rows = tuple(p for p in there if is_called(p, name))
    titles = list(dict.fromkeys(p.headings for p in there if name in _heading_names(p.headings)))
    sections = tuple(tuple(p for p in there if p.headings == title) for title in titles)
    if not (rows or sections):
        return Answer()
    shown = {*rows, *(p for section in sections for p in section)}
    mentions = tuple(p for p in _parts(language) if name in _quoted(p) and p not in shown)
    return Answer(rows, sections, mentions, _longer(name, language), _page_called(name, language))


def _spoken_of(name: str, language: str) -> Answer:
    """Where nothing is called so."""
    mentions = tuple(p for p in _parts(language) if _holds(_words_of(p), name))
    longer, page = _longer(name, language), _page_called(name, language)
    if mentions or longer or page:
        return Answer(mentions=mentions, longer=longer, page=page)
    names = _names(language)
    return Answer(near=tuple(names[n] for n in get_close_matches(name, sorted(names), MOST_NEAR, 0.6)))


def plain(text: str) -> str:
    """A name without its dress: `material-set`, *material_set* and "A material set" are one. An option keeps its
    dashes, by which it is told from a key."""
    bare = re.sub(r"[`*\"]", "", text.lower()).strip()
    dashes = "--" if bare.startswith("--") else ""
    return dashes + ARTICLE.sub("", re.sub(r"[\s_-]+", " ", bare).strip(" .?:,"))


def forms(name: str, endings: Sequence[str] = ("s",)) -> Iterator[str]:
    """As it is, then one of several or several of one."""
    yield name
    for ending in endings:
        yield name.removesuffix(ending) if name.endswith(ending) else f"{name}{ending}"


def written_names(part: Part) -> tuple[str, ...]:
    """What a row or a point is called, as it is typed: of a row what stands in its first cell, an option without its
    value; of a point the words that it leads with."""
    if not part.cells:
        found = LEADS.match(part.text)
        return () if not found else (found[1],) if found[1] else tuple(QUOTED.findall(found[2]))
    typed = [w.split(" ")[0] if w.startswith("--") else w for w in QUOTED.findall(part.cells[0])]
    return tuple(typed or dict.fromkeys((part.cells[0], *part.cells[0].split(","))))


def is_called(part: Part, name: str) -> bool:
    return name in _part_names(part)


@cache
def _part_names(part: Part) -> frozenset[str]:
    """All ways in which its names are asked for: an option with its dashes or without, and each name alone or after
    what it is, such as 'status met' or 'exit code 5'."""
    written = list(map(plain, written_names(part)))
    names = {*written, *(name.removeprefix("--") for name in written)} - {""}
    kinds = [plain(part.head[0].split(" of ")[0]), plain(part.headings[-1])] if part.head else []
    return frozenset(names | {f"{form} {name}" for kind in kinds for form in forms(kind) for name in names})


@cache
def _heading_names(headings: tuple[str, ...]) -> frozenset[str]:
    """Of the last of them: the whole of it, and what is to be typed in it."""
    return frozenset(map(plain, (headings[-1], *QUOTED.findall(headings[-1]))))


@cache
def _names(language: str) -> Mapping[str, str]:
    """All that anything is called, and how that is typed."""
    written = (
        name for p in _parts(language) for name in (*written_names(p), p.headings[-1].replace("`", ""))
    )
    return {plain(name): name.strip(" .") for name in written}


def _stands_in(part: Part, word: str, endings: Sequence[str]) -> bool:
    around = " ".join(map(plain, (part.page, *part.headings, *part.head[:1])))
    return any(_holds(around, form) for form in forms(word, endings))


@cache
def _quoted(part: Part) -> frozenset[str]:
    """What is to be typed in it, with what stands after a colon and without."""
    return frozenset(plain(text) for q in QUOTED.findall(part.text) for text in (q, q.split(":")[0]))


@cache
def _words_of(part: Part) -> str:
    return plain(part.text)


def _holds(text: str, name: str) -> bool:
    return name in text and re.search(rf"(?<!\w){re.escape(name)}(?!\w)", text) is not None


def _longer(name: str, language: str) -> tuple[str, ...]:
    """One of several in a cell is no longer name: what the cell says is told already."""
    names = _names(language)
    others = (n for n in sorted(names) if name not in (n.removeprefix("--"), *n.split(", ")))
    return tuple(names[n] for n in others if _holds(n, name))


def _page_called(name: str, language: str) -> str:
    """Its title in that language says it as well as its name, which is English."""
    titles = ((page.name, plain(page.title)) for page in pages_in(language))
    return next((page for page, title in titles if {page, title} & set(forms(name))), "")
