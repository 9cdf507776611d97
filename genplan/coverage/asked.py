"""What is asked of whom at the end of a review. Nothing of it is treatment: it is what a rule of the case waits for."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from genplan.case import Case, Combination, TargetState, Week
from genplan.case.possible import Obstacle, kept_from
from genplan.case.second_adults import can_be_taught, teachers_beside
from genplan.case.targets import ADULT, MATERIAL_SET
from genplan.coverage.briefing import BriefingWanted
from genplan.coverage.dates_ahead import DateAhead
from genplan.coverage.tally import Tally
from genplan.evidence.failed_again import FailedAgain
from genplan.evidence.maintenance import CheckState, MaintenanceCheck, to_repeat
from genplan.evidence.mastery import CriterionMet, Lapse


class AskedKind(StrEnum):
    LAPSE = "decide after a lapse"
    CRITERION = "decide on mastery"
    AGAIN = "decide after it was not met again"
    HELD_BACK = "held back"
    WAITING = "teaching or a decision"
    RETEST = "probe again"
    MAINTENANCE = "maintenance probe"
    BRIEFING = "briefing"
    DATE = "a date"


@dataclass(frozen=True, kw_only=True)
class Asked:
    """One thing that a target waits for. `adults` may do it, by id; without any it is for those who decide.
    `since` is the day from which it is owed, or by which it is wanted; `about` what it is about. Of what waits for
    teaching in it: `taught` times of `to_teach`."""

    kind: AskedKind
    target: str
    adults: tuple[str, ...] = ()
    combination: Combination = ()
    since: date | None = None
    taught: int = 0
    to_teach: int = 0
    about: Lapse | CriterionMet | FailedAgain | DateAhead | BriefingWanted | Obstacle | None = None


def asked_of(
    case: Case,
    count: Tally,
    seen: tuple[Lapse | CriterionMet, ...],
    again: tuple[FailedAgain, ...],
    maintenance: tuple[MaintenanceCheck, ...],
    briefings: tuple[BriefingWanted, ...],
    dates: tuple[DateAhead, ...],
    on: date,
) -> tuple[Asked, ...]:
    """What is asked from the day after `on`, in the order of `AskedKind`. A target that is not mastered waits for
    decisions alone: it is not probed."""
    target = count.target
    waiting = {one.combination: one for one in again if not one.taught_since}  # else somebody has decided
    decided = [
        Asked(
            kind=AskedKind.LAPSE if isinstance(s, Lapse) else AskedKind.CRITERION, target=target.id, about=s
        )
        for s in seen
        if isinstance(s, CriterionMet) or s.combination not in waiting
    ]
    dated = [Asked(kind=AskedKind.DATE, target=target.id, since=d.by, about=d) for d in dates]
    if target.state is not TargetState.MASTERED:
        return (*decided, *dated)
    who = _who_can_repeat(case, count, on)
    lasting = [
        Asked(kind=AskedKind.MAINTENANCE, target=target.id, adults=who, since=c.due)
        for c in maintenance
        if c.state is CheckState.DUE
    ]
    briefed = [Asked(kind=AskedKind.BRIEFING, target=target.id, about=b) for b in briefings]
    held = held_back(case, count, on)
    failed = [
        Asked(kind=AskedKind.AGAIN, target=target.id, combination=one.combination, about=one)
        for one in waiting.values()
        if one.combination not in held  # that it is held back is said in its place
    ]
    kept = [
        Asked(kind=AskedKind.HELD_BACK, target=target.id, combination=c, about=why) for c, why in held.items()
    ]
    return (*decided, *failed, *kept, *_owed(case, count, held), *lasting, *briefed, *dated)


def held_back(case: Case, count: Tally, on: date) -> Mapping[Combination, Obstacle]:
    """What is owed teaching or a probe with a thing from which the child is kept: nobody is asked to practise it."""
    target = count.target
    owed = (c for c, s in sorted(count.standings.items()) if s.waits_for_teaching or s.retest_due)
    found = ((c, kept_from(case, target, target.value(c, MATERIAL_SET), on)) for c in owed)
    return {combination: why for combination, why in found if why}


def _owed(case: Case, count: Tally, held: Container[Combination]) -> Iterator[Asked]:
    """What was not met: first what waits, then what is to be probed again; not what is held back."""
    target = count.target
    standings = [(c, s) for c, s in sorted(count.standings.items()) if c not in held]
    for combination, standing in standings:
        if standing.waits_for_teaching:
            who = _who_teaches(case, count, combination)
            yield Asked(
                kind=AskedKind.WAITING,
                target=target.id,
                adults=who,
                combination=combination,
                taught=standing.teachings,
                to_teach=0 if standing.suspects else target.teachings_before_retest,
            )
    for combination, standing in standings:
        if standing.retest_due:
            adult = target.value(combination, ADULT)
            yield Asked(
                kind=AskedKind.RETEST,
                target=target.id,
                adults=(adult,),
                combination=combination,
                since=standing.retest_from,
            )


def _who_teaches(case: Case, count: Tally, combination: Combination) -> tuple[str, ...]:
    """Nobody where it is not possible any more, or where it is not to be taught."""
    target = count.target
    if combination not in count.possible_combinations or not can_be_taught(case, target, combination):
        return ()
    own = target.value(combination, ADULT)
    return (own,) if case.adults[own].may_teach(target.id) else teachers_beside(case, target, combination)


def _who_can_repeat(case: Case, count: Tally, on: date) -> tuple[str, ...]:
    """Adults of what the plan of the week that comes after `on`, or that is then running, may repeat."""
    monday = Week.of(on + timedelta(days=1)).monday
    repeated = to_repeat(count.target, count.standings, count.possible_combinations, monday)
    who = {count.target.value(c, ADULT) for c in repeated}
    return tuple(a for a in case.adults if a in who)
