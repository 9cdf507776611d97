"""Forms over the files of a case: no change is no change, a change is that change, and two tabs do no harm."""

from __future__ import annotations

import re
import shutil
from datetime import datetime
from pathlib import Path
from urllib.parse import urlencode

import pytest

from genplan.case import STRENGTHS, TargetState, Week
from genplan.case.targets import Teach
from genplan.case.week import DAY_NAMES
from genplan.casefile.record_types import KNOWN, NoField
from genplan.casefile.tree import Leaf, Node
from genplan.keeping.store import kept_bytes
from genplan.keeping.told import KeptWeek
from genplan.start.screens import SCREENS
from genplan.web.endpoints import Answers
from genplan.web.forms import FORMS, GENERAL, WIDGETS
from genplan.web.hours_widget import HoursInForm, days_of, hours_node
from genplan.workflow import open_case
from tests.fixtures.local_server import NOW, Local, form_fields, running
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.places import EXAMPLES
from tests.fixtures.starter_case import write_starter


@pytest.fixture
def folder(tmp_path):
    write_starter(tmp_path / "case")
    return tmp_path / "case"


@pytest.fixture
def local(folder):
    with running(folder) as local:
        yield local


def lines_changed(before: str, after: str) -> list[tuple[str, str]]:
    return [(a, b) for a, b in zip(before.splitlines(), after.splitlines(), strict=True) if a != b]


def test_the_case_says_how_many_it_has_of_each(local: Local) -> None:
    page = local.get("/case").text
    found = re.findall(r"<summary>([^<]*)</summary>", page)
    assert found == ["1 learner", "3 adults", "3 locations", "3 material sets", "2 targets"]


def test_the_guided_start_says_how_many_screens_there_may_be(tmp_path: Path) -> None:
    with running(tmp_path / "nothing") as local:
        assert f"At most {len(SCREENS)} short screens" in local.get("/").text
        first = local.get(local.get("/start").headers["location"]).text
        assert f"1 of at most {len(SCREENS)}" in first


@pytest.mark.parametrize("example", by_day_the_first(["family", "school-transfer"]))
def test_a_form_sent_back_untouched_changes_no_byte(tmp_path, example):
    folder = tmp_path / "case"
    shutil.copytree(EXAMPLES / example, folder)
    before = {p.name: p.read_bytes() for p in folder.glob("*.yaml")}
    from genplan.casefile.edit import things

    sent = 0
    with running(folder) as local:
        for section in FORMS:
            for id_ in things(folder)[section]:
                answer = local.post(f"/case/{section}/{id_}", local.form(f"/case/{section}/{id_}"))
                assert answer.status == 303, f"{id_}: {answer.text}"
                sent += 1
        assert local.post("/case/general", local.form("/case/general")).status == 303
    assert sent > 20
    assert before == {p.name: p.read_bytes() for p in folder.glob("*.yaml")}


def test_a_change_in_a_form_is_that_change_in_the_file(local, folder):
    before = (folder / "case.yaml").read_text("utf-8")
    fields = local.form("/case/adults/mum") | {"name": ["Mama"], "free.sat": ["10:00-13:00"]}
    assert local.post("/case/adults/mum", fields).status == 303
    assert lines_changed(before, (folder / "case.yaml").read_text("utf-8")) == [
        ("    name: Mum", "    name: Mama"),
        (
            '    free: {mon-thu: "16:00-18:00", sat: "10:00-12:00"}',
            '    free: {mon-thu: "16:00-18:00", sat: "10:00-13:00"}',
        ),
    ]


def test_a_thing_is_added_and_taken_out_again(local, folder):
    before = (folder / "case.yaml").read_bytes()
    fields = local.form("/case/adults/new") | {
        "id": ["gran"],
        "name": ["Gran: the elder"],
        "free.mon": ["16:00-17:00"],
        "locations": ["these"],
        "locations.these": ["home"],
        "limits.minutes_per_week": ["30"],
    }
    assert local.post("/case/adults/new", fields).status == 303
    text = (folder / "case.yaml").read_text("utf-8")
    added = (
        '  gran:\n    name: "Gran: the elder"\n    free: {mon: "16:00-17:00"}\n'
        "    locations: [home]\n    limits: {minutes_per_week: 30}\n"
    )
    assert added in text
    assert text.replace(added, "").encode() == before
    taken = local.form("/case/adults/gran", 2)
    assert local.post("/case/adults/gran/remove", taken).status == 303
    assert (folder / "case.yaml").read_bytes() == before


def saved(local, path, **more):
    return local.post(path, local.form(path) | {k.replace("__", "."): v for k, v in more.items()})


def test_a_place_that_is_never_open_stays_so_in_its_form() -> None:
    never: dict[str, Node] = {"daily": []}
    shown = HoursInForm().show(never, ())
    assert [text for _day, _name, text in shown] == ["closed"] * 7
    typed = Answers({f"open.{day}": [text] for day, _name, text in shown})
    assert HoursInForm().read(typed, "open", never) == never
    assert HoursInForm().read(Answers({}), "open", never) is None


def test_every_key_of_a_case_has_its_field_or_says_where_it_is_changed():
    drawn = {field.key[-1] for form in (*FORMS.values(), GENERAL) for field in form.fields}
    for thing, keys in KNOWN.items():
        for name, key in keys.items():
            if key.form is None:
                assert key.kind.keys, f"{name} of {thing} has no field and does not say why"
            elif isinstance(key.form, NoField):
                assert key.form.why
            else:
                assert key.form.widget in WIDGETS
                assert name in drawn, f"{name} of {thing} is in no form"


def test_the_forms_offer_every_strength_and_every_state():
    fields = {field.name: field.widget for field in FORMS["targets"].fields}
    assert {word for word, _ in fields["cover"].words[1:]} == set(STRENGTHS)
    assert {word for word, _ in fields["state"].words[1:]} == {s.value for s in TargetState} - {"mastered"}
    assert {word for word, _ in fields["teach"].words[1:]} == set(Teach)


