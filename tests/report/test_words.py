"""Words, counts and reasons that the terminal and the pages share."""

from __future__ import annotations

import re
from dataclasses import fields, replace
from datetime import date
from math import inf
from pathlib import Path

import pytest

import genplan
from genplan.case import PassMark
from genplan.case.possible import Obstacle, Rule
from genplan.coverage.matrix import MatrixRow
from genplan.evidence.standing import Standing, Status
from genplan.plan import (
    LeftOut,
    Objective,
    ObjectiveName,
    ObservedShare,
    Plan,
    ProbeKind,
    StageStatus,
    TargetCoverage,
    Unwatched,
)
from genplan.report.grid import grid, planned_cells
from genplan.report.names_and_words import (
    STATUS_MARKS,
    Names,
    clean,
    coverage_sentences,
    probe_number,
    tuple_word,
)
from genplan.report.objective_sentences import objective_sentence, staying_sentence
from genplan.report.plain_characters import in_order
from genplan.report.reasons import NAMED_AT_MOST, reason_groups, what_read, why_empty
from genplan.report.textgrid import columns_of, grid_lines
from genplan.rules.limits import LESS_URGENT, Kind, Limit
from genplan.text.left_out import what_text
from genplan.text.observers import not_moved, observed_texts, share_text
from tests.fixtures import builders as b
from tests.fixtures import taught_week as t

NEW = "Tuples shown for the first time, weighted by needs"


def objective(value: float, bound: float, status: StageStatus, sense: str = "most") -> Objective:
    return Objective(name="new tuples", sense=sense, value=value, bound=bound, status=status)


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (objective(25, 25, StageStatus.OPTIMAL), f"{NEW}: 25, proven best."),
        # Ran out of work, but the bound is reached: that is a proof.
        (objective(25, 25, StageStatus.BEST_SO_FAR), f"{NEW}: 25, proven best."),
        # 25 - 23 = 2 of 25 = 8 %.
        (objective(23, 25, StageStatus.BEST_SO_FAR), "at most 8 % short"),
        # 1 of 24 = 4.17 %, rounded up so that nothing is promised.
        (objective(23, 24, StageStatus.BEST_SO_FAR), "at most 5 % short"),
        (objective(0, 3, StageStatus.STOPPED), "at most 100 % short"),
        (
            objective(4, 3, StageStatus.STOPPED, "fewest"),
            "4; it may be that 3 would do. The search was stopped",
        ),
        (
            objective(4, 0, StageStatus.BEST_SO_FAR, "fewest"),
            f"{NEW}: 4. Whether fewer would do is not proven.",
        ),
        (objective(4, -inf, StageStatus.BEST_SO_FAR, "fewest"), "4. Whether fewer would do is not proven."),
        (
            objective(23, 25, StageStatus.STOPPED),
            "stopped before a proof: no plan of this week reaches more than 25.",
        ),
        (objective(0, 0, StageStatus.NOT_REACHED), f"{NEW}: not looked at"),
    ],
)
def test_objectives_in_words(found: Objective, said: str) -> None:
    assert said in objective_sentence(found)
    assert ("proven best." in objective_sentence(found)) == (
        found.shortfall == 0 and "not looked" not in said
    )


def test_objectives_beside_what_stays() -> None:
    """Where sittings stay as they are each sentence says that it does not count them, or that they are held."""
    found = objective(23, 25, StageStatus.BEST_SO_FAR)
    said = objective_sentence(found, beside=True)
    assert said.startswith(f"{NEW}, beside what stays: 23, at most 8 %")
    assert said.endswith("no plan of this week that holds what stays reaches more than 25.")
    fewest = replace(objective(4, 3, StageStatus.BEST_SO_FAR, "fewest"), name=ObjectiveName.FURTHER_PROBES)
    said = objective_sentence(fewest, beside=True)
    assert "beside what stays" not in said
    assert said.endswith("no plan of this week that holds what stays gets below 3.")


