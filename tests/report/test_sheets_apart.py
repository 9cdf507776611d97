"""The observer's sheet is one of its own: a second count is independent only where nobody sees the other's."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from genplan.case import Case
from genplan.evidence.familiarity import who_has_probed
from genplan.evidence.log import Log, Result, ResultKind
from genplan.keeping.revision import revise
from genplan.keeping.told import KeptWeek
from genplan.plan import Beside, Plan
from genplan.report.sheets import TRIAL_ROWS, sheets_page
from genplan.sharing.adult_part import part_of
from tests.fixtures.pagecheck import Element, faults, read
from tests.fixtures.second_cases import SUNDAY, WEEK, case_of, planned, skill

STEPS = (
    "Put it before the child and say it once",
    "Wait 5 seconds; if nothing comes, take it away and go on",
)
COPY = "An observer's sheet to copy"
CASE: Case = case_of(skill("wren", "ann"), observed_share=0.5)
CASE = replace(CASE, targets={id_: replace(t, steps=STEPS) for id_, t in CASE.targets.items()})
BARE = planned(CASE)
PLAN: Plan = replace(
    BARE,
    sittings=tuple(
        replace(s, beside=who, beside_as=Beside.OBSERVER if who else Beside.NOBODY)
        for s, who in zip(BARE.sittings, ("ben", ""), strict=True)
    ),
)


def sheets(page: str) -> list[Element]:
    return read(page).with_class("sheet")


def heads(page: str) -> list[str]:
    return [sheet.all("h2", "h3")[0].words for sheet in sheets(page)]


def test_an_observer_has_a_sheet_among_the_own_and_not_with_that_of_the_sitting() -> None:
    own, other, apart, blank = sheets(sheets_page(CASE, PLAN))
    assert apart.all("h3")[0].words == f"{own.all('h3')[0].words}: the observer's sheet"
    assert (other.all("h3")[0].words, blank.all("h2")[0].words) == (heads(sheets_page(CASE, PLAN))[1], COPY)
    ann, ben = read(sheets_page(CASE, PLAN)).with_class("person")
    assert [len(p.with_class("sheet")) for p in (ann, ben)] == [2, 1]
    assert ben.all("h2")[0].words == "Ben week 49, 1 sheet"
    assert "Observes Ben" in apart.words
    assert "Sit where you do not see the other sheet" in apart.words
    for sheet in (own, apart, other, blank):
        rows = [r.all("th")[0].words for r in sheet.with_class("boxes")[0].all("tbody")[0].all("tr")]
        assert rows == [*TRIAL_ROWS]
    # nobody writes the observer's count under the own marks any more
    assert "Observer" not in own.words
    assert faults(sheets_page(CASE, PLAN)) == []


def test_where_all_is_observed_there_is_nothing_to_copy() -> None:
    both = tuple(replace(s, beside="ben", beside_as=Beside.OBSERVER) for s in PLAN.sittings)
    found = heads(sheets_page(CASE, replace(PLAN, sittings=both)))
    assert [h.endswith("the observer's sheet") for h in found] == [False, False, True, True]


def test_a_copy_for_an_observer_is_there_only_where_the_case_asks_for_some() -> None:
    alone = replace(CASE, policy=replace(CASE.policy, observed_share=0))
    unwatched = tuple(replace(s, beside="", beside_as=Beside.NOBODY) for s in PLAN.sittings)
    found = heads(sheets_page(alone, replace(PLAN, sittings=unwatched)))
    assert (len(found), COPY in found) == (2, False)


def test_what_holds_for_all_is_said_once_for_each_person() -> None:
    ann, ben = read(sheets_page(CASE, PLAN)).with_class("person")
    for person in (ann, ben):
        assert person.words.count("prescribes no treatment") == 1
    assert ann.words.count("A probe is a test without teaching") == 1
    assert "A probe is a test without teaching" not in ben.words
    # when to stop stands on every sheet
    assert all("says no, walks away" in sheet.words for sheet in sheets(sheets_page(CASE, PLAN))[:3])


def test_the_steps_are_for_who_is_new_and_for_the_observer_to_mark() -> None:
    own, _, apart, *_ = sheets(sheets_page(CASE, PLAN))
    assert STEPS[1] in own.words
    assert "Not kept" not in own.words
    (table,) = apart.with_class("steps")[:1]
    assert [th.words for th in table.all("thead")[0].all("th")] == [
        "Step",
        "How it is run",
        "Kept",
        "Not kept",
    ]
    assert "Steps kept of 2" in apart.words


def test_who_has_probed_it_needs_no_steps() -> None:
    probe = PLAN.sittings[0].probes[0]
    row = Result(
        line=2, date=SUNDAY.date() - timedelta(7), time=None, target=probe.target, kind=ResultKind.PROBE,
        combination=probe.combination, trials=5, correct=5,
    )  # fmt: skip
    known = who_has_probed(Log.of([row]))
    assert known == {("ann", probe.target)}
    own, _, apart, *_ = sheets(sheets_page(CASE, PLAN, probed=known))
    assert STEPS[0] not in own.words
    assert STEPS[0] in apart.words
    assert who_has_probed(Log.of([replace(row, kind=ResultKind.TEACHING)])) == frozenset()


def test_each_is_handed_the_own_sheet_alone() -> None:
    kept = KeptWeek(WEEK, SUNDAY, revise((), PLAN.sittings, SUNDAY, settled=True))
    of_ben = part_of(CASE, kept, "ben")[f"{WEEK}/sheets.html"].decode()
    assert [h.endswith("the observer's sheet") for h in heads(of_ben)] == [True]
    of_ann = part_of(CASE, kept, "ann")[f"{WEEK}/sheets.html"].decode()
    assert not any(h.endswith("the observer's sheet") for h in heads(of_ann))
    assert len(heads(of_ann)) == 3
