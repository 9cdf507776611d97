"""The table of keys against the built case: each value reaches it, and each default told is the one that holds."""

from __future__ import annotations

from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

from genplan.case import Case
from genplan.casefile import load
from genplan.casefile.record_types import KNOWN, NOT_THERE, Key
from genplan.casefile.tree import Node, read_tree
from genplan.casefile.yaml_writing import written
from tests.fixtures.places import WHOLE_CASE

WHOLE = WHOLE_CASE.read_bytes()

PLACES: dict[str, tuple[str, ...]] = {
    "the case": (),
    "a policy": ("policy",),
    "what to prefer": ("policy", "prefer"),
    "the solver's limits": ("policy", "solver"),
    "a learner": ("learners", "wren"),
    "a learner's limits": ("learners", "wren", "limits"),
    "an adult": ("adults", "grandad"),
    "an adult's limits": ("adults", "grandad", "limits"),
    "a location": ("locations", "park"),
    "a material set": ("material_sets", "coats"),
    "a target": ("targets", "zips-jacket"),
    "travel_minutes": ("travel_minutes",),
    "a route": ("travel_minutes", "routes"),
    "a change": ("changes",),
    "an added sitting": ("changes", "add"),
}
"""Where the whole example has one of each kind of thing; of a list the first item with the key."""

OTHERS: dict[str, tuple[str, ...]] = {
    "a text": ("other words", "busy/other.ics"),
    "a month": ("2019-02",),
    "a date with a time": ('"2026-12-02 17:00"',),
    "a date": ("2026-09-01", "2026-12-04"),
    "days with windows": ('{sun: "10:00-11:00"}',),
    "dates away": ("[2027-02-03]",),
    "ranges of dates": ('["2026-01-07..2026-03-20"]',),
    "ids": ("[aide]", "[zips-jacket]", "[home]", "[robin]", "[school, park, home]", "[aide, grandad, mum]",
            "[fleece, coats, jackets]"),
    "two ids of sittings": ("[2026-W49-wed-mum-b1e, zips-jacket]",),
    "the id of a sitting": ("2026-W49-thu-mum-b1e",),
    "values of further": ("{wording: no}",),
    "an id": ("robin", "aide", "home", "jackets", "grandad", "park", "coats", "peels-fruit"),
    "a list of names": ("[kiwi]", "[cord]"),
    "a list of values to go": ("[{adult: mum, location: park, material_set: coats}]",),
    "a list of values wanted": ("[{location: park}]",),
    "names with ids": ("{carers: [grandad]}",),
    "the id of a skill": ("laces",),
    "names with values": ('{wording: ["Zip it up", no, "Now"]}',),
    "how many": ("{adults: 2}",),
    "days after mastery": ("[5, 9]",),
    "days such as": ("tue",),
    "the correct": ("2/3",),
    "each or fewest": ("each",),
    "trade or plain": ("plain", "trade"),
    "en or de": ("en",),
    "yes or no": ("yes", "no"),
    "three sizes": ("[50, 60, 70]",),
    "minutes that divide": ("20",),
    "two locations": ("[home, school]",),
    "a country": ("GB",),
    "12 small letters": ("abcdefghjk23",),
    "a list of an address": ("[other@example.org]",),
    "both, utc or local": ("utc",),
    "the IANA name": ("Europe/Paris",),
    "a whole number": ("1", "2", "60"),
    "a number": ("0.5",),
    "each-value": ("triples",),
    "teaching": ("paused",),
    "a name, a path": ("family",),
    "family, school-transfer": ("family",),
    "a list of steps": ("[Sit opposite, Say it once]",),
}  # fmt: skip
"""What a kind expects, from its start -> values, one of which is another than the example's."""

LEAVES = [
    (thing, name)
    for thing, keys in KNOWN.items()
    for name, key in keys.items()
    if key.lands != NOT_THERE and (key.kind.keys is None or name == "policy")
]
IN_WORDS = {
    "as told there", "every one that is possible", "everybody who works with the learner",
    "it travels with the learner", "no limit", "no maintenance",
    "no reminder", "none", "not known", "nothing, with a warning", "those of `briefed_on`", "the defaults",
    "the end of the first day", "as people were told",
    "none: it must be given with away, closed, missing, extra and rather",
    "the first that can be probed", "each child of that adult", "where it was to be", "who was to",
    "the first letter of the name and a dot", "the id", "the policy's", "all year", "all day", "never", "0 everywhere",
}  # fmt: skip
"""Defaults that are no value which the key itself could have; every other one is tried."""
TOLD = [
    (thing, name, key.default.partition(":")[0])
    for thing, keys in KNOWN.items()
    for name, key in keys.items()
    if not key.required and key.default not in IN_WORDS
]

INSIDE = {
    "an extra dimension of what was taught": (
        "taught", "[{adult: mum, location: home, material_set: jackets, wording: Zip it up}]",
    ),
    "an extra dimension of what never goes together": ("never", "[{adult: mum, wording: Zip it up}]"),
    "an extra dimension of a wish": ("first", "[{location: park, wording: Zip it up}]"),
    "the date of a wish": ("first", "[{location: park, by: 2026-12-20}]"),
    "an extra dimension that is counted": ("generalised_when", "{wording: 2}"),
    "what must be among what is met": ("generalised_when", "{adults: 2, with: [{location: park, wording: Zip it up}]}"),
    "only what was not taught": ("generalised_when", "{adults: 2, untaught: yes}"),
    "a value of an extra dimension": ("also_vary", '{wording: ["Zip it up", "Now"]}'),
    "another extra dimension": ("also_vary", '{company: ["alone", "in a group"]}'),
}  # fmt: skip
"""Keys of a target's values that the user's own dimensions name, and those that stand beside them."""