def test_weights_holidays_and_terms_are_typed(local, folder):
    assert saved(local, "/case/learners/robin", needs="1.5").status == 303
    place = "/case/locations/playground"
    assert saved(local, place, holidays="AU-TAS", terms="2026-08-27..2026-12-18").status == 303
    text = (folder / "case.yaml").read_text("utf-8")
    assert "    needs: 1.5\n" in text
    assert "    holidays: {country: AU, subdivision: TAS}" in text
    assert "2026-08-27..2026-12-18" in text
    assert local.form(place)["holidays"] == ["AU-TAS"]
    assert saved(local, place, holidays="NO").status == 303
    assert 'holidays: "NO"' in (folder / "case.yaml").read_text("utf-8")
    assert saved(local, place, holidays="", terms="").status == 303
    refused = saved(local, place, holidays="ie", terms="August")
    assert (refused.status, "did you mean" in refused.text.lower()) == (422, True)
    assert ("ie" in form_fields(refused.text)["holidays"], form_fields(refused.text)["terms"]) == (
        True,
        ["August"],
    )


MUM = "/case/adults/mum"


def test_ticks_beside_all_are_asked_about_and_not_dropped(local, folder):
    """As a browser without scripts sends them."""
    before = (folder / "case.yaml").read_bytes()
    answer = saved(local, MUM, locations__these=["home", "playground"])
    assert answer.status == 422
    assert "Goes to: &#39;every location&#39; was chosen, and some were ticked as well" in answer.text
    assert (folder / "case.yaml").read_bytes() == before
    again = form_fields(answer.text)
    assert (again["locations"], again["locations.these"]) == (["these"], ["home", "playground"])
    assert local.post(MUM, again).status == 303
    assert "    locations: [home, playground]\n" in (folder / "case.yaml").read_text("utf-8")
    # the ticks as they were shown: whether 'every' was chosen after them or before, nobody can tell
    assert saved(local, MUM, locations="all").status == 422
    assert saved(local, MUM, locations="all", locations__these=[]).status == 303
    assert (folder / "case.yaml").read_bytes() == before


@pytest.mark.parametrize(
    ("section", "id_"),
    [("adults", "dad"), ("locations", "home"), ("material_sets", "lunch-box"), ("targets", "waits-for-turn")],
)
def test_no_tick_is_dropped_in_any_form(local, folder, section, id_):
    path = f"/case/{section}/{id_}"
    page = local.get(path).text
    for name in re.findall(r'type="radio" name="([a-z_]+)" value="all"', page):
        values = re.findall(rf'name="{name}.these" value="([^"]+)"( checked)?', page)
        assert values
        typed = [v for v, ticked in values if not ticked][:1] or [values[0][0]]
        answer = local.post(path, local.form(path) | {name: ["all"], f"{name}.these": typed})
        assert (answer.status, "were ticked as well" in answer.text) == (422, True), name
        assert form_fields(answer.text)[f"{name}.these"] == typed


def test_whom_an_adult_may_teach_is_not_what_leaving_it_out_means(local, folder):
    """Left out: what the adult is briefed on. `all` is more, is shown as a tick at each, and stays as it is."""
    assert local.form(MUM)["teaches"] == ["all"]
    file = folder / "case.yaml"
    text = file.read_text("utf-8").replace("    role: parent\n", "    role: parent\n    teaches: all\n", 1)
    file.write_text(text, "utf-8")
    shown = local.form(MUM)
    assert (shown["teaches"], shown["teaches.these"]) == (["these"], ["asks-for-help", "waits-for-turn"])
    assert local.post(MUM, shown).status == 303
    assert file.read_text("utf-8") == text
    one = local.form(MUM) | {"teaches.these": ["waits-for-turn"]}
    assert local.post(MUM, one).status == 303
    assert "    teaches: [waits-for-turn]\n" in file.read_text("utf-8")
    without = local.form(MUM) | {"teaches": ["all"], "teaches.these": []}
    assert local.post(MUM, without).status == 303
    assert "    teaches:" not in file.read_text("utf-8")


def test_how_a_target_is_taught_and_what_is_held_out_are_typed(local, folder):
    path = "/case/targets/asks-for-help"
    typed = local.form(path) | {"teach": ["fewest"], "taught_when": ["4/5"], "teachings_before_retest": ["2"]}
    typed |= {
        "how_taught": ["Wait, then show it"],
        "hold_out.0.adult": ["aunt"],
        "hold_out.0.location": ["playground"],
    }
    answer = local.post(path, typed)
    assert answer.status == 303, answer.text
    target = open_case(folder, NOW).case.targets["asks-for-help"]
    assert (target.teach, str(target.taught_when), target.teachings_before_retest) == ("fewest", "4/5", 2)
    assert target.how_taught == "Wait, then show it"
    assert target.hold_out == ({"adult": "aunt", "location": "playground"},)


def test_what_must_be_among_what_is_met_is_typed(local, folder):
    path = "/case/targets/asks-for-help"
    asked = {
        "generalised_when.adults": "2",
        "generalised_when.with": "location: playground\nlocation: home, adult: aunt",
        "generalised_when.untaught": "yes",
    }
    answer = saved(local, path, **asked)
    assert answer.status == 303, answer.text
    target = open_case(folder, NOW).case.targets["asks-for-help"]
    assert target.generalised_with == ({"location": "playground"}, {"location": "home", "adult": "aunt"})
    assert (target.generalised_when["adult"], target.generalised_untaught) == (2, True)
    before = (folder / "case.yaml").read_bytes()
    # sent back as it is drawn it changes no byte, and what names nothing is asked about
    assert local.post(path, local.form(path)).status == 303
    assert (folder / "case.yaml").read_bytes() == before
    unclear = saved(local, path, **{"generalised_when.with": "the playground"})
    assert (unclear.status, "names no values" in unclear.text) == (422, True)
    assert form_fields(unclear.text)["generalised_when.with"] == ["the playground:"]
    assert (folder / "case.yaml").read_bytes() == before


