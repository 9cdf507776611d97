"""The coverage matrix on a terminal. It is drawn without what is said of plans, which takes long to load."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from genplan.case import Case, Target
from genplan.coverage.matrix import MatrixRow, rows_by_target
from genplan.language import _
from genplan.report.grid import Grid, grid
from genplan.report.names_and_words import Names
from genplan.report.plain_characters import in_order
from genplan.report.textgrid import columns_of, grid_lines
from genplan.text.tuple_words import tuple_words


def matrix_view(case: Case, rows: Sequence[MatrixRow], width: int | None = None) -> str:
    """The coverage matrix of each target of these rows as text. `width` is the terminal's; None: any."""
    names = Names(case)
    own = rows_by_target(rows)
    drawn = {i: grid(names, case.targets[i], own[i], {}) for i in in_order(case.targets) if i in own}
    if not drawn:
        return _("There is no matrix to show: no target is marked mastered.") + "\n"
    parts = ["\n".join(_one_matrix(names, case.targets[id_], g, width)) for id_, g in drawn.items()]
    marks = dict.fromkeys(mark for g in drawn.values() for mark in g.marks)
    key = section(_("What the words mean"), (f"{mark.word}: {mark.meaning}." for mark in marks))
    return "\n\n".join((*parts, key)) + "\n"


def section(title: str, lines: Iterable[str]) -> str:
    """A title and its lines; nothing at all without lines."""
    found = list(lines)
    return "\n".join((title, "-" * len(title), *found)) if found else ""


def _one_matrix(names: Names, target: Target, drawn: Grid, width: int | None) -> Iterator[str]:
    title = _(
        "{target} ({learner}), counted in {tuples}",
        target=names.target(target.id),
        learner=names.learner(target.learner),
        tuples=tuple_words(target),
    )
    yield title
    yield "-" * columns_of(title)
    if drawn.extra_names:
        yield _("Under each material set: {extra_names}.", extra_names=", ".join(drawn.extra_names))
    yield from grid_lines(drawn, width)
    if drawn.reasons:
        yield _("What stands behind it:")
    yield from (f"  {reason}" for reason in drawn.reasons)
    if drawn.outside:
        yield _("Also run, in a combination that this target does not vary:")
    yield from (f"  {text}" for text in drawn.outside)
