"""Where a skill was taught, and what its probes say there and in all other combinations.

A probe counts to what was taught if `taught` names its combination, or if a row of teaching in it stands before the
probe: what failed first and was met after teaching is one probe of the others and one of what was taught. Otherwise
the others would hold only what went well, since it is failures that are taught.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from genplan.case import Combination, Target
from genplan.evidence.effective_rows import corrected_of
from genplan.evidence.log import Log, ResultKind

if TYPE_CHECKING:
    from fractions import Fraction

Outcomes = tuple[tuple[Combination, bool], ...]
"""Combination and whether it was met, of each probe in order of time."""


@dataclass(frozen=True)
class Counted:
    met: int = 0
    probes: int = 0

    @property
    def not_met(self) -> int:
        return self.probes - self.met


@dataclass(frozen=True)
class TaughtAndOthers:
    """Probes in what was taught, and all others. `chance` is that of so few met among the others, or fewer, if it made
    no difference where it was taught (one-sided exact test within each target); None: nothing can be compared."""

    taught: Counted
    others: Counted
    chance: Fraction | None


NOTHING_PROBED = TaughtAndOthers(Counted(), Counted(), None)


def is_named_as_taught(target: Target, combination: Combination) -> bool:
    """Whether `taught` names it, as far as that goes: what leaves out a dimension may have been any of its values."""
    return combination in target.wholly_taught or any(
        target.matches(combination, pattern) for pattern in target.partly_taught
    )


def outcomes_by_teaching(target: Target, log: Log) -> tuple[Outcomes, Outcomes]:
    """The probes that count and were run, of what was taught and of all else, in order of time."""
    return log.once(_outcomes_by_teaching, target)


def _outcomes_by_teaching(target: Target, log: Log) -> tuple[Outcomes, Outcomes]:
    gone = corrected_of(target, log)
    lessons: set[Combination] = set()
    taught: list[tuple[Combination, bool]] = []
    others: list[tuple[Combination, bool]] = []
    for row in log.of_target(target.id):
        if row.kind is ResultKind.TEACHING:
            lessons.add(row.combination)
        elif row.kind.is_test and row.trials and row.line not in gone and not row.planned:
            there = row.combination in lessons or is_named_as_taught(target, row.combination)
            (taught if there else others).append((row.combination, row.meets(target.pass_mark)))
    return tuple(taught), tuple(others)


def first_of_each(outcomes: Outcomes) -> Outcomes:
    """The first outcome of each combination: what was met is probed again and again, and would count too much."""
    first: dict[Combination, bool] = {}
    for combination, met in outcomes:
        first.setdefault(combination, met)
    return tuple(first.items())


def taught_and_others(targets: Iterable[Target], log: Log) -> TaughtAndOthers:
    """Of one target or several together; the test is within each target, so that a hard one does not speak for what was
    not taught of it. It takes the probes as independent."""
    from genplan.evidence.exact_tests import Table2x2, exact_test

    pairs = [outcomes_by_teaching(t, log) for t in targets]
    fields = [(_counted(taught), _counted(others)) for taught, others in pairs]
    tables = [Table2x2(o.met, o.not_met, t.met, t.not_met) for t, o in fields]
    can_tell = any(table.informative for table in tables)
    return TaughtAndOthers(
        _together([t for t, _ in fields]),
        _together([o for _, o in fields]),
        exact_test(tables).fewer if can_tell else None,
    )


def _counted(outcomes: Outcomes) -> Counted:
    return Counted(sum(met for _, met in outcomes), len(outcomes))


def _together(counts: Sequence[Counted]) -> Counted:
    return Counted(sum(c.met for c in counts), sum(c.probes for c in counts))
