"""The guided start over HTTP: what is typed is kept, refusals speak of what is on the screen, a case at the end."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case import Week
from genplan.casefile import load
from genplan.language import Speech, Words, speech, speech_of_files
from genplan.start.case_text import case_text
from genplan.start.screens import SCREENS
from tests.fixtures.local_server import Answer, Local, form_fields, running
from tests.fixtures.start_answers import HOURS, answered


@pytest.fixture
def local(tmp_path: Path) -> Iterator[Local]:
    with running(tmp_path / "our-case") as found:
        yield found


def typed(group: str, *entries: dict[str, str], **more: str) -> dict[str, object]:
    """A form with entries of a group, each under its key."""
    fields: dict[str, object] = {f"{group}.keys": [e["key"] for e in entries], **more}
    for entry in entries:
        fields |= {f"{group}.{entry['key']}.{k}": v for k, v in entry.items() if k != "key"}
    return fields


def sent(local: Local, path: str, fields: dict[str, object]) -> Answer:
    """By a form that is drawn now."""
    shown = local.form(path.removesuffix("/keep"))
    return local.post(path, {name: shown[name] for name in ("form", "drawn")} | fields)


def told(page: str) -> str:
    found = re.search(r'role="alert".*?</div>', page, re.DOTALL)
    return html.unescape(" ".join(re.sub("<[^>]*>", " ", found[0] if found else "").split()))


def beside(page: str) -> list[str]:
    """What stands beside the fields."""
    return [html.unescape(found) for found in re.findall('<span class="wrong"[^>]*>(.*?)</span>', page)]


def test_what_is_wrong_is_said_once_beside_its_field(local: Local) -> None:
    child = {"key": "c1", "name": "Wren", "born": "spring", "hours": "mon 3-5", "allergies": "penut"}
    answer = sent(local, "/start/children", typed("children", child))
    assert len(beside(answer.text)) == 3
    assert all(html.unescape(answer.text).count(sentence) == 1 for sentence in beside(answer.text))
    assert told(answer.text).endswith("3 answers below need another look")
    one = sent(local, "/start/children", typed("children", child | {"born": "", "allergies": ""}))
    assert told(one.text).endswith("One answer below needs another look")


def test_whoever_is_not_with_a_child_has_not_taught_it(local: Local, tmp_path: Path) -> None:
    """Nobody is chosen beforehand where no helper is with all children, and who does not go with one is refused."""
    children = [
        {"key": f"c{n}", "name": name, "hours": "mon 3-5pm"} for n, name in ((1, "Wren"), (2, "Robin"))
    ]
    helpers = [
        {"key": "h1", "name": "Mum", "hours": "mon 3-5pm", "children": "c2"},
        {"key": "h2", "name": "Dad", "hours": "mon 3-5pm", "children": "c1"},
    ]
    workflow.keep_answers(
        tmp_path / "our-case", answered(children=children, helpers=helpers, things=[], skills=[])
    )
    shown = local.get("/start/skills").text
    by = re.search(r'<select id="skills.s1.by".*?</select>', shown, re.DOTALL)
    assert by is not None
    assert '<option value="" selected>' in by[0]
    skill = {
        "key": "s1",
        "name": "Waves",
        "correct": "She waves.",
        "child": "c1",
        "at": "l1",
        "places": "l1",
        "helpers": "h2",
    }
    left = sent(local, "/start/skills", typed("skills", skill | {"by": ""}))
    assert beside(left.text)[0] == "With whom was it learned? Choose one of those who help."
    wrong = sent(local, "/start/skills", typed("skills", skill | {"by": "h1"}))
    assert beside(wrong.text)[0].startswith("Mum is not with Wren")
    assert sent(local, "/start/skills", typed("skills", skill | {"by": "h2"})).status == 303


def test_that_somebody_looked_is_said_of_each_thing(local: Local, tmp_path: Path) -> None:
    child = {"key": "c1", "name": "Wren", "hours": "mon 3-5pm", "allergies": "egg"}
    things = [{"name": "Cup", "holds": "-looked:egg"}, *({"name": n, "holds": ""} for n in ("Ball", "Drum"))]
    workflow.keep_answers(tmp_path / "our-case", answered(children=[child], things=things))
    assert "same:things:m1:holds" not in local.get("/start/things").text
    local.post("/start/things", local.form("/start/things") | {"then": "same:things:m1:holds"})
    found = workflow.answers_so_far(tmp_path / "our-case").entries("things")
    assert [e.get("holds") for e in found] == ["-looked:egg", "", ""]


def test_one_click_says_of_all_that_it_names_that_they_are_nothing_to_eat(
    local: Local, tmp_path: Path
) -> None:
    child = {"name": "Wren", "born": "2020-04", "hours": "mon 3-5pm", "allergies": "egg"}
    things = [{"name": n, "cautions": "none", "holds": ""} for n in ("Ball", "Drum", "Snickers", "Banana")]
    skills = [
        {"name": "Plays", "correct": "Once", "things": "Ball, Drum"},
        {"name": "Asks for more", "correct": "Once", "things": "Banana, Snickers"},
    ]
    workflow.keep_answers(tmp_path / "our-case", answered(children=[child], things=things, skills=skills))
    shown = html.unescape(local.get("/start/things").text)
    assert "None of these is anything to eat or holds any of it, I have looked: Ball, Drum<" in shown
    refused = local.post("/start/things", local.form("/start/things") | {"then": "next"})
    assert " ".join(beside(refused.text)).count("Say of ") == 4
    for keys in ("m1+m2", "m1+m2+m3+m4"):  # whatever is sent, food is asked about by itself
        again = local.form("/start/things") | {"then": f"not-eaten:{keys}"}
        assert "Snickers" in local.post("/start/things", again).text
        found = workflow.answers_so_far(tmp_path / "our-case").entries("things")
        assert [e.get("holds") for e in found] == ["-looked:egg", "-looked:egg", "", ""]


def test_what_was_looked_for_in_a_thing_is_asked_anew_with_a_new_allergy_and_a_new_name(
    local: Local, tmp_path: Path
) -> None:
    """The case never says `free_of` of what nobody was asked about."""
    folder = tmp_path / "our-case"
    child = {"key": "c1", "name": "Wren", "born": "2020-04", "hours": "mon 3-5pm", "allergies": "milk"}
    things = [
        {"name": "custard pots", "holds": "-looked:milk"},
        {"name": "red cups", "holds": "-looked:milk"},
    ]
    workflow.keep_answers(folder, answered(children=[child], things=things))
    assert local.get("/start/things").text.count('value="-looked:milk" checked') == 2
    sent(local, "/start/children", typed("children", child | {"allergies": "milk, egg"}))
    assert "was chosen before egg was asked about here" in html.unescape(local.get("/start/ready").text)
    shown = local.get("/start/things").text
    assert 'value="-looked:egg+milk"' in shown
    assert 'value="-looked:egg+milk" checked' not in shown
    stale = [{"key": "m1", "holds": "-looked:milk"}]
    assert "What is called so may hold" in " ".join(
        beside(sent(local, "/start/things", typed("things", *stale)).text)
    )
    said = [{"key": key, "holds": "-looked:egg+milk", "kept_at": "l1"} for key in ("m1", "m2")]
    assert sent(local, "/start/things", typed("things", *said)).status == 303
    assert "free_of: [milk, egg]" in case_text(workflow.answers_so_far(folder), "abcdefghjkmn")
    # another name is another thing
    skill = {
        "key": "s1",
        "name": "Eats",
        "correct": "a",
        "by": "h1",
        "at": "l1",
        "helpers": "h1",
        "places": "l1",
    }
    sent(local, "/start/skills", typed("skills", skill | {"things": "pancake mix, red cups"}))
    assert [e.get("holds") for e in workflow.answers_so_far(folder).entries("things")] == [
        "",
        "-looked:egg+milk",
    ]
    assert local.get("/start/things").text.count('value="-looked:egg+milk" checked') == 1


def test_a_refusal_keeps_what_was_typed_and_marks_the_place(local: Local) -> None:
    child = {"key": "c1", "name": "Wren", "born": "spring", "hours": "mon 3-5", "allergies": "penut"}
    answer = sent(local, "/start/children", typed("children", child))
    assert answer.status == 422
    assert any("Is it the afternoon? Then write 15:00-17:00" in sentence for sentence in beside(answer.text))
    assert any("Is it 'peanut'?" in sentence for sentence in beside(answer.text))
    page = local.get("/start/children").text  # after the browser was closed
    for text in ("Wren", "spring", "mon 3-5", "penut"):
        assert f'value="{text}"' in page
    assert answer.text.count('aria-invalid="true"') == 3
    assert 'href="#children.c1.born"' in answer.text
    assert 'id="children.c1.born"' in answer.text


def test_what_is_on_the_screen_is_kept_without_being_sent(local: Local, tmp_path: Path) -> None:
    helper = {"key": "h4", "name": "Nan", "hours": "tu"}
    assert sent(local, "/start/helpers/keep", typed("helpers", helper)).status == 204
    assert 'value="tu"' in local.get("/start/helpers").text
    assert "Go on where you were" in local.get("/").text
    assert not (tmp_path / "our-case" / "case.yaml").exists()
    assert sent(local, "/start/helpers/keep", typed("helpers", helper) | {"token": "x"}).status == 403


def test_without_a_script_rows_come_and_go_by_their_buttons(local: Local) -> None:
    mum, dad = {"key": "h1", "name": "Mum", "hours": "x"}, {"key": "h2", "name": "Dad"}
    page = sent(local, "/start/helpers", typed("helpers", mum, dad, then="more:helpers")).text
    assert 'name="helpers.h3.name"' in page
    assert not told(page)
    page = sent(local, "/start/helpers", typed("helpers", mum, dad, then="out:helpers:h1")).text
    assert 'name="helpers.h1.name"' not in page
    assert 'value="Dad"' in page
    assert sent(local, "/start/helpers", typed("helpers", dad, then="out:places:l1")).status == 200
    assert (
        sent(local, "/start/helpers", {"helpers.keys": ["../x", "h0", "h1"], "helpers.h1.name": "A"}).status
        == 422
    )


def test_an_empty_row_is_enough_where_another_is_asked_for(local: Local) -> None:
    page = local.post(
        "/start/places", typed("places", {"key": "l1", "name": "Home"}, then="more:places")
    ).text
    rows = re.findall(r'name="places\.(l\d)\.name"', page)
    assert rows == ["l1", "l2"]


def test_a_default_that_was_only_shown_is_not_an_answer(local: Local, tmp_path: Path) -> None:
    workflow.keep_answers(tmp_path / "our-case", answered())
    form = local.form("/start/skills")
    assert form["skills.s1.trials"] == ["5"]
    local.post("/start/skills", form)
    (skill,) = workflow.answers_so_far(tmp_path / "our-case").entries("skills")
    assert {k for k, v in skill.texts.items() if v} == {"name", "correct", "by", "at", "things"}


def test_what_the_skills_name_is_asked_about_next_and_once(local: Local, tmp_path: Path) -> None:
    """What was said of a thing comes back with its name; nothing is planned before it was asked about."""
    folder = tmp_path / "our-case"
    workflow.keep_answers(folder, answered(things=[]))
    skill = {
        "key": "s1",
        "name": "Sorts",
        "correct": "Three",
        "by": "h1",
        "at": "l1",
        "helpers": "h1",
        "places": "l1",
    }
    named = typed(
        "skills",
        skill | {"things": "Two cups, lunch box"},
        skill | {"key": "s2", "name": "B", "things": "two CUPS"},
    )
    answer = sent(local, "/start/skills", named)
    assert answer.headers["location"] == "/start/things"
    ready = local.get("/start/ready").text
    assert "This was not gone through yet." in ready
    assert "Plan the first week" not in ready
    form = local.form("/start/things")
    assert form["things.keys"] == ["m1", "m2"]
    looked = form | {"things.m1.cautions": "small", "things.m2.cautions": "none"}
    assert local.post("/start/things", looked).headers["location"] == "/start/ready"
    assert "learned using Two cups; to be tried using lunch box too" in local.get("/start/ready").text
    for text, kept in (("lunch box", ["none"]), ("", []), ("lunch box, two cups", ["none", "small"])):
        sent(local, "/start/skills/keep", typed("skills", skill | {"things": text}))
        found = workflow.answers_so_far(folder).entries("things")
        assert [e.get("cautions") for e in found] == kept
    assert "things" not in workflow.answers_so_far(folder).done, "one came back, and is looked at once more"
    local.post("/start/skills", local.form("/start/skills") | {"then": "out:skills:s1"})
    assert not workflow.answers_so_far(folder).entries("things")


def test_what_is_kept_from_the_child_leads_back_to_the_skill_that_names_it(
    local: Local, tmp_path: Path
) -> None:
    things = [{"name": "Two cups", "cautions": "none"}, {"name": "Beads", "cautions": "small"}]
    child = {"name": "Wren", "born": "2024-06", "hours": HOURS}
    workflow.keep_answers(tmp_path / "our-case", answered(children=[child], things=things))
    ready = local.get("/start/ready").text
    assert (
        '<a href="/start/skills">Skills to begin with</a>'
        in ready.partition('role="alert"')[2].partition("</div>")[0]
    )
    assert "Plan the first week" not in ready
    (sentence,) = beside(local.get("/start/skills").text)
    assert sentence.startswith("Wren is kept from: Beads (nothing that could be swallowed")


DU = re.compile(r"\b([Dd]u|[Dd]ein\w*|[Dd]ir|[Dd]ich|Nimm|Schreib|Lass|Wähle|Tippe)\b")
SIE = re.compile(r"\b(Sie|Ihre?[nmrs]?|Ihnen)\b")


@pytest.mark.parametrize(
    ("policy", "is_formal"), [("family", False), ("school-transfer", True), ("caseload", True)]
)
def test_german_addresses_a_family_familiarly_and_others_formally(
    local: Local, tmp_path: Path, policy: str, is_formal: bool
) -> None:
    purpose = [{"policy": policy, "timezone": "Europe/Berlin"}]
    workflow.keep_answers(tmp_path / "our-case", answered(purpose=purpose))
    pages = [html.unescape(local.get(f"/start/{s.key}", Accept_Language="de").text) for s in SCREENS]
    found = [pattern.search(page) for page in pages for pattern in ([DU] if is_formal else [SIE])]
    assert not any(found)
    asked = "Nehmen Sie den Haken weg" if is_formal else "Nimm den Haken weg"
    assert asked in pages[4]


def test_before_the_purpose_is_known_german_addresses_nobody(local: Local) -> None:
    for path in ("/", "/start/purpose"):
        page = html.unescape(
            re.sub("<form.*?</form>", "", local.get(path, Accept_Language="de").text, flags=re.S)
        )
        assert "Für wen ist es?" in page or "Beginnen" in page
        assert not DU.search(page)
        assert not SIE.search(page)


def test_a_longest_visit_in_which_no_check_fits_is_refused(local: Local) -> None:
    child = {"key": "c1", "name": "Wren", "hours": "mon 3-5pm", "minutes": "2"}
    answer = sent(local, "/start/children", typed("children", child))
    assert answer.status == 422
    assert "a visit has to last 10 minutes at least" in beside(answer.text)[0]
    assert 'href="#children.c1.minutes"' in answer.text


def test_an_allergy_that_holds_a_known_word_is_asked_about(local: Local) -> None:
    child = {"key": "c1", "name": "Wren", "hours": "mon 3-5pm", "allergies": "Eipulver"}
    answer = sent(local, "/start/children", typed("children", child))
    assert answer.status == 422
    assert "Is it 'egg'?" in beside(answer.text)[0]


def test_what_leaves_the_first_week_empty_is_said_before_it_is_planned(local: Local, tmp_path: Path) -> None:
    workflow.keep_answers(tmp_path / "our-case", answered())
    page = html.unescape(local.get("/start/ready").text)
    assert "Wren and Dad are never free together for the 10 minutes" in page
    assert "will hold nothing of it" not in page
    workflow.keep_answers(tmp_path / "our-case", answered(helpers=[{"name": "Dad", "hours": "sat 10-12"}]))
    page = html.unescape(local.get("/start/ready").text)
    assert "so the first week will hold nothing of it: change the hours." in page
    assert "Plan the first week" in page


def test_hours_are_read_for_the_painted_week(local: Local) -> None:
    answer = local.get("/start/hours?text=tue+3-5pm")
    assert '"said":"Tuesday 15:00–17:00"' in answer.text
    assert "[[],[[900,1020]],[]" in answer.text
    assert "Which days?" in local.get("/start/hours?text=3-5pm").text


def test_the_first_week_is_planned_at_the_end(
    local: Local, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And nothing is made as long as something is missing. The week is planned as the case that was made now says."""
    begun: list[object] = []
    monkeypatch.setattr(
        "genplan.web.start.screens.plan.begin",
        lambda site, week: begun.extend((week, speech(), speech_of_files())),
    )
    folder = tmp_path / "our-case"
    workflow.keep_answers(folder, answered(helpers=[{"name": "Mum"}]))
    answer = local.post("/start/make")
    assert (answer.status, begun) == (422, [])
    assert "When can Mum help?" in answer.text
    assert "Plan the first week" not in answer.text
    workflow.keep_answers(folder, answered())
    assert "Wren: born 2020-04; Monday to Friday 15:00–18:00" in local.get("/start/ready").text
    answer = local.post("/start/make", local.form("/start/ready"))
    assert answer.headers["location"].startswith("/plan/2026-W49")
    plain = Speech("en", Words.PLAIN)
    assert begun == [Week(2026, 49), plain, plain]
    assert load(folder).case is not None
    assert local.post("/start/make").headers["location"] == "/"
    # then there is nothing more to ask
    assert local.get("/start").headers["location"].startswith("/case?said=")
    assert local.post("/start/children/keep", {"children.keys": "c1"}).status == 422
    assert local.get("/start/nothing").status == 404


