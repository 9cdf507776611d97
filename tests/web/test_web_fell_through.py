"""A whole sitting that fell through: one form, one row for each thing, taken back as easily; by the terminal too."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager
from datetime import datetime, timedelta
from pathlib import Path
from threading import Barrier

import pytest

from genplan import workflow
from genplan.cli import main
from genplan.evidence import append_rows
from genplan.evidence.log import ResultKind
from genplan.keeping.store import read_kept
from genplan.plan import Sitting
from genplan.workflow import RecordRequest
from genplan.workflow.planned_kinds import kept_plan
from tests.fixtures.local_server import Local, running
from tests.fixtures.phones import at_home
from tests.fixtures.small_case import SUNDAY, WEEK, silent, small_case

NIGHT = datetime(2026, 12, 4, 22)
OTHER = """\
  takes-off: {learner: lark, name: Takes it off, correct_when: It is off within a minute, mastered_on: 2026-10-01,
              taught: [{adult: mum, location: home, material_set: boots}], cover: all}
"""
CLI_NIGHT = ["--now", "2026-12-04T22:00"]


@pytest.fixture(scope="module")
def kept_case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A kept week in which sittings hold two things."""
    folder = small_case(tmp_path_factory.mktemp("kept") / "case", OTHER)
    workflow.keep(folder, WEEK, None, SUNDAY, silent)
    return folder


@pytest.fixture
def visits(case: Path) -> tuple[Sitting, ...]:
    found = read_kept(case, WEEK, workflow.open_case(case, SUNDAY).case)
    assert found is not None
    return tuple(sorted(found.sittings, key=lambda s: s.start))


@pytest.fixture
def visit(visits: tuple[Sitting, ...]) -> Sitting:
    """One with two things in it."""
    return next(s for s in visits if len(s.probes) == 2)


@pytest.fixture
def local(case: Path) -> Iterator[Local]:
    with running(case) as local:
        local.site.now = NIGHT
        yield local


def way_to(sitting: Sitting) -> str:
    return f"/record/fell-through?sitting={sitting.id}"


def rows(case: Path) -> list[str]:
    file = case / "results.csv"
    return file.read_text("utf-8").splitlines()[1:] if file.is_file() else []


def expected(visit: Sitting, why: str) -> list[str]:
    at = f"{visit.start:%Y-%m-%d,%H:%M}"
    return [f"{at},{p.target},not run,{','.join(p.combination)},,,,,,{why}" for p in visit.probes]


def write_one(case: Path, visit: Sitting, number: int = 0) -> None:
    """That it was run."""
    one = visit.probes[number]
    adult, location, material_set = one.combination
    entry = RecordRequest(
        one.target, adult, location, material_set, date=visit.start.date(), time=visit.start.time(), correct=5
    )
    workflow.record(case, entry, NIGHT)


def test_the_card_the_day_the_row_and_today_lead_to_one_form(local: Local, visit: Sitting) -> None:
    way, one = way_to(visit), visit.probes[0]
    values = zip(("adult", "location", "material_set"), one.combination, strict=True)
    row = "&".join(f"with-{n}={v}" for n, v in values)
    day = visit.start.date()
    pages = [f"/week/{WEEK}", f"/record?day={day}", f"/record/row?target={one.target}&date={day}&{row}", "/"]
    for address in pages:
        page = local.get(address).text
        assert f'href="{way}">The whole sitting fell through' in page, address
    assert "Call it off" not in local.get(f"/week/{WEEK}").text  # all of it is over


def test_it_is_not_said_of_what_is_still_ahead(local: Local, visit: Sitting, case: Path) -> None:
    local.site.now = SUNDAY
    page = local.get(f"/week/{WEEK}").text
    assert "fell through" not in page
    assert "Call it off" in page
    form = local.get(way_to(visit)).text
    assert "This sitting is still ahead." in form
    assert f'href="/week/{WEEK}"' in form
    answer = local.post("/record/fell-through", local.form(way_to(visit)))
    assert answer.status == 409
    assert "Is it sure already that they will not be held?" in answer.text
    assert rows(case) == []


