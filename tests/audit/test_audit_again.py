"""What a plan tells of what fell through and of days to catch up on, changed in one place."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from genplan.audit import audit
from genplan.case import Preferences, Wish
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import Note, NoteKind, Objective, Plan, StageStatus
from tests.fixtures.audited_world import World

COATS = ("grandad", "home", "coats")
"""Zips of Tuesday's sitting c."""
LEFT = ("mum", "home", "coats")
"""Zips that no sitting holds."""
ON = date(2026, 11, 24)
PARK = (("adult", "grandad"), ("location", "park"))
MUMS = (("adult", "mum"), ("location", "park"))
"""Shown by Monday's sitting a."""


def world(*rows: tuple[str, tuple[str, str, str], ResultKind], wish: Wish | None = None) -> World:
    results = [
        Result(
            line=n,
            date=date.fromisoformat(day),
            time=None,
            target="zips",
            kind=kind,
            combination=combination,
        )
        for n, (day, combination, kind) in enumerate(rows, 2)
    ]
    found = replace(World(), log=Log.of(results))
    return found.having("targets", "zips", first=(wish,)) if wish else found


NOT_RUN = ResultKind.NOT_RUN
FALLEN = world(("2026-11-24", COATS, NOT_RUN), ("2026-11-24", LEFT, NOT_RUN))
NOTES = tuple(Note(kind=NoteKind.FELL_THROUGH, target="zips", combination=c, on=ON) for c in (COATS, LEFT))


def fewest(name: str, value: float) -> Objective:
    return Objective(name=name, sense="fewest", value=value, bound=value, status=StageStatus.OPTIMAL)  # type: ignore[arg-type]


def said(of: World, plan: Plan) -> tuple[str, ...]:
    return audit(of.case, of.log, plan, of.busy, of.kept)


def test_one_of_two_comes_again_on_tuesday() -> None:
    """One is not in the week; the other is run one day after Monday, though it is new."""
    right = (fewest("fell through", 1), fewest("waiting", 1))
    plan = replace(FALLEN.plan, notes=NOTES, objectives=right)
    assert said(FALLEN, plan) == ()
    (complaint,) = said(FALLEN, replace(plan, objectives=(fewest("fell through", 0), right[1])))
    assert complaint == "Objective 'fell through': its value is 1, not 0."
    (complaint,) = said(FALLEN, replace(plan, objectives=(right[0], fewest("waiting", 0))))
    assert complaint == "Objective 'waiting': its value is 1, not 0."


def test_what_comes_again_is_told_as_that() -> None:
    plan = replace(FALLEN.plan, notes=NOTES[1:], objectives=(fewest("probes", 5),))
    (complaint,) = said(FALLEN, plan)
    assert complaint == "Target zips: grandad, home, coats was not run before, which is not told."


@pytest.mark.parametrize(
    "rows",
    [
        (),
        (("2026-11-23", LEFT, NOT_RUN),),
        (("2026-11-24", LEFT, NOT_RUN), ("2026-11-25", LEFT, ResultKind.TEACHING)),
        (("2026-11-24", LEFT, NOT_RUN), ("2026-11-24", LEFT, ResultKind.TEACHING)),
    ],
)
def test_what_is_told_is_what_the_rows_say(
    rows: tuple[tuple[str, tuple[str, str, str], ResultKind], ...],
) -> None:
    """No row, one of another day, something run since, or on that day too."""
    of = world(*rows)
    plan = replace(of.plan, notes=NOTES[1:], objectives=(fewest("probes", 5),))
    (complaint,) = said(of, plan)
    assert complaint == (
        "Target zips: mum, home, coats is told as not run on 2026-11-24, and the rows say otherwise."
    )


WISHED = world(wish=Wish({"location": "park"}, date(2026, 12, 4))).under(prefer=Preferences(catch_up=True))


def plan_with(*told: tuple[tuple[tuple[str, str], ...], int], value: float = 0) -> Plan:
    plan = replace(WISHED.plan, last_chances=frozenset([("zips", 0)]))
    return replace(
        plan,
        catch_up=tuple(("zips", values, day) for values, day in told),
        objectives=(fewest("catch up", value),),
    )


def test_a_pair_that_is_shown_on_monday_can_be_caught_up() -> None:
    """Wren shows mum's pair on Monday, and grandad's in no sitting. Friday is the date, so Thursday leaves one."""
    assert said(WISHED, plan_with((MUMS, 3))) == ()
    assert said(WISHED, plan_with((MUMS, 3), (PARK, 3), value=1)) == ()
    (complaint,) = said(WISHED, plan_with((MUMS, 3), (PARK, 3)))
    assert complaint == "Objective 'catch up': its value is 1, not 0."


def test_there_has_to_be_a_day_and_a_wish_and_a_policy_that_asks() -> None:
    """On Friday itself none is left; nobody wishes for home."""
    (complaint,) = said(WISHED, plan_with((MUMS, 4)))
    assert complaint.endswith(
        "'mum + park' is told as to be caught up after day 5, and there is no day left."
    )
    (complaint,) = said(WISHED, plan_with(((("adult", "grandad"), ("location", "home")), 3)))
    assert complaint.endswith("after day 4, and there is no day left.")
    (complaint,) = audit(
        WISHED.under(prefer=Preferences()).case, WISHED.log, plan_with((MUMS, 3)), {}, WISHED.kept
    )
    assert complaint == "Something is told as to be caught up, and the policy does not ask for it."
