"""The command line is tested without the workflow behind it."""

from __future__ import annotations

import sys

import pytest

import genplan
from tests.fixtures.fake_workflow import FakeWorkflow


@pytest.fixture
def workflow(monkeypatch: pytest.MonkeyPatch) -> FakeWorkflow:
    fake = FakeWorkflow()
    monkeypatch.setitem(sys.modules, "genplan.workflow", fake)
    monkeypatch.setattr(genplan, "workflow", fake, raising=False)
    return fake
