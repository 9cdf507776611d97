"""A skill that is still taught: where it is shown, and what the page calls the field that it lacks."""

from __future__ import annotations

import html
import json
from pathlib import Path

from genplan import workflow
from genplan.report.document import plan_document
from genplan.web.notes_of_week import notes_with_ways
from tests.fixtures.local_server import running
from tests.fixtures.small_case import SUNDAY, TEXT, WEEK, silent

TAUGHT = """\
  ties: {learner: lark, name: Ties a bow, correct_when: A bow, state: teaching,
         taught: [{adult: mum, location: home, material_set: boots}], cover: all}
"""


def folder(at: Path) -> Path:
    text = TEXT.replace("policy: {like: none, ", "policy: {like: none, plan_teaching: yes, ")
    (at / "case.yaml").write_text(text + TAUGHT, "utf-8")
    return at


def test_a_skill_that_is_still_taught_is_in_the_overview(tmp_path: Path) -> None:
    with running(folder(tmp_path)) as local:
        shown = html.unescape(local.get("/matrix").text)
    below = shown.partition("Still taught, or paused")[2]
    assert "/case/targets/ties" in below.partition("</ul>")[0]
    assert "<bdi>Ties a bow</bdi></a>" in below
    assert ": teaching</li>" in below
    assert "Puts it on" not in below.partition("</ul>")[0]


def test_what_is_not_probed_leads_to_its_form_and_names_no_key(tmp_path: Path) -> None:
    outcome = workflow.plan(folder(tmp_path), WEEK, SUNDAY, None, silent)
    document = json.loads(json.dumps(plan_document(outcome.case, outcome.plan)))
    (note, way) = next(n for n in notes_with_ways(outcome.case, document) if "Ties a bow" in n[0])
    assert "until the case says how often a week it is taught" in note
    assert way == "/case/targets/ties"
    assert not [n for n, _way in notes_with_ways(outcome.case, document) if "teaching_per_week" in n]
