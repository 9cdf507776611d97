"""The page of the benchmark: tables, curves, and sentences that follow from the rows."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tests.benchmarks.drawing import Panel, drawing
from tests.benchmarks.rivals import WAYS
from tests.benchmarks.rows import Row, planner_of, proven_bound, short
from tests.benchmarks.tables import learners_of, markdown, memory, number, percent, ratio, seconds
from tests.benchmarks.whole_page import exponent, parts_part, versions_part
from tests.benchmarks.whole_rows import WholeRow

ABOUT = """# The planner, measured

Written by `python -m tests.benchmarks.planner --write`; do not edit it by hand. The rows are kept in `rows.json`.

**The case** is invented by chance (`tests/fixtures/random_cases.py`), the same for the same seed: each learner has 5
targets (where no other number stands) of 6 adults, 4 locations and 3 material sets, two of the adults and all
locations but the home shared by all learners, with limits, absences, capacities and single copies. **The question** is
the same for every way: the new tuples of one week, weighted by need, under all rules, with nothing due. The planner
alone answers more in its time: all further objectives, the reasons for what was left out and the smallest designs.

**The ways**

- *the planner*: `genplan plan` as it is. Each learner alone (with a proof), then in turn, those first who would lose
  most without what is scarce; then those who fall short, with whoever is in their way; on as many processes as there
  are cores, each with one solver worker. A few small learners are one model.
- *one probe at a time*: always the probe that shows most, in the first way that nothing stands in.
- *one CP-SAT model*: all learners at once, no parts. With or without the planner's three cuts (covered tuples and
  probes of each set of dimensions; minutes of a stretch; probes of a day); with the solver's own settings on all cores,
  or with the planner's settings and one worker.
- *one HiGHS model*: the same model translated constraint by constraint (`tests/benchmarks/as_mip.py`: big M and a
  boolean for the order of two sittings that may meet), with the solver's own settings. Its answer is checked by CP-SAT.
  A model made by hand for such a solver may do better still; one that is indexed by time is held against the planner on
  tiny cases in `tests/properties/test_optimal.py`.

All single models begin with the empty week. They may search as long as the planner took for everything, and a minute
at the least. *Short* is the distance to the lowest bound that any way proved. *CPU* are seconds of all processes;
*largest* and *together* are the resident memory of the largest process and of all at once (what processes share counts
for each). Numbers in brackets are multiples of the planner's in the same run. Seconds on the wall depend on what else
the machine does; CPU seconds much less. Where the clock ends a search, its answer may be another one on another run.
"""


def page(rows: Sequence[Row], whole: Sequence[WholeRow] = (), ranges: str = "") -> str:
    """`ranges` is the part on the forecast (`calibration_page`)."""
    ordered = sorted(rows, key=lambda r: (r.case, list(WAYS).index(r.way)))
    parts = [
        ABOUT,
        "## How cost grows\n",
        growth(ordered),
        how_it_grows(ordered) + "\n",
        "![Curves of the tables on this page](planner.svg)\n",
    ]
    parts += [part for part in (versions_part(whole), parts_part(whole)) if part]
    parts.append("## Way by way\n")
    for case in dict.fromkeys(r.case for r in ordered):
        own = [r for r in ordered if r.case == case]
        parts += [
            f"### {sized(*case)}\n",
            table(own),
            reading(own) + "\n",
            footing(own),
        ]
    return "\n".join([*parts, ranges] if ranges else parts)


def growth(rows: Sequence[Row]) -> str:
    """The planner's cost by size."""
    head = [
        "learners",
        "targets each",
        "seed",
        "new tuples",
        "proven bound",
        "short",
        "wall",
        "CPU",
        "CPU a learner",
        "largest",
        "together",
    ]
    lines = []
    for r in (r for r in rows if r.way == "planner"):
        bound = proven_bound(rows, r.case)
        lines.append(
            [
                f"{r.learners}",
                f"{r.targets}",
                f"{r.seed}",
                f"{r.value + 0.0:g}",
                number(bound),
                percent(short(r, bound)),
                seconds(r.wall),
                seconds(r.cpu),
                seconds(r.cpu / r.learners),
                memory(r.largest),
                memory(r.together),
            ]
        )
    return markdown(head, lines)


def how_it_grows(rows: Sequence[Row]) -> str:
    """In one sentence for each number of targets that was measured at two sizes or more."""
    said = []
    for targets in sorted({r.targets for r in rows}):
        own = [r for r in rows if (r.way, r.targets) == ("planner", targets)]
        power = exponent([(r.learners, r.cpu) for r in own])
        if power is not None:
            sizes = ", ".join(f"{n}" for n in sorted({r.learners for r in own}))
            said.append(
                f"With {targets} targets a learner CPU grows like learners^{power:.2f} ({sizes} learners)."
            )
    how = "Least squares through the logarithms of both: the slope is Σ(x - x̄)(y - ȳ) / Σ(x - x̄)²."
    return " ".join([*said, how]) if said else ""


