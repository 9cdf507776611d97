"""What is handed out, in German: whole pages that are well-formed, with no sentence of ours left in English."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from genplan.case.cautions import Caution, CautionKind
from genplan.language import Speech, Words, speaking
from genplan.report.adult_page import adult_page
from genplan.report.calendars import calendar_files
from genplan.report.fridge_page import fridge_page
from genplan.report.messages import message
from genplan.report.page import week_page
from genplan.report.sheets import sheets_page
from genplan.report.terminal import week_summary
from genplan.text.cautions import caution_text
from tests.fixtures import builders as b
from tests.fixtures.pagecheck import faults, read

CASE = b.a_case()
PLAN = b.a_plan(CASE)
GERMAN = [Speech("de"), Speech("de", Words.PLAIN)]

PAGES: dict[str, Callable[[], str]] = {
    "week": lambda: week_page(CASE, PLAN),
    "sheets": lambda: sheets_page(CASE, PLAN),
    "adult": lambda: adult_page(CASE, PLAN, "grandad"),
    "fridge": lambda: fridge_page(CASE, PLAN, "wren"),
}


def body_of(page: str) -> str:
    """The words of a page without its style."""
    return read(page).all("body")[0].words


TEXTS: dict[str, Callable[[], str]] = {
    **{name: lambda page=page: body_of(page()) for name, page in PAGES.items() if name != "fridge"},  # type: ignore[misc]
    "message": lambda: message(CASE, PLAN, "grandad", PLAN.now),
    "terminal": lambda: week_summary(CASE, PLAN),
    "calendar": lambda: calendar_files(CASE, PLAN)["calendars/adult-grandad.ics"].decode(),
}
OURS = re.compile(r"\b(probes?|sittings?|trials?|correct|taught|planned|whether|this week|of the|there is)\b")
"""Words of our own sentences; the case says none of them."""


@pytest.mark.parametrize("speech", GERMAN, ids=str)
@pytest.mark.parametrize("page", PAGES)
def test_a_page_in_german_is_as_well_formed(page: str, speech: Speech) -> None:
    with speaking(speech):
        found = PAGES[page]()
    assert faults(found) == []
    assert '<html lang="de' in found


@pytest.mark.parametrize("speech", GERMAN, ids=str)
@pytest.mark.parametrize("text", TEXTS)
def test_no_sentence_of_ours_is_left_in_english(text: str, speech: Speech) -> None:
    assert OURS.search(TEXTS[text]())  # as it is in English
    with speaking(speech):
        found = TEXTS[text]()
    assert OURS.findall(found) == []
    assert re.findall(r"\{[a-z_]+\}", found) == []


def test_all_cautions_are_said_in_german() -> None:
    for kind in CautionKind:
        caution = Caution(kind=kind, learner="wren", material_set="fleece", found=("egg",), months=36)
        english = caution_text(CASE, caution, "W.")
        with speaking(GERMAN[0]):
            assert caution_text(CASE, caution, "W.") != english


@pytest.mark.parametrize("speech", GERMAN, ids=str)
def test_what_is_to_be_kept_away_stands_where_german_does_not_bend_it(speech: Speech) -> None:
    """'mit Schalenfrüchte' is no German: a name from a list stands behind a colon, as it is."""
    caution = Caution(kind=CautionKind.AVOID, learner="wren", location="park", found=("tree-nuts",))
    with speaking(speech):
        said = caution_text(CASE, caution, "W.")
    assert said.startswith("Von W. fernhalten: Schalenfrüchte. Mitgebrachtes, Essen, Cremes und ")
    assert said.endswith(" prüfen (The park).")
