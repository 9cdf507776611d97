"""Keep, change, plan again, keep: what people were told stays where it can, and calendars follow without doubles."""

from __future__ import annotations

import json
import shutil
import subprocess
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import vobject

from genplan import workflow
from genplan.cli import main
from genplan.errors import FileError, UsageError
from genplan.keeping.differences import Change
from genplan.keeping.revision import bare_name
from genplan.keeping.store import read_kept
from genplan.plan import NoteKind
from genplan.text.notes import remarks
from genplan.workflow import ChangeRequest
from tests.fixtures.places import READERS
from tests.fixtures.small_case import SUNDAY, WEDNESDAY, WEEK, silent, small_case

NO_NODE = not (shutil.which("node") and (READERS / "node_modules" / "ical.js").is_dir())


@pytest.fixture(scope="module")
def kept_case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = small_case(tmp_path_factory.mktemp("kept") / "case")
    done = workflow.keep(folder, WEEK, None, SUNDAY, silent)
    assert done.first
    assert {d.change for d in done.differences} == {Change.ADDED}
    return folder


def calendar(case: Path, name: str = "all") -> bytes:
    return (case / "weeks" / str(WEEK) / "calendars" / f"{name}.ics").read_bytes()


def told(case: Path) -> Any:
    kept = read_kept(case, WEEK, workflow.open_case(case, SUNDAY).case)
    assert kept
    return kept


