"""plan.json and run.json."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from datetime import date

import pytest

from genplan.case import Wish
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.coverage.matrix import matrix
from genplan.coverage.tally import tally
from genplan.evidence.log import Log
from genplan.plan import (
    LeftOut,
    MissedDate,
    Objective,
    Plan,
    ProbeKind,
    RunReport,
    Sitting,
    TargetCoverage,
    Unkept,
    WeeksBefore,
    WishAnswer,
)
from genplan.report.document import plan_document, plan_json, run_json
from genplan.report.grid import grid
from genplan.report.names_and_words import Names
from genplan.rules.limits import LESS_URGENT
from tests.fixtures.tiny import tiny_case, tiny_plan, zips


def test_the_document_reads_back_as_it_was_made() -> None:
    case, plan = tiny_case(), tiny_plan()
    assert json.loads(plan_json(case, plan)) == plan_document(case, plan)


@pytest.mark.parametrize(
    ("kind", "key"),
    [
        (Plan, None),
        (Sitting, "sittings"),
        (Objective, "objectives"),
        (TargetCoverage, "coverage"),
        (LeftOut, "left_out"),
    ],
)
def test_no_field_of_a_plan_is_forgotten(kind: type, key: str | None) -> None:
    plan = tiny_plan()
    combination = plan.sittings[0].probes[0].combination
    wish = WishAnswer(
        wish=PlannersWish(kind=WishKind.NOT, sitting="2026-W49-tue-mum-3fa", note="tired"), kept=True
    )
    left = replace(plan.left_out[0], teachings=1, instead_of=(combination,))
    early = (("zips", (("adult", "mum"), ("location", "home")), 1),)
    plan = replace(plan, left_out=(left,), wishes=(wish,), people_told=(), catch_up=early, turns=early)
    plan = replace(plan, before=WeeksBefore(3, {"mum": 45}, {"wren": 2}))
    plan = replace(plan, missed=(MissedDate(item=left, by=date(2026, 12, 4)),))
    document = plan_document(tiny_case(), plan)
    keys = document if key is None else document[key][0]
    # what two equal plans may differ in is no part of a plan: it is written in a kept week alone
    assert {f.name for f in fields(kind) if f.compare} <= set(keys)


def test_why_somebody_wished_it_is_nobodys_business() -> None:
    wish = PlannersWish(kind=WishKind.NOT, sitting="2026-W49-tue-mum-3fa", note="tired")
    plan = replace(
        tiny_plan(), wishes=(WishAnswer(wish=wish, kept=False, why=Unkept.BEGUN, against=(wish,)),)
    )
    (document,) = plan_document(tiny_case(), plan)["wishes"]
    assert document["wish"] == {"not": "2026-W49-tue-mum-3fa"}
    assert "tired" not in json.dumps(document)


def test_its_head_names_the_format_the_week_and_the_moment() -> None:
    document = plan_document(tiny_case(), tiny_plan())
    assert list(document)[:5] == ["format", "week", "now", "timezone", "repeatable"]
    assert document["format"] == 1
    assert document["now"] == "2026-11-29T12:00:00+00:00"
    assert document["timezone"] == "Europe/Dublin"


def test_each_objective_has_its_value_bound_and_status() -> None:
    first, second = plan_document(tiny_case(), tiny_plan())["objectives"]
    assert (first["value"], first["bound"], first["status"]) == (6, 6, "optimal")
    # nobody proved a bound: null, since JSON has no infinity
    assert (second["value"], second["bound"], second["status"]) == (1.5, None, "not reached")


def test_what_shares_are_shares_of_and_the_wishes_at_their_last_chance() -> None:
    case = tiny_case(zips=zips(first=(Wish({"location": "park"}), Wish({"adult": "mum"}, date(2026, 12, 4)))))
    plan = replace(
        tiny_plan(), sittings=(), matrix=(), alone={"wren-q": 12.0}, last_chances=frozenset([("zips", 1)])
    )
    document = plan_document(case, plan)
    assert document["alone"] == {"wren-q": 12}
    assert document["last_chances"] == [{"target": "zips", "pattern": {"adult": "mum"}, "by": "2026-12-04"}]


def test_what_was_left_out_has_its_reason() -> None:
    assert plan_document(tiny_case(), tiny_plan())["left_out"] == [
        {
            "learner": "wren-q",
            "target": "zips",
            "kind": "new",
            "what": "Mum; Zoë, 🦊 + Two jackets with different zips",
            "rule": "time of mum",
            "reason": "Mum; Zoë, 🦊 is with another learner, or on the way, in those hours",
            "tuples": 2,
            "limit": {"kind": "time of an adult", "subject": "mum", "adult": "mum"},
            "values": {"adult": "mum", "material_set": "jackets"},
            "due": None,
        }
    ]


def test_a_combination_is_told_by_the_names_of_its_dimensions() -> None:
    document = plan_document(tiny_case(), tiny_plan())
    probe = document["sittings"][0]["probes"][0]
    assert probe["combination"] == {
        "adult": "grandad",
        "location": "park",
        "material_set": "jackets",
        "wording": "Do up your coat",
    }
    assert [r["planned"] for r in document["matrix"]] == ["2026-w49-1", None, None]
    assert [r["last_date"] for r in document["matrix"]] == [None, "2026-11-20", None]


def test_a_plan_cut_short_by_the_clock_says_so() -> None:
    assert plan_document(tiny_case(), replace(tiny_plan(), repeatable=False))["repeatable"] is False


def test_text_stays_readable_and_a_lone_surrogate_breaks_nothing() -> None:
    left = LeftOut(
        learner="wren-q",
        target="zips",
        kind=ProbeKind.NEW,
        values=(("wording", "Zoë 🦊 \ud83d"),),
        limit=LESS_URGENT,
    )
    data = plan_json(tiny_case(zips=zips()), replace(tiny_plan(), left_out=(left,), matrix=(), sittings=()))
    assert "Zoë 🦊".encode() in data
    assert json.loads(data.decode("utf-8"))["left_out"][0]["what"] == "Zoë 🦊 \ud83d"


def test_the_run_is_a_document_of_its_own() -> None:
    run = RunReport(
        {"solve": 1.25},
        {"booleans": 40},
        {"ortools": "9.15"},
        ({"step": "alone", "seconds": 1},),
        {"kept": 3, "searched": 1},
    )
    assert json.loads(run_json(run)) == {
        "format": 1,
        "seconds": {"solve": 1.25},
        "steps": [{"step": "alone", "seconds": 1}],
        "sizes": {"booleans": 40},
        "versions": {"ortools": "9.15"},
        "answers": {"kept": 3, "searched": 1},
    }


def test_what_is_not_possible_is_told_by_rule_and_ids() -> None:
    rows = plan_document(tiny_case(), tiny_plan())["matrix"]
    assert [r["obstacle"] for r in rows] == [
        None,
        None,
        {"rule": "never", "values": {"wording": "=1+1"}, "found": []},
    ]
    assert rows[2]["why"] == "the case says never: =1+1"


def test_namesakes_do_not_share_an_answer() -> None:
    """Two adults called Sam, neither of whom works with the child: each row, sentence and group names its own."""
    case = tiny_case()
    pair = sorted(zips().dimensions[0].values)[:2]
    sams = {i: replace(case.adults[i], name="Sam", learners=frozenset()) for i in pair}
    case = replace(case, adults={**case.adults, **sams})
    target = case.targets["zips"]
    rows = matrix(case, tally(case, target, Log(), date(2026, 11, 29)), date(2026, 11, 29))
    document = plan_document(case, replace(tiny_plan(), sittings=(), matrix=rows))
    told = {(r["combination"]["adult"], r["obstacle"]["values"]["adult"], r["why"]) for r in document["matrix"]
            if r["combination"]["adult"] in pair}  # fmt: skip
    child = case.learners[target.learner].alias
    assert told == {(i, i, f"Sam ({i}) does not work with {child}") for i in pair}
    drawn = grid(Names(case), target, rows, {})
    barred = {line.barred for block in drawn.blocks if block.adult.startswith("Sam") for line in block.lines}
    assert barred == {f"Sam ({i}) does not work with {child}" for i in pair}
