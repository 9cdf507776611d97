"""What each opening can hold: choices, starts, and the most sittings of any week."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from genplan.case import Combination
from genplan.case.dated_facts import missing_in
from genplan.case.week import MINUTES_PER_DAY
from genplan.plan import minutes_of as minutes_by_kind
from genplan.planning.needs import Choice
from genplan.planning.openings import Opening, starts_beside, starts_in
from genplan.planning.problem import Problem
from genplan.planning.search_settings import SETTINGS
from genplan.rules.placed_sittings import PlacedSitting


@dataclass(frozen=True)
class Meeting:
    """What an opening can hold: choices, the steps of the day's grid at which a sitting can begin, and the most
    sittings that any week has in it."""

    opening: Opening
    choices: tuple[Choice, ...]
    steps: range
    sittings: int


def meeting_in(problem: Problem, opening: Opening) -> Meeting | None:
    choices = _choices_in(problem, opening)
    if not choices:
        return None
    shortest = problem.case.policy.settle_minutes + min(minutes_of(problem, c) for c in choices)
    steps = start_steps(problem, opening, shortest)
    return Meeting(opening, choices, steps, _most_sittings(problem, opening, choices, steps, shortest))


def most_copies(meetings: Sequence[Meeting]) -> int:
    """The most sittings of an opening that are looked at, so that there is not more than `most_probes` and `most_pairs`
    allow; at least one."""
    most = max((m.sittings for m in meetings), default=0)
    while most > 1 and not _are_few(meetings, most):
        most -= 1
    return most


def _are_few(meetings: Sequence[Meeting], most: int) -> bool:
    sittings: Counter[tuple[str, int]] = Counter()
    for m in meetings:
        sittings[m.opening.learner, m.opening.day] += min(m.sittings, most)
    probes = sum(min(m.sittings, most) * len(m.choices) for m in meetings)
    return (
        probes <= SETTINGS.most_probes
        and sum(n * (n - 1) // 2 for n in sittings.values()) <= SETTINGS.most_pairs
    )


def _choices_in(problem: Problem, opening: Opening) -> tuple[Choice, ...]:
    only = _run_in(problem.held.get(opening))
    return tuple(
        choice
        for choice, material_set in problem.choices_with.get(
            (opening.learner, opening.adult, opening.location), ()
        )
        if choice.first_day <= opening.day
        and (only is None or (choice.target, choice.combination, str(choice.kind)) in only)
        and _is_ever_there(problem, choice, material_set, opening)
    )


def _run_in(seat: PlacedSitting | None) -> set[tuple[str, Combination, str]] | None:
    return None if seat is None else {(p.target, p.combination, p.kind) for p in seat.probes}


def _is_ever_there(problem: Problem, choice: Choice, material_set: str, opening: Opening) -> bool:
    """Whether the set is there long enough in the opening for a sitting with this probe alone."""
    gaps = missing_in(problem.case.material_sets[material_set], problem.week)
    if not gaps:
        return True
    minutes = problem.case.policy.settle_minutes + minutes_of(problem, choice)
    starts = starts_in(opening, minutes, problem.case.policy.start_every_minutes)
    return bool(starts_beside(gaps, starts, minutes))


def minutes_of(problem: Problem, choice: Choice) -> int:
    return minutes_by_kind(problem.case.targets[choice.target], choice.kind)


def start_steps(problem: Problem, opening: Opening, shortest: int) -> range:
    """The steps k of the day's grid at which a sitting of `shortest` minutes fits: it starts at k * grid."""
    grid = problem.case.policy.start_every_minutes
    starts = starts_in(opening, shortest, grid)
    first = (starts.start - opening.day * MINUTES_PER_DAY) // grid
    return range(first, first + len(starts))


def _most_sittings(
    problem: Problem, opening: Opening, choices: tuple[Choice, ...], steps: range, shortest: int
) -> int:
    """The most sittings that any week has in the opening: so many of its starts are far enough apart, there are so many
    probes for them, and so many the limits leave. One that could hold everything is not enough: a sitting with somebody
    else may have to lie between two."""
    if opening in problem.held:
        return 1
    policy, learner = problem.case.policy, problem.case.learners[opening.learner].limits
    adult = problem.case.adults[opening.adult].limits
    far_enough = ceil((shortest + policy.rest_minutes) / policy.start_every_minutes)
    a_target = min(policy.probes_per_target_per_day, policy.probes_per_target_per_week)
    taught = min(policy.teachings_per_target_per_day, policy.teachings_per_target_per_week)
    probes = sum(min(a_target, n) for n in Counter(c.target for c in choices if c.kind.is_probe).values())
    teachings = taught * len({c.target for c in choices if not c.kind.is_probe})
    things = _at_most(probes, learner.probes_per_day) + _at_most(teachings, learner.teachings_per_day)
    minutes = None if adult.minutes_per_week is None else adult.minutes_per_week // shortest
    most = _at_most(things, learner.sittings_per_day, adult.sittings_per_day, minutes)
    return min(len(steps[::far_enough]), max(1, most))


def _at_most(number: int, *limits: int | None) -> int:
    return min([number, *(n for n in limits if n is not None)])
