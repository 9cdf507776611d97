"""A file that is read again: known by its bytes, and shared by all who read it."""

from __future__ import annotations

import shutil
from copy import deepcopy
from datetime import datetime
from pathlib import Path

import pytest

from genplan.casefile import edit, load, tree
from genplan.casefile.source_spans import source_spans
from genplan.casefile.tree import Leaf, read_tree
from genplan.language import Speech, speaking
from genplan.workflow import check, put_thing, rename
from genplan.workflow.sharing import share_copy
from genplan.workflow.writing_tables import write_tables
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.places import EXAMPLES

NOW = datetime(2026, 11, 29, 12, 0)

DATA = b"adults: &all\n  mum: {name: Read again}\nlearners: *all\n"


@pytest.fixture
def grown(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names of the files that are parsed."""
    names: list[str] = []

    class Counted(tree._Grower):
        def grow(self) -> None:
            names.append(self.file)
            super().grow()

    monkeypatch.setattr(tree, "_Grower", Counted)
    tree._read_before.cache_clear()
    tree._big_read_before.cache_clear()
    return names


def test_a_file_that_did_not_change_is_parsed_once(grown: list[str]) -> None:
    assert read_tree("case.yaml", DATA) == read_tree("case.yaml", DATA)
    assert grown == ["case.yaml"]
    read_tree("case.yaml", DATA + b"targets: {}\n")
    assert grown == ["case.yaml", "case.yaml"]


@pytest.mark.parametrize("example", by_day_the_first(["family", "caseload", "school-transfer"]))
def test_nobody_changes_in_place_what_all_share(
    example: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Verbs that read a case as it is written: every tree that they are given is, after all of them, as it was read."""
    read, given = tree._read, list[tuple[tree.Tree, tree.Tree]]()

    def remembered(file: str, data: bytes, most: int) -> tree.Tree:
        given.append((found := read(file, data, most), deepcopy(found)))
        return found

    monkeypatch.setattr(tree, "_read", remembered)
    tree._read_before.cache_clear()
    tree._big_read_before.cache_clear()
    folder = Path(shutil.copytree(EXAMPLES / example, tmp_path / "case"))
    case = load(folder).case
    assert case
    id_ = next(iter(case.locations))
    write_tables(folder, tmp_path / "tables", NOW)
    share_copy(folder, tmp_path / "copy", NOW, lambda *_told: None)
    check(folder, NOW)
    place = edit.thing(folder, ("locations", id_))
    assert isinstance(place.node, dict)
    put_thing(folder, place.path, {**place.node, "name": Leaf("Elsewhere", False)}, place.digest, NOW)
    rename(folder, "locations", id_, "Elsewhere", NOW)
    assert given
    assert all(found == as_read for found, as_read in given)


def test_a_policy_that_is_the_file_itself_is_left_out_of_a_copy(tmp_path: Path) -> None:
    (tmp_path / "case.yaml").write_text("policy: ./case.yaml\nadults: {mum: {name: Mum}}\n", "utf-8")
    first, again = (load(tmp_path).findings for _ in range(2))
    assert first == again
    assert any(f.key == "policy" for f in first)


def test_what_is_wrong_is_told_in_the_language_of_now() -> None:
    wrong = b"- a list\n"
    english = read_tree("case.yaml", wrong).findings
    with speaking(Speech("de")):
        german = read_tree("case.yaml", wrong).findings
    assert len(english) == len(german) == 1
    assert english != german
    assert read_tree("case.yaml", wrong).findings == english


def test_a_long_file_is_not_kept(grown: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tree, "BIGGEST_KEPT", len(DATA) - 1)
    assert read_tree("case.yaml", DATA) == read_tree("case.yaml", DATA)
    assert len(grown) == 2


def test_of_big_files_the_last_few_are_kept(grown: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """As one is before and after a change; sixteen of them would be as many megabytes as a caseload."""
    monkeypatch.setattr(tree, "MOST_KEPT", len(DATA) - 1)
    states = [DATA + b"# %d\n" % n for n in range(4)]
    for data in (*states[:3], *states[:3]):
        assert read_tree("case.yaml", data).root
    assert len(grown) == 3
    read_tree("case.yaml", states[3])
    read_tree("case.yaml", states[0])
    assert len(grown) == 5


def test_the_digests_of_two_things_of_a_file_take_one_look() -> None:
    source_spans.cache_clear()
    data = b"adults:\n  mum: {name: Mum}\n  dad: {name: Dad}\n"
    mum, dad, nobody = (edit._digest("case.yaml", data, ("adults", id_)) for id_ in ("mum", "dad", "aunt"))
    assert mum != dad
    assert nobody == edit.ABSENT
    assert source_spans.cache_info().misses == 1
