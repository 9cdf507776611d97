"""Every broken input of the corpus is told in exactly the sentences that stand beside it, and in no others."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from pathlib import Path

import pytest

from genplan.casefile import load
from genplan.evidence.log import Log
from genplan.planning.week_context import needs_of
from tests.fixtures.corpus import Entry, base, entries
from tests.fixtures.telling import NOW, WEEK, of_calendars, sentences

ALL = entries()
CALENDARS = [e for e in ALL if e.reads == "calendar"]
OTHERS = [e for e in ALL if e.reads != "calendar"]


@pytest.mark.parametrize("entry", OTHERS, ids=lambda e: e.name)
def test_what_is_told(entry: Entry, tmp_path: Path) -> None:
    assert sentences(entry, tmp_path) == entry.told


@pytest.fixture(scope="module")
def told_of_calendars(tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, tuple[str, ...]]:
    return of_calendars(CALENDARS, tmp_path_factory.mktemp("calendars"))


@pytest.mark.parametrize("entry", CALENDARS, ids=lambda e: e.name)
def test_what_is_told_of_a_calendar(entry: Entry, told_of_calendars: Mapping[str, tuple[str, ...]]) -> None:
    assert told_of_calendars[entry.title] == entry.told


def test_what_loads_can_be_planned_for(tmp_path: Path) -> None:
    """The entries of a case without an error, warned of or not: what each target is owed can be worked out."""
    fine = [e for e in ALL if e.reads in ("case", "changes") and not any(t.startswith("=") for t in e.told)]
    assert len(fine) > 30
    for number, entry in enumerate(fine):
        folder = tmp_path / str(number)
        sentences(entry, folder)
        case = load(folder).case
        assert case is not None, entry.name
        owed = {need.id for need in needs_of(case, Log(), WEEK, NOW.replace(tzinfo=case.timezone))}
        assert owed >= {t.id for t in case.mastered}, entry.name


def test_no_two_entries_are_one() -> None:
    seen = Counter((e.reads, e.data, tuple(sorted(e.others.items()))) for e in ALL)
    assert [e.name for e in ALL if seen[e.reads, e.data, tuple(sorted(e.others.items()))] > 1] == []


@pytest.mark.parametrize("reads", ["case", "changes", "results", "filled", "kept"])
def test_a_base_is_without_findings(reads: str, tmp_path: Path) -> None:
    assert sentences(Entry("base", reads, "", base(reads).encode()), tmp_path) == ()


def test_every_sentence_has_a_place_and_ends() -> None:
    for entry in ALL:
        for line in entry.told:
            assert line[2:].split(":")[0].strip(), entry.name
            assert line[-1] in ".?", entry.name
            assert line.isprintable(), entry.name
