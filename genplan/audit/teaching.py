"""Rules of what is taught: what is owed, as often as it is owed, in as few combinations as hold what only failed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from genplan.audit.context import AuditContext, name, words
from genplan.audit.held_back import new_probes_wait
from genplan.audit.history import taught_elsewhere
from genplan.audit.only_failed import Suspect, fewest_that_hold, holds
from genplan.audit.owed_teaching import (
    as_begun,
    names_in_teaching,
    open_suspects,
    teachings,
    times_left,
    times_left_in_week,
    told_as_owed,
    waiting_for_teaching,
)
from genplan.audit.who_may_teach import can_be_taught, is_held_out
from genplan.case import Combination, Target


def teaching_is_asked_for(matter: AuditContext) -> Iterator[str]:
    if matter.case.policy.plan_teaching:
        return
    for target in matter.case.targets:
        for s, _ in teachings(matter, target, begun=False):
            yield f"{name(s)}: {target} is taught in it, and the policy plans no teaching."


def what_is_held_out_is_not_taught(matter: AuditContext) -> Iterator[str]:
    for target in matter.case.targets.values():
        for s, p in teachings(matter, target.id, begun=False):
            if is_held_out(target, p.combination):
                yield f"{name(s)}: {words(p.combination)} of {target.id} is held out, and is taught."


def teaching_is_owed(matter: AuditContext) -> Iterator[str]:
    """What is taught was not met, or is taught in the place of something that was not met and is not taught itself; or
    its skill is still taught, in such a combination."""
    for target in matter.case.targets.values():
        ahead = teachings(matter, target.id, begun=False)
        if not ahead or target.state.value not in ("mastered", "teaching"):
            continue
        if target.state.value == "teaching":
            yield from _of_a_week(matter, target)
            continue
        suspects = open_suspects(matter, target)
        times = Counter(p.combination for _, p in ahead)
        for combination, s in {p.combination: s for s, p in ahead}.items():
            left = times_left(matter, target, combination)
            if is_held_out(target, combination):
                continue
            if not _is_owed(matter, target, combination, suspects):
                yield f"{name(s)}: {words(combination)} of {target.id} is taught, and is owed no teaching."
            elif times[combination] > left:
                said = f"{times[combination]} times, and {left} are owed"
                yield f"{name(s)}: {words(combination)} of {target.id} is taught {said}."


def _is_owed(
    matter: AuditContext, target: Target, combination: Combination, suspects: frozenset[Suspect]
) -> bool:
    if combination in waiting_for_teaching(matter, target) and not taught_elsewhere(target, combination):
        return True
    return any(holds(combination, s) for s in suspects)


def _of_a_week(matter: AuditContext, target: Target) -> Iterator[str]:
    ahead, where = teachings(matter, target.id, begun=False), names_in_teaching(matter, target)
    for s, p in ahead:
        if p.combination not in where and not is_held_out(target, p.combination):
            yield f"{name(s)}: {target.id} is not taught in {words(p.combination)}."
    left = times_left_in_week(matter, target)
    if len(ahead) > left:
        yield f"{name(ahead[-1][0])}: {target.id} is taught {len(ahead)} times in the week, and {left} are owed."


def right_ones_are_taught(matter: AuditContext) -> Iterator[str]:
    """What is planned or told as left out is all that failed and can be taught; or, where the fewest are, it holds all
    that only failed, nothing smaller does, and nothing that was begun is dropped for what does as much."""
    if not matter.case.policy.plan_teaching:
        return
    for target in matter.case.targets.values():
        if target.state.value == "mastered":
            yield from _wrong_ones(matter, target)


def _wrong_ones(matter: AuditContext, target: Target) -> Iterator[str]:
    chosen, waiting = told_as_owed(matter, target), waiting_for_teaching(matter, target)
    possible = matter.past[target.id].possible_combinations
    can = frozenset(c for c in possible if can_be_taught(matter.case, target, c))
    # by sittings that have begun, and nothing is written down of them
    done = frozenset(
        c for c in can if not matter.past[target.id].of(c).retest_due and not times_left(matter, target, c)
    )
    own = frozenset(c for c in waiting & can - done if not taught_elsewhere(target, c))
    for combination in sorted(own - chosen):
        yield f"Target {target.id}: {words(combination)} is owed teaching, and it is neither planned nor left out."
    fresh = frozenset(c for c in can if not matter.past[target.id].of(c).tested)
    begun = as_begun(matter, target)
    best = fewest_that_hold(open_suspects(matter, target), waiting & can, fresh, own, begun)
    for suspect in sorted(best.held, key=sorted):
        if not any(holds(c, suspect) for c in chosen | done):
            what = words(tuple(value for _, value in sorted(suspect)))
            yield f"Target {target.id}: {what} only failed, and it is taught nowhere."
    others = len(chosen - waiting)
    if best.others is not None and others > best.others:
        yield f"Target {target.id}: {others} that did not fail are taught, and {best.others} are enough."
    elif best.in_all is not None and len(chosen) > best.in_all:
        yield f"Target {target.id}: {len(chosen)} are taught, and {best.in_all} are enough."
    elif dropped := [words(c) for c in best.first or () if c in begun and c not in chosen | done]:
        what = "was begun, or people were told of it, and others are taught that do no more"
        yield f"Target {target.id}: {'; '.join(dropped)} {what}."


TEACHING = (teaching_is_asked_for, what_is_held_out_is_not_taught, teaching_is_owed, new_probes_wait)
