"""What a case says once: references of YAML, skills, defaults, groups; each is read, edited, shared and told of."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from genplan.case import PassMark
from genplan.casefile import Loaded, edit, load, said_once
from genplan.casefile.tree import MOST_WRITTEN_OUT, Leaf, Node, read_tree
from genplan.errors import FileError
from tests.fixtures.casefile_cases import SMALL, changed, loaded, write

SHARED = """\
format: 1
timezone: Europe/Dublin
learners:
  wren: {name: Wren, free: {sat: "09:00-12:00"}}
  tit: {name: Tit, free: {sat: "09:00-12:00"}}
adults:
  mum: {name: Mum, free: {sat: "09:00-12:00"}, limits: {minutes_per_week: 90}}
  dad:
locations: {home: {}, park: {}, school: {capacity: 3}}
material_sets: {jackets: {}}
groups: {staff: [mum, dad], rooms: [home, park]}
defaults:
  adults: {free: {sun: "09:00-12:00"}, limits: {sittings_per_day: 2}}
  locations: {capacity: 2}
skills:
  zips:
    name: Zips up
    correct_when: Closes the zip
    pass_mark: 3/4
    adults: staff
    first: [{location: park}]
targets:
  zips-wren: {learner: wren, like: zips, minutes: 7}
  zips-tit: {learner: tit, like: zips, pass_mark: 4/5, locations: [school, rooms, park], first: []}
"""


def sentences(it: Loaded) -> list[str]:
    return [f.sentence() for f in it.findings]


def other(old: str, new: str) -> str:
    assert SHARED.count(old) == 1
    return SHARED.replace(old, new)


def node_of(text: str) -> Node:
    return read_tree("value.yaml", f"value: {text}\n".encode()).root["value"]


# references of YAML


def test_what_is_referred_to_is_written_out_and_keeps_its_line() -> None:
    tree = read_tree("c", b"a: &a\n  x: [1, &two 2]\nb: *a\nc: [*two, *a]\n")
    assert tree.findings == []
    assert tree.root["b"] == tree.root["a"]
    assert tree.root["c"] == [Leaf("2", True), tree.root["a"]]
    assert (tree.marks["b",].line, tree.marks["b", "x", "2"].line, tree.marks["c", "2", "x"].line) == (
        3,
        2,
        2,
    )


def test_a_joined_group_gives_way_to_keys_of_its_own_and_to_what_was_named_before() -> None:
    tree = read_tree("c", b"a: &a {x: 1, y: 2}\nb: &b {y: 3, z: 4}\nc: {<<: [*a, *b], x: 9}\n")
    assert tree.findings == []
    assert {k: v.text for k, v in tree.root["c"].items()} == {"x": "9", "y": "2", "z": "4"}  # type: ignore[union-attr]
    assert tree.marks["c", "z"].line == 2


def test_a_case_with_references_is_the_case_written_out(tmp_path: Path) -> None:
    old = '    free: {mon-fri: "15:30-18:30"}\n'
    here = changed(old, old.replace("{mon", "&hours {mon")).replace('{daily: "08:00-20:00"}', "*hours")
    whole = SMALL.replace('{daily: "08:00-20:00"}', '{mon-fri: "15:30-18:30"}')
    one, two = loaded(tmp_path / "one", here), loaded(tmp_path / "two", whole)
    assert one.findings == two.findings
    assert one.case is not None
    assert one.case == two.case


def bomb(width: int, depth: int) -> bytes:
    lines = [f"a0: &a0 [{', '.join('x' * width)}]"]
    lines += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * width)}]" for i in range(1, depth)]
    return ("\n".join(lines) + "\n").encode()


@pytest.mark.parametrize(("width", "depth"), [(10, 10), (2, 11), (200, 4), (60, 5)])
def test_a_bomb_is_refused_before_it_is_written_out(width: int, depth: int) -> None:
    tree = read_tree("c", bomb(width, depth))
    if width**depth > MOST_WRITTEN_OUT:
        assert tree.root == {}
        assert [f.found for f in tree.findings] == [
            f"references that write out more than {MOST_WRITTEN_OUT} keys and values"
        ]
        assert tree.size < 2 * MOST_WRITTEN_OUT
    else:
        assert tree.findings == []


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("a: &a [*a]\n", "a.1: a reference (*a) to what is not written out before it"),
        ("hours: &hours 1\nb: *hour\n", "b: a reference (*hour) to what is not written out before it"),
        ("b: {<<: 3}\n", "b.<<: a value that has no keys"),
        ("b: {<<: [{}, 3]}\n", "b.<<.2: a value that has no keys"),
        ("a: &w\n", "a: an anchor (&w) with nothing behind it"),
        ("&w a: 1\n", "an anchor (&w) at a key"),
        ("a: 1\na: &x {b: 1}\nc: *x\n", "a: the key 'a' a second time"),
    ],
)
def test_references_that_lead_nowhere_are_told(text: str, told: str) -> None:
    assert [
        f.sentence().startswith(f"c:{f.line}: {told}") for f in read_tree("c", text.encode()).findings
    ] == [True]


REFERRED = b"""\
adults:
  mum: &m
    free: &h {mon: "15:00-16:00"}  # after school
    role: parent
  dad:
    <<: *m
    role: father
  pop: {<<: *m, away: [2026-12-03]}
  nan:
    free: *h  # as mum
