"""Rules of how much: the limits of learners, adults and targets, for a sitting, a day or the week."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TypeVar

from genplan.case.people import AdultLimits, LearnerLimits
from genplan.case.second_adults import Beside
from genplan.plan import ProbeKind
from genplan.planning.needs import Choice
from genplan.planning.solver.slots import Bool, Linear, Slot, total
from genplan.planning.solver.variables import Presence, Variables, grouped
from genplan.rules.amounts import ADULT_AMOUNTS, LEARNER_AMOUNTS, Amount, Span, Unit
from genplan.rules.placed_sittings import PlacedSitting, of_adult, of_learner

There = TypeVar("There", Slot, Presence)


def learner_amounts_hold(v: Variables) -> None:
    """The limits of a learner on a day and in the week, begun sittings counted."""
    limits = {i: x.limits for i, x in v.problem.case.learners.items()}
    for span in (Span.DAY, Span.WEEK):
        for (learner, day), slots in _in_spans(v.slots, lambda s: s.learner, span).items():
            taken = of_learner(v.problem.taken, learner)
            _amounts_hold(v, LEARNER_AMOUNTS, span, limits[learner], slots, _on(taken, day))


def adult_amounts_hold(v: Variables) -> None:
    """The limits of an adult, who runs a sitting or sits beside, on a day and in the week. Who was to observe a sitting
    that stays is there, though no search asks for an observer."""
    limits = {i: x.limits for i, x in v.problem.case.adults.items()}
    observed = [s for s in v.problem.held.values() if s.beside_as is Beside.OBSERVER]
    for span in (Span.DAY, Span.WEEK):
        for (adult, day), there in _in_spans(v.presences, lambda p: p.adult, span).items():
            taken = [*of_adult(v.problem.taken, adult), *(s for s in observed if s.beside == adult)]
            _amounts_hold(v, ADULT_AMOUNTS, span, limits[adult], there, _on(taken, day))


def _in_spans(
    things: Iterable[There], who: Callable[[There], str], span: Span
) -> dict[tuple[str, int | None], list[There]]:
    """What counts together of each person: by day, or, with None for the day, of the week."""
    return grouped(things, lambda x: (who(x), x.day if span is Span.DAY else None))


def _on(seats: Sequence[PlacedSitting], day: int | None) -> list[PlacedSitting]:
    """The seats of a day, or all."""
    return [s for s in seats if day in (None, s.day)]


def _amounts_hold(
    v: Variables,
    amounts: Iterable[Amount],
    span: Span,
    limits: LearnerLimits | AdultLimits,
    there: Sequence[Slot] | Sequence[Presence],
    taken: Sequence[PlacedSitting],
) -> None:
    for amount in amounts:
        most = amount.most(limits)
        if amount.span is span and most is not None:
            left = most - sum(amount.of(s) for s in taken)
            v.model.add(_amount_in(v, amount.unit, there) <= max(0, left))


def _amount_in(v: Variables, unit: Unit, there: Sequence[Slot] | Sequence[Presence]) -> Linear:
    slots = [x.slot if isinstance(x, Presence) else x for x in there]
    match unit:
        case Unit.SITTINGS:
            return total(x.present for x in there)
        case Unit.PROBES:
            return total(things_in(s, lambda c: c.kind.is_probe) for s in slots)
        case Unit.TEACHINGS:
            return total(things_in(s, lambda c: not c.kind.is_probe) for s in slots)
        case Unit.RETESTS:
            return total(things_in(s, lambda c: c.kind is ProbeKind.RETEST) for s in slots)
        case Unit.MINUTES:
            return total(x.minutes for x in there)


def things_in(slot: Slot, wanted: Callable[[Choice], bool]) -> Linear:
    """How many of the wanted probes, or teachings, are in the slot."""
    return total(p for c, p in slot.probes.items() if wanted(c))


def target_limits_hold(v: Variables) -> None:
    """Probes of a target in a day and in the week, and teachings, begun sittings and what was run without a plan
    counted."""
    policy, problem = v.problem.case.policy, v.problem
    of_probes = (policy.probes_per_target_per_day, policy.probes_per_target_per_week)
    of_teachings = (policy.teachings_per_target_per_day, policy.teachings_per_target_per_week)
    for need in problem.needs:
        _target_limits_hold(v, need.id, True, problem.recorded.get(need.id, ()), *of_probes)
        if need.teachings:
            _target_limits_hold(v, need.id, False, problem.recorded_teachings.get(need.id, ()), *of_teachings)


def _target_limits_hold(
    v: Variables, target: str, probes: bool, recorded: Iterable[int], a_day: int, a_week: int
) -> None:
    """Of a target's probes, or of its teachings."""
    run = [s.day for s in v.problem.taken for p in s.probes if p.target == target and p.is_probe is probes]
    run += recorded
    by_day: dict[int, list[Bool]] = {slot.day: [] for slot in v.slots}
    for slot, choice, var in v.by_target[target]:
        if choice.kind.is_probe is probes:
            by_day[slot.day].append(var)
    for day, things in by_day.items():
        v.model.add(total(things) <= max(0, a_day - run.count(day)))
    v.model.add(total(p for things in by_day.values() for p in things) <= max(0, a_week - len(run)))
