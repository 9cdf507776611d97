"""Which fields the form of each kind of thing has, in the order of a form, with the words beside them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from genplan.case.targets import BASE_DIMENSIONS
from genplan.casefile import record_types
from genplan.casefile.domain_types import SECTION_OF
from genplan.casefile.keys import CASE, SECTIONS
from genplan.casefile.record_types import Shape
from genplan.casefile.said_once import groups_of, said_elsewhere, with_what_is_said_elsewhere
from genplan.casefile.tree import Leaf, Node
from genplan.language import N_, _, ngettext, said
from genplan.language.sentences import capital
from genplan.text.dimension_words import counted_values
from genplan.web.dimension_words import dimension_label
from genplan.web.endpoints import Answers
from genplan.web.hours_widget import HoursInForm
from genplan.web.row_widgets import Patterns, Routes, Varied
from genplan.web.widgets import (
    LINE,
    LONG,
    NUMBER,
    PLAIN,
    Choice,
    Country,
    Criterion,
    Lines,
    Numbers,
    OneOf,
    Options,
    Several,
    Unclear,
    Unshowable,
    Widget,
    Words,
    YesNo,
    as_written,
    items_of,
    text_of,
)

Tree = Mapping[str, Node]


WIDGETS: Mapping[str, Callable[..., Widget]] = {
    "line": lambda: LINE,
    "long": lambda: LONG,
    "number": lambda: NUMBER,
    "plain": lambda: PLAIN,
    "hours": HoursInForm,
    "lines": Lines,
    "names": lambda: Lines(plain=True),
    "words": Words,
    "several": Several,
    "one of": OneOf,
    "choice": Choice,
    "yes or no": YesNo,
    "numbers": Numbers,
    "criterion": Criterion,
    "country": Country,
    "patterns": Patterns,
    "varied": Varied,
    "routes": Routes,
}
"""The names that the table of keys has for them."""


@dataclass(frozen=True)
class Field:
    """A field of the table of keys. What it says is asked for when it is shown, in the language of whoever sees it."""

    key: tuple[str, ...]
    row: record_types.Field

    @property
    def name(self) -> str:
        return ".".join(self.key)

    @property
    def label(self) -> str:
        return said(self.row.label)

    @property
    def hint(self) -> str:
        return said(self.row.hint)

    @property
    def of(self) -> str:
        return self.row.of

    @property
    def widget(self) -> Widget:
        return WIDGETS[self.row.widget](*self.row.args)


def fields_of(keys: Shape, path: tuple[str, ...] = ()) -> Iterator[Field]:
    """The fields that the table says, in its order; those of a group stand in the group's place."""
    for name, key in keys.items():
        at, form = (*path, name), key.form
        if isinstance(form, record_types.Field):
            yield Field(at, form)
        elif form is None:
            yield from fields_of(key.kind.keys or {}, at)


@dataclass(frozen=True)
class Form:
    """`one` and `a_one` are what a single thing is called, `many` several, all marked to be said; `section` holds the
    things."""

    one: str
    a_one: str
    many: str
    fields: tuple[Field, ...]
    section: str = ""

    @property
    def words(self) -> str:
        """What it is for."""
        words = said(CASE[self.section].words)
        return f"{capital(words)}."


CALLED: Mapping[str, tuple[str, str, str]] = {
    "learners": (N_("learner"), N_("a learner"), N_("Learners")),
    "adults": (N_("adult"), N_("an adult"), N_("Adults")),
    "locations": (N_("location"), N_("a location"), N_("Locations")),
    "material_sets": (N_("material set"), N_("a material set"), N_("Material sets")),
    "targets": (N_("target"), N_("a target"), N_("Targets")),
}


def counted(section: str, n: int) -> str:
    """`1 learner`, `3 adults`."""
    match section:
        case "learners":
            return ngettext("{n} learner", "{n} learners", n)
        case "targets":
            return ngettext("{n} target", "{n} targets", n)
    return counted_values(n, section.removesuffix("s"))


def _form(section: str) -> Form:
    return Form(*CALLED[section], tuple(fields_of(CASE[section].kind.keys or {})), section)


FIRST: Mapping[str, tuple[str, ...]] = {
    "learners": ("name", "born", "mouths", "allergens", "free", "away"),
    "adults": ("name", "role", "free", "away"),
    "locations": ("name", "open", "closed"),
    "material_sets": ("name", "small_parts", "allergens", "hazards"),
    "targets": ("learner", "name", "correct_when", "taught", "adults", "locations", "material_sets"),
}
"""What most people fill in, in this order; the rest has good answers already and is folded away."""

FORMS: Mapping[str, Form] = {section: _form(section) for section in SECTIONS}
GENERAL = Form(N_("the case"), N_("the case"), N_("The case itself"), tuple(fields_of(CASE)))


def names_of(tree: Tree, section: str) -> list[tuple[str, str]]:
    """Ids of a section and what they are called, as far as the file can be read."""
    things = tree.get(section)
    found: list[tuple[str, str]] = []
    for id_, record in things.items() if isinstance(things, dict) else ():
        named = record.get("name") if isinstance(record, dict) else None
        if named is None:
            named = with_what_is_said_elsewhere(tree, section, record).get("name")
        found.append((id_, text_of(named) if isinstance(named, Leaf) and not named.is_empty else id_))
    return found


