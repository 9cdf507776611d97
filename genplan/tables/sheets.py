"""The sheets of a workbook and their columns. They come from the tables of keys, so a key of a case has its column."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, partial

from genplan.case.week import DAY_NAMES
from genplan.casefile.changes import CHANGE
from genplan.casefile.keys import CASE, SECTIONS
from genplan.casefile.record_types import Field, Key, Shape
from genplan.evidence.results import COLUMNS, OPTIONAL
from genplan.language import N_, _, said
from genplan.language.marked import Marked
from genplan.tables.cells import Form, form_of
from genplan.tables.headings import (
    day_headed,
    headings_everywhere,
    headings_of,
    is_a_sum,
    labels_of,
    parts_of_heading,
    plain,
    sheet_names,
    spoken_headings,
)

REMARK = "#"
"""A row, a column or a sheet that begins with it is a remark and not read."""
OF_SUMS = 2
"""Words of a heading of sums, such as `Hours total`; a longer one may say of a limit what it is of."""


@dataclass(frozen=True)
class Column:
    """`heading` stands above it, `words` explain it. `path` leads from a thing to its key; `key` is None for a column
    that is no key of a case."""

    heading: str
    words: Marked = Marked()
    path: tuple[str, ...] = ()
    key: Key | None = None
    form: Form = Form.TEXT


@dataclass(frozen=True)
class SheetKind:
    """`section` holds the things of its rows, if they are things of a case. `read_too` are columns that people have and
    that are not written: what they say stands in another one."""

    name: str
    words: Marked = Marked()
    columns: tuple[Column, ...] = ()
    section: str = ""
    read_too: tuple[Column, ...] = ()

    def column(self, heading: str) -> Column | None:
        """What it is headed with, whole or by the one part of it that is known: `D.O.B.`, `Allergies / diet`, `Here
        (times)`. A column of remarks stays one."""
        if (whole := self._headed(heading)) or self.is_remark(heading):
            return whole
        known: dict[str, Column] = {}
        for part in parts_of_heading(heading):
            if column := self._headed(part):
                known[column.heading] = column
        return next(iter(known.values())) if len(known) == 1 else None

    def is_remark(self, heading: str) -> bool:
        """Whether the column is not to be read, as it is headed, and nothing in brackets says another thing."""
        whole, *parts = (plain(heading), *map(plain, parts_of_heading(heading)))
        words = headings_everywhere("notes")
        if len(whole.split()) == OF_SUMS and any(map(is_a_sum, whole.split())):
            return True
        return whole in words or (bool(words.intersection(parts)) and not any(map(self._headed, parts)))

    def _headed(self, heading: str) -> Column | None:
        """Keys go before everyday words: `to` is a key of changes, and a word for the end in the hours."""
        wanted, day = plain(heading), day_headed(heading)
        by_key, by_word = self._known
        return by_key.get(wanted) or by_key.get(day) or by_word.get(wanted)

    @cached_property
    def _known(self) -> tuple[Mapping[str, Column], Mapping[str, Column]]:
        """Each column by its own heading and by all that it may be headed with, in every language: of two the first."""
        by_key: dict[str, Column] = {}
        by_word: dict[str, Column] = {}
        for column in (*self.columns, *self.read_too):
            by_key.setdefault(plain(column.heading), column)
            for word in self.names_of(column):
                by_word.setdefault(word, column)
        return by_key, by_word

    def names_of(self, column: Column) -> frozenset[str]:
        """All that it may be headed with."""
        more = headings_everywhere(SURNAME.heading) if column is SURNAME else frozenset()
        return (
            frozenset({plain(column.heading)})
            | headings_of(self.name, column.heading)
            | labels_of(column.key)
            | more
        )

    @property
    def headings(self) -> frozenset[str]:
        return frozenset().union(*(self.names_of(c) for c in (*self.columns, *self.read_too)))

    def near_words(self) -> frozenset[str]:
        """What may be offered in place of a heading that nobody knows: keys, and words of the language spoken."""
        listed = (*self.columns, *self.read_too)
        keys = frozenset(plain(c.heading) for c in listed)
        labels = (str(c.key.form.label) for c in listed if c.key and isinstance(c.key.form, Field))
        spoken = (spoken_headings(self.name, c.heading) for c in listed)
        return keys.union(map(plain, labels), *spoken)

    @property
    def naming(self) -> str:
        """The heading of the column that says what a row is of."""
        return "name" if self.section else self.columns[0].heading

    def is_called(self, name: str) -> bool:
        wanted = plain(name)
        return wanted in (plain(self.name), plain(self.section)) or wanted in sheet_names(self.name)


ID_WORDS = N_(
    "a short word for it in small letters, which stays for good; made from the name where it is left empty"
)
DAYS = tuple(
    Column(day, N_("such as 15:00-17:30, 3-5pm or 9-12, 13-15; empty for none")) for day in DAY_NAMES
)
WEEK = (
    Column("hours", N_("all days at once: Mon, Wed 15:00-17:00; Fri 3-5pm")),
    *DAYS,
    Column("days", N_("with `from` and `to`: the days that they are of, such as Mon-Fri")),
    Column("from", N_("when it begins, as a text or a time of the spreadsheet")),
    Column("to", N_("when it ends")),
)
HOURS_IN = {"learners": "free", "adults": "free", "locations": "open"}
"""The key that holds the hours of a thing, by section."""
SURNAME = Column("surname")
"""Beside the first name in a column of its own."""
HOURS_A_WEEK, MOST_HOURS = Column("max hours a week"), Column("max hours")
"""Of an adult; the limit is one of minutes a week."""
ROLE = Column("role")
"""Of an adult, in a sheet of hours."""
OF_CHILD = Column("learner")
"""Whose skill a row of results is of: several children may have one of that name."""
TAUGHT_BY, TAUGHT_IN, TAUGHT_USING = (Column(f"taught {how}") for how in ("by", "in", "using"))
USING = TAUGHT_USING.heading
TAUGHT = {TAUGHT_BY.heading: "adult", TAUGHT_IN.heading: "location", TAUGHT_USING.heading: "material_set"}
"""Parts of the one pattern that a skill was taught with, each with its dimension."""


def _columns(keys: Shape, section: str, path: tuple[str, ...] = ()) -> Iterator[Column]:
    for name, key in keys.items():
        at = (*path, name)
        if name == HOURS_IN.get(section):
            yield Column(
                name,
                N_("hours of the week, such as Mon-Fri 15:00-17:00; the sheet hours holds more"),
                at,
                key,
            )
        elif key.form is None:
            yield from _columns(key.kind.keys or {}, section, at)
        else:
            yield Column(name, partial(_described, key), at, key, form_of(key))


def _described(key: Key) -> str:
    what = said(_EXAMPLES[form_of(key)]) if form_of(key) in _EXAMPLES else key.kind.expects
    if key.required:
        return _("{words}. Write {what}; must be given", words=key.words, what=what)
    return _("{words}. Write {what}; empty: {default}", words=key.words, what=what, default=key.default)


def _words(key: Key) -> str:
    return key.words


_EXAMPLES = {
    Form.IDS: N_("names or ids with commas between them, or all"),
    Form.GROUP: N_("such as adults: 3, locations: 2"),
    Form.GROUPS: N_("such as adult: mum, location: home; adult: dad, location: park"),
}


def _things(section: str, name: str, words: str, *read_too: Column) -> SheetKind:
    first = Column("id", ID_WORDS, ("id",))
    keys = SECTIONS[section].keys or {}
    columns = tuple(_columns(keys, section))
    named = next(c for c in columns if c.path == ("name",))
    ordered = (first, named, *(c for c in columns if c is not named))
    return SheetKind(name, words, ordered, section, (*read_too, *(DAYS if section in HOURS_IN else ())))


CHILDREN = _things("learners", "children", N_("a row for each child"), SURNAME)
ADULTS = _things(
    "adults", "adults", N_("a row for each adult who runs probes"), SURNAME, HOURS_A_WEEK, MOST_HOURS
)
PLACES = _things("locations", "places", N_("a row for each place or room"))
THINGS = _things("material_sets", "things", N_("a row for each set of objects"))
SKILLS = _things(
    "targets",
    "skills",
    N_(
        "a row for each skill of a child. With several children in the "
        "column learner (or all) each has it, and what the row says is kept "
        "once; with none it is a text that others may be like"
    ),
    *(TAUGHT_BY, TAUGHT_IN, TAUGHT_USING),
)
HOURS = SheetKind(
    "hours",
    N_("when children and adults are free and places open; rows of one name add up"),
    (
        Column("who", N_("the name or id of a child, an adult or a place")),
        Column("kind", N_("child, adult or place, where two things have one name")),
        *WEEK,
    ),
    read_too=(SURNAME, ROLE),
)
WAYS = SheetKind(
    "ways",
    N_("minutes from one place to another and back"),
    (
        Column(
            "from",
            N_("a place; or the word otherwise, with `to` left empty, for all ways that have no row"),
        ),
        Column("to", N_("the other place")),
        Column("minutes", N_("how long it takes")),
    ),
)
RESULTS = SheetKind(
    "results",
    N_("a row for each thing that was run, as in results.csv; what is there already is not added twice"),
    tuple(Column(name) for name in (*COLUMNS, *OPTIONAL)),
    read_too=(OF_CHILD,),
)
CHANGES = SheetKind(
    "changes",
    N_("dated facts and wishes"),
    tuple(
        Column(name, partial(_words, key), (name,), key, Form.WORDS if name == "apart" else Form.VALUE)
        for name, key in CHANGE.items()
    ),
)
IN_CASE = tuple(k for k in CASE if k not in {*SECTIONS, "format", "skills", "travel_minutes", "changes"})
THE_CASE = SheetKind(
    "case",
    lambda: _("what is the same for everybody: {keys}", keys=", ".join(IN_CASE)),
    (
        Column(
            "key", N_("such as timezone, policy, groups.staff or defaults.adults.limits.sittings_per_day")
        ),
        Column("value", N_("such as Europe/Dublin; several in brackets")),
    ),
)

SHEETS = (CHILDREN, ADULTS, HOURS, PLACES, WAYS, THINGS, SKILLS, RESULTS, CHANGES, THE_CASE)
BY_SECTION: Mapping[str, SheetKind] = {s.section: s for s in SHEETS if s.section}
ABOUT = "about"
