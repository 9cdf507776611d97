"""Ways as people draw them: places down the side and across the top, minutes where two of them meet."""

from __future__ import annotations

from genplan.tables.grids import Grid
from genplan.tables.headings import headings_everywhere, plain
from genplan.tables.kinds import FEWEST, MOST_TITLES
from genplan.tables.sheets import REMARK, WAYS, Column


def places_across(grid: Grid) -> tuple[int, dict[int, Column]] | None:
    """The row that the places stand in, and the columns: the places down the side, then each of those across. None for
    a list of ways, and for any other sheet: some place has to stand both down and across."""
    rows = [(n, texts) for n, texts in grid.rows if any(t.strip() for t in texts)]
    for at, (number, texts) in enumerate(rows[:MOST_TITLES]):
        below = [cells for _, cells in rows[at + 1 :]]
        filled = {i: text.strip() for i, text in enumerate(texts) if text.strip()}
        if not below or sum(WAYS.column(text) is not None for text in filled.values()) >= FEWEST:
            return None
        side = min(next(i for i, cell in enumerate(cells) if cell.strip()) for cells in below)
        across = {i: text for i, text in filled.items() if i > side and not _is_aside(text)}
        if any(text.isdecimal() for text in across.values()):
            continue
        down = {plain(cells[side]) for cells in below if side < len(cells)}
        if down.intersection(map(plain, across.values())) - {""}:
            return number, {side: WAYS.columns[0], **{i: Column(text) for i, text in across.items()}}
    return None


def _is_aside(text: str) -> bool:
    return text.startswith(REMARK) or plain(text) in headings_everywhere("notes")
