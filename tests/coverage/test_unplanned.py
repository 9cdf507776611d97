"""What the criterion of generalisation lacks and no plan will probe, by hand and against weeks that are lived."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from genplan import workflow
from genplan.case import Combination, Target, TargetState
from genplan.case.targets import STRENGTHS
from genplan.coverage.criterion import Criterion, criterion_of
from genplan.coverage.tally import tally
from genplan.coverage.unplanned import Unplanned, unplanned
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import NoteKind, ProbeKind
from genplan.planning.needs import need_of
from genplan.report.why_lines import why_lines
from genplan.text.notes import note_text
from tests.fixtures import builders as b
from tests.fixtures.nightly import tries
from tests.fixtures.small_case import SUNDAY, WEEK, silent, small_case

TAUGHT = ("mum", "home", "jackets")
ON = date(2026, 11, 29)
TARGET = replace(b.a_target(), never=(), first=(), cover="each-value", generalised_when={"adult": 3})
OTHERS = (("grandad", "park", "coats"), ("teacher", "school", "fleece"))
KINDS = {"+": ResultKind.PROBE, "-": ResultKind.PROBE, "m": ResultKind.MAINTENANCE, "t": ResultKind.TEACHING}


def row(line: int, on: date, sign: str, combination: Combination) -> Result:
    """`+` met, `-` not met, `m` met for maintenance, `t` taught."""
    return Result(
        line=line,
        date=on,
        time=None,
        target=TARGET.id,
        kind=KINDS[sign],
        combination=combination,
        trials=5,
        correct=0 if sign == "-" else 5,
    )


def log(*rows: tuple[str, Combination]) -> Log:
    return Log.of(row(n, date(2026, 11, n), *told) for n, told in enumerate(rows, 1))


ALL_OTHERS = log(*(("+", c) for c in OTHERS))


def found(target: Target, rows: Log, held: Iterable[Combination] = ()) -> tuple[Unplanned, ...]:
    case = b.a_case(targets=[target])
    return unplanned(case, tally(case, target, rows, ON), rows, ON, tuple(held))


def test_a_value_that_was_only_taught_and_is_asked_for_is_told_once_nothing_is_open() -> None:
    assert not tally(b.a_case(targets=[TARGET]), TARGET, ALL_OTHERS, ON).open
    (told,) = found(TARGET, ALL_OTHERS)
    assert (told.dimension, told.wanted, told.planned) == ("adult", 3, 2)
    assert told.values == (("adult", "mum"),)
    assert told.example == TAUGHT
    assert not found(TARGET, log(("+", OTHERS[0]))), "the fleece is open, and may come with mum"


def test_where_a_probe_may_still_come_it_is_not() -> None:
    assert not found(replace(TARGET, generalised_when={"adult": 2}), ALL_OTHERS), "the criterion is met"
    assert not found(replace(TARGET, cover="pairs"), ALL_OTHERS), "pairs with mum are open"
    assert not found(replace(TARGET, generalised_when={}), ALL_OTHERS), "nothing is asked for"
    assert not found(replace(TARGET, state=TargetState.PAUSED), ALL_OTHERS), "it is not probed at all"
    failed = log(*(("+", c) for c in OTHERS), ("-", ("mum", "park", "coats")))
    assert not found(TARGET, failed), "what was not met comes again"
    assert not found(TARGET, ALL_OTHERS, [TAUGHT]), "a plan holds it"
    assert not found(replace(TARGET, generalised_when={"adult": 4}), ALL_OTHERS), (
        "that is out of reach as it is"
    )


def test_maintenance_repeats_what_was_taught_while_nothing_is_met() -> None:
    lasting = replace(TARGET, taught=tuple(_pattern(c) for c in (TAUGHT, *OTHERS)), maintenance_days=(90,))
    assert not found(lasting, log())
    assert found(replace(lasting, maintenance_days=(7,)), log(("m", OTHERS[0])))
    assert [len(one.values) for one in found(replace(lasting, maintenance_days=()), log())] == [3]
    assert found(lasting, log(("+", OTHERS[0])))[0].planned == 1


def test_what_goes_together_and_what_was_met_only_where_it_was_taught() -> None:
    together = replace(TARGET, generalised_when={}, generalised_with=({"adult": "mum", "location": "park"},))
    (told,) = found(together, ALL_OTHERS)
    assert (told.dimension, told.values) == ("", (("adult", "mum"), ("location", "park")))
    assert told.example[:2] == ("mum", "park")
    untaught = replace(TARGET, generalised_untaught=True)
    (told,) = found(untaught, log(*(("+", c) for c in (*OTHERS, TAUGHT))))
    assert told.values == (("adult", "mum"),)
    assert told.example != TAUGHT
    failed = log(*(("+", c) for c in OTHERS), ("-", ("mum", "park", "coats")))
    assert found(untaught, failed)[0].planned == 2, (
        "it comes again once it was taught, and then does not count"
    )


def _pattern(combination: Combination) -> dict[str, str]:
    return dict(zip(TARGET.dimension_names, combination, strict=True))


SOME = st.lists(
    st.tuples(st.sampled_from("++-t"), st.sampled_from(TARGET.combinations())),
    max_size=8,
    unique_by=lambda x: x[1],
)


@settings(max_examples=tries(400, 20))
@given(
    rows=SOME,
    cover=st.sampled_from(tuple(STRENGTHS)),
    taught=st.lists(st.sampled_from(TARGET.combinations()), max_size=4),
    adults=st.integers(0, 3),
    sets=st.integers(0, 2),
    together=st.lists(
        st.sampled_from([{"adult": "mum", "location": "park"}, {"location": "school"}]), max_size=1
    ),
    untaught=st.booleans(),
    days=st.sampled_from([(), (7,), (60,)]),
)
def test_weeks_in_which_all_that_may_be_planned_is_run_and_met_lack_just_what_is_told(
    rows: list[tuple[str, Combination]],
    cover: str,
    taught: list[Combination],
    adults: int,
    sets: int,
    together: list[dict[str, str]],
    untaught: bool,
    days: tuple[int, ...],
) -> None:
    """The weeks know nothing of what is told: they run the planner's choices, and teach what waits."""
    target = replace(
        TARGET,
        cover=cover,
        taught=tuple(map(_pattern, taught)),
        generalised_when={"adult": adults, "material_set": sets},
        generalised_with=tuple(together),
        generalised_untaught=untaught,
        maintenance_days=days,
    )
    told = found(target, log(*rows))
    start, end = _criterion(target, log(*rows)), _criterion(target, _lived(target, log(*rows)))
    if not start.is_set or start.is_met:
        assert not told
        return
    out_of_reach = {p.dimension for p in start.out_of_reach}
    lacking = {p.dimension for p in end.parts if p.missing} - out_of_reach
    assert {one.dimension for one in told if one.dimension} == lacking
    named = {a.values for a in end.not_met} - {a.values for a in start.asked_out_of_reach}
    assert {one.values for one in told if not one.dimension} == named