@pytest.mark.parametrize(
    ("cover", "extra", "word"),
    [
        ("each-value", False, "single value"),
        ("pairs", False, "pair"),
        ("triples", True, "triple"),
        # Three of three dimensions are the whole combination.
        ("triples", False, "combination"),
        ("all", True, "combination"),
    ],
)
def test_what_a_tuple_is_called(cover: str, extra: bool, word: str) -> None:
    target = b.a_target(cover=cover)
    assert tuple_word(b.with_wording(target) if extra else target) == word


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        (
            (24, 9, 8, 3, 3, 12, 5, 4, 2),
            "12 are still open after it: 5 further probes can finish them, at least 4 are",
        ),
        (
            (24, 9, 8, 3, 3, 12, 5, 5, 2),
            "12 are still open after it: 5 further probes can finish them, no fewer.",
        ),
        (
            (24, 20, 20, 3, 3, 1, 1, 1, 2),
            "1 is still open after it: 1 further probe can finish it, no fewer.",
        ),
        ((24, 21, 20, 3, 3, 0, 0, 0, 2), "Nothing is left open after it."),
    ],
)
def test_coverage_in_words(numbers: tuple[int, ...], said: str) -> None:
    counts = dict(zip([f.name for f in fields(TargetCoverage)][2:], numbers, strict=True))
    cover = TargetCoverage(learner="wren", target="zips-jacket", **counts)
    sentences = coverage_sentences(b.a_target(), cover)
    assert said in sentences[2]
    possible, shown, tested, met, new = numbers[:5]
    only = f"; {shown - tested} taught and not tried" if shown > tested else ""
    figures = f"{tested} of {possible} pairs tried, {met} met, 2 met without teaching"
    assert sentences[0] == f"Before this week {figures}{only}."
    assert sentences[1] == f"This week adds {new} pairs."
    # in its week what was run of it until now is among what was tried
    so_far = coverage_sentences(b.a_target(), cover, begun=True)
    assert so_far == (f"So far {figures}{only}.", *sentences[1:])


def test_equal_reasons_are_one_group_and_its_parts_add_up() -> None:
    groups = reason_groups(Names(b.a_case()), b.left_out(), "wren")
    assert [g.kind for g in groups] == [ProbeKind.MAINTENANCE, ProbeKind.NEW, ProbeKind.NEW]
    assert [g.targets[0].amount for g in groups] == ["1 maintenance probe", "12 pairs", "2 pairs"]
    assert len(groups[1].targets[0].named) == NAMED_AT_MOST
    assert groups[1].targets[0].unnamed == 12 - NAMED_AT_MOST
    assert groups[2].reason == "Other probes were worth more in the same hours."
    assert reason_groups(Names(b.a_case()), b.left_out("robin"), "wren") == ()


def test_no_reason_is_read_twice() -> None:
    """A retest and new pairs that the same stands in the way of."""
    item = next(i for i in b.left_out() if i.kind is ProbeKind.NEW)
    both = [replace(item, tuples=2), replace(item, kind=ProbeKind.RETEST)]
    (group,) = reason_groups(Names(b.a_case()), both, "wren")
    assert (group.kind, group.targets[0].amount) == (ProbeKind.RETEST, "1 retest and 2 pairs")


def test_a_left_out_thing_that_stands_for_several_tuples_counts_them() -> None:
    item = LeftOut(
        learner="wren",
        target="zips-jacket",
        kind=ProbeKind.NEW,
        values=(("adult", "grandad"), ("location", "home")),
        limit=Limit(Kind.NO_TIME),
        tuples=4,
    )
    assert reason_groups(Names(b.a_case()), [item], "wren")[0].targets[0].amount == "4 pairs"


def test_what_was_not_looked_for_says_what_is_true_of_the_clock_and_of_a_person() -> None:
    both = "ended, by its time or by hand, before"
    no_reason = replace(b.left_out()[0], limit=Limit(Kind.NO_TIME))
    share = ObservedShare(
        learner="wren", probes=9, observed=1, new=0, wanted=3, unwatched=Unwatched.STOPPED, without=2
    )
    assert both in reason_groups(Names(b.a_case()), [no_reason], no_reason.learner)[0].reason
    assert both in share_text(b.a_case(), share)


def test_that_no_probe_is_moved_for_an_observer_is_said_once_and_only_where_one_is_lacking() -> None:
    share = ObservedShare(
        learner="wren", probes=9, observed=1, new=0, wanted=3, unwatched=Unwatched.HINDERED, without=2
    )
    lacking = observed_texts(b.a_case(), [share, share])
    assert [not_moved() == text for text in lacking] == [False, False, True]
    assert observed_texts(b.a_case(), [replace(share, unwatched=None)])[1:] == ()


def test_why_a_week_is_empty() -> None:
    case, empty = b.a_case(), b.an_empty_plan()
    assert "Nothing is owed this week" in why_empty(case, empty)[0]
    owed = b.an_empty_plan(left_out=b.left_out())
    assert "Nothing that is owed fits" in why_empty(case, owed)[0]
    teaching = b.a_case(targets=[b.a_target(state="teaching")])
    assert "No target is marked mastered" in why_empty(teaching, empty)[0]
    for reasons in (why_empty(case, empty), why_empty(case, owed), why_empty(teaching, empty)):
        assert reasons[1].startswith("What to do: ")


