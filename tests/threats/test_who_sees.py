"""Who sees what: the table of the reference, held against every output of every command.

Each private thing of the case carries a marker word; an output shows a thing if its marker is in it. What the table
says is seen has to be there, and what it says is not must not.
"""

from __future__ import annotations

import contextlib
import io
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

import pytest

from genplan.case import Week
from genplan.cli import main
from genplan.evidence.workbook import read_workbook
from genplan.keeping.store import read_kept
from genplan.publishing.calendar_content import calendar_contents
from genplan.workflow import open_case
from tests.fixtures.commands_that_write import CASE as SMALL
from tests.fixtures.parcelled import all_parcelled
from tests.fixtures.phones import at_home
from tests.fixtures.reference import section

WEEK = Week(2026, 49)
NOW = "2026-11-29T12:00"

MARKS = {
    "alias": ("Qalias.",),
    "name": ("Qforename", "Qsurname"),
    "id": ("qchild",),
    "birth": ("2021-03", "March 2021"),
    "allergens": ("qallergen",),
    "skills": ("Qskill", "Qcorrectwhen", "Qinstruction"),
    "how taught": ("Qhowtaught",),
    "results": ("971",),
    "notes": ("Qnote", "Qrefused", "Qobserver"),
    "why somebody is away": ("Qchildaway", "Qadultaway"),
    "why a place is shut": ("Qclosed",),
    "busy with": ("Qbusy",),
    "other children": ("Qother.", "Qstrange"),
}
"""Column of the table -> the words that give it away. The last: another child, whom the adult and the place of the row
have nothing to do with."""

CASE = """\
format: 1
timezone: Europe/Dublin
policy: {days: mon-fri, alarm_minutes: 15, plan_teaching: yes}
other_allergens: [qallergen]
learners:
  qchild: {name: Qforename Qsurname, alias: Qalias., born: 2021-03-14, free: {mon-fri: "15:00-18:00"},
           allergens: [qallergen], limits: {probes_per_sitting: 1}}
  qstranger: {name: Qstrange Owl, alias: Qother., born: 2020-05, free: {mon-fri: "15:00-18:00"}}
adults:
  mum: {name: Mum, role: parent, learners: [qchild], locations: [home, clinic], free: {mon-thu: "15:00-17:00"},
        busy: busy/mum.ics}
  gran: {name: Gran, learners: [qchild], locations: [home], free: {tue-fri: "15:00-18:00"}}
  aide: {name: Aide, learners: [qstranger], locations: [school], free: {mon-fri: "15:00-17:00"}}
locations:
  home: {name: Home, learners: [qchild]}
  clinic: {name: Clinic, learners: [qchild], open: {mon-wed: "15:00-17:00"}}
  school: {name: School, learners: [qstranger]}
material_sets:
  boots: {name: Two boots}
  hats: {name: Three hats}
targets:
  puts-on: {learner: qchild, name: Qskill, correct_when: Qcorrectwhen within a minute, instruction: Qinstruction now,
            how_taught: Qhowtaught with a song, steps: [Qhowtaught is asked], mastered_on: 2026-10-01,
            taught: [{adult: mum, location: home, material_set: boots}],
            first: [{adult: gran, by: 2026-12-06}]}
  greets: {learner: qstranger, name: Qstrangeskill, correct_when: It is heard, instruction: Say hello,
           mastered_on: 2026-10-01, taught: [{adult: aide, location: school, material_set: boots}]}
changes:
  - {away: qchild, from: "2026-12-04 15:00", to: "2026-12-04 15:30", note: Qchildaway}
  - {away: gran, from: 2026-12-04, note: Qadultaway}
  - {closed: clinic, from: 2026-12-02, note: Qclosed}
"""
RESULTS = """\
date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note
2026-11-20,16:10,puts-on,probe,mum,home,hats,971,971,,Qobserver,971,Qnote
2026-11-20,16:30,puts-on,probe,gran,home,hats,5,0,,,,
2026-11-21,16:10,puts-on,not run,gran,home,boots,,,,,,Qrefused
"""
BUSY = """\
BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//x//y//EN
BEGIN:VEVENT
UID:1
DTSTAMP:20261101T000000Z
DTSTART:20261130T150000Z
DTEND:20261130T153000Z
SUMMARY:Qbusy
END:VEVENT
END:VCALENDAR
""".replace("\n", "\r\n")


