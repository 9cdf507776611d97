"""What `progress` says as tables for programs: a row for each target, for each value that was looked at, for each
second observer of a target, and for each adult with each learner the sittings that are written down.

Ids everywhere, dates in ISO 8601, `yes` or an empty cell, an empty cell where there is nothing. A p-value has six
digits, an agreement three places.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from genplan.coverage.criterion import Criterion
from genplan.coverage.review import Review, TargetReview
from genplan.evidence.agreement import agreement
from genplan.evidence.breaks import Comparison
from genplan.evidence.effective_rows import effective_tests
from genplan.evidence.sittings_written import together
from genplan.report.tables import Table, share_cell, yes_or_no

TARGET_COLUMNS = (
    *(
        "learner",
        "target",
        "tried",
        "met",
        "met_untaught",
        "taught_met",
        "taught_run",
        "other_met",
        "other_run",
    ),
    *("generalised", "missing", "lapsed_where_taught", "criterion_met_since", "probes_met", "probes_run"),
)
VALUE_COLUMNS = (
    *("learner", "dimension", "value", "met", "run", "others_met", "others_run"),
    *("p", "p_corrected", "named"),
)
OBSERVER_COLUMNS = (
    *("learner", "target", "observer", "probes", "observed"),
    *("total_agreement", "trial_agreement", "low", "high"),
)


SITTING_COLUMNS = ("learner", "adult", "written", "not_run", "child_reason", "low", "high")


def progress_tables(reviews: Sequence[Review]) -> dict[str, Table]:
    """File name -> table."""
    targets = [(r.learner, t) for r in reviews for t in r.targets]
    return {
        "progress-targets.csv": Table.of(TARGET_COLUMNS, (_target(*pair) for pair in targets)),
        "progress-values.csv": Table.of(VALUE_COLUMNS, (row for r in reviews for row in _values(r))),
        "progress-observers.csv": Table.of(
            OBSERVER_COLUMNS, (row for pair in targets for row in _observers(*pair))
        ),
        "progress-sittings.csv": Table.of(SITTING_COLUMNS, _sittings(reviews)),
    }


def _target(learner: str, found: TargetReview) -> list[object]:
    count, taught, others = found.tally, found.teaching.taught, found.teaching.others
    since = found.criterion_met.since.isoformat() if found.criterion_met else ""
    return [
        *(learner, found.target.id, len(count.tested), len(count.met), len(count.met_untaught)),
        *(taught.met, taught.probes, others.met, others.probes),
        yes_or_no(found.criterion.is_set, found.criterion.is_met),
        _missing(found.criterion),
        "yes" if found.lapses else "",
        since,
        *(taught.met + others.met, taught.probes + others.probes),
    ]


def _missing(criterion: Criterion) -> str:
    """`1 adult; location=school`: how many values of each dimension, and what is asked for by name."""
    counts = [f"{p.missing} {p.dimension}" for p in criterion.parts if p.missing]
    named = [",".join(f"{name}={value}" for name, value in a.values) for a in criterion.not_met]
    return "; ".join((*counts, *named))


def _values(review: Review) -> Iterator[list[object]]:
    for look in (*review.breaks.looks, *review.breaks.silent):
        yield [
            *(review.learner, look.dimension, look.value),
            *(look.met, look.probes, look.met_without, look.probes_without),
            *_chances(look),
            "yes" if look.is_found else "",
        ]


def _chances(look: Comparison) -> tuple[str, str]:
    """No p-value where nothing can be compared, no corrected one where no outcome could have been a finding."""
    return (
        f"{float(look.p_value):.6g}" if look.targets else "",
        "" if look.adjusted is None else f"{float(look.adjusted):.6g}",
    )


def _observers(learner: str, found: TargetReview) -> Iterator[list[object]]:
    """Each second observer; of a target that none observed one row without a name."""
    rows = effective_tests(e.entry.result for e in found.events)
    observed = [r for r in rows if r.is_observed]
    for name in sorted({r.observer for r in observed}) or [""]:
        own = agreement(r for r in observed if r.observer == name)
        yield [
            *(learner, found.target.id, name, found.agreement.probes, own.observed),
            *map(share_cell, (own.total, own.trial_agreement, own.lowest, own.highest)),
        ]


def _sittings(reviews: Sequence[Review]) -> Iterator[list[object]]:
    """Each adult with each learner, and where there are several learners each adult with all, without a learner. The
    interval is of what fell through without the child's reason."""
    together_too = [("", together(r.sittings for r in reviews))] if len(reviews) > 1 else []
    for learner, counts in (*((r.learner, r.sittings) for r in reviews), *together_too):
        for adult, count in sorted(counts.items()):
            found = count.interval
            ends = (f"{found.low:.3f}", f"{found.high:.3f}") if found else ("", "")
            yield [learner, adult, count.written, count.not_run, count.childs, *ends]
