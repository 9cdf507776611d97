"""Two plans of a week side by side, without a solver: what each shows, who is told what, minutes, what decides."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations
from math import inf
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case import Adult, Case, Wish
from genplan.errors import CaseError, FileError, UsageError
from genplan.evidence.log import Log, Result, ResultKind
from genplan.keeping.compared import Both, Compared, compared
from genplan.keeping.revision import revise
from genplan.keeping.saved_plan import SavedPlan
from genplan.keeping.store import kept_bytes
from genplan.keeping.told import KeptWeek
from genplan.language import Speech, Words, speaking
from genplan.plan import Objective, ObjectiveName, Plan, ProbeKind, Sitting, StageStatus
from genplan.report.compared_lines import compared_lines
from genplan.report.document import plan_json
from tests.fixtures.planning_cases import NOW, WEEK, product_case, told_sitting
from tests.fixtures.small_case import SUNDAY, small_case

CASE = product_case([2, 1, 2])
ANN, BEN = "a0-0", "a0-1"
ONE, TWO, THREE = (CASE.targets["skill"].combinations()[n] for n in (0, 1, 2))
FIRST = told_sitting(CASE, 0, 9, ("skill", ONE))
OTHER = told_sitting(CASE, 1, 9, ("skill", THREE))


def saved(*sittings: Sitting, **more: object) -> SavedPlan:
    return SavedPlan(week=WEEK, made=NOW, sittings=sittings, **more)  # type: ignore[arg-type]


def objective(name: ObjectiveName, value: float, bound: float | None = None) -> Objective:
    sense = "most" if name is ObjectiveName.NEW_TUPLES else "fewest"
    status = StageStatus.OPTIMAL if bound is None else StageStatus.BEST_SO_FAR
    return Objective(
        name=name, sense=sense, value=value, bound=value if bound is None else bound, status=status
    )


def of(first: SavedPlan, second: SavedPlan, case: Case = CASE) -> Compared:
    return compared(case, Log(), first, second)


def said(found: Compared, case: Case = CASE) -> list[str]:
    return list(compared_lines(case, ("one", "two"), found))


def test_a_plan_beside_itself_differs_in_nothing() -> None:
    found = of(saved(FIRST), saved(FIRST))
    assert (found.only_first, found.only_second, found.held_first, found.differences) == ((), (), (), ())
    assert "Both show the same combinations for the first time." not in said(found)  # they are pairs
    assert "Both show the same pairs for the first time." in said(found)
    assert "Nobody who holds the first plan is told anything otherwise by the second." in said(found)


def test_what_only_one_shows_and_who_is_told() -> None:
    found = of(saved(FIRST), saved(OTHER))
    # each shows three pairs: adult and place, adult and set, place and set; the first set at the place is in both
    assert (len(found.only_first), len(found.only_second)) == (2, 2)
    assert found.minutes == ((ONE[0], Both(10, 0)), (THREE[0], Both(0, 10)))
    lines = said(found)
    assert "The first plan shows 2 pairs that the second plan does not." in lines
    assert (
        f"Minutes more or fewer in the second plan than in the first: {ONE[0]} -10, {THREE[0]} +10." in lines
    )
    assert any(
        x.startswith("From the first plan to the second 3 people are told something otherwise: ")
        and all(who in x for who in (ONE[0], THREE[0], "the family of W."))
        for x in lines
    )


def test_what_came_of_a_probe_before_the_later_plan_was_made_is_no_matter_of_either() -> None:
    """Monday's is in the first alone, and its rows say what came of it: run, or not."""
    tuesday = replace(saved(OTHER), made=NOW + timedelta(days=2))
    monday = FIRST.start.date()
    run = Result(
        line=1,
        date=monday,
        time=None,
        target="skill",
        kind=ResultKind.PROBE,
        combination=ONE,
        trials=5,
        correct=5,
    )
    not_run = Result(
        line=1, date=monday, time=None, target="skill", kind=ResultKind.NOT_RUN, combination=ONE, note="ill"
    )
    for row in (run, not_run):
        found = compared(CASE, Log.of([row]), saved(FIRST, OTHER), tuesday)
        assert (found.only_first, found.only_second) == ((), ())
    assert compared(CASE, Log(), saved(FIRST, OTHER), tuesday).only_first