@pytest.mark.parametrize(
    ("mark", "trials", "needed"), [("4/5", 5, 4), ("4/5", 10, 8), ("4/5", 6, 5), ("9/10", 5, 5)]
)
def test_the_fewest_correct_that_meet_a_mark(mark: str, trials: int, needed: int) -> None:
    # 4/5 of 6 is 4.8, so 5; 9/10 of 5 is 4.5, so 5.
    pass_mark = PassMark(*map(int, mark.split("/")))
    assert pass_mark.needed(trials) == needed
    assert pass_mark.is_met_by(needed, trials)
    assert not pass_mark.is_met_by(needed - 1, trials)


def test_names_of_others_pages_are_aliases() -> None:
    case = b.a_case()
    assert Names(case).learner("wren") == "W."
    assert Names(case, private=True).learner("wren") == "Wren Example"
    assert Names(case).adult("nobody") == "nobody"


def test_text_that_could_steer_a_terminal_is_taken_out() -> None:
    assert clean("a\x1b[31mred\r\nb") == "a [31mred b"
    assert clean("abc\u202edef") == "abcdef"
    assert clean("\ud800") == "\ufffd"
    assert clean("one\u2028two") == "one two"
    assert clean("Zoë 👩\u200d🏫 ירון") == "Zoë 👩\u200d🏫 ירון"


def test_a_probe_number_names_its_sitting() -> None:
    sitting = b.the_sittings()[0]
    assert [probe_number(sitting, i) for i in range(2)] == ["wren-tue1530.1", "wren-tue1530.2"]


def test_every_row_is_in_the_grid_once() -> None:
    case, target = b.a_case(), b.a_target()
    rows = b.the_rows(case, target, b.a_log())
    drawn = grid(Names(case), target, rows, {})
    cells = [c.word for block in drawn.blocks for line in block.lines for c in line.cells]
    assert sorted(cells) == sorted(r.status for r in rows)
    assert len(cells) == 27
    assert drawn.outside == ()


def test_a_line_that_one_reason_bars_says_it_once() -> None:
    case, target = b.a_case(), b.a_target()
    drawn = grid(Names(case), target, b.the_rows(case, target, b.a_log()), {})
    barred = [
        (block.adult, line.label, line.barred)
        for block in drawn.blocks
        for line in block.lines
        if line.barred
    ]
    assert ("Grandad", "School", "Grandad does not go to School") in barred
    assert not any("does not go to" in reason for reason in drawn.reasons)


def test_different_reasons_in_one_line_are_listed_instead() -> None:
    case = b.a_case()
    target = b.a_target(never=({"adult": "teacher", "location": "home", "material_set": "coats"},))
    drawn = grid(Names(case), target, b.the_rows(case, target, b.a_log()), {})
    assert any("1 combination not possible" in reason for reason in drawn.reasons)


def test_a_combination_run_outside_of_the_target_is_not_lost() -> None:
    case, target = b.a_case(), b.a_target()
    odd = Standing(
        status=Status.MET, tested=True, retest_due=False, last_date=date(2026, 11, 2), correct=4, trials=5
    )
    against = Obstacle(Rule.NOT_VARIED, target.id, (("adult", "aunt"),))
    row = MatrixRow("wren", target.id, ("aunt", "home", "coats"), "not possible", odd, against)
    drawn = grid(Names(case), target, (*b.the_rows(case, target, b.a_log()), row), {})
    assert drawn.outside == ("aunt, Home, Three winter coats: met, 4/5, 2 Nov 2026, not possible now",)


def test_planned_cells_say_when_and_what_was_before() -> None:
    case = b.a_case()
    plan = b.a_plan(case)
    drawn = grid(Names(case), b.a_target(), plan.matrix, planned_cells(plan.planned()))
    planned = [
        c.fine for block in drawn.blocks for line in block.lines for c in line.cells if c.word == "planned"
    ]
    assert sorted(planned) == [
        ("Sat 09:45", "maintenance", "before: taught"),
        ("Tue 15:30", "new"),
        ("Tue 15:30", "retest", "before: taught (last probe 1/5)"),
    ]


def test_a_grid_that_does_not_fit_becomes_a_list() -> None:
    case, target = b.a_case(), b.a_target()
    drawn = grid(Names(case), target, b.the_rows(case, target, b.a_log()), {})
    wide = grid_lines(drawn, None)
    widest = max(map(columns_of, wide))
    assert grid_lines(drawn, widest) == wide
    narrow = grid_lines(drawn, widest - 1)
    assert "  Three winter coats: met 5/5" in narrow
    assert len(narrow) > len(wide)


def test_columns_of_a_terminal() -> None:
    # A Han sign takes two columns, a combining accent none.
    assert [columns_of(t) for t in ("abc", "漢字", "e\u0301")] == [3, 4, 1]


