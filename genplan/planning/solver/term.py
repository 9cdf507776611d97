"""The plan of a term: the most dates that the weeks' capacities leave, and a bound on them that is proven.

A variable is a probe of a combination in a stretch of a week; sittings of a learner with an adult at a location are
counted. Nothing lies at an hour, so the model is a relaxation of the weeks, and its bound one of them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from ortools.sat.python import cp_model

from genplan.coverage.tuples import Tuple
from genplan.plan import StageStatus
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.search_settings import SETTINGS
from genplan.planning.solver.search import Found, Model, hint_all, search, whole_bound
from genplan.planning.solver.slots import Bool, Linear
from genplan.planning.term.greedy import first_checks, first_probes
from genplan.planning.term.problem import Meeting, Place, TermAnswer, TermProblem, Wanted

THOUSAND = 1000


class _Room:
    """Sittings that hold the probes, and that the capacities hold."""

    def __init__(
        self, model: cp_model.CpModel, problem: TermProblem, probes: Mapping[tuple[int, int], Bool]
    ) -> None:
        self.model, self.problem, self.probes = model, problem, probes
        self.sittings = {
            at: self.model.new_int_var(
                0, problem.most_sittings[at], f"sittings {m.learner} {m.adult} {m.location} {at}"
            )
            for at, m in enumerate(problem.meetings)
        }
        for at, meeting in enumerate(problem.meetings):
            self._sittings_hold_their_probes(at, meeting)
        self._capacities()

    def begin_with(self, probes: Collection[tuple[int, int]]) -> None:
        """Hints for the fewest sittings that these probes take."""
        sittings = self.problem.sittings_of(probes)
        for at, count in self.sittings.items():
            self.model.add_hint(count, sittings.get(at, 0))

    def _sittings_hold_their_probes(self, at: int, meeting: Meeting) -> None:
        """One of a target in each, and no more than one has room for."""
        held, by_target = self.sittings[at], defaultdict[str, list[Bool]](list)
        minutes: list[Linear] = []
        for number in self.problem.held_in[at]:
            column = self.problem.columns[number]
            by_target[column.target].append(self.probes[number, at])
            minutes.append(column.minutes * self.probes[number, at])
        for some in by_target.values():
            self.model.add(sum(some) <= held)
        most = self.problem.most_probes[at]
        if len(by_target) > most:
            self.model.add(sum(self.probes[n, at] for n in self.problem.held_in[at]) <= most * held)
        if len(by_target) > 1:
            self.model.add(sum(minutes) <= meeting.minutes * held)

    def _capacities(self) -> None:
        for capacity in self.problem.capacities:
            if capacity.is_sittings_of_one:
                continue  # the variable's own range
            terms: list[Linear] = []
            for at in capacity.meetings:
                if capacity.sitting:
                    terms.append(capacity.sitting * self.sittings[at])
                for number in self.problem.held_in[at] if capacity.probe or capacity.minute else ():
                    if takes := capacity.of_probe(self.problem.columns[number]):
                        terms.append(takes * self.probes[number, at])
            if terms:
                self.model.add(sum(terms) <= capacity.most)


class _Model:
    """`checks_held`: each check that has a column is answered."""

    def __init__(self, problem: TermProblem, *, checks_held: bool = True) -> None:
        self.problem, self.model = problem, Model()
        self.probes = {
            (number, at): self.model.new_bool_var(
                f"{' '.join(column.combination)} of {column.target} at {at}"
            )
            for number, column in enumerate(problem.columns)
            for at in column.meetings
        }
        for number, column in enumerate(problem.columns):
            self.model.add_at_most_one(self.probes[number, at] for at in column.meetings)
        self.room = _Room(self.model, problem, self.probes)
        self.without_due = None
        if problem.without_due:
            theirs = {same: self.probes[way] for way, same in problem.same_without_due.items()}
            self.without_due = _Room(self.model, problem.without_due, theirs)
        self._checks(checks_held)
        self.kept = [self._kept(w) for w in problem.wanted]
        self._no_more_than_is_proven()

    def _checks(self, held: bool) -> None:
        """What is due is run once."""
        for check in range(self.problem.checks):
            ways = [self.probes[way] for way in self.problem.ways_of_check(check)]
            if held and ways:
                self.model.add_exactly_one(ways)
            else:
                self.model.add_at_most_one(ways)

    def _no_more_than_is_proven(self) -> None:
        if self.problem.most_kept is not None:
            self.model.add(sum(self.kept) <= self.problem.most_kept)
        for number in sorted(self.problem.never):
            self.model.add(self.kept[number] == 0)

    def shown(self, wanted: Wanted, tuple_: Tuple) -> list[Bool]:
        """The probes that show a tuple in time."""
        return [self.probes[way] for way in self.problem.ways(wanted, tuple_)]

    def _kept(self, wanted: Wanted) -> Bool:
        kept = self.model.new_bool_var(f"{wanted.target} date {wanted.place} kept")
        for tuple_ in sorted(wanted.tuples):
            self.model.add(sum(self.shown(wanted, tuple_)) >= kept)
        return kept

    def begin_with(self, probes: Sequence[tuple[int, int]]) -> None:
        """Hints for every variable: these probes, the sittings that they take, the dates that they keep."""
        held = set(probes)
        for key, probe in self.probes.items():
            self.model.add_hint(probe, key in held)
        self.room.begin_with(probes)
        if self.without_due:
            same = self.problem.same_without_due
            self.without_due.begin_with([same[way] for way in probes if way in same])
        for wanted, kept in zip(self.problem.wanted, self.kept, strict=True):
            self.model.add_hint(kept, self.problem.is_kept(wanted, held))

    def chosen(self, found: Found) -> tuple[tuple[int, int], ...]:
        return tuple(key for key, var in self.probes.items() if found.solver.value(var))


def solve_term(problem: TermProblem, budget: Budget = ENDLESS) -> TermAnswer:
    """The most dates; of these plans one in which the learners keep as even a share of theirs as can be, then one that
    shows the most of what the missed ones ask for, then one that is early, urgent dates first, in few sittings."""
    m, found, bound = _searched_for_most(problem, budget)
    value = sum(found.solver.value(k) for k in m.kept)
    repeatable = found.status is not StageStatus.STOPPED
    m.model.add(sum(m.kept) >= value)
    for aim in () if problem.dates_alone else (_least_share, _shown_of_missed, _early):
        if budget.is_over:
            repeatable = False
            break
        hint_all(m.model, found)
        if (goal := aim(m, found)) is None:
            continue
        m.model.maximize(goal)
        found = search(m.model, SETTINGS.term_effort * problem.work, budget)
        m.model.add(goal >= round(found.solver.objective_value))
        repeatable = repeatable and found.status is not StageStatus.STOPPED
    probes = m.chosen(found)
    kept = tuple(problem.is_kept(w, set(probes)) for w in problem.wanted)
    return TermAnswer(
        probes=probes,
        sittings=problem.sittings_of(probes),
        kept=kept,
        alone=tuple(
            True if held else False if n in problem.never else _alone(problem, w, budget)
            for n, (w, held) in enumerate(zip(problem.wanted, kept, strict=True))
        ),
        bound=bound,
        repeatable=repeatable,
    )


def most_dates(problem: TermProblem, budget: Budget = ENDLESS) -> int:
    """No more are kept: proven."""
    return _searched_for_most(problem, budget)[2]


def _searched_for_most(problem: TermProblem, budget: Budget) -> tuple[_Model, Found, int]:
    """With the number of dates of which it is proven that no more are kept."""
    m = _Model(problem)
    m.begin_with(first_probes(problem))
    m.model.maximize(sum(m.kept))
    found = search(m.model, problem.work, budget)
    return m, found, min(len(problem.wanted), whole_bound(found.bound, most=True))


def places_of_checks(problem: TermProblem, budget: Budget = ENDLESS) -> dict[int, Place]:
    """The number of a check -> its place: of as many checks as can be, as early as can be."""
    m = _Model(replace(problem, wanted=()), checks_held=False)
    m.begin_with(first_checks(problem))
    m.model.maximize(
        sum(
            (2 * problem.weeks - problem.meetings[at].week) * var
            for (number, at), var in m.probes.items()
            if problem.columns[number].check is not None
        )
    )
    found = search(m.model, SETTINGS.term_effort * problem.work, budget)
    return problem.places_in(m.chosen(found))


def _least_share(m: _Model, found: Found) -> Linear | None:
    """The smallest share of its dates, in thousandths, that a learner keeps."""
    of: dict[str, list[Bool]] = defaultdict(list)
    for wanted, kept in zip(m.problem.wanted, m.kept, strict=True):
        of[wanted.learner].append(kept)
    if len(of) < 2 or all(found.solver.value(k) for k in m.kept):
        return None
    least = m.model.new_int_var(0, THOUSAND, "least share")
    for some in of.values():
        m.model.add(len(some) * least <= THOUSAND * sum(some))
    return least


def _shown_of_missed(m: _Model, found: Found) -> Linear | None:
    """What is shown in time of dates that are not kept, with the same ones kept as were found."""
    terms: list[Linear] = []
    for wanted, kept in zip(m.problem.wanted, m.kept, strict=True):
        value = found.solver.value(kept)
        m.model.add(kept == value)
        if value:
            continue
        for number, tuple_ in enumerate(sorted(wanted.tuples)):
            if ways := m.shown(wanted, tuple_):
                shown = m.model.new_bool_var(f"{wanted.target} date {wanted.place} shows {number}")
                m.model.add(sum(ways) >= shown)
                terms.append(shown)
    return sum(terms) if terms else None


def _early(m: _Model, found: Found) -> Linear:
    """How late probes are, those for sooner dates counting more, and how many sittings there are; to be as little as
    can be."""
    weeks, until = m.problem.weeks, _needed_until(m.problem)
    late: list[Linear] = []
    for (number, at), var in m.probes.items():
        urgent = weeks - until.get(number, weeks - 1)
        late.append((1 + 2 * urgent * (1 + m.problem.meetings[at].week)) * var)
    return -sum(late) - sum(m.room.sittings.values())


def _needed_until(problem: TermProblem) -> dict[int, int]:
    """The number of a column -> the week of the first date that it serves."""
    found: dict[int, int] = {}
    for wanted in problem.wanted:
        for tuple_ in sorted(wanted.tuples):
            for number in problem.showing.get((wanted.target, tuple_), ()):
                found[number] = min(wanted.week, found.get(number, wanted.week))
    return found


def _alone(problem: TermProblem, wanted: Wanted, budget: Budget) -> bool | None:
    """Whether a date could be kept if nothing else were wanted; None where that was not found out."""
    if budget.is_over:
        return None
    alone = problem.alone(wanted)
    m = _Model(alone)
    m.begin_with(first_probes(alone))
    m.model.maximize(m.kept[0])
    found = search(m.model, SETTINGS.term_effort * problem.work, budget)
    if found.solver.value(m.kept[0]):
        return True
    return False if whole_bound(found.bound, most=True) < 1 else None
