"""The sheets of a workbook and their columns. They come from the tables of keys, so a key of a case has its column."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import partial

from genplan.case.week import DAY_NAMES
from genplan.casefile import record_types
from genplan.casefile.changes import CHANGE
from genplan.casefile.keys import CASE, SECTIONS
from genplan.casefile.record_types import Key, Shape
from genplan.evidence.results import COLUMNS, OPTIONAL
from genplan.language import N_, Speech, _, said, speaking
from genplan.language.marked import Marked
from genplan.tables.cells import Form, form_of

REMARK = "#"
"""A row, a column or a sheet that begins with it is a remark and not read."""


@dataclass(frozen=True)
class Column:
    """`heading` stands above it, `also` are other headings for it, `words` explain it. `path` leads from a thing to its
    key; `key` is None for a column that is no key of a case."""

    heading: str
    words: Marked = Marked()
    path: tuple[str, ...] = ()
    key: Key | None = None
    also: tuple[str, ...] = ()
    form: Form = Form.TEXT

    @property
    def names(self) -> frozenset[str]:
        return frozenset(map(plain, (self.heading, *self.also)))


@dataclass(frozen=True)
class SheetKind:
    """`section` holds the things of its rows, if they are things of a case. `also` are other names for the sheet."""

    name: str
    words: Marked = Marked()
    columns: tuple[Column, ...] = ()
    section: str = ""
    also: tuple[str, ...] = field(default=())

    def column(self, heading: str) -> Column | None:
        return next((c for c in self.columns if plain(heading) in c.names), None)

    def is_called(self, name: str) -> bool:
        return plain(name) in {plain(n) for n in (self.name, self.section, *self.also) if n}


def plain(text: str) -> str:
    """A heading as it is compared: small letters and digits, words apart by a blank."""
    return " ".join(re.findall(r"\w+", text.lower().replace("_", " ")))


ID_WORDS = N_(
    "a short word for it in small letters, which stays for good; made from the name where it is left empty"
)
WEEK = (
    Column("hours", N_("all days at once: Mon, Wed 15:00-17:00; Fri 3-5pm")),
    *(Column(day, N_("such as 15:00-17:30, 3-5pm or 9-12, 13-15; empty for none"), also=(name,)) for day, name in zip(
        DAY_NAMES, ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"), strict=True
    )),
    Column("days", N_("with `from` and `to`: the days that they are of, such as Mon-Fri"), also=("day",)),
    Column("from", N_("when it begins, as a text or a time of the spreadsheet"), also=("start", "begins")),
    Column("to", N_("when it ends"), also=("end", "until", "ends")),
)  # fmt: skip
HOURS_IN = {"learners": "free", "adults": "free", "locations": "open"}
"""The key that holds the hours of a thing, by section."""
KINDS = {"child": "learners", "learner": "learners", "adult": "adults", "staff": "adults", "place": "locations",
         "room": "locations", "location": "locations"}  # fmt: skip
ALSO = {
    "learners": ("child", "learner", "pupil", "children"),
    "adults": ("adult", "staff", "who", "person"),
    "locations": ("place", "room", "location"),
    "material_sets": ("thing", "set", "material set", "material"),
    "targets": ("skill", "target"),
}
"""What the column with the name of a thing may be headed with."""


def _columns(keys: Shape, section: str, path: tuple[str, ...] = ()) -> Iterator[Column]:
    for name, key in keys.items():
        at = (*path, name)
        if name == HOURS_IN.get(section):
            yield Column(
                name,
                N_("hours of the week, such as Mon-Fri 15:00-17:00; the sheet hours holds more"),
                at,
                key,
                ("hours", *_label(key)),
            )
        elif key.form is None:
            yield from _columns(key.kind.keys or {}, section, at)
        else:
            also = ALSO[section] if name == "name" else ("child", "children") if name == "learner" else ()
            yield Column(name, partial(_described, key), at, key, (*also, *_label(key)), form_of(key))


def _label(key: Key) -> tuple[str, ...]:
    """In English: a heading is read again."""
    with speaking(Speech()):
        return (key.form.label,) if isinstance(key.form, record_types.Field) else ()


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


def _things(section: str, name: str, words: str, *also: str) -> SheetKind:
    first = Column("id", ID_WORDS, ("id",))
    keys = SECTIONS[section].keys or {}
    columns = tuple(_columns(keys, section))
    named = next(c for c in columns if c.path == ("name",))
    return SheetKind(name, words, (first, named, *(c for c in columns if c is not named)), section, also)


CHILDREN = _things("learners", "children", N_("a row for each child"), "learner", "child", "pupils")
ADULTS = _things("adults", "adults", N_("a row for each adult who runs probes"), "staff", "adult", "people")
PLACES = _things("locations", "places", N_("a row for each place or room"), "rooms", "place", "room")
THINGS = _things("material_sets", "things", N_("a row for each set of objects"), "materials", "sets", "thing")
SKILLS = _things(
    "targets",
    "skills",
    N_(
        "a row for each skill of a child. With several children in the "
        "column learner (or all) each has it, and what the row says is kept "
        "once; with none it is a text that others may be like"
    ),
    "skill",
    "target",
)
HOURS = SheetKind(
    "hours",
    N_("when children and adults are free and places open; rows of one name add up"),
    (
        Column("who", N_("the name or id of a child, an adult or a place"), also=("name", "id", *KINDS)),
        Column("kind", N_("child, adult or place, where two things have one name"), also=("what",)),
        *WEEK,
    ),
)  # fmt: skip
WAYS = SheetKind(
    "ways",
    N_("minutes from one place to another and back"),
    (
        Column(
            "from",
            N_("a place; or the word otherwise, with `to` left empty, for all ways that have no row"),
            also=("between",),
        ),
        Column("to", N_("the other place"), also=("and",)),
        Column("minutes", N_("how long it takes"), also=("time",)),
    ),
    also=("way", "travel", "travel minutes", "journeys", "routes"),
)
RESULTS = SheetKind(
    "results",
    N_("a row for each thing that was run, as in results.csv; what is there already is not added twice"),
    tuple(Column(name, "", also=("child",) if name == "learner" else ()) for name in (*COLUMNS, *OPTIONAL)),
    also=("result",),
)
CHANGES = SheetKind(
    "changes",
    N_("dated facts and wishes"),
    tuple(Column(name, partial(_words, key), (name,), key, form=Form.VALUE) for name, key in CHANGE.items()),
    also=("change",),
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
    also=("the case", "settings"),
)

SHEETS = (CHILDREN, ADULTS, HOURS, PLACES, WAYS, THINGS, SKILLS, RESULTS, CHANGES, THE_CASE)
BY_SECTION: Mapping[str, SheetKind] = {s.section: s for s in SHEETS if s.section}
ABOUT = "about"