def test_once_the_case_is_made_its_questions_lead_to_it(local: Local, tmp_path: Path) -> None:
    workflow.case_of_answers(tmp_path / "our-case", answered(), local.site.now)
    for path in ("/start", "/start/skills", "/start/ready"):
        answer = local.get(path)
        assert answer.status == 303
        assert answer.headers["location"].startswith("/case?said=")


def test_a_second_window_does_not_write_over_the_first(local: Local, tmp_path: Path) -> None:
    """What was typed is shown again beside what is there now, and put there only by a second press."""
    folder = tmp_path / "our-case"
    workflow.keep_answers(folder, answered())
    one, other = local.form("/start/helpers"), local.form("/start/helpers")
    changed = one | {"helpers.h1.hours": "sat 9-11"}
    assert local.post("/start/helpers/keep", changed).status == 204
    assert local.post("/start/helpers/keep", changed | {"helpers.h1.hours": "sat 9-12"}).status == 204
    late = other | {"helpers.h2.hours": "sun 9-11"}
    assert local.post("/start/helpers/keep", late).status == 409
    answer = local.post("/start/helpers", late)
    assert answer.status == 409
    assert "This was changed elsewhere meanwhile" in told(answer.text)
    assert "Mum: Saturday 09:00–12:00" in told(answer.text)
    assert 'value="sun 9-11"' in answer.text
    assert workflow.answers_so_far(folder).one("helpers", "hours") == "sat 9-12"
    again = form_fields(answer.text)
    assert local.post("/start/helpers", again).status == 303
    assert [e.get("hours") for e in workflow.answers_so_far(folder).entries("helpers")][1] == "sun 9-11"


