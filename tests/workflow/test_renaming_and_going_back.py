"""An id changed everywhere at once, and every change undone."""

from __future__ import annotations

import errno
import json
import os
import shutil
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from genplan import files, folders, workflow
from genplan.case import Week
from genplan.case.sitting_ids import mark_of
from genplan.casefile import edit, load
from genplan.casefile.earlier import MOST, states
from genplan.casefile.keys import CASE as CASE_KEYS
from genplan.casefile.renaming import Renaming, renamed_file
from genplan.casefile.tree import Leaf
from genplan.errors import CaseError, FileError, UsageError
from genplan.evidence.append_rows import results_locked
from genplan.keeping.renaming import renamed_table
from genplan.keeping.store import kept_bytes, read_kept
from genplan.keeping.told import KeptWeek
from genplan.workflow.going_back import gone_back_words

NOW = datetime(2026, 11, 29, 12)
WEEK = Week(2026, 49)
CASE = """\
# the family
format: 1
timezone: Europe/Dublin
learners:
  wren: {name: Wren, free: {sat: "09:00-12:00"}}   # mum's eldest
adults:
  # whom he knows best
  mum: {name: Mum, free: {sat: "09:00-12:00"}, learners: [wren]}
  dad: {name: Dad, free: {sat: "09:00-12:00"}, locations: [home]}
locations:
  home: {name: Home}
  park: {name: Park}
travel_minutes: {routes: [{between: [home, park], minutes: 5}]}
material_sets:
  cups: {name: Cups, small_parts: no, kept_at: [home]}
targets:
  asks:
    learner: wren
    correct_when: mum hears it
    taught:
      - {adult: mum, location: home, material_set: cups}
    adults: [mum, dad]
    generalised_when: {adults: 2, with: [{adult: mum}]}
    also_vary: {who: [mum, dad]}
    maintenance_days: []
changes:
  - {away: mum, from: 2026-12-05, note: mum is ill}
  - {not: 2026-W49-sat-mum-b1e}
"""
RESULTS = """\
date,target,kind,adult,location,material_set,trials,correct,observer,note,who
2026-11-21,asks,probe,mum,home,cups,5,4,dad,mum said so,mum
2026-11-22,asks,probe,dad,home,cups,5,4,mum,"one, two
mum",dad
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "case.yaml").write_text(CASE, "utf-8")
    (tmp_path / "results.csv").write_text(RESULTS, "utf-8")
    return tmp_path


def test_an_id_is_changed_where_ids_stand_and_nowhere_else(folder: Path) -> None:
    """Words, values of further dimensions and remarks that only sound like it stay as they are."""
    renamed = workflow.rename(folder, "adults", "mum", "Mama Bär", NOW)
    assert (renamed.id, renamed.files) == ("mama-baer", ("case.yaml", "results.csv"))
    places = (
        "  mum: {name: Mum,",
        "{adult: mum,",
        "[mum, dad]\n    gen",
        "[{adult: mum}]",
        "{away: mum,",
        "-sat-mum-",
    )
    wanted = CASE
    for place in places:
        assert wanted.count(place) == 1
        wanted = wanted.replace(place, place.replace("mum", "mama-baer").replace("Mum", "Mama Bär"))
    assert (folder / "case.yaml").read_text("utf-8") == wanted
    rows = RESULTS.replace("probe,mum,", "probe,mama-baer,").replace(",4,mum,", ",4,mama-baer,")
    assert (folder / "results.csv").read_text("utf-8") == rows


@pytest.mark.parametrize("section", ["learners", "locations", "material_sets", "targets"])
def test_each_kind_of_thing_can_be_called_otherwise(folder: Path, section: str) -> None:
    before = load(folder)
    assert before.case is not None
    old = next(iter(getattr(before.case, section)))
    renamed = workflow.rename(folder, section, old, "Quite Another", NOW)
    after = load(folder)
    assert after.case is not None
    assert renamed.id == "quite-another" in getattr(after.case, section)
    assert old not in getattr(after.case, section)
    assert [f.found for f in after.findings] == [f.found for f in before.findings]
    assert workflow.check(folder, NOW) == ()


@pytest.mark.skipif(
    "groups" not in CASE_KEYS, reason="this version of the format says nothing once for several"
)
def test_what_is_said_once_for_several_goes_along(folder: Path) -> None:
    text = CASE.replace("    adults: [mum, dad]\n", "    adults: [grown]\n    like: shared\n")
    text += "groups: {grown: [mum, dad]}\nskills: {shared: {never: [{adult: mum, location: park}]}}\n"
    text += "defaults: {targets: {hold_out: [{adult: mum, location: park}]}}\n"
    (folder / "case.yaml").write_text(text, "utf-8")
    workflow.rename(folder, "adults", "mum", "Nan", NOW)
    last = (folder / "case.yaml").read_text("utf-8").splitlines()[-3:]
    assert last == [
        "groups: {grown: [nan, dad]}",
        "skills: {shared: {never: [{adult: nan, location: park}]}}",
        "defaults: {targets: {hold_out: [{adult: nan, location: park}]}}",
    ]
    assert load(folder).case is not None


def test_what_cannot_be_renamed_is_told(folder: Path) -> None:
    with pytest.raises(UsageError, match="has no adult 'nan'"):
        workflow.rename(folder, "adults", "nan", "Nan", NOW)
    with pytest.raises(UsageError, match="What is the adult to be called"):
        workflow.rename(folder, "adults", "mum", "  ", NOW)
    renamed = workflow.rename(folder, "adults", "mum", "Dad", NOW)
    assert (renamed.id, renamed.namesake) == ("dad-2", "dad")
    assert renamed.sentences[0].startswith("'dad' has that name as well.")
    assert states(folder)[0].words == "adult Mum is called Dad now"
    assert workflow.rename(folder, "adults", "dad-2", "Mum", NOW).sentences == ()


@pytest.mark.parametrize(
    ("beside", "problem", "sentence"),
    [
        (
            b"groups: {staff: [mum,  # first\n  dad]}\n",
            FileError,
            "more.yaml, line 1: remarks stand inside the brackets",
        ),
        (b"groups: [a\nb: {\n", CaseError, "more.yaml:1: a bracket"),
        (b"other_hazards: [caf\xe9]\n", CaseError, "more.yaml:1: .* not UTF-8"),
    ],
)
def test_a_file_in_which_nothing_can_be_renamed_is_told(
    folder: Path, beside: bytes, problem: type[Exception], sentence: str
) -> None:
    (folder / "more.yaml").write_bytes(beside)
    before = {p.name: p.read_bytes() for p in folder.iterdir()}
    with pytest.raises(problem, match=sentence):
        workflow.rename(folder, "adults", "mum", "Nan", NOW)
    assert {name: (folder / name).read_bytes() for name in before} == before
    assert states(folder) == ()


def test_a_kept_week_goes_along_and_its_events_keep_their_names(tmp_path: Path) -> None:
    folder = tmp_path / "case"
    shutil.copytree(Path(__file__).parents[1] / "keeping" / "frozen", tmp_path / "frozen")
    shutil.copytree(next(p for p in (tmp_path / "frozen").rglob("case.yaml")).parent, folder)
    told = next(folder.glob("weeks/*/told.json"))
    before = json.loads(told.read_text("utf-8"))["sittings"]
    adult = before[0]["adult"]
    now = datetime.fromisoformat(before[0]["start"]).replace(tzinfo=None)
    workflow.rename(folder, "adults", adult, "Somebody", now)
    after = json.loads(told.read_text("utf-8"))["sittings"]
    assert {s["adult"] for s in before if s["adult"] == adult} == {adult}
    assert all(s["adult"] != adult and f"-{adult}-" not in s["id"] for s in after)
    assert [s["event"] for s in after] == [s["event"] for s in before]
    case = load(folder).case
    assert case is not None
    assert read_kept(folder, Week.parse(told.parent.name), case) is not None


def test_a_row_in_which_nothing_changes_stays_to_the_byte() -> None:
    head = "\ufeffdate;target;adult;location;material_set;kind;trials;correct\r\n"
    text = head + '"x";"asks"; dad ; home;c;p;5;4\r\n1;b;mum;h;c;p;5;4'
    fresh = renamed_table(text.encode("utf-8"), Renaming("adults", "mum", "ma"))
    assert fresh.decode("utf-8") == text.replace(";mum;", ";ma;")


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r", ""])
@pytest.mark.parametrize("within", ["\n", "\r\n", "\r"])
def test_a_note_of_several_lines_stays_one_cell(ending: str, within: str) -> None:
    text = f'target,adult,location,note\na,mum,h,"one{within}two"{ending}'
    fresh = renamed_table(text.encode("utf-8"), Renaming("adults", "mum", "ma"))
    assert fresh.decode("utf-8") == text.replace("mum", "ma")


def test_two_children_of_one_mark_keep_the_ids_of_their_sittings() -> None:
    """Of the first the mark is known to be hers; of the second nobody can tell."""
    renaming = Renaming("learners", "wren", "robin", ("wren",))
    mark = "2026-W49-sat-mum-"
    assert renaming.sitting(f"{mark}{mark_of('wren')}-b") == f"{mark}{mark_of('robin')}-b"
    assert (
        Renaming("learners", "wren", "robin", ()).sitting(f"{mark}{mark_of('wren')}")
        == f"{mark}{mark_of('wren')}"
    )
    assert renamed_file("a.yaml", b"format: 1\n", renaming) == b"format: 1\n"


def put(folder: Path, name: str, minute: int = 0) -> None:
    thing = edit.thing(folder, ("adults", "dad"))
    assert isinstance(thing.node, dict)
    record = {**thing.node, "name": Leaf(name, False)}
    workflow.put_thing(folder, ("adults", "dad"), record, thing.digest, NOW.replace(minute=minute))


def test_every_change_can_be_undone_and_that_too(folder: Path) -> None:
    put(folder, "Papa")
    workflow.change(folder, workflow.ChangeRequest("closed", "park", datetime(2026, 12, 5)), NOW)
    workflow.rename(folder, "adults", "mum", "Nan", NOW)
    results = (folder / "results.csv").read_text("utf-8")
    (folder / "results.csv").write_text(results + "2026-11-23,asks,probe,nan,home,cups,5,5,,,mum\n", "utf-8")
    found = workflow.earlier_states(folder)
    assert [s.words for s in found] == [
        "adult Mum is called Nan now",
        "Park is closed, Saturday 5 December",
        "adult Papa changed",
    ]
    assert found[0].when == NOW
    then = (folder / "case.yaml").read_text("utf-8")
    workflow.go_back(folder, found[-1].number, NOW)
    assert (folder / "case.yaml").read_text("utf-8") == CASE
    # the rows stay, the later one too, with the id of then
    rows = (folder / "results.csv").read_text("utf-8")
    assert rows == RESULTS + "2026-11-23,asks,probe,mum,home,cups,5,5,,,mum\n"
    undone = workflow.earlier_states(folder)[0]
    assert undone.words == "went back to before “adult Papa changed”"
    workflow.go_back(folder, undone.number, NOW)
    assert (folder / "case.yaml").read_text("utf-8") == then
    assert "nan,home,cups,5,5" in (folder / "results.csv").read_text("utf-8")


@pytest.mark.parametrize(
    ("kept", "week", "told"),
    [(NOW + timedelta(hours=1), WEEK, True), (NOW - timedelta(hours=1), WEEK, False),
     (NOW + timedelta(hours=1), Week.of(NOW.date() - timedelta(days=7)), False)],
)  # fmt: skip
def test_going_back_names_the_kept_week_that_was_planned_with_what_is_undone(
    folder: Path, kept: datetime, week: Week, told: bool
) -> None:
    put(folder, "Papa", NOW.minute)
    case = load(folder).case
    assert case is not None
    kept_at = folder / "weeks" / str(week)
    kept_at.mkdir(parents=True)
    moment = kept.replace(tzinfo=case.timezone)
    (kept_at / "told.json").write_bytes(kept_bytes(KeptWeek(week, moment, ()), case))
    done = workflow.go_back(folder, states(folder)[0].number, NOW + timedelta(hours=2))
    assert done.planned == ((week,) if told else ())
    assert len(done.sentences) == told


def test_a_week_kept_in_the_minute_of_the_change_may_have_been_planned_with_it(folder: Path) -> None:
    put(folder, "Papa", NOW.minute)
    case = load(folder).case
    assert case is not None
    place = folder / "weeks" / str(WEEK)
    place.mkdir(parents=True)
    (place / "told.json").write_bytes(kept_bytes(KeptWeek(WEEK, NOW.replace(tzinfo=case.timezone), ()), case))
    done = workflow.go_back(folder, states(folder)[0].number, NOW + timedelta(hours=2))
    assert (done.planned, done.maybe) == ((), (WEEK,))
    assert "may have been planned with what is undone now" in done.sentences[0]


def test_a_kept_week_that_fits_again_is_not_to_be_planned_again(folder: Path) -> None:
    """Kept without a change; the change is made, and undone by going back to before one, or to before another."""

    def kept_at(hours: int) -> None:
        case = load(folder).case
        assert case is not None
        place = folder / "weeks" / str(WEEK)
        place.mkdir(parents=True, exist_ok=True)
        moment = (NOW + timedelta(hours=hours)).replace(tzinfo=case.timezone)
        (place / "told.json").write_bytes(kept_bytes(KeptWeek(WEEK, moment, ()), case))

    def back(number: int, hours: int) -> bool:
        return workflow.go_back(folder, number, NOW + timedelta(hours=hours)).planned == (WEEK,)

    put(folder, "Papa")  # change 1
    kept_at(1)
    assert back(1, 2)  # change 2: planned with Papa
    assert not back(2, 3)  # change 3: Papa again, as it was planned
    assert back(3, 4)  # change 4: without Papa, and planned with him, though it was kept long before change 3
    kept_at(5)
    assert back(4, 6)  # change 5: Papa again, and planned without him
    assert not back(1, 7)  # without him again: though it was kept long after change 1


def test_only_so_many_states_are_kept(folder: Path) -> None:
    for minute in range(MOST + 3):
        put(folder, f"Papa {minute}", minute % 60)
    found = states(folder)
    assert (len(found), found[-1].when.minute) == (MOST, 3)
    with pytest.raises(UsageError, match="not kept any more"):
        workflow.go_back(folder, 1, NOW)


def test_a_state_in_between_that_is_broken_is_not_passed_over(folder: Path) -> None:
    """What only that one holds would stay as it is now."""
    for minute in range(3):
        put(folder, f"Papa {minute}", minute)
    then = (folder / "case.yaml").read_bytes()
    (folder / ".earlier" / "000002" / "about.json").write_text("{", "utf-8")
    with pytest.raises(
        FileError, match=r"000002 does not hold what .*Nothing was changed\. Go back to a later"
    ):
        workflow.go_back(folder, 1, NOW)
    assert (folder / "case.yaml").read_bytes() == then
    workflow.go_back(folder, 3, NOW)
    assert b"Papa 1" in (folder / "case.yaml").read_bytes()


def test_a_state_that_the_results_do_not_fit_is_not_gone_back_to(folder: Path) -> None:
    """A skill was added and a row of it written down since."""
    digest = edit.thing(folder, ("targets", "waits")).digest
    record = {"learner": Leaf("wren", True), "correct_when": Leaf("x", False)}
    workflow.put_thing(folder, ("targets", "waits"), record, digest, NOW)
    with (folder / "results.csv").open("a", encoding="utf-8") as file:
        file.write("2026-11-23,waits,probe,mum,home,cups,5,5,,,\n")
    then = (folder / "case.yaml").read_bytes()
    with pytest.raises(CaseError, match="waits"):
        workflow.go_back(folder, workflow.earlier_states(folder)[0].number, NOW)
    assert (folder / "case.yaml").read_bytes() == then
    assert len(workflow.earlier_states(folder)) == 1


def test_what_fails_or_changes_nothing_leaves_no_state(folder: Path) -> None:
    put(folder, "Dad")
    with pytest.raises(CaseError):
        workflow.put_thing(folder, ("adults", "mum"), None, edit.thing(folder, ("adults", "mum")).digest, NOW)
    assert states(folder) == ()


def test_a_state_that_was_tampered_with_is_none(folder: Path) -> None:
    put(folder, "Papa")
    about = folder / ".earlier" / "000001" / "about.json"
    known = about.read_text("utf-8")
    about.write_text(known.replace('"case.yaml"', '"../case.yaml"'), "utf-8")
    assert dict(states(folder)[0].files) == {}
    for broken in ("{", "[" * 100_000, known.replace("Papa", "\\udcff")):
        about.write_text(broken, "utf-8")
        assert states(folder) == ()
    about.write_text(known.replace('"case.yaml"', '"a\\u0000.yaml"'), "utf-8")
    assert dict(states(folder)[0].files) == {}


def test_a_copy_that_is_gone_is_not_taken_for_a_file_that_was_not_there(folder: Path) -> None:
    """Going back to such a state would take the file away."""
    put(folder, "Papa")
    (folder / ".earlier" / "000001" / "case.yaml").unlink()
    assert states(folder) == ()


def test_nothing_is_written_or_taken_away_behind_a_symlink(folder: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    (elsewhere / "unfinished").mkdir(parents=True)
    (folder / ".earlier").symlink_to(elsewhere)
    with pytest.raises(FileError, match=r"\.earlier is a symlink.* Nothing was changed"):
        put(folder, "Papa")
    assert (folder / "case.yaml").read_text("utf-8") == CASE
    assert [p.name for p in elsewhere.rglob("*")] == ["unfinished"]


def test_what_could_not_be_undone_is_not_done(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file lies where the states would, or the disk is full: the change is refused, and nothing is left behind."""
    (folder / ".earlier").write_text("mine", "utf-8")
    with pytest.raises(FileError, match=r"cannot be put aside in .*\.earlier: .* nothing was changed"):
        put(folder, "Papa")
    assert (folder / ".earlier").read_text("utf-8") == "mine"
    (folder / ".earlier").unlink()

    def full(path: Path, data: bytes) -> None:
        path.write_bytes(data[: len(data) // 2])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr("genplan.casefile.earlier.write_new", full)
        with pytest.raises(FileError, match=r"\.earlier: no room is left on the disk"):
            put(folder, "Papa")
    assert (folder / "case.yaml").read_text("utf-8") == CASE
    assert not (folder / ".earlier").exists()
    put(folder, "Papa")
    assert len(states(folder)) == 1


def test_a_symlink_in_the_place_of_an_unfinished_state_is_taken_away_alone(folder: Path) -> None:
    elsewhere = folder / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "mine").touch()
    (folder / ".earlier").mkdir()
    (folder / ".earlier" / "unfinished").symlink_to(elsewhere)
    put(folder, "Papa")
    assert [p.name for p in elsewhere.iterdir()] == ["mine"]
    assert [p.name for p in (folder / ".earlier").iterdir()] == ["000001"]


@pytest.mark.parametrize("back", [False, True])
def test_what_a_killed_run_left_of_a_state_is_cleared_at_the_next_change(folder: Path, back: bool) -> None:
    if back:
        put(folder, "Papa")
    left = folder / ".earlier" / "unfinished"
    left.mkdir(parents=True)
    (left / "case.yaml").write_text("half", "utf-8")
    if back:
        workflow.go_back(folder, 1, NOW)
    else:
        mum = ("adults", "mum")
        with pytest.raises(CaseError):
            workflow.put_thing(folder, mum, None, edit.thing(folder, mum).digest, NOW)
    found = sorted(p.name for p in folder.rglob("*") if p.parent == folder / ".earlier")
    assert found == (["000001", "000002"] if back else [])
    assert (folder / ".earlier").exists() is back


def test_remarks_in_an_item_of_several_lines_stay(folder: Path) -> None:
    taught = "      - {adult: mum, location: home, material_set: cups}\n"
    lines = (
        "      - adult: mum  # at first\n        # red\n        location: home\n        material_set: cups\n"
    )
    (folder / "case.yaml").write_text(CASE.replace(taught, lines), "utf-8")
    workflow.rename(folder, "adults", "mum", "Nan", NOW)
    assert lines.replace("mum", "nan") in (folder / "case.yaml").read_text("utf-8")


def test_the_name_of_a_group_is_no_free_id(folder: Path) -> None:
    (folder / "case.yaml").write_text(CASE + "groups: {nan: [mum, dad]}\n", "utf-8")
    assert workflow.rename(folder, "adults", "mum", "Nan", NOW).id == "nan-2"
    assert "groups: {nan: [nan-2, dad]}" in (folder / "case.yaml").read_text("utf-8")


@pytest.mark.parametrize("back", [False, True])
def test_nobody_writes_a_row_down_meanwhile(
    folder: Path, monkeypatch: pytest.MonkeyPatch, back: bool
) -> None:
    """A row that came between reading the results and writing them would be lost."""
    put(folder, "Papa")
    monkeypatch.setattr(files, "LOCK_SECONDS", 0.1)
    then = (folder / "case.yaml").read_bytes()
    verb, *words = (workflow.go_back, 1) if back else (workflow.rename, "adults", "mum", "Nan")
    with results_locked(folder), pytest.raises(FileError, match="in use by another run"):
        verb(folder, *words, NOW)
    assert (folder / "case.yaml").read_bytes() == then


def test_who_breaks_it_off_finds_all_as_it_was(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put_in_place = folders.replace_file

    def broken_off(path: Path, data: bytes, *, alone: bool) -> None:
        put_in_place(path, data, alone=alone)
        monkeypatch.undo()
        raise KeyboardInterrupt

    monkeypatch.setattr(folders, "replace_file", broken_off)
    with pytest.raises(KeyboardInterrupt):
        workflow.rename(folder, "adults", "mum", "Nan", NOW)
    assert (folder / "case.yaml").read_text("utf-8") == CASE
    assert (folder / "results.csv").read_text("utf-8") == RESULTS


def test_going_back_again_and_again_is_told_once() -> None:
    once = gone_back_words("a day off")
    assert gone_back_words(once) == once == "went back to before “a day off”"
