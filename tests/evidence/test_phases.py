"""What was run of a target as points and phases, told on cases that are counted by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from genplan.case import TargetState
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.phases import Phase, PointKind, course_of
from tests.fixtures.builders import a_target

TARGET = a_target(mastered_on=date(2026, 11, 5))
HOME, PARK = ("mum", "home", "jackets"), ("mum", "park", "jackets")


def row(day: int, kind: str, correct: int | None = 5, where: tuple[str, ...] = HOME, line: int = 0) -> Result:
    return Result(
        line=line or day + 1,
        date=date(2026, 11, day),
        time=None,
        target=TARGET.id,
        kind=ResultKind(kind),
        combination=where,
        trials=None if correct is None else 5,
        correct=correct,
    )


ROWS = [
    row(2, "teaching", 3),
    row(4, "teaching", 5),
    row(6, "probe", 5),
    row(8, "probe", 1, PARK),
    row(9, "teaching", 2, PARK),
    row(10, "teaching", None, PARK),
    row(12, "maintenance", 5),
    row(13, "probe", 4, PARK),
    row(14, "not run", None, PARK),
]


def test_each_row_is_the_kind_that_it_is() -> None:
    found = course_of(TARGET, Log.of(ROWS))
    assert [p.kind for p in found.points] == [
        PointKind.TEACHING,
        PointKind.TEACHING,
        PointKind.FIRST,
        PointKind.FIRST,
        PointKind.TEACHING,
        PointKind.TEACHING,
        PointKind.MAINTENANCE,
        PointKind.AGAIN,
        PointKind.NOT_RUN,
    ]
    # 4 of 5 is the mark: 1 of 5 is not met, and what is no test is neither
    assert [p.met for p in found.points] == [None, None, True, False, None, None, True, True, None]
    assert [p.share for p in found.points][:6] == [0.6, 1.0, 1.0, 0.2, 0.4, None]


def test_every_kind_of_row_has_a_kind_of_point() -> None:
    assert {k.value for k in ResultKind} - {"probe"} <= {k.value for k in PointKind}


def test_phases_begin_with_teaching_with_mastery_and_with_the_first_test_after_teaching() -> None:
    found = course_of(TARGET, Log.of(ROWS))
    assert [(c.on.day, c.phase) for c in found.changes] == [
        (2, Phase.TAUGHT),
        (5, Phase.MASTERED),
        (12, Phase.AFTER_TEACHING),
    ]
    assert [r.date.day for r in found.changes[2].after] == [9, 10]
    phases = [p.phase for p in found.points]
    assert phases == [Phase.TAUGHT] * 2 + [Phase.MASTERED] * 4 + [Phase.AFTER_TEACHING] * 3


def test_teaching_that_no_test_followed_is_no_phase_yet() -> None:
    found = course_of(TARGET, Log.of(ROWS[:6]))
    assert [c.phase for c in found.changes] == [Phase.TAUGHT, Phase.MASTERED]


def test_a_corrected_row_is_not_in_the_picture() -> None:
    found = course_of(TARGET, Log.of([row(8, "probe", 5), row(8, "probe", 1, line=20)]))
    assert [(p.result.line, p.kind, p.met) for p in found.points] == [(20, PointKind.FIRST, False)]
    found = course_of(TARGET, Log.of([row(1, "baseline", 5), row(1, "baseline", 1, line=20)]))
    assert [(p.result.line, p.kind, p.met) for p in found.points] == [(20, PointKind.BASELINE, None)]


@pytest.mark.parametrize(
    ("change", "phases"),
    [
        ({"state": TargetState.TEACHING}, [(2, Phase.TAUGHT)]),
        ({"mastered_on": None}, [(2, Phase.TAUGHT), (6, Phase.MASTERED), (12, Phase.AFTER_TEACHING)]),
    ],
)
def test_a_skill_in_teaching_has_one_phase_and_an_untold_mastery_begins_with_a_test(
    change: dict[str, object], phases: list[tuple[int, Phase]]
) -> None:
    found = course_of(replace(TARGET, **change), Log.of(ROWS))
    assert [(c.on.day, c.phase) for c in found.changes] == phases


@pytest.mark.parametrize(
    ("rows", "taught", "changes", "phases"),
    [
        ([row(2, "baseline", 1)], (), [(2, "baseline")], ["baseline"]),
        (
            [row(2, "not run", None), row(3, "baseline", 1, line=4), row(3, "teaching", 2, line=5), ROWS[2]],
            ({"adult": "mum"},),
            [(2, "baseline"), (3, "taught"), (5, "mastered")],
            ["baseline", "baseline", "taught", "mastered"],
        ),
        # a late one lies in the phase of its day
        ([row(2, "teaching", 2), row(3, "baseline", 1)], (), [(2, "taught")], ["taught", "taught"]),
        # taught, nobody wrote down when
        ([row(2, "baseline", 1)], ({"adult": "mum"},), [(2, "taught")], ["taught"]),
    ],
)
def test_the_baseline_is_a_phase_before_the_first_teaching(
    rows: list[Result], taught: tuple[dict[str, str], ...], changes: list[tuple[int, str]], phases: list[str]
) -> None:
    found = course_of(replace(TARGET, taught=taught), Log.of(rows))
    assert [(c.on.day, c.phase.value) for c in found.changes][: len(changes)] == changes
    assert [p.phase.value for p in found.points] == phases


def test_nothing_run_is_no_point() -> None:
    assert course_of(TARGET, Log()).points == ()
    assert [c.phase for c in course_of(TARGET, Log()).changes] == [Phase.MASTERED]
