"""What the templates of pages and screens have to mind, whatever they say."""

from __future__ import annotations

import re
from importlib.resources import files
from itertools import pairwise

BLOCK_ENDS = re.compile(r"\S.*{% end\w+ %}$")
GOES_ON = re.compile(r"<(?:span|bdi|strong|em|a|button)\b|{{|\w")
"""What stands in one line with what is before it."""


def glued(text: str) -> list[str]:
    lines = text.split("\n")
    return [
        f"{before} / {line}"
        for before, line in pairwise(lines)
        if BLOCK_ENDS.match(before) and GOES_ON.match(line)
    ]


def test_no_words_are_glued_where_a_block_ends_a_line() -> None:
    """The end of a line behind a block's end is no blank: what follows is written into the word before it."""
    found = {
        f"{room}/{template.name}": glued(template.read_text("utf-8"))
        for room in ("report", "web")
        for template in (files(f"genplan.{room}") / "templates").iterdir()
        if template.name.endswith(".html")
    }
    assert len(found) > 50
    assert {name: lines for name, lines in found.items() if lines} == {}
    assert glued("{% if a %} <bdi>{{ a }}</bdi>{% endif %}\n<span>b</span>") != []
    assert glued("{% if a %}\n<bdi>{{ a }}</bdi>\n{% endif %}\n<span>b</span>") == []
