"""What a plan tells of its search, held against its sittings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping

from genplan.audit.again import not_again, too_late
from genplan.audit.comfort import (
    changes,
    early_starts,
    fullest_days,
    number_of_probes,
    sittings_and_places,
    waiting,
)
from genplan.audit.context import AuditContext
from genplan.audit.coverage_values import dated, due, new_tuples, wished
from genplan.audit.fewest_further import fewest_further
from genplan.audit.kept_as_told import as_told, otherwise, people_told
from genplan.audit.loads import largest_load
from genplan.audit.owed_teaching import taught, weeks_waited
from genplan.audit.shares import smallest_share
from genplan.audit.wishes import rather_held
from genplan.plan import Objective, StageStatus

TOLERANCE = 1e-6
FURTHER_PROBES = "further probes"
TEACHING, WAITED, NEW_TUPLES = "teaching", "waited", "new tuples"
SENSES = {
    "rather": "most",
    "due": "most",
    "dated": "most",
    TEACHING: "most",
    WAITED: "most",
    "wished": "most",
    "shares": "most",
    NEW_TUPLES: "most",
    "people told": "fewest",
    "otherwise": "fewest",
    "told": "most",
    "changes": "fewest",
    FURTHER_PROBES: "fewest",
    "fell through": "fewest",
    "sittings": "fewest",
    "probes": "fewest",
    "catch up": "fewest",
    "loads": "fewest",
    "spread": "fewest",
    "waiting": "fewest",
    "early": "fewest",
}

COUNTED: Mapping[str, Callable[[AuditContext], float]] = {
    "rather": rather_held,
    "due": due,
    "dated": dated,
    TEACHING: taught,
    WAITED: weeks_waited,
    "wished": wished,
    "shares": smallest_share,
    NEW_TUPLES: new_tuples,
    "people told": lambda matter: len(people_told(matter)),
    "otherwise": otherwise,
    "told": as_told,
    "changes": changes,
    "fell through": not_again,
    "catch up": too_late,
    "sittings": sittings_and_places,
    "probes": lambda matter: sum(map(number_of_probes, matter.new)),
    "loads": largest_load,
    "spread": fullest_days,
    "waiting": waiting,
    "early": early_starts,
}
"""What a plan is worth by each, counted to the last one. `further probes` is the one that takes a search."""


def objectives(matter: AuditContext) -> Iterator[str]:
    """Each is there once, known and of its sense; no value is better than its bound or than what the sittings hold."""
    for name, times in Counter(o.name for o in matter.plan.objectives).items():
        if times > 1:
            yield f"Objective '{name}': it is there {times} times."
    yield from _place_of_teaching(matter)
    for o in matter.plan.objectives:
        if o.sense != SENSES.get(o.name):
            yield f"Objective '{o.name}': nobody looks for the '{o.sense}' of it."
        elif o.status is not StageStatus.NOT_REACHED:
            yield from _against_its_bound(o)
            yield from _against_the_sittings(matter, o)


def _place_of_teaching(matter: AuditContext) -> Iterator[str]:
    """Where both are searched for, the policy says whether teaching comes before new tuples."""
    order, first = [str(o.name) for o in matter.plan.objectives], matter.case.policy.teaching_first
    if matter.case.policy.plan_teaching != (TEACHING in order) and order:
        what = "is not there" if matter.case.policy.plan_teaching else "is there, and none is planned"
        yield f"Objective 'teaching': it {what}."
    elif {TEACHING, NEW_TUPLES} <= set(order) and (order.index(TEACHING) < order.index(NEW_TUPLES)) != first:
        yield f"Objective 'teaching': it comes {'after' if first else 'before'} new tuples."


def _against_its_bound(o: Objective) -> Iterator[str]:
    beyond = o.value - o.bound if o.sense == "most" else o.bound - o.value
    if beyond > TOLERANCE or (o.status.value == "optimal" and beyond < -TOLERANCE):
        yield f"Objective '{o.name}': value {o.value:g} and bound {o.bound:g} contradict each other."


def _against_the_sittings(matter: AuditContext, o: Objective) -> Iterator[str]:
    if o.name == FURTHER_PROBES:
        yield from _further_probes(matter, o)
        return
    counted = COUNTED[o.name](matter)
    if abs(counted - o.value) > TOLERANCE:
        yield f"Objective '{o.name}': its value is {counted:g}, not {o.value:g}."


def _further_probes(matter: AuditContext, o: Objective) -> Iterator[str]:
    """Exactly, as far as there is little enough to try everything. One that is not proven may be told higher than the
    fewest: a smaller design was not found."""
    least, most = fewest_further(matter)
    reached = f"{least:g}" if least == most else f"from {least:g} to {most:g}"
    if o.value < least or (o.status.value == "optimal" and o.value > most):
        yield f"Objective '{o.name}': its value is {reached}, not {o.value:g}."
    elif o.bound > most + TOLERANCE:
        yield f"Objective '{o.name}': its value is {reached}, beyond the bound of {o.bound:g}."
