"""The term as a table: a row for each date."""

from __future__ import annotations

from collections.abc import Iterator

from genplan.case import Case
from genplan.plan.term import Term, TermDate
from genplan.report.names_and_words import Names
from genplan.report.tables import Table
from genplan.report.term_words import shortage_sentence

TERM_COLUMNS = (
    "learner",
    "target",
    "wanted",
    "by",
    "promise",
    "tuples",
    "shown",
    "probes",
    "weeks",
    "in_the_way",
)


def term_table(case: Case, term: Term) -> Table:
    """`weeks` are those of its probes, each as often as it has probes; ids everywhere but in `in_the_way`."""
    rows = [list(_row(case, term, found)) for found in term.dates]
    return Table.of(TERM_COLUMNS, rows, ["tuples", "shown", "probes"])


def _row(case: Case, term: Term, found: TermDate) -> Iterator[object]:
    probes, names = term.serving(found), Names(case)
    pattern = case.targets[found.target].first[found.place].pattern
    yield from (found.learner, found.target)
    yield " ".join(f"{name}={value}" for name, value in pattern.items())
    yield from (found.by.isoformat(), found.promise.value, len(found.tuples), len(found.shown), len(probes))
    yield " ".join(str(term.weeks[p.week]) for p in probes)
    yield " ".join(shortage_sentence(names, term, s) for s in found.short)
