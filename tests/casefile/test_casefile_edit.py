"""One value changed in a file: the change and nothing else, or nothing at all and a sentence."""

import shutil

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from genplan.casefile import edit, load
from genplan.casefile.patch import Unpatchable, patched, same
from genplan.casefile.starter import write_starter
from genplan.casefile.tree import Leaf, read_tree
from genplan.errors import CaseError, FileError
from tests.fixtures.nightly import tries
from tests.fixtures.places import EXAMPLES

EXAMPLES = sorted(EXAMPLES.glob("*/*.yaml"))

CASES = {
    "a plain value keeps the remark beside it": ("a: 1   # one\nb: 2\n", {"a": "7"}, "a: 7   # one\nb: 2\n"),
    "double quotes stay": ('a: "x y"\n', {"a": "z"}, 'a: "z"\n'),
    "single quotes stay": ("a: 'it''s'\n", {"a": "it's so"}, "a: 'it''s so'\n"),
    "what YAML would misread is quoted": ("a: b\n", {"a": "16:30"}, 'a: "16:30"\n'),
    "a sign of YAML's is quoted": ("a: b\n", {"a": "# no: remark"}, 'a: "# no: remark"\n'),
    "an empty value is filled": ("a:\nb: 2\n", {"a": "7"}, "a: 7\nb: 2\n"),
    "a key goes with its line": ("a: 1  # one\n# two\nb: 2\n", {"a": None}, "# two\nb: 2\n"),
    "a new key comes last": ("a: 1\n# end\n", {"b": "2"}, "a: 1\nb: 2\n# end\n"),
    "a last line without an end gets one": ("a: 1", {"b": "2"}, "a: 1\nb: 2\n"),
    "the line ends of the file are kept": ("a: 1\r\n", {"b": "2"}, "a: 1\r\nb: 2\r\n"),
    "a value in brackets stays in them": (
        "a: {b: 1,  c: [2]} # x\n",
        {"a": {"b": "1", "c": ["3"]}},
        "a: {b: 1,  c: [3]} # x\n",
    ),
    "a key is added in brackets": ("a: {b: 1}\n", {"a": {"b": "1", "c": "2"}}, "a: {b: 1, c: 2}\n"),
    "a key goes out of brackets": ("a: {b: 1, c: '2'}\n", {"a": {"c": "2"}}, "a: {c: '2'}\n"),
    "all keys go out of brackets": ("a: {b: 1}  # x\n", {"a": {}}, "a: {}  # x\n"),
    "an item keeps its remark": ("a:\n  - x # 1\n  - y # 2\n", {"a": ["y", "z"]}, "a:\n  - y # 2\n  - z\n"),
    "an item in front": ("a:\n- y # 2\n", {"a": ["x", "y"]}, "a:\n- x\n- y # 2\n"),
    "a text over several lines": ("a: |\n  x\n  y\nb: 1\n", {"a": "z"}, "a: z\nb: 1\n"),
    "lines become brackets": ("a:   # why\n  b: 1\nc: 1\n", {"a": ["x"]}, "a: [x]   # why\nc: 1\n"),
    "a thing gets lines": (
        "s:\n  x:\n    n: 1\n# end\n",
        {"s": {"x": {"n": "1"}, "y": {"n": "2"}}},
        "s:\n  x:\n    n: 1\n  y:\n    n: 2\n# end\n",
    ),
    "a first thing gets lines": ("s: {}\nt: 1\n", {"s": {"y": {"n": "2"}}}, "s:\n  y:\n    n: 2\nt: 1\n"),
    "a new section gets lines": ("t: 1\n", {"s": {"y": {"n": "2"}}}, "t: 1\ns:\n  y:\n    n: 2\n"),
    "what is not in Latin letters": (
        "a: 'é 🙂'  # 🙂\nb: 1\n",
        {"b": "ü 🙂"},
        "a: 'é 🙂'  # 🙂\nb: \"ü 🙂\"\n",
    ),
}


def nodes(value):
    if isinstance(value, dict):
        return {k: nodes(v) for k, v in value.items()}
    return [nodes(v) for v in value] if isinstance(value, list) else Leaf(value, value.isdigit())


def changed(text, change):
    root = read_tree("f", text.encode()).root
    return {
        **{k: v for k, v in root.items() if change.get(k, 0) is not None},
        **{k: nodes(v) for k, v in change.items() if v is not None},
    }


