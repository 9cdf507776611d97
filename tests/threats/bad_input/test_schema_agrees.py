"""The JSON Schema over the corpus of broken cases: what can be read is not refused, unknown keys always are."""

from __future__ import annotations

import pytest

from genplan.casefile.tree import read_tree
from tests.fixtures.corpus import Entry, entries
from tests.fixtures.editor import faults

CASES = [e for e in entries() if e.reads == "case" and not e.others]


def can_be_read(entry: Entry) -> bool:
    return not read_tree("case.yaml", entry.data).findings


FINE = [e for e in CASES if not any(line.startswith("=") for line in e.told) and can_be_read(e)]
SHAPES = (
    "the unknown key",
    "expected a whole number",
    "expected a number",
    "expected yes or no",
    ": no 'learner'",
)
ONLY_CHECK_SEES = {
    "case-numbers: trials '5.0'",
    "case-numbers: trials '010'",
    "case-numbers: the text 'no'",
    "case-numbers: unknown key",
    "case-yaml-more: a number in powers of ten",
    "case-yaml-more: a plus sign",
}
"""How a number or a word is spelt, which an editor does not hand on, and a dimension's name in place of a key's."""
MISSHAPEN = [
    e
    for e in CASES
    if e.name not in ONLY_CHECK_SEES
    and any(sign in line for line in e.told for sign in SHAPES)
    and can_be_read(e)
]


def test_there_is_something_to_compare() -> None:
    assert len(FINE) > 10
    assert len(MISSHAPEN) > 20


@pytest.mark.parametrize("entry", FINE, ids=lambda e: e.name)
def test_what_can_be_read_is_not_refused(entry: Entry) -> None:
    assert faults(entry.data) == []


@pytest.mark.parametrize("entry", MISSHAPEN, ids=lambda e: e.name)
def test_what_has_the_wrong_shape_is_refused(entry: Entry) -> None:
    assert faults(entry.data)