def test_values_without_a_name_or_under_one_name_twice_are_asked_about(local, folder):
    before = (folder / "case.yaml").read_bytes()
    path = "/case/targets/asks-for-help"
    nameless = saved(local, path, **{"also_vary.0.values": "loud\nquiet"})
    assert (nameless.status, "Also vary: values have no name" in nameless.text) == (422, True)
    assert form_fields(nameless.text)["also_vary.0.values"] == ["loud\nquiet"]
    rows = {
        "also_vary.0.name": "voice",
        "also_vary.0.values": "loud",
        "also_vary.1.name": "voice",
        "also_vary.1.values": "quiet",
    }
    twice = saved(local, path, **rows)
    assert (twice.status, "the name &#39;voice&#39; stands twice" in twice.text) == (422, True)
    assert form_fields(twice.text)["also_vary.1.values"] == ["quiet"]
    assert (folder / "case.yaml").read_bytes() == before


def test_a_route_that_is_half_filled_in_is_shown_again_and_the_others_stay(local, folder):
    half = saved(
        local,
        "/case/general",
        **{"travel_minutes.routes.1.from": "home", "travel_minutes.routes.1.minutes": "5"},
    )
    assert half.status == 422
    fields = form_fields(half.text)
    assert fields["travel_minutes.routes.1.minutes"] == ["5"]
    assert local.post("/case/general", fields | {"travel_minutes.routes.1.to": ["aunts-house"]}).status == 303
    text = (folder / "case.yaml").read_text("utf-8")
    assert "{between: [home, playground], minutes: 10}" in text
    assert "{between: [home, aunts-house], minutes: 5}" in text


def test_no_row_is_dropped_however_many_there_are(local, folder):
    rows = [f"{{adult: mum, location: home, material_set: two-cups, company: kind {n}}}" for n in range(70)]
    kinds = ", ".join(f"kind {n}" for n in range(70))
    text = (folder / "case.yaml").read_text("utf-8")
    text = text.replace("[alone, with another child]", f"[{kinds}]")
    text = text.replace(
        "taught: [{adult: dad, location: home, material_set: two-cups}]", f"taught: [{', '.join(rows)}]"
    )
    (folder / "case.yaml").write_text(text, "utf-8")
    path = "/case/targets/waits-for-turn"
    assert (
        saved(
            local,
            path,
            **{"taught.70.adult": "dad", "taught.70.location": "home", "taught.70.material_set": "two-cups"},
        ).status
        == 303
    )
    after = (folder / "case.yaml").read_text("utf-8")
    assert all(row in after for row in rows)
    assert "{adult: dad, location: home, material_set: two-cups}" in after


def test_what_a_list_does_not_offer_stays_chosen(local, folder):
    """An id that is not in the case any more: a form must not empty it unseen."""
    text = (
        (folder / "case.yaml").read_text("utf-8").replace("taught: [{adult: dad,", "taught: [{adult: uncle,")
    )
    (folder / "case.yaml").write_text(
        text.replace("between: [home, playground]", "between: [home, park]"), "utf-8"
    )
    assert local.form("/case/targets/waits-for-turn")["taught.0.adult"] == ["uncle"]
    assert local.form("/case/general")["travel_minutes.routes.0.to"] == ["park"]


def test_a_dimension_is_renamed_though_rows_name_it(local, folder):
    path = "/case/targets/waits-for-turn"
    assert saved(local, path, **{"never.0.company": "alone", "never.0.adult": "mum"}).status == 303
    refused = saved(local, path, **{"also_vary.0.name": "setting"})
    assert refused.status == 422
    fields = form_fields(refused.text)
    assert fields["never.0.company"] == ["alone"]
    assert local.post(path, fields | {"never.0.company": [""], "never.0.setting": ["alone"]}).status == 303
    text = (folder / "case.yaml").read_text("utf-8")
    assert "never: [{adult: mum, setting: alone}]" in text
    assert "also_vary: {setting: [alone, with another child]}" in text


def test_what_is_needed_elsewhere_stays(local, folder):
    before = (folder / "case.yaml").read_bytes()
    answer = local.post("/case/material_sets/two-cups/remove", local.form("/case/material_sets/two-cups", 2))
    assert answer.status == 422
    assert "targets.asks-for-help" in answer.text
    assert (folder / "case.yaml").read_bytes() == before


@pytest.mark.parametrize(
    ("field", "typed", "told"),
    [
        ("free.mon", "25:00-26:00", "which no clock shows"),
        ("away", "2026-13-01", "which no calendar has"),
        ("limits.minutes_per_week", "many", "a whole number"),
        ("busy", "../secret.ics", "busy"),
    ],
)
def test_what_would_not_load_is_refused_and_what_was_typed_is_kept(local, folder, field, typed, told):
    before = (folder / "case.yaml").read_bytes()
    answer = local.post(
        "/case/adults/mum", local.form("/case/adults/mum") | {field: [typed], "role": ["chief"]}
    )
    assert answer.status == 422
    assert told in answer.text
    assert typed in answer.text
    assert "chief" in answer.text
    assert (folder / "case.yaml").read_bytes() == before


@pytest.mark.parametrize("id_", ["", "Gran", "gran ma", "all", "mum", "../x"])
def test_a_new_thing_needs_an_id_of_its_own(local, folder, id_):
    before = (folder / "case.yaml").read_bytes()
    assert local.post("/case/adults/new", local.form("/case/adults/new") | {"id": [id_]}).status == 422
    assert (folder / "case.yaml").read_bytes() == before


def test_hours_that_cannot_be_read_are_told_by_the_day_of_their_field(local, folder):
    answer = local.post("/case/adults/mum", local.form("/case/adults/mum") | {"free.thu": ["17"]})
    assert answer.status == 422
    assert "Hours, Thursday: " in answer.text
    assert "free.thu:" not in answer.text


def test_hours_that_another_tab_saved_are_told_day_by_day(local, folder):
    first, second = local.form("/case/adults/mum"), local.form("/case/adults/mum")
    assert local.post("/case/adults/mum", first | {"free.thu": ["9:00-10:00"]}).status == 303
    answer = local.post("/case/adults/mum", second | {"name": ["Mother"]})
    assert answer.status == 409
    (told,) = answer.text.split("Hours, as it is now: ")[1:]
    assert "Thursday 09:00-10:00" in told.partition(".")[0]
    assert "{" not in told.partition(".")[0]


