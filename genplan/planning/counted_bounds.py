"""What no week can pass in an objective, by counting alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from itertools import chain

from genplan.case import Week
from genplan.case.people import NEEDS_SCALE
from genplan.coverage.tuples import Tuple, dimensions_of
from genplan.plan import ProbeKind
from genplan.planning.needs import TargetNeed
from genplan.planning.problem import Problem, asked_teachings
from genplan.rules.placed_sittings import of_learners


def counted_bounds(problem: Problem) -> dict[str, float]:
    """What the values of objectives cannot pass in any week, whichever possibilities a search looked at: by counting
    alone. All but `further probes` are upper bounds. Own derivation, from the rules on amounts and two facts:

    - of target i at most w_i probes are run: `probes_per_target_per_week` less those in `taken`;
    - a combination is probed once, and one maintenance probe of a target is run: so `due` is at most the sum of the w_i
      greatest among 1 for each retest and baseline probe that is owed and 1 (2 if overdue) for maintenance, summed
      over the targets;
    - a probe shows exactly one tuple of each set S of t dimensions: so of wanted tuples, n_S of them of S, at most
      sum over S of min(n_S, w_i) are shown. `worth` is no more than the new tuples, since no toll is negative;
    - the nth probe of a target shows at most one tuple more for each S with n_S >= n, which falls with n; so where the
      days of a learner hold D probes, the new tuples are at most the D greatest of these added up;
    - of teachings no more than are owed, and no more than `teachings_per_target_per_week` less those in `taken`; of
      those for whose last a probe waits as many are through as fit in there, the shortest first;
    - all that is owed can be taught, so what is taught has waited no longer than all of it together;
    - a target that needs at least f_i probes needs at least max(0, f_i - w_i) after this week;
    - of what somebody would rather have all can be held;
    - of what was told all can stay: 4 for a sitting, 1 for each probe and companion in it (see `told_value`)."""
    left = {n.id: _probes_left(problem, n) for n in problem.needs}
    new = sum(problem.case.learners[i].weight * _most_new(problem, i, left) for i in problem.learners)
    told = of_learners(problem.told, problem.learners)
    return {
        "due": float(sum(_most_due(n, left[n.id], problem.week) for n in problem.needs)),
        "dated": float(sum(_most_shown(n.dated, left[n.id]) for n in problem.needs)),
        "teaching": float(sum(_most_taught(problem, n) for n in problem.needs)),
        "waited": float(sum(due.waited for n in problem.needs for due in n.teachings)),
        "wished": float(sum(_most_shown(n.wished, left[n.id]) for n in problem.needs)),
        "shares": 1.0 if problem.has_shares else 0.0,
        "new tuples": new / NEEDS_SCALE,
        "worth": new / NEEDS_SCALE,
        "people told": float(len(problem.told_anyway)),
        "otherwise": float(len(of_learners(problem.lost, problem.learners))),
        "told": float(sum(4 + len(s.probes) + s.beside_as.is_needed for s in told)),
        "asked": float(len(problem.asked) + sum(due.times for _, due in asked_teachings(problem))),
        "rather": float(sum(r.learner in problem.learners for r in problem.rather)),
        "further probes": float(sum(max(0, problem.fewest.get(i, 0) - most) for i, most in left.items())),
    }


def _probes_left(problem: Problem, need: TargetNeed) -> int:
    """How many probes of a target the limit of the week leaves beside the seats that stay."""
    taken = sum(p.target == need.id for s in problem.taken for p in s.real_probes)
    return max(0, problem.case.policy.probes_per_target_per_week - taken)


def _most_taught(problem: Problem, need: TargetNeed) -> int:
    taken = sum(p.target == need.id and not p.is_probe for s in problem.taken for p in s.probes)
    left = max(0, problem.case.policy.teachings_per_target_per_week - taken)
    held = min(left, sum(due.times for due in need.teachings))
    through = 0
    for times in sorted(due.times for due in need.teachings if due.unlocks):
        left -= times
        through += left >= 0
    return held + through


def _most_due(need: TargetNeed, probes: int, week: Week) -> int:
    worth = [1] * (len(need.of_kind(ProbeKind.RETEST)) + need.baseline.times)
    if need.of_kind(ProbeKind.MAINTENANCE):
        worth.append(2 if need.maintenance is not None and need.maintenance.due < week.monday else 1)
    return sum(sorted(worth, reverse=True)[:probes])


def _most_shown(wanted: Iterable[Tuple], probes: int) -> int:
    return sum(_shown_by_each(wanted, probes))


def _shown_by_each(wanted: Iterable[Tuple], probes: int) -> list[int]:
    """The most that one probe after the other can show beside those before it."""
    counts = Counter(map(dimensions_of, wanted)).values()
    return [sum(count > before for count in counts) for before in range(min(probes, max(counts, default=0)))]


def _most_new(problem: Problem, learner: str, left: Mapping[str, int]) -> int:
    days = {day: most for (who, day), most in problem.day_most.items() if who == learner}
    known = days and all(o.day in days for o in problem.openings if o.learner == learner)
    each = (_shown_by_each(n.open, left[n.id]) for n in problem.needs_of(learner))
    return sum(sorted(chain.from_iterable(each), reverse=True)[: sum(days.values()) if known else None])
