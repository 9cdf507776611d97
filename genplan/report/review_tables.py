"""The review as tables: a row for each target, for each row of results.csv in the span, for each point of a
curve.

Ids everywhere, dates in ISO 8601, an empty cell where there is nothing.
"""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from genplan.case import Case
from genplan.case.targets import BASE_DIMENSIONS
from genplan.coverage.review import Happened, Review, TargetReview
from genplan.evidence.marks import MARKS
from genplan.evidence.procedure import STEPS_KEPT, as_written
from genplan.report.tables import extra_dimensions

TARGET_COLUMNS = (
    *(
        "learner",
        "target",
        "possible",
        "shown_before",
        "shown",
        "tested",
        "met",
        "generalised_before",
        "generalised",
    ),
    *("met_rows", "not_met_rows", "no_longer_met", "maintained", "lapsed", "taught", "not_run"),
    *("probes", "observed", "agreement", "retests_due", "waiting_for_teaching", "open"),
)
CURVE_COLUMNS = ("learner", "target", "date", "possible", "shown", "tested", "met")
_COUNTED = (
    Happened.MET,
    Happened.NOT_MET,
    Happened.BROKE,
    Happened.MAINTAINED,
    Happened.LAPSED,
    Happened.TAUGHT,
    Happened.NOT_RUN,
)


def review_tables(case: Case, reviews: Sequence[Review]) -> dict[str, pd.DataFrame]:
    """File name -> table."""
    pairs = [(r.learner, t) for r in reviews for t in r.targets]
    return {
        "review-targets.csv": pd.DataFrame(
            [_target(*p) for p in pairs], columns=list(TARGET_COLUMNS), dtype=object
        ),
        "review-rows.csv": _rows(case, pairs),
        "review-curve.csv": pd.DataFrame(
            [
                [learner, t.target.id, p.day.isoformat(), p.possible, p.shown, p.tested, p.met]
                for learner, t in pairs
                for p in t.points
            ],
            columns=list(CURVE_COLUMNS),
            dtype=object,
        ),
    }


def _target(learner: str, found: TargetReview) -> list[object]:
    """The agreement is the mean total agreement, with three places; empty where nothing was observed."""
    count, seen = found.tally, found.agreement
    return [
        learner,
        found.target.id,
        len(count.possible),
        found.points[0].shown,
        len(count.shown),
        len(count.tested),
        len(count.met),
        _yes(found.before.is_set, found.before.is_met),
        _yes(found.criterion.is_set, found.criterion.is_met),
        *(len(found.events_of(what)) for what in _COUNTED),
        seen.probes,
        seen.observed,
        "" if seen.total is None else f"{float(seen.total):.3f}",
        len(found.retests),
        len(found.waiting),
        len(count.open),
    ]


def _yes(is_set: bool, is_met: bool) -> str:
    return ("yes" if is_met else "no") if is_set else ""


def _rows(case: Case, pairs: Sequence[tuple[str, TargetReview]]) -> pd.DataFrame:
    extra = extra_dimensions(case)
    head = ["learner", "target", "line", "date", "time", "what", *BASE_DIMENSIONS, *extra]
    tail = ["trials", "correct", "prompted", "observer_correct", "note"]
    seen = [*MARKS, STEPS_KEPT]
    rows = []
    for learner, found in pairs:
        for event in found.events:
            row = event.entry.result
            given = dict(zip(found.target.dimension_names, row.combination, strict=True))
            counts = [row.trials, row.correct, row.prompted, row.observer_correct]
            rows.append(
                [
                    learner,
                    found.target.id,
                    row.line,
                    row.date.isoformat(),
                    f"{row.time:%H:%M}" if row.time else "",
                    event.what.value,
                    *(given.get(name, "") for name in (*BASE_DIMENSIONS, *extra)),
                    *counts,
                    row.note,
                    row.marks,
                    row.observer_marks,
                    as_written(row.steps_kept),
                ]
            )
    table = pd.DataFrame(rows, columns=[*head, *tail, *seen], dtype=object)
    table = table.drop(columns=[name for name in seen if not any(table[name])])
    return table.astype(dict.fromkeys(tail[:-1], "Int64"))
