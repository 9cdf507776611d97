"""Whether the plan speaks of people, places and skills that the case knows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from genplan.audit.context import AuditContext, of
from genplan.language import N_, _, said


def ids_are_unique(matter: AuditContext) -> Iterator[str]:
    for id_, times in Counter(s.id for s in matter.plan.sittings).items():
        if times > 1:
            yield _("Sitting {id}: its id is there {times} times.", id=id_, times=times)


def names_are_known(matter: AuditContext) -> Iterator[str]:
    case = matter.case
    for s in matter.new:
        for words, id_, known in (
            (N_("the case knows no learner '{id}'."), s.learner, case.learners),
            (N_("the case knows no adult '{id}'."), s.adult, case.adults),
            (N_("the case knows no location '{id}'."), s.location, case.locations),
            (N_("the case knows no adult '{id}'."), s.beside or s.adult, case.adults),
        ):
            if id_ not in known:
                yield of(s, said(words, id=id_))
        for probe in s.probes:
            if probe.target not in case.targets:
                yield of(s, _("the case knows no target '{target}'.", target=probe.target))


def values_are_the_targets(matter: AuditContext) -> Iterator[str]:
    """A combination has one of the target's values in each dimension."""
    for s in matter.new:
        for probe in s.probes:
            target = matter.case.targets.get(probe.target)
            if target is None:
                continue
            if len(probe.combination) != len(target.dimensions):
                yield of(
                    s,
                    _(
                        "{combination} has not one value for each dimension of {target}.",
                        combination=probe.combination,
                        target=target.id,
                    ),
                )
                continue
            for dimension, value in zip(target.dimensions, probe.combination, strict=True):
                if value not in dimension.values:
                    yield of(
                        s,
                        _(
                            "{target} does not vary {dimension} '{value}'.",
                            target=target.id,
                            dimension=dimension.name,
                            value=value,
                        ),
                    )


NAMES = (ids_are_unique, names_are_known, values_are_the_targets)
