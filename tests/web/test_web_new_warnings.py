"""Who saves a form is told what became odd in the case by it."""

from __future__ import annotations

import html
from pathlib import Path

import pytest

from genplan.findings import Finding, Severity
from genplan.web.plain_findings import said_in_page
from genplan.workflow import open_case
from tests.fixtures.local_server import running
from tests.fixtures.small_case import TEXT

TWO = """\
  waves: {learner: lark, name: Waves, correct_when: A wave, mastered_on: 2026-10-01, material_sets: [hats],
          taught: [{adult: mum, location: home, material_set: hats}], cover: all}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    text = TEXT.replace("born: 2021-03", "born: 2021-03, allergens: [peanut]")
    text = text.replace("{name: Two boots}", "{name: Peanut butter jar, allergens: [peanut]}")
    (tmp_path / "case.yaml").write_text(text + TWO, "utf-8")
    return tmp_path


def test_a_tick_that_is_taken_away_from_what_holds_it_by_its_name_is_told(folder: Path) -> None:
    with running(folder) as local:
        fields = local.form("/case/material_sets/boots")
        assert fields["allergens"] == ["peanut"]
        saved = local.post("/case/material_sets/boots", fields | {"allergens": []})
        assert saved.status == 303
        told = local.get(saved.headers["location"]).text
        assert "which by its name holds &#39;peanut&#39;: it is kept from L." in told
        # what was there before is told once
        again = local.post("/case/adults/mum", local.form("/case/adults/mum") | {"name": ["Mama"]})
        assert "by its name" not in local.get(again.headers["location"]).text


def test_a_thing_that_is_ticked_for_a_child_who_is_kept_from_it_is_told(folder: Path) -> None:
    with running(folder) as local:
        fields = local.form("/case/targets/waves")
        key = next(k for k, values in fields.items() if values == ["hats"] and "material_sets" in k)
        saved = local.post("/case/targets/waves", fields | {key: ["boots", "hats"]})
        assert saved.status == 303
        assert "boots" in open_case(folder).case.targets["waves"].dimensions[2].values
        told = local.get(saved.headers["location"]).text
        assert (
            "&#39;Peanut butter jar&#39;, which is not planned: &#39;Peanut butter jar&#39; holds peanut"
            in told
        )
        assert told.count("which is not planned") == 1


def test_what_is_odd_in_the_case_itself_is_told_by_its_field(folder: Path) -> None:
    case = open_case(folder).case
    odd = Finding("case.yaml", 3, "policy.days", "no day at all", "days", severity=Severity.WARNING)
    (words,) = said_in_page([odd], case, folder)
    assert words.endswith(": No day at all; expected days.")
    assert "policy" not in words
    elsewhere = Finding("busy/gran.ics", 7, "RRULE", "a rule", "")
    assert said_in_page([elsewhere], case, folder) == (elsewhere.sentence(),)


@pytest.mark.parametrize(
    ("address", "typed", "why"),
    [
        ("/case/learners/lark", {"mouths": "yes"}, "L. puts everything into the mouth"),
        ("/case/learners/new", {"id": "wren", "name": "Wren", "born": "2024-09"}, "W. is under 36 months"),
    ],
)
def test_a_child_who_comes_to_be_at_risk_brings_the_question_about_all_that_nobody_answered(
    tmp_path: Path, address: str, typed: dict[str, str], why: str
) -> None:
    """Blocks were looked at; boots and hats were not."""
    text = TEXT.replace("targets:", "  blocks: {name: Blocks, small_parts: no}\ntargets:", 1)
    (tmp_path / "case.yaml").write_text(text, "utf-8")
    with running(tmp_path) as local:
        adult = local.post("/case/adults/mum", local.form("/case/adults/mum") | {"name": ["Mama"]})
        assert "could be swallowed of" not in local.get(adult.headers["location"]).text
        saved = local.post(address, local.form(address) | typed)
        assert saved.status == 303
        told = local.get(saved.headers["location"]).text
        assert f"could be swallowed of: Two boots and Three hats; {why}" in told


@pytest.mark.parametrize("words", ["plain", "trade"])
def test_after_a_form_is_told_what_is_on_the_screen_without_file_line_and_key(
    folder: Path, words: str
) -> None:
    case = folder / "case.yaml"
    case.write_text(f"language: en\nwords: {words}\n{case.read_text('utf-8')}", "utf-8")
    with running(folder) as local:
        fields = local.form("/case/targets/waves")
        saved = local.post("/case/targets/waves", fields | {"correct_when": "Lark waves"})
        told = local.get(saved.headers["location"]).text
        assert "Waves: The name of L. in &#39;Lark waves&#39;" in told
        assert "targets.waves" not in told
        assert "case.yaml:" not in told
        key = next(k for k, values in fields.items() if values == ["hats"] and "material_sets" in k)
        saved = local.post(
            "/case/targets/waves", local.form("/case/targets/waves") | {key: ["boots", "hats"]}
        )
        told = local.get(saved.headers["location"]).text
        assert "&#39;Peanut butter jar&#39;, which is not planned" in told
        assert "&#39;boots&#39;" not in told
        refused = local.post(
            "/case/material_sets/hats", local.form("/case/material_sets/hats") | {"copies": "two"}
        )
        assert refused.status == 422
        assert "copies:" not in refused.text


def test_a_row_of_results_is_told_by_its_day_its_skill_and_with_whom(tmp_path: Path) -> None:
    """The file and the line of it are what the terminal says."""
    (tmp_path / "case.yaml").write_text(f"words: plain\n{TEXT}", "utf-8")
    head = "date,target,kind,adult,location,material_set,trials,correct,note"
    rows = ["2026-11-20,puts-on,not run,mum,home,boots,,,", "2026-11-21,puts-on,probe,mum,home,boots,5,5,"]
    results = tmp_path / "results.csv"
    results.write_text("\n".join((head, *rows, rows[1], "")), "utf-8")
    opened = open_case(tmp_path)
    late, twice = said_in_page(opened.findings, opened.case, tmp_path)
    assert late.startswith("Friday 20 November 2026, Puts it on, with Mum: Note: an empty cell;")
    assert twice.startswith("Saturday 21 November 2026, Puts it on, with Mum: ")
    assert "results.csv:2: note" in next(f.sentence() for f in opened.findings)
    results.write_text(
        "\n".join((head, rows[1].replace("mum", "mam"), rows[0].replace("puts", "'put"), "")), "utf-8"
    )
    with running(tmp_path) as local:
        page = html.unescape(local.get("/record").text)
    assert "Saturday 21 November 2026, Puts it on, with mam: Adult: found 'mam'" in page
    assert "results.csv:" not in page
