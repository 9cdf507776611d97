"""Whether the plan speaks of people, places and skills that the case knows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from genplan.audit.context import AuditContext, name


def ids_are_unique(matter: AuditContext) -> Iterator[str]:
    for id_, times in Counter(s.id for s in matter.plan.sittings).items():
        if times > 1:
            yield f"Sitting {id_}: its id is there {times} times."


def names_are_known(matter: AuditContext) -> Iterator[str]:
    case = matter.case
    for s in matter.new:
        for what, id_, known in (
            ("learner", s.learner, case.learners),
            ("adult", s.adult, case.adults),
            ("location", s.location, case.locations),
            ("adult", s.beside or s.adult, case.adults),
        ):
            if id_ not in known:
                yield f"{name(s)}: the case knows no {what} '{id_}'."
        for probe in s.probes:
            if probe.target not in case.targets:
                yield f"{name(s)}: the case knows no target '{probe.target}'."


def values_are_the_targets(matter: AuditContext) -> Iterator[str]:
    """A combination has one of the target's values in each dimension."""
    for s in matter.new:
        for probe in s.probes:
            target = matter.case.targets.get(probe.target)
            if target is None:
                continue
            if len(probe.combination) != len(target.dimensions):
                yield f"{name(s)}: {probe.combination} has not one value for each dimension of {target.id}."
                continue
            for dimension, value in zip(target.dimensions, probe.combination, strict=True):
                if value not in dimension.values:
                    yield f"{name(s)}: {target.id} does not vary {dimension.name} '{value}'."


NAMES = (ids_are_unique, names_are_known, values_are_the_targets)
