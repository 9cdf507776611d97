"""`genplan share`: nothing of others in one adult's part, and no word of a case in a copy that plans the same."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, datetime, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from random_cases import FAMILY, NOW, WEEK, document, random_case, random_log, write_case

from genplan import workflow
from genplan.case import Birth, Week
from genplan.casefile import load
from genplan.casefile.folder import read_folder
from genplan.casefile.notes import Notes
from genplan.casefile.shapes import key_table
from genplan.cli import main
from genplan.errors import CaseError, FileError, UsageError
from genplan.sharing.case_tree import _NESTED, THINGS, complete_from
from genplan.sharing.copy import HORIZON, possible_shifts
from genplan.sharing.disguise import disguise_of

SHIFT = -321
MOVED = timedelta(weeks=SHIFT)

BUSY = """\
BEGIN:VCALENDAR\r
VERSION:2.0\r
PRODID:-//x//y//EN\r
BEGIN:VEVENT\r
UID:1\r
DTSTAMP:20261101T000000Z\r
DTSTART;TZID=Europe/Dublin:20261130T160000\r
DTEND;TZID=Europe/Dublin:20261130T163000\r
RRULE:FREQ=WEEKLY\r
SUMMARY:Zahnarztqx\r
END:VEVENT\r
END:VCALENDAR\r
"""


def silent(_: str) -> None:
    """No progress."""


def copied(folder: Path, now: datetime = NOW, shift: int = SHIFT) -> Path:
    out = folder.parent / f"{folder.name}-copy"
    workflow.share_copy(folder, out, now, silent, shift)
    return out


def told_of(folder: Path, week: Week, now: datetime) -> tuple[Any, Any]:
    """The objectives of the plan, and its sittings with ids in the order of the alphabet for the words."""
    plan = workflow.plan(folder, week, now, None, silent).plan
    case = load(folder).case
    assert case
    rank = {
        x: n
        for ids in (case.learners, case.adults, case.locations, case.material_sets, case.targets)
        for n, x in enumerate(sorted(ids))
    }
    seats = [
        (
            rank[s.learner],
            rank[s.adult],
            rank[s.location],
            f"{s.start:%a %H:%M}",
            f"{s.end:%H:%M}",
            [(rank[p.target], p.kind, *(rank[v] for v in p.combination[:3])) for p in s.probes],
        )
        for s in plan.sittings
    ]
    return [(o.name, o.value, o.bound, o.status) for o in plan.objectives], seats


def shifted(week: Week, weeks: int = SHIFT) -> Week:
    return Week.of(week.monday + timedelta(weeks=weeks))


@pytest.mark.parametrize("seed", [3, 11])
def test_a_copy_is_planned_as_the_case_is(tmp_path: Path, seed: int) -> None:
    case = random_case(seed, **FAMILY)
    folder = write_case(case, tmp_path / "case", random_log(case, seed))
    shift = next(w for w in possible_shifts(case, NOW.date()) if w % 7 == 3)
    copy = copied(folder, shift=shift)
    theirs = told_of(copy, shifted(WEEK, shift), NOW + timedelta(weeks=shift))
    assert theirs == told_of(folder, WEEK, NOW)
    assert theirs[1], "a week without a sitting shows nothing"


def test_a_kept_week_with_busy_times_is_planned_again_as_it_is(tmp_path: Path) -> None:
    case = random_case(7, targets=3, adults=3, locations=2, sets=2, oddity=0)
    folder = write_case(case, tmp_path / "case")
    (folder / "busy").mkdir()
    (folder / "busy" / "zahnarztqx.ics").write_text(BUSY, encoding="utf-8", newline="")
    text = (folder / "case.yaml").read_text("utf-8")
    first = next(iter(case.adults))
    (folder / "case.yaml").write_text(
        text.replace(f"  {first}:\n", f"  {first}:\n    busy: busy/zahnarztqx.ics\n", 1)
    )
    workflow.keep(folder, WEEK, None, NOW, silent)
    copy = copied(folder)
    assert not any(b"ahnarzt" in p.read_bytes() for p in copy.rglob("*") if p.is_file())
    wednesday = datetime(2026, 12, 2, 12)
    ours, _ = workflow.replan(folder, WEEK, wednesday, None, False, silent)
    theirs, _ = workflow.replan(copy, shifted(WEEK), wednesday + MOVED, None, False, silent)
    assert [(o.name, o.value) for o in theirs.plan.objectives] == [
        (o.name, o.value) for o in ours.plan.objectives
    ]
    assert [len(s.probes) for s in theirs.plan.sittings] == [len(s.probes) for s in ours.plan.sittings]
    assert ours.plan.sittings
    assert (
        {d.kind for d in theirs.differences} == {d.kind for d in ours.differences}
        if ours.differences
        else True
    )


ODD = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=6)


@settings(max_examples=15, deadline=None)
@given(words=st.lists(ODD, min_size=12, max_size=12), seed=st.integers(0, 50))
def test_no_word_of_the_case_is_in_a_copy(
    tmp_path_factory: pytest.TempPathFactory, words: list[str], seed: int
) -> None:
    """Every text and id gets a marker of its own, with odd characters around it."""
    marks: list[str] = []

    def mark(id_: bool = False) -> str:
        marks.append(f"qx{len(marks):03d}")
        odd = words[len(marks) % len(words)]
        return f"{marks[-1]}z" if id_ else f"{odd}{marks[-1]} {odd}"

    case = random_case(seed, oddity=0.5)
    tree = marked(document(case), mark)
    folder = tmp_path_factory.mktemp("marked") / "case"
    folder.mkdir()
    (folder / "case.yaml").write_text(
        yaml.safe_dump(tree, allow_unicode=True, sort_keys=False), encoding="utf-8"
    )
    loaded = load(folder)
    assert loaded.case, loaded.findings
    copy = copied(folder)
    text = (
        b"".join(p.read_bytes() + str(p).encode() for p in copy.rglob("*") if p.is_file()).decode().casefold()
    )
    assert [m for m in marks if m in text] == []
    assert len(marks) > 25
    assert "2026" not in text
    assert [f.key.split(".")[0] for f in load(copy).findings if f.severity.value == "error"] == []


def marked(tree: dict[str, Any], mark: Any) -> dict[str, Any]:
    """The tree with a marker in every id and in every text of a user's."""
    sections = ("learners", "adults", "locations", "material_sets", "targets")
    ids = {id_: mark(True) for s in sections for id_ in tree[s]}
    texts = {"name", "alias", "role", "correct_when", "instruction"}
    allergies: dict[str, str] = {}

    def walk(node: Any, key: str = "") -> Any:
        if isinstance(node, dict):
            return {ids.get(k, k): walk(v, k) for k, v in node.items()}
        if key == "allergens":
            return [allergies.setdefault(a, mark(True)) for a in node]
        if isinstance(node, list):
            return [walk(part, key) for part in node]
        return mark()[:40] if key in texts else ids.get(node, node) if isinstance(node, str) else node

    said = walk(tree)
    said["changes"] = [{"away": next(iter(said["adults"])), "from": "2026-12-01", "note": mark()}]
    return {**said, "other_allergens": list(allergies.values())} if allergies else said


