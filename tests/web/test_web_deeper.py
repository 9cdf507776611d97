"""A kept week searched further, as `replan --deeper` does, though more people may have to be told."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from genplan import workflow
from genplan.case import Week
from genplan.web import worker
from genplan.web.long_jobs import planning

WEEK, NOW = Week(2026, 49), datetime(2026, 12, 2, 10)


@pytest.mark.parametrize("deeper", [False, True])
def test_the_search_that_was_asked_for_is_the_one_that_is_run(
    monkeypatch: pytest.MonkeyPatch, deeper: bool
) -> None:
    called: dict[str, Any] = {}
    monkeypatch.setattr(workflow, "plan", lambda *given, **more: called.update(verb="plan"))
    monkeypatch.setattr(
        workflow, "replan", lambda *given, **more: called.update(verb="replan", given=given, **more)
    )

    class Page:
        progress = draft = None

    job = planning(Path("case"), WEEK, 1, NOW, Path("out"), deeper)
    worker.VERBS[job.verb](job.case, WEEK, NOW, job.out, job.asked, Page())  # type: ignore[arg-type]
    assert called["verb"] == ("replan" if deeper else "plan")
    if deeper:
        # nothing is kept by it
        assert called["given"][:5] == (job.case, WEEK, NOW, job.out, False)
        assert called["deeper"] is True
