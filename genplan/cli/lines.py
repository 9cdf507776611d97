"""A plan and a matrix as lines of plain text for a terminal or a pipe. No line is cut or wrapped."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from genplan.case import Case
from genplan.coverage.matrix import MatrixRow
from genplan.plan import Plan, RunReport, Sitting
from genplan.report.reasons import OfTarget, reason_groups, why_empty
from genplan.report.text import clock, counted
from genplan.report.wording import (
    KIND_WORDS,
    Names,
    clean,
    coverage_sentences,
    day_words,
    hours,
    long_date,
    objective_sentence,
)


def plan_lines(case: Case, plan: Plan) -> Iterator[str]:
    """The week by days, then the coverage of each target, what was left out and what is proven."""
    names, week = Names(case), plan.week
    yield f"Week {week}: {day_words(week.monday)} to {long_date(week.sunday)}"
    yield f"As of {long_date(plan.now.date())}, {clock(plan.now)}"
    yield from _sittings(names, plan)
    yield from _coverage(names, plan)
    yield from _left_out(names, plan)
    yield from _section("What the search found", map(objective_sentence, plan.objectives))
    yield from _section("Notes", map(clean, plan.notes))


def _section(title: str, lines: Iterable[str]) -> Iterator[str]:
    """A heading and indented lines; nothing at all without lines."""
    held = list(lines)
    if held:
        yield from ("", title)
        yield from (f"  {line}" for line in held)


def _sittings(names: Names, plan: Plan) -> Iterator[str]:
    if not plan.sittings:
        yield from _section("No sitting is planned", why_empty(names.case, plan))
    for day in plan.week.days:
        lines = (line for s in plan.sittings_on(day) for line in _sitting(names, s))
        yield from _section(day_words(day), lines)


def _sitting(names: Names, sitting: Sitting) -> Iterator[str]:
    who = f"{names.learner(sitting.learner)} with {names.adult(sitting.adult)}"
    begun = " (begun: stays as it is)" if sitting.begun else ""
    yield f"{hours(sitting)}  {who}, {names.location(sitting.location)}{begun}"
    for probe in sitting.probes:
        target = names.case.targets[probe.target]
        pairs = tuple(zip(target.dimension_names, probe.combination, strict=True))[2:]
        things = ", ".join(names.value(name, value) for name, value in pairs)
        yield f"    {names.target(target.id)}: {things} ({KIND_WORDS[probe.kind]})"


def _coverage(names: Names, plan: Plan) -> Iterator[str]:
    for learner in names.case.learners:
        lines = (
            f"{names.target(c.target)}: {' '.join(coverage_sentences(names.case.targets[c.target], c))}"
            for c in plan.coverage
            if c.learner == learner
        )
        yield from _section(f"Coverage of {names.learner(learner)}", lines)


def _left_out(names: Names, plan: Plan) -> Iterator[str]:
    for learner in names.case.learners:
        lines = (
            line
            for group in reason_groups(names, plan.left_out, learner)
            for line in (group.reason, *map(_share, group.targets))
        )
        yield from _section(f"Left out for {names.learner(learner)}", lines)


def _share(share: OfTarget) -> str:
    further = f"; and {share.unnamed} more" if share.unnamed else ""
    return f"    {share.target}, {share.amount}: {'; '.join(share.named)}{further}"


def run_line(run: RunReport) -> str:
    """How long it took, for the terminal only."""
    stages = ", ".join(f"{name} {seconds:.1f} s" for name, seconds in run.seconds.items())
    return f"Took {stages}." if stages else "Done."


def matrix_lines(case: Case, rows: Sequence[MatrixRow]) -> Iterator[str]:
    """A table for each target, with ids as `genplan record` wants them."""
    if not rows:
        yield "No combinations: no target matches."
    for target_id in dict.fromkeys(row.target for row in rows):
        target, names = case.targets[target_id], Names(case)
        found = [row for row in rows if row.target == target_id]
        yield f"{clean(target_id)}: {names.learner(target.learner)}, {names.target(target_id)}"
        yield f"  {counted(len(found), 'combination')}"
        head = (*map(clean, target.dimension_names), "status", "latest", "why")
        yield from _aligned([head, *map(_cells, found)])
        yield ""


def _cells(row: MatrixRow) -> tuple[str, ...]:
    known = row.standing
    figures = "" if known.trials is None else f" {known.correct}/{known.trials}"
    latest = f"{known.last_date}{figures}" if known.last_date else ""
    return (*map(clean, row.combination), row.status, latest, clean(row.why))


def _aligned(rows: Sequence[Sequence[str]]) -> Iterator[str]:
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        yield "  " + "  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True)).rstrip()
