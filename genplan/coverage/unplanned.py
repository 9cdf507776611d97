"""What the criterion of generalisation lacks and no plan will probe. A plan holds new probes for open tuples alone, and
what was taught counts as shown: so a value that was only taught may be asked for, and have nothing open."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace
from datetime import date

from genplan.case import Case, Combination, Target, TargetState, Week
from genplan.case.targets import STRENGTHS
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.domain_types import SECTION_OF
from genplan.casefile.lint import tell
from genplan.casefile.loading import Loaded
from genplan.coverage.criterion import (
    Criterion,
    Value,
    criterion_from,
    criterion_of,
    may_come_to_count,
    possible_some_day,
)
from genplan.coverage.tally import Tally, tally
from genplan.coverage.tuples import shows_more_than
from genplan.evidence.effective_rows import log_until
from genplan.evidence.log import Log
from genplan.evidence.maintenance import CheckState, maintenance_checks, to_repeat
from genplan.findings import Finding
from genplan.language import _


@dataclass(frozen=True, kw_only=True)
class Unplanned:
    """One thing that could be met, and that no plan holds a probe for while the case and its results stay as they are.

    dimension  of which more values are asked for; empty where values are asked for by name
    wanted     how many of it are
    planned    how many are met, or may come to be by what plans hold
    values     any of which would count; where they are asked for by name, all of them together
    example    a combination whose probe would count
    """

    dimension: str
    wanted: int
    planned: int
    values: tuple[Value, ...]
    example: Combination


def unplanned(
    case: Case, count: Tally, log: Log, on: date, held: Collection[Combination] = ()
) -> tuple[Unplanned, ...]:
    """What is so as of the day `on`, first counts and then what is asked for by name; `held` is what a plan holds. Only
    what no plan can bring is told: whatever a plan may hold some day is taken to be planned, and to be met."""
    target, criterion = count.target, criterion_of(count)
    if target.state is not TargetState.MASTERED or not criterion.is_set or criterion.is_met:
        return ()
    counting = may_come_to_count(target, possible_some_day(count), count.standings)
    if not target.generalised_with and _plans_bring_enough(criterion, count, counting):
        return ()
    ahead = {*_planned_some_day(case, count, log, on), *held}
    now = frozenset(count.possible_combinations)
    beside = [c for c in counting if c not in ahead and c in now]
    found = []
    for part in criterion.parts:
        at = target.dimension_names.index(part.dimension)
        reached = {*part.met, *(c[at] for c in counting if c in ahead)}
        more = {c[at]: c for c in reversed(beside) if c[at] not in reached}
        if len(reached) < part.wanted <= len(reached) + len(more):
            values = [v for v in target.values_of(part.dimension) if v in more]
            found.append(
                Unplanned(
                    dimension=part.dimension,
                    wanted=part.wanted,
                    planned=len(reached),
                    values=tuple((part.dimension, v) for v in values),
                    example=more[values[0]],
                )
            )
    by_plans = criterion_from(target, count.standings, ahead) if target.generalised_with else None
    for asked in by_plans.asked_out_of_reach if by_plans else ():
        example = next((c for c in beside if target.matches(c, dict(asked.values))), None)
        if example:
            found.append(Unplanned(dimension="", wanted=1, planned=0, values=asked.values, example=example))
    return tuple(found)


def _plans_bring_enough(criterion: Criterion, count: Tally, counting: Collection[Combination]) -> bool:
    """Whether what comes again and what is open is enough for each dimension, as nearly always: maintenance is not
    asked, and only of values that are not there yet whether one of their combinations is planned."""
    may_be_planned = _comes_again_or_is_open(count)
    for part in criterion.parts:
        at, reached = count.target.dimension_names.index(part.dimension), set(part.met)
        for combination in counting:
            if len(reached) >= part.wanted:
                break
            if combination[at] not in reached and may_be_planned(combination):
                reached.add(combination[at])
        if len(reached) < part.wanted:
            return False
    return True


def _comes_again_or_is_open(count: Tally) -> Callable[[Combination], bool]:
    shows_more = shows_more_than(count.target, count.shown)

    def may_be_planned(combination: Combination) -> bool:
        standing = count.standing(combination)
        return standing.comes_again or (not standing.tested and shows_more(combination))

    return may_be_planned


def _planned_some_day(case: Case, count: Tally, log: Log, on: date) -> Iterator[Combination]:
    """What some plan may still hold a probe of: what comes again, what shows an open tuple, what maintenance may
    repeat. The same as `planning.needs` makes choices of, this week or later."""
    target, some_day = count.target, possible_some_day(count)
    may_be_planned, now = _comes_again_or_is_open(count), frozenset(count.possible_combinations)
    met_before = False
    for combination in some_day:
        if may_be_planned(combination):
            met_before |= combination in now
            yield combination
    states = {c.state for c in maintenance_checks(target, log, on, case.policy)}
    # what was taught and never probed is repeated only while nothing is met
    if CheckState.DUE in states or (CheckState.AHEAD in states and not met_before):
        yield from to_repeat(target, count.standings, count.possible_combinations, Week.of(on).monday)


def about_unplanned(loaded: Loaded, case: Case, log: Log, today: date) -> tuple[Finding, ...]:
    """A warning for each, at what asks for it."""
    notes, until = Diagnostics(str(loaded.folder), dict(loaded.marks)), log_until(log, today)
    found_last = _found_last(case, today)
    for target in case.mastered:
        if target.generalised_when or target.generalised_with:
            made_of = target, case.learners[target.learner], until.all_of_target(target.id)
            known = found_last.get(target.id)
            if known is None or known[0] != made_of:
                known = found_last[target.id] = made_of, _lacking(case, target, until, today)
            lacking, cover = known[1]
            for one in lacking:
                _warn(target, one, cover, notes)
    return tuple(notes.findings)


_Lacking = tuple[tuple[Unplanned, ...], str]
_FoundLast = dict[str, tuple[object, _Lacking]]
_last: tuple[object, _FoundLast] | None = None


def _found_last(case: Case, today: date) -> _FoundLast:
    """By target, with what it is made of besides what all share. A page asks the same of all targets with each change
    of one, for which other children's names and rows are nothing."""
    global _last
    shared = replace(case, learners={}, targets={}), today
    if _last is None or _last[0] != shared:
        _last = shared, {}
    return _last[1]