def _criterion(target: Target, rows: Log) -> Criterion:
    return criterion_of(tally(b.a_case(targets=[target]), target, rows, ON))


def _lived(target: Target, rows: Log) -> Log:
    """Twelve weeks, past the last day of maintenance."""
    case, week = b.a_case(targets=[target]), b.WEEK
    for _ in range(12):
        need = need_of(case, target, rows, week, week.monday)
        waiting = [c for c, s in need.tally.standings.items() if s.waits_for_teaching]
        possible = set(need.tally.possible_combinations)
        lessons = [("t", c) for c in waiting if c in possible]
        probes = [("m" if c.kind is ProbeKind.MAINTENANCE else "+", c.combination) for c in need.choices]
        new = [row(len(rows.results) + n, week.monday, *one) for n, one in enumerate([*lessons, *probes], 1)]
        rows, week = Log.of((*rows.results, *new)), week.next()
    return rows


# from a folder, as people see it

CRITERION = "cover: each-value, generalised_when: {adults: 2}"
HEAD = "date,time,target,adult,location,material_set,kind,trials,correct\n"
GRAN = "2026-11-20,15:30,puts-on,gran,yard,hats,probe,5,5\n"


def a_folder(folder: Path, criterion: str = CRITERION, rows: str = GRAN) -> Path:
    case = small_case(folder)
    text = (case / "case.yaml").read_text(encoding="utf-8")
    assert text.count("cover: all") == 1
    (case / "case.yaml").write_text(text.replace("cover: all", criterion), encoding="utf-8")
    (case / "results.csv").write_text(HEAD + rows, encoding="utf-8")
    return case


