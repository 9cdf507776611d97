"""The forecast in words and as a table: what is there is told, and what is not is not claimed."""

from __future__ import annotations

import csv
import io
import random
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest

from genplan import cli
from genplan.case import Case, Week, Wish
from genplan.cli.argument_types import weeks_or_none
from genplan.forecast import (
    Assumptions,
    BottleneckKind,
    Forecast,
    HeldUp,
    Milestone,
    TargetForecast,
    Verdict,
    WishForecast,
)
from genplan.forecast.rates import Rate
from genplan.forecast.values import BEFORE
from genplan.report.forecast_lines import forecast_lines
from genplan.report.forecast_table import FORECAST_COLUMNS, forecast_table
from genplan.report.forecast_words import held_up_sentence, milestone_sentences, verdict_words
from genplan.report.tables import csv_bytes
from genplan.rules.limits import Kind, Limit
from tests.fixtures.planning_cases import ZONE, product_case
from tests.fixtures.small_case import small_case

CASE = product_case((2, 2, 2))
WEEKS = tuple(Week(2026, n) for n in (49, 50, 51, 52))
DONE = Milestone(True, -1, (1.0,) * 4)
NEVER = Milestone(False, None, (0.0,) * 4)
SURE = Milestone(False, 1, (0.0, 1.0, 1.0, 1.0))
SPREAD = Milestone(False, 0, (0.2, 0.6, 0.8, 0.95))
WIDE = Milestone(False, 0, (0.05, 0.3, 0.55, 0.7))


def a_forecast(**changes: object) -> Forecast:
    place = next(iter(CASE.locations))
    wish = WishForecast(
        wish=Wish({"location": place}, date(2026, 12, 11)),
        by=date(2026, 12, 11),
        done=False,
        line=date(2026, 12, 9),
        tried=0.62,
        met=0.4,
        beyond=False,
        held_up=HeldUp(by=BottleneckKind.RETESTS),
    )
    target = TargetForecast(
        learner="wren",
        target="skill",
        rate=Rate(3, 1),
        drawn=(0.4, 0.9),
        coverage=SPREAD,
        generalised=SURE,
        out_of_reach=False,
        wishes=(wish,),
        coverage_held_up=HeldUp(
            by=BottleneckKind.ADULT,
            weeks=2,
            of=3,
            limit=Limit(Kind.ADULT_MINUTES_PER_WEEK, adult=next(iter(CASE.adults)), figure=10),
        ),
    )
    told = replace(target, **changes)  # type: ignore[arg-type]
    return Forecast(
        now=datetime(2026, 11, 29, 12, tzinfo=ZONE),
        weeks=WEEKS,
        targets=(told,),
        assumptions=Assumptions(teaching_weeks=2, courses=300, seed=1, told_before=False),
    )


def told_of(milestone: Milestone) -> str:
    return " ".join(milestone_sentences(a_forecast(), milestone))


def test_each_kind_of_range_is_told_with_its_dates() -> None:
    assert told_of(DONE) == "already."
    assert (
        told_of(NEVER) == "not within the 4 weeks looked at, as they are planned, even if every probe is met."
    )
    assert told_of(SURE) == (
        "in 2 weeks, by Sunday 13 December (2026-W50), if every probe is met."
        " Just as soon in 100 % of the simulated courses."
    )
    # 0.2 in W49, 0.4 in W50, 0.2 in W51, 0.15 in W52 and 0.05 later: the first three are 8 of 10
    assert told_of(SPREAD) == (
        "in 1 week, by Sunday 6 December (2026-W49), if every probe is met. In about 8 of 10 simulated courses"
        " (80 %) between Sunday 6 December (2026-W49) and Sunday 20 December (2026-W51), in half by Sunday 13 December"
        " (2026-W50)."
    )
    assert told_of(WIDE).endswith(
        "By Sunday 20 December (2026-W51) in half of the simulated courses; in 30 % it takes"
        " longer than the weeks looked at."
    )
    assert told_of(replace(WIDE, shares=(0.1, 0.2, 0.3, 0.4))).endswith(
        "In 60 % of the simulated courses it takes longer than the weeks looked at."
    )


@pytest.mark.parametrize(
    ("tried", "verdict"),
    [
        (0.95, Verdict.YES),
        (0.9, Verdict.YES),
        (0.89, Verdict.AT_RISK),
        (0.1, Verdict.AT_RISK),
        (0.09, Verdict.NO),
    ],
)
def test_where_a_date_turns(tried: float, verdict: Verdict) -> None:
    (wish,) = a_forecast().targets[0].wishes
    assert replace(wish, tried=tried).verdict is verdict
    assert replace(wish, tried=tried, done=True).verdict is Verdict.YES


