"""Which fields the form of each kind of thing has, in the order of a form, with the words beside them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from genplan.case import STRENGTHS, TargetState
from genplan.case.safety import ALLERGENS, HAZARDS
from genplan.case.targets import ADULT, BASE_DIMENSIONS, LOCATION, MATERIAL_SET
from genplan.casefile.tree import Leaf, Node
from genplan.web.handling import Answers
from genplan.web.hours_widget import Hours
from genplan.web.row_widgets import Patterns, Routes, Varied
from genplan.web.widgets import (
    LINE,
    LONG,
    NUMBER,
    PLAIN,
    Choice,
    Country,
    Counts,
    Lines,
    Numbers,
    OneOf,
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
SECTION_OF = {ADULT: "adults", LOCATION: "locations", MATERIAL_SET: "material_sets"}


@dataclass(frozen=True)
class Field:
    """`of` names what the choices are: a section of the case, or 'dimensions', 'counted', 'other_allergens'."""

    key: tuple[str, ...]
    label: str
    widget: Widget
    hint: str = ""
    of: str = ""

    @property
    def name(self) -> str:
        return ".".join(self.key)


@dataclass(frozen=True)
class Form:
    """`one` is what a single thing is called; `words` say what it is for."""

    one: str
    many: str
    words: str
    fields: tuple[Field, ...]


AWAY = "One a line: 2026-12-03, or 2026-12-04 09:00-12:00, or 2026-12-24..2027-01-03"
HOURS = "Such as 15:30-18:00, or 09:00-12:00, 14:00-16:00. Leave a day empty for none."

LEARNER = Form(
    "learner",
    "Learners",
    "The children whose skills are checked.",
    (
        Field(("name",), "Name", LINE, "Shown here and on the family's own sheets."),
        Field(
            ("alias",), "Alias", LINE, "Shown in every calendar and on every page that is shared, such as W."
        ),
        Field(
            ("born",), "Born", PLAIN, "The month is enough: 2021-04. It decides about small parts and ages."
        ),
        Field(("free",), "Hours in which a probe may be run", Hours(), HOURS),
        Field(("away",), "Days off", Lines(), AWAY),
        Field(("limits", "sittings_per_day"), "Most sittings a day", NUMBER),
        Field(("limits", "probes_per_day"), "Most probes a day", NUMBER),
        Field(("limits", "probes_per_sitting"), "Most probes in a sitting", NUMBER),
        Field(("limits", "sitting_minutes"), "Longest sitting, minutes", NUMBER),
        Field(("limits", "sittings_per_week"), "Most sittings a week", NUMBER),
        Field(("allergens",), "Must not meet", Words(tuple(sorted(ALLERGENS))), "", "other_allergens"),
        Field(
            ("needs",), "Weight when hours are short", PLAIN, "1, if nothing is said; 2 counts twice as much."
        ),
    ),
)
ADULTS = Form(
    "adult",
    "Adults",
    "Whoever runs a probe: a parent, a relative, a teacher, a therapist.",
    (
        Field(("name",), "Name", LINE, "Shown in calendars and on sheets."),
        Field(("role",), "Role", LINE, "Such as parent, relative, teacher."),
        Field(("free",), "Hours", Hours(), HOURS),
        Field(("away",), "Days off", Lines(), AWAY),
        Field(("learners",), "Works with", Several("every learner"), "", "learners"),
        Field(("locations",), "Goes to", Several("every location"), "", "locations"),
        Field(("briefed_on",), "Knows how to probe", Several("every target"), "", "targets"),
        Field(("limits", "sittings_per_day"), "Most sittings a day", NUMBER),
        Field(("limits", "minutes_per_week"), "Most minutes a week", NUMBER),
        Field(("limits", "sittings_per_week"), "Most sittings a week", NUMBER),
        Field(("busy",), "Busy calendar", LINE, "A calendar file in the case folder, such as busy/dad.ics."),
    ),
)
LOCATIONS = Form(
    "location",
    "Locations",
    "Where a probe is run.",
    (
        Field(("name",), "Name", LINE, "Shown in calendars and on sheets."),
        Field(("open",), "Opening times", Hours(), f"Leave all seven empty for open all day. {HOURS}"),
        Field(("closed",), "Closed", Lines(), AWAY),
        Field(
            ("holidays",),
            "Closed on the public holidays of",
            Country(),
            "The two letters of a country, such as IE, or of a part of one, such as AU-TAS.",
        ),
        Field(("terms",), "Terms", Lines(), "One a line: 2026-08-27..2026-12-18. Empty for all year."),
        Field(("capacity",), "Sittings at the same time", NUMBER, "One, if nothing is said."),
        Field(("learners",), "Takes", Several("every learner"), "", "learners"),
    ),
)
MATERIAL_SETS = Form(
    "material set",
    "Material sets",
    "The objects that a probe uses.",
    (
        Field(("name",), "Name", LINE, "Shown on sheets."),
        Field(("copies",), "Copies", NUMBER, "One, if nothing is said."),
        Field(("kept_at",), "Kept", Several("travels with the learner", "stays at"), "", "locations"),
        Field(("small_parts",), "Is or may a piece be a small part?", YesNo()),
        Field(("dimensions_mm",), "Three sizes of the smallest piece, mm", Numbers(), "Such as 35, 40, 80."),
        Field(("min_age_months",), "Not for children under, months", NUMBER),
        Field(("allergens",), "Holds", Words(tuple(sorted(ALLERGENS))), "", "other_allergens"),
        Field(("hazards",), "To watch", Words(tuple(sorted(HAZARDS))), "", "other_hazards"),
    ),
)
COVER = (
    ("", "as the policy says"),
    ("each-value", "each adult, location and set once"),
    ("pairs", "every pair"),
    ("triples", "every triple"),
    ("all", "every combination"),
)
STATES = (("", "mastered"), ("teaching", "teaching: not probed yet"), ("paused", "paused: not probed now"))
TARGETS = Form(
    "target",
    "Targets",
    "One skill of one learner, with what counts as correct.",
    (
        Field(("learner",), "Learner", OneOf(), "", "learners"),
        Field(("name",), "Name", LINE, "Shown on sheets."),
        Field(("correct_when",), "Counts as correct", LONG, "What is seen, how soon, with how much help."),
        Field(("instruction",), "What the adult says or does", LONG),
        Field(("state",), "State", Choice(STATES)),
        Field(
            ("mastered_on",), "Mastered on", PLAIN, "Such as 2026-10-19. Maintenance is counted from here."
        ),
        Field(("criterion",), "Mastery criterion that was met", PLAIN, "Such as 9/10."),
        Field(
            ("taught",), "Taught with", Patterns(), "A row for each combination of teaching.", "dimensions"
        ),
        Field(("adults",), "Adults to vary", Several("everybody who can"), "", "adults"),
        Field(("locations",), "Locations to vary", Several("every one that is possible"), "", "locations"),
        Field(
            ("material_sets",),
            "Material sets to vary",
            Several("every one that is possible"),
            "",
            "material_sets",
        ),
        Field(("also_vary",), "Also vary", Varied(), "A name such as wording, and its values, one a line."),
        Field(("cover",), "Must be seen together", Choice(COVER)),
        Field(("trials",), "Trials of one probe", NUMBER),
        Field(("pass_mark",), "Met with", PLAIN, "Correct of trials, such as 4/5."),
        Field(("minutes",), "Minutes of one probe", NUMBER),
        Field(
            ("never",), "Never together", Patterns(), "A row holds values that must not meet.", "dimensions"
        ),
        Field(
            ("first",), "Wanted before the rest", Patterns(dated=True), "With the day by which.", "dimensions"
        ),
        Field(("generalised_when",), "Generalised once met with so many", Counts(), "", "counted"),
        Field(("maintenance_days",), "Maintenance, days after mastery", Numbers(), "Such as 7, 14, 28, 56."),
    ),
)
GENERAL = Form(
    "the case",
    "The case itself",
    "What is the same for everybody.",
    (
        Field(("timezone",), "Time zone", PLAIN, "Such as Europe/Dublin."),
        Field(("policy",), "Policy", LINE, "family, school-transfer, caseload, or a file of your own."),
        Field(("travel_minutes", "otherwise"), "Minutes between any two locations", NUMBER),
        Field(("travel_minutes", "routes"), "Journeys that take other times", Routes(), "", "locations"),
        Field(("other_allergens",), "More allergens", Lines(plain=True), "One a line, such as kiwi."),
        Field(("other_hazards",), "More hazards", Lines(plain=True), "One a line."),
    ),
)
FORMS: Mapping[str, Form] = {
    "learners": LEARNER,
    "adults": ADULTS,
    "locations": LOCATIONS,
    "material_sets": MATERIAL_SETS,
    "targets": TARGETS,
}

assert {w for w, _ in COVER[1:]} == set(STRENGTHS)
assert {w for w, _ in STATES[1:]} < {s.value for s in TargetState}


def names_of(tree: Tree, section: str) -> list[tuple[str, str]]:
    """Ids of a section and what they are called, as far as the file can be read."""
    things = tree.get(section)
    found = []
    for id_, record in things.items() if isinstance(things, dict) else ():
        named = record.get("name") if isinstance(record, dict) else None
        found.append((id_, text_of(named) if isinstance(named, Leaf) and not named.is_empty else id_))
    return found


def options(field: Field, tree: Tree, node: Node | None) -> Any:
    """What a field can be answered with; `node` is the thing that the form is of."""
    extra = node.get("also_vary") if isinstance(node, dict) else None
    varied: dict[str, Node] = extra if isinstance(extra, dict) else {}
    if field.of == "counted":
        return [(s, s.replace("_", " ")) for s in SECTION_OF.values()] + [(n, n) for n in varied]
    if field.of == "dimensions":
        base = [(d, d.replace("_", " ").capitalize(), names_of(tree, SECTION_OF[d])) for d in BASE_DIMENSIONS]
        more = [(n, n, [(text_of(v), text_of(v)) for v in items_of(vs)]) for n, vs in varied.items()]
        return [*base, *more]
    if field.of.startswith("other_"):
        listed = tree.get(field.of)
        return [(text_of(v), text_of(v)) for v in listed] if isinstance(listed, list) else []
    return names_of(tree, field.of) if field.of else []


def value_at(node: Node | None, key: tuple[str, ...]) -> Node | None:
    for part in key:
        node = node.get(part) if isinstance(node, dict) else None
    return node


def drawn(form: Form, tree: Tree, node: Node | None) -> list[dict[str, Any]]:
    """The fields with what they hold. One that cannot be shown says so and shows what is written."""
    found = []
    for field in form.fields:
        value = value_at(node, field.key)
        try:
            shape, holds = field.widget.shape, field.widget.show(value, options(field, tree, node))
        except Unshowable:
            shape, holds = "written", as_written(value)
        found.append({"field": field, "name": field.name, "shape": shape, "holds": holds})
    return found


def answered(
    form: Form, tree: Tree, node: Node | None, answers: Answers
) -> tuple[dict[str, Node], tuple[str, ...]]:
    """The thing with the answers in it, and sentences on those that do not go together. A field that was not changed
    keeps the way it was written, and one that the form could not show keeps all."""
    record: dict[str, Node] = dict(node) if isinstance(node, dict) else {}
    problems: list[str] = []
    drawn_ones = answers.all("fields")
    for field in form.fields:
        if field.name not in drawn_ones:
            continue
        before = value_at(node, field.key)
        try:
            choices = options(field, tree, node)
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