def said(*words: str) -> str:
    """What a command prints, on both streams."""
    told = io.StringIO()
    with contextlib.redirect_stdout(told), contextlib.redirect_stderr(told):
        assert main(words) == 0, told.getvalue()
    return told.getvalue()


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("who") / "case"
    (folder / "busy").mkdir(parents=True)
    (folder / "case.yaml").write_text(CASE, encoding="utf-8")
    (folder / "results.csv").write_text(RESULTS, encoding="utf-8")
    (folder / "busy" / "mum.ics").write_text(BUSY, encoding="utf-8", newline="")
    return folder


@pytest.fixture(scope="module")
def outputs(case: Path) -> dict[str, str]:
    """Row of the table -> all that such a reader gets, names of files among it."""
    root, now = case.parent, ("--now", NOW)
    folder, out, week = str(case), root / "out", ("--week", str(WEEK))
    with all_parcelled() as parcelled:
        printed = {"plan": said("plan", folder, *week, *now, "--out", str(out))}
        printed["why"] = said("why", folder, *week, *now, "--learner", "qchild")
        printed["forecast"] = said(
            "forecast", folder, *week, *now, "--weeks", "1", "--csv", str(root / "forecast.csv")
        )
    printed["keep"] = said("keep", folder, "--from", str(out), *now)
    printed["replan"] = said("replan", folder, *week, *now)
    printed["timetable"] = said("timetable", folder, *now, "--xlsx", str(root / "week.xlsx"))
    printed["compare"] = said("compare", folder, str(WEEK), str(out), *now)
    for word in ("check", "matrix", "progress"):
        printed[word] = said(word, folder, *(now if word != "check" else ()))
    printed["history"] = said("history", folder, "--target", "puts-on", *now)
    printed["term"] = said("term", folder, *week, *now, "--weeks", "2", "--out", str(root / "term"))
    printed["exemplars"] = said("exemplars", folder, *now)
    said("exemplars", folder, *now, "--csv", str(root / "exemplars.csv"))
    said("progress", folder, *now, "--learner", "qchild", "--csv", str(root / "progress"))
    span = ("--from", "2026-11-01", "--to", "2026-11-29")
    printed["review"] = said(
        "review", folder, *span, *now, "--learner", "qchild", "--out", str(root / "review")
    )
    said("review", folder, *span, *now, "--learner", "qchild", "--names", "--out", str(root / "named"))
    said("share", folder, "--adult", "gran", "--out", str(root / "part"), *now)
    said("share", folder, "--for-help", "--out", str(root / "copy"), *now)
    said("tables", "write", folder, str(root / "tables"))
    printed["loads"] = said("loads", str(with_a_strangers_row(case)), *now, "--out", str(root / "loads"))
    kept = case / "weeks" / str(WEEK)
    changed = changed_for_people(case)
    printed |= changed.printed
    return {
        "`week.html`": text_of(out, "week.html"),
        "`timetable.html`": text_of(out, "timetable.html"),
        "`sheets.html`": text_of(out, "sheets.html"),
        "`pages/adult-ID.html`": text_of(out, "pages/adult-gran.html"),
        "`pages/fridge-ID.html`": text_of(out, "pages/fridge-qchild.html"),
        "`messages/adult-ID.txt`": text_of(out, "messages/adult-gran.txt"),
        "`changes/adult-ID.txt`": text_of(changed.out, "changes/adult-gran.txt"),
        "`changes/learner-ID.txt`": text_of(changed.out, "changes/learner-qchild.txt"),
        "`calendars/adult-ID.ics`": text_of(kept, "calendars/adult-gran.ics"),
        "`calendars/learner-ID.ics`": text_of(kept, "calendars/learner-qchild.ics"),
        "`calendars/location-ID.ics`": text_of(kept, "calendars/location-home.ics"),
        "`calendars/all.ics`": text_of(kept, "calendars/all.ics"),
        "published calendars of adults": published(case, "adult-gran"),
        "published calendars of children": published(case, "learner-"),
        "`plan.csv`, `matrix.csv`, `coverage.csv`": text_of(out, "plan.csv", "matrix.csv", "coverage.csv"),
        "`timetable.csv`, `timetable-minutes.csv`": text_of(out, "timetable.csv", "timetable-minutes.csv"),
        "`plan.json`": text_of(out, "plan.json"),
        "`run.json`": text_of(out, "run.json"),
        "`forecast --csv`": text_of(root, "forecast.csv"),
        "`term.html`": text_of(root / "term", "term.html"),
        "`term.csv`, `term.json`": text_of(root / "term", "term.csv", "term.json"),
        "`exemplars --csv`": text_of(root, "exemplars.csv"),
        "`review-ID.html`": text_of(root / "review", "review-qchild.html"),
        "`review-ID.html` with `--names`": text_of(root / "named", "review-qchild.html"),
        "`review-*.csv`": text_of(
            root / "review",
            *(f"review-{n}.csv" for n in ("targets", "rows", "curve", "points", "phases", "asked")),
        ),
        "`progress --csv`": everything_in(root / "progress"),
        "`share --adult`": everything_in(root / "part"),
        "`share --for-help`": everything_in(root / "copy"),
        "`timetable --xlsx`": in_workbook(root / "week.xlsx"),
        "`loads.html`": text_of(root / "loads", "loads.html"),
        "`loads.csv`, `not-held.csv`": text_of(root / "loads", "loads.csv", "not-held.csv"),
        "`tables write`": everything_in(root / "tables"),
        "`told.json`": text_of(kept, "told.json"),
        "what is sent with `--workers`": with_dates("\n".join(parcelled.opened)),
        "what commands print": "\n".join(printed.values()),
        "the local page": local_page(case),
        "a phone that was let in": phone(case),
    }


