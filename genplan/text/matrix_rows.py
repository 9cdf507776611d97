"""Why a row of the matrix is no new probe, in English, without a full stop."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from genplan.case import Case, Combination, Target
from genplan.coverage.matrix import MatrixRow
from genplan.evidence.baseline import BaselineSeen
from genplan.evidence.standing import Standing, Status
from genplan.text.obstacles import obstacle_text
from genplan.text.tuple_words import combination_words

NAMED_AT_MOST = 3


def row_text(case: Case, row: MatrixRow, day: Callable[[date], str] = date.isoformat) -> str:
    """The rule against it, or what it waits for, and what it was before it was taught; empty where nothing has to be
    said. `day` writes a date."""
    before = baseline_text(row.baseline, day) if row.baseline else ""
    return "; ".join(filter(None, (_what_it_waits_for(case, row, day), before)))


def baseline_text(seen: BaselineSeen, day: Callable[[date], str] = date.isoformat) -> str:
    """`met before it was taught, 2026-11-03`: whether what is met now was always there."""
    outcome = "met" if seen.met else f"not met ({seen.correct} of {seen.trials})"
    return f"{outcome} before it was taught, {day(seen.on)}"


def _what_it_waits_for(case: Case, row: MatrixRow, day: Callable[[date], str]) -> str:
    if row.obstacle:
        return obstacle_text(case, row.obstacle)
    target, standing = case.targets[row.target], row.standing
    if row.instead_of:
        return f"to be taught {instead_text(case, target, row.instead_of)}"
    if standing.waits_for_teaching:
        return waiting_text(case, target, standing) or "waits for teaching in it before it is probed again"
    if not standing.retest_due:
        return ""
    elsewhere = standing.status is Status.NOT_MET
    why = (
        "what in it was met nowhere was taught elsewhere since"
        if elsewhere
        else "taught since it was not met"
    )
    since = standing.retest_from
    waits = target.retest_after_days and since and (row.on is None or since > row.on)
    return f"{why}: due for a retest" + (f" from {day(since)} on" if waits and since else "")


def instead_text(case: Case, target: Target, failed: Sequence[Combination]) -> str:
    """`in place of Mum, Home, Cups (held out)`: why something is taught that never failed."""
    named = []
    for combination in failed[:NAMED_AT_MOST]:
        why = "held out" if target.is_held_out(combination) else "nobody may teach there"
        named.append(f"{combination_words(case, target, combination)} ({why})")
    more = len(failed) - len(named)
    return f"in place of {'; '.join(named)}" + (f" and {more} more" if more else "")


def stand_in_text(
    target: Target,
    combination: Combination,
    failed: Sequence[Combination],
    called: Callable[[str, str], str],
) -> str:
    """Why something is taught that never failed, as a sentence for who teaches it: what it shares with the failures,
    and nothing else of them, since other people are in those. `called` names a value. Empty where it is taught for
    itself."""
    shared = dict.fromkeys(
        (
            tuple(p for p in zip(target.dimension_names, combination, one, strict=True) if p[1] == p[2]),
            target.is_held_out(one),
        )
        for one in failed
    )
    said = [
        f"with {' and '.join(called(name, value) for name, value, _ in pairs)}, which is not taught itself"
        f" ({'held out' if held_out else 'nobody may teach there'})"
        for pairs, held_out in shared
    ]
    return f"The skill was not met in another combination {'; nor in one '.join(said)}." if said else ""


def waiting_text(case: Case, target: Target, standing: Standing) -> str:
    """`1 of 2 teachings before its retest`, or what has to be taught, there or elsewhere; empty where one teaching in
    it is all that it waits for."""
    if standing.suspects:
        each = ["with " + " and ".join(case.called(*value) for value in s) for s in standing.suspects]
        return f"waits for teaching {', and '.join(each)}, in this combination or another"
    wanted = target.teachings_before_retest
    return f"{standing.teachings} of {wanted} teachings before its retest" if wanted > 1 else ""


def row_waits_text(case: Case, target: Target, standing: Standing) -> str:
    """How much teaching is still owed in a combination before it is probed again, as a sentence; empty if none is."""
    if not standing.waits_for_teaching:
        return ""
    if standing.suspects:
        text = waiting_text(case, target, standing)
        return f"{text[:1].upper()}{text[1:]}."
    left = target.teachings_before_retest - standing.teachings
    what = "1 more teaching that counts is" if left == 1 else f"{left} more teachings that count are"
    return f"{what} owed there before it is probed again."
