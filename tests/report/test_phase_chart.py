"""The picture of all probes of a skill: every point where its day and share put it, told apart without colour."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from genplan.case import PassMark, Target
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.phases import PointKind, course_of
from genplan.report.names_and_words import Names
from genplan.report.phase_chart import (
    BELOW,
    BOTTOM,
    HEIGHT,
    LEFT,
    RIGHT,
    SHAPES,
    STRIP_DAYS,
    TOP,
    WIDTH,
    PhaseChart,
    phase_chart,
    up,
)
from tests.fixtures.builders import a_case, a_target

TARGET = a_target(mastered_on=date(2026, 10, 19), criterion=PassMark(9, 10))
HOME, PARK = ("mum", "home", "jackets"), ("mum", "park", "coats")


def row(day: date, kind: str, correct: int | None, where: tuple[str, ...] = HOME, line: int = 0) -> Result:
    return Result(
        line=line or day.toordinal(),
        date=day,
        time=None,
        target=TARGET.id,
        kind=ResultKind(kind),
        combination=where,
        trials=None if correct is None else 5,
        correct=correct,
    )


def november(day: int) -> date:
    return date(2026, 11, day)


ROWS = [
    row(november(2), "probe", 5),
    row(november(4), "probe", 1, PARK),
    row(november(6), "teaching", 3, PARK),
    row(november(9), "probe", 4, PARK),
    row(november(11), "maintenance", 5),
    row(november(12), "not run", None, PARK),
]


def drawn(rows: list[Result], target: Target = TARGET) -> PhaseChart:
    found = phase_chart(
        Names(a_case(targets=[target])),
        target,
        course_of(target, Log.of(rows)),
        november(3),
        november(28),
    )
    assert found is not None
    return found


def test_nothing_run_is_no_picture() -> None:
    found = course_of(TARGET, Log())
    assert phase_chart(Names(a_case()), TARGET, found, november(1), november(28)) is None


def test_a_point_stands_at_its_day_and_its_share() -> None:
    """From Monday 19 October to 28 November are 41 days, over the whole width."""
    (strip,) = drawn(ROWS).strips
    a_day = (WIDTH - LEFT - RIGHT - 16) / 41
    expected = [
        (
            LEFT + 8 + a_day * (r.date - date(2026, 10, 19)).days,
            BELOW if r.trials is None else up(r.correct / 5),
        )
        for r in ROWS
    ]
    assert [(s.x, s.y) for s in strip.signs] == [(round(x, 1), y) for x, y in expected]
    assert (up(0), up(1)) == (HEIGHT - BOTTOM, TOP)


def test_kinds_differ_by_shape_and_by_word_and_met_by_filling() -> None:
    assert len(set(SHAPES.values())) == len(PointKind)
    found = drawn(ROWS)
    (strip,) = found.strips
    assert [s.full for s in strip.signs] == [True, False, False, True, True, False]
    assert [e.words for e in found.legend] == [
        "teaching: 1",
        "first probe, met: 1",
        "first probe, not met: 1",
        "probe again, met: 1",
        "maintenance, met: 1",
        "not run: 1",
        f"pass mark {TARGET.pass_mark}",
    ]


def test_a_path_joins_one_combination_and_crosses_no_change_of_phase() -> None:
    # Home was probed on the 2nd and on the 11th, the park on the 4th and on the 9th; a phase begins on the 9th
    assert drawn(ROWS).strips[0].paths == ()
    quiet = [r for r in ROWS if r.kind is not ResultKind.TEACHING]
    (strip,) = drawn(quiet).strips
    places = [(s.x, s.y) for s in strip.signs]
    joined = {f"M{places[a][0]} {places[a][1]}L{places[b][0]} {places[b][1]}" for a, b in ((0, 3), (1, 2))}
    assert set(strip.paths) == joined


def test_a_phase_has_its_number_its_word_and_what_it_follows_on() -> None:
    found = drawn(ROWS)
    assert [u.text for u in found.strips[0].uprights] == ["1 mastered", "2 after teaching"]
    assert found.phases == (
        "1: mastered, from 19 Oct 2026.",
        "2: from 9 Nov 2026, after teaching (6 Nov 2026, Mum, The park, Three winter coats).",
    )
    # half a day before the first point of the phase, after the last one before it
    assert found.strips[0].signs[2].x < found.strips[0].uprights[1].x < found.strips[0].signs[3].x


def test_where_two_phases_leave_no_room_for_a_word_the_number_stands_alone() -> None:
    rows = [
        row(november(2) + timedelta(days=n), kind, 4)
        for n, kind in enumerate(("probe", "teaching", "probe", "teaching", "probe"))
    ]
    assert [u.text for u in drawn(rows).strips[0].uprights] == ["1 mastered", "2", "3 after teaching"]


def test_the_marks_that_are_asked_for_are_named_below_the_picture_and_only_where_they_are_drawn() -> None:
    """In it the words lay on the line and on the signs."""
    rows = [row(date(2026, 10, 13), "teaching", 5), *ROWS]
    taught = drawn(rows)
    assert [level.style for level in taught.strips[0].levels] == ["mark", "criterion"]
    assert [(e.style, e.words) for e in taught.legend[-2:]] == [
        ("mark", f"pass mark {TARGET.pass_mark}"),
        ("criterion", "criterion of mastery 9/10"),
    ]
    # nothing was taught before it was mastered: no such line, and no word of it
    assert [e.style for e in drawn(ROWS).legend].count("criterion") == 0
    assert all("mastery" not in e.words for e in drawn(ROWS).legend)


def test_a_strip_is_no_wider_than_a_telephone() -> None:
    """360 units of a small telephone, less the margins of the page; nothing scrolls sideways."""
    assert WIDTH <= 360 - 2 * 8
    for strip in drawn(ROWS).strips:
        assert all(0 < sign.x < WIDTH for sign in strip.signs)


def test_the_marks_are_level_lines() -> None:
    early = [row(date(2026, 10, 13), "teaching", 5), *ROWS]
    mark, criterion = drawn(early).strips[0].levels
    assert (mark.y, mark.style) == (up(0.8), "mark")
    assert (criterion.y, criterion.style) == (up(0.9), "criterion")
    # the criterion is asked for until mastery alone
    assert criterion.until < mark.until
    assert [level.style for level in drawn(ROWS).strips[0].levels] == ["mark"]


def test_the_criterion_is_a_level_of_teaching_and_not_of_the_baseline() -> None:
    before = row(date(2026, 10, 5), "baseline", 0)
    found = drawn([before, row(date(2026, 10, 13), "teaching", 5), *ROWS])
    # a week has room for the number of its phase alone; the words stand below the picture
    assert [u.text for u in found.strips[0].uprights[:3]] == ["1", "2", "3 mastered"]
    assert found.phases[:2] == ("1: baseline, from 5 Oct 2026.", "2: taught, from 13 Oct 2026.")
    (criterion,) = (level for level in found.strips[0].levels if level.style == "criterion")
    # from Monday 5 October to 28 November are 55 days; mastered on the 19th
    mastered = LEFT + 8 + (WIDTH - LEFT - RIGHT - 16) / 55 * 14
    assert (criterion.x, criterion.until) == (found.strips[0].signs[1].x, round(mastered, 1))


def test_points_of_one_day_and_one_height_stand_side_by_side() -> None:
    rows = [row(november(2), "probe", 5), row(november(2), "probe", 5, PARK, 3)]
    (strip,) = drawn(rows).strips
    assert strip.signs[0].y == strip.signs[1].y
    assert abs(strip.signs[0].x - strip.signs[1].x) == 11


def test_what_was_not_counted_is_drawn_below_the_axis_and_not_at_none_correct() -> None:
    kinds = [("teaching", None), ("teaching", 0), ("not run", None)]
    rows = [row(november(2), kind, correct, line=n) for n, (kind, correct) in enumerate(kinds, 2)]
    (strip,) = drawn(rows).strips
    assert [s.y for s in strip.signs] == [BELOW, up(0), BELOW]
    assert BELOW - 5 > up(0) > 0
    # side by side where they are of one day
    assert strip.signs[2].x - strip.signs[0].x == 11


def test_a_long_course_is_drawn_in_strips_at_one_scale_and_loses_no_point() -> None:
    rows = [row(november(2) + timedelta(days=7 * n), "maintenance", 5, line=n + 2) for n in range(40)]
    found = drawn(rows)
    assert len(found.strips) == -(-(7 * 39 + 15) // STRIP_DAYS)
    assert sum(len(s.signs) for s in found.strips) == len(found.rows) == 40
    assert all(LEFT <= s.x <= WIDTH for strip in found.strips for s in strip.signs)


def test_the_table_says_what_the_picture_shows_with_exact_intervals() -> None:
    rows = drawn(ROWS).rows
    # Clopper and Pearson of 1 of 5: 0.0051 to 0.7164; 5 of 5: 0.4782 to 1, as tests/evidence has them
    assert (rows[1].correct, rows[1].share, rows[1].interval, rows[1].met) == (
        "1 of 5",
        "20 %",
        "1 % to 72 %",
        "not met",
    )
    assert (rows[0].interval, rows[5].correct, rows[5].met) == ("48 % to 100 %", "", "")
    assert [r.phase for r in rows[3:5]] == ["after teaching"] * 2


def test_a_picture_in_words_counts_every_kind() -> None:
    assert drawn(ROWS).words == (
        "From 2 Nov 2026 to 12 Nov 2026. Teachings: 1. First probes of a combination: 1 of 2 met. Probes again: 1 of 1"
        " met. Maintenance probes: 1 of 1 met. Not run: 1. Level line: the pass mark of 4/5."
    )


def test_a_mastery_without_a_day_says_so() -> None:
    target = replace(TARGET, mastered_on=None)
    found = phase_chart(
        Names(a_case(targets=[target])), target, course_of(target, Log.of(ROWS)), november(1), november(28)
    )
    assert found is not None
    assert "does not say on which day" in found.phases[0]
