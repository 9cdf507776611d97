"""What says by its name that it holds what a child must not have, and is not said to: who brings it is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan import workflow
from genplan.casefile import load
from genplan.report.day_cards import mind_what_is_brought
from genplan.report.names_and_words import Names
from tests.fixtures.small_case import SUNDAY, TEXT, WEEK, silent

BY_NAME = "By its name 'Peanut butter toast' holds peanut, which L. must not meet: leave it out until you have looked."


@pytest.mark.parametrize(("allergies", "is_told"), [("[peanut]", True), ("[egg]", False), ("[]", False)])
def test_who_brings_it_is_told_in_today_on_the_sheet_and_in_the_message(
    tmp_path: Path, allergies: str, is_told: bool
) -> None:
    text = TEXT.replace("Three hats", "Peanut butter toast").replace(
        "born: 2021-03,", f"born: 2021-03, allergens: {allergies},"
    )
    (tmp_path / "case.yaml").write_text(text, "utf-8")
    case = load(tmp_path).case
    assert case is not None
    out = tmp_path / "out"
    found = workflow.plan(tmp_path, WEEK, SUNDAY, out, silent)
    brought = [s for s in found.plan.sittings if any("hats" in p.combination for p in s.probes)]
    assert brought
    assert all((BY_NAME in mind_what_is_brought(Names(case), s)) == is_told for s in brought)
    pages = [out / "sheets.html", *(out / "messages").iterdir()]
    told = {page.parent.name for page in pages if "which L. must not meet" in page.read_text("utf-8")}
    assert told == ({"out", "messages"} if is_told else set())
