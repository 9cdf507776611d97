"""What a week that tells more people brings, against the one that tells the fewest: plain figures."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from genplan.case.wishes_of_planners import WishKind
from genplan.plan import COVERAGE, Objective, ObjectiveName, Plan, Probe


@dataclass(frozen=True)
class Deeper:
    """What a deeper search found, as more (or, below 0, fewer) than the week with the fewest people told has.

    - `taken`: it shows more, and is the week that was taken
    - `people`: people told
    - `rather`: sittings that somebody would rather have
    - `due`: probes that are due
    - `wished`: tuples shown that are wanted before the rest
    - `new`: tuples shown for the first time
    - `teachings`: teachings that are owed
    - `observed`: probes for which a second observer is there"""

    taken: bool
    people: int
    rather: int
    due: int
    new: int
    wished: int = 0
    teachings: int = 0
    observed: int = 0


def deeper_of(settled: Plan, further: Plan) -> Deeper:
    """A week that shows as much for more people told is not taken."""
    return Deeper(
        taken=_shows(further) > _shows(settled),
        people=len(further.people_told or ()) - len(settled.people_told or ()),
        rather=_rather(further) - _rather(settled),
        due=_due(further) - _due(settled),
        new=sum(c.new for c in further.coverage) - sum(c.new for c in settled.coverage),
        wished=_wished(further) - _wished(settled),
        teachings=_teachings(further) - _teachings(settled),
        observed=sum(o.observed for o in further.observed) - sum(o.observed for o in settled.observed),
    )


def _shows(plan: Plan) -> tuple[float, ...]:
    """What weeks are compared by. What shares are shares of differs between the two, and nobody is told
    of more for something that has waited longer, so these are left out."""
    found: dict[ObjectiveName, Objective] = {o.name: o for o in plan.objectives}
    unlike = (ObjectiveName.SHARES, ObjectiveName.WAITED)
    names = [n for n in (ObjectiveName.RATHER, *COVERAGE) if n not in unlike]
    return tuple(found[n].value for n in names if n in found)


def _rather(plan: Plan) -> int:
    return sum(a.kept for a in plan.wishes if a.wish.kind is WishKind.RATHER)


def _due(plan: Plan) -> int:
    return sum(p.kind.is_due for p in _ahead(plan))


def _teachings(plan: Plan) -> int:
    return sum(not p.kind.is_probe for p in _ahead(plan))


def _ahead(plan: Plan) -> Iterator[Probe]:
    return (p for s in plan.sittings if not s.begun for p in s.probes)


def _wished(plan: Plan) -> int:
    return int(sum(o.value for o in plan.objectives if o.name is ObjectiveName.WISHED))
