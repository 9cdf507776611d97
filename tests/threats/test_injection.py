"""Texts that want to be more than texts, in every place where a user writes one: refused with a sentence, or shown as
the text that they are, in every output.

    text (below) × place (CASE, RESULTS) × outlet (the tests: pages in a browser, calendars, tables, terminal, PDF)
"""

from __future__ import annotations

import contextlib
import csv
import html
import io
import json
import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from genplan.cli import main
from tests.fixtures.browser import CHROMIUM, browser, need_browser
from tests.fixtures.pagecheck import faults, read
from tests.fixtures.places import READERS

NOW = ("--now", "2026-11-29T12:00")
SPAN = ("--from", "2026-11-01", "--to", "2026-11-29")

TEXTS: dict[str, tuple[str, str]] = {
    "a script": ("<script>window.ran = 1</script>", "shown"),
    "an image that runs something": ("<img src=x onerror=window.ran=1>", "shown"),
    "an end of an attribute": ('" autofocus onfocus="window.ran=1" x="', "shown"),
    "an end of a comment and of a style": ("--></style><svg onload=window.ran=1>", "shown"),
    "a character by its name": ("&lt;b&gt;&#60;script&#62;", "shown"),
    "an address that runs something": ("javascript:ran=1 http://example.invalid", "shown"),
    "a template": ("{{ 7 * 191 }}{% raw %}{# x #}", "shown"),
    "a second event": ("a\r\nX-ODD:1\r\nEND:VEVENT\r\nBEGIN:VEVENT", "on one line"),
    "signs of calendars": ("a;X-ODD=1:b,c\\n\\;", "shown"),
    "a formula": ("=cmd|' /C calc'!A0", "shown"),
    "a formula with a plus": ("+1+HYPERLINK(1)", "shown"),
    "a formula with a minus": ("-2+3", "shown"),
    "a formula with an at": ("@SUM(1)", "shown"),
    "a formula behind a tab": ("\t=1+1", "on one line"),
    "signs of tables": ("a\",b;c'd", "shown"),
    "a way out of a folder": ("../../odd/..\\odd", "shown"),
    "a command of a terminal": ("\x1b[2J\x1b]0;odd\x07", "refused"),
    "a carriage return alone": ("seen\runseen", "on one line"),
    "a backspace": ("odd\b\b\b", "refused"),
    "an eight-bit command": ("\x9b2J", "refused"),
    "a mark that turns the words": ("\u202egnp.exe", "refused"),
    "a mark that turns what is apart": ("\u2067odd\u2069", "refused"),
    "a letter that nobody sees": ("od\u200bd", "refused"),
    "a line end of another kind": ("a\u2028b\u2029c", "on one line"),
}
"""What -> the text, and its fate in a case. On one line: each run of blanks and line ends is one blank."""

CASE = """\
format: 1
timezone: Europe/Dublin
policy: {like: none, days: mon-fri, alarm_minutes: 10}
learners:
  lark: {name: TEXT, alias: TEXT, free: {mon-fri: "15:00-18:00"}}
adults:
  mum: {name: TEXT, role: TEXT, free: {mon-thu: "15:00-17:00"}}
locations:
  home: {name: TEXT}
  yard: {name: TEXT, open: {mon-tue: "15:00-17:00"}}
material_sets:
  boots: {name: TEXT}
targets:
  puts-on: {learner: lark, name: TEXT, correct_when: TEXT, instruction: TEXT, mastered_on: 2026-10-01,
            taught: [{adult: mum, location: home, material_set: boots}],
            also_vary: {wording: [TEXT, other], with: [TEXT, none]}}
changes:
  - {closed: yard, from: 2026-12-01, note: TEXT}
  - {away: mum, from: 2026-12-03, note: TEXT}
"""
PLACES = CASE.count("TEXT")


