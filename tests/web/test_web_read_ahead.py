"""The first screen is read before anybody asks for it: once, and whoever asks sooner waits."""

from __future__ import annotations

from pathlib import Path
from threading import Event, Thread
from typing import Any

import pytest

from genplan.casefile import loading
from genplan.web.reading_ahead import read_ahead
from tests.fixtures.local_server import running
from tests.fixtures.small_case import small_case


def test_the_first_screen_finds_what_was_read_ahead(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    judged, really = list[Path](), loading._judged

    def counting(folder: Path, *others: Any) -> loading.Loaded:
        judged.append(folder)
        return really(folder, *others)

    monkeypatch.setattr(loading, "_judged", counting)
    small_case(tmp_path / "case")
    with running(tmp_path / "case") as local:
        read_ahead(local.site)
        assert local.get("/").status == 200
    assert len(judged) == 1


def test_who_asks_sooner_waits(tmp_path: Path) -> None:
    small_case(tmp_path / "case")
    read, order = Event(), list[str]()

    def reads() -> None:
        read.wait(60)
        order.append("read")

    with running(tmp_path / "case") as local:
        local.site.ahead = Thread(target=reads, daemon=True)
        local.site.ahead.start()

        def asks() -> None:
            local.get("/help")
            order.append("answered")

        asking = Thread(target=asks)
        asking.start()
        asking.join(0.5)
        assert order == []
        read.set()
        asking.join(60)
    assert order == ["read", "answered"]


def test_what_cannot_be_read_is_told_by_the_screen(tmp_path: Path) -> None:
    (tmp_path / "case").mkdir()
    (tmp_path / "case" / "case.yaml").write_text("format: 1\nlearners: [\n", "utf-8")
    with running(tmp_path / "case") as local:
        read_ahead(local.site)
        shown = local.get("/")
    assert shown.status == 422
    assert "case.yaml:" in shown.text
