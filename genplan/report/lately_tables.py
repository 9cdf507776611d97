"""loads.csv and not-held.csv: the last weeks, for programs. Ids everywhere; the row of a sum has `sum` for its week."""

from __future__ import annotations

from collections.abc import Sequence

from genplan.case import Week
from genplan.keeping.loads_lately import AdultsLoad, Load
from genplan.keeping.not_held import NotHeld
from genplan.report.tables import Table, yes_or_no

LOADS, NOT_HELD = FILES = ("loads.csv", "not-held.csv")
SUM = "sum"
LOAD_COLUMNS = (
    *("adult", "week", "told_minutes", "told_sittings", "held_minutes", "held_sittings"),
    *("not_held_minutes", "not_held_sittings", "open_minutes", "open_sittings"),
)
NOT_HELD_COLUMNS = (
    "date",
    "time",
    "learner",
    "adult",
    "location",
    "told",
    "became",
    "reason",
    "whose",
    "id",
    "released",
)


def lately_tables(
    weeks: Sequence[Week], loads: Sequence[AdultsLoad], not_held: Sequence[NotHeld]
) -> dict[str, Table]:
    """File name -> table."""
    rows = [
        [one.adult, week, *_figures(load)]
        for one in loads
        for week, load in zip((*map(str, weeks), SUM), (*one.weeks, one.sum), strict=True)
    ]
    return {
        LOADS: Table.of(LOAD_COLUMNS, rows, LOAD_COLUMNS[2:]),
        NOT_HELD: Table.of(NOT_HELD_COLUMNS, map(_cells, not_held)),
    }


def _figures(load: Load) -> list[int]:
    return [n for a in (load.told, load.held, load.not_held, load.open) for n in (a.minutes, a.sittings)]


def _cells(one: NotHeld) -> list[str]:
    return [
        one.day.isoformat(),
        f"{one.at:%H:%M}" if one.at else "",
        one.learner,
        one.adult,
        one.told.location if one.told else "",
        yes_or_no(True, one.told is not None),
        one.became.value,
        one.reason,
        one.whose.value,
        one.id,
        one.released,
    ]
