"""How a note, a wish or a finding calls a skill: of several children two may learn the same."""

from __future__ import annotations

from datetime import date

import pytest

from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.plan import Note, NoteKind
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