def _lacking(case: Case, target: Target, log: Log, on: date) -> _Lacking:
    """What is unplanned of a target, and a `cover` that helps."""
    lacking = unplanned(case, tally(case, target, log, on), log, on)
    return lacking, _cover_that_helps(case, target, log, on) if lacking else ""


def _warn(target: Target, one: Unplanned, cover: str, notes: Diagnostics) -> None:
    key, example = SECTION_OF.get(one.dimension, one.dimension), ", ".join(one.example)
    values = ", ".join(value for _name, value in one.values)
    if cover:
        hint = _(
            "run such a probe beside the plan, for example {example}, and record it; or ask to see more together, such"
            " as with 'cover: {cover}'",
            example=example,
            cover=cover,
        )
    elif one.dimension:
        hint = _(
            "run such a probe beside the plan, for example {example}, and record it; or ask for fewer {key}",
            example=example,
            key=key,
        )
    else:
        hint = _(
            "run such a probe beside the plan, for example {example}, and record it; or do not ask for it",
            example=example,
        )
    if one.dimension:
        found = _(
            "{wanted} {key} wanted by 'generalised_when', and plans reach no more than {planned}: none holds a probe"
            " that would count with {values}, since all that 'cover' asks for there was tested or taught",
            wanted=one.wanted,
            key=key,
            planned=one.planned,
            values=values,
        )
        tell([target], "generalised_when", key, found, hint, notes)
        return
    found = _(
        "{values}, and no plan holds a probe of it that would count, since all that 'cover' asks for there was tested"
        " or taught",
        values=values,
    )
    number = 1 + [tuple(p.items()) for p in target.generalised_with].index(one.values)
    notes.warning(("targets", target.id, "generalised_when", "with", str(number)), found, "", hint)


def _cover_that_helps(case: Case, target: Target, log: Log, on: date) -> str:
    """The weakest `cover` with which plans may bring all that is lacking; empty if none does."""
    for cover in STRENGTHS:
        more = replace(target, cover=cover)
        if more.strength > target.strength and not unplanned(case, tally(case, more, log, on), log, on):
            return cover
    return ""
