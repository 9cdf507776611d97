"""Kinds that know the domain: combinations, dimensions, the sizes of a set, the grid, time zones."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from functools import cache
from pathlib import Path as FilePath
from typing import Any
from zoneinfo import TZPATH, ZoneInfo, available_timezones

from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.casefile import time_texts
from genplan.casefile.composite_types import list_of, table_of
from genplan.casefile.diagnostics import Diagnostics, InvalidValue, Path
from genplan.casefile.scalar_types import (
    ID,
    ID_SCHEMA,
    MISSING,
    FieldType,
    Schema,
    decimal,
    either,
    integer,
    parsed,
    scalar,
    shown,
    text,
    texts,
    then,
    yes_no,
)
from genplan.casefile.tree import Leaf, Node
from genplan.findings import nearest
from genplan.language import N_, _, said

VALUES_OF = {"adults": ADULT, "locations": LOCATION, "material_sets": MATERIAL_SET}
"""A target's keys for the values of the first three dimensions, and the dimension of each."""

SECTION_OF = {dimension: section for section, dimension in VALUES_OF.items()}
"""The section whose ids each of the first three dimensions takes, which is also a target's key for them."""


NAMES = N_("a list of names, such as [egg, milk]")
NAMED = (N_("learner"), N_("adult"), N_("location"), N_("material set"), N_("target"))


def one_of(section: str) -> str:
    """What one thing of a section is called, in English: whoever tells it says it by `said`."""
    return section.replace("_", " ").removesuffix("s")


# The names of columns and keys that stand beside a dimension's own somewhere.
TAKEN = frozenset(
    re.findall(
        r"\w+",
        "week sitting learner target kind adult location material_set start end trials status "
        "last_date correct planned why date time prompted observer observer_correct "
        "marks observer_marks steps_kept note by adults locations material_sets beside beside_as",
    )
)


NEWEST_FORMAT = 1


def _format() -> FieldType:
    """The version of the format. A newer one gets a hint of its own."""

    def parse(leaf: Leaf) -> str:
        if leaf.text == str(NEWEST_FORMAT):
            return leaf.text
        if re.fullmatch("[1-9][0-9]{0,8}", leaf.text):
            hint = _("the file was written for a newer version of the program: install that one")
            raise InvalidValue(
                _("the format {text}, which this version does not know", text=leaf.text), "", hint
            )
        raise InvalidValue(shown(leaf), "", _("write 'format: {newest}'", newest=NEWEST_FORMAT))

    return scalar(str(NEWEST_FORMAT), parse, {"enum": [NEWEST_FORMAT, str(NEWEST_FORMAT)]})


FORMAT = _format()


def _case_id(text_: str) -> str:
    if not re.fullmatch("[a-z0-9]{12}", text_.strip()):
        hint = _("the program makes it: take the line out, and 'genplan keep' writes another")
        raise InvalidValue(f"'{text_.strip()}'", "", hint)
    return text_.strip()


CASE_ID = parsed(N_("12 small letters and digits, as the program made them"), _case_id, "[a-z0-9]{12}")


EMAIL_TEXT = r"[^\s@<>,;:]+@[^\s@<>,;:]+"


def email(text_: str) -> str:
    """An address as invitations write it. Raises Unclear for another text."""
    found = text_.strip()
    if not re.fullmatch(EMAIL_TEXT, found):
        raise InvalidValue(f"'{found}'", "", _("write the address alone"))
    return found


VALUES: Schema = {"type": "object", "additionalProperties": texts()}


def pattern() -> FieldType:
    expects = N_("values to go together, such as {adult: grandad, location: school}")
    inner = table_of(text(), expects)

    def read(node: Node, path: Path, notes: Diagnostics) -> Any:
        if node == {} or (isinstance(node, Leaf) and node.is_empty):
            notes.error(path, _("nothing"), said(expects))
            return MISSING
        return inner.read(node, path, notes)

    return FieldType(expects, read, {**VALUES, "minProperties": 1})


def wish() -> FieldType:
    """A pattern, and beside its dimensions a date under `by`."""
    expects = N_("values wanted early and a date, such as {location: school, by: 2026-12-18}")
    values, date_kind = pattern(), parsed(time_texts.A_DATE, time_texts.day, time_texts.A_DAY)

    def read(node: Node, path: Path, notes: Diagnostics) -> Any:
        if not isinstance(node, dict):
            notes.error(path, shown(node), said(expects))
            return MISSING
        by = date_kind.read(node["by"], (*path, "by"), notes) if "by" in node else None
        wanted = values.read({k: v for k, v in node.items() if k != "by"}, path, notes)
        return MISSING if MISSING in (by, wanted) else (wanted, by)

    by_date: Schema = {"properties": {"by": date_kind.schema}}
    return FieldType(expects, read, {**VALUES, **by_date, "minProperties": 1})


def dimension_name(name: str) -> str:
    if name in TAKEN:
        raise InvalidValue(
            _("a dimension named '{name}'", name=name),
            _("a name that no column or key has already"),
            _("choose another word"),
        )
    if not re.fullmatch(r"[a-z][a-z0-9_-]{0,39}", name):
        raise InvalidValue(
            _("a dimension named '{name}'", name=name),
            _("small letters a-z, digits, - and _, such as wording"),
        )
    return name


def counted_dimension(name: str) -> str:
    """`adults` -> `adult`; the name of an extra dimension stays."""
    if name in SECTION_OF:
        expected = _("a dimension, such as adults, locations or material_sets")
        raise InvalidValue(
            _("the unknown key '{name}'", name=name),
            expected,
            _("did you mean '{word}'?", word=SECTION_OF[name]),
        )
    return VALUES_OF.get(name) or dimension_name(name)


