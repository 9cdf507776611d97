"""Over the page: no id is asked for, a thing is called otherwise everywhere, what uses it is named, all is undone."""

from __future__ import annotations

import html
from collections.abc import Iterator
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case import Week
from genplan.casefile import edit, load
from genplan.casefile.tree import Leaf
from genplan.keeping.store import kept_bytes
from genplan.keeping.told import KeptWeek
from tests.fixtures.local_server import NOW, Local, form_fields, running
from tests.fixtures.starter_case import write_starter


@pytest.fixture
def local(tmp_path: Path) -> Iterator[Local]:
    write_starter(tmp_path / "case")
    with running(tmp_path / "case") as found:
        yield found


def case_text(tmp_path: Path) -> str:
    return (tmp_path / "case" / "case.yaml").read_text("utf-8")


def test_a_new_thing_gets_its_id_from_its_name(local: Local, tmp_path: Path) -> None:
    form = local.form("/case/adults/new")
    assert "id" not in form
    answer = local.post("/case/adults/new", form)
    assert answer.status == 422
    assert "what is the adult called?" in answer.text
    answer = local.post("/case/adults/new", form | {"name": "Robin", "free.sat": "3-5.30pm"})
    # a child has that id already, and a day off names either
    assert answer.headers["location"].startswith("/case/adults/robin-2?")
    assert "  robin-2:\n" in case_text(tmp_path)
    assert '{sat: "15:00-17:30"}' in case_text(tmp_path)


def test_most_of_a_skill_is_folded_away(local: Local) -> None:
    """Whom, name, what counts, how it was taught, what to vary: the rest is one step further in."""
    page = local.get("/case/targets/asks-for-help").text
    first, _, more = page.partition('<details class="more">')
    assert first.count('name="fields"') == 7
    assert more.partition("</form>")[0].count('name="fields"') > 20
    answer = local.post(
        "/case/targets/asks-for-help", local.form("/case/targets/asks-for-help") | {"trials": "x"}
    )
    assert '<details class="more" open>' in answer.text


def test_a_thing_is_called_otherwise_and_that_is_undone(local: Local, tmp_path: Path) -> None:
    before = case_text(tmp_path)
    page = html.unescape(local.get("/case/adults/mum").text)
    assert "Named by: target Asks for help; target Waits for a turn." in page
    answer = local.post("/case/adults/mum/rename", {"called": "Mama Lou"})
    assert answer.headers["location"].startswith("/case/adults/mama-lou?")
    assert "adults: [mama-lou, dad, aunt]" in case_text(tmp_path)
    assert "called Mama Lou now" in local.get(answer.headers["location"]).text
    page = local.get("/earlier").text
    assert "adult Mum is called Mama Lou now" in page
    number = page.partition('action="/earlier/')[2].partition('"')[0]
    answer = local.post(f"/earlier/{number}")
    assert answer.headers["location"].startswith("/earlier?")
    assert case_text(tmp_path) == before
    assert local.post("/earlier/99").status == 422
    assert local.post("/earlier/x").status == 404


def test_after_going_back_a_link_leads_to_the_plan_that_says_whom_to_tell(
    local: Local, tmp_path: Path
) -> None:
    folder = tmp_path / "case"
    local.post("/case/adults/mum/rename", {"called": "Mama Lou"})
    case = load(folder).case
    assert case is not None
    week = Week.of(NOW.date()).next()
    (folder / "weeks" / str(week)).mkdir(parents=True)
    kept = KeptWeek(week, NOW.replace(tzinfo=case.timezone), ())
    (folder / "weeks" / str(week) / "told.json").write_bytes(kept_bytes(kept, case))
    link = f'<a href="/plan/{week}">Plan week {week} again</a>'
    assert link not in local.get("/earlier").text
    answer = local.post("/earlier/1")
    assert link in local.get(answer.headers["location"]).text


def test_a_caution_goes_with_an_earlier_state_only_once_it_is_ticked(local: Local, tmp_path: Path) -> None:
    before = case_text(tmp_path)
    local.post("/case/adults/mum/rename", {"called": "Mama"})
    child = edit.thing(tmp_path / "case", ("learners", "robin"))
    assert isinstance(child.node, dict)
    record = {**child.node, "allergens": [Leaf("mustard", True)]}
    workflow.put_thing(tmp_path / "case", ("learners", "robin"), record, child.digest, None)
    there = case_text(tmp_path)
    refused = local.post("/earlier/1")
    assert refused.status == 422
    assert "must keep away from mustard" in refused.text
    assert "These changes would go as well: " in refused.text
    assert case_text(tmp_path) == there
    assert local.post("/earlier/1", {"cautions": "2"}).status == 422
    assert local.post("/earlier/1", {"cautions": "1"}).status == 303
    assert case_text(tmp_path) == before


def _with_a_set(local: Local, folder: Path, **keys: str) -> str:
    """The id of a set of the case that says this now."""
    id_ = next(iter(workflow.open_case(folder, None).case.material_sets))
    thing = edit.thing(folder, ("material_sets", id_))
    assert isinstance(thing.node, dict)
    record = {**thing.node, **{key: Leaf(value, key != "name") for key, value in keys.items()}}
    workflow.put_thing(folder, thing.path, record, thing.digest, None, lambda lost: True)
    return id_


def test_a_caution_goes_with_a_form_only_once_it_is_ticked(local: Local, tmp_path: Path) -> None:
    """What else was typed stays in the form; a tick for one caution lets no other go."""
    id_ = _with_a_set(local, tmp_path / "case", name="Beads", small_parts="yes")
    there, form = case_text(tmp_path), f"/case/material_sets/{id_}"
    typed = local.form(form) | {"small_parts": "no", "copies": "3"}
    refused = local.post(form, typed)
    assert refused.status == 422
    assert "A caution would go with this change." in refused.text
    assert "Beads: whether a piece could be swallowed" in refused.text
    assert case_text(tmp_path) == there
    assert form_fields(refused.text, 0)["copies"] == ["3"]
    assert local.post(form, typed | {"sure": "0123456789abcdef"}).status == 422
    word = refused.text.partition('name="sure" value="')[2].partition('"')[0]
    assert local.post(form, typed | {"sure": word}).status == 303
    assert workflow.open_case(tmp_path / "case", None).case.material_sets[id_].small_parts is False


def test_another_name_that_speaks_against_an_answer_is_asked_about(local: Local, tmp_path: Path) -> None:
    id_ = _with_a_set(local, tmp_path / "case", name="Blocks", small_parts="no")
    there, form = case_text(tmp_path), f"/case/material_sets/{id_}/rename"
    refused = local.post(form, {"called": "Marbles"})
    assert refused.status == 422
    assert "Marbles: by this name it may have pieces small enough" in refused.text
    assert form_fields(refused.text, 1)["called"] == ["Marbles"]
    assert case_text(tmp_path) == there
    word = refused.text.partition('name="sure" value="')[2].partition('"')[0]
    assert local.post(form, {"called": "Marbles", "sure": word}).status == 303


def test_what_cannot_be_renamed_keeps_what_was_typed(local: Local, tmp_path: Path) -> None:
    file = tmp_path / "case" / "results.csv"
    file.write_text('"date\n', "utf-8")
    before = case_text(tmp_path)
    answer = local.post("/case/adults/mum/rename", {"called": "Mama"})
    assert answer.status == 409
    assert "results.csv cannot be read" in answer.text
    assert form_fields(answer.text, 1)["called"] == ["Mama"]
    assert case_text(tmp_path) == before
    assert local.post("/case/adults/nobody/rename", {"called": "Mama"}).status == 404
