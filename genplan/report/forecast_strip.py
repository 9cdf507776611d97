"""When targets are reached, as strips over the weeks ahead: what lies where; the template draws it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from genplan.forecast import Forecast, Milestone, TargetForecast
from genplan.forecast.values import LATE, MIDDLE
from genplan.language import _
from genplan.language.sentences import capital
from genplan.report.forecast_words import nothing_to_try
from genplan.report.names_and_words import Names, clean, day_short, tuple_word
from genplan.text.held_up import held_up_text


@dataclass(frozen=True)
class Strip:
    """One thing that is to be reached. In a box as wide as there are `weeks`: from `begin` to `end` lie about 8 of
    10 simulated courses, up to `middle` half of them; None for what is not within the weeks. The texts say the last day
    of the week by which it is reached if all is met, in half of the courses, and in 9 of 10."""

    label: str
    done: bool
    weeks: int
    begin: int | None
    middle: int | None
    end: int
    if_met: str
    half: str
    most: str
    never: str = ""
    """Why it can never be reached as the case stands; empty where it can."""


def strips(names: Names, forecast: Forecast, target: TargetForecast) -> Iterator[Strip]:
    """Of a target: its criterion, or why it cannot be reached, and its coverage."""
    if target.generalised is not None:
        yield _strip(_("Generalised"), forecast, target.generalised)
    elif target.out_of_reach:
        held_up = target.criterion_held_up
        why = held_up_text(names.case, names.case.targets[target.target], held_up) if held_up else ""
        why = why or _("out of reach as the case stands.")
        count = len(forecast.weeks)
        yield Strip(_("Generalised"), False, count, None, None, count, "", "", "", capital(clean(why)))
    if nothing_to_try(names.case, forecast, target):
        return
    word = tuple_word(names.case.targets[target.target])
    yield _strip(_("Every {tuple} tried", tuple=word), forecast, target.coverage)


def _strip(label: str, forecast: Forecast, milestone: Milestone) -> Strip:
    middle, late, held = milestone.reached_in(MIDDLE), milestone.reached_in(LATE), milestone.range
    count = len(forecast.weeks)
    return Strip(
        label,
        milestone.done,
        count,
        None if held.first is None else max(held.first, 0),
        None if middle is None else middle + 1,
        count if held.last is None else held.last + 1,
        _when(forecast, milestone.line, milestone.done),
        _when(forecast, middle, milestone.done),
        _when(forecast, late, milestone.done),
    )


def _when(forecast: Forecast, index: int | None, done: bool) -> str:
    if done:
        return _("already")
    return _("later") if index is None else day_short(forecast.week(index).sunday)
