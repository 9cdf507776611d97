"""The parts of the page that hold variants of the planner against it: the version before, what each part is worth."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import log
from statistics import fmean

from tests.benchmarks.parts import parts
from tests.benchmarks.tables import learners_of, markdown, memory, ratio, seconds
from tests.benchmarks.whole_rows import (
    AS_IT_IS,
    SENSES,
    VERSION,
    WITHOUT,
    WholeRow,
    base_of,
    coverage_is_the_same,
    first_that_differs,
)

ABOUT_VERSIONS = """\
**The case** is another one here: six targets a learner, with wishes and what was run before, but no maintenance, which
is counted by other rules since. No clock cuts a search short. Both versions run `genplan plan` on the same written
case, one after the other, with the same packages (`python -m tests.benchmarks.planner --against COMMIT`; a wheel will
do, too). Numbers in brackets are multiples of those of this version in the same run. What is proven to be the best is
in **bold**.
"""
ABOUT_PARTS = """\
The same cases, planned in one process without one part after the other (`python -m tests.benchmarks.planner --parts`):
a cut that follows from the rules anyway, or an operator of the search for a caseload. One case says little about a
part: what it is worth differs from case to case.
"""


def versions_part(rows: Iterable[WholeRow]) -> str:
    own = [r for r in rows if r.kind == VERSION]
    if not own:
        return ""
    return "\n".join(["## Beside the version before\n", ABOUT_VERSIONS, *_by_case(own, own)])


def parts_part(rows: Iterable[WholeRow]) -> str:
    own = [r for r in rows if r.kind == WITHOUT]
    if not own:
        return ""
    return "\n".join(["## What each part is worth\n", ABOUT_PARTS, *_by_case(own, own)])


def _by_case(rows: Sequence[WholeRow], all_rows: Sequence[WholeRow]) -> Iterable[str]:
    for case in sorted({r.case for r in rows}):
        learners, targets, seed = case
        own = [r for r in rows if r.case == case]
        yield f"### {learners_of(learners)} of {targets} targets, seed {seed}\n"
        yield table(own)
        yield " ".join(said for r in own if (said := reading(r, base_of(all_rows, r)))) + "\n"
        measured = dict.fromkeys(
            f"Measured {r.run}, {r.versions}, {r.cores} cores, {r.memory:.0f} GB of memory." for r in own
        )
        yield f"<sub>{' '.join(measured)}</sub>\n"


def table(rows: Sequence[WholeRow]) -> str:
    head = ["", "CPU", "wall", "largest", *SENSES, "further probes and sittings"]
    lines = []
    for r in rows:
        base = base_of(rows, r)
        lines.append(
            [
                called(r),
                seconds(r.cpu) + ratio(r.cpu, base and base.cpu),
                seconds(r.wall) + ratio(r.wall, base and base.wall),
                memory(r.largest) + ratio(r.largest, base and base.largest),
                *(_value(r, name) for name in SENSES),
                f"{r.further_and_sittings:g}"
                + ratio(r.further_and_sittings, base and base.further_and_sittings),
            ]
        )
    return markdown(head, lines)


def _value(row: WholeRow, name: str) -> str:
    """Bold where it is proven to be the best."""
    if name not in row.values:
        return "none"
    return f"**{row.values[name]:g}**" if name in row.proven else f"{row.values[name]:g}"


def called(row: WholeRow) -> str:
    if row.kind == VERSION:
        return "this version" if row.variant == AS_IT_IS else f"version {row.variant}"
    if row.variant == AS_IT_IS:
        return "everything"
    known = parts(row.learners)
    return f"without {known[row.variant].words}" if row.variant in known else f"without {row.variant}"


def reading(row: WholeRow, base: WholeRow | None) -> str:
    """What a row says beside the planner as it is."""
    if row.variant == AS_IT_IS or base is None:
        return ""
    if coverage_is_the_same(row, base):
        shows = "shows the same"
    else:
        name, more = first_that_differs(row, base) or ("", 0.0)
        shows = f"has {abs(more):g} {'more' if more > 0 else 'less'} of what comes first of all that differs ({name})"
    least = base.further_and_sittings
    further = 100 * (row.further_and_sittings / least - 1) if least else 0.0
    rest = f", and {further:+.1f} % further probes and sittings" if further else ""
    return f"{called(row).capitalize()} takes {row.cpu / base.cpu:.2g} times the CPU and {shows}{rest}."


def exponent(points: Sequence[tuple[float, float]]) -> float | None:
    """The b of cost = a · learners^b: the slope of the straight line through the logarithms by least squares,
    sum((x - mean x)(y - mean y)) / sum((x - mean x)²). None for less than two sizes."""
    xs, ys = [log(x) for x, _ in points], [log(y) for _, y in points]
    if len(set(xs)) < 2:
        return None
    middle_x, middle_y = fmean(xs), fmean(ys)
    above = sum((x - middle_x) * (y - middle_y) for x, y in zip(xs, ys, strict=True))
    return above / sum((x - middle_x) ** 2 for x in xs)
