"""What is held out and failed: probed again once all of it that can be taught elsewhere was taught."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from genplan.case import Case, Combination, Target
from genplan.case.second_adults import can_be_taught
from genplan.evidence.only_failed import Suspect, holds
from genplan.evidence.standing import Standing


def taught_as_far_as_can_be(
    case: Case, target: Target, known: Mapping[Combination, Standing], possible: Iterable[Combination]
) -> Mapping[Combination, Standing]:
    """The standings, in which what is held out is due for its retest though some of what only failed in it was not
    taught, if the rest was, and no possible combination in which that may be taught holds it: there is nothing more to
    wait for."""
    partly = {
        c: s for c, s in known.items() if s.partly_from and s.waits_for_teaching and target.is_held_out(c)
    }
    if not partly:
        return known
    where = [c for c in possible if can_be_taught(case, target, c)]
    return {
        **known,
        **{
            c: replace(s, retest_due=True, retest_from=s.partly_from, partly_from=None, suspects=())
            for c, s in partly.items()
            if not held_by_some(target, s.suspects, where)
        },
    }


def held_by_some(
    target: Target, suspects: Sequence[Suspect], where: Iterable[Combination]
) -> tuple[Suspect, ...]:
    """Those of the suspects that one of these combinations holds."""
    among = tuple(where) if suspects else ()
    return tuple(s for s in suspects if any(holds(target, c, s) for c in among))
