"""The pages name the buttons of the week as they are called there, in each language that has the pages."""

from __future__ import annotations

import re

import pytest

from genplan.help.pages import page_text
from genplan.language import Speech, Words, said, speaking

BUTTONS = {
    "told": (
        "I have told <bdi>{name}</bdi>",
        'Not told after all<span class="unseen">: {name}</span>',
        "What to send to each",
    ),
    "browser": (
        "I have told <bdi>{name}</bdi>",
        "What to send to each",
        "What would it cost?",
        "Keep them apart",
        "Two things that are not to be on one day",
        'Call it off<span class="unseen">: {about}</span>',
        'Your say<span class="unseen">: {about}</span>',
        "Another time or adult?",
        "Was it held after all?",
    ),
}


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("page", BUTTONS)
def test_they_are_called_as_on_the_screen(language: str, page: str) -> None:
    text = page_text(page, language)
    with speaking(Speech(language, Words.TRADE)):
        for button in BUTTONS[page]:
            label = said(button, name="\0", about="\0")
            shown = re.sub(r"<span.*?</span>|</?bdi>", "", label).replace("\0", "…")
            assert re.search(rf"(\*|^\| ){re.escape(shown)}", text, re.MULTILINE), shown
