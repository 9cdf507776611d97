"""The keys of each kind of thing: one table, from which both the check of a file and the README's list of keys come."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from genplan.case import STRENGTHS, TargetState
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.casefile import hours
from genplan.casefile.kinds import (
    AN_ID,
    ID,
    MISSING,
    Kind,
    absences,
    an_id,
    ascending,
    choice,
    days_of_week,
    decimal,
    ids_or_all,
    list_of,
    one,
    parsed,
    pass_mark,
    shown,
    table_of,
    text,
    weekly_hours,
    whole,
    yes_no,
)
from genplan.casefile.notes import Notes, Path, Unclear
from genplan.casefile.tree import Leaf, Node
from genplan.findings import nearest

VALUES_OF = {"adults": ADULT, "locations": LOCATION, "material_sets": MATERIAL_SET}
"""A target's keys for the values of the first three dimensions, and the dimension of each."""

# The names of columns and keys that stand beside a dimension's own somewhere.
TAKEN = frozenset(
    "week sitting learner target kind adult location material_set start end trials status last_date correct planned "
    "why date time prompted observer observer_correct note by adults locations material_sets".split()
)


@dataclass(frozen=True)
class Key:
    """`default` and `words` are for the reader of the README's table; an optional key has a default in words."""

    kind: Kind
    words: str
    default: str = "none"
    required: bool = False


Shape = Mapping[str, Key]


def shape(of: str, keys: Shape) -> Kind:
    """A group of known keys -> a dict of those that could be read. An unknown key names the nearest known one."""

    def read(node: Node, path: Path, notes: Notes) -> Any:
        if isinstance(node, Leaf) and node.is_empty:
            node = {}
        if not isinstance(node, dict):
            notes.error(path, shown(node), f"the keys of {of}, such as '{next(iter(keys))}: …'")
            return MISSING
        for key in node.keys() - keys.keys():
            hint = nearest(key, keys) or _belongs(key)
            notes.error((*path, key), f"the unknown key '{key}'", f"a key of {of} ({', '.join(keys)})", hint)
        for key, entry in keys.items():
            if entry.required and key not in node:
                notes.error((*path, key), f"no '{key}'", entry.kind.expects, f"add '{key}: …'")
        record = {k: keys[k].kind.read(v, (*path, k), notes) for k, v in node.items() if k in keys}
        return {k: v for k, v in record.items() if v is not MISSING}

    return Kind(f"the keys of {of}", read)


def _belongs(key: str) -> str:
    """Where a key that is known elsewhere would belong."""
    places = [name for name, keys in DOCUMENTED.items() if key in keys]
    return f"'{key}' is a key of {places[0]}" if places else ""


def _value() -> Kind:
    """The value of one dimension in a pattern: an id, or a text of `also_vary`."""
    return text(200)


def pattern() -> Kind:
    expects = "values to go together, such as {adult: grandad, location: school}"
    inner = table_of(_value(), expects)

    def read(node: Node, path: Path, notes: Notes) -> Any:
        if node == {} or (isinstance(node, Leaf) and node.is_empty):
            notes.error(path, "nothing", expects)
            return MISSING
        return inner.read(node, path, notes)

    return Kind(expects, read)


def wish() -> Kind:
    """A pattern, and beside its dimensions a date under `by`."""
    expects = "values wanted early and a date, such as {location: school, by: 2026-12-18}"
    values, date_kind = pattern(), parsed(hours.A_DATE, hours.day)

    def read(node: Node, path: Path, notes: Notes) -> Any:
        if not isinstance(node, dict):
            notes.error(path, shown(node), expects)
            return MISSING
        by = date_kind.read(node["by"], (*path, "by"), notes) if "by" in node else None
        wanted = values.read({k: v for k, v in node.items() if k != "by"}, path, notes)
        return MISSING if MISSING in (by, wanted) else (wanted, by)

    return Kind(expects, read)


def dimension_name(name: str) -> str:
    if name in TAKEN:
        raise Unclear(
            f"a dimension named '{name}'", "a name that no column or key has already", "choose another word"
        )
    if not re.fullmatch(r"[a-z][a-z0-9_-]{0,39}", name):
        raise Unclear(f"a dimension named '{name}'", "small letters a-z, digits, - and _, such as wording")
    return name