def test_the_whole_of_it() -> None:
    text = "\n".join(forecast_lines(CASE, a_forecast()))
    for said in (
        "Forecast for the 4 weeks from Monday 30 November (2026-W49) to Sunday 27 December 2026 (2026-W52)",
        "At risk; all met in 40 %: W., A skill: ",
        "in time in 62 % of the simulated courses. By then all of it is also met in 40 %",
        "What holds it up most: retests: what is not met comes again, before what is new.",
        "  Every pair tried: in 1 week",
        "  What holds it up most: a0-0's 10 minutes of the week are used up (in 2 of the 3 weeks until then).",
        "  So far: 3 of 4 probes met; 8 of 10 simulated courses take a mean rate from 40 % to 90 %.",
        "taken to need 2 weeks of teaching after its week (--taught-within)",
        "300 courses are simulated (seed 1).",
        "no source",
        "every planned probe is run",
    ):
        assert said in text
    assert "told of" not in text
    assert "other learner" not in text


def test_of_several_children_one_line_each_comes_first() -> None:
    found = a_forecast()
    assert "At a glance" not in "\n".join(forecast_lines(CASE, found))
    (own,) = found.targets
    case = replace(
        CASE, learners={**CASE.learners, "zoe": replace(CASE.learners[own.learner], id="zoe", alias="Z.")}
    )
    never = replace(own, learner="zoe", wishes=(), coverage=replace(own.coverage, done=False, line=None))
    lines = list(forecast_lines(case, replace(found, targets=(own, never))))
    at = lines.index("At a glance, if every probe is met")
    assert lines[at + 2 : at + 4] == [
        "W.: 1 of 1 target tried in full; 1 date at risk or not in time.",
        "Z.: 0 of 1 target tried in full.",
    ]


def test_a_date_that_holds_for_trying_says_how_seldom_all_is_met() -> None:
    (wish,) = a_forecast().targets[0].wishes
    assert verdict_words(replace(wish, tried=1.0, met=0.07)) == "tried in time; all met in 7 %"
    assert verdict_words(replace(wish, done=True, met=0.07)) == "tried in time; all met in 7 %"
    assert verdict_words(replace(wish, tried=0.0, met=0.0)) == "not tried in time"


def test_what_is_out_of_reach_finished_or_nothing_at_all() -> None:
    text = "\n".join(forecast_lines(CASE, a_forecast(generalised=None, out_of_reach=True, wishes=())))
    assert "Generalised: out of reach as the case stands." in text
    assert "in time" not in text
    finished = "\n".join(forecast_lines(CASE, a_forecast(generalised=DONE, coverage=DONE)))
    assert "Every pair tried: already." in finished
    assert "minutes of the week" not in finished
    assert "no target is marked mastered" in "\n".join(
        forecast_lines(CASE, replace(a_forecast(), targets=()))
    )


@pytest.mark.parametrize("width", [40, 72, 100])
def test_lines_keep_to_the_width(width: int) -> None:
    whole = " ".join(" ".join(forecast_lines(CASE, a_forecast())).split())
    lines = list(forecast_lines(CASE, a_forecast(), width))
    assert max(map(len, lines)) <= width
    assert " ".join(" ".join(lines).split()) == whole


def test_how_many_weeks_something_stood_in_the_way() -> None:
    target = next(iter(CASE.targets.values()))
    ends = HeldUp(by=BottleneckKind.HOURS, weeks=1, of=1, limit=Limit(Kind.END_OF_HOURS))
    words = "the hours end when the planned sitting ends"
    assert held_up_sentence(CASE, target, ends) == f"{words} (in the only week until then)."
    assert held_up_sentence(CASE, target, ends, reached=False) == f"{words} (in the only week looked at)."
    thrice = replace(ends, weeks=3, of=3)
    assert held_up_sentence(CASE, target, thrice) == f"{words} (in each of the 3 weeks until then)."
    never = held_up_sentence(CASE, target, thrice, reached=False)
    assert never == f"{words} (in each of the 3 weeks looked at)."
    some = replace(ends, weeks=2, of=5, held_in=tuple(Week.parse("2026-W49").run(2)))
    named = "2026-W49 and 2026-W50"
    assert held_up_sentence(CASE, target, some) == f"{words} (in 2 of the 5 weeks until then: {named})."
    later = held_up_sentence(CASE, target, some, reached=False)
    assert later == f"{words} (in 2 of the 5 weeks looked at: {named})."
    nothing = "nothing: it only takes the probes that are planned."
    assert held_up_sentence(CASE, target, HeldUp(by=BottleneckKind.NOTHING)) == nothing