def options(field: Field, tree: Tree, node: Node | None) -> Any:
    """What a field can be answered with; `node` is the thing that the form is of."""
    extra = node.get("also_vary") if isinstance(node, dict) else None
    varied: dict[str, Node] = extra if isinstance(extra, dict) else {}
    if field.of == "counted":
        return [(s, said(CALLED[s][2])) for s in SECTION_OF.values()] + [(n, n) for n in varied]
    if field.of == "dimensions":
        base = [(d, dimension_label(d), names_of(tree, SECTION_OF[d])) for d in BASE_DIMENSIONS]
        more = [(n, n, [(text_of(v), text_of(v)) for v in items_of(vs)]) for n, vs in varied.items()]
        return [*base, *more]
    if field.of.startswith("other_"):
        listed = tree.get(field.of)
        return [(text_of(v), text_of(v)) for v in listed] if isinstance(listed, list) else []
    if not field.of:
        return []
    named = names_of(tree, field.of)
    return [*named, *groups_among(tree, named)] if isinstance(field.widget, Several) else named


def groups_among(tree: Tree, named: Options) -> Iterator[tuple[str, str]]:
    """The groups of ids that are all among those named, with whom they stand for."""
    called = dict(named)
    for group, ids in groups_of(tree).items():
        if ids and called.keys() >= set(ids):
            yield group, f"{group}: {', '.join(called[i] for i in ids)}"


def value_at(node: Node | None, key: tuple[str, ...]) -> Node | None:
    for part in key:
        node = node.get(part) if isinstance(node, dict) else None
    return node


def drawn(form: Form, tree: Tree, node: Node | None) -> list[dict[str, Any]]:
    """The fields with what they hold, and what holds where they are left as they are because it is said elsewhere. One
    that cannot be shown says so and shows what is written."""
    found = []
    whole = _whole(form, tree, node)
    for field in form.fields:
        value = value_at(node, field.key)
        try:
            shape, holds = field.widget.shape, field.widget.show(value, options(field, tree, whole))
        except Unshowable:
            shape, holds = "written", as_written(value)
        elsewhere = "" if value is not None else _elsewhere(form, tree, node, field)
        note = _("Left as it is, this holds: {elsewhere}.", elsewhere=elsewhere) if elsewhere else ""
        found.append({"field": field, "name": field.name, "shape": shape, "holds": holds, "elsewhere": note})
    return found


def _whole(form: Form, tree: Tree, node: Node | None) -> Node | None:
    """The thing with what is said of it elsewhere: what its fields can be answered with depends on it."""
    return with_what_is_said_elsewhere(tree, form.section, node) if form.section else node


def _elsewhere(form: Form, tree: Tree, node: Node | None, field: Field) -> str:
    for place in said_elsewhere(tree, form.section, node) if form.section else ():
        if (value := value_at(place.keys, field.key)) is not None:
            return f"{as_written(value)} ({'.'.join(place.path)})"
    return ""


def said_for_itself(form: Form, tree: Tree, before: Node | None, after: Node | None) -> Iterator[str]:
    """A sentence for each field that now has its own value in place of one that is said elsewhere."""
    for field in form.fields:
        if value_at(before, field.key) is None and value_at(after, field.key) is not None:
            elsewhere = _elsewhere(form, tree, after, field)
            if elsewhere:
                yield _(
                    "{label} is now said of this {one} itself; elsewhere it stays {elsewhere}.",
                    label=field.label,
                    one=said(form.one),
                    elsewhere=elsewhere,
                )


def folded(section: str, fields: list[dict[str, Any]]) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """The fields that are shown at once, and those that are folded away."""
    named = {f["name"]: f for f in fields}
    return [named[n] for n in FIRST[section]], [f for f in fields if f["name"] not in FIRST[section]]


def answered(
    form: Form, tree: Tree, node: Node | None, answers: Answers
) -> tuple[dict[str, Node], tuple[str, ...]]:
    """The thing with the answers in it, and sentences on those that do not go together. A field that was not changed
    keeps the way it was written, and one that the form could not show keeps all."""
    record: dict[str, Node] = dict(node) if isinstance(node, dict) else {}
    problems: list[str] = []
    drawn_ones = answers.all("fields")
    whole = _whole(form, tree, node)
    for field in form.fields:
        if field.name not in drawn_ones:
            continue
        before = value_at(node, field.key)
        try:
            choices = options(field, tree, whole)
            shown = field.widget.show(before, choices)
            fresh = field.widget.read(answers, field.name, before)
            if fresh == before or (before is not None and field.widget.show(fresh, choices) == shown):
                continue
            if before is None and fresh is not None and field.widget.show(fresh, choices) == shown:
                continue
        except Unshowable:
            continue
        except Unclear as unclear:
            fresh = unclear.node
            problems.append(f"{field.label}: {unclear}")
        _set(record, field.key, fresh)
    return record, tuple(problems)


def _set(record: dict[str, Node], key: tuple[str, ...], value: Node | None) -> None:
    if len(key) > 1:
        held = record.get(key[0])
        inner = dict(held) if isinstance(held, dict) else {}
        _set(inner, key[1:], value)
        value = inner or None
    if value is None:
        record.pop(key[0], None)
    else:
        record[key[0]] = value