def case_with(text: str, folder: Path) -> Path:
    """The case with the text in every place, and in the notes of two rows and the name of an observer."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "case.yaml").write_text(CASE.replace("TEXT", json.dumps(text)), encoding="utf-8")
    return folder


def with_results(folder: Path, text: str) -> Path:
    said = " ".join(text.split())
    note = text.replace("\r\n", "\n").replace("\r", "\n").encode("utf-8", "replace").decode()
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    head = "date,time,target,kind,adult,location,material_set,wording,with,trials,correct,prompted,observer"
    rows.writerow([*head.split(","), "observer_correct", "note"])
    combination = ("mum", "home", "boots", said, said)
    rows.writerow(
        ["2026-11-20", "16:10", "puts-on", "probe", *combination, 5, 5, "", defused(said), 5, defused(note)]
    )
    rows.writerow(["2026-11-21", "", "puts-on", "not run", *combination, "", "", "", "", "", defused(note)])
    (folder / "results.csv").write_text(out.getvalue(), encoding="utf-8", newline="")
    return folder


def defused(text: str) -> str:
    from genplan.evidence.formula_cells import escape_formula as as_written

    return as_written(text)


class Here(Executor):
    """Solves in this process: starting others takes longer than these plans."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        future.set_result(fn(*args, **kwargs))
        return future


@pytest.fixture(autouse=True, scope="module")
def _solve_here() -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            "genplan.planning.solver_pool.process_pool", lambda *_, **__: contextlib.nullcontext(Here())
        )
        yield


@dataclass(frozen=True)
class Told:
    """All that comes out of a case: the folder with the files, and what was printed."""

    what: str
    text: str
    root: Path
    printed: str

    @property
    def shown(self) -> str:
        return " ".join(self.text.split())

    def files(self, ending: str) -> list[Path]:
        found = sorted(p for p in self.root.rglob(f"*{ending}") if self.root / "case" not in p.parents)
        return [*found, *sorted((self.root / "case" / "weeks").rglob(f"*{ending}"))]


SHOWN = {what: text for what, (text, fate) in TEXTS.items() if fate != "refused"}
BY_DAY = (
    "a script",
    "an end of an attribute",
    "an address that runs something",
    "a second event",
    "a formula",
    "signs of tables",
    "a way out of a folder",
)
"""Of each kind one that the others are like; all of them are tried in a case by day, too."""


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory, nightly: bool) -> dict[str, Told]:
    return {
        what: everything_of(what, SHOWN[what], tmp_path_factory.mktemp("told"))
        for what in (SHOWN if nightly else BY_DAY)
    }


def everything_of(what: str, text: str, root: Path) -> Told:
    folder = str(with_results(case_with(text, root / "case"), text))
    out, printed = io.StringIO(), []
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        for words in (
            ("plan", folder, "--week", "2026-W49", *NOW, "--out", str(root / "out")),
            ("keep", folder, "--from", str(root / "out"), *NOW),
            ("check", folder),
            ("matrix", folder, *NOW),
            ("matrix", folder, *NOW, "--csv", str(root / "matrix.csv")),
            ("history", folder, "--target", "puts-on", *NOW),
            ("progress", folder, *NOW),
            ("exemplars", folder, *NOW),
            ("exemplars", folder, *NOW, "--csv", str(root / "exemplars.csv")),
            ("review", folder, *SPAN, *NOW, "--out", str(root / "review")),
            ("review", folder, *SPAN, *NOW, "--out", str(root / "named"), "--names"),
            ("share", folder, "--adult", "mum", *NOW, "--out", str(root / "part")),
            ("share", folder, "--for-help", *NOW, "--out", str(root / "copy")),
        ):
            assert main(words) == 0, (what, words, out.getvalue())
            printed.append(words[0])
    return Told(what, text, root, out.getvalue())


