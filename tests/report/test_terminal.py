"""The terminal's words: whole, plain, never cut."""

from __future__ import annotations

from dataclasses import replace

from genplan.report.matrix_lines import matrix_view
from genplan.report.terminal import week_summary
from tests.fixtures import builders as b


def test_the_week_day_by_day() -> None:
    case = b.a_case()
    text = week_summary(case, b.a_plan(case))
    lines = text.splitlines()
    assert lines[0] == "Week 2026-W49: Monday 30 November to Sunday 6 December 2026"
    assert "2 sittings with 3 probes." in lines[1]
    tuesday = lines.index("Tuesday 1 December")
    assert lines[tuesday + 1] == "  15:30 to 15:45  W. with Grandad, The park"
    assert lines[tuesday + 2] == "      Zips up a jacket: The fleece (new combination, adds 3 pairs)"
    assert tuesday < lines.index("Saturday 5 December")
    assert "Wednesday" not in text


def test_what_it_adds_what_is_left_out_and_how_good_it_is() -> None:
    case = b.a_case()
    text = week_summary(case, b.a_plan(case, repeatable=False))
    for said in (
        "This week adds 3 pairs. Before this week 8 of 24 pairs tried, 3 met, 0 met without teaching; 1 taught and not",
        "W., Zips up a jacket: Saturday 5 December, 09:45 to 09:55",
        "1 maintenance probe due and left out, see below.",
        "Zips up a jacket: 12 pairs (",
        "; and 4 more)",
        "at most 8 % short",
        "ended by the clock",
        "raise solver.seconds in the policy",
        "The week has begun",
        "licensed practitioner in charge",
        "Wanted before the rest: School, by Friday 18 December 2026.",
    ):
        assert said in text
    assert text.count("before a reason was looked for") == 1


def test_thousands_left_out_for_one_reason_stay_a_few_lines() -> None:
    case = b.a_case()
    many = tuple(replace(b.left_out()[0], values=(("wording", f"pair {n}"),)) for n in range(3000))
    text = week_summary(case, b.a_plan(case, left_out=many))
    assert "3000 pairs" in text
    assert len(text.splitlines()) < 60


def test_extra_wording_is_told() -> None:
    case = b.a_case(targets=[b.with_wording(b.a_target())])
    assert "Zips up a jacket: The fleece; wording: Zip it up (" in week_summary(case, b.a_plan(case))


def test_an_empty_week_says_why_and_what_to_do() -> None:
    text = week_summary(b.a_case(), b.an_empty_plan(left_out=b.left_out()))
    assert "No sitting is planned in this week." in text
    assert "What to do: " in text
    assert "Home is taken in those hours." in text


def test_the_learner_is_called_by_the_alias_unless_asked() -> None:
    case = b.a_case()
    plan = b.a_plan(case)
    assert "Wren" not in week_summary(case, plan)
    assert "Wren" not in matrix_view(case, plan.matrix)
    assert "Wren Example with Grandad" in week_summary(case, plan, names=True)


def test_nothing_is_cut_or_steered_by_a_name() -> None:
    long = "A name that goes on and on " * 20
    target = b.a_target(name=f"{long}\x1b[2J\u202e end")
    case = b.a_case(targets=[target])
    text = week_summary(case, b.a_plan(case)) + matrix_view(case, b.a_plan(case).matrix)
    assert f"{long}[2J end" in text.replace("  ", " ")
    assert "\x1b" not in text
    assert "\u202e" not in text


def test_the_matrix_has_a_key_once_for_what_it_shows() -> None:
    case, plan = b.a_big_plan(2)
    text = matrix_view(case, plan.matrix)
    assert text.count("What the words mean") == 1
    assert text.count("met: the latest probe reached the pass mark.") == 1
    for status in {row.status for row in plan.matrix}:
        assert f"\n{status}: " in text
    assert "planned:" not in text
    assert "  The park  untested          met 5/5" in text


def test_the_matrix_with_an_extra_dimension() -> None:
    case = b.a_case(targets=[b.with_wording(b.a_target())])
    text = matrix_view(case, b.a_plan(case).matrix)
    assert "Under each material set: wording." in text
    assert "Do up your coat" in text
    narrow = matrix_view(case, b.a_plan(case).matrix, 60)
    assert "  Three winter coats: Zip it up: met 5/5" in narrow


def test_no_matrix_says_so() -> None:
    assert "no target is marked mastered" in matrix_view(b.a_case(), ())


def test_kinds_have_words() -> None:
    case = b.a_case()
    text = week_summary(case, b.a_plan(case))
    assert "again after teaching" in text
    assert "maintenance: does it last?" in text