def test_of_several_children_each_line_says_whose_it_is() -> None:
    """Two learn the same, and each plan shows or repeats it with another one."""
    (wren,), (skill,) = CASE.learners.values(), CASE.targets.values()
    rook = replace(wren, id="rook", name="Rook", alias="R.")
    same = replace(skill, id="other", learner="rook", first=(Wish({"adult": ONE[0]}, None),))
    both = replace(CASE, learners={**CASE.learners, "rook": rook}, targets={**CASE.targets, "other": same})
    again = told_sitting(both, 1, 9, ("other", ONE))
    lines = said(of(saved(FIRST), saved(again), both), both)
    only_a, only_b = (
        {
            line.split(": ")[0].strip()
            for line in lines
            if line.endswith("(pair)") and line.startswith("  " + who)
        }
        for who in ("W.", "R.")
    )
    assert (only_a, only_b) == ({f"W., {skill.name}"}, {f"R., {skill.name}"})
    assert any(
        line.startswith(f"R., {skill.name}: a0-0") and line.endswith("only the second plan has it.")
        for line in lines
    )
    repeated = replace(again, probes=tuple(replace(p, kind=ProbeKind.RETEST) for p in again.probes))
    assert any(
        line.startswith(f"  R., {skill.name}: ")
        for line in said(of(saved(FIRST), saved(repeated), both), both)
    )
    # of one child nobody is named
    assert not any("W., " in line for line in said(of(saved(FIRST), saved(OTHER))))


def test_retests_and_teachings_of_one_alone() -> None:
    def with_kind(kind: ProbeKind) -> Sitting:
        return replace(FIRST, probes=tuple(replace(p, kind=kind) for p in FIRST.probes))

    found = of(saved(with_kind(ProbeKind.RETEST)), saved(with_kind(ProbeKind.TEACHING)))
    assert found.held_first == (("skill", ONE, ProbeKind.RETEST),)
    lines = said(found)
    assert (
        "The first plan holds 1 due probe (maintenance, retest or baseline) that the second plan does not."
        in lines
    )
    assert "The second plan holds 1 teaching that the first plan does not." in lines


@pytest.mark.parametrize(("by", "only_a"), [(None, True), (WEEK.monday, True), (date(2026, 11, 29), False)])
def test_a_wish_with_a_date(by: date | None, only_a: bool) -> None:
    target = replace(CASE.targets["skill"], first=(Wish({"adult": ONE[0]}, by),))
    case = replace(CASE, targets={"skill": target})
    found = of(saved(FIRST), saved(OTHER), case)
    assert [both for *_, both in found.wishes] == ([Both(True, False)] if only_a else [])
    assert any("only the first plan has it." in line for line in said(found, case)) is only_a


def test_what_counts_first_of_all_that_differs() -> None:
    names = (ObjectiveName.NEW_TUPLES, ObjectiveName.SITTINGS, ObjectiveName.LOADS)
    a, b = (tuple(map(objective, names, values)) for values in ((3, 2, 5), (3, 1, 9)))
    found = of(saved(FIRST, objectives=a), saved(OTHER, objectives=b))
    assert found.decides == (a[1], b[1])
    (line,) = [x for x in said(found) if x.startswith("The first thing")]
    assert line.endswith("The first plan has 2, the second 1, so by that the second plan is better.")
    unproven = (*a[:1], objective(ObjectiveName.SITTINGS, 2, -inf))
    lines = said(of(saved(FIRST, objectives=unproven), saved(OTHER, objectives=b[:2])))
    assert any(
        x.endswith("the second plan is better. It is not proven of both that no plan is better.")
        for x in lines
    )
    assert ["sittings", "2", "none", "1", "proven"] in [line.split() for line in lines]
    assert of(saved(FIRST, objectives=a), saved(OTHER)).decides is None
    # the same sittings, counted by two policies: neither is better
    assert of(saved(FIRST, objectives=a), saved(FIRST, objectives=b)).decides is None


def test_what_is_counted_beside_other_sittings_does_not_compare() -> None:
    """Somebody decided one of them: in B it is not counted, and B is not worse for it."""
    a, b = ((objective(ObjectiveName.NEW_TUPLES, value),) for value in (6, 3))
    decided = frozenset({OTHER.id})
    found = of(saved(FIRST, OTHER, objectives=a), saved(FIRST, OTHER, objectives=b, staying=decided))
    assert not found.is_counted_alike
    (why,) = [line for line in said(found) if "beside the sittings that stay as they are" in line]
    assert "0 in the first plan and 1 in the second" in why
    assert not any(line.split()[:2] == ["new", "tuples"] for line in said(found))
    # beside the same ones they compare, and it is said of what they are counted
    found = of(*(saved(FIRST, OTHER, objectives=o, staying=decided) for o in (a, b)))
    assert found.is_counted_alike
    assert any("1 sitting stays as it is, in both" in line for line in said(found))
    assert any(line.split()[:2] == ["new", "tuples"] for line in said(found))


