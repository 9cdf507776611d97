"""The term as a table: a row for each date."""

from __future__ import annotations

from collections.abc import Iterator

from genplan.case import Case
from genplan.coverage.wishes_not_possible import WishNotPossible
from genplan.plan.term import Promise, Term, TermDate, TriedDate
from genplan.report.names_and_words import Names
from genplan.report.tables import Table
from genplan.report.term_in_the_way import in_the_way_sentences
from genplan.report.term_promises import hanging_sentences
from genplan.report.term_words import not_possible_sentence, tried_sentence

NOT_MET = "not met"
NOT_YET = "not possible yet"
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
    there = {(d.target, d.place) for d in term.dates}
    rows = [list(_row(case, term, found)) for found in term.dates]
    rows += [_not_met(case, tried) for tried in term.tried if (tried.target, tried.place) not in there]
    rows += [_not_possible(case, never) for never in term.not_possible]
    return Table.of(TERM_COLUMNS, rows, ["tuples", "shown", "probes"])


def _row(case: Case, term: Term, found: TermDate) -> Iterator[object]:
    probes, names = term.serving(found), Names(case)
    pattern = case.targets[found.target].first[found.place].pattern
    yield from (found.learner, found.target)
    yield " ".join(f"{name}={value}" for name, value in pattern.items())
    yield from (found.by.isoformat(), found.promise.value, len(found.tuples), len(found.shown), len(probes))
    yield " ".join(str(term.weeks[p.week]) for p in probes)
    yield " ".join([*hanging_sentences(names, found), *in_the_way_sentences(names, term, found)])


def _not_possible(case: Case, never: WishNotPossible) -> list[object]:
    """A date that cannot hold, since nothing of it is possible."""
    target, by = case.targets[never.target], never.wish.by
    wanted = " ".join(f"{name}={value}" for name, value in never.wish.pattern.items())
    why = not_possible_sentence(Names(case), never)
    day = by.isoformat() if by else ""
    return [
        target.learner,
        target.id,
        wanted,
        day,
        NOT_YET if never.in_time else Promise.CANNOT.value,
        0,
        0,
        0,
        "",
        why,
    ]


def _not_met(case: Case, tried: TriedDate) -> list[object]:
    """A date of which nothing is open, and something was not met."""
    pattern = case.targets[tried.target].first[tried.place].pattern
    wanted = " ".join(f"{name}={value}" for name, value in pattern.items())
    why = tried_sentence(Names(case), tried)
    return [tried.learner, tried.target, wanted, tried.by.isoformat(), NOT_MET, 0, 0, 0, "", why]