def with_calendars(folder: Path) -> Path:
    (folder / "busy").mkdir()
    for name in ("grandad", "other"):
        (folder / "busy" / f"{name}.ics").write_text("BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n")
    return folder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return with_calendars(tmp_path)


def the_tree() -> Any:
    tree = deepcopy(read_tree("case.yaml", WHOLE).root)  # the trees that are read are shared
    tree["learners"]["robin"] = {}  # type: ignore[index,call-overload]
    tree["locations"]["home"] = {}  # type: ignore[index,call-overload]
    tree["targets"]["waves"] = node_of(  # type: ignore[index,call-overload]
        '{learner: robin, correct_when: Waves back, also_vary: {wording: ["Zip it up", no]}}'
    )
    tree["targets"]["peels-fruit"] = node_of(  # type: ignore[index,call-overload]
        '{learner: wren, correct_when: Peels it, also_vary: {wording: ["Zip it up", no]}}'
    )
    return tree


def place(tree: Any, thing: str, name: str) -> Any:
    for part in PLACES[thing]:
        tree = next(item[part] for item in tree if part in item) if isinstance(tree, list) else tree[part]
    return next((item for item in tree if name in item), None) if isinstance(tree, list) else tree


def node_of(text: str) -> Node:
    return read_tree("value.yaml", f"value: {text}\n".encode()).root["value"]


def built(folder: Path, tree: Any) -> Case | None:
    lines = "".join(f"{key}: {written(part)}\n" for key, part in tree.items())
    (folder / "case.yaml").write_text(lines, "utf-8")
    return load(folder).case


@pytest.fixture(scope="module")
def as_it_is(tmp_path_factory: pytest.TempPathFactory) -> Case:
    """The case of the tree with nothing changed."""
    case = built(with_calendars(tmp_path_factory.mktemp("as it is")), the_tree())
    assert case is not None
    return case


def others(key: Key) -> tuple[str, ...]:
    held = [values for start, values in OTHERS.items() if key.kind.expects.startswith(start)]
    assert held, f"no other value for {key.kind.expects}"
    return held[0]


@pytest.mark.parametrize(("thing", "name"), LEAVES)
def test_another_value_of_a_key_is_another_case(folder: Path, as_it_is: Case, thing: str, name: str) -> None:
    for value in others(KNOWN[thing][name]):
        tree = the_tree()
        if (thing, name) == ("a target", "learner"):
            del tree["changes"]  # a sitting of that target is added there
        if (thing, name) == ("an added sitting", "learner"):
            place(tree, thing, name)["target"] = node_of("waves")
        place(tree, thing, name)[name] = node_of(value)
        after = built(folder, tree)
        if after is not None and after != as_it_is:
            return
    pytest.fail(f"'{name}' of {thing} never reaches the case")


@pytest.mark.parametrize("what", INSIDE)
def test_what_stands_beside_the_users_own_dimensions_reaches_the_case(folder: Path, what: str) -> None:
    """Against the same key without it, so that not only the key itself is seen."""
    key, value = INSIDE[what]
    plain, told = the_tree(), the_tree()
    for tree in (plain, told):
        del tree["changes"]  # a sitting is added there with such a value
        for name in ("taught", "never", "first", "generalised_when"):
            tree["targets"]["zips-jacket"].pop(name, None)
        tree["targets"]["zips-jacket"]["also_vary"] = node_of('{wording: ["Zip it up", "Do up your coat"]}')
    told["targets"]["zips-jacket"][key] = node_of(value)
    if key != "also_vary":
        plain["targets"]["zips-jacket"][key] = bare(node_of(value))
    one, two = built(folder, plain), built(folder, told)
    assert one is not None
    assert two is not None
    assert one != two


def bare(node: Any) -> Node:
    """The same without the extra dimension, the date, and what stands beside counts."""
    if isinstance(node, list):
        return [bare(part) for part in node]
    return {key: part for key, part in node.items() if key not in ("wording", "by", "with", "untaught")}


@pytest.mark.parametrize("fact", ["away", "closed", "missing", "extra"])
@pytest.mark.parametrize("key", ["from", "to", "note"])
def test_each_key_of_each_kind_of_change_reaches_the_case(folder: Path, fact: str, key: str) -> None:
    whom = {"away": "grandad", "closed": "park", "missing": "coats", "extra": "grandad"}[fact]
    change = {fact: whom, "from": '"2026-12-02 10:00"', "to": '"2026-12-02 12:00"', "note": "one"}
    other = {**change, key: {"from": '"2026-12-02 09:00"', "to": '"2026-12-02 13:00"', "note": "two"}[key]}
    cases = []
    for told in (change, other):
        tree = the_tree()
        tree["changes"] = node_of("[{" + ", ".join(f"{k}: {v}" for k, v in told.items()) + "}]")
        cases.append(built(folder, tree))
    assert None not in cases
    assert cases[0] != cases[1]


def test_what_only_decides_what_may_be_written_is_missed_where_it_lacks(folder: Path) -> None:
    silent = [name for keys in KNOWN.values() for name, key in keys.items() if key.lands == NOT_THERE]
    assert silent == ["format", "other_allergens", "other_hazards"]
    for name in silent:
        tree = the_tree()
        del tree[name]
        assert built(folder, tree) is None


@pytest.mark.parametrize(("thing", "name", "default"), TOLD)
def test_a_default_that_is_told_is_the_one_that_holds(
    folder: Path, thing: str, name: str, default: str
) -> None:
    left_out, given = the_tree(), the_tree()
    place(left_out, thing, name).pop(name, None)
    place(given, thing, name)[name] = node_of(default)
    one, two = built(folder, left_out), built(folder, given)
    assert one is not None
    assert one == two