def test_in_plain_words_what_differs_is_a_sentence_and_the_figures_are_further_in() -> None:
    names = (ObjectiveName.NEW_TUPLES, ObjectiveName.SITTINGS)
    a, b = (tuple(map(objective, names, values)) for values in ((3, 2), (3, 1)))
    found = of(saved(FIRST, objectives=a), saved(OTHER, objectives=b))
    with speaking(Speech("en", Words.PLAIN)):
        lines = list(compared_lines(CASE, ("one", "two"), found, figures=False))
    counted = lines[lines.index("What counts, the weightiest first") + 1 :]
    assert len(counted) == 2  # what is the same in both is no line
    assert counted[0].endswith(": 2 in the first plan, 1 in the second.")
    assert "--figures" in counted[1]
    assert not any("proven" in line or "new tuples" in line for line in lines)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A case with two plans of it: of one sitting, and of none."""
    case = workflow.open_case(small_case(tmp_path / "case"), SUNDAY).case
    target = case.targets["puts-on"]
    combination = next(c for c in target.combinations() if c == ("mum", "home", "hats"))
    for name, sittings in (("one", (told_sitting(case, 0, 16, (target.id, combination)),)), ("none", ())):
        (tmp_path / name).mkdir()
        plan = Plan.of_sittings(WEEK, NOW, sittings)
        plan = replace(plan, objectives=(objective(ObjectiveName.NEW_TUPLES, len(sittings)),))
        (tmp_path / name / "plan.json").write_bytes(plan_json(case, plan))
    return tmp_path


def test_plans_are_read_as_they_were_written(folder: Path) -> None:
    one, none = str(folder / "one"), str(folder / "none" / "plan.json")
    view = workflow.compare(folder / "case", one, none, SUNDAY)
    assert (len(view.found.only_first), view.found.only_second) == (1, ())
    first, second = view.found.objectives[0]
    assert first is not None
    assert second is not None
    assert (first.value, second.value) == (1, 0)
    assert view.names == (one, none)


def test_a_kept_week_against_a_plan(folder: Path) -> None:
    case = workflow.open_case(folder / "case", SUNDAY).case
    kept = workflow.compare(folder / "case", str(folder / "one"), str(folder / "none"), SUNDAY).found.first
    week = folder / "case" / "weeks" / str(WEEK)
    week.mkdir(parents=True)
    told = revise((), kept.sittings, NOW, settled=True)
    (week / "told.json").write_bytes(kept_bytes(KeptWeek(WEEK, NOW, told), case))
    view = workflow.compare(folder / "case", str(WEEK), str(folder / "none"), SUNDAY)
    assert len(view.found.only_first) == 1
    assert view.found.decides is None
    assert not view.found.first.objectives


def refused(folder: Path, first: str, second: str) -> str:
    with pytest.raises((UsageError, FileError, CaseError)) as caught:
        workflow.compare(folder / "case", first, second, SUNDAY)
    return str(caught.value).replace(str(folder), "")


def test_what_cannot_be_compared_is_said(folder: Path) -> None:
    one, none = str(folder / "one"), str(folder / "none")
    document = folder / "none" / "plan.json"
    whole = document.read_text("utf-8")

    document.write_text(whole.replace("2026-W49", "2026-W50"), "utf-8")
    assert refused(folder, one, none) == (
        "The plan /one is of the week 2026-W49, and /none is of 2026-W50. Name two plans of one week."
    )
    document.write_text(whole[:200], "utf-8")
    assert refused(folder, one, none) == (
        "/none/plan.json:8: text that breaks off or is changed here; expected what 'genplan plan' wrote."
        " Plan the week again with --out."
    )
    document.write_text(whole.replace('"format": 1', '"format": 2'), "utf-8")
    assert refused(folder, one, none) == (
        "/none/plan.json: format: 2; expected what 'genplan plan' wrote. A newer version of the program wrote it: plan"
        " the week again with this one."
    )
    document.write_text(whole.replace('"new tuples"', '"old tuples"'), "utf-8")
    assert refused(folder, one, none) == (
        "/none/plan.json: objectives.1.name: \"old tuples\"; expected what 'genplan plan' wrote. Plan the week again"
        " with --out."
    )
    document.unlink()
    assert refused(folder, one, none).startswith("/none/plan.json could not be read (it is not there")
    assert refused(folder, one, "2026-W49").startswith("The week 2026-W49 was not kept")
    assert refused(folder, one, "nowhere").startswith(
        "nowhere is no folder, no file and no week. Name the folder"
    )


def test_a_plan_of_another_case_is_said(folder: Path) -> None:
    path = folder / "case" / "case.yaml"
    path.write_text(path.read_text("utf-8").replace("mum", "mam"), "utf-8")
    assert refused(folder, str(folder / "one"), str(folder / "none")).startswith(
        "The sitting 2026-W49-mon-mum-c89 of the plan /one holds the adult 'mum', which the case does not have: it is"
    )


def test_adults_of_the_case_alone_have_minutes() -> None:
    case = replace(CASE, adults={**CASE.adults, "cy": Adult(id="cy", name="Cy")})
    assert "cy" not in dict(of(saved(FIRST), saved(OTHER), case).minutes)


def test_figures_counted_from_different_moments_of_the_week_are_not_set_side_by_side() -> None:
    tuesday = NOW + timedelta(days=2)
    assert tuesday.date() >= WEEK.monday
    figures = [(objective(ObjectiveName.NEW_TUPLES, n),) for n in (84, 50)]
    first = saved(FIRST, objectives=figures[0])
    second = replace(saved(OTHER, objectives=figures[1]), made=tuesday)
    found = of(first, second)
    assert found.decides is None
    for some in (True, False):
        text = "\n".join(compared_lines(CASE, ("a", "b"), found, figures=some))
        assert "each leaves out what lay before, so their figures do not compare" in text
        assert "84" not in text
    alike = of(replace(first, made=tuesday), second)
    assert alike.decides is not None
    assert "84" in "\n".join(compared_lines(CASE, ("a", "b"), alike))


def test_the_nearest_date_comes_first() -> None:
    """Of the later one only the second shows anything, but the weeks after still can."""
    (skill,) = CASE.targets.values()
    later = WEEK.monday + timedelta(days=18)
    dated = replace(skill, first=(Wish({"adult": THREE[0]}, later), Wish({"location": ONE[1]}, WEEK.sunday)))
    case = replace(CASE, targets={"skill": dated})
    found = of(saved(FIRST, told_sitting(case, 1, 9, ("skill", TWO))), saved(OTHER), case)
    assert (len(found.wishes), len(found.dates)) == (1, 2)
    first, second = (line for line in said(found, case) if ", wanted by " in line)
    assert "in time the first plan shows " in first
    assert second.endswith("only the second plan has it.")


def test_the_gravest_comes_first_and_who_is_affected_is_named() -> None:
    """A date of which the second shows less, then what is due, then a wish without a date, then what is new."""
    (wren,), (skill,) = CASE.learners.values(), CASE.targets.values()
    dated = replace(skill, first=(Wish({"location": ONE[1]}, WEEK.sunday), Wish({"adult": THREE[0]}, None)))
    rook = replace(wren, id="rook", name="Rook", alias="R.")
    other = replace(skill, id="other", learner="rook")
    case = replace(CASE, learners={**CASE.learners, "rook": rook}, targets={"skill": dated, "other": other})
    both = told_sitting(case, 1, 9, ("skill", TWO))
    due = told_sitting(case, 2, 9, ("other", ONE))
    due = replace(due, probes=tuple(replace(p, kind=ProbeKind.MAINTENANCE) for p in due.probes))
    found = of(saved(FIRST, both, due), saved(OTHER), case)
    # of what holds the place: with each of two adults and each of two sets, so four pairs
    shown = [
        len({(d, c[i]) for c in some for i, d in ((0, "adult"), (2, "material_set"))})
        for some in ((ONE, TWO), (THREE,))
    ]
    assert [(b, of_all) for *_, b, of_all in found.dates] == [(Both(*shown), 4)]
    lines = said(found, case)
    order = [
        next(i for i, line in enumerate(lines) if some in line)
        for some in (
            f"in time the first plan shows {shown[0]} of 4 pairs, the second {shown[1]}.",
            "The first plan holds 1 due probe (maintenance, retest or baseline) that the second plan does not (R.).",
            "wanted before the rest: only the second plan has it.",
            "The first plan shows ",
            f"are told something otherwise: {ANN}, {BEN}, the family of R. and the family of W.",
        )
    ]
    assert order == sorted(order)
    # what is due shows three pairs that nobody has shown, of another child
    first, second = (
        {p for c in some for p in combinations(enumerate(c), 2)} for some in ((ONE, TWO), (THREE,))
    )
    new = len(first - second) + 3
    assert lines[order[3]] == f"The first plan shows {new} pairs that the second plan does not (R. and W.)."
    assert not lines[order[4]].endswith("..")
