"""What tests of several rooms ask for by name."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.fixtures.calendar_server import Server, calendar_server


@pytest.fixture(scope="session")
def radicale(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    with calendar_server(tmp_path_factory.mktemp("radicale")) as server:
        yield server
