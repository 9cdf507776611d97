"""What a `plan.json` says in sentences is said to each reader anew."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, datetime

import pytest

from genplan.case import Week
from genplan.case.people import AbsenceKind, Reason
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.evidence.mastery import CriterionMet, Lapse
from genplan.language import Speech, speaking
from genplan.plan import Note, NoteKind, ObservedShare, Unkept, Unwritten, WishAnswer
from genplan.plan.observers import Hindered, Hindrance, Unwatched
from genplan.report.document import plan_document
from genplan.report.said_anew import answer_of, note_of, notes_anew, observed_anew, share_of, wishes_anew
from genplan.rules.limits import Kind, Limit
from genplan.text.notes import note_text
from tests.fixtures import taught_week as t

CASE = t.the_case()
TARGET = next(iter(CASE.targets))
ON = date(2026, 12, 1)
BEFORE, LATER = Week.parse("2026-W48"), Week.parse("2026-W52")
NOTES = (
    Note(kind=NoteKind.LAPSED_WHERE_TAUGHT, target=TARGET, seen=Lapse(TARGET, t.AT_SCHOOL, ON, 1, 5)),
    Note(kind=NoteKind.INTERRUPTED),
    Note(kind=NoteKind.WEEK_BEGUN),
    Note(kind=NoteKind.ILL, learner="wren", days=(2, 3)),
    Note(kind=NoteKind.NO_FREE_HOURS, learner="wren"),
    Note(kind=NoteKind.MAINTENANCE_GAVE_WAY, target=TARGET, days=(0, 3)),
    Note(kind=NoteKind.NOT_PROBED, target=TARGET),
    Note(kind=NoteKind.UNPLANNED, target=TARGET, combination=t.AT_SCHOOL),
    Note(kind=NoteKind.TEACHING_NOT_PLANNED, of=2),
    Note(kind=NoteKind.CRITERION_MET, target=TARGET, seen=CriterionMet(TARGET, ON, 2, 9, 10)),
    Note(kind=NoteKind.TAUGHT_IN_PLACE, target=TARGET, combination=t.AT_SCHOOL, instead_of=(t.AT_SCHOOL,)),
    Note(kind=NoteKind.FELL_THROUGH, target=TARGET, combination=t.AT_SCHOOL, on=ON, days=(2,)),
    Note(
        kind=NoteKind.FELL_AND_WAITS, target=TARGET, combination=t.AT_SCHOOL, on=ON, limit=Limit(Kind.LAPSED)
    ),
    Note(
        kind=NoteKind.FELL_THROUGH,
        target=TARGET,
        combination=t.AT_SCHOOL,
        on=ON,
        limit=Limit(kind=Kind.NOTHING_TO_REPEAT),
    ),
    Note(kind=NoteKind.CATCH_UP, target=TARGET, early=1, of=2),
    Note(kind=NoteKind.TERM, weeks=(BEFORE, LATER), kept=2, most=3, of=4),
    Note(kind=NoteKind.CLOSED, location="school", days=(0,), why=Reason(AbsenceKind.CLOSED, "painting")),
    Note(kind=NoteKind.HOME_OF_WHO_IS_AWAY, adult="grandad", location="school", days=(0, 2)),
    Note(kind=NoteKind.TOLD_AS_MET),
    Note(kind=NoteKind.TOLD_NOT_HELD, weeks=(BEFORE,), of=2),
    Note(kind=NoteKind.TOLD_HELD_IN_PART, weeks=(BEFORE,), of=1),
    Note(kind=NoteKind.PLANNED_AS_MET, weeks=(BEFORE,)),
    Note(kind=NoteKind.UNWRITTEN_AS_MET, weeks=(BEFORE,)),
    Note(
        kind=NoteKind.UNWRITTEN_AS_NOT_RUN,
        weeks=(BEFORE,),
        of=1,
        unwritten=(Unwritten(learner="wren", adult="teacher", on=ON),),
    ),
    Note(
        kind=NoteKind.HALF_WRITTEN,
        weeks=(BEFORE,),
        of=1,
        unwritten=(Unwritten(learner="wren", adult="teacher", on=ON, targets=(TARGET,)),),
    ),
)
WISH = PlannersWish(
    kind=WishKind.RATHER,
    learner="wren",
    adult="teacher",
    start=datetime(2026, 12, 1, 15, 0),
    end=datetime(2026, 12, 1, 17, 0),
)
SHARE = ObservedShare(
    learner="wren",
    probes=4,
    observed=1,
    new=1,
    wanted=2,
    unwatched=Unwatched.HINDERED,
    without=2,
    hindered=((Hindered("teacher", Hindrance.LOCATION, "school"), 2),),
)
ANSWER = WishAnswer(wish=WISH, kept=False, why=Unkept.WISHES, against=(WISH,), proven=False)
WISHING = replace(CASE, wishes=(WISH,))
PLAN = replace(t.the_plan(WISHING), notes=NOTES, observed=(SHARE,), wishes=(ANSWER,))
DOCUMENT = json.loads(json.dumps(plan_document(WISHING, PLAN)))


def test_there_is_a_note_of_each_kind() -> None:
    assert {n.kind for n in NOTES} == set(NoteKind)


@pytest.mark.parametrize("at", range(len(NOTES)), ids=[n.kind for n in NOTES])
def test_a_note_is_read_back_as_it_was_made_and_said_to_each_in_their_language(at: int) -> None:
    item = DOCUMENT["remarks"][at]
    assert note_of(item) == NOTES[at]
    with speaking(Speech("de")):
        said = notes_anew(WISHING, {"remarks": [item]})
        assert said == [note_text(CASE, NOTES[at])]
    assert said != [item["sentence"]]
    assert notes_anew(WISHING, {"remarks": [item]}) == [item["sentence"]]


def test_so_are_observers_and_wishes() -> None:
    assert share_of(DOCUMENT["observed"][0]) == SHARE
    assert answer_of(DOCUMENT["wishes"][0], WISHING) == ANSWER
    with speaking(Speech("de")):
        german = (*observed_anew(WISHING, DOCUMENT), *wishes_anew(WISHING, DOCUMENT))
    english = (*observed_anew(WISHING, DOCUMENT), *wishes_anew(WISHING, DOCUMENT))
    assert english == (DOCUMENT["observed"][0]["sentence"], DOCUMENT["wishes"][0]["sentence"])
    assert not set(german) & set(english)


def test_what_the_case_does_not_know_any_more_is_told_as_it_was_written() -> None:
    gone = replace(CASE, targets={}, locations={})
    told = [n["sentence"] for n in DOCUMENT["remarks"]]
    assert notes_anew(gone, DOCUMENT) == told
    assert wishes_anew(CASE, DOCUMENT) == [DOCUMENT["wishes"][0]["sentence"]]
    older = {"remarks": [{k: v for k, v in n.items() if k != "limit"} for n in DOCUMENT["remarks"]]}
    assert notes_anew(WISHING, older) == told