def with_a_strangers_row(case: Path) -> Path:
    """A copy in which a sitting of the other child was not run either."""
    copy = case.parent / "stranger"
    shutil.copytree(case, copy)
    with (copy / "results.csv").open("a", encoding="utf-8") as file:
        file.write("2026-11-21,16:10,greets,not run,aide,school,hats,,,,,,ill\n")
    return copy


def in_workbook(file: Path) -> str:
    return "\n".join(str(sheet) for sheet in read_workbook(file))


@dataclass(frozen=True)
class Changed:
    """What is printed when the kept week is planned again after two adults fell ill, and what is left when they are
    well and it is planned once more."""

    out: Path
    printed: dict[str, str]


def changed_for_people(case: Path) -> Changed:
    """In a copy: the kept week of `case` stays as it is. It has not begun: from then on nobody is told of anything who
    need not be."""
    copy, now = case.parent / "changed", ("--now", "2026-11-29T20:00")
    shutil.copytree(case, copy)
    out, printed, folder = case.parent / "changed-out", {}, str(copy)
    opened = open_case(copy)
    kept = read_kept(copy, WEEK, opened.case)
    assert kept
    fell = next(s for s in kept.sittings if s.adult == "gran")
    before = (copy / "case.yaml").read_text("utf-8")
    for adult in ("gran", "aide"):
        away = ("--away", adult, "--from", "2026-12-01", "--to", "2026-12-04", "--note", "Qadultaway")
        printed[f"try {adult}"] = said("change", folder, *away, "--try", *now)
        said("change", folder, *away, *now)
    printed["week"] = said("week", folder, *now)
    printed["alternatives"] = said("alternatives", folder, fell.id, *now)
    printed["replan"] = said("replan", folder, "--week", str(WEEK), "--keep", *now)
    # both are well again after all, and so there is something new to do for gran
    (copy / "case.yaml").write_text(before, "utf-8")
    printed["plan again"] = said("plan", folder, "--week", str(WEEK), "--out", str(out), *now)
    return Changed(out, printed)


def local_page(case: Path) -> str:
    from tests.fixtures.local_server import running

    paths = (f"/week/{WEEK}", "/record", "/matrix", "/case", "/case/general", "/case/learners/qchild")
    paths += ("/case/adults/gran", "/case/targets/puts-on", "/history/puts-on", f"/plan/{WEEK}")
    with running(case) as local:
        answers = {path: local.get(path) for path in paths}
    assert {p: a.status for p, a in answers.items() if a.status != 200} == {}
    return "\n".join(a.text for a in answers.values())


