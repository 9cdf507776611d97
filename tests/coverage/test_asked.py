"""Who is asked for a maintenance probe: only who can repeat what was met, as the plan has it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from genplan.coverage.asked import AskedKind
from genplan.coverage.review import review
from genplan.evidence.log import Log, Result, ResultKind
from genplan.report.asked_words import asked_sentence
from genplan.report.evidence_words import next_sentences
from genplan.report.names_and_words import Names
from tests.fixtures.builders import a_case, a_target

ZIPS = a_target(maintenance_days=(28,))  # due on 16 November; `taught` names mum at home with the jackets
PARK, FAR = ("mum", "park", "coats"), ("grandad", "park", "coats")


def row(day: int, where: tuple[str, ...], kind: str, correct: int | None = 5) -> Result:
    return Result(
        line=day + 1,
        date=date(2026, 11, day),
        time=None,
        target=ZIPS.id,
        kind=ResultKind(kind),
        combination=where,
        trials=5,
        correct=correct,
    )


@pytest.mark.parametrize(
    ("rows", "who"),
    [
        ([], ("mum",)),  # nobody probed anything: where it was mastered
        ([row(3, FAR, "teaching")], ("mum",)),  # a lesson alone: its probe would be a first one
        ([row(3, FAR, "probe")], ("grandad",)),  # met there, and what `taught` names was never probed
        ([row(3, FAR, "probe", 1), row(5, PARK, "probe")], ("mum",)),
        ([row(3, FAR, "probe", 1), row(4, FAR, "teaching")], ("mum",)),  # its probe is a retest
        ([row(27, FAR, "probe")], ("grandad", "mum")),  # met in the running week: takes nothing from anybody
    ],
)
def test_who_is_asked_for_a_maintenance_probe(rows: list[Result], who: tuple[str, ...]) -> None:
    """28 November 2026 is a Saturday."""
    found = review(a_case(targets=[ZIPS]), "wren", Log.of(rows), date(2026, 11, 1), date(2026, 11, 28))
    (asked,) = [a for a in found.targets[0].asked if a.kind is AskedKind.MAINTENANCE]
    assert asked.adults == who


def test_nobody_is_asked_to_repeat_what_is_not_possible() -> None:
    """The jackets, with which the skill was taught at home, stay in the park now."""
    case = a_case(targets=[ZIPS])
    for kept_at, said in (
        (None, "a maintenance probe, due since"),
        (frozenset({"park"}), "could repeat is possible"),
    ):
        jackets = replace(case.material_sets["jackets"], kept_at=kept_at)
        now = replace(case, material_sets={**case.material_sets, "jackets": jackets})
        (found,) = review(now, "wren", Log(), date(2026, 11, 1), date(2026, 11, 28)).targets
        (asked,) = [a for a in found.asked if a.kind is AskedKind.MAINTENANCE]
        assert said in asked_sentence(Names(now), asked)


@pytest.mark.parametrize(
    ("rows", "kind"),
    [
        ([row(3, PARK, "probe", 1)], AskedKind.WAITING),
        ([row(3, PARK, "probe", 1), row(4, PARK, "teaching")], AskedKind.RETEST),
    ],
)
def test_nobody_is_asked_to_practise_with_what_is_kept_from_the_child(
    rows: list[Result], kind: AskedKind
) -> None:
    """The buttons on the coats were found to come off since."""
    case = a_case(targets=[ZIPS])
    wren, coats = case.learners["wren"], case.material_sets["coats"]
    for mouths in (False, True):
        kept = replace(
            case,
            learners={**case.learners, "wren": replace(wren, mouths=mouths)},
            material_sets={**case.material_sets, "coats": replace(coats, small_parts=True)},
        )
        (found,) = review(kept, "wren", Log.of(rows), date(2026, 11, 1), date(2026, 11, 28)).targets
        of_park = [a for a in found.asked if a.combination == PARK]
        assert [a.kind for a in of_park] == [AskedKind.HELD_BACK if mouths else kind]
        told = " ".join((asked_sentence(Names(kept), of_park[0]), *next_sentences(Names(kept), found)))
        assert ("held back for now, not to be taught" in told) is mouths
        assert ("Held back for now, not to be taught" in told) is mouths
        assert ("aits for teaching" in told) is (not mouths and kind is AskedKind.WAITING)
