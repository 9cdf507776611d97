"""Why a row of the matrix is no new probe, without a full stop."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from genplan.case import Case, Combination, Target
from genplan.case.targets import Teach
from genplan.coverage.matrix import MatrixRow
from genplan.evidence.baseline import BaselineSeen
from genplan.evidence.standing import Standing, Status
from genplan.language import _, ngettext
from genplan.language.sentences import capital
from genplan.text.obstacles import obstacle_text
from genplan.text.tuple_words import combination_words

NAMED_AT_MOST = 3


def row_text(case: Case, row: MatrixRow, day: Callable[[date], str] = date.isoformat) -> str:
    """The rule against it, or what it waits for, and what it was before it was taught; empty where nothing has to be
    said. `day` writes a date."""
    waits = _what_it_waits_for(case, row, day)
    return "; ".join(filter(None, (waits, baseline_text(row.baseline, day)))) if row.baseline else waits


def baseline_text(seen: BaselineSeen, day: Callable[[date], str] = date.isoformat) -> str:
    """`met before it was taught, 2026-11-03`: whether what is met now was always there."""
    if seen.met:
        return _("met before it was taught, {on}", on=day(seen.on))
    return _(
        "not met ({correct} of {trials}) before it was taught, {on}",
        correct=seen.correct,
        trials=seen.trials,
        on=day(seen.on),
    )


def _what_it_waits_for(case: Case, row: MatrixRow, day: Callable[[date], str]) -> str:
    if row.obstacle:
        return obstacle_text(case, row.obstacle)
    target, standing = case.targets[row.target], row.standing
    if row.instead_of:
        return _("to be taught {instead}", instead=instead_text(case, target, row.instead_of))
    if standing.waits_for_teaching:
        return waiting_text(case, target, standing) or _("waits for teaching in it before it is probed again")
    if not standing.retest_due:
        return ""
    elsewhere = standing.status is Status.NOT_MET
    why = (
        _("what in it was met nowhere was taught elsewhere since")
        if elsewhere
        else _("taught since it was not met")
    )
    since = standing.retest_from
    waits = target.retest_after_days and since and (row.on is None or since > row.on)
    if waits and since:
        return _("{why}: due for a retest from {since} on", why=why, since=day(since))
    return _("{why}: due for a retest", why=why)


def instead_text(case: Case, target: Target, failed: Sequence[Combination]) -> str:
    """`in place of Mum, Home, Cups (held out)`: why something is taught that never failed."""
    named = []
    for combination in failed[:NAMED_AT_MOST]:
        why = _("held out") if target.is_held_out(combination) else _("nobody may teach there")
        named.append(f"{combination_words(case, target, combination)} ({why})")
    more = len(failed) - len(named)
    if more:
        return _("in place of {named} and {more} more", named="; ".join(named), more=more)
    return _("in place of {named}", named="; ".join(named))


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
    shared_values = [
        (_(" and ").join(called(name, value) for name, value, __ in pairs), held_out)
        for pairs, held_out in shared
    ]
    said = [
        _("with {values}, which is not taught itself (held out)", values=values)
        if held_out
        else _("with {values}, which is not taught itself (nobody may teach there)", values=values)
        for values, held_out in shared_values
    ]
    return (
        _("The target was not met in another combination {said}.", said=_("; nor in one ").join(said))
        if said
        else ""
    )


def waiting_text(case: Case, target: Target, standing: Standing) -> str:
    """`1 of 2 teachings before its retest`, or what has to be taught, there or elsewhere; empty where one teaching in
    it is all that it waits for."""
    if standing.suspects:
        each = _(", and with ").join(
            _(" and ").join(case.called(*value) for value in s) for s in standing.suspects
        )
        if target.teach is Teach.EACH:  # then it is held out
            return _("is held out, and waits for teaching with {each} in another combination", each=each)
        return _("waits for teaching with {each}, in this combination or another", each=each)
    wanted = target.teachings_before_retest
    return (
        _("{teachings} of {wanted} teachings before its retest", teachings=standing.teachings, wanted=wanted)
        if wanted > 1
        else ""
    )


def uncounted_teaching(target: Target, standing: Standing, day: Callable[[date], str]) -> str:
    """`the teaching on 2026-11-03 does not count: …`; empty where all teachings since the failure do."""
    short, mark = standing.uncounted, target.taught_when
    if short is None or mark is None or not standing.waits_for_teaching:
        return ""
    return uncounted_text(day(short.on), short.correct, short.trials, mark.correct, mark.trials)


def uncounted_text(day: str, correct: int, trials: int, asked: int, of: int) -> str:
    """Why a row of teaching does not count as one: what it has, and what `taught_when` asks for."""
    if not trials:
        return _(
            "the teaching on {day} does not count: it has no trials, and {asked} of {of} correct without help are"
            " asked for",
            day=day,
            asked=asked,
            of=of,
        )
    return _(
        "the teaching on {day} does not count: it has {correct} of {trials} correct without help, and {asked} of {of}"
        " are asked for",
        day=day,
        correct=correct,
        trials=trials,
        asked=asked,
        of=of,
    )


def row_waits_text(case: Case, target: Target, standing: Standing) -> str:
    """How much teaching is still owed in a combination before it is probed again, as a sentence; empty if none is."""
    if not standing.waits_for_teaching:
        return ""
    if standing.suspects:
        text = waiting_text(case, target, standing)
        return f"{capital(text)}."
    left = target.teachings_before_retest - standing.teachings
    return ngettext(
        "{n} more teaching that counts is owed there before it is probed again.",
        "{n} more teachings that count are owed there before it is probed again.",
        left,
    )
