"""The plan of a week: a pure function of case, log, busy times, kept sittings, week and now."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import chain
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.evidence.log import Log
from genplan.plan import DatedTuple, Objective, ObjectiveName, Plan, Sitting, StageStatus, ToldLately
from genplan.planning.assemble import coverage_of, matrix_rows, sittings_of, still_open
from genplan.planning.budget import Budget
from genplan.planning.caseload import plan_caseload
from genplan.planning.due_beside_wishes import with_wishes_named
from genplan.planning.first_week import FirstWeek
from genplan.planning.greedy_design import greedy_design
from genplan.planning.jobs import Workers
from genplan.planning.missed_dates import missed_dates
from genplan.planning.needs import TargetNeed
from genplan.planning.observers import with_observers
from genplan.planning.openings import Busy
from genplan.planning.progress import Phase, PhaseProgress, Say, SearchBegun
from genplan.planning.reasons import Owed, dated_of, if_nothing_stands, left_out
from genplan.planning.recount import recounted
from genplan.planning.replanning import plan_anew
from genplan.planning.run_clock import Clock
from genplan.planning.term.following import following
from genplan.planning.told_anew import people_told
from genplan.planning.week_context import WeekContext, week_context_of
from genplan.planning.week_notes import notes_on
from genplan.planning.wish_answers import answers_to_wishes

if TYPE_CHECKING:
    from genplan.plan.term import Term


@dataclass(frozen=True)
class Planned:
    """A plan and how the search for it went."""

    plan: Plan
    seconds: dict[str, float]
    sizes: dict[str, int]
    steps: tuple[dict[str, object], ...] = ()


def plan_week(
    case: Case,
    log: Log,
    week: Week,
    now: datetime,
    busy: Busy,
    kept: tuple[Sitting, ...],
    executor: Executor,
    progress: Say,
    budget: Budget | None = None,
    *,
    fewest_told: bool | None = None,
    term: Term | None = None,
    lately: tuple[ToldLately, ...] = (),
    began: Sequence[Sitting] = (),
) -> Planned:
    """Plans what is still ahead of `week` at the aware moment `now`; kept sittings that have begun stay as they are.

    The case is that of all weeks: what it says of certain dates counts on those dates only. `budget` is how long all of
    it may take; without one the policy's seconds from now on. `fewest_told`: as few people as possible are told
    something new; None: once the week has begun. `term` is one that begins with the week, which follows it; `lately`:
    what people were told of the weeks before, as far as fairness looks back; `began`: all that has begun of what
    they were told of this one, held or not."""
    within = budget or Budget.of(case.policy.solver.seconds)
    clock = Clock()
    with clock.step("needs and openings"):
        ground = following(
            week_context_of(case, log, week, now, busy, kept, fewest_told, lately, began), term
        )
        case, free, needs, seats = ground.case, ground.free, ground.needs, ground.begun_seats
    first = FirstWeek(ground.caseload)
    workers = Workers(executor, progress, within, first, clock)
    workers.progress(SearchBegun(ground, first))
    with clock.step("search"):
        load = ground.caseload
        search = plan_anew if load.fewest_told else plan_caseload
        outcome = recounted(load, search(load, workers))
    with clock.step("observers"):
        workers.progress(PhaseProgress(Phase.OBSERVERS))
        # observers change nothing of it: none is put where somebody more had to be told
        anew = ground.told_anew(outcome.seats)
        ahead, observed = with_observers(
            case, week, free, log, seats, outcome.seats, ground.told, workers, anew
        )
    with clock.step("what is left"):
        begun = tuple(replace(s, begun=True) for s in ground.begun)
        sittings = sittings_of(
            case, week, needs, ahead, begun, ground.decided.seats, kept, {s.id for s in began}
        )
        probed = [n for n in needs if n.is_probed]
        opens = [still_open(n, sittings) for n in probed]
        columns = [n.columns(open_) for n, open_ in zip(probed, opens, strict=True)]
        # once the time is over no solver is waited for
        designs = None if within.is_over else workers.designs(probed, columns)
        further = (
            [(len(d.combinations), d.at_least) for d in designs]
            if designs
            else [(len(greedy_design(c)), 0) for c in columns]
        )
        coverage = tuple(
            coverage_of(n, open_, further=size, at_least=at_least)
            for n, open_, (size, at_least) in zip(probed, opens, further, strict=True)
        )
    with clock.step("reasons"):
        workers.progress(PhaseProgress(Phase.REASONS))
        # an observer's time is no reason: for a probe more it would be given up
        repeatable = outcome.repeatable and not within.is_over
        clear = if_nothing_stands(outcome.objectives, ground.caseload, repeatable, outcome.shortest_way)
        everything = (*seats, *outcome.seats)
        owed = Owed(
            case=case,
            free=free,
            needs=needs,
            seats=everything,
            begun=seats,
            clear=clear,
            told_anew=anew,
            rather=load.rather,
            dated=dated_of(needs),
        )
        omitted = tuple(chain.from_iterable(workers.answers(left_out, owed.in_parts())))
        omitted = with_wishes_named(ground, workers, outcome.seats, omitted)
        missed = missed_dates(owed, week, now.date(), omitted, within)
    plan = Plan(
        week=week,
        now=now,
        sittings=sittings,
        objectives=tuple(_without_false_proof(ground, o) for o in outcome.objectives),
        coverage=coverage,
        matrix=matrix_rows(case, probed, now.date()),
        left_out=omitted,
        people_told=tuple(sorted(people_told(load.told, ahead, load.told_anyway))) if kept else None,
        notes=notes_on(case, week, now, free, needs, sittings, outcome.seats, omitted),
        repeatable=repeatable and not within.is_over,
        observed=observed,
        alone=outcome.alone,
        wishes=answers_to_wishes(ground, sittings, outcome.objectives),
        last_chances=frozenset(
            (n.id, place)
            for n in needs
            for w in n.wishes
            if w.last_chance
            for place, wish in enumerate(n.target.first)
            if wish == w.wish
        ),
        turns=_turns(needs),
        dated=sum(len(n.dated) for n in needs),
        missed=missed,
        catch_up=tuple((n.id, tuple_, day) for n in needs for tuple_, day in n.catch_up),
        before=ground.before,
    )
    sizes = {
        "variables": outcome.variables,
        "constraints": outcome.constraints,
        "learners": len(case.learners),
    }
    return Planned(plan, clock.seconds(), sizes, clock.documents())


def _turns(needs: Sequence[TargetNeed]) -> tuple[DatedTuple, ...] | None:
    """What has its turn in the week; None: it follows no term."""
    if all(n.turns is None for n in needs):
        return None
    return tuple((n.id, tuple_, day) for n in needs for tuple_, day in n.turns or ())


def _without_false_proof(ground: WeekContext, objective: Objective) -> Objective:
    """How few are told something is proven of weeks without the sittings that what somebody decided makes needless; a
    week that holds them all the same is not looked at."""
    names = (ObjectiveName.PEOPLE, ObjectiveName.OTHERWISE)
    if not ground.shown_by_decided or objective.name not in names:
        return objective
    bound = min(objective.bound, float(ground.told_at_least[names.index(objective.name)]))
    ended = objective.status is StageStatus.OPTIMAL and bound < objective.value
    return replace(objective, bound=bound, status=StageStatus.BEST_SO_FAR if ended else objective.status)
