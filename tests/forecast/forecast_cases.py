"""A small case to look ahead in, and what to ask of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from planning.planning_cases import NOW, WEEK, Inline, hours, product_case

from genplan.case import Case, Combination, Target, Week
from genplan.evidence.log import Log, Result, ResultKind
from genplan.forecast import Forecast, TargetForecast, forecast
from genplan.forecast.rates import Known

TRIALS = 5


def weeks_from(first: Week, number: int) -> list[Week]:
    weeks = [first]
    while len(weeks) < number:
        weeks.append(weeks[-1].next())
    return weeks


def look_ahead(case: Case, log: Log | None = None, weeks: int = 8, **more: Any) -> Forecast:
    """With `rate`: each target's probes are met at that rate."""
    rate = more.pop("rate", None)
    rates: Mapping[str, Known] | None = None if rate is None else {t: Known(rate) for t in case.targets}
    more = {"teaching_weeks": 1, "seed": 1, "courses": 60, "rates": rates} | more
    return forecast(
        case,
        log or Log(),
        weeks_from(WEEK, weeks),
        NOW,
        more.pop("facts", {}),
        Inline(),
        lambda _: None,
        **more,
    )


def only(found: Forecast) -> TargetForecast:
    (one,) = found.targets
    return one


def nine_case(a_week: int = 2, **target: Any) -> Case:
    """One learner, one skill, 3 x 3 x 1 values, each combination wanted: 9 probes."""
    return product_case((3, 3, 1), cover="all", a_week=a_week, **target)


def with_target(case: Case, **changes: Any) -> Case:
    (one,) = case.targets.values()
    return replace(case, targets={one.id: replace(one, **changes)})


def with_adult(case: Case, adult: str, **changes: Any) -> Case:
    return replace(case, adults={**case.adults, adult: replace(case.adults[adult], **changes)})


def second_target(case: Case, **changes: Any) -> Case:
    """The same skill once more under another id."""
    (one,) = case.targets.values()
    return replace(case, targets={one.id: one, "zeal": replace(one, id="zeal", name="Zeal", **changes)})


def row(target: Target, combination: Combination, met: bool, day: date, line: int = 2, **more: Any) -> Result:
    kind = more.get("kind", ResultKind.PROBE)
    return Result(
        line=line,
        date=day,
        time=None,
        target=target.id,
        kind=kind,
        combination=combination,
        trials=TRIALS,
        correct=TRIALS if met else 0,
    )


__all__ = [
    "NOW",
    "WEEK",
    "Inline",
    "hours",
    "look_ahead",
    "nine_case",
    "only",
    "product_case",
    "row",
    "second_target",
    "weeks_from",
    "with_adult",
    "with_target",
]