@pytest.mark.parametrize("name", CASES)
def test_one_change(name):
    text, change, expected = CASES[name]
    assert patched(text, changed(text, change)) == expected


def test_remarks_inside_brackets_are_not_lost():
    text = "a: [x,  # one\n  y]\n"
    with pytest.raises(Unpatchable):
        patched(text, changed(text, {"a": ["x"]}))
    assert patched(text, changed(text, {"a": ["x", "y"]})) == text


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda f: f"{f.parent.name}/{f.name}")
def test_no_change_is_no_change(file):
    data = file.read_bytes()
    assert patched(data.decode(), read_tree("f", data).root).encode() == data


def paths(node, path=()):
    yield path
    for key, value in node.items() if isinstance(node, dict) else ():
        yield from paths(value, (*path, key))


TEXTS = st.text(st.sampled_from("ab :#-'\"[]{},é1🙂\\"), min_size=1, max_size=6).filter(str.strip)
VALUES = st.one_of(
    TEXTS.map(lambda t: Leaf(t, False)),
    st.lists(TEXTS.map(lambda t: Leaf(t, False)), max_size=3),
    st.dictionaries(
        st.sampled_from(["k", "l-m", "mon-fri"]), TEXTS.map(lambda t: Leaf(t, False)), max_size=3
    ),
)


@settings(max_examples=tries(150, by_day=50))
@given(st.data())
def test_any_change_is_read_back_and_other_remarks_stay(data):
    """A value at any place of the examples, in whatever style it is written there, becomes any other."""
    file = data.draw(st.sampled_from(EXAMPLES))
    raw = file.read_bytes()
    root = read_tree("f", raw).root
    path = data.draw(st.sampled_from([p for p in paths(root) if p]))
    wanted = edit.put_in(root, path, data.draw(st.none() | VALUES))
    assume(wanted)
    new = patched(raw.decode(), wanted)
    back = read_tree("f", new.encode())
    assert back.findings == []
    assert same(back.root, wanted)
    assert outside(raw.decode(), path[0]) == outside(new, path[0])


def outside(text, section):
    """The lines of a file that do not belong to a section."""
    kept, inside = [], False
    for line in text.splitlines():
        if line[:1].isalpha():
            inside = line.startswith(f"{section}:")
        if not inside and line.strip():
            kept.append(line)
    return kept


@pytest.fixture
def folder(tmp_path):
    write_starter(tmp_path / "case")
    return tmp_path / "case"


def name_of(folder, text):
    found = edit.thing(folder, ("adults", "mum"))
    return edit.put(folder, ("adults", "mum"), {**found.node, "name": Leaf(text, False)}, found.digest)


def test_a_change_is_written_and_the_rest_of_the_file_stays(folder):
    before = (folder / "case.yaml").read_text("utf-8").splitlines()
    assert name_of(folder, "Mama").case.adults["mum"].name == "Mama"
    after = (folder / "case.yaml").read_text("utf-8").splitlines()
    assert [(a, b) for a, b in zip(before, after, strict=True) if a != b] == [
        ("    name: Mum", "    name: Mama")
    ]


def test_an_edit_from_outside_is_not_overwritten(folder):
    found = edit.thing(folder, ("adults", "mum"))
    text = (folder / "case.yaml").read_text("utf-8")
    (folder / "case.yaml").write_text(text.replace("name: Mum", "name: Mum  # mine"), "utf-8")
    kept = (folder / "case.yaml").read_bytes()
    with pytest.raises(edit.ChangedOutside, match=r"adults\.mum in case\.yaml was changed"):
        edit.put(folder, ("adults", "mum"), {**found.node, "name": Leaf("Mama", False)}, found.digest)
    assert (folder / "case.yaml").read_bytes() == kept
    assert name_of(folder, "Mama").case.adults["mum"].name == "Mama"


def test_an_edit_beside_it_is_kept_and_is_no_hindrance(folder):
    """Another thing, a remark, a line more in front: the thing itself is written as it was."""
    found = edit.thing(folder, ("adults", "mum"))
    text = (folder / "case.yaml").read_text("utf-8")
    (folder / "case.yaml").write_text(
        "# mine\n" + text.replace("name: Dad", "name: Papa") + "# too\n", "utf-8"
    )
    edit.put(folder, ("adults", "mum"), {**found.node, "name": Leaf("Mama", False)}, found.digest)
    assert (folder / "case.yaml").read_text("utf-8") == (
        "# mine\n" + text.replace("name: Dad", "name: Papa").replace("name: Mum", "name: Mama") + "# too\n"
    )


