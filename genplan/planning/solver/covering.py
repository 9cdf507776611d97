"""What the week's probes show, and the smallest design that would finish each target after it.

The cuts rest on one fact: a probe shows exactly one tuple of each set of t dimensions. Let n_S be the open tuples of
the set S, c_S those of them that the week covers, P the week's new probes of the target, and F the probes of later
weeks that cover the rest. Then for every S

    c_S <= P,    F >= n_S - c_S,    F + P >= the proven size of a smallest design.

Own derivation: of S each of the P probes covers one tuple at the most, and so does each of the F. Without these cuts
the solver finds good weeks but can seldom prove that they are the best.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from genplan.coverage.tuples import Tuple, dimensions_of
from genplan.plan import ProbeKind
from genplan.planning.needs import LAST_DAY, TargetNeed
from genplan.planning.solver.slots import Bool, total
from genplan.planning.solver.variables import Variables, any_of


def link_coverage(v: Variables) -> None:
    """A tuple counts as covered only if a planned probe shows it."""
    for need in v.problem.needs:
        showing = _showing(v, need)
        for tuple_ in sorted(need.open):
            v.model.add(v.covered[need.id, tuple_] <= total(showing[tuple_]))
        probes = total(v.probes_of(need.id, ProbeKind.NEW))
        for covered in _by_dimensions(v, need).values():
            v.model.add(total(covered) <= probes)


def shown_in_time(v: Variables, need: TargetNeed, wanted: Mapping[Tuple, int]) -> list[Bool]:
    """For each wanted tuple a boolean that is 1 only if a probe shows it on the day given with it, or before."""
    last_day = max((s.day for s in v.slots), default=0)
    late = {t: day for t, day in wanted.items() if day < last_day}
    terms = [v.covered[need.id, t] for t in sorted(wanted.keys() - late.keys())]
    by_day = {day: _showing(v, need, day) for day in sorted(set(late.values()))}
    for tuple_, day in sorted(late.items()):
        terms.append(any_of(v, f"{need.id} shows {tuple_} by day {day}", by_day[day][tuple_]))
    return terms


def further_probes_of(v: Variables) -> list[Bool]:
    """New variables, one for each combination that a later week may probe: together they show all that is left."""
    everything = []
    for need in v.problem.needs:
        showing: dict[Tuple, list[Bool]] = defaultdict(list)
        columns = []
        for choice in need.new_sooner_or_later:
            column = v.model.new_bool_var(f"{need.id} later {' '.join(choice.combination)}")
            columns.append(column)
            for tuple_ in choice.shows:
                showing[tuple_].append(column)
        for tuple_ in sorted(need.open):
            if showing[tuple_]:
                v.model.add_bool_or([v.covered[need.id, tuple_], *showing[tuple_]])
        later = total(columns)
        for covered in _by_dimensions(v, need).values():
            v.model.add(later + total(covered) >= len(covered))
        fewest = v.problem.fewest.get(need.id, 0)
        v.model.add(later + total(v.probes_of(need.id, ProbeKind.NEW)) >= fewest)
        everything += columns
    return everything


def _showing(v: Variables, need: TargetNeed, until: int = LAST_DAY) -> dict[Tuple, list[Bool]]:
    showing: dict[Tuple, list[Bool]] = defaultdict(list)
    for slot, choice, var in v.by_target[need.id]:
        if slot.day <= until:
            for tuple_ in choice.shows:
                showing[tuple_].append(var)
    return showing


def _by_dimensions(v: Variables, need: TargetNeed) -> dict[tuple[str, ...], list[Bool]]:
    groups: dict[tuple[str, ...], list[Bool]] = defaultdict(list)
    for tuple_ in sorted(need.open):
        groups[dimensions_of(tuple_)].append(v.covered[need.id, tuple_])
    return groups
