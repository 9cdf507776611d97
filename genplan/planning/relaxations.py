"""Small changes that people could make to a week, each as the week would be with it: what would help is found by
planning with them, never by guessing.

Half an hour more of a learner or an adult on a day, beside hours that are there or, on a day without any, where the
others are free; a place open an hour longer; one more of a limit; one copy more of a set; an adult briefed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from genplan.case import Case, Target
from genplan.case.people import AdultLimits, LearnerLimits
from genplan.case.targets import ADULT, MATERIAL_SET
from genplan.coverage.briefing import briefings_wanted
from genplan.planning.needs import TargetNeed, need_of
from genplan.planning.relaxation import Easing, Relaxation, RelaxationGroup, RelaxationKind, eased
from genplan.planning.relaxed_hours import more_hours
from genplan.planning.week_context import WeekContext
from genplan.rules.amounts import ADULT_AMOUNTS, LEARNER_AMOUNTS, Amount


def relaxation_groups(ground: WeekContext, learners: tuple[str, ...]) -> Iterator[RelaxationGroup]:
    """Every change that could let a probe more of these learners be run."""
    for changes in (more_hours, _higher_limits, _more_copies, _briefings, _teachers):
        yield from changes(ground, learners)


def _higher_limits(g: WeekContext, learners: tuple[str, ...]) -> Iterator[RelaxationGroup]:
    case, policy = g.case, g.case.policy
    for kind, most in (
        (RelaxationKind.TARGET_WEEK, policy.probes_per_target_per_week + 1),
        (RelaxationKind.TARGET_DAY, policy.probes_per_target_per_day + 1),
    ):
        yield _single(g, Easing(kind, figure=most), learners)
    taught = {n.target.learner for n in g.needs if n.teachings}
    if whom := tuple(i for i in learners if i in taught):
        for kind, most in (
            (RelaxationKind.TEACHINGS_WEEK, policy.teachings_per_target_per_week + 1),
            (RelaxationKind.TEACHINGS_DAY, policy.teachings_per_target_per_day + 1),
        ):
            yield _single(g, Easing(kind, figure=most), whom)
    for i in learners:
        for amount, most in _raised(LEARNER_AMOUNTS, case.learners[i].limits):
            yield _single(g, Easing(RelaxationKind.LEARNER_LIMIT, i, most, amount.key), (i,))
    for adult in case.adults.values():
        whom = tuple(i for i in learners if adult.works_with(i))
        for amount, most in _raised(ADULT_AMOUNTS, adult.limits) if whom else ():
            yield _single(g, Easing(RelaxationKind.ADULT_LIMIT, adult.id, most, amount.key), whom)
    for place in case.locations.values():
        whom = tuple(i for i in learners if place.takes(i))
        if sum(map(place.takes, case.learners)) > place.capacity and whom:
            yield _single(g, Easing(RelaxationKind.CAPACITY, place.id, place.capacity + 1), whom)


def _raised(amounts: Iterable[Amount], limits: LearnerLimits | AdultLimits) -> Iterator[tuple[Amount, int]]:
    """The limits that are set and that people might raise, each with what it would be."""
    for amount in amounts:
        most = amount.most(limits)
        if most is not None and amount.more:
            yield amount, most + amount.more


def _more_copies(g: WeekContext, learners: tuple[str, ...]) -> Iterator[RelaxationGroup]:
    """Of sets that more than one learner varies, or is still taught with: alone a learner is in one sitting at a
    time."""
    users: dict[str, set[str]] = {}
    for target in (n.target for n in g.needs if n.is_owed_something):
        for name in target.values_of(MATERIAL_SET):
            users.setdefault(name, set()).add(target.learner)
    for name, varying in sorted(users.items()):
        whom = tuple(i for i in learners if i in varying)
        copies = g.case.material_sets[name].copies
        if len(varying) > copies and whom:
            yield _single(g, Easing(RelaxationKind.COPIES, name, copies + 1), whom)


def _briefings(g: WeekContext, learners: tuple[str, ...]) -> Iterator[RelaxationGroup]:
    for target in g.case.mastered:
        if target.learner in learners:
            for wanted in briefings_wanted(g.case, target, g.log, g.now.date()):
                easing = Easing(RelaxationKind.BRIEFING, wanted.adult, target=target.id)
                need = _need_with(g, eased(g.case, easing), target)
                yield _single(g, easing, (target.learner,), (need,))


def _teachers(g: WeekContext, learners: tuple[str, ...]) -> Iterator[RelaxationGroup]:
    """Where something is to be taught by an adult who may not teach it: each who works with the learner and may not."""
    for target in g.case.targets.values() if g.case.policy.plan_teaching else ():
        if target.learner not in learners or not _wants_a_teacher(g, target):
            continue
        for adult in g.case.adults.values():
            if adult.works_with(target.learner) and not adult.may_teach(target.id):
                easing = Easing(RelaxationKind.TEACHES, adult.id, target=target.id)
                need = _need_with(g, eased(g.case, easing), target)
                if need.teachings:
                    yield _single(g, easing, (target.learner,), (need,))


def _wants_a_teacher(g: WeekContext, target: Target) -> bool:
    for need in (n for n in g.needs if n.id == target.id):
        waiting = (c for c in need.tally.possible_combinations if need.tally.standing(c).waits_for_teaching)
        to_teach = (c.combination for c in need.choices if not c.kind.is_probe)
        adults = {target.value(c, ADULT) for c in (*waiting, *to_teach)}
        return any(not g.case.adults[a].may_teach(target.id) for a in adults)
    return False


def _need_with(g: WeekContext, case: Case, target: Target) -> TargetNeed:
    """What the target is owed in the changed case; which wishes have their last chance, or their turn, is as it was."""
    need = need_of(case, target, g.log, g.week, g.now.date(), g.begun_seats, g.told)
    last = [w.wish for n in g.needs if n.id == target.id for w in n.wishes if w.last_chance]
    turns = next((n.turns for n in g.needs if n.id == target.id), None)
    wishes = tuple(replace(w, last_chance=w.wish in last) for w in need.wishes)
    return replace(need, wishes=wishes, turns=turns)


def _single(
    g: WeekContext, easing: Easing, whom: tuple[str, ...], needs: tuple[TargetNeed, ...] = ()
) -> RelaxationGroup:
    case = eased(g.case, easing)
    lift = Relaxation(easing=easing, piece=None, case=case, free=g.free, learners=whom, needs=needs)
    return RelaxationGroup((lift,), lift)