def test_no_sign_is_a_box_or_a_ring_filled_more_or_less() -> None:
    """Such signs read as a scale, and a status is none: what was not met is no less than what was never tried."""
    assert [m.sign for m in STATUS_MARKS.values() if "\u25a0" <= m.sign <= "\u25ff"] == []
    shades = "\u2580-\u25b7\u25b9-\u25ff\u2610-\u2612\u26aa\u26ab\u2b1a-\u2b1c\u2b24-\u2bff"
    package = Path(genplan.__file__).parent
    shown = [f for f in sorted(package.rglob("*")) if f.suffix in (".py", ".html", ".css", ".js", ".yaml")]
    assert len(shown) > 100
    assert [f.name for f in shown if re.search(f"[{shades}]", f.read_text("utf-8"))] == []
    css = (package / "report/templates/style.css").read_text("utf-8")
    grounds = {m.style: f".{m.style} {{ border-left: " in css for m in STATUS_MARKS.values()}
    assert grounds == {"met": True, "not-met": True, "taught": True, "untested": False, "no": False}


def test_signs_and_words_are_told_apart() -> None:
    marks = STATUS_MARKS.values()
    for what in ("sign", "word", "meaning", "style"):
        assert len({getattr(m, what) for m in marks}) == len(STATUS_MARKS)


def test_an_unknown_status_is_never_shown_as_another() -> None:
    case, target = b.a_case(), b.a_target()
    row = MatrixRow("wren", target.id, ("mum", "home", "coats"), "half met", Standing())
    with pytest.raises(KeyError):
        grid(Names(case), target, [row], {})


def test_what_was_left_out_is_read_with_its_date_in_words() -> None:
    """The date of a maintenance probe, and none in what somebody called a thing."""
    case, called = b.a_case(), "the maintenance probe due on 2026-11-06"
    due = LeftOut(
        learner="wren",
        target="zips-jacket",
        kind=ProbeKind.MAINTENANCE,
        values=(),
        limit=LESS_URGENT,
        due=date(2026, 12, 1),
    )
    named = LeftOut(
        learner="wren",
        target="zips-jacket",
        kind=ProbeKind.NEW,
        values=(("wording", called),),
        limit=LESS_URGENT,
    )
    assert what_read(case, due) == "the maintenance probe due on 1 Dec 2026"
    assert what_text(case, due) == "the maintenance probe due on 2026-12-01"
    assert what_read(case, named) == what_text(case, named) == called


@pytest.mark.parametrize(("on", "words"), [(date(2026, 11, 6), " on 6 Nov 2026"), (None, "")])
def test_a_reason_is_read_with_its_date_in_words(on: date | None, words: str) -> None:
    item = LeftOut(
        learner="wren",
        target="zips-jacket",
        kind=ProbeKind.RETEST,
        values=(("adult", "grandad"),),
        limit=Limit(Kind.TEACHING, on=on),
    )
    (group,) = reason_groups(Names(b.a_case()), [item], "wren")
    assert group.reason == f"Not met{words} and not taught since: it waits for teaching."


def test_children_and_skills_are_shown_as_a_person_orders_them() -> None:
    assert in_order(["C10", "C2", "C1", "C11", "ann"]) == ["C1", "C2", "C10", "C11", "ann"]
    case = b.a_case()
    item = b.left_out()[0]
    items = [replace(item, target=i) for i in ("s10", "s2")]
    (group,) = reason_groups(Names(case), items, item.learner)
    assert [t.id for t in group.targets] == ["s2", "s10"]


def test_an_objective_calls_tuples_as_the_skills_do() -> None:
    found = objective(25, 25, StageStatus.OPTIMAL)
    assert (
        objective_sentence(found, "pairs")
        == "Pairs shown for the first time, weighted by needs: 25, proven best."
    )


def test_what_stays_is_said_above_the_figures_with_what_the_week_adds_in_all() -> None:
    sittings = t.the_sittings()
    begun = (replace(sittings[0], begun=True), *sittings[1:])
    plan = Plan.of_sittings(b.WEEK, sittings[0].end, begun)
    assert staying_sentence(t.the_case(), replace(plan, sittings=sittings)) == ""
    said = staying_sentence(t.the_case(), plan)
    assert said.startswith(f"Of the {len(sittings)} sittings 1 has begun: no plan changes that. In all")


def test_a_share_is_told_as_one_of_something() -> None:
    """'Share …: 1, proven best' says of nothing what it is one of."""
    whole = replace(objective(1, 1, StageStatus.OPTIMAL), name=ObjectiveName.SHARES)
    assert objective_sentence(whole, "pairs") == (
        "Share of its possible new pairs, for the learner worst off: 100 % of what it could have with the week"
        " to itself, proven best."
    )
    part = objective_sentence(replace(whole, value=0.857, status=StageStatus.BEST_SO_FAR), "pairs")
    assert "worst off: 85.7 % of what it could have" in part
    assert part.endswith("no plan of this week reaches more than 100 %.")