def test_of_two_tabs_the_second_is_told_and_overwrites_nothing(local, folder):
    first, second = local.form("/case/adults/mum"), local.form("/case/adults/mum")
    assert local.post("/case/adults/mum", first | {"name": ["Mama"]}).status == 303
    kept = (folder / "case.yaml").read_bytes()
    answer = local.post("/case/adults/mum", second | {"name": ["Mother"]})
    assert answer.status == 409
    assert "was changed by somebody" in answer.text
    assert "case.yaml was" not in answer.text
    assert "Name, as it is now: Mama." in answer.text
    assert "Hours, as" not in answer.text
    assert "Mother" in answer.text
    assert (folder / "case.yaml").read_bytes() == kept
    assert local.post("/case/adults/mum", form_fields(answer.text)).status == 303
    assert "name: Mother" in (folder / "case.yaml").read_text("utf-8")


def test_six_saves_of_six_adults_at_once_are_all_taken(local, folder):
    """And of two of one thing, in the same moment, one."""
    from concurrent.futures import ThreadPoolExecutor

    ids = [f"aunt-{n}" for n in range(6)]
    for id_ in ids:
        fields = local.form("/case/adults/new") | {"id": [id_], "name": [id_]}
        assert local.post("/case/adults/new", fields).status == 303
    forms = {id_: local.form(f"/case/adults/{id_}") for id_ in ids}
    with ThreadPoolExecutor(12) as pool:
        sent = [(id_, n, forms[id_] | {"role": [f"role {n} of {id_}"]}) for n in range(2) for id_ in ids]
        answers = list(pool.map(lambda s: local.post(f"/case/adults/{s[0]}", s[2]).status, sent))
    for id_ in ids:
        own = [(status, n) for (who, n, _), status in zip(sent, answers, strict=True) if who == id_]
        assert sorted(status for status, _ in own) == [303, 409]
        taken = next(n for status, n in own if status == 303)
        assert f"role {taken} of {id_}" in (folder / "case.yaml").read_text("utf-8")


def test_a_change_elsewhere_does_not_hinder_the_case_itself(local, folder):
    general = local.form("/case/general")
    assert local.post("/case/adults/mum", local.form("/case/adults/mum") | {"name": ["Mama"]}).status == 303
    assert local.post("/case/general", general | {"timezone": ["Europe/Paris"]}).status == 303
    assert local.post("/case/general", general | {"timezone": ["Europe/Berlin"]}).status == 409
    text = (folder / "case.yaml").read_text("utf-8")
    assert "name: Mama" in text
    assert "Europe/Paris" in text


def test_an_edit_from_outside_is_seen_at_once_and_not_overwritten(local, folder):
    fields = local.form("/case/adults/mum")
    text = (folder / "case.yaml").read_text("utf-8")
    (folder / "case.yaml").write_text(text.replace("name: Mum", "name: Mother"), "utf-8")
    assert local.post("/case/adults/mum", fields | {"role": ["chief"]}).status == 409
    assert "Mother" in local.get("/case/adults/mum").text
    (folder / "case.yaml").write_text(text, "utf-8")
    general = local.form("/case/general")
    other = re.sub("(?m)^timezone:.*$", "timezone: Europe/Madrid", text)
    assert other != text
    (folder / "case.yaml").write_text(other, "utf-8")
    assert local.post("/case/general", general | {"timezone": ["Europe/Paris"]}).status == 409
    assert (folder / "case.yaml").read_text("utf-8") == other


def test_a_case_with_an_error_says_so_everywhere_and_is_put_right_in_its_form(local, folder):
    text = (folder / "case.yaml").read_text("utf-8")
    (folder / "case.yaml").write_text(text.replace('"16:00-18:00"', '"16:00-28:00"'), "utf-8")
    for path in ("/matrix", "/plan/2026-W49", "/record", "/week/2026-W49"):
        answer = local.get(path)
        assert (answer.status, "28:00" in answer.text) == (422, True)
    assert 'href="/case/adults/mum"' in local.get("/check").text
    fields = local.form("/case/adults/mum") | {f"free.{d}": ["16:00-18:00"] for d in DAY_NAMES[:4]}
    assert local.post("/case/adults/mum", fields).status == 303
    assert local.get("/matrix").status == 200


ROW = {
    "target": "asks-for-help",
    "with-adult": "mum",
    "with-location": "home",
    "with-material_set": "two-cups",
    "date": "2026-11-28",
    "kind": "probe",
    "trials": "5",
    "correct": "4",
    "rows": "0",
}


def test_a_row_is_added_once_however_often_the_button_is_tapped(local, folder):
    for _ in range(2):
        assert local.post("/record/add", ROW | {"once": "tap-1", "rows": "0"}).status == 303
    lines = (folder / "results.csv").read_text("utf-8").splitlines()
    assert lines[1:] == ["2026-11-28,,asks-for-help,probe,mum,home,two-cups,,5,4,,,,"]


def sure(answer):
    """Each doubt that a page names, ticked; there is one at least."""
    words = re.findall(r'name="sure" value="(\w+)"', answer.text)
    assert words
    return {"sure": words}


def test_two_doubts_are_two_ticks(local, folder):
    """A year typed wrongly, and a short check: one of them is no answer to the other. What was reached in it says
    that it was a short one; and the form stays the one that was opened, by which a browser keeps its draft."""
    opened = local.form("/record/row?target=asks-for-help&date=2026-11-28")
    typed = ROW | {"once": "y", "date": "2025-11-28", "trials": "3", "correct": "3", "form": opened["form"]}
    answer = local.post("/record/add", typed)
    assert answer.status == 409
    words = sure(answer)["sure"]
    assert len(words) == 2
    assert form_fields(answer.text)["form"] == opened["form"]
    for one in words:
        again = local.post("/record/add", typed | {"sure": [one]})
        assert again.status == 409
        assert again.text.count('name="sure" value="' + one + '" checked') == 1
    assert len((folder / "results.csv").read_text("utf-8").splitlines()) == 1
    done = local.post("/record/add", typed | {"sure": words})
    assert done.status == 303
    assert (
        "3 of 3 correct (a short probe: 5 trials are asked for)" in local.get(done.headers["location"]).text
    )


