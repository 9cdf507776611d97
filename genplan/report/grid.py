"""The coverage matrix of one target arranged as a grid: adults and locations down, material sets across."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from itertools import accumulate, product
from typing import TYPE_CHECKING

from genplan.case import Combination, Target
from genplan.case.possible import Obstacle
from genplan.case.targets import BASE_DIMENSIONS
from genplan.coverage.matrix import NOT_POSSIBLE, MatrixRow
from genplan.evidence.standing import Status
from genplan.language import N_, _, ngettext, said
from genplan.language.sentences import capital
from genplan.report.names_and_words import (
    PLANNED,
    STATUS_MARKS,
    TO_TEACH,
    Names,
    StatusMark,
    clean,
    day_short,
    moment_short,
)
from genplan.report.value_words import value_word
from genplan.text.matrix_rows import row_text
from genplan.text.obstacles import obstacle_text

if TYPE_CHECKING:
    from genplan.plan import ProbeKind, Sitting

WIDEST = 6
"""So many columns of cells stand beside each other on A4 paper, and can be read; more go on in a next table."""

Planned = Mapping[tuple[str, Combination], "tuple[tuple[Sitting, ...], ProbeKind]"]
"""Where, in order of time, and as what each planned combination of a target is seated."""

NOT_LISTED = StatusMark("", "no", N_("not listed"))
NO_MORE = N_("not possible now")
"""Beside what was tried before a rule came to stand against it."""


@dataclass(frozen=True)
class Cell:
    """Its word always says the status; `fine` holds the figures and the date, or what is planned."""

    mark: StatusMark
    fine: tuple[str, ...] = ()

    @property
    def word(self) -> str:
        return self.mark.word

    @property
    def text(self) -> str:
        return " ".join((self.word, *self.fine[:1]))


@dataclass(frozen=True)
class Line:
    """One location. Where one reason stands against all its cells, `barred` holds it, to be shown instead."""

    label: str
    cells: tuple[Cell, ...]
    barred: str = ""


@dataclass(frozen=True)
class Block:
    adult: str
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class Part:
    """The columns of a grid that make one table on a page: `heads` are its material sets, each with the values of the
    extra dimensions under it; its cells are those `since` to `until` of each line, the last not included."""

    heads: tuple[tuple[str, tuple[str, ...]], ...]
    since: int
    until: int

    @property
    def columns(self) -> int:
        return self.until - self.since


@dataclass(frozen=True)
class Grid:
    """`sets` are the column heads, each over one column for every entry of `under` (the values of the extra
    dimensions; one empty entry if there are none). `reasons` say what stands behind cells of lines that are
    not barred; `outside` are combinations that were run though the target does not vary them."""

    extra_names: tuple[str, ...]
    sets: tuple[str, ...]
    under: tuple[str, ...]
    blocks: tuple[Block, ...]
    reasons: tuple[str, ...]
    outside: tuple[str, ...]
    marks: tuple[StatusMark, ...]
    _drawn: dict[Cell, str] = field(default_factory=dict, compare=False, repr=False)

    def drawn(self, draw: Callable[[Cell], str], cell: Cell) -> str:
        """What `draw` makes of a cell: most are like one that was drawn before."""
        found = self._drawn.get(cell)
        if found is None:
            found = self._drawn[cell] = draw(cell)
        return found

    @property
    def parts(self) -> tuple[Part, ...]:
        """The grid cut into tables no wider than `WIDEST`, of much the same width, none through a material set that
        could be kept whole."""
        whole = len(self.under) <= WIDEST
        slices = [
            (sets, under)
            for sets in _shared_out(self.sets, WIDEST // len(self.under) if whole else 1)
            for under in _shared_out(self.under, WIDEST)
        ]
        ends = tuple(accumulate(len(sets) * len(under) for sets, under in slices))
        return tuple(
            Part(tuple((one, under) for one in sets), since, until)
            for (sets, under), since, until in zip(slices, (0, *ends), ends, strict=False)
        )


def _shared_out(values: tuple[str, ...], most: int) -> Iterator[tuple[str, ...]]:
    """The values in as few runs as hold no more than `most` each, the runs as even as can be."""
    runs = -(-len(values) // most)
    for n in range(runs):
        yield values[len(values) * n // runs : len(values) * (n + 1) // runs]


def planned_cells(planned: Mapping[tuple[str, Combination], tuple[Sitting, ...]]) -> Planned:
    return {
        key: (sittings, next(p.kind for p in sittings[0].probes if (p.target, p.combination) == key))
        for key, sittings in planned.items()
    }


def grid(
    names: Names, target: Target, rows: Sequence[MatrixRow], planned: Planned, now: datetime | None = None
) -> Grid:
    """Arranges the rows of one target. Every row is shown once, in the grid or under `outside`. What is over by `now`
    is planned no more."""
    found = {row.combination: row for row in rows if row.target == target.id}
    adults, locations, sets = (d.values for d in target.dimensions[: len(BASE_DIMENSIONS)])
    extra = tuple(product(*(d.values for d in target.extra_dimensions)))
    columns = tuple((one, *more) for one in sets for more in extra)
    lines = {
        head: _line(names, target, head, columns, found, planned, now) for head in product(adults, locations)
    }
    blocks = tuple(Block(names.adult(a), tuple(lines[a, place] for place in locations)) for a in adults)
    shown = {(*head, *column) for head in lines for column in columns}
    to_explain = [r for c, r in found.items() if not (c in shown and lines[c[0], c[1]].barred)]
    return Grid(
        tuple(clean(d.name) for d in target.extra_dimensions),
        tuple(names.material_set(s) for s in sets),
        tuple(", ".join(map(clean, values)) for values in extra),
        blocks,
        _reasons(names, target, to_explain),
        tuple(_outside(names, target, row) for c, row in found.items() if c not in shown),
        _marks(blocks),
    )


def _line(
    names: Names,
    target: Target,
    head: tuple[str, str],
    columns: tuple[Combination, ...],
    rows: Mapping[Combination, MatrixRow],
    planned: Planned,
    now: datetime | None,
) -> Line:
    combinations = [(*head, *column) for column in columns]
    found = [rows.get(c) for c in combinations]
    cells = tuple(
        _cell(row, planned.get((target.id, c)), now) for row, c in zip(found, combinations, strict=True)
    )
    against = {r.obstacle for r in found if r and r.obstacle and not r.standing.tested}
    same = len(against) == 1 and all(c.mark is STATUS_MARKS[NOT_POSSIBLE] and not c.fine for c in cells)
    return Line(
        names.location(head[1]),
        cells,
        clean(obstacle_text(names.case, against.pop())) if same else "",
    )


def _cell(
    row: MatrixRow | None,
    planned: tuple[tuple[Sitting, ...], ProbeKind] | None,
    now: datetime | None = None,
) -> Cell:
    if row is None:
        return Cell(NOT_LISTED)
    figures = _figures(row)
    dated = (
        *(() if row.standing.last_date is None else (day_short(row.standing.last_date),)),
        *((said(NO_MORE),) if _shown(row) != row.status else ()),
    )
    mark = STATUS_MARKS[_shown(row)]
    if planned is None:
        return Cell(mark, figures + dated)
    sittings, kind = planned
    if now is not None and all(s.end <= now for s in sittings):
        when = _(" and ").join(moment_short(s.start) for s in sittings)
        return Cell(mark, (*figures, *dated, _("{when}: not written down yet", when=when)))
    was = " ".join((value_word(_shown(row)), *figures))
    before = () if row.status == "untested" else (_("before: {was}", was=was),)
    mark = PLANNED if kind.is_probe else TO_TEACH
    return Cell(mark, (_(" and ").join(moment_short(s.start) for s in sittings), value_word(kind), *before))


def _shown(row: MatrixRow) -> str:
    """The status by which it is marked: what was tried stays to be seen, whatever stands against it since."""
    return row.standing.status.value if row.obstacle and row.standing.tested else row.status


def _figures(row: MatrixRow) -> tuple[str, ...]:
    """Correct of trials, said to be the last probe's where the status is not from it."""
    standing = row.standing
    if standing.trials is None:
        return ()
    figures = f"{standing.correct}/{standing.trials}"
    return (
        (figures,)
        if _shown(row) in (Status.MET, Status.NOT_MET)
        else (_("(last probe {figures})", figures=figures),)
    )