@pytest.mark.parametrize("what", TEXTS)
def test_what_becomes_of_it_in_a_case(what: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text, fate = TEXTS[what]
    code = main(["check", str(case_with(text, tmp_path / "case"))])
    printed = capsys.readouterr().out
    assert printed.count("error:") + printed.count("Error:") == (PLACES if fate == "refused" else 0), printed
    assert code == (1 if fate == "refused" else 0), printed
    assert unprintable(printed) == ""


def unprintable(printed: str) -> str:
    """What steers a terminal or turns its words."""
    return "".join(re.findall("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\u2028\u2029]", printed))


def test_a_terminal_gets_plain_lines(told: dict[str, Told]) -> None:
    for one in told.values():
        assert unprintable(one.printed) == "", one.what
        assert one.shown in " ".join(one.printed.split()), one.what


def test_a_page_holds_no_more_than_it_would(told: dict[str, Told]) -> None:
    for one in told.values():
        pages = one.files(".html")
        assert len(pages) >= 7
        for page in pages:
            text = page.read_text("utf-8")
            assert faults(text) == [], (one.what, page.name)
            assert "1337" not in text, (one.what, page.name)
        for name in ("out/week.html", "out/timetable.html", "out/sheets.html", "review/review-lark.html"):
            assert one.shown in read((one.root / name).read_text("utf-8")).words, (one.what, name)


LEAVE = (
    "[...document.links].map(a => a.getAttribute('href'))"
    ".filter(h => !h.startsWith('#') && h !== 'timetable.html')"
)
"""Links that lead out of the page and to no other page of its folder."""


def test_a_browser_runs_nothing_and_fetches_nothing(told: dict[str, Told]) -> None:
    """With the pages' own policy switched off: what is written in them has to be harmless by itself."""
    need_browser()
    with browser() as chromium:
        page = chromium.new_context(bypass_csp=True).new_page()  # type: ignore[attr-defined]
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        for one in (t for t in told.values() if set(t.text) & set("<&{:")):
            pages = {file.read_bytes(): file for file in one.files(".html")}
            for file in pages.values():  # of pages that are the same, one
                asked.clear()
                page.goto(file.as_uri())
                assert asked == [file.as_uri()], one.what
                assert page.evaluate("window.ran === undefined"), (one.what, file.name)
                assert page.evaluate("document.scripts.length + document.images.length") == 0, (
                    one.what,
                    file.name,
                )
                assert page.evaluate(LEAVE) == [], (one.what, file.name)


def test_the_browser_would_have_told(tmp_path: Path) -> None:
    """The same texts written into a page as they are do run: the test above can fail."""
    need_browser()
    ran = []
    with browser() as chromium:
        page = chromium.new_context(bypass_csp=True).new_page()  # type: ignore[attr-defined]
        for what in ("a script", "an image that runs something", "an end of an attribute"):
            (tmp_path / "raw.html").write_text(
                f'<input value="{TEXTS[what][0]}"> {TEXTS[what][0]}', encoding="utf-8"
            )
            page.goto((tmp_path / "raw.html").as_uri())
            page.wait_for_timeout(50)
            ran.append(page.evaluate("window.ran === 1"))
    assert ran == [True, True, True]


def test_a_calendar_has_an_event_for_each_sitting(told: dict[str, Told]) -> None:
    import vobject
    from icalendar import Calendar

    for one in told.values():
        sittings = len(json.loads((one.root / "out" / "plan.json").read_text("utf-8"))["sittings"])
        assert sittings
        files = one.files(".ics")
        assert len(files) >= 11
        for file in files:
            data = file.read_bytes()
            assert not re.search(rb"[\x00-\x09\x0b\x0c\x0e-\x1f\x7f]", data), (one.what, file)
            events = Calendar.from_ical(data).walk("VEVENT")
            again = vobject.readOne(data.decode("utf-8")).contents.get("vevent", [])
            assert len(events) == len(again), (one.what, file)
            # one adult and one child have all sittings; each place has some
            assert len(events) == sittings or (len(events) < sittings and "location-" in file.name), (
                one.what,
                file,
            )
            for event in events:
                assert {n for n in event if n.startswith("X-")} == set(), (one.what, file)
                if "location-" not in file.name:
                    assert one.shown in str(event["SUMMARY"]), (one.what, file)


def test_ical_js_reads_the_same_events(told: dict[str, Told]) -> None:
    readers = READERS
    if not (shutil.which("node") and (readers / "node_modules" / "ical.js").is_dir()):
        pytest.skip("needs node, and 'npm ci' run in tests/readers")
    files = [one.root / "out" / "calendars" / "all.ics" for one in told.values()]
    done = subprocess.run(
        ["node", "read.mjs", *map(str, files)],
        cwd=readers,
        input="[]",
        capture_output=True,
        text=True,
        check=True,
    )
    for one, found in zip(told.values(), json.loads(done.stdout), strict=True):
        sittings = json.loads((one.root / "out" / "plan.json").read_text("utf-8"))["sittings"]
        assert len(found["events"]) == len(sittings), one.what
        assert all(one.shown in event["summary"] for event in found["events"]), one.what


def test_a_spreadsheet_finds_no_formula(told: dict[str, Told], tmp_path: Path) -> None:
    from openpyxl import Workbook, load_workbook
    from python_calamine import CalamineWorkbook

    for one in told.values():
        book = Workbook()
        for file in one.files(".csv"):
            rows = list(csv.reader(io.StringIO(file.read_text("utf-8"))))
            assert len({len(row) for row in rows}) == 1, (one.what, file)
            sheet = book.create_sheet()
            for row in rows:
                sheet.append(row)
        book.save(tmp_path / "tables.xlsx")
        cells = [c for sheet in load_workbook(tmp_path / "tables.xlsx") for row in sheet for c in row]
        assert [c.value for c in cells if c.data_type == "f"] == [], one.what
        read = CalamineWorkbook.from_path(tmp_path / "tables.xlsx")
        sheets = [read.get_sheet_by_name(name).to_python() for name in read.sheet_names]
        texts = [c for sheet in sheets for row in sheet for c in row if isinstance(c, str)]
        assert len(texts) > 100, one.what
        # a number below nought is no formula, and no table of ours has one
        assert [t for t in texts if t[:1] in "=+-@\t\r" and t] == [], one.what


def test_a_formula_would_have_been_found(tmp_path: Path) -> None:
    from openpyxl import Workbook

    book = Workbook()
    book.active.append([SHOWN["a formula"], defused(SHOWN["a formula"])])
    assert [c.data_type for c in book.active[1]] == ["f", "s"]


def test_no_file_lies_elsewhere(told: dict[str, Told]) -> None:
    for one in told.values():
        names = {p.name for p in one.root.iterdir()}
        assert names == {"case", "copy", "exemplars.csv", "matrix.csv", "named", "out", "part", "review"}, (
            one.what
        )
        assert [p for p in one.root.rglob("*") if "odd" in p.name] == []


def test_a_pdf_runs_nothing(told: dict[str, Told], tmp_path: Path) -> None:
    need_browser()
    assert CHROMIUM.exists()
    one = told["an address that runs something"]
    assert main(["sheets", str(one.root / "out"), "--pdf", str(tmp_path / "sheets.pdf")]) == 0
    data = (tmp_path / "sheets.pdf").read_bytes()
    assert data.startswith(b"%PDF")
    assert re.findall(rb"/(?:JavaScript|JS|OpenAction|AA|Launch|URI|EmbeddedFile)\b", data) == []


NOTES = {what: text for what, (text, fate) in TEXTS.items() if fate == "refused"}


@pytest.mark.parametrize("what", NOTES)
def test_a_note_may_hold_it_and_it_does_nothing(
    what: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What a case refuses may stand in a note that somebody typed into results.csv, or is refused there too."""
    folder = with_results(case_with("plain", tmp_path / "case"), "plain")
    text = (folder / "results.csv").read_text("utf-8")
    (folder / "results.csv").write_text(text.replace("5,plain", f"5,{NOTES[what]}"), encoding="utf-8")
    codes = {
        main(["history", str(folder), "--target", "puts-on", *NOW]),
        main(["review", str(folder), *SPAN, *NOW, "--out", str(tmp_path / "review")]),
        main(
            [
                "record",
                str(folder),
                "--target",
                "puts-on",
                "--adult",
                "mum",
                "--location",
                "home",
                "--material-set",
                "boots",
                "--with",
                "wording=plain",
                "--with",
                "with=plain",
                "--correct",
                "5",
                "--note",
                NOTES[what],
                *NOW,
            ]
        ),
    }
    printed = "".join(capsys.readouterr())
    assert unprintable(printed) == ""
    assert codes <= {0, 1}
    for page in (tmp_path / "review").rglob("*.html"):
        assert unprintable(html.unescape(page.read_text("utf-8"))) == ""
