"""Ctrl+C while a week is searched, at lines of progress instead of moments: what is written, and what is said."""

from __future__ import annotations

import json
import os
import signal
from collections.abc import Iterator
from pathlib import Path
from shutil import copytree

import pytest

from genplan.cli import STOPPED, main, output
from genplan.cli.interrupts import HEARD, NO_ANSWER
from tests.fixtures.light_case import light_family
from tests.fixtures.nightly import by_day_the_first

pytestmark = pytest.mark.skipif(os.name != "posix", reason="an interrupt is a signal there")

WEEK = ("--week", "2026-W49", "--now", "2026-11-29T12:00")
TUESDAY = "2026-12-01T12:00"


@pytest.fixture(scope="module")
def family(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example, in which the solver works little: nothing here hangs on what is found."""
    return light_family(tmp_path_factory.mktemp("family") / "case")


@pytest.fixture(autouse=True)
def _as_from_a_terminal() -> Iterator[None]:
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler  # as it was found
    signal.signal(signal.SIGINT, before)


class Interrupting(output.Progress):
    """Ctrl+C at each of these lines of progress; counted from 1."""

    def __init__(self, *at: int) -> None:
        super().__init__()
        self.lines, self.at = 0, at

    def __call__(self, text: str) -> None:
        self.lines += 1
        if self.lines in self.at:
            os.kill(os.getpid(), signal.SIGINT)  # as a terminal does: the main thread hears it


def plan(monkeypatch: pytest.MonkeyPatch, family: Path, out: Path, *words: str, at: tuple[int, ...]) -> int:
    monkeypatch.setattr(output, "progress", Interrupting(*at))
    return main(["plan", str(family), *WEEK, "--out", str(out), *words])


@pytest.mark.parametrize("line", by_day_the_first([1, 9, 3], 2))
def test_the_first_gives_the_best_so_far(
    family: Path,
    line: int,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    out = tmp_path / "out"
    assert plan(monkeypatch, family, out, at=(line,)) == 130
    shown, said = capfd.readouterr()
    assert HEARD in said
    assert f"What you see is the best week found by then and was written to {out}." in said
    assert "stopped by hand before its end" in shown
    assert json.loads((out / "plan.json").read_bytes())["sittings"]


@pytest.mark.parametrize(("words", "at"), [((), (2, 3)), (("--interrupt", "nothing"), (2,))])
def test_the_second_and_one_that_wants_nothing_leave_all_files_as_they_were(
    family: Path,
    words: tuple[str, ...],
    at: tuple[int, ...],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "plan.json").write_text("of before", "utf-8")
    assert plan(monkeypatch, family, out, *words, at=at) == 130
    shown, said = capfd.readouterr()
    assert shown == ""
    assert said.endswith(f"No week was ready yet. {out} is as it was.\n")
    assert [p.name for p in out.iterdir()] == ["plan.json"]
    assert (out / "plan.json").read_text("utf-8") == "of before"


def test_what_is_stopped_says_what_it_does_still_and_that_it_replaced_a_plan(
    family: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    class Listening(Interrupting):
        lines_said: tuple[str, ...] = ()

        def __call__(self, text: str) -> None:
            self.lines_said += (text.partition(";")[0],)
            super().__call__(text)

    out, heard = tmp_path / "out", Listening(2)
    out.mkdir()
    (out / "plan.json").write_text("of before", "utf-8")
    monkeypatch.setattr(output, "progress", heard)
    assert main(["plan", str(family), *WEEK, "--out", str(out)]) == 130
    assert f"was written to {out}, in the place of a plan that was there before." in capfd.readouterr().err
    after = (
        "looking for who can observe",
        "looking for why the rest is left out",
        "checking the plan against every rule once more",
        "writing the files",
    )
    assert heard.lines_said[-4:] == after


def test_several_weeks_say_how_many_there_are(
    family: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    assert plan(monkeypatch, family, out, "--weeks", "3", at=(4,)) == 130
    said = capfd.readouterr().err
    assert f"What you see is 1 of 3 weeks, the last as it was found by then and was written to {out}." in said
    assert [p.name for p in out.iterdir()] == ["2026-W49"]


@pytest.fixture(scope="module")
def told(family: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A case with a kept week."""
    folder = copytree(family, tmp_path_factory.mktemp("told") / "case")
    assert main(["keep", str(folder), *WEEK]) == 0
    return folder


def replan(monkeypatch: pytest.MonkeyPatch, folder: Path, out: Path, *, at: int) -> int:
    monkeypatch.setattr(output, "progress", Interrupting(at))
    return main(["replan", str(folder), "--now", TUESDAY, "--keep", "--out", str(out)])


def test_a_week_that_was_cut_short_is_written_and_not_kept(
    told: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    folder, out = copytree(told, tmp_path / "case"), tmp_path / "out"
    away = ("--away", "nan", "--from", "2026-12-02", "--to", "2026-12-04")
    assert main(["change", str(folder), *away, "--now", TUESDAY]) == 0
    assert replan(monkeypatch, folder, out, at=1) == 130
    shown, said = capfd.readouterr()
    assert "stopped by hand before its end" in shown
    assert "It was not kept: what people were told before still stands." in said
    assert json.loads((out / "plan.json").read_bytes())["sittings"]
    kept = Path("weeks", "2026-W49", "told.json")
    assert (folder / kept).read_bytes() == (told / kept).read_bytes()


def test_an_interrupt_after_all_was_found_cuts_nothing_short(
    told: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """Nothing is to be looked for in a week that is as it was told: its second line comes after the search."""
    folder, out = copytree(told, tmp_path / "case"), tmp_path / "out"
    assert replan(monkeypatch, folder, out, at=2) == 0
    shown, said = capfd.readouterr()
    assert HEARD in said
    assert "stopped by hand" not in shown
    assert f"Kept in {folder}" in shown
    assert json.loads((out / "plan.json").read_bytes())["repeatable"] is True


@pytest.mark.parametrize("command", ["keep", "why", "forecast"])
def test_what_has_no_half_answer_ends_with_a_sentence(
    family: Path,
    command: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    folder = copytree(family, tmp_path / "case")
    monkeypatch.setattr(output, "progress", Interrupting(2))
    assert main([command, str(folder), *WEEK]) == 130
    shown, said = capfd.readouterr()
    assert shown == ""
    assert said == f"{STOPPED if command == 'keep' else NO_ANSWER}\n"
    assert not (folder / "weeks").exists()
