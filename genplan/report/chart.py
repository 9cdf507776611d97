"""A curve of tuples over time as an inline drawing: what lies where; the template draws it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from genplan.coverage.curve import Point
from genplan.language import _
from genplan.report.names_and_words import day_short, three_figures

WIDTH, HEIGHT = 320, 150
_LEFT, _RIGHT, _TOP, _BOTTOM = 30, 8, 10, 24


@dataclass(frozen=True)
class Chart:
    """`tried`, `met` and `untaught` (met without teaching) are paths of steps in a box of `width` by `height`;
    `ceiling` is the height of all tuples that are possible, `floor` that of none. `ahead` is where a plan leads: a path
    on from `tried`, empty for none. `rows` are the same points as texts: day, tried, met, met without teaching."""

    title: str
    words: str
    tried: str
    met: str
    untaught: str
    ahead: str
    ceiling: float
    floor: float
    left: int
    right: int
    possible: int
    first: str
    last: str
    rows: tuple[tuple[str, int, int, int], ...]
    width: int = WIDTH
    height: int = HEIGHT


def chart(
    title: str,
    counted: Callable[[int], str],
    points: Sequence[Point],
    ahead: tuple[date, int] | None = None,
    more: str = "",
) -> Chart:
    "The curve of at least one point. A step stands on its day: nothing is drawn between two that was not"
    "\n    run. `counted` says so many tuples; `ahead` is the day on which a plan ends and how many tuples are"
    " tried then; `more` says so in words."
    first, last = points[0], points[-1]
    possible = max(max(p.possible for p in points), 1)
    end = max(last.day, ahead[0]) if ahead else last.day
    days = max((end - first.day).days, 1)

    def across(point: Point) -> float:
        return along(point.day)

    def along(day: date) -> float:
        return _LEFT + (WIDTH - _LEFT - _RIGHT) * (day - first.day).days / days

    def up(count: int) -> float:
        return HEIGHT - _BOTTOM - (HEIGHT - _TOP - _BOTTOM) * count / possible

    words = _(
        "By {day} {figures}. By {first_day} {before}.",
        day=day_short(last.day),
        figures=three_figures(last.tested, last.met, last.met_untaught, counted(last.possible)),
        first_day=day_short(first.day),
        before=_before(first),
    )
    reached = (
        f"M{along(last.day):.1f} {up(last.tested):.1f}L{along(ahead[0]):.1f} {up(ahead[1]):.1f}"
        if ahead
        else ""
    )
    return Chart(
        title,
        f"{words} {more}".strip(),
        _steps(points, across, lambda p: up(p.tested)),
        _steps(points, across, lambda p: up(p.met)),
        _steps(points, across, lambda p: up(p.met_untaught)),
        reached,
        round(up(last.possible), 1),
        round(up(0), 1),
        _LEFT,
        WIDTH - _RIGHT,
        last.possible,
        day_short(first.day),
        day_short(end),
        tuple((day_short(p.day), p.tested, p.met, p.met_untaught) for p in points),
    )


def _before(point: Point) -> str:
    """The figures of the first day, without saying again of how many."""
    if not point.tested:
        return _("none was tried")
    return _(
        "{tested} tried, {met} met, {met_untaught} met without teaching",
        tested=point.tested,
        met=point.met,
        met_untaught=point.met_untaught,
    )


def _steps(points: Sequence[Point], across: Callable[[Point], float], up: Callable[[Point], float]) -> str:
    """A path that goes along at the old height and then to the new one."""
    path = f"M{across(points[0]):.1f} {up(points[0]):.1f}"
    return path + "".join(f"H{across(p):.1f}V{up(p):.1f}" for p in points[1:])
