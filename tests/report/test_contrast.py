"""The palette's contrast, computed from the stylesheet's own variables.

WCAG 2.2, success criteria 1.4.3 (text, 4.5 to 1) and 1.4.11 (lines and marks, 3 to 1); relative luminance and
contrast ratio as defined there.
"""

from __future__ import annotations

import re
from importlib.resources import files

import pytest

CSS = files("genplan.report").joinpath("templates/style.css").read_text("utf-8")

TEXT = (
    *(("ink", ground) for ground in ("paper", "panel", "planned", "no", "stripe")),
    *(("soft", ground) for ground in ("paper", "panel", "no", "stripe")),
    ("accent", "paper"),
)
MARKS = (("line", "paper"), ("ink", "paper"), ("accent", "paper"), ("accent", "planned"))

DOCUMENTED = {
    "screen, light": {"ink": 15.1, "soft": 6.9, "accent": 8.7, "line": 3.6},
    "screen, dark": {"ink": 14.1, "soft": 8.7, "accent": 9.4, "line": 5.0},
}
"""The ratios against the paper, to one decimal: whoever changes a colour sees here what it costs."""


def palettes() -> dict[str, dict[str, str]]:
    """The variables of each `:root` block, in the order light, dark, print."""
    blocks = re.findall(r":root \{(.*?)\}", CSS, re.DOTALL)
    values = [dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", block)) for block in blocks]
    return dict(zip(("screen, light", "screen, dark", "print"), values, strict=True))


def luminance(colour: str) -> float:
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_on_its_ends() -> None:
    # (1 + 0.05) / (0 + 0.05) = 21; a colour against itself is 1.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#777777") == 1
    # #767676 is known as the lightest grey that passes on white, #777777 just fails (from memory).
    assert contrast("#767676", "#ffffff") > 4.5 > contrast("#777777", "#ffffff")


@pytest.mark.parametrize("medium", ["screen, light", "screen, dark", "print"])
def test_text_and_marks_stand_out(medium: str) -> None:
    colours = palettes()[medium]
    ratios = {(f, b): contrast(colours[f], colours[b]) for f, b in (*TEXT, *MARKS)}
    assert {pair: ratios[pair] for pair in TEXT if ratios[pair] < 4.5} == {}
    assert {pair: ratios[pair] for pair in MARKS if ratios[pair] < 3} == {}


@pytest.mark.parametrize("medium", sorted(DOCUMENTED))
def test_documented_ratios(medium: str) -> None:
    colours = palettes()[medium]
    found = {name: round(contrast(colours[name], colours["paper"]), 1) for name in DOCUMENTED[medium]}
    assert found == DOCUMENTED[medium]


def test_all_palettes_define_the_same_variables() -> None:
    names = [set(colours) for colours in palettes().values()]
    assert names[0] == names[1] == names[2]
    assert set(re.findall(r"var\(--([\w-]+)\)", CSS)) <= names[0]


def test_colours_stand_only_in_the_palettes() -> None:
    outside = re.sub(r":root \{.*?\}", "", CSS, flags=re.DOTALL)
    assert re.findall(r"#[0-9a-fA-F]{3,8}\b|rgba?\(|hsl\(", outside) == []
