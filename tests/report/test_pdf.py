"""The sheets as a PDF by an installed browser, and a clear word where there is none."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from genplan.errors import FileError
from genplan.report import pdf
from genplan.report.pdf import browsers, print_to_pdf
from genplan.report.sheets import sheets_page
from tests.fixtures import builders as b


@pytest.fixture
def page(tmp_path: Path) -> Path:
    case = b.a_case()
    file = tmp_path / "sheets.html"
    file.write_text(sheets_page(case, b.a_plan(case)), "utf-8")
    return file


def test_a_page_for_each_person(page: Path, tmp_path: Path) -> None:
    if next(browsers(), None) is None:
        if os.environ.get("CI"):
            pytest.fail("no Chromium: apt-get install chromium", pytrace=False)
        pytest.skip("no Chromium, Chrome or Edge is installed")
    made = tmp_path / "sheets.pdf"
    print_to_pdf(page, made)
    data = made.read_bytes()
    assert data.startswith(b"%PDF")
    # two people of the builders' plan run a sitting each, and nobody observes
    assert len(re.findall(rb"/Type\s*/Page\b", data)) == 2


def test_without_a_browser_it_says_what_to_do(
    page: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pdf, "browsers", lambda: iter(()))
    with pytest.raises(FileError, match="print it from there"):
        print_to_pdf(page, tmp_path / "sheets.pdf")
    assert not (tmp_path / "sheets.pdf").exists()


def test_a_browser_that_fails_leaves_no_file(
    page: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pdf, "browsers", lambda: iter([str(tmp_path / "not-there")]))
    with pytest.raises(FileError, match="could not print"):
        print_to_pdf(page, tmp_path / "sheets.pdf")
    assert not (tmp_path / "sheets.pdf").exists()


def test_a_folder_without_sheets_is_said_so(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="There is no"):
        print_to_pdf(tmp_path / "sheets.html", tmp_path / "sheets.pdf")