BROKEN = {
    "an unknown key": ("free: {mon", "fre: {mon"),
    "an id that is not there": ("learner: lark", "learner: lrak"),
    "hours that are none": ('"16:00-18:00"', '"16 till 18"'),
    "a mark that is none": ("mastered_on: 2026-10-01", "mastered_on: 2026-10-01, pass_mark: most"),
    "a number that is none": ("sittings_per_day: 1", "sittings_per_day: one"),
    "a section that is a list": ("  home: {name: Home}\n  yard: {name: The yard}\n", "  - home\n"),
    "an unknown allergen": ("alias: L.", "alias: L., allergens: [kiwi]"),
    "a date that is none": ("mastered_on: 2026-10-01", "mastered_on: 2026-13-01"),
    "a zone that is none": ("Europe/Dublin", "Europe/Dubln"),
    "nothing wrong": ("", ""),
    "only a warning": ("correct_when: It is on within a minute, ", ""),
    "a key without its other": ("mastered_on: 2026-10-01", "maintenance_days: [7]"),
}


@pytest.mark.parametrize("what", BROKEN)
def test_what_is_wrong_with_a_case_is_wrong_with_a_copy(tmp_path: Path, what: str) -> None:
    from commands_that_write import CASE as TEXT

    folder = tmp_path / "case"
    folder.mkdir()
    old, new = BROKEN[what]
    assert old in TEXT
    (folder / "case.yaml").write_text(TEXT.replace(old, new, 1), encoding="utf-8")
    copy = copied(folder)
    disguise = disguise_of(read_folder(folder, Notes("")), MOVED)

    def shapes(findings: Any, ours: bool) -> list[tuple[str, str]]:
        known = {i: n for ids in disguise.ids.values() for i, n in ids.items()} if ours else {}
        keys = (".".join(known.get(part, part) for part in f.key.split(".")) for f in findings)
        odd = (re.sub("fre$|unknown-key-1", "?", k) for k in keys)
        return sorted(zip((f.severity.value for f in findings), odd, strict=True))

    assert shapes(load(copy).findings, False) == shapes(load(folder).findings, True)


def test_every_key_of_the_format_has_its_other_words() -> None:
    """A key that is added to the format has to be added to THINGS, or it is lost in copies."""
    keys: dict[str, set[str]] = {}
    for thing, key, *_ in key_table():
        keys.setdefault(thing, set()).add(key)
    nested = {"a learner's limits", "an adult's limits", "what to prefer", "the solver's limits"}
    assert {t: set(THINGS[t]) for t in keys.keys() - nested} == {
        t: k for t, k in keys.items() if t not in nested
    }
    assert set(_NESTED) == set().union(*(keys[t] for t in nested))