def sized(learners: int, targets: int, seed: int) -> str:
    many = "" if targets == Row.targets else f" of {targets} targets"
    return f"{learners_of(learners)}{many}, seed {seed}"


def table(rows: Sequence[Row]) -> str:
    """All ways at one size."""
    head = ["way", "new tuples", "short", "its own bound", "wall", "CPU", "largest", "together"]
    lines = []
    for r in rows:
        planner = planner_of(rows, r)
        lines.append(
            [
                WAYS[r.way].words,
                f"{r.value + 0.0:g}",
                percent(short(r, proven_bound(rows, r.case))),
                "none" if r.bound is None else f"{r.bound:g}{' (proven best)' if r.proven else ''}",
                seconds(r.wall) + ratio(r.wall, planner and planner.wall),
                seconds(r.cpu) + ratio(r.cpu, planner and planner.cpu),
                memory(r.largest) + ratio(r.largest, planner and planner.largest),
                memory(r.together),
            ]
        )
    return markdown(head, lines)


def reading(rows: Sequence[Row]) -> str:
    """What the rows of one size say, for and against the planner."""
    planner = next((r for r in rows if r.way == "planner"), None)
    if planner is None:
        return "The planner was not measured at this size."
    bound = proven_bound(rows, planner.case)
    gap = short(planner, bound)
    said = ["The planner's week is proven to be the best." if not gap else _not_proven(planner, gap)]
    others = [r for r in rows if r.way != "planner"]
    said += _list("More new tuples than the planner", [r for r in others if r.value > planner.value])
    said += _list("As many", [r for r in others if r.value == planner.value])
    said += [_fewer(r, planner) for r in others if r.value < planner.value]
    proofs = [r for r in others if r.proven]
    said += _list("The best is also proven by", proofs)
    quicker = [r for r in proofs if r.cpu < planner.cpu]
    said += _list("In less CPU time than all that the planner does, with the proof", quicker)
    unproven = [r for r in others if r.bound is not None and not r.proven]
    said += _list("No proof within the time", unproven)
    return " ".join(said)


def _not_proven(planner: Row, gap: float) -> str:
    return f"The planner's week is at most {gap:.2f} % below the best there is; that it is the best is not proven."


def _fewer(row: Row, planner: Row) -> str:
    words = WAYS[row.way].words
    if not row.value:
        return f"{_capital(words)} found nothing in its time."
    return f"{_capital(words)}: {100 * (1 - row.value / planner.value):.1f} % fewer than the planner."


def _list(lead: str, rows: Sequence[Row]) -> list[str]:
    return [f"{lead}: {', '.join(WAYS[r.way].words for r in rows)}."] if rows else []


def footing(rows: Sequence[Row]) -> str:
    """When, with what and on what the rows were measured."""
    said = dict.fromkeys(
        f"Measured {r.run}, {r.versions}, {r.cores} cores, {r.memory:.0f} GB of memory." for r in rows
    )
    sizes = [f"{WAYS[r.way].words}: {r.sizes}" for r in rows if r.sizes]
    return "<sub>" + " ".join([*said, "; ".join(sizes)]) + "</sub>\n"


def curves(rows: Sequence[Row]) -> str:
    """The page's picture. A size counts once, with the fewest targets and its first seed."""
    first = {r.learners: r.case for r in sorted(rows, key=lambda r: r.case, reverse=True)}
    shown = [r for r in rows if first[r.learners] == r.case]

    def gap(row: Row) -> float | None:
        return short(row, proven_bound(rows, row.case))

    panels = [
        Panel("CPU of all processes", "seconds", _by_way(shown, lambda r: max(r.cpu, 0.01)), True),
        Panel("Short of the proven bound", "%", _by_way(shown, gap), False),
        Panel("Memory of the largest process", "MB", _by_way(shown, lambda r: r.largest), True),
    ]
    words = (
        "Three panels of curves over the number of learners, one curve a way: CPU seconds, per cent below"
        " the proven bound, megabytes. The tables have the numbers."
    )
    return drawing("The planner beside other ways", words, panels)


def _by_way(rows: Sequence[Row], of: Callable[[Row], float | None]) -> dict[str, list[tuple[float, float]]]:
    found = {}
    for way in WAYS:
        points = [(float(r.learners), y) for r in rows if r.way == way and (y := of(r)) is not None]
        if points:
            found[WAYS[way].words] = points
    return found


def _capital(words: str) -> str:
    return words[0].upper() + words[1:]
