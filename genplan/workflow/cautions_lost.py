"""Which cautions of a case another state of it does not have: nobody must lose one without a word."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from genplan.case import Case
from genplan.case.people import Learner
from genplan.case.safety import MaterialSet
from genplan.language import _, and_list, said
from genplan.text.obstacles import HAZARDS, allergens_text


def cautions_lost(
    before: Case | None, after: Case | None, renamed: Sequence[tuple[str, str, str]] = ()
) -> tuple[str, ...]:
    """What to say of each caution of a child, a thing or a skill that both have, and that is another one after. Where
    one of the two cannot be read, that is said. `renamed`: section, id and id after, in order."""
    if before is None or after is None:
        return (
            _(
                "The case cannot be read as it is, so nobody can say whether an allergy or another caution goes."
            ),
        )
    return tuple(_lost(before, after, renamed))


def _lost(before: Case, after: Case, renamed: Sequence[tuple[str, str, str]]) -> Iterator[str]:
    def then(section: str, id_: str) -> str:
        for of, now, was in renamed:
            id_ = was if (of, now) == (section, id_) else id_
        return id_

    for learner in before.learners.values():
        if child := after.learners.get(then("learners", learner.id)):
            yield from _of_learner(learner, child)
    for thing in before.material_sets.values():
        if was := after.material_sets.get(then("material_sets", thing.id)):
            yield from _of_thing(thing, was)
    for target in before.targets.values():
        there = after.targets.get(then("targets", target.id))
        if there and len(target.never) > len(there.never):
            yield _("{name}: what is never to be tried", name=target.name or target.id)


def _of_learner(now: Learner, then: Learner) -> Iterator[str]:
    if gone := now.allergens - then.allergens:
        yield _("{name}: must keep away from {allergens}", name=now.name, allergens=_all(gone))
    if now.born not in (None, then.born):
        yield _("{name}: when the child was born", name=now.name)
    if now.mouths and not then.mouths:
        yield _("{name}: everything still goes into the mouth", name=now.name)


def _of_thing(now: MaterialSet, then: MaterialSet) -> Iterator[str]:
    if gone := now.holds - then.holds:
        yield _("{name}: holds {allergens}", name=now.name, allergens=_all(gone))
    if now.free_of != then.free_of:
        yield _("{name}: what somebody looked for and did not find in it", name=now.name)
    size_now, size_then = (
        (thing.small_parts, thing.dimensions_mm, thing.is_small_by_name) for thing in (now, then)
    )
    if size_now != size_then:
        yield _("{name}: whether a piece could be swallowed", name=now.name)
    if now.min_age_months > then.min_age_months:
        yield _("{name}: not for children under {months} months", name=now.name, months=now.min_age_months)
    if gone := now.watched - then.watched:
        yield _(
            "{name}: {hazards}",
            name=now.name,
            hazards=and_list([said(HAZARDS.get(h, h)) for h in sorted(gone)]),
        )


def _all(allergens: frozenset[str]) -> str:
    return and_list([allergens_text((a,)) for a in sorted(allergens)])
