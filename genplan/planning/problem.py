"""What the solver is given, as plain values that can be handed to another process."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from genplan.case import Case, Combination, Week
from genplan.case.dated_facts import missing_in
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.case.wishes_of_planners import Rather
from genplan.coverage.tuples import Tuple
from genplan.plan import ObjectiveName, WeeksBefore, minutes_of
from genplan.planning.companions import CompanionWindow, company, company_in
from genplan.planning.needs import Choice, TargetNeed
from genplan.planning.openings import Hours, Opening, companions_for, openings_of, starts_beside, starts_in
from genplan.planning.teaching_due import TeachingDue
from genplan.rules.placed_sittings import Person, PlacedSitting


@dataclass(frozen=True, kw_only=True)
class Problem:
    """The learners to plan together and what they are owed.

    - `case`, `week`: as they are in that week
    - `learners`: who is planned, by id, sorted
    - `needs`: what their targets are owed
    - `openings`: what the taken seats leave, minutes of the week, half-open
    - `taken`: seats that stay as they are
    - `recorded`, `recorded_teachings`: target -> the days on which probes were run, or teachings, that no seat holds
    - `alone`: learner -> the most new tuples that were proven possible for that learner alone, a count
    - `fewest`: target -> the proven lower bound of the probes that finish it
    - `told`: the sittings that people were told of and that have not begun
    - `held_as_told`: more of these, which somebody decided to hold: they are among `taken`
    - `lost`: those of them that cannot be held as people were told, whatever is planned
    - `told_anyway`: who has to be told something whatever is planned
    - `held`: openings that hold just this sitting, which stays as it is
    - `companions`: an entry for each opening whose adult sits only beside somebody who knows the learner: who, and when
    - `teachers`: for other openings in which something can be taught with somebody beside only: who, and when
    - `prices`: what a minute of an adult or in a location is worth to learners who are not planned here, in tenths
    - `detours`: minutes that an adult is on the way to a location where nobody else is seen
    - `tolls`: hundredths of a tuple that a sitting with an adult, or in a location, has to be worth
    - `can_give`: adult -> the minutes that it can be asked for, where that was counted before; else it is counted here
    - `observing`: adult -> minutes ahead in seats of `taken` that it only observes, which are no part of its load
    - `load_at_least`: the largest load, in tenths, of what stays in any case
    - `asked`: open tuples of targets that somebody wants to see before all else
    - `asked_teachings`: target and combinations of teachings that are owed and that somebody wants before all else
    - `day_most`: learner and day (0 is Monday) -> a proven bound on the probes of that day
    - `others`: of `taken`, the seats of learners who are planned too, whose places an adult is at anyway
    - `travelling`: adults whose journeys are left out, since they can be shared with learners who are not planned here
    - `rather`: sittings with an adult in a stretch that somebody would rather have
    - `before`: what the weeks before gave already, where fairness looks back
    - `proven`: objective -> what no week can beat that is at its best in all objectives before it"""

    case: Case
    week: Week
    learners: tuple[str, ...]
    needs: tuple[TargetNeed, ...]
    openings: tuple[Opening, ...]
    taken: tuple[PlacedSitting, ...] = ()
    recorded: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    recorded_teachings: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    alone: Mapping[str, int] = field(default_factory=dict)
    fewest: Mapping[str, int] = field(default_factory=dict)
    told: tuple[PlacedSitting, ...] = ()
    held_as_told: frozenset[PlacedSitting] = frozenset()
    lost: tuple[PlacedSitting, ...] = ()
    told_anyway: frozenset[Person] = frozenset()
    held: Mapping[Opening, PlacedSitting] = field(default_factory=dict)
    companions: Mapping[Opening, tuple[CompanionWindow, ...]] = field(default_factory=dict)
    teachers: Mapping[Opening, tuple[CompanionWindow, ...]] = field(default_factory=dict)
    prices: Mapping[tuple[str, str], int] = field(default_factory=dict)
    detours: Mapping[str, int] = field(default_factory=dict)
    tolls: Mapping[tuple[str, str], int] = field(default_factory=dict)
    can_give: Mapping[str, int] = field(default_factory=dict)
    observing: Mapping[str, int] = field(default_factory=dict)
    load_at_least: int = 0
    asked: frozenset[tuple[str, Tuple]] = frozenset()
    asked_teachings: frozenset[tuple[str, tuple[Combination, ...]]] = frozenset()
    day_most: Mapping[tuple[str, int], int] = field(default_factory=dict)
    others: tuple[PlacedSitting, ...] = ()
    travelling: frozenset[str] = frozenset()
    rather: tuple[Rather, ...] = ()
    proven: Mapping[ObjectiveName, float] = field(default_factory=dict)
    before: WeeksBefore = field(default_factory=WeeksBefore)

    @property
    def has_shares(self) -> bool:
        """Whether there are several learners to be compared by what each could have alone."""
        return len(self.learners) > 1 and any(most > 0 for most in self.alone.values())

    def beside_in(self, opening: Opening) -> tuple[CompanionWindow, ...]:
        """Who can be the second adult of a sitting in the opening, and when."""
        return self.companions.get(opening) or self.teachers.get(opening, ())

    @cached_property
    def choices_with(self) -> Mapping[tuple[str, str, str], Sequence[tuple[Choice, str]]]:
        """Learner, adult and location -> what may be run there, each with its material set."""
        found: dict[tuple[str, str, str], list[tuple[Choice, str]]] = defaultdict(list)
        for need in self.needs:
            for choice in need.choices:
                adult, location, name = (
                    need.target.value(choice.combination, d) for d in (ADULT, LOCATION, MATERIAL_SET)
                )
                found[need.target.learner, adult, location].append((choice, name))
        return found

    def needs_of(self, learner: str) -> tuple[TargetNeed, ...]:
        return tuple(n for n in self.needs if n.target.learner == learner)


def asked_teachings(problem: Problem) -> list[tuple[TargetNeed, TeachingDue]]:
    """What is owed of the teachings that are asked for."""
    return [
        (need, due)
        for need in problem.needs
        for due in need.teachings
        if (need.id, due.combinations) in problem.asked_teachings
    ]


def holds_something(problem: Problem, opening: Opening) -> bool:
    """Whether a sitting with one thing that is owed fits into an opening, on whichever day it may be run."""
    return any(fitting(problem, opening))


def fitting(problem: Problem, opening: Opening) -> Iterator[Choice]:
    """Each thing that is owed of which a sitting with it alone fits into an opening, on whichever day it may be run."""
    settle, grid = problem.case.policy.settle_minutes, problem.case.policy.start_every_minutes
    for choice, name in problem.choices_with.get((opening.learner, opening.adult, opening.location), ()):
        minutes = settle + minutes_of(problem.case.targets[choice.target], choice.kind)
        gaps = missing_in(problem.case.material_sets[name], problem.week)
        if starts_beside(gaps, starts_in(opening, minutes, grid), minutes):
            yield choice


def problem_for(
    case: Case,
    week: Week,
    free: Hours,
    learners: tuple[str, ...],
    needs: tuple[TargetNeed, ...],
    taken: tuple[PlacedSitting, ...],
    alone: Mapping[str, int] | None = None,
    fewest: Mapping[str, int] | None = None,
    openings: tuple[Opening, ...] | None = None,
) -> Problem:
    """The problem of these learners on what `taken` leaves; needs of others are left out. `openings`: what it leaves,
    where that is known."""
    chosen = tuple(sorted(learners))
    wanted = tuple(n for n in needs if n.target.learner in chosen)
    return beside(
        Problem(
            case=case,
            week=week,
            learners=chosen,
            needs=wanted,
            openings=(),
            taken=(),
            recorded=free.recorded,
            recorded_teachings=free.recorded_teachings,
            alone=alone or {},
            fewest=fewest or {},
        ),
        free,
        taken,
        openings,
    )


def beside(
    problem: Problem,
    free: Hours,
    more: tuple[PlacedSitting, ...],
    openings: tuple[Opening, ...] | None = None,
) -> Problem:
    """The same problem on what `more` seats leave; `free` are everybody's hours before anything was planned, `openings`
    what all leave, where that is known."""
    taken = (*problem.taken, *more)
    if openings is None:
        openings = tuple(o for i in problem.learners for o in openings_of(problem.case, free, i, taken))
    companions = companions_for(problem.case, free, openings, taken)
    teachers = _teachers_for(problem, free, [o for o in openings if o not in companions], taken)
    return replace(problem, openings=openings, taken=taken, companions=companions, teachers=teachers)


def _teachers_for(
    problem: Problem, free: Hours, openings: Iterable[Opening], taken: tuple[PlacedSitting, ...]
) -> dict[Opening, tuple[CompanionWindow, ...]]:
    """For each opening in which something can be taught that its adult may not teach, who can sit beside, and when."""
    wanted: dict[tuple[str, str, str], set[str]] = defaultdict(set)
    for need in problem.needs:
        for choice in need.choices:
            if choice.beside:
                adult, location = (need.target.value(choice.combination, d) for d in (ADULT, LOCATION))
                wanted[need.target.learner, adult, location].update(choice.beside)
    return {
        o: company_in(
            company(problem.case, free.adults_at(o.location), who, o.learner, o.location, taken),
            o.start,
            o.end,
        )
        for o in openings
        if (who := wanted.get((o.learner, o.adult, o.location)))
    }