def _reasons(names: Names, target: Target, rows: Iterable[MatrixRow]) -> tuple[str, ...]:
    """Each reason once, with how many combinations it holds back, in the order in which they appear."""
    behind: dict[tuple[str, Obstacle | None, str], list[MatrixRow]] = {}
    for row in rows:
        if text := row_text(names.case, row, day_short):
            behind.setdefault((row.status, row.obstacle, text), []).append(row)
    return tuple(_reason(names, target, held) for held in behind.values())


def _reason(names: Names, target: Target, held: list[MatrixRow]) -> str:
    text = clean(row_text(names.case, held[0], day_short))
    sentence = capital(text)
    if held[0].obstacle:
        return ngettext(
            "{reason}: {n} combination not possible.",
            "{reason}: {n} combinations not possible.",
            len(held),
            reason=sentence,
        )
    return f"{sentence}: {'; '.join(names.combination(target, row.combination) for row in held)}."


def _outside(names: Names, target: Target, row: MatrixRow) -> str:
    cell = _cell(row, None)
    return f"{names.combination(target, row.combination)}: {', '.join((cell.word, *cell.fine))}"


def _marks(blocks: tuple[Block, ...]) -> tuple[StatusMark, ...]:
    """The statuses that the grid shows, in the order of the legend."""
    seen = {cell.mark for block in blocks for line in block.lines for cell in line.cells}
    return tuple(m for m in (PLANNED, TO_TEACH, *STATUS_MARKS.values()) if m in seen)


def legend(kinds: Iterable[ProbeKind]) -> tuple[StatusMark, ...]:
    """The marks that a page of plans with such things explains: those of a planned teaching only where there is one."""
    taught = (TO_TEACH,) if any(not kind.is_probe for kind in kinds) else ()
    return (PLANNED, *taught, *STATUS_MARKS.values())
