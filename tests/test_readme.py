"""The README: it leads to the page at once, shows what the program prints, stays short, and lists the whole reference.

What the reference says is held against the program in `tests/help`; the commands are run in `test_readme_runs`.
"""

from __future__ import annotations

import re
from datetime import datetime

from genplan import workflow
from genplan.casefile.speech import speech_of
from genplan.help.pages import ORDER
from genplan.language import speaking
from genplan.report.matrix_lines import matrix_view
from tests.fixtures.places import EXAMPLES, README

MOST_BYTES = 29_000


def test_it_can_be_read_in_one_go() -> None:
    assert len(README.encode("utf-8")) <= MOST_BYTES


def test_the_page_is_open_by_the_tenth_line_of_the_start() -> None:
    start = README.split("\n## Start\n")[1].split("\n## ")[0]
    lines = [line for line in start.splitlines() if line.strip()]
    assert any("genplan open my-case" in line for line in lines[:10])


def test_every_page_of_the_reference_is_listed() -> None:
    listed = re.findall(r"^\| \[(\w+)\]\(genplan/help/(\w+)\.md\) \|", README, re.MULTILINE)
    assert listed == [(name, name) for name in ORDER]


def test_the_cautions_are_in_the_readme_itself() -> None:
    cautions = README.split("\n## Cautions\n")[1].split("\n## ")[0].lower()
    for word in ("not run", "36 months", "magnets and button cells", "allergens", "licensed practitioner"):
        assert word in cautions
    assert "medical device" in cautions


def test_the_picture_is_what_the_program_shows() -> None:
    (picture,) = re.findall(r"^```text\n(Puts on a coat .*?)^```", README, re.MULTILINE | re.DOTALL)
    view = workflow.matrix(EXAMPLES / "family", datetime(2026, 11, 29, 12), None, "coat-on")
    with speaking(speech_of(EXAMPLES / "family")):
        shown = iter(matrix_view(view.case, view.rows, None).splitlines())
    assert [line for line in picture.splitlines() if line not in shown] == []  # in this order, rows left out
