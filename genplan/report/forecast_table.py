"""The forecast as a table: a row for each thing that is to be reached."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from genplan.case import Case, Wish
from genplan.forecast import Forecast, HeldUp, Milestone, TargetForecast, WishForecast
from genplan.forecast.values import MIDDLE
from genplan.report.tables import Table
from genplan.text.held_up import held_up_text

FORECAST_COLUMNS = (
    "learner",
    "target",
    "what",
    "wanted",
    "by",
    "verdict",
    "done",
    "line_week",
    "line_day",
    "early_week",
    "middle_week",
    "late_week",
    "within",
    "met_by",
    "held_up_by",
    "held_up",
    "probes_met",
    "probes_run",
    "range_share",
)


def forecast_table(case: Case, forecast: Forecast) -> Table:
    """One row for each criterion, coverage and dated wish; ids everywhere, an empty cell where there is nothing."""
    rows = [
        [row.get(c, "") for c in FORECAST_COLUMNS]
        for t in forecast.targets
        for row in _rows(case, forecast, t)
    ]
    rows += [
        [row.get(c, "") for c in FORECAST_COLUMNS]
        for row in (_still_taught(case, *place) for place in forecast.still_taught)
    ]
    return Table.of(FORECAST_COLUMNS, rows)


def _rows(case: Case, forecast: Forecast, found: TargetForecast) -> Iterator[dict[str, Any]]:
    head = {
        "learner": found.learner,
        "target": found.target,
        "probes_met": found.rate.met,
        "probes_run": found.rate.probes,
    }
    generalised = _held_up(case, found, found.criterion_held_up) if found.criterion_held_up else {}
    if found.generalised is not None:
        yield {**head, "what": "generalised", **_milestone(forecast, found.generalised), **generalised}
    elif found.out_of_reach:
        yield {**head, "what": "generalised", "done": "no", "within": "0.000", **generalised}
    covered = _held_up(case, found, found.coverage_held_up)
    yield {**head, "what": "coverage", **_milestone(forecast, found.coverage), **covered}
    for wish in found.wishes:
        yield {**head, "what": "wish", **_wish(case, found, wish)}


def _milestone(forecast: Forecast, milestone: Milestone) -> dict[str, str]:
    cells = {"done": "yes" if milestone.done else "no", "within": f"{milestone.within:.3f}"}
    if milestone.done:
        return cells
    found = milestone.range
    weeks = {"line_week": milestone.line, "middle_week": milestone.reached_in(MIDDLE)}
    weeks |= {"early_week": found.first, "late_week": found.last}
    cells["range_share"] = f"{found.share:.3f}"
    cells |= {name: str(forecast.week(i)) for name, i in weeks.items() if i is not None}
    if milestone.line is not None:
        cells["line_day"] = forecast.week(milestone.line).sunday.isoformat()
    return cells


def _wish(case: Case, found: TargetForecast, wish: WishForecast) -> dict[str, str]:
    cells = {
        "wanted": _wanted(wish.wish),
        "by": wish.by.isoformat(),
        "verdict": wish.verdict.value,
        "done": "yes" if wish.done else "no",
        "line_day": wish.line.isoformat() if wish.line else "",
    }
    if not wish.earlier:
        cells["within"] = f"{wish.tried:.3f}"
    if not (wish.earlier or wish.by_told):
        cells["met_by"] = f"{wish.met:.3f}"
    return cells | (_held_up(case, found, wish.held_up) if wish.held_up else {})


def _still_taught(case: Case, target: str, place: int) -> dict[str, str]:
    """A date of a skill that is still being taught, of which nothing can be told yet."""
    wish = case.targets[target].first[place]
    head = {
        "learner": case.targets[target].learner,
        "target": target,
        "what": "wish",
        "wanted": _wanted(wish),
    }
    return {**head, "by": wish.by.isoformat() if wish.by else "", "verdict": "still taught"}


def _wanted(wish: Wish) -> str:
    return "; ".join(f"{name}={value}" for name, value in wish.pattern.items())


def _held_up(case: Case, found: TargetForecast, held_up: HeldUp) -> dict[str, str]:
    text = held_up_text(case, case.targets[found.target], held_up)
    return {"held_up_by": held_up.by.value, "held_up": text}