def phone(case: Path) -> str:
    """All that it is answered: what is next, a day that is over and one ahead, and the form of a row."""
    row = urlencode({"target": "puts-on", "date": "2026-11-20", "kind": "probe", "with-adult": "mum"})
    paths = (
        "/",
        "/record",
        "/record?day=2026-11-20",
        "/record?day=2026-11-30",
        f"/record/row?{row}",
    )
    with at_home(case) as home:
        let_in = home.phone()
        answers = {path: let_in.get(path) for path in paths}
    assert {p: a.status for p, a in answers.items() if a.status != 200} == {}
    return "\n".join(a.text for a in answers.values())


def text_of(folder: Path, *names: str) -> str:
    """Names and contents; a calendar's lines are unfolded."""
    parts = [part for name in names for part in (name, (folder / name).read_bytes().decode("utf-8"))]
    return "\n".join(parts).replace("\r\n ", "")


def everything_in(folder: Path) -> str:
    return text_of(folder, *sorted(str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file()))


def with_dates(text: str) -> str:
    """Dates in a `repr` as they are written in a case."""
    found = r"datetime\.date(?:time)?\((\d+), (\d+), (\d+)"
    return re.sub(found, lambda d: "{:04}-{:02}-{:02}".format(*map(int, d.groups())), text)


def published(case: Path, which: str) -> str:
    opened = open_case(case)
    kept = read_kept(case, WEEK, opened.case)
    assert kept
    held = list(calendar_contents(opened.case, [kept], kept.kept))
    chosen = [s for s in held if which in s.id and s.name != "Qother."]
    assert chosen
    parts: Iterator[str] = (
        part
        for s in chosen
        for i in s.items.values()
        for part in (s.id, s.name, i.file, i.data.decode("utf-8"))
    )
    return "\n".join(parts).replace("\r\n ", "")


def table() -> tuple[list[str], dict[str, list[str]]]:
    """The columns, and each row's cells, of the table."""
    found = re.match(r"\n((?:\|.*\n)+)", section("data", "Who sees what"))
    assert found
    head, _, *rows = ([c.strip() for c in line.strip("|\n").split("|")] for line in found[1].splitlines(True))
    return head[1:], {row[0]: row[1:] for row in rows}


def shows(text: str, mark: str) -> bool:
    """A count is a number of its own, not a part of seconds."""
    return re.search(rf"(?<![0-9.]){mark}(?![0-9])", text) is not None if mark.isdigit() else mark in text


def test_the_table_is_what_is_seen(outputs: dict[str, str]) -> None:
    columns, rows = table()
    assert columns == list(MARKS)
    seen = {
        row: ["yes" if any(shows(text, m) for m in MARKS[c]) else "–" for c in columns]
        for row, text in outputs.items()
    }
    assert rows == seen


def test_every_marker_is_in_the_case(case: Path) -> None:
    text = everything_in(case)
    assert [m for marks in MARKS.values() for m in marks if m not in text and m != "March 2021"] == []


def test_every_file_of_a_plan_has_a_row(outputs: dict[str, str], case: Path) -> None:
    out = case.parent / "out"
    of_one = r"(/\w+)-[^./]+(?=\.)"
    named = {re.sub(of_one, r"\1-ID", str(p.relative_to(out))) for p in out.rglob("*") if p.is_file()}
    rows = " ".join(outputs)
    assert {name for name in named if f"`{name}`" not in rows} == set()


def test_a_name_in_the_name_of_a_file_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An id that is no name, one that is the name, one that holds it; and nothing is told of the family's own pages."""
    span = ("--from", "2026-11-01", "--to", "2026-11-29", "--now", NOW)
    for id_, told in (("child-1", False), ("lark", True), ("little-lark", True)):
        folder = tmp_path / id_
        folder.mkdir()
        text = SMALL.replace("lark:", f"{id_}:").replace("learner: lark", f"learner: {id_}")
        (folder / "case.yaml").write_text(text, encoding="utf-8")
        assert main(["review", str(folder), *span, "--out", str(tmp_path / f"{id_}-out")]) == 0
        assert (f"hold the id '{id_}'" in capsys.readouterr().err) is told
        assert main(["review", str(folder), *span, "--names", "--out", str(tmp_path / f"{id_}-named")]) == 0
        assert "hold the id" not in capsys.readouterr().err
