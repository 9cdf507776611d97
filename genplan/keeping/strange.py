"""What a sitting names that the case does not have, or not any more."""

from __future__ import annotations

from collections.abc import Iterator

from genplan.case import Case
from genplan.casefile.domain_types import SECTION_OF
from genplan.language import _
from genplan.plan import Sitting


def strange_things(sitting: Sitting, case: Case) -> Iterator[str]:
    if sitting.learner not in case.learners:
        yield _("the learner '{id}'", id=sitting.learner)
    for adult in (sitting.adult, sitting.beside or sitting.adult):
        if adult not in case.adults:
            yield _("the adult '{id}'", id=adult)
    if sitting.location not in case.locations:
        yield _("the location '{id}'", id=sitting.location)
    for probe in sitting.probes:
        target = case.targets.get(probe.target)
        if target is None:
            yield _("the target '{target}'", target=probe.target)
        elif len(probe.combination) != len(target.dimensions):
            yield _("a combination of '{id}' with other dimensions", id=target.id)
        else:
            for dimension, value in zip(target.dimensions, probe.combination, strict=True):
                if value not in dimension.values:
                    known = getattr(case, SECTION_OF.get(dimension.name, ""), {})
                    name = case.called(dimension.name, value) if value in known else value
                    yield _("'{value}' for '{target}'", value=name, target=target.name)


def is_known(sitting: Sitting, case: Case) -> bool:
    """Whether the case still has all that it names."""
    return next(strange_things(sitting, case), None) is None