def test_a_row_that_another_tab_added_meanwhile_is_asked_about(local, folder):
    assert local.post("/record/add", ROW | {"once": "a"}).status == 303
    answer = local.post("/record/add", ROW | {"once": "b"})
    assert answer.status == 409
    ticked = ROW | {"once": "c", "rows": "1"} | sure(answer)
    assert len((folder / "results.csv").read_text("utf-8").splitlines()) == 2
    answer = local.post(
        "/record/add", ticked
    )  # that it would count in the other's place is a doubt of its own
    assert answer.status == 409
    assert local.post("/record/add", ticked | sure(answer)).status == 303
    assert len((folder / "results.csv").read_text("utf-8").splitlines()) == 3


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"correct": "6"}, "correct"),
        ({"correct": "x"}, "no number"),
        ({"correct": ""}, "How many trials were correct?"),
        ({"with-adult": ""}, "Adult: nothing was chosen"),
        ({"with-adult": "nobody"}, "nobody"),
        ({"date": "yesterday"}, "is not a date"),
        ({"kind": "not run", "correct": ""}, "Why was it not run?"),
        ({"kind": "guess"}, "What kind of row"),
        ({"target": "flying"}, "no target"),
        ({"observer_correct": "3"}, "Who was the second person"),
        ({"time": "16:30+02:00"}, "is not a time"),
        ({"date": "0001-01-01"}, "is not in the years"),
    ],
)
def test_a_row_that_makes_no_sense_is_refused_with_a_sentence(local, folder, change, told):
    before = (folder / "results.csv").read_bytes()
    answer = local.post("/record/add", ROW | {"once": "x"} | change)
    assert answer.status == 422
    assert told in answer.text
    assert "--" not in re.sub(r"<[^>]*>", "", answer.text)  # no word of a command line
    assert (folder / "results.csv").read_bytes() == before
    assert local.post("/record/add", ROW | {"once": "x"}).status == 303  # put right, it is taken
    assert (folder / "results.csv").read_bytes() != before


def test_not_run_with_its_reason_is_a_row_without_counts(local, folder):
    row = ROW | {"kind": "not run", "correct": "", "note": "He said no", "once": "n"}
    assert local.post("/record/add", row).status == 303
    assert "not run,mum,home,two-cups,,,,,,,He said no" in (folder / "results.csv").read_text("utf-8")


def test_what_was_typed_of_a_row_is_shown_again(local):
    typed = ROW | {"correct": "3", "prompted": "9", "note": "In the rain", "time": "16:20", "observer": "dad"}
    typed |= {"observer_correct": "2", "trials": "4"}
    answer = local.post("/record/add", typed | {"once": "x"})
    assert answer.status == 422
    shown = form_fields(answer.text)
    assert {name: shown[name] for name in typed} == {name: [value] for name, value in typed.items()}


def test_counts_of_what_was_not_run_are_asked_about(local, folder):
    """A browser without scripts cannot take a tap on a count back."""
    before = (folder / "results.csv").read_bytes()
    row = ROW | {"kind": "not run", "note": "He said no", "prompted": "1", "once": "n"}
    answer = local.post("/record/add", row)
    assert (answer.status, "there is nothing to count" in answer.text) == (422, True)
    assert (folder / "results.csv").read_bytes() == before
    fields = form_fields(answer.text)
    assert ("correct" in fields, fields["prompted"], fields["note"]) == (False, [""], ["He said no"])
    assert local.post("/record/add", fields).status == 303
    assert "not run,mum,home,two-cups,,,,,,,He said no" in (folder / "results.csv").read_text("utf-8")


def test_another_day_than_the_form_was_opened_for_is_not_held_against_the_rows_of_that_day(local, folder):
    """Nobody wrote anything down meanwhile: what is to be asked is whether it is still ahead."""
    assert local.post("/record/add", ROW | {"once": "a"}).status == 303
    named = {k: ROW[k] for k in ("target", "date", "kind") if k in ROW} | {
        k: v for k, v in ROW.items() if k.startswith("with-")
    }
    opened = local.form(f"/record/row?{urlencode(named)}")
    typed = opened | {"date": ["2027-11-28"], "correct": ["4"]}
    answer = local.post("/record/add", typed)
    assert answer.status == 409
    assert "while the form was open" not in answer.text
    assert "This is still ahead" in answer.text
    # but what came meanwhile of the day that is typed is asked about
    other = ROW | {"once": "b", "date": "2026-11-27", "time": "10:00"}
    opened = local.form(f"/record/row?{urlencode(named)}")
    assert local.post("/record/add", other | {"rows": "1"}).status == 303
    answer = local.post("/record/add", opened | {"date": ["2026-11-27"], "time": ["11:00"], "correct": ["4"]})
    assert answer.status == 409
    assert "while the form was open" in answer.text


def test_counts_of_a_lesson_are_written_down(local, folder):
    assert local.post("/record/add", ROW | {"kind": "teaching", "once": "a"}).status == 303
    second = ROW | {"kind": "teaching", "once": "b", "correct": "", "rows": "1"}
    assert local.post("/record/add", second).status == 303
    lines = (folder / "results.csv").read_text("utf-8").splitlines()[1:]
    assert [line.split(",")[3:10] for line in lines] == [
        ["teaching", "mum", "home", "two-cups", "", "5", "4"],
        ["teaching", "mum", "home", "two-cups", "", "", ""],
    ]


def hours(**days):
    return {k.replace("_", "-"): Leaf(v, False) for k, v in days.items()}


def test_hours_that_still_hold_keep_the_way_they_were_written():
    before = hours(mon_fri="16:00-18:00", sat="10:00-12:00")
    days = days_of(before)
    assert hours_node(before, days) == before
    days[5] = "10:00-13:00"
    assert hours_node(before, days) == hours(mon_fri="16:00-18:00", sat="10:00-13:00")
    days[2] = ""  # Wednesday off: Monday to Friday falls into two runs
    assert hours_node(before, days) == hours(mon_tue="16:00-18:00", thu_fri="16:00-18:00", sat="10:00-13:00")
    assert hours_node(before, [""] * 7) is None


