"""Curves over the number of learners as one small SVG: panels side by side, both axes of a panel in its own scale."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from math import floor, log10

WIDTH, HEIGHT = 300, 250
_LEFT, _RIGHT, _TOP, _BOTTOM = 48, 14, 34, 38
_LINE = 18

STYLES = (
    ("#1b1b1b", "", "M-4-4H4V4H-4Z"),
    ("#8a5a00", "6 3", "M0-5L5 4H-5Z"),
    ("#00607a", "2 3", "M0-5L5 0L0 5L-5 0Z"),
    ("#00607a", "8 3 2 3", "M-4 0A4 4 0 1 0 4 0A4 4 0 1 0-4 0"),
    ("#00607a", "", "M-4-4L4 4M-4 4L4-4"),
    ("#a3254f", "2 3", "M0 5L5-4H-5Z"),
    ("#a3254f", "", "M0-5V5M-5 0H5"),
)
"""Colour, dashes and mark of each curve: told apart without colour too."""

Points = Sequence[tuple[float, float]]


@dataclass(frozen=True)
class Panel:
    """`curves` by name; `logarithmic`: the upright axis too (the one along always is); `unit` stands in the title."""

    title: str
    unit: str
    curves: Mapping[str, Points]
    logarithmic: bool


def drawing(title: str, words: str, panels: Sequence[Panel]) -> str:
    """An SVG that reads by itself: a title, a description, a legend."""
    names = list(dict.fromkeys(name for p in panels for name in p.curves))
    styles = {name: STYLES[i % len(STYLES)] for i, name in enumerate(names)}
    width, height = WIDTH * len(panels), HEIGHT + _LINE * ((len(names) + 2) // 3) + 10
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img"'
        f' aria-labelledby="t d" font-family="sans-serif" font-size="11" fill="#1b1b1b">',
        f'<title id="t">{escape(title)}</title><desc id="d">{escape(words)}</desc>',
        f'<rect width="{width}" height="{height}" fill="#fff"/>',
    ]
    parts += [_panel(p, WIDTH * i, styles) for i, p in enumerate(panels)]
    parts += [_legend(name, i, width, styles[name]) for i, name in enumerate(names)]
    return "\n".join([*parts, "</svg>\n"])


def _panel(panel: Panel, at: int, styles: Mapping[str, tuple[str, str, str]]) -> str:
    points = [p for curve in panel.curves.values() for p in curve]
    across = _scale([x for x, _ in points], _LEFT, WIDTH - _RIGHT, True)
    up = _scale([y for _, y in points], HEIGHT - _BOTTOM, _TOP, panel.logarithmic)
    title = escape(f"{panel.title}, {panel.unit}")
    parts = [f'<g transform="translate({at} 0)">', f'<text x="{_LEFT}" y="18">{title}</text>']
    for y in _ticks([y for _, y in points], panel.logarithmic):
        parts.append(f'<path d="M{_LEFT} {up(y):.1f}H{WIDTH - _RIGHT}" stroke="#ddd"/>')
        parts.append(f'<text x="{_LEFT - 5}" y="{up(y) + 4:.1f}" text-anchor="end">{y:g}</text>')
    for x in sorted({x for x, _ in points}):
        parts.append(
            f'<text x="{across(x):.1f}" y="{HEIGHT - _BOTTOM + 16}" text-anchor="middle">{x:g}</text>'
        )
    middle = (_LEFT + WIDTH - _RIGHT) / 2
    parts.append(f'<text x="{middle}" y="{HEIGHT - 6}" text-anchor="middle">learners</text>')
    for name, curve in panel.curves.items():
        parts.append(_curve([(across(x), up(y)) for x, y in sorted(curve)], styles[name]))
    return "\n".join([*parts, "</g>"])


def _curve(points: Points, style: tuple[str, str, str]) -> str:
    colour, dashes, mark = style
    path = "L".join(f"{x:.1f} {y:.1f}" for x, y in points)
    drawn = f'<path d="M{path}" fill="none" stroke="{colour}" stroke-dasharray="{dashes or "none"}"/>'
    for x, y in points:
        drawn += f'<path d="{mark}" transform="translate({x:.1f} {y:.1f})" fill="#fff" stroke="{colour}"/>'
    return drawn


def _legend(name: str, number: int, width: int, style: tuple[str, str, str]) -> str:
    x, y = 20 + (width - 30) / 3 * (number % 3), HEIGHT + _LINE * (number // 3) + 10
    return f'{_curve([(x, y), (x + 24, y)], style)}<text x="{x + 34:.0f}" y="{y + 4}">{escape(name)}</text>'


def _scale(values: Sequence[float], low: float, high: float, logarithmic: bool) -> Callable[[float], float]:
    """From a value to its place between `low` and `high`."""

    def see(value: float) -> float:
        return log10(value) if logarithmic else value

    ticks = [*values, *(_ticks(values, logarithmic) if low > high else ())]
    first, last = min(map(see, ticks)), max(map(see, ticks))
    span = last - first or 1.0
    return lambda value: low + (high - low) * (see(value) - first) / span


def _ticks(values: Sequence[float], logarithmic: bool) -> list[float]:
    """Powers of ten around the values, or four even steps from 0 on."""
    if logarithmic:
        first, last = floor(log10(min(values))), floor(log10(max(values))) + 1
        return [10.0**k for k in range(first, last + 1)]
    most = max(values) or 1.0
    step = 10.0 ** floor(log10(most))
    step = next(s for s in (step / 5, step / 2, step, 2 * step, 5 * step) if most <= 5 * s)
    return [round(step * k, 6) for k in range(int(most / step + 0.999) + 1)]