def told_by_check(folder: Path) -> list[str]:
    return [f.sentence() for f in workflow.check(folder, SUNDAY)]


def test_check_says_it_with_file_line_and_what_to_do_and_that_helps(tmp_path: Path) -> None:
    case = a_folder(tmp_path / "case")
    lines = (case / "case.yaml").read_text(encoding="utf-8").splitlines()
    line = next(n for n, text in enumerate(lines, 1) if "generalised_when" in text)
    assert told_by_check(case) == [
        f"case.yaml:{line}: targets.puts-on.generalised_when.adults: 2 adults wanted by 'generalised_when', and plans"
        " reach no more than 1: none holds a probe that would count with mum, since all that 'cover' asks for there was"
        " tested or taught. Run such a probe beside the plan, for example mum, home, boots, and record it; or ask to"
        " see more together, such as with 'cover: pairs'."
    ]
    assert not told_by_check(a_folder(tmp_path / "pairs", CRITERION.replace("each-value", "pairs")))
    run = GRAN + "2026-11-21,16:30,puts-on,mum,home,boots,probe,5,5\n"
    assert not told_by_check(a_folder(tmp_path / "run", rows=run))


@pytest.mark.parametrize(
    ("criterion", "rows", "said"),
    [
        (
            "cover: all, adults: [mum, gran], locations: [home], material_sets: [boots], generalised_when: {adults: 2}",
            GRAN.replace("yard,hats", "home,boots"),
            "targets.puts-on.generalised_when.adults: 2 adults wanted by 'generalised_when', and plans reach no more"
            " than 1: none holds a probe that would count with mum, since all that 'cover' asks for there was tested or"
            " taught. Run such a probe beside the plan, for example mum, home, boots, and record it; or ask for fewer"
            " adults.",
        ),
        (
            "cover: each-value, generalised_when: {with: [{adult: mum, location: yard}]}",
            GRAN,
            "targets.puts-on.generalised_when.with.1: mum, yard, and no plan holds a probe of it that would count,"
            " since all that 'cover' asks for there was tested or taught. Run such a probe beside the plan, for example"
            " mum, yard, boots, and record it; or ask to see more together, such as with 'cover: pairs'.",
        ),
        (
            "cover: all, generalised_when: {with: [{adult: mum, location: home, material_set: boots}]}",
            GRAN,
            "targets.puts-on.generalised_when.with.1: mum, home, boots, and no plan holds a probe of it that would"
            " count, since all that 'cover' asks for there was tested or taught. Run such a probe beside the plan, for"
            " example mum, home, boots, and record it; or do not ask for it.",
        ),
    ],
)
def test_no_cover_is_named_that_does_not_help(tmp_path: Path, criterion: str, rows: str, said: str) -> None:
    (told,) = told_by_check(a_folder(tmp_path / "case", criterion, rows))
    assert told.partition(": ")[2] == said


def test_progress_the_plan_and_why_say_it(tmp_path: Path) -> None:
    case = a_folder(tmp_path / "case")
    (review,) = workflow.progress(case, None, SUNDAY).reviews
    (target,) = review.targets
    assert [one.example for one in target.unplanned] == [("mum", "home", "boots")]
    view = workflow.why(case, WEEK, SUNDAY, silent)
    assert not view.plan.sittings
    (note,) = (n for n in view.plan.notes if n.kind is NoteKind.UNPLANNED)
    said = (
        "'Puts it on' is not generalised yet, and no plan holds the probe that is lacking, such as Mum, Home, Two"
        " boots, since all that has to be seen together there was tested or taught. A probe that is run beside the"
        " plan and recorded counts."
    )
    assert note_text(view.case, note) == said
    lines = list(why_lines(view.case, view.plan, view.why, view.learners))
    assert f"- {said}" in lines[lines.index("What is lacking, and no plan holds") :]
    assert not any("all that was asked for has been shown" in line for line in lines)