def test_hours_of_a_group_and_of_one_of_its_days_add_up():
    both = {
        "mon-tue": Leaf("16:00-17:00", False),
        "tue": [Leaf("17:00-18:00", False), Leaf("19:00-20:00", False)],
    }
    assert days_of(both)[:3] == ["16:00-17:00", "16:00-18:00, 19:00-20:00", ""]


def test_a_row_is_corrected_by_a_later_one(local, folder):
    assert local.post("/record/add", ROW | {"once": "r"}).status == 303
    page = local.get("/history/asks-for-help").text
    assert 'href="/history/asks-for-help/2"' in page
    fields = local.form("/history/asks-for-help/2") | {"correct": ["5"]}
    assert local.post("/history/asks-for-help/2", fields).status == 303
    assert local.post("/history/asks-for-help/2", fields).status == 303  # a second tap
    assert len((folder / "results.csv").read_text("utf-8").splitlines()) == 3
    page = local.get("/history/asks-for-help").text
    assert "does not count: put right later, to 5 of 5" in page
    assert local.get("/history/asks-for-help/2").status == 404
    assert local.get("/history/asks-for-help/9").status == 404
    refused = local.post("/history/asks-for-help/3", {"correct": "many", "once": "q"})
    assert (refused.status, "no number" in refused.text) == (422, True)


def test_marks_are_typed_in_the_place_of_counts_and_corrected(local, folder):
    signs = {"marks": "++p-", "observer": "dad", "observer_marks": "+++-", "steps_kept": "3/4"}
    short = ROW | signs | {"trials": "4", "correct": "", "once": "m"}
    assert local.post("/record/add", short | sure(local.post("/record/add", short))).status == 303
    assert "2 of 4 (a short probe: 5 trials are asked for)" in local.get("/history/asks-for-help").text
    assert (folder / "results.csv").read_text("utf-8").endswith(",4,2,1,dad,3,,'++p-,'+++-,3/4\n")
    assert "++p-; observer +++-; steps kept 3/4" in local.get("/history/asks-for-help").text
    fields = local.form("/history/asks-for-help/2")
    assert (fields["marks"], fields["steps_kept"]) == (["++p-"], ["3/4"])
    refused = local.post("/history/asks-for-help/2", fields | {"marks": ["+++"]})
    assert (refused.status, "found 3 in all beside 4 in" in refused.text) == (422, True)
    slip = local.post("/history/asks-for-help/2", fields | {"steps_kept": ["5/4"], "note": ["all went well"]})
    assert (slip.status, "The case has errors" in slip.text) == (422, False)
    assert 'value="5/4"' in slip.text
    assert "all went well" in slip.text
    same = local.post("/history/asks-for-help/2", fields)
    assert (same.status, "Nothing was changed, so nothing was written" in same.text) == (422, True)
    assert local.post("/history/asks-for-help/2", fields | {"marks": ["+++-"]}).status == 303
    assert (folder / "results.csv").read_text("utf-8").endswith(",4,3,0,dad,3,,'+++-,'+++-,3/4\n")


@pytest.mark.parametrize(
    ("signs", "said"),
    [
        ({"marks": "++p-p", "correct": "3"}, "found 2 of"),
        ({"marks": "+--p", "correct": ""}, "found 4 in all beside 5 in"),
        ({"marks": "++?"}, "one sign a trial"),
        ({"observer_marks": "+++++"}, "Who was the second person"),
        ({"steps_kept": "3/4"}, "Who was the second person"),
        ({"kind": "not run", "correct": "", "note": "ill", "marks": "+"}, "there is nothing to count"),
    ],
)
def test_marks_that_contradict_are_shown_again_with_a_sentence(local, folder, signs, said):
    before = (folder / "results.csv").read_bytes()
    answer = local.post("/record/add", ROW | {"once": "x"} | signs)
    assert (answer.status, said in answer.text) == (422, True)
    assert (folder / "results.csv").read_bytes() == before


def test_a_baseline_probe_is_a_kind_of_its_own_on_the_page(local, folder):
    refused = local.post("/record/add", ROW | {"kind": "baseline", "correct": "", "once": "c"})
    assert (refused.status, "How many trials were correct?" in refused.text) == (422, True)
    assert local.post("/record/add", ROW | {"kind": "baseline", "once": "b"}).status == 303
    assert ",baseline," in (folder / "results.csv").read_text("utf-8").splitlines()[-1]


def test_counts_that_a_form_shows_for_other_tries_are_asked_about_once(local, folder):
    """With a 0 nothing is asked; 1 with help of 5 tries may be none of 4."""
    assert local.post("/record/add", ROW | {"once": "r", "correct": "3", "prompted": "1"}).status == 303
    path = "/history/asks-for-help/2"
    typed = {"correct": ["2"], "trials": ["4"]}
    refused = local.post(path, local.form(path) | typed)
    assert (refused.status, "1 correct with help (prompted), of 5 trials and not of 4" in refused.text) == (
        409,
        True,
    )
    answer = local.post(path, local.form(path) | typed | sure(refused))
    assert answer.status == 303
    told = local.get(answer.headers["location"]).text
    assert "This counts now: 28 November 2026" in told
    assert "2 of 4" in told
    assert (folder / "results.csv").read_text("utf-8").splitlines()[-1].split(",")[8:11] == ["4", "2", "1"]


def test_no_help_stays_no_help_whatever_the_tries(local, folder):
    assert local.post("/record/add", ROW | {"once": "r", "correct": "4", "prompted": "0"}).status == 303
    path = "/history/asks-for-help/2"
    fields = local.form(path) | {"correct": ["3"], "trials": ["4"]}
    short = local.post(path, fields)
    assert (short.status, "and not of 4" in short.text) == (409, False)
    assert local.post(path, fields | sure(short)).status == 303


OTHER = "2026-11-27,,asks-for-help,probe,dad,home,two-cups,,5,1,,,,"


