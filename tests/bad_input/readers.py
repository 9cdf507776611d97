"""Every reader of what a user hands over, each as a function of the bytes alone: whatever these are, it gives back
findings or a value, and raises nothing that is no sentence."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from genplan.case import Case, Week
from genplan.casefile import load
from genplan.casefile.busy import busy_in
from genplan.casefile.guard import Refused
from genplan.errors import CaseError, FileError, UsageError
from genplan.evidence.filled import read_filled
from genplan.evidence.log import Log
from genplan.evidence.record import append_results
from genplan.evidence.results import parse_results
from genplan.findings import Finding, Severity
from genplan.keeping.store import read_kept
from genplan.planning.ground import needs_of

WEEK = Week.parse("2026-W49")
NOW = datetime(2026, 11, 29, 12)
SENTENCES = (CaseError, FileError, UsageError)


@dataclass(frozen=True)
class Readers:
    """`folder` is one to work in; `case` is the case that results, sheets and kept weeks speak of."""

    folder: Path
    case: Case

    def case_text(self, data: bytes) -> tuple[Finding, ...]:
        """A case as one file. What loads can be planned for, and what does not is told why."""
        loaded = load(self.folder, {"case.yaml": data})
        assert (loaded.case is None) == any(f.severity is Severity.ERROR for f in loaded.findings)
        if loaded.case is not None:
            assert loaded.case.targets
            needs_of(loaded.case, Log(), WEEK, NOW.replace(tzinfo=loaded.case.timezone))
        return loaded.findings

    def results(self, data: bytes) -> tuple[Finding, ...]:
        """results.csv; what could be read of it can be planned with."""
        _, log, findings = parse_results(data, self.case, NOW)
        needs_of(self.case, log, WEEK, NOW.replace(tzinfo=self.case.timezone))
        return findings

    def filled(self, data: bytes) -> tuple[Finding, ...]:
        """A filled sheet; what is read of it can be added to results.csv and read there."""
        (self.folder / "filled.csv").write_bytes(data)
        (self.folder / "results.csv").unlink(missing_ok=True)
        try:
            sheet = read_filled(self.folder / "filled.csv", self.case, Log())
            if sheet.rows:
                append_results(self.folder, self.case, sheet.rows, NOW)
        except CaseError as error:
            return error.findings
        return sheet.warnings

    def kept(self, data: bytes) -> tuple[Finding, ...]:
        """told.json of a week."""
        file = self.folder / "weeks" / str(WEEK) / "told.json"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)
        try:
            read_kept(self.folder, WEEK, self.case)
        except CaseError as error:
            return error.findings
        return ()

    def calendar(self, data: bytes) -> tuple[Finding, ...]:
        """A busy calendar, without the process around it that would end whatever takes too long."""
        findings: list[Finding] = []
        try:
            busy_in(data, "mum.ics", self.case.timezone, WEEK, findings)
        except Refused as problem:
            findings.append(
                Finding("mum.ics", problem.line, "", problem.found, problem.expected, problem.hint)
            )
        return tuple(findings)

    def all(self) -> Mapping[str, Callable[[bytes], tuple[Finding, ...]]]:
        """Each by what it reads."""
        return {
            "case": self.case_text,
            "results": self.results,
            "filled": self.filled,
            "kept": self.kept,
            "calendar": self.calendar,
        }
