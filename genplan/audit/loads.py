"""What adults are asked for of the time that they can give, counted once more.

What an adult can give is the limit of the week, or else the minutes in which that adult can meet some learner who is
owed something, to run a sitting or to sit beside.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property
from math import ceil, floor

from genplan.audit.choices_left import owed_targets
from genplan.audit.context import DAY, AuditContext
from genplan.audit.looking_back import minutes_before
from genplan.audit.minutes import WEEK, Free, both, either, stretches
from genplan.audit.who_may_teach import may_teach, teachers_beside

Probe = tuple[str, int]
"""The set that a probe uses, and the minutes of a sitting with it alone."""


def largest_load(matter: AuditContext) -> float:
    """Tenths, rounded up, for the most burdened adult who can be met. Observing what is ahead does not count: it is
    never asked for its own sake. What the weeks before gave counts, where fairness looks back."""
    if not matter.case.policy.prefer.fair_shares:
        return 0
    largest, before = 0, minutes_before(matter)
    for adult, can_give in _Time(matter).can_give.items():
        own = matter.by_adult.get(adult, [])
        asked = [
            s for s in own if s.begun or s.adult == adult or s.beside_as.value in ("companion", "teacher")
        ]
        minutes = sum(int(matter.minute(s.end) - matter.minute(s.start)) for s in asked)
        minutes += before.get(adult, 0)
        largest = max(largest, ceil(10 * minutes / can_give - 1e-9))
    return largest


@dataclass(frozen=True)
class _Time:
    matter: AuditContext

    @cached_property
    def can_give(self) -> dict[str, int]:
        free = Free(self.matter, tuple(s for s in self.matter.by_time if s.begun))
        met: dict[str, bytearray] = defaultdict(lambda: bytearray(WEEK))
        for (learner, adult, location), probes in self._meetings().items():
            together, company = free.together(learner, adult, location), dict[str, bytes]()
            if free.needs_company(adult, learner):
                company = free.company(learner, location)
                together = both(together, either(company.values()))
            else:
                company = {a: free.adult(a, location) for a in self._teachers[learner, adult, location]}
            for start, end in stretches(together):
                if any(self._fits(probe, start, end) for probe in probes):
                    beside = [a for a, own in company.items() if any(own[start:end])]
                    for who in {adult, *beside}:
                        met[who][start:end] = b"\x01" * (end - start)
        limits = {a: self.matter.case.adults[a].limits.minutes_per_week for a in met}
        return {a: limits[a] or sum(minutes) for a, minutes in met.items()}

    @cached_property
    def _teachers(self) -> dict[tuple[str, str, str], set[str]]:
        """Learner, adult and location -> who could teach beside what that adult may not."""
        case = self.matter.case
        found: dict[tuple[str, str, str], set[str]] = defaultdict(set)
        for left in owed_targets(self.matter):
            for combination in left.teach:
                if not may_teach(case.adults[combination[0]], left.target):
                    beside = teachers_beside(case, left.target, combination)
                    found[left.target.learner, combination[0], combination[1]].update(beside)
        return found

    def _meetings(self) -> dict[tuple[str, str, str], set[Probe]]:
        """Learner, adult and location -> the probes that could be run there."""
        found: dict[tuple[str, str, str], set[Probe]] = defaultdict(set)
        for left in owed_targets(self.matter):
            settle = self.matter.case.policy.settle_minutes
            for combination in left.combinations:
                own = left.target.teaching_minutes if combination in left.teach else left.target.minutes
                adult, location, used = combination[:3]
                found[left.target.learner, adult, location].add((used, settle + own))
        return found

    def _fits(self, probe: Probe, start: int, end: int) -> bool:
        """Whether a sitting with it begins on the grid and ends within the stretch, while the set is there."""
        used, minutes = probe
        grid, gaps = self.matter.case.policy.start_every_minutes, self.matter.case.material_sets[used].missing
        missing = [(floor(self.matter.minute(g.start)), ceil(self.matter.minute(g.end))) for g in gaps]
        return any(
            at % DAY % grid == 0 and not any(at < b and a < at + minutes for a, b in missing)
            for at in range(start, end - minutes + 1)
        )
