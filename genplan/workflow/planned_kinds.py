"""The kind of a row, taken from what people were told: a check that was planned as maintenance is written down as one,
or it would be due again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.case.targets import ADULT
from genplan.errors import CaseError, FileError, reason_of
from genplan.findings import Finding, Severity
from genplan.language import _, said
from genplan.language.dates import date_words
from genplan.workflow.opened_case import Opened

if TYPE_CHECKING:
    from genplan.evidence.log import ResultKind
    from genplan.evidence.planned_probes import PlannedProbe

KEPT = "weeks"
PLAN_FILE = "plan.csv"
Cells = Mapping[str, str]


def kept_plan(opened: Opened, week: Week) -> Path:
    """Where the table of a kept week is, whether or not it was kept."""
    return opened.folder / KEPT / str(week) / PLAN_FILE


def planned_in(opened: Opened, week: Week) -> tuple[PlannedProbe, ...]:
    """What a kept week holds; nothing if it was not kept. Raises as `read_planned`."""
    from genplan.evidence.planned_probes import read_planned

    file = kept_plan(opened, week)
    return read_planned(file, opened.case) if file.is_file() else ()


@dataclass(frozen=True)
class Meant:
    """Rows as they are to be added, with a sentence for each whose kind the plan decided; `findings` tell of kept plans
    that cannot be read."""

    rows: tuple[Cells, ...]
    said: tuple[str, ...]
    findings: tuple[Finding, ...]


def as_planned(opened: Opened, rows: Sequence[Cells]) -> Meant:
    """The rows, those of probes that the kept plan has as maintenance or baseline as rows of that kind. A probe where a
    teaching was planned stays what it was called, and is told of: a lesson taken for a test counts for what it is
    not."""
    from genplan.evidence.log import ResultKind

    plans = _Plans(opened)
    meant, sentences = [], []
    otherwise: dict[tuple[Week, ResultKind], list[str]] = {}
    for row in rows:
        is_probe = row.get("kind") == ResultKind.PROBE
        if is_probe and (other := plans.other_kind_of(row)):
            kind, kept = other
            row = {**row, "kind": kind.value}
            otherwise.setdefault((kept, kind), []).append(_called(opened.case, row))
        elif is_probe and (week := plans.teaching_on(row)):
            sentences.append(
                _(
                    "The plan of {week} has a teaching there on that day, and this is "
                    "written down as a probe: a test without help. If it was the teaching, "
                    "take the row out of results.csv by hand and add it as one.",
                    week=week,
                )
            )
        meant.append(row)
    told = [_written_otherwise(kept, kind, names) for (kept, kind), names in otherwise.items()]
    return Meant(tuple(meant), (*told, *sentences), tuple(plans.findings))


def _written_otherwise(week: Week, kind: ResultKind, names: Sequence[str]) -> str:
    if len(names) == 1:
        return _(
            "The plan of {kept} has it as a {kind} probe, and so it is written down as one.",
            kept=week,
            kind=said(kind.value),
        )
    return _(
        "The plan of {kept} has {n} of these as {kind}, and so each is written down as that: {names}.",
        kept=week,
        n=len(names),
        kind=said(kind.value),
        names="; ".join(names),
    )


def _called(case: Case, row: Cells) -> str:
    """The day, the skill and with whom, of a row that may hold what cannot be read."""
    target = case.targets.get(row.get("target", ""))
    skill = target.name if target else row.get("target", "")
    adult = row.get(ADULT, "")
    day = _day(row)
    who = case.called(ADULT, adult) if adult in case.adults else adult
    return ", ".join(filter(None, (date_words(day) if day else "", skill, who)))


@dataclass
class _Plans:
    """The kept plans of the weeks that rows speak of, each read once."""

    opened: Opened
    findings: list[Finding] = field(default_factory=list)
    _read: dict[Week, tuple[PlannedProbe, ...]] = field(default_factory=dict)

    def other_kind_of(self, row: Cells) -> tuple[ResultKind, Week] | None:
        """The kind, and the week whose kept plan has the row's probe as maintenance or baseline: on its day, or on
        another of which no row speaks yet."""
        from genplan.evidence.log import ResultKind

        log, day = self.opened.log, _day(row)
        for kind in (ResultKind.MAINTENANCE, ResultKind.BASELINE):
            for planned in self._like(row, day, kind):
                on = planned.start.date()
                if on == day or not log.speaks_of(planned.target, planned.combination, on):
                    return kind, Week.of(on)
        return None

    def teaching_on(self, row: Cells) -> Week | None:
        """The week whose kept plan has a teaching there on the row's day that is not written down yet."""
        from genplan.evidence.log import ResultKind

        log, day = self.opened.log, _day(row)
        for planned in self._like(row, day, ResultKind.TEACHING):
            on = planned.start.date()
            if on == day and not log.speaks_of(planned.target, planned.combination, on, teaching=True):
                return Week.of(on)
        return None

    def _like(self, row: Cells, day: date | None, kind: ResultKind) -> Iterator[PlannedProbe]:
        """What the kept plan of the row's week has of this kind in the row's combination."""
        target = self.opened.case.targets.get(row.get("target", ""))
        if target is None or day is None:
            return
        combination = tuple(row.get(name, "") for name in target.dimension_names)
        for planned in self._of(Week.of(day)):
            if (planned.target, planned.combination, planned.kind) == (target.id, combination, kind):
                yield planned

    def _of(self, week: Week) -> tuple[PlannedProbe, ...]:
        if week not in self._read:
            self._read[week] = self._plan(week)
        return self._read[week]

    def _plan(self, week: Week) -> tuple[PlannedProbe, ...]:
        """A plan that cannot be read must keep nobody from writing down what was run."""
        hint = _("whether a probe was planned as maintenance could not be looked up: say so with the row")
        try:
            return planned_in(self.opened, week)
        except CaseError as error:
            self.findings += [
                replace(f, file=f"{KEPT}/{week}/{f.file}", hint=hint, severity=Severity.WARNING)
                for f in error.findings[:1]
            ]
        except FileError as error:
            why = reason_of(error.__cause__) if isinstance(error.__cause__, OSError) else str(error)
            found = _("a file that cannot be read ({problem})", problem=why)
            self.findings.append(
                Finding(f"{KEPT}/{week}/{PLAN_FILE}", 0, "", found, "", hint, Severity.WARNING)
            )
        return ()


def _day(row: Cells) -> date | None:
    try:
        return date.fromisoformat(row.get("date", ""))
    except ValueError:
        return None
