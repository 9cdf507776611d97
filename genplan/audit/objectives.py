"""What a plan tells of its search, held against its sittings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping

from genplan.audit.comfort import (
    changes,
    early_starts,
    fullest_days,
    least_load,
    sittings_and_places,
    waiting,
)
from genplan.audit.matter import Matter
from genplan.audit.told import as_told
from genplan.audit.worth import dated, due, new_tuples, wished
from genplan.plan import Objective

TOLERANCE = 1e-6
SENSES = {
    "due": "most",
    "dated": "most",
    "wished": "most",
    "shares": "most",
    "new tuples": "most",
    "told": "most",
    "changes": "fewest",
    "further probes": "fewest",
    "sittings": "fewest",
    "probes": "fewest",
    "loads": "fewest",
    "spread": "fewest",
    "waiting": "fewest",
    "early": "fewest",
}

EXACT: Mapping[str, Callable[[Matter], float]] = {
    "due": due,
    "wished": wished,
    "new tuples": new_tuples,
    "changes": changes,
    "sittings": sittings_and_places,
    "probes": lambda matter: sum(len(s.probes) for s in matter.new),
    "waiting": waiting,
    "early": early_starts,
}
"""These are counted to the last one. A value of the others may be told worse than it is, but never better."""

BETWEEN: Mapping[str, Callable[[Matter], tuple[float, float]]] = {
    "dated": lambda matter: (dated(matter), wished(matter)),
    "shares": lambda _: (0, 1),
    "told": lambda matter: (as_told(matter), as_told(matter)),
    "further probes": lambda matter: (
        sum(row.fewest_proven for row in matter.plan.coverage),
        sum(row.fewest_further for row in matter.plan.coverage),
    ),
    "loads": lambda matter: (least_load(matter), float("inf")),
    "spread": lambda matter: (fullest_days(matter), fullest_days(matter)),
}
"""What the plan is worth by these is known to lie between two numbers."""


def objectives(matter: Matter) -> Iterator[str]:
    """Each is there once, known and of its sense; no value is better than its bound or than what the sittings hold."""
    for name, times in Counter(o.name for o in matter.plan.objectives).items():
        if times > 1:
            yield f"Objective '{name}': it is there {times} times."
    for o in matter.plan.objectives:
        if o.sense != SENSES.get(o.name):
            yield f"Objective '{o.name}': nobody looks for the '{o.sense}' of it."
        elif o.status.value != "not reached":
            yield from _against_its_bound(o)
            yield from _against_the_sittings(matter, o)


def _against_its_bound(o: Objective) -> Iterator[str]:
    beyond = o.value - o.bound if o.sense == "most" else o.bound - o.value
    if beyond > TOLERANCE or (o.status.value == "optimal" and beyond < -TOLERANCE):
        yield f"Objective '{o.name}': value {o.value:g} and bound {o.bound:g} contradict each other."


def _against_the_sittings(matter: Matter, o: Objective) -> Iterator[str]:
    if o.name in EXACT:
        counted = EXACT[o.name](matter)
        if abs(counted - o.value) > TOLERANCE:
            yield f"Objective '{o.name}': its value is {counted:g}, not {o.value:g}."
        return
    least, most = BETWEEN[o.name](matter)
    if o.sense == "most":
        too_good, too_narrow = o.value > most + TOLERANCE, o.bound < least - TOLERANCE
    else:
        too_good, too_narrow = o.value < least - TOLERANCE, o.bound > most + TOLERANCE
    reached = f"{least:g}" if least == most else f"from {least:g} to {most:g}"
    if too_good:
        yield f"Objective '{o.name}': its value is {reached}, not {o.value:g}."
    if too_narrow:
        yield f"Objective '{o.name}': its value is {reached}, beyond the bound of {o.bound:g}."
