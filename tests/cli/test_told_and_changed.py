"""What people were told of and can no longer be held is said by every command after which somebody would hand it on."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan.cli import main
from tests.fixtures.small_case import small_case

NOW = ["--now", "2026-11-29T12:00"]
LOST = "Week 2026-W49, as people were told of it:"


@pytest.fixture
def kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    """The week is kept by the command that `plan` names; then the child is said to be kept from the hats."""
    case, out = small_case(tmp_path / "our case"), tmp_path / "out"
    assert main(["plan", str(case), "--week", "2026-W49", "--out", str(out), *NOW]) == 0
    named = f"genplan keep '{case}' --from {out}"
    assert named in capsys.readouterr().out
    assert main(["keep", str(case), "--from", str(out), *NOW]) == 0
    text = (case / "case.yaml").read_text("utf-8")
    text = text.replace("born:", "allergens: [egg], born:")
    (case / "case.yaml").write_text(text.replace("Three hats}", "Three hats, allergens: [egg]}"), "utf-8")
    capsys.readouterr()
    return case


def test_check_says_so(kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(kept), *NOW]) == 0
    told = capsys.readouterr().out
    assert LOST in told
    assert f"genplan week '{kept}' --week 2026-W49" in told


def test_check_names_who_is_not_briefed(kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (kept / "case.yaml").read_text("utf-8")
    (kept / "case.yaml").write_text(text.replace("gran: {", "gran: {briefed_on: [], "), "utf-8")
    main(["check", str(kept), *NOW])
    told = capsys.readouterr().out
    assert "Not briefed on these skills, and how much a briefing would open:\n  Gran: L., " in told


def test_what_is_handed_on_says_so(kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["share", str(kept), "--adult", "gran", "--out", str(kept.parent / "gran"), *NOW]) == 0
    assert LOST in capsys.readouterr().out


def test_tables_that_bring_an_allergy_say_so(kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (kept / "case.yaml").write_text(
        (kept / "case.yaml").read_text("utf-8").replace("[egg], born", "[], born")
    )
    sheets = kept.parent / "sheets"
    sheets.mkdir()
    (sheets / "children.csv").write_text("id,name,allergens\nlark,Lark Fernwhistle,egg\n", "utf-8")
    words = ["tables", "read", str(sheets), str(kept), *NOW]
    assert main(words) == 0
    assert LOST not in capsys.readouterr().out, "nothing is written yet"
    assert main([*words, "--write"]) == 0
    assert LOST in capsys.readouterr().out
