"""Rules of two sittings: people, places and sets are in one place at a time, and travel takes its time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations

from genplan.audit.context import AuditContext, of
from genplan.language import _
from genplan.plan import Sitting


def _pairs(sittings: Iterable[Sitting]) -> Iterator[tuple[Sitting, Sitting]]:
    """All pairs, the earlier first, of which this plan decides at least one."""
    for one, other in combinations(sittings, 2):
        if not (one.begun and other.begun):
            yield one, other


def _gap(matter: AuditContext, one: Sitting, other: Sitting) -> float:
    """Minutes from the end of the earlier to the start of the later; negative if they overlap."""
    return matter.minute(other.start) - matter.minute(one.end)


def _same_day(one: Sitting, other: Sitting) -> bool:
    return one.start.date() == other.start.date()


def learner_in_one_sitting(matter: AuditContext) -> Iterator[str]:
    rest = matter.case.policy.rest_minutes
    for learner, own in matter.by_learner.items():
        for one, other in _pairs(own):
            gap, way = _gap(matter, one, other), matter.case.travel.minutes(one.location, other.location)
            if gap < rest:
                yield of(
                    other,
                    _(
                        "learner {learner} has not {rest} minutes of rest after {earlier}.",
                        learner=learner,
                        rest=rest,
                        earlier=one.id,
                    ),
                )
            elif _same_day(one, other) and gap < way:
                yield of(
                    other,
                    _(
                        "learner {learner} needs {way} minutes of travel after {earlier}.",
                        learner=learner,
                        way=way,
                        earlier=one.id,
                    ),
                )


def adult_in_one_sitting(matter: AuditContext) -> Iterator[str]:
    for adult, own in matter.by_adult.items():
        for one, other in _pairs(own):
            gap, way = _gap(matter, one, other), matter.case.travel.minutes(one.location, other.location)
            if gap < 0:
                yield of(other, _("adult {adult} is still in {earlier}.", adult=adult, earlier=one.id))
            elif _same_day(one, other) and gap < way:
                yield of(
                    other,
                    _(
                        "adult {adult} needs {way} minutes of travel after {earlier}.",
                        adult=adult,
                        way=way,
                        earlier=one.id,
                    ),
                )


def location_holds_them(matter: AuditContext) -> Iterator[str]:
    for location in matter.case.locations.values():
        for s, others in _crowds(matter.by_location.get(location.id, []), location.capacity):
            yield of(
                s,
                _(
                    "{location} holds {capacity} at a time, but {others} are there too.",
                    location=location.id,
                    capacity=location.capacity,
                    others=others,
                ),
            )


def sets_are_enough(matter: AuditContext) -> Iterator[str]:
    for set_ in matter.case.material_sets.values():
        for s, others in _crowds(matter.by_set.get(set_.id, []), set_.copies):
            yield of(
                s,
                _(
                    "there are {copies} of the set {set}, but {others} use it too.",
                    copies=set_.copies,
                    set=set_.id,
                    others=others,
                ),
            )


def single_copies_travel(matter: AuditContext) -> Iterator[str]:
    for set_ in matter.case.material_sets.values():
        if set_.copies > 1:
            continue
        for one, other in _pairs(matter.by_set.get(set_.id, [])):
            way = matter.case.travel.minutes(one.location, other.location)
            if _same_day(one, other) and 0 <= _gap(matter, one, other) < way:
                yield of(
                    other,
                    _(
                        "the set {set} needs {way} minutes of travel after {earlier}.",
                        set=set_.id,
                        way=way,
                        earlier=one.id,
                    ),
                )


def _crowds(sittings: list[Sitting], most: int) -> Iterator[tuple[Sitting, str]]:
    """Sittings that start while `most` others are going on, with the others' ids."""
    for s in sittings:
        going_on = [o for o in sittings if o.id != s.id and o.start <= s.start < o.end]
        # of two that start at once each would see the other: the one later in the list speaks
        going_on = [o for o in going_on if o.start < s.start or sittings.index(o) < sittings.index(s)]
        if len(going_on) >= most and not all(o.begun for o in (s, *going_on)):
            yield s, ", ".join(o.id for o in going_on)


CLASHES = (
    learner_in_one_sitting,
    adult_in_one_sitting,
    location_holds_them,
    sets_are_enough,
    single_copies_travel,
)
