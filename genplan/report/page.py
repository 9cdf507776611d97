"""week.html: the page to look at. One file that loads nothing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from genplan.case import Case, Target
from genplan.case.cautions import STANDING_CAUTIONS, cautions_for
from genplan.coverage.criterion import criterion_from
from genplan.coverage.matrix import NOT_POSSIBLE, MatrixRow
from genplan.plan import Plan, Probe, Sitting, TargetCoverage
from genplan.report.evidence_words import criterion_sentences
from genplan.report.grid import Grid, Planned, grid, planned_cells
from genplan.report.loads import loads
from genplan.report.reasons import ReasonGroup, reason_groups, why_empty
from genplan.report.render import render
from genplan.report.text import counted
from genplan.report.wording import (
    KIND_WORDS,
    PLANNED,
    STATUS_MARKS,
    Names,
    coverage_sentences,
    day_words,
    hours,
    long_date,
    objective_sentence,
    set_of,
    told_objectives,
    tuple_word,
    wishes,
)


@dataclass(frozen=True)
class ProbeLine:
    target: str
    material_set: str
    extras: tuple[tuple[str, str], ...]
    kind: str
    measure: str


@dataclass(frozen=True)
class SittingCard:
    """`who` is the other person: on a learner's page the adult, on an adult's the learner."""

    hours: str
    who: str
    place: str
    begun: bool
    amount: str
    probes: tuple[ProbeLine, ...]


@dataclass(frozen=True)
class DayCard:
    label: str
    sittings: tuple[SittingCard, ...]


@dataclass(frozen=True)
class TargetCard:
    """`cover` is None for a target that the plan counts nothing of."""

    id: str
    name: str
    cover: TargetCoverage | None
    sentences: tuple[str, ...]
    criterion: tuple[str, ...]
    wishes: tuple[str, ...]
    grid: Grid | None


@dataclass(frozen=True)
class LearnerCard:
    id: str
    name: str
    sittings: int
    probes: int
    new: int
    days: tuple[DayCard, ...]
    empty: tuple[str, ...]
    targets: tuple[TargetCard, ...]
    left_out: tuple[ReasonGroup, ...]
    cautions: tuple[str, ...]


def week_page(case: Case, plan: Plan, names: bool = False) -> str:
    """The page as HTML. Learners are called by their aliases; with `names` by name, for the family alone."""
    called = Names(case, names)
    planned = planned_cells(plan)
    learners = tuple(_learner(called, plan, planned, learner_id) for learner_id in case.learners)
    return render(
        "week.html",
        week=str(plan.week),
        number=plan.week.number,
        first=day_words(plan.week.monday),
        last=long_date(plan.week.sunday),
        planned_at=f"{long_date(plan.now.date())}, {plan.now:%H:%M}",
        zone=str(case.timezone),
        learners=learners,
        totals=_totals(learners),
        loads=loads(called, plan.sittings),
        empty=() if plan.sittings else why_empty(case, plan),
        objectives=tuple(map(objective_sentence, told_objectives(plan))),
        notes=plan.notes,
        repeatable=plan.repeatable,
        standing=STANDING_CAUTIONS,
        legend=(PLANNED, *STATUS_MARKS.values()),
    )


def _totals(learners: Sequence[LearnerCard]) -> str:
    sittings, probes = sum(c.sittings for c in learners), sum(c.probes for c in learners)
    return f"{counted(sittings, 'sitting')} with {counted(probes, 'probe')}"


def _learner(names: Names, plan: Plan, planned: Planned, learner_id: str) -> LearnerCard:
    own = tuple(s for s in plan.sittings if s.learner == learner_id)
    return LearnerCard(
        learner_id,
        names.learner(learner_id),
        len(own),
        sum(len(s.probes) for s in own),
        sum(c.new for c in plan.coverage if c.learner == learner_id),
        day_cards(names, own, lambda s: names.adult(s.adult)),
        () if own else why_empty(names.case, plan, learner_id),
        tuple(_target(names, plan, planned, t) for t in _shown_targets(names.case, plan, learner_id)),
        reason_groups(names, plan.left_out, learner_id),
        cautions_of(names, own),
    )


def _shown_targets(case: Case, plan: Plan, learner_id: str) -> tuple[Target, ...]:
    """The learner's targets of which the plan says anything."""
    spoken_of = {c.target for c in plan.coverage} | {r.target for r in plan.matrix}
    return tuple(t for t in case.targets_of(learner_id) if t.id in spoken_of)


def day_cards(
    names: Names, sittings: Sequence[Sitting], who: Callable[[Sitting], str]
) -> tuple[DayCard, ...]:
    """The days that hold a sitting, in order; `who` says what the other person is called."""
    return tuple(
        DayCard(day_words(day), tuple(_sitting(names, s, who(s)) for s in sittings if s.start.date() == day))
        for day in sorted({s.start.date() for s in sittings})
    )


def _sitting(names: Names, sitting: Sitting, who: str) -> SittingCard:
    return SittingCard(
        hours(sitting),
        who,
        names.location(sitting.location),
        sitting.begun,
        counted(len(sitting.probes), "probe"),
        tuple(_probe(names, p) for p in sitting.probes),
    )


def _probe(names: Names, probe: Probe) -> ProbeLine:
    target = names.case.targets[probe.target]
    adds = f"; adds {counted(probe.new_tuples, tuple_word(target))}" if probe.new_tuples else ""
    needed = target.pass_mark.needed(probe.trials)
    return ProbeLine(
        names.target(probe.target),
        names.material_set(set_of(names.case, probe)),
        names.extras(target, probe.combination),
        KIND_WORDS[probe.kind],
        f"{counted(probe.trials, 'trial')}, met with {needed} correct{adds}",
    )


def _target(names: Names, plan: Plan, planned: Planned, target: Target) -> TargetCard:
    cover = next((c for c in plan.coverage if c.target == target.id), None)
    rows = tuple(r for r in plan.matrix if r.target == target.id)
    return TargetCard(
        target.id,
        names.target(target.id),
        cover,
        coverage_sentences(target, cover) if cover else (),
        _criterion(names, target, rows),
        wishes(names, target),
        grid(names, target, rows, planned) if rows else None,
    )


def _criterion(names: Names, target: Target, rows: Sequence[MatrixRow]) -> tuple[str, ...]:
    """How far the target is towards what the case calls generalised; nothing where it does not say."""
    possible = [r.combination for r in rows if r.status != NOT_POSSIBLE]
    found = criterion_from(target, {r.combination: r.standing for r in rows}, possible)
    return tuple(criterion_sentences(names, found)) if rows and found.is_set else ()


def cautions_of(names: Names, sittings: Sequence[Sitting]) -> tuple[str, ...]:
    """Each caution of the learner's sittings once, in the order in which they come up."""
    case = names.case
    return tuple(
        dict.fromkeys(
            sentence
            for s in sittings
            for sentence in cautions_for(
                case,
                case.learners[s.learner],
                (set_of(case, p) for p in s.probes),
                s.location,
                s.start.date(),
                names.learner(s.learner),
            )
        )
    )
