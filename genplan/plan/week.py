"""The plan of a week, and how the run for it went."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from math import ceil

from genplan.case import Combination, Week
from genplan.coverage.matrix import MatrixRow, rows_by_target
from genplan.coverage.tuples import Tuple
from genplan.plan.left_out import LeftOut, MissedDate, Note, NoteKind
from genplan.plan.objectives import Objective
from genplan.plan.observers import ObservedShare
from genplan.plan.sittings import ProbeKind, Sitting
from genplan.plan.weeks_before import WeeksBefore
from genplan.plan.wishes import DECIDING, WishAnswer

DatedTuple = tuple[str, Tuple, int]
"""Target, one of its tuples, and the last day of the week (0 is Monday) on which showing it counts."""


@dataclass(frozen=True, kw_only=True)
class TargetCoverage:
    """Numbers of tuples of one target.

    - `learner`, `target`: whose, by id
    - `possible`: in all
    - `shown_before`, `tested_before`, `met_before`: before this week
    - `new`: shown for the first time by this plan
    - `open`: left after it
    - `fewest_further`: the smallest number of probes known to finish what is left
    - `fewest_proven`: the proven lower bound of that
    - `met_untaught_before`: of `met_before`, met in a combination in which nothing was taught"""

    learner: str
    target: str
    possible: int
    shown_before: int
    tested_before: int
    met_before: int
    new: int
    open: int
    fewest_further: int
    fewest_proven: int
    met_untaught_before: int = 0


@dataclass(frozen=True, kw_only=True)
class Plan:
    """The plan of a week.

    - `week`, `now`: which week, and the aware local moment of planning
    - `sittings`: in order of time, begun ones among them
    - `objectives`: the stages of the search, in their order
    - `coverage`: numbers of each target
    - `matrix`: how each possible combination stands
    - `left_out`: what was owed and is not planned
    - `notes`: remarks on the week as a whole
    - `repeatable`: False if the clock or a person, not the work limit, ended a stage
    - `observed`: a row for each learner with probes, where the policy asks for observers
    - `alone`: learner -> the most new tuples proven possible without the others, of which shares are shares; or empty
    - `before`: what the weeks before gave already, where fairness looks back
    - `wishes`: what became of each wish of whoever plans the weeks, in their order
    - `people_told`: `("adult" or "learner", id)` of everybody who has to be told something against what they were told;
      None: nobody was told of the week
    - `last_chances`: wishes, as target and place in its list, that have their last chance in this week
    - `dated`: how many wished tuples have their last chance in the week
    - `missed`: what is wanted by a date of the week and is not shown in time, the earliest date first
    - `turns`: where the week follows a term, target and wished tuple whose turn is this week, each with the last day
      that counts for it; None: it follows none
    - `catch_up`: where the policy prefers that, target and wished tuple that no later week has room for, each with the
      last day of the week (0 is Monday) after which a day is left for it"""

    week: Week
    now: datetime
    sittings: tuple[Sitting, ...]
    objectives: tuple[Objective, ...]
    coverage: tuple[TargetCoverage, ...]
    matrix: tuple[MatrixRow, ...]
    left_out: tuple[LeftOut, ...]
    notes: tuple[Note, ...] = ()
    repeatable: bool = True
    observed: tuple[ObservedShare, ...] = ()
    alone: Mapping[str, float] = field(default_factory=dict)
    last_chances: frozenset[tuple[str, int]] = frozenset()
    catch_up: tuple[DatedTuple, ...] = ()
    turns: tuple[DatedTuple, ...] | None = None
    dated: int = 0
    missed: tuple[MissedDate, ...] = ()
    wishes: tuple[WishAnswer, ...] = ()
    people_told: tuple[tuple[str, str], ...] | None = None
    before: WeeksBefore = field(default_factory=WeeksBefore)

    @property
    def decided(self) -> frozenset[str]:
        """The ids of sittings that are as somebody wished them: nothing else was searched for in their place."""
        return frozenset(w.sitting for w in self.wishes if w.sitting and w.wish.kind in DECIDING)

    @cached_property
    def staying(self) -> tuple[Sitting, ...]:
        """The sittings that stay as they are: those that have begun, and those that somebody decided. What is planned
        beside them is what the objectives count, but for those of `WHOLE_WEEK`."""
        return tuple(s for s in self.sittings if s.begun or s.id in self.decided)

    @property
    def begun(self) -> bool:
        """Whether it was made in its week, so that what is written down of that counts as tried before."""
        return self.now.date() >= self.week.monday

    @property
    def interrupted(self) -> bool:
        """Whether a person ended the search: the best week found by then."""
        return any(n.kind is NoteKind.INTERRUPTED for n in self.notes)

    @property
    def lost(self) -> tuple[MissedDate, ...]:
        """Of the dates that it misses those that the week as people were told of it kept."""
        return tuple(m for m in self.missed if m.told)

    @classmethod
    def of_sittings(cls, week: Week, now: datetime, sittings: tuple[Sitting, ...]) -> Plan:
        """Sittings alone, as people were told them: nothing was searched or counted."""
        return cls(week=week, now=now, sittings=sittings, objectives=(), coverage=(), matrix=(), left_out=())

    def sittings_on(self, day: date) -> tuple[Sitting, ...]:
        return tuple(s for s in self.sittings if s.start.date() == day)

    @cached_property
    def left_out_by_learner(self) -> Mapping[str, Sequence[LeftOut]]:
        """Of those who lack anything, in the order of the plan."""
        found: dict[str, list[LeftOut]] = {}
        for item in self.left_out:
            found.setdefault(item.learner, []).append(item)
        return found

    @cached_property
    def matrix_by_target(self) -> Mapping[str, Sequence[MatrixRow]]:
        return rows_by_target(self.matrix)

    def planned(self) -> dict[tuple[str, Combination], tuple[Sitting, ...]]:
        """Where each combination of a target is seated that is still to be run, in order of time; a teaching may be
        more than once: a probe of a sitting that has
        begun is not, once a row of its day or of a later one was written down. A teaching is not once its sitting has
        begun: a row of it need not change what is known."""
        known = {(r.target, r.combination): r.standing.last_date for r in self.matrix}
        seats: dict[tuple[str, Combination], tuple[Sitting, ...]] = {}
        for s in sorted(self.sittings, key=lambda s: s.start):
            for key, kind in ((((p.target, p.combination)), p.kind) for p in s.probes):
                last = known.get(key)
                if not (s.begun and (not kind.is_probe or (last and last >= s.start.date()))):
                    seats[key] = (*seats.get(key, ()), s)
        return seats

    @cached_property
    def _new_probes(self) -> Mapping[str, int]:
        """Of each target that has any."""
        return Counter(p.target for s in self.sittings for p in s.probes if p.kind is ProbeKind.NEW)

    def weeks_at_this_pace(self, cover: TargetCoverage) -> int | None:
        """In how many further weeks the fewest further probes of a target are run, if each week holds as many new ones
        of it as this: 0 where nothing is open, None where this week holds none."""
        held = self._new_probes[cover.target]
        if not cover.fewest_further:
            return 0
        return ceil(cover.fewest_further / held) if held else None


@dataclass(frozen=True)
class RunReport:
    """How the run went: the one thing that may differ between two runs. Seconds, model sizes and versions; of each step
    its searches and moves; of the answers that the plan needed how many were `kept` from earlier runs, and how many
    `searched` for."""

    seconds: dict[str, float]
    sizes: dict[str, int]
    versions: dict[str, str]
    steps: tuple[dict[str, object], ...] = ()
    answers: dict[str, int] = field(default_factory=dict)