def test_an_age_decides_the_same_on_every_day_of_the_horizon() -> None:
    case = random_case(3)
    learner = next(iter(case.learners.values()))
    # 36 months are complete on 1 March 2027, within the horizon: February is short, so not every shift will do
    young = replace(case, learners={learner.id: replace(learner, born=Birth(2024, 2))})
    shifts = possible_shifts(young, NOW.date())
    assert 100 < len(shifts) < 900
    for weeks in shifts[::40]:
        by = complete_from(Birth(2024, 2)) + timedelta(weeks=weeks)
        for days in HORIZON:
            day = NOW.date() + timedelta(days)
            ours = Birth(2024, 2).age_months(day) >= 36
            assert (Birth(by.year, by.month, by.day).age_months(day + timedelta(weeks=weeks)) >= 36) == ours


def test_public_holidays_are_written_out(tmp_path: Path) -> None:
    pytest.importorskip("holidays")
    case = random_case(3)
    folder = write_case(case, tmp_path / "case")
    text = (folder / "case.yaml").read_text("utf-8")
    (folder / "case.yaml").write_text(
        re.sub(r"(locations:\n  \S+:\n)(    name)", r"\1    holidays: IE\n\2", text, count=1)
    )
    copy = load(copied(folder)).case
    assert copy
    place = next(p for p in copy.locations.values() if p.closed)
    closed = {a.start.date() for a in place.closed}
    assert {date(2026, 12, 25) + MOVED, date(2027, 1, 1) + MOVED} <= closed
    assert place.holidays is None


def test_one_adults_part(tmp_path: Path) -> None:
    case = random_case(5, learners=2, targets=2, adults=3, staff=1, oddity=0)
    folder = write_case(case, tmp_path / "case")
    kept = workflow.keep(folder, WEEK, None, NOW, silent)
    sittings = {s.adult for s in (d.sitting for d in kept.differences if hasattr(d, "sitting"))} or set(
        case.adults
    )
    adult = sorted(a for a in sittings if not a.startswith("staff"))[0]
    done = workflow.share_part(folder, adult, tmp_path / "part", NOW)
    assert set(done.files) >= {f"{WEEK}/calendar.ics", f"{WEEK}/week.html"}
    text = b"".join(p.read_bytes() for p in (tmp_path / "part").rglob("*") if p.is_file()).decode()
    own = adult.split("-")[1]
    others = [a.name for a in case.adults.values() if a.id != adult]
    strangers = [x for x in case.learners.values() if not x.id.endswith(own)]
    assert case.adults[adult].name in text
    assert [n for n in others if n in text] == []
    assert [x.alias for x in strangers if x.alias in text] == []
    assert [x for x in case.learners if x in text] == []


def test_a_packed_part_is_the_same_each_time(tmp_path: Path) -> None:
    case = random_case(3)
    folder = write_case(case, tmp_path / "case")
    workflow.keep(folder, WEEK, None, NOW, silent)
    adult = next(iter(case.adults))
    files = workflow.share_part(folder, adult, tmp_path / "a.zip", NOW).files
    workflow.share_part(folder, adult, tmp_path / "b.zip", NOW)
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()
    with ZipFile(BytesIO((tmp_path / "a.zip").read_bytes())) as packed:
        assert sorted(packed.namelist()) == sorted(files)


def test_what_cannot_be_shared_is_a_sentence(tmp_path: Path) -> None:
    folder = write_case(random_case(3), tmp_path / "case")
    with pytest.raises(UsageError, match="No week was kept"):
        workflow.share_part(folder, "staff-1", tmp_path / "out", NOW)
    with pytest.raises(UsageError, match="no adult 'staff-9'; did you mean"):
        workflow.share_part(folder, "staff-9", tmp_path / "out", NOW)
    with pytest.raises(FileError, match="lies in the case folder"):
        workflow.share_copy(folder, folder / "out", NOW, silent)
    (folder / "broken.yaml").write_text("a: [", encoding="utf-8")
    with pytest.raises(CaseError, match=r"broken\.yaml"):
        workflow.share_copy(folder, tmp_path / "out", NOW, silent)
    assert not (tmp_path / "out").exists()


def test_the_words_typed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = write_case(random_case(3), tmp_path / "case")
    assert main(["share", str(folder), "--out", str(tmp_path / "x")]) == 2
    assert main(["share", str(folder), "--adult", "a", "--for-help", "--out", str(tmp_path / "x")]) == 2
    assert (
        main(["share", str(folder), "--for-help", "--out", str(tmp_path / "x"), "--now", "2026-11-29T12:00"])
        == 0
    )
    told = capsys.readouterr().out
    found = re.search(r"Your week 2026-W49 is (\S+) in it", told)
    assert found
    assert found[1] in (tmp_path / "x" / "ABOUT.txt").read_text("utf-8")