def test_a_thing_that_was_taken_out_or_put_in_meanwhile_is_seen(folder):
    found, fresh = edit.thing(folder, ("adults", "mum")), edit.thing(folder, ("adults", "gran-2"))
    assert edit.put(folder, ("adults", "gran-2"), {"name": Leaf("G", False)}, fresh.digest)
    with pytest.raises(edit.ChangedOutside):
        edit.put(folder, ("adults", "gran-2"), {"name": Leaf("H", False)}, fresh.digest)
    text = (folder / "case.yaml").read_text("utf-8")
    (folder / "case.yaml").write_text(text.replace("  mum:", "  mama:"), "utf-8")
    with pytest.raises(edit.ChangedOutside):
        edit.put(folder, ("adults", "mum"), found.node, found.digest)


def test_a_change_that_would_not_load_is_refused_with_its_findings(folder):
    kept = (folder / "case.yaml").read_bytes()
    found = edit.thing(folder, ("adults", "mum"))
    with pytest.raises(CaseError) as refused:
        edit.put(
            folder, ("adults", "mum"), {**found.node, "free": {"mon": Leaf("25:00", False)}}, found.digest
        )
    assert [f.key for f in refused.value.findings] == ["adults.mum.free.mon"]
    with pytest.raises(CaseError):
        edit.put(folder, ("adults", "mum"), None, found.digest) and edit.put(
            folder, ("locations",), None, found.digest
        )
    assert (folder / "case.yaml").read_bytes().startswith(kept[:100])


def test_a_case_with_errors_can_be_put_right(folder):
    text = (folder / "case.yaml").read_text("utf-8")
    (folder / "case.yaml").write_text(text.replace('"16:00-18:00"', '"16:00-28:00"'), "utf-8")
    assert load(folder).case is None
    found = edit.thing(folder, ("adults", "mum"))
    right = {**found.node, "free": {"mon": Leaf("16:00-18:00", False)}}
    assert edit.put(folder, ("adults", "mum"), right, found.digest).case is not None


def test_a_thing_is_found_in_its_own_file_and_a_new_one_goes_to_its_section(tmp_path):
    folder = tmp_path / "case"
    shutil.copytree(EXAMPLES[0].parents[1] / "school-transfer", folder)
    assert edit.thing(folder, ("adults", "nobody-yet")).file == "people.yaml"
    assert edit.thing(folder, ("locations", "nowhere-yet")).file == "places.yaml"


def test_a_file_that_cannot_be_read_is_not_touched(folder):
    found = edit.thing(folder, ("adults", "mum"))
    (folder / "case.yaml").write_text("a: [", "utf-8")
    with pytest.raises(FileError):
        edit.put(folder, ("adults", "mum"), None, found.digest)
    assert (folder / "case.yaml").read_text("utf-8") == "a: ["


def test_an_item_of_several_lines_keeps_its_remarks():
    text = "a:\n- b: 1  # one\n  # why\n  c: [2]  # two\n- {b: 3,  c: 4} # three\n"
    root = read_tree("a.yaml", text.encode()).root
    root["a"] = [{**root["a"][0], "b": Leaf("7", True)}, {**root["a"][1], "c": Leaf("8", True)}]
    assert patched(text, root) == text.replace("b: 1", "b: 7").replace("c: 4", "c: 8")
    text = "a:\n- {b: 3, # three\n   c: 4}\n"
    with pytest.raises(Unpatchable):
        patched(text, {"a": [{"b": Leaf("3", True)}]})


def test_two_additions_at_one_place_stand_in_their_order():
    old = "targets:\n  a: {learner: ada}\n"
    root = read_tree("case.yaml", old.encode()).root
    root["targets"] = {**root["targets"], "b": {"learner": Leaf("ben", True)}}
    root["changes"] = [{"away": Leaf("ada", True)}]
    assert patched(old, root) == old + "  b:\n    learner: ben\nchanges: [{away: ada}]\n"
