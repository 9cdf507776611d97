"""How far the steps of a probe were kept, as somebody who watched marked it."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from genplan.casefile.diagnostics import InvalidValue
from genplan.evidence.effective_rows import effective_tests
from genplan.evidence.log import Result
from genplan.evidence.sheet_faults import quoted
from genplan.language import N_, _, said

STEPS_KEPT = "steps_kept"
WANTED = N_("steps kept of all that were marked, such as 7/8")
A_DAY_INSTEAD = N_("where a spreadsheet makes a day of it, write '7 of 8'")
_FORM = re.compile(r"([0-9]{1,3})\s*(?:/|of)\s*([0-9]{1,3})", re.ASCII)


def read_steps_kept(text: str) -> tuple[int, int]:
    """Kept, of how many. Raises InvalidValue."""
    found = _FORM.fullmatch(text)
    if not found:
        raise InvalidValue(_("found {text}", text=quoted(text)), said(WANTED), said(A_DAY_INSTEAD))
    kept, marked = int(found[1]), int(found[2])
    if not kept <= marked or not marked:
        raise InvalidValue(_("found {kept} of {marked}", kept=kept, marked=marked), said(WANTED))
    return kept, marked


def as_written(kept: tuple[int, int] | None) -> str:
    """The form in which a cell has it."""
    return f"{kept[0]}/{kept[1]}" if kept else ""


@dataclass(frozen=True, kw_only=True)
class ProcedureKept:
    """Over the probes that one adult ran: `kept` of the `marked` steps in those of the `probes` of which the steps were
    marked, `observed` of them."""

    adult: str
    probes: int
    observed: int
    kept: int
    marked: int

    @property
    def share(self) -> Fraction:
        return Fraction(self.kept, self.marked)


def procedure_kept(results: Iterable[Result]) -> tuple[ProcedureKept, ...]:
    """For each adult of whose probes the steps were marked, in the order of their ids."""
    run: dict[str, list[Result]] = defaultdict(list)
    for row in effective_tests(results):
        run[row.combination[0]].append(row)
    found = []
    for adult, rows in sorted(run.items()):
        seen = [row.steps_kept for row in rows if row.steps_kept and not row.is_watched_by_itself]
        if seen:
            kept, marked = (sum(several) for several in zip(*seen, strict=True))
            found.append(
                ProcedureKept(adult=adult, probes=len(rows), observed=len(seen), kept=kept, marked=marked)
            )
    return tuple(found)
