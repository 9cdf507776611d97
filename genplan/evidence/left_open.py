"""What the rows of a filled sheet leave open though it can only be one thing: the year of a day, the kind of a row that
counts something. It is read so, and said."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date

from genplan.evidence.delimited_text import Row
from genplan.evidence.log import ResultKind
from genplan.evidence.moments import is_year_first
from genplan.evidence.sheet_faults import quoted, read_as
from genplan.findings import Finding, Severity
from genplan.language import _, ngettext
from genplan.language.every_language import meant_in_any
from genplan.language.typed_days import is_long_ago, latest_of_the_year

REASON = "not_run_because"
DONE = "done"
_OF_ANOTHER_KIND = (REASON, DONE)
"""What says by itself that a row is of no probe: the reason why it was not run, the tick of a teaching."""
_OF_A_PROBE = ("correct", "marks")


@dataclass
class LeftOpen:
    """`days` are lines, each with what stands there and the day it was read as; `probes` lines without a kind."""

    file: str
    today: date | None
    has_kind: bool = True
    days: list[tuple[int, str, date]] = field(default_factory=list)
    probes: list[int] = field(default_factory=list)
    without_year: list[Finding] = field(default_factory=list)

    def filled_in(self, row: Row) -> Row:
        """The row with its kind as results.csv has it, in whichever language it was written, and its year."""
        cells = row.cells
        kind = meant_in_any(cells["kind"], [k.value for k in ResultKind])
        if (
            not cells["kind"]
            and any(map(cells.get, _OF_A_PROBE))
            and not any(map(cells.get, _OF_ANOTHER_KIND))
        ):
            kind = ResultKind.PROBE.value
            self.probes.append(row.line)
        told = {"kind": kind} if kind else {}
        if day := self._day(text := cells.get("date", "")):
            told["date"] = day.isoformat()
            if self.today and is_long_ago(day, self.today):
                self.without_year.append(self._asked_for_the_year(row.line, text, day))
            else:
                self.days.append((row.line, text, day))
        return replace(row, cells={**cells, **told}) if told else row

    def _day(self, text: str) -> date | None:
        if self.today and text and not is_year_first(text):
            with suppress(ValueError):  # which the reader of days tells
                return latest_of_the_year(text, self.today)
        return None

    def _asked_for_the_year(self, line: int, text: str, day: date) -> Finding:
        found = _("found {text}, which is still ahead this year", text=quoted(text))
        hint = _("write the year, too: {day} if it was that day", day=day)
        return Finding(self.file, line, "date", found, _("the day on which it was run"), hint)

    def findings(self) -> Iterator[Finding]:
        """Errors and warnings."""
        yield from self.without_year
        if self.days:
            yield read_as(self.file, "date", self.days)
        if self.probes and not self.has_kind:
            found = _("no column 'kind', so each row is read as a probe")
            hint = _("where some are of teaching or were not run, add the column")
            yield Finding(self.file, 1, "", found, "", hint, Severity.WARNING)
        elif self.probes:
            found = ngettext(
                "an empty cell in a row that counts something, read as a probe",
                "an empty cell in {n} rows that count something (this is the first), each read as a probe",
                len(self.probes),
            )
            hint = _("where a row is of another kind, such as teaching, write it there")
            yield Finding(self.file, self.probes[0], "kind", found, "", hint, Severity.WARNING)
