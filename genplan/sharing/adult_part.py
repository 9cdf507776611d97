"""One adult's part of a kept week: calendar, page and sheets, and nothing of anybody else's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from genplan.case import Case
from genplan.keeping.told import KeptWeek, still_expected
from genplan.language import for_files
from genplan.plan import Plan, Sitting
from genplan.report.adult_page import adult_page
from genplan.report.calendar_bytes import calendar_of
from genplan.report.calendars import collections
from genplan.report.names_and_words import Names
from genplan.report.sheets import sheets_page


@for_files()
def part_of(case: Case, kept: KeptWeek, adult: str, *, off: Sequence[Sitting] = ()) -> dict[str, bytes]:
    """`WEEK/NAME` -> bytes. Learners are called by their aliases. Sheets are those of the sittings that the adult runs
    or teaches in, and the observer's own where the adult counts too; without any there are none. The calendar holds
    cancelled events too, so that importing it takes them away. `kept` is the week as it is in force, `off` what
    was called off since people were told."""
    bare = Plan.of_sittings(kept.week, kept.kept, kept.sittings)
    names = Names(case)
    own = replace(bare, sittings=tuple(s for s in bare.sittings if _needs_a_sheet(names, s, adult)))
    there = replace(bare, sittings=tuple(s for s in bare.sittings if adult in s.adults))
    files = {"week.html": adult_page(case, there, adult, off=off).encode("utf-8")}
    for held in collections(case, kept.week, tuple(still_expected(kept.told, kept.kept))):
        if (held.kind, held.id) == ("adult", adult):
            files["calendar.ics"] = calendar_of(case.timezone, kept.week, held.name, held.entries)
    if own.sittings:
        files["sheets.html"] = sheets_page(case, own, adult=adult).encode("utf-8")
    return {f"{kept.week}/{name}": data for name, data in files.items()}


def _needs_a_sheet(names: Names, sitting: Sitting, adult: str) -> bool:
    counts = sitting.observer == adult and any(p.kind.is_probe for p in sitting.probes)
    return (
        sitting.adult == adult or counts or (sitting.beside == adult and bool(names.taught_beside(sitting)))
    )
