"""The words of keep, change, replan and publish, and what each asks for."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

import genplan
from genplan.case import Week
from genplan.cli import main
from genplan.plan import RunReport
from genplan.workflow import ChangeRequest
from tests.fixtures.stand_in import answer, held_to_the_workflow

NOW = datetime(2026, 12, 2, 12)


@held_to_the_workflow
class WeekVerbs:
    """Notes what it was asked and answers with values made by hand."""

    ChangeRequest = ChangeRequest

    def __init__(self) -> None:
        self.asked: tuple[Any, ...] = ()

    def keep(self, *words: Any) -> Any:
        from genplan.workflow import Kept as True_

        self.asked = words[:-1]
        return True_(self._case(), Week(2026, 49), Path("x/weeks/2026-W49"), True, (), ())

    def change(self, *words: Any) -> str:
        self.asked = words
        return "Added to changes.yaml: Mum is away, Wednesday 2 December."

    def told_weeks(self, folder: Path, now: Any) -> Any:
        return ()

    def replan(self, *words: Any, deeper: bool = False) -> Any:
        self.asked = (*words[:-1], deeper)
        return self._outcome(), None

    def plan_weeks(self, *words: Any) -> Any:
        self.asked = words[:-1]
        return (self._outcome(),) * words[2]

    def publish(self, *words: Any, **how: bool) -> Any:
        self.asked = (*words[:-1], *(name for name, said in how.items() if said))
        return answer("Published", lines=("Mum: 1 new.",), findings=())

    def _case(self) -> Any:
        from tests.fixtures.tiny import tiny_case

        return tiny_case()

    def _outcome(self) -> Any:
        from tests.fixtures.tiny import tiny_plan

        run = RunReport({"reading": 0.1}, {}, {})
        return answer(
            "PlanOutcome",
            case=self._case(),
            plan=tiny_plan(),
            findings=(),
            differences=(),
            kept=None,
            run=run,
            about_week=(),
            deeper=None,
            log=NO_LOG,
        )


NO_LOG = SimpleNamespace(results=())


@pytest.fixture
def fake(monkeypatch: pytest.MonkeyPatch) -> WeekVerbs:
    import genplan.workflow as true

    one = WeekVerbs()
    one.Kept = true.Kept  # type: ignore[attr-defined]
    monkeypatch.setattr(genplan, "workflow", one)
    return one


@pytest.mark.parametrize(
    ("words", "asked"),
    [
        (["keep", "c", "--from", "out"], (Path("c"), None, Path("out"), None)),
        (
            ["keep", "c", "--week", "2026-W49", "--now", "2026-12-02T12:00"],
            (Path("c"), Week(2026, 49), None, NOW),
        ),
        (["replan", "c"], (Path("c"), None, None, None, False, False)),
        (["replan", "c", "--keep", "--out", "o"], (Path("c"), None, None, Path("o"), True, False)),
        (["replan", "c", "--deeper"], (Path("c"), None, None, None, False, True)),
        (["plan", "c", "--weeks", "4", "--out", "o"], (Path("c"), None, 4, None, Path("o"))),
        (["publish", "c", "--url", "https://x/", "--user", "me"], (Path("c"), "https://x/", "me", None)),
        (["publish", "c", "--put-back"], (Path("c"), None, None, None, "put_back")),
        (["publish", "c", "--withdraw"], (Path("c"), None, None, None, "withdraw")),
    ],
)
def test_the_words_reach_the_call(fake: WeekVerbs, words: list[str], asked: tuple[Any, ...]) -> None:
    assert main(words) == 0
    assert fake.asked == asked


@pytest.mark.parametrize(
    ("words", "fact"),
    [
        (["--away", "mum"], ("away", "mum", None, None, "")),
        (
            ["--closed", "park", "--from", "2026-12-02T12:00", "--to", "2026-12-03"],
            ("closed", "park", NOW, datetime(2026, 12, 4), ""),
        ),
        (
            ["--missing-set", "hats", "--from", "2026-12-02"],
            ("missing", "hats", datetime(2026, 12, 2), None, ""),
        ),
        (["--extra-hour", "mum", "tue 16:00-17:00"], ("extra", "mum", None, None, "tue 16:00-17:00")),
    ],
)
def test_a_change_is_one_fact(
    monkeypatch: pytest.MonkeyPatch,
    words: list[str],
    fact: tuple[Any, ...],
    capsys: pytest.CaptureFixture[str],
) -> None:
    import genplan.workflow as true

    asked: list[Any] = []
    monkeypatch.setattr(true, "change", lambda *given: asked.append(given) or "Added.")
    monkeypatch.setattr(true, "told_weeks", lambda *given: ())
    assert main(["change", "c", *words, "--note", "why"]) == 0
    request = asked[0][1]
    assert (request.what, request.id, request.start, request.end, request.hours) == fact
    assert request.note == "why"
    assert "genplan replan c" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["change", "c"], "required"),
        (["change", "c", "--away", "mum", "--closed", "park"], "not allowed with"),
        (
            ["change", "c", "--hold", "a", "--not", "b", "--rather", "mum"],
            "Argument --not: not allowed with argument --hold: one command takes one fact or wish. Give each a command"
            " of its own, or write several into a sheet of changes and read it: 'genplan tables read changes.csv CASE'."
            " See 'genplan change --help'.",
        ),
        (["change", "c", "--away", "mum", "--from", "soon"], "is not a date such as 2026-12-01"),
        (
            ["change", "c", "--extra-hour", "mum", "tue 16:00-17:00", "--to", "2026-12-03"],
            "leave --from and --to out",
        ),
        (["plan", "c", "--weeks", "0"], "from 1 to 26"),
        (["plan", "c", "--weeks", "27"], "from 1 to 26"),
        (["publish", "c", "--pasword", "x"], "not known here"),
        (["publish", "c", "--put-back", "--withdraw"], "not allowed with"),
    ],
)
def test_words_that_make_no_sense(words: list[str], told: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(words) == 2
    assert told in capsys.readouterr().err


def test_what_is_kept_says_where_the_files_are(fake: WeekVerbs, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["keep", "c"]) == 0
    out = capsys.readouterr().out
    assert "Nothing changes for anybody." in out
    assert f"Hand out the files in {Path('x/weeks/2026-W49/calendars')}." in out
