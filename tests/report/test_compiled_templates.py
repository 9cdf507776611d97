"""A template is turned into code once, and anew where its text is another or what was kept is broken."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from jinja2 import Environment, FileSystemLoader

from genplan.report.compiled_templates import CompiledTemplates


@pytest.fixture(autouse=True)
def kept_beside(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    monkeypatch.setattr(sys, "pycache_prefix", None)


def said(folder: Path, kind: str = "page", *, compiling: bool = True) -> str:
    class Reading(Environment):
        def _compile(self, source: str, filename: str) -> object:
            assert compiling, "it was turned into code although it was kept"
            return super()._compile(source, filename)  # type: ignore[no-untyped-call]

    cache = CompiledTemplates(kind, folder)
    return Reading(loader=FileSystemLoader(folder), bytecode_cache=cache).get_template("a/b.html").render(x=1)


def template(folder: Path, text: str = "<p>{{ x }}</p>") -> Path:
    file = folder / "a" / "b.html"
    file.parent.mkdir(exist_ok=True)
    file.write_text(text, "utf-8")
    return file


def kept(folder: Path) -> list[Path]:
    return sorted((folder / "__pycache__").glob("*"))


def test_it_is_turned_into_code_once(tmp_path: Path) -> None:
    template(tmp_path)
    assert said(tmp_path) == said(tmp_path, compiling=False) == "<p>1</p>"
    assert [f.name for f in kept(tmp_path)] == [f"page-a-b.html.{sys.implementation.cache_tag}.jinja"]


def test_another_text_is_turned_into_code_anew(tmp_path: Path) -> None:
    template(tmp_path)
    said(tmp_path)
    template(tmp_path, "<b>{{ x }}</b>")
    assert said(tmp_path) == said(tmp_path, compiling=False) == "<b>1</b>"
    assert len(kept(tmp_path)) == 1


def test_two_kinds_of_page_have_their_own(tmp_path: Path) -> None:
    template(tmp_path)
    said(tmp_path)
    with pytest.raises(AssertionError):
        said(tmp_path, "screen", compiling=False)


@pytest.mark.parametrize("left", [0, 10, 40, -1])
def test_what_is_broken_is_made_anew(tmp_path: Path, left: int) -> None:
    template(tmp_path)
    said(tmp_path)
    (file,) = kept(tmp_path)
    file.write_bytes(file.read_bytes()[:left])
    assert said(tmp_path) == said(tmp_path, compiling=False) == "<p>1</p>"


def test_a_byte_that_is_another_is_noticed(tmp_path: Path) -> None:
    template(tmp_path)
    said(tmp_path)
    (file,) = kept(tmp_path)
    data = bytearray(file.read_bytes())
    data[-20] ^= 1
    file.write_bytes(data)
    assert said(tmp_path) == "<p>1</p>"


def test_nothing_is_kept_where_python_keeps_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    template(tmp_path)
    assert said(tmp_path) == "<p>1</p>"
    assert kept(tmp_path) == []


def test_where_nothing_can_be_written_it_goes_on_without(tmp_path: Path) -> None:
    template(tmp_path)
    (tmp_path / "__pycache__").write_text("a file in the place of the folder", "utf-8")
    assert said(tmp_path) == said(tmp_path) == "<p>1</p>"


def test_a_place_that_is_taken_leaves_nothing_half_written(tmp_path: Path) -> None:
    template(tmp_path)
    said(tmp_path)
    (file,) = kept(tmp_path)
    file.unlink()
    file.mkdir()
    assert said(tmp_path) == "<p>1</p>"
    assert kept(tmp_path) == [file]
