"""The command line is tested without the workflow behind it."""

from __future__ import annotations

import sys

import pytest
from fake_workflow import FakeWorkflow

import genplan


@pytest.fixture
def workflow(monkeypatch: pytest.MonkeyPatch) -> FakeWorkflow:
    fake = FakeWorkflow()
    monkeypatch.setitem(sys.modules, "genplan.workflow", fake)
    monkeypatch.setattr(genplan, "workflow", fake, raising=False)
    return fake
