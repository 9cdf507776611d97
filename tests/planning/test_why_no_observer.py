"""Why fewer sittings have an observer than the share asks for, in words and with its counts."""

from __future__ import annotations

from dataclasses import replace

import pytest

from genplan.case import Case, Window
from genplan.plan import Beside
from genplan.planning.jobs import Workers
from genplan.planning.observers import with_observers
from genplan.planning.openings import Hours
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from genplan.text.observers import share_text
from tests.fixtures.second_cases import NOTHING_RUN, WEEK, Inline, case_of, skill

DAY = 24 * 60


def seat(day: int, adult: str = "ann", beside: str = "", part: Beside = Beside.NOBODY) -> PlacedSitting:
    """Ten minutes from ten o'clock with one probe of Wren's skill."""
    probe = PlacedProbe("skill", (adult, "home", "red"), "new")
    return PlacedSitting("wren", adult, "home", day * DAY + 600, day * DAY + 610, (probe,), beside, part)


CASE = case_of(skill("wren", "ann"), adults="ann ben cat", observed_share=1.0)


def told(case: Case, *ahead: PlacedSitting, begun: tuple[PlacedSitting, ...] = (), **free: int) -> str:
    """What the share says after its figures. Adults are free at ten on so many days of the week."""
    windows = {
        i: tuple(Window(d * DAY + 600, d * DAY + 610) for d in range(free.get(i, 0))) for i in case.adults
    }
    hours = Hours(learners={}, adults=windows, locations={})
    _, (share,) = with_observers(
        case, WEEK, hours, NOTHING_RUN, begun, ahead, (), Workers(Inline(), lambda _: None)
    )
    return share_text(case, share).split(" asks for ")[1].partition(". ")[2]


@pytest.mark.parametrize(
    ("days", "free", "words"),
    [
        (
            1,
            {},
            "Nobody can observe in the one sitting with probes: Ben is not free then; Cat is not free then.",
        ),
        (
            3,
            {},
            "Nobody can observe in any of the 3 sittings with probes: Ben is not free then (3 of them); "
            "Cat is not free then (3 of them).",
        ),
        (
            3,
            {"ben": 2},
            "Nobody can observe in the other sitting: Ben is not free then; Cat is not free then.",
        ),
        (3, {"ben": 3}, ""),
    ],
)
def test_whom_and_how_often_it_fails_by(days: int, free: dict[str, int], words: str) -> None:
    assert told(CASE, *(seat(day) for day in range(days)), **free) == words


def test_what_stands_against_most_comes_first() -> None:
    """Cat does not go home, and Ben is not free on two of the four days."""
    cat = replace(CASE.adults["cat"], locations=frozenset(["park"]))
    case = replace(CASE, adults={**CASE.adults, "cat": cat})
    ann = seat(2, beside="ben", part=Beside.COMPANION)
    assert told(case, seat(0), seat(1), ann) == (
        "Nobody can observe in any of the 3 sittings with probes: Ben is not free then (2 of them); "
        "Cat does not go to Home (2 of them); Ben is there as a companion (1 of them)."
    )


def test_where_nothing_is_ahead_or_nobody_is_there() -> None:
    assert told(CASE, begun=(seat(0),)) == "No sitting is ahead in which somebody could observe."
    observed = seat(1, beside="ben", part=Beside.OBSERVER)
    assert told(CASE, observed, begun=(seat(0),)) == (
        "Every sitting that is ahead has one: too few were observed before."
    )
    strangers = {i: replace(CASE.adults[i], learners=frozenset(["robin"])) for i in ("ben", "cat")}
    case = replace(CASE, adults={**CASE.adults, **strangers})
    assert told(case, seat(0)) == "No second adult works with the learner."
