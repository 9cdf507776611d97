"""What the page of a week says of one target: a row of figures, and behind it sentences, curve and matrix."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial

from genplan.case import Target
from genplan.case.possible import Rule, obstacle_to_any
from genplan.coverage.criterion import criterion_from
from genplan.coverage.curve import Point
from genplan.coverage.matrix import NOT_POSSIBLE, MatrixRow
from genplan.language import _
from genplan.language.sentences import capital
from genplan.plan import Plan, TargetCoverage
from genplan.report.chart import Chart, chart
from genplan.report.criterion_words import criterion_sentences, generalised_words
from genplan.report.grid import Grid, Planned, grid
from genplan.report.mark_words import mark_sentence
from genplan.report.names_and_words import Names, coverage_sentences
from genplan.report.wish_lines import wish_lines
from genplan.text.tuple_words import counted_tuples, tuple_words

Curves = Mapping[str, Sequence[Point]]
"""How the coverage of each target grew, by target."""


@dataclass(frozen=True)
class TargetCard:
    """`cover` is None for a target that the plan counts nothing of; then `unit`, `further` and `weeks` are empty.
    `further` is the fewest further probes, `weeks` how long they take at this week's pace."""

    name: str
    cover: TargetCoverage | None
    unit: str
    further: str
    weeks: str
    standing: str
    sentences: tuple[str, ...]
    curve: Chart | None
    grid: Grid | None


def target_card(names: Names, plan: Plan, planned: Planned, target: Target, curves: Curves) -> TargetCard:
    cover = next((c for c in plan.coverage if c.target == target.id), None)
    rows = plan.matrix_by_target.get(target.id, ())
    criterion = _criterion(names, target, rows)
    counts = (" ".join(filter(None, coverage_sentences(target, cover, begun=plan.begun))),) if cover else ()
    wanted = wish_lines(names, target, plan.now.date())
    return TargetCard(
        names.target(target.id),
        cover,
        _("in {tuples}", tuples=tuple_words(target)) if cover else "",
        _further(cover) if cover else "",
        _weeks(plan, cover) if cover else "",
        criterion[0] if criterion else "",
        (*counts, mark_sentence(target), *criterion[1:], *wanted),
        _chart(names, target, plan, cover, curves.get(target.id, ())),
        grid(names, target, rows, planned) if rows else None,
    )


def _further(cover: TargetCoverage) -> str:
    least, most = cover.fewest_proven, cover.fewest_further
    return str(most) if least >= most else _("{least} to {most}", least=least, most=most)


def _weeks(plan: Plan, cover: TargetCoverage) -> str:
    weeks = plan.weeks_at_this_pace(cover)
    return _("none planned") if weeks is None else str(weeks)


def _criterion(names: Names, target: Target, rows: Sequence[MatrixRow]) -> tuple[str, ...]:
    """In a few words how far the target is towards what the case calls generalised, then in sentences; nothing where
    the case does not say."""
    some_day = [r.combination for r in rows if r.status != NOT_POSSIBLE or _once_older(names, target, r)]
    today = [r.combination for r in rows if r.status != NOT_POSSIBLE]
    found = criterion_from(target, {r.combination: r.standing for r in rows}, some_day, today)
    if not rows or not found.is_set:
        return ()
    verdict = _("generalised") if found.is_met else _("not generalised yet")
    told = "; ".join(filter(None, (verdict, generalised_words(names, found))))
    return (told, *criterion_sentences(names, found))


def _once_older(names: Names, target: Target, row: MatrixRow) -> bool:
    """Whether nothing stands against it but the child's age: what else does, stands there on every day."""
    if row.obstacle is None or row.obstacle.rule not in (Rule.SMALL_PART, Rule.MINIMUM_AGE):
        return False
    return obstacle_to_any(names.case, target, row.combination, date.max) is None


def _chart(
    names: Names, target: Target, plan: Plan, cover: TargetCoverage | None, points: Sequence[Point]
) -> Chart | None:
    """The curve so far, with where the week leads; none where nothing was run."""
    if not points or cover is None:
        return None
    tuples = tuple_words(target)
    title = _(
        "{tuples} tried over time: {skill}",
        tuples=capital(tuples),
        skill=names.target(target.id),
    )
    after = cover.tested_before + cover.new
    ahead = (plan.week.sunday, after) if cover.new else None
    words = (
        _("This plan leads to at least {tuples} tried.", tuples=counted_tuples(target, after))
        if ahead
        else ""
    )
    return chart(title, partial(counted_tuples, target), points, ahead, words)