def test_one_form_writes_a_row_for_each_thing(local: Local, visit: Sitting, case: Path) -> None:
    fields = local.form(way_to(visit)) | {"why": "ill", "note": "since the morning"}
    answer = local.post("/record/fell-through", fields)
    assert answer.status == 303
    page = local.get(answer.headers["location"]).text
    assert "it fell through, and is written down. 2 things were not run." in page
    assert rows(case) == expected(visit, "ill: since the morning")
    again = local.post("/record/fell-through", fields)
    assert "a second tap adds nothing" in local.get(again.headers["location"]).text
    assert len(rows(case)) == 2


def test_without_a_reason_none_is_made_up_and_nobody_is_rated(
    local: Local, visit: Sitting, case: Path
) -> None:
    answer = local.post("/record/fell-through", local.form(way_to(visit)))
    assert "Whose reason" not in local.get(answer.headers["location"]).text
    assert rows(case) == expected(visit, "no reason given")
    assert "the reason why it was not run" not in local.get("/check").text


def test_what_is_written_down_stays_and_only_the_rest_is_added(
    local: Local, visit: Sitting, case: Path
) -> None:
    write_one(case, visit)
    page = local.get(f"/week/{WEEK}").text
    assert f'href="{way_to(visit)}">What is left of it was not run' in page
    form = local.get(way_to(visit)).text
    assert "The rest of the sitting fell through" in form
    assert "The whole sitting" not in form
    form = local.get(way_to(visit)).text
    assert form.count("(written down already: stays as it is)") == 1
    answer = local.post("/record/fell-through", local.form(way_to(visit)) | {"why": "refused"})
    assert (
        "what was left of it is written down. 1 thing was not run."
        in local.get(answer.headers["location"]).text
    )
    assert rows(case)[1:] == expected(visit, "refused")[1:]


def test_what_came_meanwhile_refuses_it_and_keeps_what_was_typed(
    local: Local, visit: Sitting, case: Path
) -> None:
    fields = local.form(way_to(visit)) | {"why": "no time", "note": "the bus was late"}
    write_one(case, visit)
    answer = local.post("/record/fell-through", fields)
    assert answer.status == 422
    assert "Something of this sitting was written down or planned otherwise meanwhile." in answer.text
    assert "the bus was late</textarea>" in answer.text
    assert '<option value="no time" selected>' in answer.text
    assert len(rows(case)) == 1


@pytest.mark.parametrize("left", ["", "-1", "2", "\u00b2", "\u0662", "9" * 5000])
def test_a_form_that_does_not_say_what_is_left_adds_nothing(
    local: Local, visit: Sitting, case: Path, left: str
) -> None:
    answer = local.post("/record/fell-through", local.form(way_to(visit)) | {"left": left})
    assert answer.status == 422
    assert "Something of this sitting was written down or planned otherwise meanwhile." in answer.text
    assert rows(case) == []


def test_another_thing_planned_in_its_place_was_not_shown(local: Local, visit: Sitting, case: Path) -> None:
    fields = local.form(way_to(visit))
    plan = kept_plan(workflow.open_case(case, NIGHT), WEEK)
    one = visit.probes[0]
    other = "boots" if one.combination[2] == "hats" else "hats"
    lines = plan.read_text("utf-8").splitlines(keepends=True)
    mine = [n for n, line in enumerate(lines) if visit.id in line and f",{one.target}," in line]
    for n in mine:
        lines[n] = lines[n].replace(f",{one.combination[2]},", f",{other},")
    plan.write_text("".join(lines), "utf-8")
    answer = local.post("/record/fell-through", fields)
    assert len(mine) == 1
    assert answer.status == 422
    assert "planned otherwise meanwhile" in answer.text
    assert rows(case) == []
    assert local.post("/record/fell-through", local.form(way_to(visit))).status == 303
    assert other in rows(case)[0]


def at_once(local: Local, address: str, forms: list[dict[str, str]]) -> list[int]:
    """Each sent from a page of its own; none writes before all have looked at the results."""
    with ThreadPoolExecutor(len(forms)) as sending:
        return [a.status for a in sending.map(lambda form: local.post(address, form), forms)]


