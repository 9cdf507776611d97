"""What is told of a term: lines, table and document say the same."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime, time, timedelta

from genplan.case import Absence, Case, Wish
from genplan.language import Speech, speaking
from genplan.plan import ProbeKind, StageStatus
from genplan.plan.term import Promise, Term, TermCheck
from genplan.report.frames import as_frame
from genplan.report.term_document import term_json
from genplan.report.term_lines import term_lines
from genplan.report.term_page import shown, term_page
from genplan.report.term_table import term_table
from tests.fixtures.planning_cases import NOW
from tests.fixtures.term_cases import BY, TESS, WEEKS, the_term, therapist_case


def short_of_a_week() -> Case:
    case = therapist_case()
    monday = datetime.combine(WEEKS[1].monday, time())
    away = replace(case.adults[TESS], away=(Absence(monday, monday + timedelta(weeks=1)),))
    return replace(case, adults={**case.adults, TESS: away})


CASE = short_of_a_week()
TERM = the_term(CASE)


def said(case: Case, term: Term, *, begun: bool = False) -> str:
    return "\n".join(term_lines(case, term, NOW, begun=begun))


def test_how_many_hold_and_what_is_proven_of_the_others() -> None:
    text = said(CASE, TERM)
    assert (
        "The term has room for 2 of 3 dates. No plan of these weeks keeps more of them: that is proven."
        in text
    )
    assert "4 pairs" not in text.splitlines()[1]
    (missed,) = (line for line in text.splitlines() if line.startswith("Gives way"))
    assert "Tess, by Sunday 20 December 2026." in missed
    assert "No room is left for Tess in 2026-W49 and 2026-W51." in missed
    assert "Tess: minutes 2026-W49 60 of 60, 2026-W51 60 of 60" in text
    assert "has begun" not in text
    assert "The week 2026-W49 has begun: of it only what is still ahead is counted." in said(
        CASE, TERM, begun=True
    )


def test_a_bound_that_is_not_reached_is_told_as_no_more_than_that() -> None:
    ended = replace(TERM, bound=3, status=StageStatus.BEST_SO_FAR)
    assert "no plan of these weeks keeps more than 3, which is proven" in said(CASE, ended)


def test_dates_outside_the_weeks_are_told_as_that() -> None:
    late = the_term(CASE, WEEKS[4:], now=NOW + timedelta(weeks=4))
    text = said(CASE, late)
    assert (
        "Before these weeks, so nothing is said of it: Ida, Asks for help: Tess, by Sunday 20 December 2026."
        in text
    )
    early = the_term(CASE, WEEKS[:2])
    text = said(CASE, early)
    assert "Nothing to plan: no date of which something is still to be tried lies in these weeks." in text
    assert "After these weeks, so nothing is said of it: Kai" in text


def test_a_case_without_a_date_is_told_how_to_have_one() -> None:
    undated = {i: replace(t, first=(Wish({"adult": TESS}),)) for i, t in CASE.targets.items()}
    case = replace(CASE, targets=undated)
    text = said(case, the_term(case))
    assert "first: [{location: school, by: 2026-12-18}]" in text


def test_the_table() -> None:
    table = as_frame(term_table(CASE, TERM))
    assert list(table["promise"]).count("kept") == 2
    (missed,) = table[table["promise"] == Promise.GIVES_WAY.value].to_dict("records")
    assert (missed["wanted"], missed["by"], missed["tuples"]) == ("adult=tess", BY["ida"].isoformat(), 4)
    kai = table[table["learner"] == "kai"].iloc[0]
    assert len(kai["weeks"].split()) == kai["probes"] == 3


def test_the_document() -> None:
    document = json.loads(term_json(CASE, TERM, NOW))
    assert (document["kept"], document["bound"], document["status"]) == (2, 2, "optimal")
    assert [d["promise"] for d in document["dates"]].count("gives way") == 1
    assert len(document["probes"]) == len(TERM.probes)
    assert {p["values"]["adult"] for p in document["probes"]} == {TESS}
    assert document["probes"][0]["from"] == "2026-11-30"


def test_what_is_due_first_is_told_and_each_bound_says_of_which_plans() -> None:
    probe = replace(TERM.probes[0], shows=frozenset())
    check = TermCheck(
        learner="ida", target="ida-skill", kind=ProbeKind.MAINTENANCE, due=WEEKS[0].monday, probe=probe
    )
    nowhere = replace(check, kind=ProbeKind.RETEST, probe=None)
    term = replace(TERM, checks=(check, nowhere), bound=3, status=StageStatus.BEST_SO_FAR)
    text = said(CASE, term)
    assert "No plan that holds what is due in the weeks told here keeps more of them, and none at all" in text
    assert "1 probe has its place before all dates: 2026-W49 (1)." in text
    assert "No room was found for this: Ida, Asks for help: retest, due from Monday 30 November 2026." in text
    assert "no plan that holds what is due in the weeks told here keeps more than 3" in said(
        CASE, replace(term, bound_beside_due=3)
    )
    told = json.loads(term_json(CASE, term, NOW))
    assert (told["bound"], told["bound_beside_due"]) == (3, 2)
    assert [(d["kind"], d["probe"] and d["probe"]["week"]) for d in told["due"]] == [
        ("maintenance", "2026-W49"),
        ("retest", None),
    ]


def test_the_page_has_what_is_at_risk_first_and_then_the_weeks_of_each_date() -> None:
    page = term_page(CASE, TERM, NOW, begun=False)
    risk = page.partition("At risk</h2>")[2].partition("</ul>")[0]
    assert "Gives way." in risk
    assert "No room is left for Tess in 2026-W49 and 2026-W51." in risk
    found = shown(CASE, TERM, NOW, begun=False)
    rows = dict(found["learners"])
    (kai,) = rows["Kai"]
    # the last week is that of the date, so none comes after it
    assert [c.until for c in kai.cells] == [False] * 5 + [True]
    assert sum(int(c.text or 0) for c in kai.cells) == 3
    (missed,) = (row for some in rows.values() for row in some if row.at_risk)
    assert missed.words.startswith("Asks for help: Tess, by Sunday 20 December 2026")
    assert [c.after for c in missed.cells] == [False] * 3 + [True] * 3
    tess = next(row for row in found["loads"] if row.words == "Tess")
    assert [(c.text, c.full) for c in tess.cells[:2]] == [("100", True), ("", False)]
    assert found["months"] == [("Nov", 1), ("Dec", 4), ("Jan", 1)]


def test_the_page_in_german() -> None:
    with speaking(Speech("de")):
        found = shown(CASE, TERM, NOW, begun=False)
        page = term_page(CASE, TERM, NOW, begun=True)
    assert found["months"] == [("Nov", 1), ("Dez", 4), ("Jan", 1)]
    assert "Was gefährdet ist</h2>" in page
    assert "muss weichen" in page
