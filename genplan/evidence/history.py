"""The history of combinations: every row with what it made of the standing, nothing left out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from genplan.case import Combination, Target
from genplan.evidence.effective_rows import corrected_of
from genplan.evidence.log import Log, Result
from genplan.evidence.standing import Standing, Status, standing_after, was_taught


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One row and the standing before and after it.

    corrected_by  line of the row that counts in its place; 0: it counts itself
    corrects      lines that it stands for
    """

    result: Result
    before: Standing
    after: Standing
    corrected_by: int = 0
    corrects: tuple[int, ...] = ()

    @property
    def undoes(self) -> bool:
        """Whether what had been met no longer is."""
        return self.before.status is Status.MET and self.after.status is Status.NOT_MET


def history(target: Target, log: Log, chosen: Mapping[str, str] | None = None) -> tuple[Entry, ...]:
    """All rows of a target in order of time, or of the combinations that hold the `chosen` values only.

    A row that another corrects changes no standing. Raises ValueError for a dimension the target does not
    have."""
    rows = [r for r in log.all_of_target(target.id) if target.matches(r.combination, chosen or {})]
    gone = corrected_of(target, log)
    corrects: dict[int, list[int]] = defaultdict(list)
    for line, by in gone.items():
        corrects[by].append(line)
    known: dict[Combination, Standing] = defaultdict(Standing)
    entries = []
    for row in rows:
        before = known[row.combination]
        after = before if row.line in gone else standing_after(target, before, row)
        known[row.combination] = after
        entries.append(
            Entry(
                result=row,
                before=_or_taught(target, row.combination, before),
                after=_or_taught(target, row.combination, after),
                corrected_by=gone.get(row.line, 0),
                corrects=tuple(sorted(corrects.get(row.line, ()))),
            )
        )
    return tuple(entries)


def _or_taught(target: Target, combination: Combination, known: Standing) -> Standing:
    untouched = known.status is Status.UNTESTED and was_taught(target, combination)
    return Standing(status=Status.TAUGHT, taught=True) if untouched else known
