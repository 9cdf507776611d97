"""The two keys of a policy with their sentences; and the same bytes with both policies on."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan.casefile import load
from genplan.findings import Severity
from tests.fixtures.planned_files import files_of
from tests.fixtures.random_cases import random_case, random_log, write_case


def with_policy(folder: Path, **keys: object) -> Path:
    """A random case of two children, with these keys of its policy."""
    case = random_case(8, learners=2, adults=3, targets=2, oddity=0.2)
    write_case(case, folder, random_log(case, 8, 1.0))
    file = folder / "case.yaml"
    text = file.read_text("utf-8")
    assert "policy:\n" in text
    lines = "".join(f"  {key}: {value}\n" for key, value in keys.items())
    file.write_text(text.replace("policy:\n", f"policy:\n{lines}", 1), "utf-8")
    return folder


@pytest.mark.parametrize(("written", "share"), [("0.2", 0.2), ("0", 0.0), ("1", 1.0), ("0.125", 0.125)])
def test_a_share(tmp_path: Path, written: str, share: float) -> None:
    loaded = load(with_policy(tmp_path / "case", observed_share=written))
    assert loaded.case is not None
    assert loaded.case.policy.observed_share == share


@pytest.mark.parametrize(
    ("key", "written", "expected", "hint"),
    [
        ("observed_share", "1.5", "a number from 0 to 1, such as 0.2", ""),
        ("observed_share", "-0.2", "a number from 0 to 1, such as 0.2", ""),
        ("observed_share", "20", "a number from 0 to 1, such as 0.2", "write 0.2 for 20 %"),
        ("observed_share", "20%", "a number from 0 to 1, such as 0.2", "write 0.2 for 20 %"),
        ("observed_share", "0,2", "a number from 0 to 1, such as 0.2", "write the decimals after a point"),
        (
            "observed_share",
            "'0.2'",
            "a number from 0 to 1, such as 0.2",
            "write the number without quotation marks",
        ),
        ("accompany_new_adults", "maybe", "yes or no", ""),
    ],
)
def test_a_value_that_is_none_is_an_error_on_its_line(
    tmp_path: Path, key: str, written: str, expected: str, hint: str
) -> None:
    folder = with_policy(tmp_path / "case", **{key: written})
    line = next(
        i for i, t in enumerate((folder / "case.yaml").read_text("utf-8").splitlines(), 1) if f" {key}:" in t
    )
    (found,) = [f for f in load(folder).findings if f.severity is Severity.ERROR]
    assert (found.line, found.key, found.expected) == (line, f"policy.{key}", expected)
    assert hint in (found.hint or "")


@pytest.mark.nightly
def test_hash_seeds_decide_nothing(tmp_path: Path) -> None:
    folder = with_policy(tmp_path / "case", observed_share=0.5, accompany_new_adults="yes")
    first = files_of(folder, tmp_path / "a", "0")
    assert b"observer" in first["plan.csv"]
    assert b"companion" in first["plan.csv"]
    assert files_of(folder, tmp_path / "b", "1") == first
