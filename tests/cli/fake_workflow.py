"""A workflow that notes what it was asked and answers with values made by hand."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from stand_in import answer, held_to_the_workflow

sys.path.insert(0, str(Path(__file__).parents[1] / "report"))

from genplan.findings import Finding, Severity
from genplan.plan import RunReport
from genplan.workflow import RecordRequest
from genplan.workflow.opening import known

WARNING = Finding("case.yaml", 3, "adults.mum", "no free hours", "some", "", Severity.WARNING)
ERROR = Finding("case.yaml", 7, "adults.dad.free", "'25:00'", "a time up to 24:00", "write 24:00")


@held_to_the_workflow
@dataclass
class FakeWorkflow:
    """Answers every call; `raises` is raised instead. `asked` holds the arguments of the last call."""

    findings: tuple[Finding, ...] = ()
    log: Any = field(default_factory=lambda: SimpleNamespace(results=()))
    raises: BaseException | None = None
    asked: tuple[Any, ...] = ()
    RecordRequest: Callable[..., Any] = field(default=RecordRequest)

    def _note(self, *arguments: Any) -> None:
        self.asked = arguments
        if self.raises:
            raise self.raises

    def check(self, folder: Path, now: Any) -> tuple[Finding, ...]:
        self._note(folder)
        return self.findings

    def new(self, folder: Path) -> list[Path]:
        self._note(folder)
        return [folder / "case.yaml", folder / "results.csv"]

    def matrix(self, folder: Path, now: Any, learner: Any = None, target: Any = None) -> Any:
        from tiny import tiny_case, tiny_plan

        self._note(folder, now)
        case, plan = tiny_case(), tiny_plan()
        for kind, word, ids in (("target", target, case.targets), ("learner", learner, case.learners)):
            if word is not None:
                known(kind, word, ids)
        rows = tuple(r for r in plan.matrix if target in (None, r.target) and learner in (None, r.learner))
        return answer("MatrixView", case=case, rows=rows, planned=plan.planned(), findings=self.findings)

    def record(self, folder: Path, entry: Any, now: Any, sure: Any) -> Any:
        self._note(folder, entry, now)
        return answer("RecordOutcome", sentence="One row was added to results.csv.", findings=self.findings)

    def plan(self, folder: Path, week: Any, now: Any, out: Any, progress: Callable[[str], None]) -> Any:
        from tiny import tiny_case, tiny_plan

        self._note(folder, week, now, out)
        progress("Reading the case")
        run = RunReport({"reading": 0.04, "solving": 1.26}, {}, {})
        return answer(
            "PlanOutcome",
            case=tiny_case(),
            plan=tiny_plan(),
            findings=self.findings,
            run=run,
            kept=None,
            differences=(),
            log=self.log,
            about_week=(),
        )