def counted_dimension(name: str) -> str:
    """`adults` -> `adult`; the name of an extra dimension stays."""
    if name in VALUES_OF.values():
        plural = next(k for k, v in VALUES_OF.items() if v == name)
        raise Unclear(
            f"the unknown key '{name}'", "adults, locations, material_sets …", f"did you mean '{plural}'?"
        )
    return VALUES_OF.get(name) or dimension_name(name)


def set_sizes() -> Kind:
    expects = "three sizes of the smallest piece in mm, such as [24, 24, 2]"
    listed = list_of(decimal(0, 10_000, "24.5"), one_alone=False, expects=expects)

    def read(node: Node, path: Path, notes: Notes) -> Any:
        found = listed.read(node, path, notes)
        if isinstance(node, list) and len(node) != 3:
            notes.error(path, f"{len(node)} sizes", expects)
            return MISSING
        return found if found is not MISSING and len(found) == 3 else MISSING

    return Kind(expects, read)


def grid_minutes() -> Kind:
    expects = "minutes that divide a day evenly, such as 5, 10, 15, 20, 30 or 60"
    inner = whole(1, 240)

    def read(node: Node, path: Path, notes: Notes) -> Any:
        found = inner.read(node, path, notes)
        if found is not MISSING and 1440 % found:
            notes.error(path, str(found), expects)
            return MISSING
        return found

    return Kind(expects, read)


def _zone_name() -> Kind:
    from functools import cache
    from zoneinfo import ZoneInfo, available_timezones

    zones = cache(available_timezones)

    def parse(leaf: Leaf) -> ZoneInfo:
        if leaf.text not in zones():
            last = {z.rsplit("/", 1)[-1].lower(): z for z in sorted(zones())}
            word = leaf.text.replace(" ", "_")
            city = last.get(word.rsplit("/", 1)[-1].lower())
            raise Unclear(shown(leaf), "", f"did you mean '{city}'?" if city else nearest(word, zones()))
        return ZoneInfo(leaf.text)

    return one("the IANA name of a time zone, such as Europe/Dublin", parse)


def _words() -> Kind:
    return list_of(an_id(), apart=True, expects="names of small letters, digits and hyphens, such as [kiwi]")


COVER = choice(STRENGTHS, {"1": "each-value", "2": "pairs", "3": "triples"})
COUNTS = table_of(
    whole(1, 999), "how many, such as {adults: 3, locations: 2, material_sets: 3}", counted_dimension
)
LADDER = ascending(whole(1, 3650), "days after mastery, such as [7, 14, 28, 56]")
MINUTES = whole(1, 240)
LIMIT = whole(1, 10_080)