def table_of(case: Case, forecast: Forecast) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(csv_bytes(forecast_table(case, forecast)).decode())))


def test_the_table() -> None:
    generalised, coverage, wish = table_of(CASE, a_forecast())
    assert [r["what"] for r in (generalised, coverage, wish)] == ["generalised", "coverage", "wish"]
    assert (generalised["line_week"], generalised["line_day"]) == ("2026-W50", "2026-12-13")
    assert [coverage[c] for c in ("early_week", "middle_week", "late_week", "range_share", "within")] == [
        "2026-W49",
        "2026-W50",
        "2026-W51",
        "0.800",
        "0.950",
    ]
    assert (wish["by"], wish["verdict"], wish["within"], wish["met_by"]) == (
        "2026-12-11",
        "at risk",
        "0.620",
        "0.400",
    )
    assert (coverage["held_up_by"], wish["held_up_by"]) == ("adult", "retests")
    assert (coverage["probes_met"], coverage["probes_run"]) == ("3", "4")
    (never,) = table_of(CASE, a_forecast(generalised=None, coverage=NEVER, wishes=()))
    assert (never["line_week"], never["late_week"], never["within"]) == ("", "", "0.000")


def test_the_command(tmp_path: Path, capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    folder = small_case(tmp_path / "case")
    words = ["forecast", str(folder), "--now", "2026-11-29T12:00", "--weeks", "3"]
    assert cli.main(words) == 0
    shown = capsysbinary.readouterr()
    assert b"Every combination tried: in 2 weeks, by Sunday 13 December (2026-W50)" in shown.out
    assert shown.err == b""  # a pipe hears nothing of the way
    assert cli.main([*words, "--csv"]) == 0
    once = capsysbinary.readouterr().out
    assert once.startswith(",".join(FORECAST_COLUMNS).encode())
    assert cli.main([*words, "--csv", str(tmp_path / "f.csv")]) == 0
    assert (tmp_path / "f.csv").read_bytes() == once
    assert cli.main([*words, "--learner", "lurk"]) == 2
    assert b"'lark'" in capsysbinary.readouterr().err


def test_words_that_make_no_sense(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = str(small_case(tmp_path / "case"))
    now = ["--now", "2026-11-29T12:00"]
    assert cli.main(["forecast", folder, "--week", "2026-W40", *now]) == 2
    assert "is over" in capsys.readouterr().err
    assert cli.main(["forecast", folder, "--weeks", "0", *now]) == 2
    assert cli.main(["forecast", folder, "--taught-within", "27", *now]) == 2
    assert weeks_or_none("0") == 0
    assert cli.main(["forecast", str(tmp_path / "none"), *now]) != 0


@pytest.mark.parametrize(
    ("shares", "range_"),
    [
        # 0.5, 0.3, 0.2: the first two
        ((0.5, 0.8, 1.0), (0, 1, 0.8)),
        # one week holds all
        ((0.0, 1.0, 1.0), (1, 1, 1.0)),
        # 0.6 and 0.4: as far from 8 of 10 as both together, which hold more
        ((0.6, 1.0, 1.0), (0, 1, 1.0)),
        # 0.1, 0.4, 0.4, 0.1: what is left out is the same before and behind
        ((0.1, 0.5, 0.9, 1.0), (1, 2, 0.8)),
        # 0.2 in the weeks looked at, 0.8 later
        ((0.1, 0.2, 0.2), (None, None, 0.8)),
    ],
)
def test_a_range_holds_the_share_nearest_to_8_of_10(
    shares: tuple[float, ...], range_: tuple[int | None, int | None, float]
) -> None:
    found = Milestone(False, 0, shares).range
    assert (found.first, found.last, pytest.approx(found.share)) == range_


def test_a_range_by_trying_every_one() -> None:
    dice = random.Random(5)
    for _ in range(200):
        cuts = sorted(dice.random() for _ in range(6))
        by = [0.0, *cuts, 1.0]
        every = {by[j] - by[i] for i in range(7) for j in range(i + 1, 8)}
        found = Milestone(False, 0, tuple(cuts)).range
        assert abs(found.share - 0.8) == pytest.approx(min(abs(s - 0.8) for s in every))
        assert found.share >= 0.6 - 1e-9


def test_what_was_reached_and_does_not_last_is_told_with_it() -> None:
    reached = Milestone(True, BEFORE, (1.0,))
    told = milestone_sentences(a_forecast(), reached, though="it was not met the last time with Mum")
    assert list(told) == ["already, though it was not met the last time with Mum."]
    assert list(milestone_sentences(a_forecast(), reached)) == ["already."]