WITH, UNTAUGHT = "with", "untaught"
"""Keys of `generalised_when` beside the dimensions that it counts."""
IN_PLACE_OF_A_COUNT = {WITH: N_("a list, such as [{location: school}]"), UNTAUGHT: N_("yes or no")}
"""What they expect, where no dimension has that name."""


def criterion(*, of_target: bool) -> FieldType:
    """How many values of each dimension, and beside them `untaught` and, of a target, `with`; both may be names of
    dimensions too, where a number stands for them."""
    expects = N_(
        "how many, such as {adults: 3, locations: 2, material_sets: 3} or {adults: 3, locations: 2, "
        "material_sets: 3, untaught: yes}"
    )
    if of_target:
        expects = N_(
            "how many, such as {adults: 3, locations: 2, material_sets: 3} or {adults: 3, locations: 2, "
            "material_sets: 3, with: [{location: school}], untaught: yes}"
        )
    number = integer(1, 999)
    counts = table_of(number, expects, counted_dimension)
    beside = {UNTAUGHT: yes_no()}
    if of_target:
        beside[WITH] = list_of(pattern(), least=1, one_alone=False)

    def read(node: Node, path: Path, notes: Diagnostics) -> Any:
        if not isinstance(node, dict):
            return counts.read(node, path, notes)
        apart = {k for k in beside if k in node and not _is_number(node[k])}
        if not of_target and isinstance(node.get(WITH), list):
            hint = _("name places under 'generalised_when' of each target")
            notes.error((*path, WITH), _("a list"), _("counts and 'untaught' in a policy"), hint)
            apart |= {WITH}
        for key in [k for k in node if k not in apart and isinstance(node[k], list)]:
            if hint := nearest(key, beside):  # else it is a count, and no list
                notes.error(
                    (*path, key), _("the unknown key '{key}' with a list", key=key), said(expects), hint
                )
                apart |= {key}
        found = {k: beside[k].read(node[k], (*path, k), notes) for k in beside if k in apart}
        numbers = counts.read({k: v for k, v in node.items() if k not in apart}, path, notes)
        return {**numbers, **{k: v for k, v in found.items() if v is not MISSING}}

    schema = {k: either(kind.schema, number.schema) for k, kind in beside.items()}
    return FieldType(expects, read, {**counts.schema, "properties": schema})


def _is_number(node: Node) -> bool:
    return isinstance(node, Leaf) and node.text.isdecimal()


def counted_in(given: Mapping[str, Any]) -> dict[str, int]:
    """The numbers of what `criterion` read, without what stands beside them."""
    return {k: n for k, n in given.items() if isinstance(n, int) and not isinstance(n, bool)}


def untaught_in(given: Mapping[str, Any], otherwise: bool) -> bool:
    """Whether what was read asks for what was met without teaching."""
    found = given.get(UNTAUGHT)
    return found if isinstance(found, bool) else otherwise


def set_sizes() -> FieldType:
    expects = N_("three sizes of the smallest piece in mm, such as [24, 24, 2]")
    listed = list_of(decimal(0, 10_000, "24.5"), one_alone=False, expects=expects)

    def read(node: Node, path: Path, notes: Diagnostics) -> Any:
        found = listed.read(node, path, notes)
        if isinstance(node, list) and len(node) != 3:
            notes.error(path, _("{number} sizes", number=len(node)), said(expects))
            return MISSING
        return found if found is not MISSING and len(found) == 3 else MISSING

    return FieldType(expects, read, {**listed.schema["anyOf"][0], "minItems": 3, "maxItems": 3})


def grid_minutes() -> FieldType:
    def divides_a_day(found: int) -> int:
        if 1440 % found:
            raise InvalidValue(str(found))
        return found

    kind = then(
        integer(1, 240),
        divides_a_day,
        N_("minutes that divide a day evenly, such as 5, 10, 15, 20, 30 or 60"),
    )
    return replace(kind, schema={"enum": [n for n in range(1, 241) if 1440 % n == 0]})


def _is_a_zone(name: str) -> bool:
    """Whether the system has a file of it in these very letters: to ask for all zones opens six hundred of them."""
    if not re.fullmatch("[A-Z][A-Za-z]+/[A-Z][A-Za-z_]+", name):
        return False
    continent, place = name.split("/")
    for folder in map(FilePath, TZPATH):
        with suppress(OSError):
            if continent in os.listdir(folder) and place in os.listdir(folder / continent):
                return (folder / name).read_bytes().startswith(b"TZif")
    return False


def zone_name() -> FieldType:
    zones = cache(available_timezones)

    def parse(leaf: Leaf) -> ZoneInfo:
        if not _is_a_zone(leaf.text) and leaf.text not in zones():
            last = {z.rsplit("/", 1)[-1].lower(): z for z in sorted(zones())}
            word = leaf.text.replace(" ", "_")
            city = last.get(word.rsplit("/", 1)[-1].lower())
            raise InvalidValue(
                shown(leaf), "", _("did you mean '{word}'?", word=city) if city else nearest(word, zones())
            )
        return ZoneInfo(leaf.text)

    return scalar(N_("the IANA name of a time zone, such as Europe/Dublin"), parse, {"type": "string"})


def words() -> FieldType:
    """Names of allergens or hazards."""
    expects = N_("a name of small letters a-z, digits and hyphens, such as egg")

    def parse(leaf: Leaf) -> str:
        if not ID.fullmatch(leaf.text):
            small = "-".join(leaf.text.lower().split())
            hint = _("write '{small}'", small=small) if ID.fullmatch(small) else ""
            dashed = leaf.text.startswith("-")
            raise InvalidValue(shown(leaf), "", _("put a blank behind each dash") if dashed else hint)
        return leaf.text

    return list_of(scalar(expects, parse, ID_SCHEMA), apart=True, expects=NAMES)
