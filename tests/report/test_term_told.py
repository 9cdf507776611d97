"""What is told of a term: lines, table and document say the same."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime, time, timedelta

import pytest

from genplan.case import Absence, AdultLimits, Case, TargetState, Wish
from genplan.evidence.log import Log, Result, ResultKind
from genplan.language import Speech, speaking
from genplan.plan import ProbeKind, StageStatus
from genplan.plan.term import NoWay, Promise, Shortage, Term, TermCheck, TriedDate, Unit, Whose
from genplan.report.frames import as_frame
from genplan.report.names_and_words import Names
from genplan.report.term_document import term_json
from genplan.report.term_in_the_way import in_the_way_sentences
from genplan.report.term_lines import term_lines
from genplan.report.term_page import shown, term_page
from genplan.report.term_table import term_table
from genplan.rules.limits import Kind
from tests.fixtures.planning_cases import NOW
from tests.fixtures.term_cases import BY, PLACES, TESS, WEEKS, the_term, therapist_case, with_rules


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
        "Counted by day and week there is room for 2 of 3 dates. No plan of these weeks keeps more of them: that is"
        " proven. Whether each week finds room for its part only the plan of that week shows." in text
    )
    assert "4 pairs" not in text.splitlines()[1]
    (missed,) = (line for line in text.splitlines() if line.startswith("Gives way"))
    assert "Tess, by Sunday 20 December 2026." in missed
    assert (
        "For Tess no start is left from which one more probe of it has room in 2026-W49 and 2026-W51."
        in missed
    )
    assert "Tess: minutes 2026-W49 60 of 60, 2026-W51 60 of 60" in text
    assert "has begun" not in text
    assert "The week 2026-W49 has begun: of it only what is still ahead is counted." in said(
        CASE, TERM, begun=True
    )


@pytest.mark.parametrize(
    "taught", [["ida-skill"], ["ida-skill", "jon-skill", "kai-skill"]], ids=["one", "all"]
)
def test_a_date_of_a_skill_that_is_still_being_taught_is_said(taught: list[str]) -> None:
    case = therapist_case()
    begun = {i: replace(case.targets[i], state=TargetState.TEACHING) for i in taught}
    case = replace(case, targets={**case.targets, **begun})
    term = the_term(case)
    assert {d.target for d in term.dates}.isdisjoint(taught)
    lines = [line for line in said(case, term).splitlines() if "Still being taught" in line]
    assert ["Ida" in lines[0], len(lines)] == [True, len(taught)]
    assert "by Sunday 20 December 2026" in lines[0]
    assert "known once the skill is 'state: mastered'" in lines[0]
    document = json.loads(term_json(case, term, NOW))
    assert [one["target"] for one in document["still_taught"]] == taught
    assert "Still being taught" in term_page(case, term, NOW, begun=False)


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
    assert "Say in a target what is wished first and by which day, such as at school by 18 December" in text
    assert "[" not in text


def test_the_table() -> None:
    table = as_frame(term_table(CASE, TERM))
    assert list(table["promise"]).count("kept") == 2
    (missed,) = table[table["promise"] == Promise.GIVES_WAY.value].to_dict("records")
    assert (missed["wanted"], missed["by"], missed["tuples"]) == ("adult=tess", BY["ida"].isoformat(), 4)
    kai = table[table["learner"] == "kai"].iloc[0]
    assert len(kai["weeks"].split()) == kai["probes"] == 3


def test_the_document() -> None:
    document = json.loads(term_json(CASE, TERM, NOW))
    assert (document["kept"], document["bound"], document["status"]) == (2, 2, "bound reached")
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
    assert (
        "For Tess no start is left from which one more probe of it has room in 2026-W49 and 2026-W51." in risk
    )
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


def test_where_all_dates_have_room_it_is_said_that_no_week_is_planned_yet() -> None:
    case = therapist_case({"ida": BY["ida"]})
    text = said(case, the_term(case))
    assert "there is room for 1 of 1 date. Whether each week finds room for its part" in text


def test_every_date_that_is_not_kept_has_something_in_its_way_in_the_table() -> None:
    for promise in Promise:
        bare = replace(TERM.dates[0], promise=promise, short=(), no_way={})
        (row,) = as_frame(term_table(CASE, replace(TERM, dates=(bare,)))).to_dict("records")
        assert bool(row["in_the_way"]) == (promise is not Promise.KEPT)


@pytest.mark.parametrize(
    ("why", "words"),
    [
        (NoWay.TOO_LONG, "One probe of it with settling in takes 30 minutes, more than a sitting of Ida may last: "),
        (NoWay.WAITS, "This waits for teaching or a retest, and after that there is no time for it before the date: "),
        (NoWay.NO_HOURS, "Before the date there are no 30 minutes in which Ida, an adult who may run it, a place and"
         " the things for it come together: "),
        (NoWay.NO_COMPANION, "Who may run it has not worked with Ida yet, and nobody who has can sit beside before the"
         " date: "),
        (NoWay.NOT_WISHED, "In the hours that there are for it before the date somebody wished no sitting of Ida with"
         " the adult: "),
    ],
)  # fmt: skip
def test_what_has_no_way_is_told_with_its_reason(why: NoWay, words: str) -> None:
    first = TERM.dates[0]
    one = min(first.tuples)
    missed = replace(first, promise=Promise.CANNOT, short=(), no_way={one: why})
    term = replace(TERM, dates=(missed,))
    assert words in " ".join(said(CASE, term).split())
    (told,) = json.loads(term_json(CASE, term, NOW))["dates"]
    assert (told["no_way"], told["no_way_why"]) == ([dict(one)], [why.value])


def test_of_several_without_a_way_it_is_seen_where_one_ends() -> None:
    first = TERM.dates[0]
    names = Names(CASE)
    one = min(first.tuples)
    other = tuple((name, value) for name, value in one[:1])
    missed = replace(
        first, promise=Promise.CANNOT, short=(), no_way={one: NoWay.NO_HOURS, other: NoWay.NO_HOURS}
    )
    found = " ".join(in_the_way_sentences(names, TERM, missed))
    values = [names.value(name, value) for name, value in one]
    assert f"come together: {' and '.join(values)}; {values[0]}." in found


def test_free_minutes_say_what_they_are() -> None:
    words = (
        "Only minutes in which a child with something to check, an adult and an open place have time together"
    )
    assert words in " ".join(said(CASE, TERM).split())
    assert words in term_page(CASE, TERM, NOW, begun=False)
    bare = replace(TERM, loads=())
    assert words not in " ".join(said(CASE, bare).split())
    assert words not in term_page(CASE, bare, NOW, begun=False)


@pytest.mark.parametrize(
    ("unit", "words"),
    [
        (Unit.MINUTES, "For Tess no start is left from which one more probe of it has room in 2026-W49."),
        (Unit.SITTINGS, "For Tess there can be no further sitting for it in 2026-W49."),
        (Unit.PROBES, "For Tess there can be no further probe of it in 2026-W49."),
    ],
)
def test_a_reason_says_what_is_used_up_for_minutes_may_be_left(unit: Unit, words: str) -> None:
    short = Shortage(whose=Whose.ADULT, names=(TESS,), unit=unit, weeks=(0,))
    missed = replace(TERM.dates[0], promise=Promise.GIVES_WAY, short=(short,))
    assert words in said(CASE, replace(TERM, dates=(missed,)))


def failed_at_the_clinic(taught: bool) -> Term:
    """Ida was seen by Tess at all three places, and at the clinic it was not met."""
    case, day = therapist_case({"ida": BY["ida"]}), NOW.date() - timedelta(days=9)
    rows = [
        Result(
            line=n,
            date=day,
            time=None,
            target="ida-skill",
            kind=ResultKind.PROBE,
            combination=(TESS, place, "red"),
            trials=5,
            correct=0 if place == "clinic" else 5,
        )
        for n, place in enumerate(PLACES, 2)
    ]
    if taught:
        rows.append(
            replace(rows[0], line=9, date=day + timedelta(days=1), kind=ResultKind.TEACHING, correct=5)
        )
    return the_term(case, log=Log.of(rows))


def test_a_date_that_was_tried_and_not_met_says_what_it_waits_for() -> None:
    case = therapist_case({"ida": BY["ida"]})
    waits = failed_at_the_clinic(taught=False)
    words = "Tried and not met: Ida, Asks for help: Tess, by Sunday 20 December 2026."
    text = said(case, waits)
    assert (
        f"{words} 1 combination waits for teaching, and is not probed again before that is recorded." in text
    )
    assert "all that the dates ask for was tried" in text
    (row,) = as_frame(term_table(case, waits)).to_dict("records")
    assert (row["promise"], row["by"], row["tuples"]) == ("not met", BY["ida"].isoformat(), 0)
    assert "waits for teaching" in row["in_the_way"]
    (told,) = json.loads(term_json(case, waits, NOW))["not_met"]
    assert (told["to_teach"], told["retests"], told["retest_from"]) == (1, 0, None)
    again = failed_at_the_clinic(taught=True)
    (tried,) = again.tried
    assert (tried.to_teach, tried.retests) == (0, 1)
    assert f"{words} 1 combination is to be probed again, from " in said(case, again)


def test_how_many_dates_wait_stands_beside_how_many_have_room() -> None:
    """Of the first date all that is left, or some, was tried; where nothing was, nothing is said."""
    first = TERM.dates[0]
    tried = TriedDate(
        learner=first.learner,
        target=first.target,
        place=first.place,
        by=first.by,
        to_teach=1,
        retests=0,
        retest_from=None,
    )
    for term, part, whole in (
        (TERM, False, False),
        (replace(TERM, tried=(tried,)), True, False),
        (replace(TERM, tried=(tried,), dates=TERM.dates[1:]), False, True),
    ):
        text = said(CASE, term)
        assert ("Of 1 of these a part was tried already and not met" in text) is part
        assert ("1 date more is not among these: what is left of it was tried and not met" in text) is whole


def test_a_date_of_which_all_was_met_is_not_told_as_tried() -> None:
    assert the_term(CASE).tried == ()


def test_who_is_used_up_by_a_limit_of_the_week_comes_first_and_the_limit_is_told() -> None:
    """Tess has an hour a week, of which the limit leaves half; the places are open all day."""
    case = therapist_case({"ida": BY["ida"]})
    limits = AdultLimits(minutes_per_week=45, sittings_per_week=1)
    case = replace(case, adults={**case.adults, TESS: replace(case.adults[TESS], limits=limits)})
    term = the_term(case)
    loads = said(case, term).split("needed most\n")[1].splitlines()[1:]
    assert (
        loads[0]
        == "Tess: minutes " + ", ".join(f"2026-W{n} 30 of 45 (1 of 1 sitting)" for n in (49, 50, 51)) + "."
    )
    assert not any("sitting" in line for line in loads[1:3])
    (told,) = (x for x in json.loads(term_json(case, term, NOW))["loads"] if x["id"] == TESS)
    assert (told["free"], told["sittings"], told["most_sittings"]) == ([45] * 3, [1] * 3, [1] * 3)
    (row, *_others) = shown(case, term, NOW, begun=False)["loads"]
    assert [(cell.text, cell.full) for cell in row.cells[:3]] == [("100", True)] * 3


@pytest.mark.parametrize("taught", [False, True])
def test_a_date_whose_probes_wait_for_a_lapse_says_that_it_hangs_on_it(taught: bool) -> None:
    """What Mum taught at the gym is not met any more, and new probes wait for it: Tess's three come after that."""
    case = with_rules(therapist_case({"ida": BY["ida"]}), new_wait_after_lapse=True)
    lapsed = {"adult": "idas-mum", "location": "gym"}
    case = replace(
        case, targets={"ida-skill": replace(case.targets["ida-skill"], taught=(lapsed,), retest_after_days=0)}
    )
    day = NOW.date() - timedelta(days=9)
    rows = [
        Result(
            line=2, date=day, time=None, target="ida-skill", kind=ResultKind.PROBE,
            combination=("idas-mum", "gym", "red"), trials=5, correct=0,
        )
    ]  # fmt: skip
    if taught:
        rows += [
            replace(rows[0], line=n, date=day + timedelta(days=n), kind=ResultKind.TEACHING, correct=5)
            for n in (3, 4, 5)
        ]
    term = the_term(case, log=Log.of(rows))
    (found,) = term.dates
    assert {p.week for p in term.probes} <= {1, 2}
    ((limit, combinations, to_teach),) = ((h.limit, h.lapsed, h.to_teach) for h in found.hangs_on)
    assert (limit.kind, combinations, to_teach) == (Kind.LAPSED, (("idas-mum", "gym", "red"),), not taught)
    text = said(case, term)
    again = "probed again and met." if taught else "taught again, and met when it is probed after that."
    assert f"It hangs on idas-mum + {case.locations['gym'].name} + Red blocks, which was taught" in text
    assert f"new combinations wait until that is {again}" in text
    (row,) = (r for r in as_frame(term_table(case, term)).to_dict("records") if r["wanted"] == "adult=tess")
    assert "It hangs on idas-mum" in row["in_the_way"]
    (told,) = json.loads(term_json(case, term, NOW))["dates"]
    assert told["hangs_on"] == ["lapsed where it was taught"]
    page = shown(case, term, NOW, begun=False)
    assert any("It hangs on idas-mum" in sentence for _verdict, sentence in page["at_risk"])


def test_a_date_that_hangs_on_nothing_says_nothing_of_it() -> None:
    assert not any(d.hangs_on for d in TERM.dates)
    assert "hangs on" not in said(CASE, TERM)
    assert "holds only if" not in said(CASE, TERM)