LEARNER_LIMITS: Shape = {
    "sittings_per_day": Key(LIMIT, "most sittings on one day", "no limit"),
    "probes_per_day": Key(LIMIT, "most probes on one day", "no limit"),
    "probes_per_sitting": Key(LIMIT, "most probes in one sitting", "no limit"),
    "sitting_minutes": Key(LIMIT, "longest sitting, settling in included", "no limit"),
}
ADULT_LIMITS: Shape = {
    "sittings_per_day": Key(LIMIT, "most sittings on one day", "no limit"),
    "minutes_per_week": Key(LIMIT, "most minutes in sittings in one week", "no limit"),
}
LEARNER: Shape = {
    "name": Key(text(), "shown on the family's own sheets", "the id"),
    "alias": Key(text(40), "shown in every calendar and shared page", "first letter of the name and a dot"),
    "born": Key(
        parsed("a month such as 2021-04", hours.birth), "for the small-parts and minimum-age cautions"
    ),
    "free": Key(weekly_hours(), "when probes may be run", "never"),
    "away": Key(absences("away"), "days and hours off"),
    "limits": Key(shape("a learner's limits", LEARNER_LIMITS), "what is enough for one day", "no limit"),
    "allergens": Key(_words(), "what no material set may hold"),
    "needs": Key(decimal(0, 1000, "1.5"), "this learner's weight when hours are short", "1"),
}
ADULT_KEYS: Shape = {
    "name": Key(text(), "shown in calendars and on sheets", "the id"),
    "role": Key(text(), "parent, relative, teacher, … free text"),
    "learners": Key(ids_or_all(), "whom the adult works with", "all"),
    "locations": Key(ids_or_all(), "where the adult goes", "all"),
    "free": Key(weekly_hours(), "when the adult can run probes", "never"),
    "away": Key(absences("away"), "days and hours off"),
    "busy": Key(text(300), "an exported calendar in the case folder; its times are taken off"),
    "limits": Key(shape("an adult's limits", ADULT_LIMITS), "what is enough for this adult", "no limit"),
    "briefed_on": Key(ids_or_all(), "the targets that this adult knows how to probe", "all"),
}
LOCATION_KEYS: Shape = {
    "name": Key(text(), "shown in calendars and on sheets", "the id"),
    "open": Key(
        weekly_hours(empty="leave 'open' out for a place that is open all day"), "opening times", "all day"
    ),
    "capacity": Key(whole(1, 1000), "sittings at the same time", "1"),
    "closed": Key(absences("closed"), "days and hours when it is shut"),
    "learners": Key(ids_or_all(), "whom the location takes", "all"),
}
MATERIAL_SET_KEYS: Shape = {
    "name": Key(text(), "shown on sheets", "the id"),
    "copies": Key(whole(1, 1000), "how many of the set there are", "1"),
    "kept_at": Key(ids_or_all(least=1), "where the set stays", "it travels with the learner"),
    "small_parts": Key(yes_no(), "whether a piece is, or may be, a small part", "not known"),
    "dimensions_mm": Key(set_sizes(), "three sizes of the smallest piece", "not known"),
    "min_age_months": Key(whole(0, 1200), "no younger learner is given it", "0"),
    "allergens": Key(_words(), "what the set holds"),
    "hazards": Key(_words(), "what an adult must watch"),
}
TARGET_KEYS: Shape = {
    "learner": Key(an_id(), "whose skill it is", required=True),
    "name": Key(text(), "shown on sheets", "the id"),
    "correct_when": Key(text(2000), "what counts as correct", "nothing, with a warning"),
    "instruction": Key(text(2000), "what the adult says"),
    "state": Key(choice([s.value for s in TargetState]), "only mastered targets are probed", "mastered"),
    "mastered_on": Key(parsed(hours.A_DATE, hours.day), "maintenance counts from here"),
    "criterion": Key(pass_mark(), "how mastery was judged"),
    "taught": Key(list_of(pattern(), one_alone=False), "combinations that teaching used"),
    "adults": Key(ids_or_all(least=1), "adults to vary", "every one that is possible"),
    "locations": Key(ids_or_all(least=1), "locations to vary", "every one that is possible"),
    "material_sets": Key(ids_or_all(least=1), "sets to vary", "every one that is possible"),
    "also_vary": Key(
        table_of(
            list_of(text(), least=1, apart=True),
            'names with values, such as {wording: ["A", "B"]}',
            dimension_name,
        ),
        "more dimensions and their values",
    ),
    "cover": Key(COVER, "what must have been seen together: each value, each pair, …", "the policy's"),
    "trials": Key(whole(1, 1000), "trials of one probe", "the policy's"),
    "pass_mark": Key(pass_mark(), "a probe that reaches it is met", "the policy's"),
    "minutes": Key(MINUTES, "length of one probe", "the policy's"),
    "never": Key(list_of(pattern(), one_alone=False), "combinations that must not be planned"),
    "first": Key(list_of(wish(), one_alone=False), "wanted before the rest, by a date"),
    "generalised_when": Key(COUNTS, "how many values must have been met", "the policy's"),
    "maintenance_days": Key(LADDER, "days after mastered_on for maintenance probes", "the policy's"),
}
ROUTE: Shape = {
    "between": Key(
        list_of(an_id(), least=1, one_alone=False, expects="two locations"), "two locations", required=True
    ),
    "minutes": Key(whole(0, 1440), "minutes from one to the other, both ways", required=True),
}
TRAVEL: Shape = {
    "otherwise": Key(whole(0, 1440), "minutes between any two locations without a route", "0"),
    "routes": Key(list_of(shape("a route", ROUTE), one_alone=False), "journeys that take other times"),
}
PREFER: Shape = {
    "one_change_at_a_time": Key(yes_no(), "combinations nearer to one that was met come first", "no"),
    "fair_shares": Key(yes_no(), "adults' minutes in proportion to what they can give", "yes"),
    "spread_over_days": Key(yes_no(), "no crowded days", "yes"),
}
SOLVER: Shape = {
    "work_per_stage": Key(
        decimal(0, 100_000, "12"), "the same work on every run, about a second a unit", "12"
    ),
    "seconds": Key(decimal(0, 100_000, "600"), "a safety net on the clock for the whole run", "600"),
}
POLICY: Shape = {
    "start_every_minutes": Key(grid_minutes(), "the grid of starting times", "15"),
    "settle_minutes": Key(whole(0, 240), "at the start of a sitting", "5"),
    "rest_minutes": Key(whole(0, 1440), "between two sittings of one learner", "30"),
    "probes_per_target_per_day": Key(LIMIT, "most probes of a target on one day", "1"),
    "probes_per_target_per_week": Key(LIMIT, "most probes of a target in one week", "4"),
    "days": Key(days_of_week(), "the days that may be used", "all seven"),
    "cover": Key(COVER, "for targets that do not say", "pairs"),
    "trials": Key(whole(1, 1000), "for targets that do not say", "5"),
    "pass_mark": Key(pass_mark(), "for targets that do not say", "4/5"),
    "minutes": Key(MINUTES, "for targets that do not say", "5"),
    "generalised_when": Key(COUNTS, "for targets that do not say"),
    "maintenance_days": Key(LADDER, "for targets that do not say"),
    "prefer": Key(shape("what to prefer", PREFER), "what decides between equally good plans"),
    "solver": Key(shape("the solver's limits", SOLVER), "how hard to search"),
}