def test_what_was_changed_after_the_look_at_it_is_looked_at_once_more(local: Local, tmp_path: Path) -> None:
    workflow.keep_answers(tmp_path / "our-case", answered())
    form = local.form("/start/ready")
    workflow.keep_answers(tmp_path / "our-case", answered(things=[]))
    answer = local.post("/start/make", form)
    assert answer.status == 409
    assert "look at it once more" in answer.text
    assert not (tmp_path / "our-case" / "case.yaml").exists()


@pytest.mark.parametrize("group", ["children", "helpers"])
def test_a_list_of_names_is_an_entry_for_each_whose_questions_are_asked(local: Local, group: str) -> None:
    """Without the page's script: the screen stays until they were seen."""
    names = {"key": f"{group[0]}1", "name": "Mum, Dad; Nan"}
    answer = sent(local, f"/start/{group}", typed(group, names))
    assert answer.status == 200
    fields = form_fields(answer.text)
    there = [
        fields[f"{group}.{key}.name"] for key in fields[f"{group}.keys"][:3]
    ]  # then the pattern of a new one
    assert there == [["Mum"], ["Dad"], ["Nan"]]


@pytest.mark.parametrize("number", [61, 200, 3000])
def test_a_list_that_is_too_long_is_kept_and_asked_about(local: Local, tmp_path: Path, number: int) -> None:
    names = ", ".join(f"H{n}" for n in range(number))
    answer = sent(local, "/start/helpers", typed("helpers", {"key": "h1", "name": names, "hours": HOURS}))
    assert answer.status == 422
    assert beside(answer.text)[0].startswith(
        f"That is {number}, and at most 60 can be asked about here. All are kept"
    )
    assert [e.get("name") for e in workflow.answers_so_far(tmp_path / "our-case").entries("helpers")] == [
        names
    ]


def test_what_one_thing_says_can_be_said_of_all_that_say_nothing(local: Local, tmp_path: Path) -> None:
    """What somebody ticked otherwise stays."""
    folder = tmp_path / "our-case"

    def cautions() -> list[str]:
        return [e.get("cautions") for e in workflow.answers_so_far(folder).entries("things")]

    workflow.keep_answers(
        folder, answered(things=[{"name": n} for n in ("Cup", "Singing toy phone", "Lunch box")])
    )
    of_all = {"then": "same:things:m1:cautions"}
    fields = local.form("/start/things") | {"things.m1.cautions": "none"}
    apart = local.post("/start/things", fields | of_all)
    assert apart.status == 200
    assert cautions() == ["none", "", "none"]
    assert "By its name Singing toy phone may have a small piece, a magnet or a battery" in apart.text
    fields = form_fields(apart.text)
    again = local.post(
        "/start/things", fields | {"things.m2.cautions": "small", "things.m3.cautions": []} | of_all
    )
    assert cautions() == ["none", "small", "none"]
    name = local.post("/start/things", form_fields(again.text) | {"then": "same:things:m1:name"})
    assert name.status == 200
    assert local.post("/start/things", form_fields(name.text)).status == 303