@pytest.fixture
def all_have_looked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody takes the lock before four have come to it."""
    gate, lock = Barrier(4, timeout=10), append_rows.results_locked

    def locked(folder: Path) -> AbstractContextManager[None]:
        gate.wait()
        return lock(folder)

    monkeypatch.setattr(append_rows, "results_locked", locked)


@pytest.mark.usefixtures("all_have_looked")
def test_four_pages_at_once_write_it_once(local: Local, visit: Sitting, case: Path) -> None:
    forms = [local.form(way_to(visit)) | {"why": "ill"} for _ in range(4)]
    assert sorted(at_once(local, "/record/fell-through", forms)) == [303, 422, 422, 422]
    assert rows(case) == expected(visit, "ill")


@pytest.mark.usefixtures("all_have_looked")
def test_four_pages_at_once_write_one_row_once(local: Local, visit: Sitting, case: Path) -> None:
    one, day = visit.probes[0], visit.start.date()
    values = zip(("adult", "location", "material_set"), one.combination, strict=True)
    way = f"/record/row?target={one.target}&date={day}&time={visit.start:%H:%M}"
    way += "".join(f"&with-{n}={v}" for n, v in values)
    forms = [local.form(way) | {"correct": "5", "trials": "5"} for _ in range(4)]
    assert sorted(at_once(local, "/record/add", forms)) == [303, 409, 409, 409]
    assert len(rows(case)) == 1


def test_it_is_taken_back_at_once(local: Local, visit: Sitting, case: Path) -> None:
    local.post("/record/fell-through", local.form(way_to(visit)) | {"why": "ill"})
    page = local.get(f"/week/{WEEK}").text
    assert f'href="{way_to(visit)}">Was it held after all?' in page
    answer = local.post("/record/held-after-all", local.form(way_to(visit)))
    assert (
        "it was held after all. What was run is to be written down now."
        in local.get(answer.headers["location"]).text
    )
    opened = workflow.open_case(case, NIGHT)
    assert not opened.log.results
    assert [r.kind for r in opened.log.taken_back] == [ResultKind.NOT_RUN] * 2
    assert "The whole sitting fell through" in local.get(f"/record?day={visit.start.date()}").text


def test_it_is_taken_back_and_planned_again_from_the_day_and_from_today(local: Local, visit: Sitting) -> None:
    local.site.now = visit.end.replace(tzinfo=None)
    pages = ["/", f"/record?day={visit.start.date()}"]
    back = f'href="{way_to(visit)}">Was it held after all?'
    for address in pages:
        assert "<h2>Fell through" not in local.get(address).text
    local.post("/record/fell-through", local.form(way_to(visit)) | {"why": "ill"})
    for address in pages:
        page = local.get(address).text
        assert back in page[page.index("<h2>Fell through") :], address
    day = local.get(pages[1]).text
    assert f'href="/plan/{WEEK}">Plan the rest of this week' in day
    form = local.get(way_to(visit)).text
    assert form.count("(written down: not run)") == 2
    assert "stays as it is" not in form
    local.site.now = visit.end.replace(tzinfo=None) + timedelta(days=7)
    assert back in local.get(pages[1]).text
    assert "Plan the rest" not in local.get(pages[1]).text  # the week is over
    assert "<h2>Fell through" not in local.get("/").text
    local.site.now = visit.end.replace(tzinfo=None)
    local.post("/record/held-after-all", local.form(way_to(visit)))
    for address in pages:
        assert "<h2>Fell through" not in local.get(address).text


def test_the_day_of_one_child_holds_nothing_of_another(local: Local, visit: Sitting, case: Path) -> None:
    other = '  finch: {name: Finch Copperbell, alias: F., born: 2021-01, free: {sat: "10:00-11:00"}}\n'
    text = (case / "case.yaml").read_text("utf-8").replace("adults:\n", f"{other}adults:\n", 1)
    (case / "case.yaml").write_text(text, "utf-8")
    local.post("/record/fell-through", local.form(way_to(visit)) | {"why": "ill"})
    day = f"/record?day={visit.start.date()}"
    assert "<h2>Fell through" in local.get(day).text
    assert "<h2>Fell through" in local.get(f"{day}&learner=lark").text


def test_nothing_that_was_run_is_taken_back(local: Local, visit: Sitting, case: Path) -> None:
    local.post("/record/fell-through", local.form(way_to(visit)) | {"why": "ill"})
    fields = local.form(way_to(visit))
    write_one(case, visit)  # somebody says that it was run after all: that row counts
    answer = local.post("/record/held-after-all", fields)
    assert (answer.status, "was written down otherwise meanwhile" in answer.text) == (422, True)
    assert len(workflow.open_case(case, NIGHT).log.results) == 3


def test_the_rest_of_one_that_was_run_in_part_is_taken_back_at_once(
    local: Local, visit: Sitting, case: Path
) -> None:
    write_one(case, visit)
    local.site.now = visit.end.replace(tzinfo=None)
    local.post("/record/fell-through", local.form(way_to(visit)) | {"why": "ill"})
    back = f'href="{way_to(visit)}">Was the rest of it held after all?'
    for address in ("/", f"/record?day={visit.start.date()}", f"/week/{WEEK}"):
        page = local.get(address).text
        assert back in page, address
    form = local.get(way_to(visit)).text
    assert "It is written down that 1 thing of it was not run." in form
    assert form.count("(written down: not run)") == form.count("stays as it is)") == 1
    answer = local.post("/record/held-after-all", local.form(way_to(visit)))
    assert "the rest of it was held after all. It is to be" in local.get(answer.headers["location"]).text
    log = workflow.open_case(case, NIGHT).log
    assert [r.kind for r in log.results] == [ResultKind.PROBE]  # what was run stays
    assert [r.kind for r in log.taken_back] == [ResultKind.NOT_RUN]
    assert "What is left of it was not run" in local.get(f"/record?day={visit.start.date()}").text


def test_a_sitting_that_no_kept_week_has_is_told(local: Local) -> None:
    for sitting in ("2026-W49-mon-nobody-000", "2026-W30-mon-mum-000", "../case", ""):
        assert local.get(f"/record/fell-through?sitting={sitting}").status == 422
        assert local.post("/record/fell-through", {"once": "x", "sitting": sitting}).status == 422


def test_a_phone_says_it_too(case: Path, visit: Sitting) -> None:
    with at_home(case, now=NIGHT) as home:
        phone = home.phone()
        page = phone.get(f"/record?day={visit.start.date()}").text
        assert f'{way_to(visit)}">The whole sitting fell through' in page
        answer = phone.post("/record/fell-through", phone.form(way_to(visit)) | {"why": "ill"})
        assert answer.status == 303
        page = phone.get(f"/record?day={visit.start.date()}").text
        assert f'{way_to(visit)}">Was it held after all?' in page
        assert "Plan the rest" not in page  # that is done on the computer
    assert len(rows(case)) == 2


def test_one_command_says_it(case: Path, visit: Sitting, capsys: pytest.CaptureFixture[str]) -> None:
    typed = ["record", str(case), "--fell-through", "--date", str(visit.start.date()), "--note", "ill"]
    assert main([*typed, *CLI_NIGHT]) == 0
    assert "2 rows were added to results.csv: not run." in capsys.readouterr().out
    assert rows(case) == expected(visit, "ill")
    assert main([*typed, *CLI_NIGHT]) == 2
    assert "is left to be written down" in capsys.readouterr().err
    assert main(["record", str(case), "--fell-through", visit.id, *CLI_NIGHT]) == 2
    assert "All of this sitting is written down already." in capsys.readouterr().err
    assert main(["record", str(case), "--fell-through", visit.id, "--correct", "3", *CLI_NIGHT]) == 2
    assert "--correct does not go with --fell-through" in capsys.readouterr().err
    assert len(rows(case)) == 2


def test_one_command_says_it_of_nothing_else(
    case: Path, visits: tuple[Sitting, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    whole = ["record", str(case), "--fell-through", visits[0].id, *CLI_NIGHT]
    assert main([*whole, "--date", str(visits[-1].start.date())]) == 2
    assert "--date does not go with the id of a sitting" in capsys.readouterr().err
    assert main([*whole, "--kind", "probe"]) == 2
    assert "--kind does not go with --fell-through" in capsys.readouterr().err
    assert rows(case) == []


def test_it_is_the_moment_that_decides_whether_it_is_ahead(case: Path, visit: Sitting) -> None:
    start = visit.start.replace(tzinfo=None)
    with pytest.raises(workflow.NotAdded):
        workflow.fell_through(case, visit.id, "ill", start - timedelta(hours=1))
    assert rows(case) == []
    workflow.fell_through(case, visit.id, "ill", start + timedelta(minutes=5))
    assert len(rows(case)) == 2
