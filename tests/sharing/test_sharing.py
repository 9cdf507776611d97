"""`genplan share`: nothing of others in one adult's part, and no word of a case in a copy that plans the same."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
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

from genplan import workflow
from genplan.case import Birth, Week
from genplan.casefile import load
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.folder import read_folder
from genplan.casefile.privacy import How
from genplan.casefile.record_types import KNOWN, Key
from genplan.casefile.scalar_types import text
from genplan.cli import main
from genplan.errors import CaseError, FileError, UsageError
from genplan.evidence.log import Result, ResultKind
from genplan.sharing.anonymous_copy import HORIZON, possible_shifts, reason_or_number
from genplan.sharing.pseudonyms import pseudonyms_of
from genplan.sharing.redaction import change_of, complete_from, moved_birth
from tests.fixtures import builders as b
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.random_cases import FAMILY, NOW, WEEK, document, random_case, random_log, write_case

SHIFT = -321
SECRET = 20261129
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
    workflow.share_copy(folder, out, now, silent, shift, SECRET)
    return out


def worth(folder: Path, week: Week, now: datetime) -> list[tuple[object, ...]]:
    """What the plan of the week is worth, objective by objective, and what is proven of it."""
    plan = workflow.plan(folder, week, now, None, silent).plan
    assert plan.sittings, "a week without a sitting shows nothing"
    return [(o.name, o.value, o.bound, o.status) for o in plan.objectives]


def shifted(week: Week, weeks: int = SHIFT) -> Week:
    return Week.of(week.monday + timedelta(weeks=weeks))


@pytest.mark.parametrize("seed", by_day_the_first([11, 3]))
def test_a_copy_is_planned_to_a_week_of_the_same_worth(tmp_path: Path, seed: int) -> None:
    case = random_case(seed, **FAMILY)
    folder = write_case(case, tmp_path / "case", random_log(case, seed))
    shift = next(w for w in possible_shifts(case, NOW.date()) if w % 7 == 3)
    copy = copied(folder, shift=shift)
    theirs = worth(copy, shifted(WEEK, shift), NOW + timedelta(weeks=shift))
    assert theirs == worth(folder, WEEK, NOW)


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


@settings(max_examples=15)
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
    from tests.fixtures.commands_that_write import CASE as TEXT

    folder = tmp_path / "case"
    folder.mkdir()
    old, new = BROKEN[what]
    assert old in TEXT
    (folder / "case.yaml").write_text(TEXT.replace(old, new, 1), encoding="utf-8")
    copy = copied(folder)
    disguise = pseudonyms_of(read_folder(folder, Diagnostics("")), MOVED, SECRET)

    def shapes(findings: Any, ours: bool) -> list[tuple[str, str]]:
        known = {i: n for ids in disguise.ids.values() for i, n in ids.items()} if ours else {}
        keys = (".".join(known.get(part, part) for part in f.key.split(".")) for f in findings)
        odd = (re.sub("fre$|unknown-key-1", "?", k) for k in keys)
        return sorted(zip((f.severity.value for f in findings), odd, strict=True))

    assert shapes(load(copy).findings, False) == shapes(load(folder).findings, True)


def test_every_key_of_the_format_says_what_becomes_of_it() -> None:
    """A key cannot be made without saying so, a text never stays as it is, and each has its change."""
    with pytest.raises(TypeError):
        Key(text(), "a key that says nothing of it", form=None)  # type: ignore[call-arg]
    for thing, keys in KNOWN.items():
        for name, key in keys.items():
            assert callable(change_of(key)), (thing, name)
            free_text = key.kind.expects == text().expects
            assert not free_text or key.copy.how in (How.TEXT, How.CALENDAR), (thing, name)
            if key.copy.how is How.OUT:
                continue
            assert (key.copy.how in (How.GROUP, How.GROUPS_MIXED, How.SECTION, How.POLICY)) == (
                key.kind.keys is not None
            ), (thing, name)


def test_a_birth_becomes_a_month_that_is_near_it() -> None:
    births = [Birth(2021, 4, 12), Birth(2020, 2, 29), Birth(2023, 12, 31), Birth(2024, 1, 1), Birth(2022, 2)]
    for born in births:
        for weeks in range(-1040, -103):
            moved = moved_birth(born, timedelta(weeks=weeks))
            assert moved.day is None
            # the middle of a month of 31 days is 15 days from its first and 16 from the next one's
            off = complete_from(moved) - (complete_from(born) + timedelta(weeks=weeks))
            assert abs(off.days) <= 15


def test_no_day_of_birth_is_in_a_copy(tmp_path: Path) -> None:
    case = random_case(3)
    folder = write_case(case, tmp_path / "case")
    text = (folder / "case.yaml").read_text("utf-8")
    exact = re.sub(r"born: .*", "born: 2021-04-12", text)
    assert exact != text
    (folder / "case.yaml").write_text(exact, encoding="utf-8")
    made = load(copied(folder)).case
    assert made
    assert [x.born.day for x in made.learners.values() if x.born] == [None] * len(case.learners)


def test_an_age_decides_the_same_on_every_day_of_the_horizon() -> None:
    case = random_case(3)
    learner = next(iter(case.learners.values()))
    # 36 months are complete on 10 December 2026, within the horizon: a first of a month has to fall on that day
    young = replace(case, learners={learner.id: replace(learner, born=Birth(2023, 12, 10))})
    shifts = possible_shifts(young, NOW.date())
    assert 20 < len(shifts) < 50
    for weeks in shifts:
        born, shift = moved_birth(Birth(2023, 12, 10), timedelta(weeks=weeks)), timedelta(weeks=weeks)
        for days in HORIZON:
            day = NOW.date() + timedelta(days)
            ours = Birth(2023, 12, 10).age_months(day) >= 36
            assert (born.age_months(day + shift) >= 36) == ours


def test_numbers_are_drawn_by_lot() -> None:
    """Twelve children: with 600 lots each is each number some 50 times."""
    tree: dict[str, Any] = {"learners": {f"child-{n:02d}": {} for n in range(12)}}
    drawn = Counter(
        pair for secret in range(600) for pair in pseudonyms_of(tree, MOVED, secret).ids["learners"].items()
    )
    assert len(drawn) == 144
    # 600 draws of 1 in 12: 50 on average, with a standard deviation of 6.8
    assert 20 < min(drawn.values()) <= max(drawn.values()) < 80


def test_the_order_of_a_copy_gives_no_name_away(tmp_path: Path) -> None:
    """Every section and every list of ids stands in the order of the new words, and so do the numbers of the names."""
    case = random_case(5, learners=12, targets=2, adults=3, staff=4, oddity=0.5)
    folder = write_case(case, tmp_path / "case")
    tree = yaml.safe_load((folder / "case.yaml").read_text("utf-8"))
    tree["adults"]["staff-1"]["learners"] = sorted(case.learners)
    (folder / "case.yaml").write_text(yaml.safe_dump(tree), encoding="utf-8")
    copy = copied(folder)
    new = pseudonyms_of(read_folder(folder, Diagnostics("")), MOVED, SECRET).ids
    for section in ("learners", "targets", "adults"):
        assert [new[section][id_] for id_ in sorted(new[section])] != sorted(new[section].values())
    made = yaml.safe_load((copy / "case.yaml").read_text("utf-8"))
    for section, ids in new.items():
        assert list(made[section]) == sorted(ids.values())
    known = {id_ for ids in new.values() for id_ in ids.values()}
    lists = [found for found in lists_in(made) if set(found) <= known and len(found) > 1]
    assert max(map(len, lists)) >= 12
    assert [found for found in lists if found != sorted(found)] == []
    numbers = [int(x["name"].split()[-1]) for x in made["learners"].values()]
    assert numbers == sorted(numbers)


def lists_in(node: Any) -> Iterator[list[str]]:
    parts = node.values() if isinstance(node, dict) else node if isinstance(node, list) else ()
    if isinstance(node, list) and all(isinstance(part, str) for part in node):
        yield node
    for part in parts:
        yield from lists_in(part)


def test_two_copies_have_no_lot_in_common(tmp_path: Path) -> None:
    folder = write_case(random_case(5, learners=12, targets=2), tmp_path / "case")
    for name in ("one", "other"):
        workflow.share_copy(folder, tmp_path / name, NOW, silent, SHIFT)
    one, other = ((tmp_path / name / "case.yaml").read_bytes() for name in ("one", "other"))
    # that twelve children are drawn alike twice: 1 in 12! = 479,001,600
    assert one != other


def test_what_can_still_be_found_out_is_said(tmp_path: Path) -> None:
    about = (copied(write_case(random_case(3), tmp_path / "case")) / "ABOUT.txt").read_text("utf-8")
    told = " ".join(about.split())
    for words in (
        "drawn by lot",
        "public holidays",
        "by how much the dates were moved",
        "off by half a month",
    ):
        assert words in told


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
    with pytest.raises(UsageError, match="No kept week is still ahead"):
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


@pytest.mark.parametrize(
    ("kind", "note", "kept"),
    [
        ("not run", "Refused: he hid under the table", "refused"),
        ("not run", "ill", "ill"),
        ("not run", "the car broke down", "note 1"),
        ("not run", "", ""),
        ("teaching", "refused, at first", "note 1"),
    ],
)
def test_of_a_note_only_that_the_reason_was_the_childs_stays(kind: str, note: str, kept: str) -> None:
    """It counts apart, so a copy without it would say of an adult what is the child's."""

    class Numbers:
        def text(self, what: str, text: str) -> str:
            return f"{what}1"

    row = Result(
        line=2,
        date=date(2026, 11, 2),
        time=None,
        target="t",
        kind=ResultKind(kind),
        combination=("mum", "home", "cups"),
        note=note,
    )
    assert reason_or_number(b.a_case(), row, Numbers()) == kept  # type: ignore[arg-type]