def files(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_planning_a_kept_week_again_changes_nothing_and_keeping_it_again_neither(case: Path) -> None:
    before = files(case / "weeks" / str(WEEK))
    outcome = workflow.plan(case, WEEK, WEDNESDAY, None, silent)
    assert outcome.differences == ()
    assert [t.sequence for t in outcome.told] == [1] * len(outcome.told)
    again = workflow.keep(case, WEEK, None, WEDNESDAY, silent)
    assert again.differences == ()
    assert files(case / "weeks" / str(WEEK)) == before


def test_the_kept_plan_of_out_is_what_is_told(tmp_path: Path) -> None:
    case = small_case(tmp_path / "case")
    out = tmp_path / "out"
    workflow.plan(case, WEEK, SUNDAY, out, silent)
    workflow.keep(case, None, out, SUNDAY, silent)
    assert (case / "weeks" / str(WEEK) / "plan.csv").read_bytes() == (out / "plan.csv").read_bytes()
    for name in ("all", "adult-gran", "learner-lark"):
        proposed = (out / "calendars" / f"{name}.ics").read_bytes()
        assert calendar(case, name).count(b"STATUS:CONFIRMED") == proposed.count(b"STATUS:TENTATIVE") > 0
        assert b"Fernwhistle" not in calendar(case, name)


def test_an_adult_is_ill_from_now_and_only_that_adults_sittings_go(case: Path) -> None:
    before = told(case).sittings
    sentence = workflow.change(
        case, ChangeRequest("away", "gran", end=datetime(2026, 12, 5), note="a cold"), WEDNESDAY
    )
    assert sentence.endswith(": Gran is away, Wednesday 2 December from 12:00 to Friday 4 December (a cold).")
    outcome, kept = workflow.replan(case, None, WEDNESDAY, None, True, silent)
    assert kept
    past = [s for s in before if s.start.replace(tzinfo=None) < WEDNESDAY]
    others = [s for s in before if s.adult != "gran" and s not in past]
    now = {s.id: s for s in outcome.plan.sittings}
    assert past
    assert all(now[s.id].start == s.start and now[s.id].probes == s.probes for s in past)
    assert all(now[s.id].start == s.start for s in others)
    assert not [s for s in outcome.plan.sittings if s.adult == "gran" and not s.begun]
    gone = [t for t in told(case).told if t.cancelled]
    assert {t.sitting.adult for t in gone} == {"gran"}
    assert {t.sequence for t in gone} == {3}
    assert b"STATUS:CANCELLED" not in calendar(case, "adult-mum")
    assert calendar(case, "adult-gran").count(b"STATUS:CANCELLED") == len(gone)


def test_a_child_at_home_today_a_place_closed_and_an_hour_more(case: Path) -> None:
    workflow.change(case, ChangeRequest("away", "lark"), WEDNESDAY)
    workflow.change(case, ChangeRequest("closed", "yard", datetime(2026, 12, 3)), WEDNESDAY)
    workflow.change(case, ChangeRequest("extra", "gran", hours="fri 17:00-18:00"), WEDNESDAY)
    opened = workflow.open_case(case, WEDNESDAY)
    assert opened.case.adults["gran"].extra[0].start == datetime(2026, 12, 4, 17)
    plan = workflow.plan(case, WEEK, WEDNESDAY, None, silent).plan
    ahead = [s for s in plan.sittings if not s.begun]
    assert ahead
    assert {s.start.day for s in ahead} <= {3, 4}  # not Wednesday the 2nd
    assert all(s.location == "home" for s in ahead if s.start.day == 3)


def test_hours_offered_once_are_used(tmp_path: Path) -> None:
    # gran has no Tuesday; with mum away on it, only gran's one hour of Tuesday can hold a sitting
    case = small_case(tmp_path)
    workflow.change(case, ChangeRequest("away", "mum", datetime(2026, 12, 1)), SUNDAY)
    without = workflow.plan(case, WEEK, SUNDAY, None, silent).plan
    workflow.change(case, ChangeRequest("extra", "gran", hours="2026-12-01 17:00-17:15"), SUNDAY)
    sittings = workflow.plan(case, WEEK, SUNDAY, None, silent).plan.sittings
    assert [s for s in without.sittings if s.start.day == 1] == []
    assert [(s.adult, f"{s.start:%H:%M}") for s in sittings if s.start.day == 1] == [("gran", "17:00")]
    other_week = workflow.plan(case, WEEK.next(), SUNDAY, None, silent).plan
    assert {s.adult for s in other_week.sittings if s.start.weekday() == 1} <= {"mum"}


@pytest.mark.parametrize(
    ("request_", "words"),
    [
        # the sentence names no line: it would be one of a file that is not there
        (
            ChangeRequest("away", "nobody"),
            "^The case has no adult or learner 'nobody'; it has gran, lark, mum",
        ),
        (ChangeRequest("closed", "gran"), "The case has no location 'gran'; it has home, yard"),
        (ChangeRequest("extra", "gran", hours="teatime"), "'tue 16:00-17:00'"),
        (ChangeRequest("extra", "gran", hours="mon-fri 16:00-17:00"), "not clear"),
        (ChangeRequest("away", "gran", WEDNESDAY, SUNDAY), "and begin only later, on "),
        (
            ChangeRequest("extra", "gran", hours="tue 16:00-17:00"),
            "end on Tuesday 1 December 2026, 17:00, and that is over",
        ),
        (
            ChangeRequest("away", "gran", datetime(2026, 12, 1)),
            "end on Tuesday 1 December 2026, and that is over",
        ),
    ],
)
def test_a_change_that_makes_no_sense_leaves_no_file(case: Path, request_: ChangeRequest, words: str) -> None:
    with pytest.raises(UsageError, match=words):
        workflow.change(case, request_, WEDNESDAY)
    assert not (case / "changes.yaml").exists()


def test_the_same_change_twice_is_refused_and_other_lines_stay(case: Path) -> None:
    (case / "changes.yaml").write_text(
        "# ours\nchanges:\n  - {closed: yard, from: 2026-12-04}", encoding="utf-8"
    )
    workflow.change(case, ChangeRequest("away", "gran", datetime(2026, 12, 3)), WEDNESDAY)
    text = (case / "changes.yaml").read_text(encoding="utf-8")
    assert text.splitlines()[:3] == ["# ours", "changes:", "  - {closed: yard, from: 2026-12-04}"]
    with pytest.raises(UsageError, match="says so already"):
        workflow.change(case, ChangeRequest("away", "gran", datetime(2026, 12, 3)), WEDNESDAY)
    assert (case / "changes.yaml").read_text(encoding="utf-8") == text


@pytest.mark.parametrize(
    ("file", "before", "after"),
    [
        (
            "changes.yaml",
            "# changes: were all over\nformat: 1\n",
            "# changes: were all over\nformat: 1\nchanges:\n  - {0}\n",
        ),
        ("changes.yaml", "changes:   # none yet\nformat: 1", "changes: [{0}]   # none yet\nformat: 1"),
        ("changes.yaml", "changes: []\nformat: 1\n", "changes: [{0}]\nformat: 1\n"),
        (
            "changes.yaml",
            "changes:\n- {closed: yard, from: 2026-12-04}\n\nformat: 1\n",
            "changes:\n- {closed: yard, from: 2026-12-04}\n- {0}\n\nformat: 1\n",
        ),
        (
            "ours.yaml",
            "changes:\n  - {closed: yard, from: 2026-12-04}\n",
            "changes:\n  - {closed: yard, from: 2026-12-04}\n  - {0}\n",
        ),
    ],
)
def test_a_change_goes_under_the_key_wherever_it_stands(
    case: Path, file: str, before: str, after: str
) -> None:
    """A remark that speaks of `changes:` is not the key, and `changes` of another file is not given twice."""
    (case / file).write_text(before, encoding="utf-8")
    sentence = workflow.change(case, ChangeRequest("away", "gran", datetime(2026, 12, 3)), WEDNESDAY)
    line = '{away: gran, from: "2026-12-03 00:00", to: "2026-12-03 24:00"}'
    assert sentence == f"Added to {file}: Gran is away, Thursday 3 December."
    assert (case / file).read_text(encoding="utf-8") == after.replace("{0}", line)
    assert workflow.open_case(case, WEDNESDAY).case.adults["gran"].away


def test_a_past_sitting_written_down_as_not_run_is_owed_again(case: Path) -> None:
    monday = told(case).sittings[0]
    probe = monday.probes[0]
    adult, location, material = probe.combination
    row = f"{monday.start:%Y-%m-%d},,puts-on,not run,{adult},{location},{material},,,,,,she said no"
    head = "date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note"
    # 7 combinations are open, one a day is probed: 2 are left over, and with Monday's not run 3
    assert len(workflow.plan(case, WEEK, WEDNESDAY, None, silent).plan.left_out) == 2
    (case / "results.csv").write_text(f"{head}\n{row}\n", encoding="utf-8")
    outcome = workflow.plan(case, WEEK, WEDNESDAY, None, silent)
    assert len(outcome.plan.left_out) == 3
    assert outcome.differences == ()
    assert monday.id in {bare_name(t.event) for t in outcome.told if not t.cancelled}


def test_an_older_plan_is_not_kept_over_a_newer_one(case: Path, tmp_path: Path) -> None:
    workflow.plan(case, WEEK, SUNDAY, tmp_path / "old", silent)
    workflow.change(case, ChangeRequest("away", "gran", end=datetime(2026, 12, 5)), WEDNESDAY)
    workflow.replan(case, None, WEDNESDAY, None, True, silent)
    before = files(case)
    with pytest.raises(UsageError, match="Plan the week again"):
        workflow.keep(case, None, tmp_path / "old", WEDNESDAY, silent)
    with pytest.raises(UsageError, match="not of 2026-W50"):
        workflow.keep(case, WEEK.next(), tmp_path / "old", WEDNESDAY, silent)
    assert files(case) == before


def test_there_is_nothing_to_replan_where_nothing_was_kept(tmp_path: Path, case: Path) -> None:
    with pytest.raises(UsageError, match="No week was kept"):
        workflow.replan(small_case(tmp_path / "new"), None, SUNDAY, None, False, silent)
    with pytest.raises(UsageError, match="2026-W50 was not kept"):
        workflow.replan(case, WEEK.next(), SUNDAY, None, False, silent)
    with pytest.raises(UsageError, match="is over"):
        workflow.replan(case, WEEK, datetime(2026, 12, 7, 0, 1), None, False, silent)


def said(outcome: workflow.PlanOutcome) -> tuple[str, ...]:
    return remarks(outcome.case, outcome.plan)


def test_weeks_go_on_from_each_other_and_are_tentative(tmp_path: Path) -> None:
    case, out = small_case(tmp_path / "case"), tmp_path / "out"
    outcomes = workflow.plan_weeks(case, WEEK, 3, SUNDAY, out, silent)
    # 2 x 2 x 2 combinations, one was taught: 7 are open, one a day from Monday to Friday
    assert [sum(len(s.probes) for s in o.plan.sittings) for o in outcomes] == [5, 2, 0]
    planned = [p.combination for o in outcomes for s in o.plan.sittings for p in s.probes]
    assert len(set(planned)) == 7
    assert "The probes planned for 2026-W49 are counted as met." in said(outcomes[1])
    assert "The probes planned for 2026-W49 to 2026-W50 are counted as met." in said(outcomes[2])
    assert sorted(p.name for p in out.iterdir()) == ["2026-W49", "2026-W50", "2026-W51"]
    data = (out / "2026-W50" / "calendars" / "all.ics").read_bytes()
    assert data.count(b"STATUS:TENTATIVE") == data.count(b"BEGIN:VEVENT") == 2


def test_the_weeks_are_written_as_one(tmp_path: Path) -> None:
    case, out = small_case(tmp_path / "case"), tmp_path / "out"
    (out / "2026-W50" / "plan.csv").mkdir(parents=True)  # a folder in the way of the second week
    with pytest.raises(FileError, match="Nothing was changed"):
        workflow.plan_weeks(case, WEEK, 2, SUNDAY, out, silent)
    assert [p.name for p in out.iterdir()] == ["2026-W50"]


def test_what_people_were_told_until_the_week_counts_as_met(case: Path) -> None:
    plan = workflow.plan(case, WEEK.next(), SUNDAY, None, silent).plan
    assert sum(len(s.probes) for s in plan.sittings) == 2  # the last two of seven
    assert NoteKind.TOLD_AS_MET in {n.kind for n in plan.notes}


def test_what_is_past_and_not_written_down_counts_for_nothing(case: Path) -> None:
    """On Wednesday at noon Monday's and Tuesday's probes are past, and nobody has written what became of them: the two
    are as open for the next week as the two that the kept week has no room for. What is ahead counts as met."""
    past = [s for s in told(case).sittings if s.start.replace(tzinfo=None) < WEDNESDAY]
    assert [len(s.probes) for s in past] == [1, 1]
    plan = workflow.plan(case, WEEK.next(), WEDNESDAY, None, silent).plan
    planned = {p.combination for s in plan.sittings for p in s.probes}
    assert len(planned) == 4
    assert {p.combination for s in past for p in s.probes} <= planned
    # once all of it is past, nothing of it counts any more
    sunday = datetime(2026, 12, 6, 12)
    assert (
        sum(len(s.probes) for s in workflow.plan(case, WEEK.next(), sunday, None, silent).plan.sittings) == 5
    )


def test_a_kept_week_counts_once_in_a_horizon(case: Path) -> None:
    outcomes = workflow.plan_weeks(case, WEEK, 2, SUNDAY, None, silent)
    assert [sum(len(s.probes) for s in o.plan.sittings) for o in outcomes] == [5, 2]
    assert [NoteKind.TOLD_AS_MET in {n.kind for n in o.plan.notes} for o in outcomes] == [False, False]
    assert {t.settled for t in outcomes[0].told} == {True}
    assert {t.settled for t in outcomes[1].told} == {False}


def test_check_tells_of_a_broken_kept_week(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        "genplan.workflow.checking.local", lambda case, now: (now or SUNDAY).replace(tzinfo=case.timezone)
    )
    assert [f for f in workflow.check(case) if f.severity == "error"] == []
    (case / "weeks" / str(WEEK) / "told.json").write_text("{}")
    assert [f.file for f in workflow.check(case)] == ["weeks/2026-W49/told.json"]


def apply(store: dict[str, dict[str, Any]], events: list[dict[str, Any]]) -> None:
    """What a calendar does on import, by RFC 5546, 2.1.5: for a UID that it holds, the higher SEQUENCE wins, then the
    later DTSTAMP; nothing is doubled."""
    for event in events:
        old = store.get(event["uid"])
        if old is None or (event["sequence"], event["stamp"]) >= (old["sequence"], old["stamp"]):
            store[event["uid"]] = event


def by_vobject(data: bytes) -> list[dict[str, Any]]:
    found = vobject.readOne(data.decode()).contents.get("vevent", [])
    return [
        {
            "uid": e.uid.value,
            "sequence": int(e.sequence.value),
            "stamp": e.dtstamp.value.timestamp(),
            "status": e.status.value,
            "start": e.dtstart.value.astimezone(UTC),
        }
        for e in found
    ]


def by_ical_js(data: bytes) -> list[dict[str, Any]]:
    file = Path(__import__("tempfile").mkdtemp()) / "x.ics"
    file.write_bytes(data)
    done = subprocess.run(
        ["node", "read.mjs", str(file)], cwd=READERS, input="[]", capture_output=True, text=True, check=True
    )
    shutil.rmtree(file.parent)
    events: list[dict[str, Any]] = json.loads(done.stdout)[0]["events"]
    return [{**e, "start": datetime.fromisoformat(e["start"])} for e in events]


@pytest.mark.parametrize(
    "read",
    [
        by_vobject,
        pytest.param(
            by_ical_js,
            marks=[
                pytest.mark.nightly,
                pytest.mark.skipif(NO_NODE, reason="needs node, and 'npm ci' run in tests/readers"),
            ],
        ),
    ],
)
def test_importing_again_updates_and_does_not_double(case: Path, read: Any) -> None:
    store: dict[str, dict[str, Any]] = {}
    apply(store, read(calendar(case)))
    first = len(store)
    assert first == len(told(case).sittings)
    workflow.change(case, ChangeRequest("away", "gran", end=datetime(2026, 12, 5)), WEDNESDAY)
    workflow.change(case, ChangeRequest("away", "mum", datetime(2026, 12, 3)), WEDNESDAY)
    _, kept = workflow.replan(case, None, WEDNESDAY, None, True, silent)
    assert kept
    assert kept.differences
    apply(store, read(calendar(case)))
    held = {e["start"] for e in store.values() if e["status"] != "CANCELLED"}
    assert held == {s.start.astimezone(UTC) for s in told(case).sittings}
    assert len(held) == sum(e["status"] != "CANCELLED" for e in store.values())
    again = dict(store)
    apply(store, read(calendar(case)))
    assert store == again


@pytest.mark.parametrize(
    ("until", "days"), [(datetime(2026, 12, 3, 16, 20), {3, 4}), (datetime(2026, 12, 7), set())]
)
def test_a_set_left_at_school_is_not_planned_until_it_is_back(
    tmp_path: Path, until: datetime, days: set[int]
) -> None:
    case = small_case(tmp_path)
    workflow.change(case, ChangeRequest("missing", "boots", datetime(2026, 11, 30), until), SUNDAY)
    plan = workflow.plan(case, WEEK, SUNDAY, None, silent).plan
    with_boots = [s for s in plan.sittings if any("boots" in p.combination for p in s.probes)]
    assert all(s.start.replace(tzinfo=None) >= until for s in with_boots)
    assert {s.start.day for s in with_boots} <= days
    if not days:
        assert any(x.rule == "set boots" for x in plan.left_out)


def test_a_holiday_is_among_the_reasons(tmp_path: Path) -> None:
    """2026-W52: Friday 25 December is Christmas Day in Ireland; the yard is open on Fridays only."""
    case = small_case(tmp_path)
    text = (case / "case.yaml").read_text(encoding="utf-8")
    yard = 'yard: {name: The yard, holidays: IE, open: {fri: "09:00-18:00"}}'
    (case / "case.yaml").write_text(text.replace("yard: {name: The yard}", yard), encoding="utf-8")
    outcome = workflow.plan(case, WEEK.next().next().next(), SUNDAY, None, silent)
    assert any(
        ("holiday", "Christmas Day") in part.shut for x in outcome.plan.left_out for part in x.limit.parts
    )
    assert "The yard is closed on Fri (holiday: Christmas Day)." in said(outcome)


@pytest.mark.parametrize(
    ("typed", "span"),
    [
        ("--from Thursday", 'from: "2026-12-03 00:00", to: "2026-12-03 24:00"'),
        ("--language de --from 10.12.2026", 'from: "2026-12-10 00:00", to: "2026-12-10 24:00"'),
        ("--language de --from Donnerstag --to Freitag", 'from: "2026-12-03 00:00", to: "2026-12-04 24:00"'),
        ("--from tomorrow_4pm --to 3_December_17:00", 'from: "2026-12-03 16:00", to: "2026-12-03 17:00"'),
        ("--from today_13:00", 'from: "2026-12-02 13:00", to: "2026-12-02 24:00"'),
    ],
)
def test_days_and_times_as_people_say_them(case: Path, typed: str, span: str) -> None:
    words = [word.replace("_", " ") for word in typed.split()]
    assert main(["change", str(case), "--away", "gran", *words, "--now", "2026-12-02T12:00"]) == 0
    assert span in (case / "changes.yaml").read_text("utf-8")


@pytest.mark.parametrize(
    "hours", ["fri 4-5pm", "Fr 16 bis 17 Uhr", "2026-12-04 16:00-17:00", "4 December 16-17"]
)
def test_an_extra_hour_as_people_say_it(case: Path, hours: str) -> None:
    assert main(["change", str(case), "--extra-hour", "gran", hours, "--now", "2026-12-02T12:00"]) == 0
    assert 'from: "2026-12-04 16:00", to: "2026-12-04 17:00"' in (case / "changes.yaml").read_text("utf-8")