def section(of: str, keys: Shape) -> Kind:
    """Ids -> records."""
    inner = shape(of, keys)

    def name(key: str) -> str:
        if key == "all" or not ID.fullmatch(key):
            found = "the id 'all', which means every one elsewhere" if key == "all" else f"the id '{key}'"
            raise Unclear(found, AN_ID, "names with capitals and spaces go under 'name'")
        return key

    return table_of(inner, f"ids with the keys of {of} under each", name)


SECTIONS: Mapping[str, Kind] = {
    "learners": section("a learner", LEARNER),
    "adults": section("an adult", ADULT_KEYS),
    "locations": section("a location", LOCATION_KEYS),
    "material_sets": section("a material set", MATERIAL_SET_KEYS),
    "targets": section("a target", TARGET_KEYS),
}

_ANY = Kind("", lambda node, path, notes: node)

CASE: Shape = {
    "format": Key(choice(["1"]), "the version of this format", required=True),
    "timezone": Key(_zone_name(), "all times are of this zone", required=True),
    "policy": Key(
        _ANY, "the name of a policy, the path of one in the case folder, or its keys", "the defaults"
    ),
    "learners": Key(SECTIONS["learners"], "the children", required=True),
    "adults": Key(SECTIONS["adults"], "whoever runs a probe", required=True),
    "locations": Key(SECTIONS["locations"], "where a probe is run", required=True),
    "material_sets": Key(SECTIONS["material_sets"], "the objects a probe uses", required=True),
    "targets": Key(SECTIONS["targets"], "the skills", required=True),
    "travel_minutes": Key(shape("travel_minutes", TRAVEL), "how long journeys take", "0"),
    "other_allergens": Key(_words(), "names of allergens beyond the known ones"),
    "other_hazards": Key(_words(), "names of hazards beyond the known ones"),
}

DOCUMENTED: Mapping[str, Shape] = {
    "the case": CASE,
    "a learner": LEARNER,
    "a learner's limits": LEARNER_LIMITS,
    "an adult": ADULT_KEYS,
    "an adult's limits": ADULT_LIMITS,
    "a location": LOCATION_KEYS,
    "a material set": MATERIAL_SET_KEYS,
    "a target": TARGET_KEYS,
    "travel_minutes": TRAVEL,
    "a route": ROUTE,
    "a policy": POLICY,
    "what to prefer": PREFER,
    "the solver's limits": SOLVER,
}


def key_table() -> Iterator[tuple[str, str, str, str, str]]:
    """(thing, key, what it may be, default, what it is for) for every key there is: the README's table."""
    for thing, keys in DOCUMENTED.items():
        for name, key in keys.items():
            default = "must be given" if key.required else key.default
            yield thing, name, key.kind.expects or "see 'policy'", default, key.words