"""


@pytest.mark.parametrize(
    ("path", "value", "old", "new"),
    [
        ("nan.free", '{tue: "09:00-10:00"}', "*h  #", '{tue: "09:00-10:00"}  #'),
        ("dad.free", '{tue: "09:00-10:00"}', "father\n", 'father\n    free: {tue: "09:00-10:00"}\n'),
        ("pop.away", None, "<<: *m, away: [2026-12-03]", "<<: *m"),
        ("pop.role", "uncle", "[2026-12-03]", "[2026-12-03], role: uncle"),
        ("nan.role", "aunt", "# as mum\n", "# as mum\n    role: aunt\n"),
    ],
)
def test_a_value_that_is_said_elsewhere_is_changed_where_it_is_used(
    path: str, value: str | None, old: str, new: str
) -> None:
    at = ("adults", *path.split("."))
    fresh = edit.with_thing("c", REFERRED, at, node_of(value) if value else None)
    assert fresh.decode() == REFERRED.decode().replace(old, new)


@pytest.mark.parametrize(
    ("path", "value"), [("mum.role", "aunt"), ("mum.free", '{tue: "9:00-10:00"}'), ("dad.free", None)]
)
def test_a_value_that_others_share_is_not_changed_for_them(path: str, value: str | None) -> None:
    at = ("adults", *path.split("."))
    with pytest.raises(
        FileError, match=r"shared by reference \(& and \*\)\. Change adults\..* in a text editor"
    ):
        edit.with_thing("c", REFERRED, at, node_of(value) if value else None)


# skills, defaults, groups


def test_a_target_has_from_its_skill_what_it_does_not_say(tmp_path: Path) -> None:
    it = loaded(tmp_path, SHARED)
    assert it.case is not None
    wren, tit = it.case.targets["zips-wren"], it.case.targets["zips-tit"]
    assert (wren.name, wren.pass_mark, wren.minutes) == ("Zips up", PassMark(3, 4), 7)
    assert (tit.name, tit.pass_mark, tit.first) == ("Zips up", PassMark(4, 5), ())
    assert [w.pattern for w in wren.first] == [{"location": "park"}]
    assert wren.dimensions[0].values == ("mum", "dad")
    assert tit.dimensions[1].values == ("school", "home", "park")


def test_defaults_give_way_and_limits_are_joined_key_by_key(tmp_path: Path) -> None:
    it = loaded(tmp_path, SHARED)
    assert it.case is not None
    mum, dad = it.case.adults["mum"], it.case.adults["dad"]
    assert (mum.limits.sittings_per_day, mum.limits.minutes_per_week) == (2, 90)
    assert (dad.limits.sittings_per_day, dad.limits.minutes_per_week) == (2, None)
    assert [bool(day) for day in mum.free.days][5:] == [True, False]
    assert [bool(day) for day in dad.free.days][5:] == [False, True]
    assert [it.case.locations[i].capacity for i in ("home", "park", "school")] == [2, 2, 3]


def test_a_fault_in_a_skill_is_told_once_on_its_own_line(tmp_path: Path) -> None:
    text = other("pass_mark: 3/4", "pass_mark: 3/x").replace(
        "first: [{location: park}]", "first: [{location: prk}]"
    )
    assert [s for s in sentences(loaded(tmp_path, text)) if "prk" in s or "3/x" in s] == [
        "case.yaml:19: skills.zips.pass_mark: '3/x'; expected the correct of the trials, such as 4/5.",
        "case.yaml:21: skills.zips.first.1.location: the unknown location 'prk'; expected a location of this case"
        " (home, park, school). Did you mean 'park'?",
    ]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("wren, like: zips", "wren, like: zip", "case.yaml:23: targets.zips-wren.like: the unknown skill 'zip';"
         " expected a skill of this case (zips). Did you mean 'zips'?"),
        ("[mum, dad]", "[mum, dat]", "case.yaml:11: groups.staff.2: the unknown id 'dat'; expected the id of a thing"
         " of this case (learner, adult, location, material set, target). Did you mean 'dad'?"),
        ("[mum, dad]", "[mum, rooms]", "case.yaml:11: groups.staff.2: the unknown id 'rooms'; expected the id of a"
         " thing of this case (learner, adult, location, material set, target). Write out the ids: a group does not"
         " hold another one."),
        ("staff: [mum, dad], rooms", "home: [mum, dad], rooms", "case.yaml:11: groups.home: 'home', which is also the"
         " id of a thing under 'locations'; expected a name of its own. Choose another name."),
        ("[school, rooms, park]", "[school, school]", "case.yaml:24: targets.zips-tit.locations.2: 'school' a second"
         " time; expected each value once."),
        ("[school, rooms, park]", "staff", "case.yaml:24: targets.zips-tit.locations: the unknown location 'mum';"
         " expected a location of this case (home, park, school). Add 'mum' under 'locations', or take it out here."),
        ("{capacity: 2}", "{capacity: 2, name: Here}", "case.yaml:14: defaults.locations.name: the unknown"
         " key 'name';"),
        ("    name: Zips up", "    learner: wren", "case.yaml:17: skills.zips.learner: the unknown key 'learner';"),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_told_where_it_is_written(
    tmp_path: Path, old: str, new: str, told: str
) -> None:
    assert any(s.startswith(told) for s in sentences(loaded(tmp_path, other(old, new))))


def test_what_is_said_for_very_many_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(said_once, "MOST_NODES", 2_000)
    many = "".join(f"  t{i}: {{learner: wren, like: zips}}\n" for i in range(50))
    steps = ", ".join(["a step"] * 60)
    text = SHARED.replace("    pass_mark: 3/4\n", f"    steps: [{steps}]\n") + many
    assert any(
        "once skills, defaults and groups are written out" in s for s in sentences(loaded(tmp_path, text))
    )


@pytest.mark.parametrize(
    "text",
    [
        SHARED.replace("skills:\n", "skills: 3\nsomething:\n"),
        SHARED.replace("groups: {staff: [mum, dad], rooms: [home, park]}", "groups: [mum]"),
        SHARED.replace("like: zips, minutes", "like: [zips], minutes"),
        SHARED.replace("adults: staff", "adults: {staff: 1}"),
        SHARED.replace("  adults: {free", "  adults: 3\n  learners: {free"),
        SHARED.replace("[mum, dad]", "[[mum], {a: b}]"),
    ],
)
def test_odd_shapes_get_sentences(tmp_path: Path, text: str) -> None:
    it = loaded(tmp_path, text)
    assert it.case is None
    assert it.findings


def test_an_own_value_goes_into_the_target_and_the_skill_stays(tmp_path: Path) -> None:
    folder = write(tmp_path, case=SHARED)
    path = ("targets", "zips-wren")
    found = edit.thing(folder, path)
    assert isinstance(found.node, dict)
    edit.put(folder, path, {**found.node, "pass_mark": Leaf("4/4", True)}, found.digest)
    assert (folder / "case.yaml").read_text() == SHARED.replace("minutes: 7}", "minutes: 7, pass_mark: 4/4}")
    case = load(folder).case
    assert case is not None
    assert case.targets["zips-wren"].pass_mark == PassMark(4, 4)


def test_a_copy_in_other_words_has_it_written_out(tmp_path: Path) -> None:
    from genplan import workflow
    from tests.fixtures.random_cases import NOW

    folder = write(tmp_path / "case", case=SHARED)
    (folder / "results.csv").write_text(
        "date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note\n"
    )
    workflow.share_copy(folder, tmp_path / "copy", NOW, lambda _: None, -321, 7)
    text = (tmp_path / "copy" / "case.yaml").read_text()
    assert not {"skills:", "groups:", "defaults:", "like:"} & set(text.replace("{", " ").split())
    before, after = load(folder).case, load(tmp_path / "copy").case
    assert before is not None
    assert after is not None
    assert sorted(marks(before)) == sorted(marks(after))
    for word in ("zips", "staff", "rooms", "Zips"):
        assert word not in text


def marks(case: object) -> Iterator[tuple[object, ...]]:
    for target in case.targets.values():  # type: ignore[attr-defined]
        yield (
            str(target.pass_mark),
            target.minutes,
            len(target.dimensions[0].values),
            len(target.dimensions[1].values),
        )


# the page's forms


def test_the_form_shows_what_is_said_elsewhere_and_offers_groups() -> None:
    from genplan.web.forms import FORMS, drawn, names_of, said_for_itself

    tree = read_tree("case.yaml", SHARED.encode()).root
    target = tree["targets"]["zips-wren"]  # type: ignore[index,call-overload]
    fields = {f["name"]: f for f in drawn(FORMS["targets"], tree, target)}
    assert fields["pass_mark"]["holds"] == ""
    assert fields["pass_mark"]["elsewhere"] == "Left as it is, this holds: 3/4 (skills.zips)."
    assert fields["minutes"]["elsewhere"] == ""
    assert fields["like"]["holds"]["chosen"] == "zips"
    assert ("staff", "staff: Mum, dad") in fields["adults"]["holds"]["options"]
    assert "staff" not in dict(fields["locations"]["holds"]["options"])
    assert dict(names_of(tree, "targets"))["zips-wren"] == "Zips up"
    assert list(
        said_for_itself(FORMS["targets"], tree, target, {**target, "pass_mark": Leaf("4/4", True)})
    ) == ["Met with is now said of this target itself; elsewhere it stays 3/4 (skills.zips)."]
