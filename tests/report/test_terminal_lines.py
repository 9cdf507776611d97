"""The plan as lines of text."""

from __future__ import annotations

from dataclasses import replace

from tiny import FULL_NAME, sitting, tiny_case, tiny_plan

from genplan.cli.lines import matrix_lines, plan_lines, run_line
from genplan.plan import RunReport


def test_the_week_is_listed_by_days_and_in_order() -> None:
    lines = list(plan_lines(tiny_case(), tiny_plan()))
    assert lines[:9] == [
        "Week 2026-W49: Monday 30 November to Sunday 6 December 2026",
        "As of Sunday 29 November 2026, 12:00",
        "",
        "Tuesday 1 December",
        "  15:30 to 15:50  W. with Grandad, The park",
        "      Zips up a jacket: Two jackets with different zips, Do up your coat (new combination)",
        "",
        "Saturday 5 December",
        "  09:30 to 09:55  W. with Mum; Zoë, 🦊, Home",
    ]
    assert "  One hour is not used." in lines


def test_what_was_left_out_is_listed_with_its_reason() -> None:
    lines = list(plan_lines(tiny_case(), tiny_plan()))
    at = lines.index("Left out for W.")
    assert lines[at + 1] == "  Mum is away."
    assert "Mum with the jackets" in lines[at + 2]


def test_a_sitting_that_has_begun_says_that_it_stays() -> None:
    lines = list(plan_lines(tiny_case(), tiny_plan(replace(sitting(), begun=True))))
    assert any(line.endswith("The park (begun: stays as it is)") for line in lines)


def test_a_week_without_sittings_says_why_and_what_to_do() -> None:
    lines = list(plan_lines(tiny_case(), replace(tiny_plan(), sittings=())))
    at = lines.index("No sitting is planned")
    assert any("What to do" in line for line in lines[at:])


def test_the_terminal_shows_the_alias_only() -> None:
    assert not [line for line in plan_lines(tiny_case(), tiny_plan()) if FULL_NAME in line]


def test_no_rows_are_said_to_be_none() -> None:
    assert list(matrix_lines(tiny_case(), ())) == ["No combinations: no target matches."]


def test_timings_are_one_line() -> None:
    assert run_line(RunReport({"solving": 2.0}, {}, {})) == "Took solving 2.0 s."
    assert run_line(RunReport({}, {}, {})) == "Done."
