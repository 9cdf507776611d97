"""The review as tables: a row for each target, for each row of results.csv in the span, for each point of a curve and
of the picture of all probes, for each phase, for each thing that is asked of somebody.

Ids everywhere, dates in ISO 8601, an empty cell where there is nothing.
"""

from __future__ import annotations

from collections.abc import Sequence

from genplan.case import Case
from genplan.case.targets import BASE_DIMENSIONS
from genplan.coverage.asked import Asked
from genplan.coverage.briefing import BriefingWanted
from genplan.coverage.dates_ahead import DateAhead
from genplan.coverage.review import Happened, Review, TargetReview
from genplan.evidence.intervals import clopper_pearson
from genplan.evidence.marks import MARKS
from genplan.evidence.mastery import Lapse
from genplan.evidence.phases import PointKind
from genplan.evidence.procedure import STEPS_KEPT, as_written
from genplan.report.tables import Table, extra_dimensions, share_cell, values_cells, yes_or_no

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
    *("state", "criterion", "mastered_on", "first_probes_met", "first_probes", "low", "high"),
    *("met_untaught", "met_nowhere"),
)
CURVE_COLUMNS = ("learner", "target", "date", "possible", "shown", "tested", "met", "met_untaught")
PHASE_COLUMNS = ("learner", "target", "phase", "from")
ASKED_COLUMNS = ("learner", "target", "kind", "adults", "date", "values")
_COUNTED = (
    Happened.MET,
    Happened.NOT_MET,
    Happened.BROKE,
    Happened.MAINTAINED,
    Happened.LAPSED,
    Happened.TAUGHT,
    Happened.NOT_RUN,
)


def review_tables(case: Case, reviews: Sequence[Review]) -> dict[str, Table]:
    """File name -> table."""
    pairs = [(r.learner, t) for r in reviews for t in r.targets]
    return {
        "review-targets.csv": Table.of(TARGET_COLUMNS, (_target(*p) for p in pairs)),
        "review-rows.csv": _rows(case, pairs),
        "review-curve.csv": Table.of(
            CURVE_COLUMNS,
            (
                [
                    *(learner, t.target.id, p.day.isoformat()),
                    *(p.possible, p.shown, p.tested, p.met, p.met_untaught),
                ]
                for learner, t in pairs
                for p in t.points
            ),
        ),
        "review-points.csv": _points(case, pairs),
        "review-phases.csv": Table.of(
            PHASE_COLUMNS,
            (
                [learner, t.target.id, change.phase.value, change.on.isoformat()]
                for learner, t in pairs
                for change in t.course.changes
            ),
        ),
        "review-asked.csv": Table.of(
            ASKED_COLUMNS, (_asked(learner, one) for learner, t in pairs for one in t.asked)
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
        yes_or_no(found.before.is_set, found.before.is_met),
        yes_or_no(found.criterion.is_set, found.criterion.is_met),
        *(len(found.events_of(what)) for what in _COUNTED),
        seen.probes,
        seen.observed,
        share_cell(seen.total),
        len(found.retests),
        len(found.waiting),
        len(count.open),
        *_facts(found),
        len(count.met_untaught),
        " ".join(f"{dimension}={value}" for dimension, value in found.criterion.met_nowhere),
    ]


def _facts(found: TargetReview) -> list[object]:
    """The last four: first probes of a combination, with the exact interval of the share that was met, 95 %."""
    target, first = found.target, found.course.of_kind(PointKind.FIRST)
    met = sum(p.met is True for p in first)
    return [
        target.state.value,
        str(target.criterion or ""),
        target.mastered_on.isoformat() if target.mastered_on else "",
        met,
        len(first),
        *_interval(met, len(first)),
    ]


def _interval(correct: int, trials: int) -> tuple[str, str]:
    """Both ends with four places; empty without a trial."""
    if not trials:
        return "", ""
    found = clopper_pearson(correct, trials)
    return f"{found.low:.4f}", f"{found.high:.4f}"


def _asked(learner: str, one: Asked) -> list[object]:
    """`adults` may do it; `values` are those of the combination or the wish, or the adult who is to be briefed."""
    day = one.since.isoformat() if one.since else ""
    values = one.combination
    if isinstance(one.about, BriefingWanted):
        values = (one.about.adult,)
    elif isinstance(one.about, DateAhead):
        values = tuple(one.about.wish.pattern.values())
    elif isinstance(one.about, Lapse):
        values = one.about.combination
    return [learner, one.target, one.kind.value, "; ".join(one.adults), day, "; ".join(values)]


def _rows(case: Case, pairs: Sequence[tuple[str, TargetReview]]) -> Table:
    extra = extra_dimensions(case)
    head = ["learner", "target", "line", "date", "time", "what", *BASE_DIMENSIONS, *extra]
    tail = ["trials", "correct", "prompted", "observer_correct", "note"]
    seen = [*MARKS, STEPS_KEPT]
    rows = []
    for learner, found in pairs:
        for event in found.events:
            row = event.entry.result
            counts = [row.trials, row.correct, row.prompted, row.observer_correct]
            rows.append(
                [
                    learner,
                    found.target.id,
                    row.line,
                    row.date.isoformat(),
                    f"{row.time:%H:%M}" if row.time else "",
                    event.what.value,
                    *values_cells(case, row.target, row.combination, extra),
                    *counts,
                    row.note,
                    row.marks,
                    row.observer_marks,
                    as_written(row.steps_kept),
                ]
            )
    table = Table.of([*head, *tail, *seen], rows, tail[:-1])
    return table.without([name for name in seen if not any(table.column(name))])


def _points(case: Case, pairs: Sequence[tuple[str, TargetReview]]) -> Table:
    """Everything that was run up to the end of the span, as the picture has it; `low` and `high` are the ends of the
    exact interval of a test's trials, 95 %."""
    extra = extra_dimensions(case)
    head = ["learner", "target", "line", "date", "what", "phase", *BASE_DIMENSIONS, *extra]
    tail = ["correct", "trials", "low", "high", "met"]
    rows = []
    for learner, found in pairs:
        for point in found.course.points:
            row = point.result
            tested = point.met is not None
            rows.append(
                [
                    learner,
                    found.target.id,
                    row.line,
                    row.date.isoformat(),
                    point.kind.value,
                    point.phase.value,
                    *values_cells(case, row.target, row.combination, extra),
                    row.correct,
                    row.trials,
                    *_interval(row.correct or 0, (row.trials or 0) if tested else 0),
                    yes_or_no(tested, point.met is True),
                ]
            )
    return Table.of([*head, *tail], rows, ["correct", "trials"])