def test_a_form_corrects_the_row_that_it_was_opened_for_wherever_that_stands_now(local, folder):
    assert local.post("/record/add", ROW | {"once": "r"}).status == 303
    path = "/history/asks-for-help/2"
    fields = local.form(path) | {"correct": ["5"]}
    head, mine = (folder / "results.csv").read_text("utf-8").splitlines()
    (folder / "results.csv").write_text("\n".join((head, OTHER, mine)) + "\n", encoding="utf-8")
    answer = local.post(path, fields)
    assert "This counts now: 28 November 2026" in local.get(answer.headers["location"]).text
    lines = (folder / "results.csv").read_text("utf-8").splitlines()
    assert lines == [head, OTHER, mine, mine.replace(",5,4,", ",5,5,")]


def test_a_form_for_a_row_that_is_gone_or_that_names_none_is_refused(local, folder):
    assert local.post("/record/add", ROW | {"once": "r"}).status == 303
    path = "/history/asks-for-help/2"
    fields = local.form(path) | {"correct": ["0"]}
    head, _ = (folder / "results.csv").read_text("utf-8").splitlines()
    (folder / "results.csv").write_text(f"{head}\n{OTHER}\n", encoding="utf-8")
    for sent in (fields, {**fields, "row": [""]}):
        answer = local.post(path, sent)
        assert answer.status == 422
        assert "Nothing was written" in answer.text
    assert (folder / "results.csv").read_text("utf-8").splitlines() == [head, OTHER]


def test_a_second_probe_of_a_day_without_a_time_is_asked_about(local, folder):
    """Also where the first was there when the form was opened."""
    assert local.post("/record/add", ROW | {"once": "a"}).status == 303
    second = ROW | {"once": "b", "rows": "1", "correct": "2"}
    answer = local.post("/record/add", second)
    assert answer.status == 409
    assert "Line 2 speaks of the same probe: 28 November 2026, " in answer.text
    assert "give each its time" in answer.text
    assert len((folder / "results.csv").read_text("utf-8").splitlines()) == 2
    assert local.post("/record/add", second | {"once": "c", "time": "16:30"}).status == 303
    third = second | {"once": "d", "rows": "2"}
    agreed = local.post("/record/add", third | sure(local.post("/record/add", third)))
    assert "counts in the place of line 2" in local.get(agreed.headers["location"]).text


def test_a_sheet_with_a_second_probe_of_a_day_is_asked_about(local, folder):
    assert local.post("/record/add", ROW | {"once": "a"}).status == 303
    cells = "2026-11-28,asks-for-help,probe,mum,home,two-cups,2,5"
    sheet = f"date,target,kind,adult,location,material_set,correct,trials\n{cells}\n".encode()
    answer = local.upload("/record/sheet", "filled.csv", sheet, {"once": "b"})
    assert answer.status == 422
    assert "Line 2 speaks of the same probe" in answer.text
    assert "choose the file again" in answer.text
    assert len((folder / "results.csv").read_text("utf-8").splitlines()) == 2
    assert (
        local.upload("/record/sheet", "f.csv", sheet, {"once": "c", "sure": sure(answer)["sure"][0]}).status
        == 303
    )
    assert len((folder / "results.csv").read_text("utf-8").splitlines()) == 3


def test_a_check_that_was_planned_as_maintenance_is_one_on_the_page_too(local, folder):
    week = folder / "weeks" / "2026-W48"
    week.mkdir(parents=True)
    (week / "plan.csv").write_text(
        "week,sitting,learner,target,kind,adult,location,material_set,start,end,trials\n"
        "2026-W48,s1,wren,asks-for-help,maintenance,mum,home,two-cups,"
        "2026-11-28T10:00:00+00:00,2026-11-28T10:10:00+00:00,5\n",
        encoding="utf-8",
    )
    answer = local.post("/record/add", ROW | {"once": "a"})
    assert "The plan of 2026-W48 has it as a maintenance probe" in local.get(answer.headers["location"]).text
    assert ",maintenance,mum,home,two-cups," in (folder / "results.csv").read_text("utf-8")


def test_rows_are_chosen_by_adult_location_set_and_other_values(local, folder):
    rows = (
        "2026-11-20,asks-for-help,probe,mum,home,two-cups,4,5",
        "2026-11-21,asks-for-help,probe,dad,home,two-cups,1,5",
    )
    head = "date,target,kind,adult,location,material_set,correct,trials"
    (folder / "results.csv").write_text("\n".join((head, *rows, "")), "utf-8")
    path = "/history/asks-for-help"
    fields = local.form(path)
    assert fields == {"with-adult": [""], "with-location": [""], "with-material_set": [""]}
    sent = path + "?with-adult={}&with-location={}&with-material_set=two-cups"

    def lines(adult="", location=""):
        page = local.get(sent.format(adult, location)).text
        return re.findall(r"<td><a href=\"/history/asks-for-help/(\d)\"", page)

    assert lines() == ["2", "3"]
    assert lines("mum") == ["2"]
    assert lines("dad", "home") == ["3"]
    assert lines("mum", "playground") == []
    one = local.get(sent.format("mum", "home")).text
    assert form_fields(one) == {
        "with-adult": ["mum"],
        "with-location": ["home"],
        "with-material_set": ["two-cups"],
    }
    assert "<strong>1 row.</strong>" in one
    assert f'<a href="{path}">Show all rows</a>' in one
    assert "Show all rows" not in local.get(path).text
    assert "No row holds all of that." in local.get(sent.format("mum", "playground")).text
    unknown = local.get(f"{path}?with-adult=mam")
    assert (unknown.status, "did you mean" in unknown.text) == (422, True)
    assert local.get(f"{path}?with-moon=full").status == 422


def test_the_check_goes_by_the_moment_that_the_page_was_started_for(local, folder):
    """The page's now is 29 November, whatever the clock says."""
    head = "date,target,kind,adult,location,material_set,correct,trials"
    rows = [f"2026-11-{day},asks-for-help,probe,mum,home,two-cups,4,5" for day in (28, 30)]
    (folder / "results.csv").write_text("\n".join((head, *rows, "")), "utf-8")
    page = local.get("/check").text
    assert "results.csv:3" in page
    assert "2026-11-30" in page
    assert "results.csv:2" not in page


CHANGE = {"what": "away", "id-away": "mum", "first": "2026-12-01"}


