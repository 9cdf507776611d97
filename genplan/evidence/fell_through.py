"""What was planned and not run, and has not been run since."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import date

from genplan.case import Combination, Target
from genplan.evidence.log import Log, Result, ResultKind


def fell_through(target: Target, log: Log) -> Mapping[Combination, date]:
    """The combinations of the target of whose latest day only 'not run' is written down, each with that day."""
    latest: dict[Combination, list[Result]] = defaultdict(list)
    for row in log.of_target(target.id):
        rows = latest[row.combination]
        if rows and rows[0].date < row.date:
            rows.clear()
        rows.append(row)
    return {c: rows[0].date for c, rows in latest.items() if all(r.kind is ResultKind.NOT_RUN for r in rows)}
