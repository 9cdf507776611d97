"""Which combinations are taught because something failed: each, or the fewest that hold all that only failed.

The fewest are what Stokes and Baer (1977) call sufficient exemplars (the words from memory): teach few, probe the rest,
and teach on only where that fails."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from genplan.case import Case, Combination, Target
from genplan.case.second_adults import can_be_taught
from genplan.case.targets import Teach
from genplan.coverage.held_out import held_by_some
from genplan.coverage.tally import Tally
from genplan.evidence.only_failed import Suspect, holds
from genplan.planning.fewest_columns import fewest_columns


@dataclass(frozen=True)
class Exemplars:
    """What is owed teaching after failures.

    - `combinations`: to teach, in the target's order
    - `beyond`: failures for which nothing that may be taught holds some of what only failed in them (of what is held
      out: any of it): they wait until the case, or somebody, changes that
    - `proven`: no fewer would do"""

    combinations: tuple[Combination, ...] = ()
    beyond: tuple[Combination, ...] = ()
    proven: bool = True


def combinations_to_teach(
    case: Case, target: Target, tally: Tally, begun: Sequence[Combination] = ()
) -> tuple[Combination, ...]:
    """What is owed teaching now because it failed, or because something that failed is held out."""
    return exemplars(case, target, tally, begun).combinations


def exemplars(case: Case, target: Target, tally: Tally, begun: Sequence[Combination] = ()) -> Exemplars:
    """What is owed teaching because of failures, as the target's `teach` says. Of what is held out, and with `fewest`
    of all, it is what only failed: taught where it failed, and elsewhere only where that cannot be. Of choices that are
    equally small those of `begun` are taken first, in this order, so that what was begun is brought to its end."""
    waiting = [c for c in tally.possible_combinations if tally.standing(c).waits_for_teaching]
    if not waiting:
        return Exemplars()
    failed = [c for c in waiting if can_be_taught(case, target, c)]
    themselves = [c for c in failed if target.teach is Teach.EACH]
    only_failed = dict.fromkeys(s for c in waiting if c not in themselves for s in tally.standing(c).suspects)
    wanted = _not_in(target, only_failed, themselves)
    among = {c for c in failed if c not in themselves}
    elsewhere = _others(case, target, tally, wanted, among)
    order = dict.fromkeys((*begun, *tally.possible_combinations))
    where = [c for c in order if c in among or c in elsewhere]
    columns = tuple(frozenset(i for i, s in enumerate(wanted) if holds(target, c, s)) for c in where)
    cover = fewest_columns(columns, frozenset(i for i, c in enumerate(where) if c in elsewhere))
    taught = {*themselves, *(where[i] for i in cover.picks)}
    return Exemplars(
        combinations=tuple(c for c in tally.possible_combinations if c in taught),
        beyond=tuple(c for c in waiting if c not in taught and _is_beyond(case, target, tally, c)),
        proven=cover.proven,
    )


def in_place_of(
    case: Case, target: Target, tally: Tally, combination: Combination
) -> tuple[Combination, ...]:
    """Of a combination that is owed teaching and was never probed: the failures for which it is taught, since they may
    not be taught themselves, nor anything else that failed and holds what only failed in them."""
    if tally.standing(combination).tested:
        return ()
    waiting = [c for c in tally.possible_combinations if tally.standing(c).waits_for_teaching]
    may = [c for c in waiting if can_be_taught(case, target, c)]
    return tuple(
        c
        for c in waiting
        if any(holds(target, combination, s) for s in _not_in(target, tally.standing(c).suspects, may))
    )


def _others(
    case: Case, target: Target, tally: Tally, wanted: Sequence[Suspect], among: Collection[Combination]
) -> frozenset[Combination]:
    """Combinations that never failed and may be taught in place of those that may not; none where those that failed
    will do. A met one holds nothing that only failed."""
    missing = _not_in(target, wanted, among)
    return frozenset(
        c
        for c in (tally.possible_combinations if missing else ())
        if not tally.standing(c).tested
        and any(holds(target, c, s) for s in wanted)
        and can_be_taught(case, target, c)
    )


def _is_beyond(case: Case, target: Target, tally: Tally, failed: Combination) -> bool:
    """Of a failure that is not taught itself; without suspects it would have to be. What only combinations that are due
    for a retest hold waits for that: met or not, something then follows."""
    may = can_be_answered(case, target, tally, failed)
    return not may or (len(may) < len(tally.standing(failed).suspects) and not target.is_held_out(failed))


def can_be_answered(case: Case, target: Target, tally: Tally, failed: Combination) -> tuple[Suspect, ...]:
    """What only failed in it and is held by something that may be taught. What is held out is probed again once all of
    that was taught; what is not waits for somebody who may teach the rest."""
    where = (c for c in tally.possible_combinations if can_be_taught(case, target, c))
    return held_by_some(target, tally.standing(failed).suspects, where)


def _not_in(target: Target, suspects: Iterable[Suspect], among: Collection[Combination]) -> list[Suspect]:
    """Those that none of these combinations holds."""
    return [s for s in suspects if not any(holds(target, c, s) for c in among)]