@pytest.mark.parametrize(
    ("more", "holds"),
    [
        ({}, ("mum", "2026-12-01")),
        ({"last": "2026-12-03"}, ("mum", "2026-12-03")),
        ({"since": "16:00", "until": "17:00"}, ("mum", "16:00", "17:00")),
        ({"what": "closed", "id-away": "", "id-closed": "playground"}, ("playground",)),
        ({"what": "missing", "id-away": "", "id-missing": "lunch-box"}, ("lunch-box",)),
        (
            {"what": "extra", "id-away": "", "id-extra": "dad", "since": "16:00", "until": "17:30"},
            ("dad", "16:00", "17:30"),
        ),
    ],
)
def test_something_that_changed_is_written_down(local, folder, more, holds):
    answer = local.post("/change", CHANGE | {"once": "c"} | more)
    assert answer.status == 303, answer.text
    text = (folder / "changes.yaml").read_text("utf-8")
    assert all(part in text for part in holds), text
    assert local.get("/check").status == 200


@pytest.mark.parametrize(
    "more",
    [
        {"id-away": ""},
        {"what": "other"},
        {"first": "soon"},
        {"last": "2026-11-30"},
        {"what": "extra", "id-away": "", "id-extra": "dad"},
        {
            "what": "extra",
            "id-away": "",
            "id-extra": "dad",
            "since": "16:00",
            "until": "17:00",
            "last": "2026-12-02",
        },
        {"what": "closed"},
        {"id-closed": "playground"},
        {"first": "9999-12-31"},
        {"since": "16:00+01:00"},
    ],
)
def test_a_change_that_makes_no_sense_is_refused_and_shown_again(local, folder, more):
    typed = CHANGE | {"once": "c", "note": "A cold"} | more
    answer = local.post("/change", typed)
    assert (answer.status, "fault of the program" in answer.text) == (422, False)
    assert not (folder / "changes.yaml").exists()
    shown = form_fields(answer.text)
    kept = {name: value for name, value in typed.items() if name not in ("what", "once")}
    assert {name: shown[name] for name in kept} == {name: [value] for name, value in kept.items()}


@pytest.mark.parametrize("id_", ["nobody", "all", "No%20One", "%00", ".."])
def test_what_is_not_there_is_not_taken_out_and_an_id_that_cannot_be_is_not_saved(local, folder, id_):
    before = (folder / "case.yaml").read_bytes()
    for digest in ("", "absent", "x"):
        assert local.post(f"/case/adults/{id_}/remove", {"digest": digest}).status == 404
        if id_ != "nobody":
            assert local.post(f"/case/adults/{id_}", {"digest": digest, "name": "N"}).status == 404
    assert local.post("/case/adults/nobody", {"name": "N"}).status == 409
    assert (folder / "case.yaml").read_bytes() == before


def test_a_line_that_was_filled_in_beside_the_one_that_is_chosen_is_asked_about(local, folder):
    """The first line is chosen when the form opens; a browser without scripts leaves it so."""
    answer = local.post("/change", local.form("/change") | {"id-closed": ["playground"]})
    assert (answer.status, "picked beside &#39;A location is closed&#39;" in answer.text) == (
        422,
        True,
    )
    assert not (folder / "changes.yaml").exists()
    again = form_fields(answer.text)
    assert again["what"] == ["closed"]
    assert local.post("/change", again).status == 303
    assert "playground" in (folder / "changes.yaml").read_text("utf-8")


def told_of(folder, *weeks):
    """As if nothing but these weeks had been kept, each without a sitting."""
    opened = open_case(folder, NOW)
    for week in weeks:
        room = folder / "weeks" / week
        room.mkdir(parents=True)
        (room / "told.json").write_bytes(kept_bytes(KeptWeek(Week.parse(week), opened.now, ()), opened.case))


@pytest.mark.parametrize(
    ("kept", "first", "last", "place", "words"),
    [
        (("2026-W49",), "2026-12-02", "", "/week/2026-W49", "what is left of week 2026-W49"),
        (("2026-W49", "2026-W50"), "2026-12-03", "2026-12-09", "/week/2026-W49", "after it: 2026-W50."),
        (("2026-W49", "2026-W50"), "2026-12-09", "", "/week/2026-W50", "what is left of week 2026-W50"),
        (("2026-W49",), "2026-11-30", "2026-12-02", "/week/2026-W49", "what is left of week 2026-W49"),
        ((), "2026-12-02", "", "/plan/2026-W49", "the next plan goes by it"),
        (("2026-W49",), "2026-12-16", "", "/plan/2026-W51", "the next plan goes by it"),
    ],
)
def test_a_change_leads_to_the_week_that_it_changes(local, folder, kept, first, last, place, words):
    """On a Wednesday."""
    told_of(folder, *kept)
    local.site.now = datetime(2026, 12, 2, 9, 0)
    answer = local.post("/change", CHANGE | {"once": "c", "first": first, "last": last})
    assert answer.status == 303, answer.text
    assert answer.headers["location"].partition("?")[0] == place
    page = local.get(answer.headers["location"]).text
    assert words in page
    if place.startswith("/week/"):
        assert f'href="{place.replace("week", "plan")}"' in page
    else:
        assert "Plan the rest of this week" not in page


@pytest.mark.parametrize(
    ("name", "words"),
    [("  ", "Name: what is the adult called?"), (" mum ", "There is an adult called Mum already")],
)
def test_an_adult_keeps_a_name_that_is_nobody_elses(
    local: Local, folder: Path, name: str, words: str
) -> None:
    before = {f.name: f.read_bytes() for f in folder.iterdir() if f.is_file()}
    refused = local.post("/case/adults/dad", local.form("/case/adults/dad") | {"name": [name]})
    assert (refused.status, words in refused.text) == (422, True)
    again = local.post(
        "/case/adults/new", local.form("/case/adults/new") | {"id": ["another"], "name": [name]}
    )
    assert (again.status, words in again.text) == (422, True)
    assert local.post("/case/adults/dad/rename", {"called": name}).status >= 400
    assert {f.name: f.read_bytes() for f in folder.iterdir() if f.is_file()} == before
    other = local.form("/case/adults/dad") | {"role": ["neighbour"]}
    assert local.post("/case/adults/dad", other).status == 303
