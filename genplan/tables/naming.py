"""Which id a name in a table stands for, and the ids of what is new."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache, partial
from typing import TypeVar

from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.domain_types import one_of
from genplan.casefile.ids_from_names import LONGEST, id_from
from genplan.casefile.said_once import groups_of, with_what_is_said_elsewhere
from genplan.casefile.scalar_types import ID
from genplan.casefile.tree import Leaf, Node
from genplan.findings import nearest
from genplan.language import N_, _, and_list, or_list, said
from genplan.language.every_language import in_every_language
from genplan.tables.headings import plain

T = TypeVar("T")

SECTIONS = ("learners", "adults", "locations", "material_sets", "skills", "targets")
PEOPLE = ("learners", "adults")
WORDS = {"learners": "child", "adults": "adult", "locations": "place", "material_sets": "thing", "targets": "skill",
         "skills": "skill"}  # fmt: skip


@lru_cache
def _also() -> str:
    """What stands before the last of several names: a sign, or the word in any language."""
    words = (re.escape(word.strip()) for word in in_every_language(N_(" and ")))
    return rf"\s*[&+/]\s*|\s+(?:{'|'.join(sorted(words))})\s+"


class NoneThere(InvalidValue):
    """A name of something of which no row speaks at all: what is told of one is told of all."""

    def __init__(self, section: str, found: str, expected: str, hint: str) -> None:
        super().__init__(found, expected, hint)
        self.section = section


def joined(problems: Sequence[InvalidValue]) -> InvalidValue:
    """All that is wrong with the parts of one cell, as one."""
    first = problems[0]
    if len(problems) == 1:
        return first
    found = and_list(list(dict.fromkeys(problem.found for problem in problems)))
    hints = dict.fromkeys(problem.hint for problem in problems if problem.hint)
    hint = (" " if all(hint.endswith((".", "?")) for hint in hints) else "; ").join(hints)
    if isinstance(first, NoneThere):
        return NoneThere(first.section, found, first.expected, hint)
    return InvalidValue(found, first.expected, hint)


def each(parts: Iterable[T], read: Callable[[T], list[str]]) -> list[str]:
    """What each part of a cell stands for. Raises InvalidValue with all of which that is not known."""
    ids: list[str] = []
    problems: list[InvalidValue] = []
    for part in parts:
        try:
            ids += read(part)
        except InvalidValue as problem:
            problems.append(problem)
    if problems:
        raise joined(problems)
    return ids


def _begins_with(name: str, first: str) -> bool:
    """Whole words of it do: `Jude's mum` is nobody whose first name is Jude."""
    words = name.split()
    return any(plain(" ".join(words[:n])) == first for n in range(1, len(words)))


@dataclass
class Names:
    """Ids by section, each with its name, and the other way round; `groups` may stand in lists of ids. `by_first_name`
    are the people who were called so, each with the whole name; `same` are names that several rows have, which have no
    id and were told, each with the rows."""

    called: dict[str, dict[str, str]] = field(default_factory=lambda: {s: {} for s in SECTIONS})
    by_name: dict[str, dict[str, list[str]]] = field(default_factory=lambda: {s: {} for s in SECTIONS})
    groups: frozenset[str] = frozenset()
    by_first_name: dict[str, str] = field(default_factory=dict)
    same: dict[tuple[str, str], list[str]] = field(default_factory=dict)
    sheets: Mapping[str, str] = field(default_factory=dict)
    """By kind of sheet, what it is called in what is read."""

    def sheet_of(self, section: str) -> str:
        return self.sheets.get(SHEET_OF[section], SHEET_OF[section])

    @staticmethod
    def of(tree: Mapping[str, Node]) -> Names:
        names = Names(groups=frozenset(groups_of(tree)))
        for section in SECTIONS:
            things = tree.get(section)
            for id_, record in things.items() if isinstance(things, dict) else ():
                named = with_what_is_said_elsewhere(tree, section, record).get("name")
                names.add(section, id_, named.text if isinstance(named, Leaf) else id_)
        return names

    def add(self, section: str, id_: str, name: str) -> None:
        """A thing that was there already may have another name from now on."""
        if (before := self.called[section].get(id_)) is not None:
            self.by_name[section][plain(before)].remove(id_)
        self.called[section][id_] = name or id_
        self.by_name[section].setdefault(plain(name or id_), []).append(id_)

    def ids_called(self, section: str, name: str) -> list[str]:
        wanted = plain(name)
        return [*self.by_name[section].get(wanted, ())] if wanted else []

    def ids_meant(self, section: str, text: str) -> list[str]:
        """The same, of people by the first name too: mostly one alone has it."""
        found, first = self.ids_called(section, text), plain(text)
        if found or not first or section not in PEOPLE:
            return found
        found = self.by_first_names(section, text)
        if len(found) == 1:
            self.by_first_name[text] = self.called[section][found[0]]
        return found

    def _first_names(self, section: str) -> set[str]:
        """By which a person may be meant, too."""
        return {n.split()[0] for n in self.called[section].values() if section in PEOPLE and n.split()}

    def by_first_names(self, section: str, text: str) -> list[str]:
        """Who has the first name that a text is."""
        first = plain(text)
        names = self.by_name[section].items()
        found = (i for name, ids in names if first and name.startswith(f"{first} ") for i in ids)
        return [i for i in found if _begins_with(self.called[section][i], first)]

    def is_known(self, section: str, text: str) -> bool:
        return text in self.called[section] or bool(self.ids_meant(section, text))

    def id_of(self, section: str, text: str, *, groups: bool = False) -> str:
        """The id that a text stands for, which is an id, a name or, in a list, a group. Raises InvalidValue."""
        if text in self.called[section] or (groups and text in self.groups):
            return text
        found = self.ids_meant(section, text)
        if len(found) == 1:
            return found[0]
        names = [self.called[section][i] for i in found]
        if found and len({*map(plain, names)}) == len(names):
            raise InvalidValue(
                _("'{text}', which may be {names}", text=text, names=or_list(names)),
                _("a name that one {kind} alone has", kind=said(one_of_either(section))),
                _("write {names}", names=or_list(names)),
            )
        if found:
            expected = _("a name that one {kind} alone has, or an id", kind=said(one_of_either(section)))
            raise InvalidValue(
                _("'{text}', which {ids} are both called", text=text, ids=and_list(found)),
                expected,
                _("write the id"),
            )
        self._refuse_same(section, text)
        known = {*self.called[section], *self.called[section].values(), *(self.groups if groups else ())}
        hint = nearest(text, known | self._first_names(section)) or _(
            "add a row for it to the sheet of {sheet}, or mend the name", sheet=self.sheet_of(section)
        )
        what = _("the unknown {kind} '{text}'", kind=said(one_of_either(section)), text=text)
        expected = _("a name or an id that has a row")
        raise InvalidValue(what, expected, hint) if known else NoneThere(section, what, expected, hint)

    def _refuse_same(self, section: str, text: str) -> None:
        """Raises InvalidValue for a name, or a first name, that several rows have, of which none has an id."""
        called = plain(text)
        of_name = {n: rows for (s, n), rows in self.same.items() if s == section}
        meant = {n: rows for n, rows in of_name.items() if called in (plain(n), plain(n).split(" ")[0])}
        if called and meant:
            rows = and_list([f"{name} ({row})" for name, rows in meant.items() for row in rows])
            raise InvalidValue(
                _("'{text}', which may be {rows}", text=text, rows=rows),
                _("a name that one {kind} alone has, or an id", kind=said(one_of_either(section))),
                _("give each of these rows an id, and write it here"),
            )

    def ids_of(self, section: str, text: str, *, groups: bool = True) -> list[str]:
        """The ids that a text in a list stands for: the name of a skill for each child's target of that name. Raises
        InvalidValue."""
        called = self.ids_called(section, text) if section == "targets" else []
        is_one = text in self.called[section] or text in self.groups
        if called and not is_one:
            return called
        parts = [] if is_one or self.is_known(section, text) else re.split(_also(), text)
        known = (self.is_known(section, part) or (groups and part in self.groups) for part in parts)
        if len(parts) > 1 and any(known):
            return each(parts, lambda part: [self.id_of(section, part, groups=groups)])
        return [self.id_of(section, text, groups=groups)]

    def ids_in(self, section: str, text: str) -> list[str]:
        """The ids that a cell names, apart by commas or lines; groups may not stand there. Raises InvalidValue."""
        if self.ids_called(section, text):
            return [self.id_of(section, text)]
        parts = (part.strip() for part in re.split("[,;\n]", text) if part.strip())
        return each(parts, partial(self.ids_of, section, groups=False))

    def section_of(self, sections: Sequence[str], text: str) -> str:
        """The one of these sections that has something of that id or name. Raises InvalidValue."""
        holders = [s for s in sections if text in self.called[s] or self.ids_called(s, text)]
        holders = holders or [s for s in sections if self.ids_meant(s, text)]
        if len(holders) == 1:
            return holders[0]
        words = or_list([said(one_of_either(s)) for s in sections])
        if holders:
            found = _(
                "'{text}', which is {kinds}",
                text=text,
                kinds=and_list([said(one_of_either(s)) for s in holders]),
            )
            raise InvalidValue(
                found, _("one {words}", words=words), _("write the id, or another name for one of them")
            )
        known = {n for s in sections for pair in self.called[s].items() for n in pair}
        known = known.union(*map(self._first_names, sections))
        hint = nearest(text, known) or _("add a row for it to its sheet, or mend the name")
        raise InvalidValue(
            _("'{text}', which is no {words}", text=text, words=words),
            _("a name or an id that has a row"),
            hint,
        )

    def fresh_id(self, section: str, name: str, taken: Iterable[str] = (), *, longest: int = LONGEST) -> str:
        """An id made of a name that nothing in the section and no group has, and that is not taken otherwise."""
        return id_from(name, {*self.called[section], *self.groups, *taken}, WORDS[section], longest=longest)


def one_of_either(section: str) -> str:
    return N_("skill") if section == "skills" else one_of(section)


SHEET_OF = {"learners": "children", "adults": "adults", "locations": "places", "material_sets": "things",
            "targets": "skills", "skills": "skills"}  # fmt: skip


def is_id(text: str) -> bool:
    return bool(ID.fullmatch(text)) and text != "all"
