"""A file that is read again: known by its bytes, and no two who read it share what they may change."""

from __future__ import annotations

import pytest

from genplan.casefile import edit, tree
from genplan.casefile.source_spans import source_spans
from genplan.casefile.tree import Leaf, read_tree
from genplan.language import Speech, speaking

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


def test_what_one_reader_changes_no_other_sees() -> None:
    first = read_tree("case.yaml", DATA)
    assert isinstance(first.root["adults"], dict)
    first.root["adults"]["dad"] = Leaf("no", True)
    first.marks.clear()
    again = read_tree("case.yaml", DATA)
    assert list(again.root["adults"]) == ["mum"]
    assert again.marks
    assert again.root["learners"] == again.root["adults"]


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
