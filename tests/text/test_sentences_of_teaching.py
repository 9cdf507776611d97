"""Sentences on teaching as a neighbour would say them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from genplan.case.targets import TargetState, Teach
from genplan.evidence.standing import Standing, Status
from genplan.plan import Note, NoteKind, Objective, ObjectiveName
from genplan.rules.limits import Kind, Limit
from genplan.text.limits import limit_sentence
from genplan.text.matrix_rows import waiting_text
from genplan.text.notes import note_text
from genplan.text.objectives import objective_words, waited_words
from tests.fixtures import taught_week as t

CASE = t.the_case()


def said(kind: Kind, **more: object) -> str:
    return limit_sentence(CASE, Limit(kind=kind, **more))  # type: ignore[arg-type]


def test_what_waits_for_teaching_names_people_and_things_and_not_a_formula() -> None:
    alone, both = (("adult", "grandad"),), (("location", "home"), ("material_set", "jackets"))
    standing = Standing(status=Status.NOT_MET, tested=True, suspects=(alone, both))
    each = "Grandad, and with Home and Two jackets with different zips"
    target = CASE.targets["zips-jacket"]
    assert waiting_text(CASE, replace(target, teach=Teach.FEWEST), standing) == (
        f"waits for teaching with {each}, in this combination or another"
    )
    # where each failure is taught itself, only what is held out waits for others
    assert waiting_text(CASE, replace(target, teach=Teach.EACH), standing) == (
        f"is held out, and waits for teaching with {each} in another combination"
    )


def test_where_only_how_long_something_has_waited_is_lost() -> None:
    began = "it could be run if it were planned first, but "
    assert said(Kind.WORTH_LESS, goal="waited", figure=2) == (
        f"{began}what the week would then teach has waited 2 weeks less"
    )
    assert said(Kind.WORTH_LESS_BESIDE, goal="waited", figure=1) == (
        f"{began}beside what the other learners have what the week would then teach has waited 1 week less"
    )
    assert said(Kind.WORTH_LESS_AS_FOUND, goal="waited", figure=1) == (
        f"{began}what the best week with it that was found teaches has waited 1 week less"
    )
    assert [waited_words(n) for n in (-2, 1)] == [
        "2 weeks of waiting less are made up for",
        "1 week of waiting more is made up for",
    ]


def test_reasons() -> None:
    assert said(Kind.TAUGHT_ELSEWHERE, on=date(2026, 11, 20)) == (
        "not met on 2026-11-20: what in it was met nowhere yet is taught this week in other combinations, and then"
        " it is probed again"
    )
    assert (
        said(Kind.NOTHING_TO_REPEAT) == "nothing counts as taught or met yet, so there is nothing to repeat"
    )
    assert said(Kind.AFTER_TEACHING) == (
        "once a target was taught it is not probed any more on that day, and in those hours the probe would come later"
    )
    assert "nobody may teach it, there or in any other combination that would do" in said(Kind.NOBODY_TEACHES)


def test_a_skill_in_teaching_is_still_being_taught() -> None:
    target = replace(CASE.targets["zips-jacket"], state=TargetState.TEACHING, teaching_per_week=2)
    case = t.the_case(target)
    note = Note(kind=NoteKind.NOT_PROBED, target=target.id)
    assert note_text(case, note) == f"'{target.name}' is still being taught, so it is not probed."


def test_the_objective_of_teaching() -> None:
    name = ObjectiveName.TEACHING
    words = "teachings that are owed; one after which a combination may be probed again counts twice"
    fields = {f: None for f in Objective.__dataclass_fields__ if f != "name"}
    assert objective_words(Objective(name=name, **fields)) == words  # type: ignore[arg-type]
