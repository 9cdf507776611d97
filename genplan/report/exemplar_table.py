"""What to teach and what to leave to probes, as a table: a row for each combination, and for each thing that is wanted
and cannot be had."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from genplan.case import Case
from genplan.case.targets import BASE_DIMENSIONS
from genplan.language import N_, said
from genplan.planning.spanning import Spanning
from genplan.report.tables import Table, extra_dimensions
from genplan.text.spanning import lack_text

NO_HOURS = N_("no usual week has a time for it")


def exemplar_table(case: Case, found: Sequence[Spanning]) -> Table:
    """`what` is 'taught' (already), 'teach', 'probe', 'cannot teach' or 'cannot probe'; the last two name the values
    that are meant and leave the others empty. `why` says what stands in the way; ids everywhere."""
    columns = ("learner", "target", "what", *BASE_DIMENSIONS, *extra_dimensions(case), "why")
    rows = [[row.get(c, "") for c in columns] for one in found for row in _rows(case, one)]
    return Table.of(columns, rows)


def _rows(case: Case, found: Spanning) -> Iterator[Mapping[str, str]]:
    target = case.targets[found.target]
    head = {"learner": target.learner, "target": target.id}
    for what, combinations in (("taught", found.taught), ("teach", found.teach), ("probe", found.probes)):
        for c in combinations:
            why = said(NO_HOURS) if what != "taught" and c in found.no_hours else ""
            yield {**head, "what": what, **dict(zip(target.dimension_names, c, strict=True)), "why": why}
    for what, missing in (("cannot teach", found.not_taught), ("cannot probe", found.not_probed)):
        for one in missing:
            yield {**head, "what": what, **dict(one.tuple_), "why": lack_text(case, one)}
