"""A case folder that was renamed while the page is open is not told as one with nothing in it yet."""

from __future__ import annotations

from pathlib import Path

from genplan.casefile.starter import write_starter
from tests.fixtures.local_server import running


def test_a_folder_that_was_renamed_is_told_to_be_gone(tmp_path: Path) -> None:
    write_starter(tmp_path / "case")
    with running(tmp_path / "case") as local:
        assert local.get("/").status == 200
        (tmp_path / "case").rename(tmp_path / "elsewhere")
        answer = local.get("/")
        assert answer.status == 404
        assert "is gone" in answer.text
        assert "Begin" not in answer.text
        (tmp_path / "elsewhere").rename(tmp_path / "case")
        assert local.get("/").status == 200


def test_a_folder_that_never_was_is_offered_a_case(tmp_path: Path) -> None:
    with running(tmp_path / "case") as local:
        answer = local.get("/")
        assert answer.status == 200
        assert "There is nothing in" in answer.text


def test_it_is_told_whatever_was_looked_at_before(tmp_path: Path) -> None:
    """Also nothing at all, and where the case was made here."""
    write_starter(tmp_path / "case")
    with running(tmp_path / "case") as local:
        (tmp_path / "case").rename(tmp_path / "elsewhere")
        assert "is gone" in local.get("/week").text
    with running(tmp_path / "new") as local:
        assert local.post("/make-case").status == 303
        (tmp_path / "new").rename(tmp_path / "moved")
        assert "is gone" in local.get("/").text
