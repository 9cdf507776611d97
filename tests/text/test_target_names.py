"""How a note, a wish or a finding calls a skill: of several children two may learn the same."""

from __future__ import annotations

from datetime import date

import pytest

from genplan.case import Week
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.plan import Note, NoteKind, Unwritten
from genplan.rules.limits import Kind, Limit
from genplan.text.limits import limit_sentence
from genplan.text.notes import note_text
from genplan.text.wishes import wish_text
from tests.fixtures import builders as b

ZIPS, POURS = b.a_target(), b.a_target("pours", "ines", name="Pours a drink")
ONE = b.a_case(targets=[ZIPS])
TWO = b.a_case([b.a_learner(), b.a_learner("ines", "Ines Example", "I.")], targets=[ZIPS, POURS])
APART = PlannersWish(kind=WishKind.APART, two=(ZIPS.id, POURS.id))
LIMIT = Limit(Kind.WISHED_APART, value=(ZIPS.id, "", "", POURS.id, "", ""))


def a_note(kind: NoteKind) -> Note:
    where = ("mum", "home", "jackets")
    return Note(kind=kind, target=ZIPS.id, combination=where, on=date(2026, 12, 1), days=(0, 3), of=2)


NOTES = (NoteKind.MAINTENANCE_GAVE_WAY, NoteKind.NOT_PROBED, NoteKind.FELL_THROUGH, NoteKind.CATCH_UP)


@pytest.mark.parametrize("kind", NOTES)
def test_a_note_says_whose_the_skill_is_where_there_are_several_children(kind: NoteKind) -> None:
    assert f"'{ZIPS.name}' (W.)" in note_text(TWO, a_note(kind))
    assert f"'{ZIPS.name}'" in (said := note_text(ONE, a_note(kind)))
    assert "W." not in said


def test_a_wish_and_a_limit_say_whose_the_skills_are() -> None:
    both = f"'{ZIPS.name}' (W.) and 'Pours a drink' (I.)"
    assert wish_text(TWO, APART) == f"{both} not on one day"
    assert limit_sentence(TWO, LIMIT).startswith(both)


def over(*targets: str, learner: str = "ines") -> Unwritten:
    return Unwritten(learner=learner, adult="mum", on=date(2026, 12, 3), targets=targets)


def told_of(kind: NoteKind, *found: Unwritten) -> str:
    return note_text(TWO, Note(kind=kind, weeks=(Week.parse("2026-W49"),), of=len(found), unwritten=found))


def test_the_first_three_sittings_that_nobody_wrote_down_are_named() -> None:
    kind, named = NoteKind.UNWRITTEN_AS_NOT_RUN, "I. with Mum on Thursday 3 December"
    assert f"would be over ({named}): what" in told_of(kind, over())
    assert told_of(kind, over(), over(learner="gone")).count(" with Mum on Thursday 3 December") == 2
    assert f"({named}; {named}; {named}; one other sitting)" in told_of(kind, *[over()] * 4)


def test_of_a_sitting_written_in_part_it_is_said_what_is_planned_again() -> None:
    said = told_of(NoteKind.HALF_WRITTEN, over(POURS.id))
    assert (
        "I. with Mum on Thursday 3 December (not of 'Pours a drink' (I.)). The rest is planned again" in said
    )
    assert "; 2 other sittings. The rest" in told_of(NoteKind.HALF_WRITTEN, *[over(POURS.id)] * 5)
