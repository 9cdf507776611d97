"""Who lacks what where people and place never meet: the narrowest sentence that is true."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from genplan.case import Case, WeeklyHours, Window
from genplan.plan import ProbeKind
from genplan.planning.needs import Choice
from genplan.planning.openings import hours
from genplan.planning.why_no_hours import no_common_hours
from genplan.text.limits import limit_sentence
from tests.fixtures.monday_cases import NINE, monday, monday_case, skill
from tests.fixtures.planning_cases import NOW, WEEK

MORNING, NOON = monday(60), monday(60, after_nine=180)


def case_of(
    wren: WeeklyHours = MORNING, ann: WeeklyHours = MORNING, home: WeeklyHours = MORNING, **policy: object
) -> Case:
    case = monday_case({"wren": wren}, {"ann": ann}, skill("a", "wren"))
    place = replace(case.locations["home"], open=home, name="Home")
    return replace(case, locations={"home": place}, policy=replace(case.policy, **policy))  # type: ignore[arg-type]


def why(case: Case, known: Sequence[str] | None = None) -> str:
    target = case.targets["a"]
    acquainted = None if known is None else {"wren": frozenset(known)}
    choices = [Choice("a", c, ProbeKind.NEW) for c in target.combinations()]
    return limit_sentence(
        case, no_common_hours(case, hours(case, WEEK, NOW, {}, acquainted), target, choices)
    )


def stretches(*minutes: tuple[int, int], day: int = 0) -> WeeklyHours:
    """On one day, in minutes after nine."""
    own = tuple(Window(NINE + start, NINE + end) for start, end in minutes)
    return WeeklyHours(tuple(own if d == day else () for d in range(7)))


LONG = monday(240)

SENTENCES = {
    "learner": (case_of(wren=monday(9)), "wren is not free this week for the 10 minutes it takes"),
    "adult": (case_of(ann=monday(9)), "ann is not free this week for the 10 minutes it takes"),
    "place": (case_of(home=monday(9)), "Home is not open this week for the 10 minutes it takes"),
    "longer": (
        case_of(wren=monday(10), settle_minutes=6),
        "wren is not free this week for the 11 minutes it takes",
    ),
    "learner and adult": (case_of(ann=NOON), "wren and ann are never free at the same time this week"),
    "learner and place": (case_of(ann=LONG, home=NOON), "Home is never open this week while wren is free"),
    "adult and place": (case_of(wren=LONG, home=NOON), "Home is never open this week while ann is free"),
    "learner and adult, a little": (
        case_of(stretches((0, 15)), stretches((10, 30))),
        "wren and ann are never free at the same time this week for the 10 minutes it takes",
    ),
    "learner and place, a little": (
        case_of(stretches((0, 15)), LONG, stretches((10, 30))),
        "Home is never open this week for the 10 minutes it takes while wren is free",
    ),
    # in turns: Wren and Ann, Wren and Home, Ann and Home
    "any two but not all": (
        case_of(stretches((0, 10), (20, 30)), stretches((0, 10), (40, 50)), stretches((20, 30), (40, 50))),
        "wren and ann are never free together for 10 minutes this week while Home is open",
    ),
}


@pytest.mark.parametrize(("case", "sentence"), SENTENCES.values(), ids=SENTENCES)
def test_the_narrowest_sentence(case: Case, sentence: str) -> None:
    assert why(case) == sentence


def days(*minutes: int) -> WeeklyHours:
    """So many minutes from nine o'clock, for each day of the week."""
    return WeeklyHours(tuple(monday(m).days[0] if m else () for m in minutes))


def test_days_that_the_policy_leaves_out() -> None:
    """On Monday all three could, but it is not planned; on Tuesday Wren has nine minutes, on Wednesday no place."""
    everywhere = days(60, 60, 60, 0, 0, 0, 0)
    case = case_of(days(60, 9, 60, 0, 0, 0, 0), everywhere, days(10, 60, 0, 0, 0, 0, 0), days=(1, 2, 3))
    suffix = " (on Monday it could be, but the policy plans no checks then)"
    never = "Home is never open this week for the 10 minutes it takes while wren is free"
    assert why(case) == never + suffix
    on_sunday = [days(60, 9, 60, 0, 0, 0, 60), days(60, 60, 60, 0, 0, 0, 60), days(10, 60, 0, 0, 0, 0, 60)]
    assert why(case_of(*on_sunday, days=(1, 2))).endswith(
        " (on Monday and Sunday it could be, but the policy plans no checks then)"
    )


def test_nobody_to_sit_beside() -> None:
    case = case_of(accompany_new_adults=True)
    nobody = "nobody has worked with wren yet who could sit beside an adult who has not"
    assert why(case, []) == nobody
    not_there = "ann has not worked with wren yet, and nobody who has can sit beside at Home this week"
    assert why(case, ["ben"]) == not_there
    # who needs nobody, and who would not meet anyway
    assert why(case, ["ann"]).startswith("wren and ann are never free together")
    assert why(case_of(ann=NOON, accompany_new_adults=True), []).startswith("wren and ann are never free at")


def test_what_is_left_of_a_week_that_has_begun() -> None:
    case = case_of()
    late = NOW.replace(month=12, day=1)
    choices = [Choice("a", c, ProbeKind.NEW) for c in case.targets["a"].combinations()]
    limit = no_common_hours(case, hours(case, WEEK, late, {}), case.targets["a"], choices)
    assert (
        limit_sentence(case, limit)
        == "wren is not free in what is left of this week for the 10 minutes it takes"
    )


@pytest.mark.parametrize(("adults", "more"), [(1, False), (3, False), (4, True)])
def test_three_sentences_at_most(adults: int, more: bool) -> None:
    """Each adult lacks hours; who comes first by name is told, each once, though there are two places."""
    names = ["dot", "cas", "ben", "ann"][:adults]
    case = monday_case(
        {"wren": MORNING}, dict.fromkeys(names, monday(9)), skill("a", "wren", " ".join(names), "home park")
    )
    told = [f"{name} is not free this week for the 10 minutes it takes" for name in sorted(names)[:3]]
    assert why(case) == "; ".join(told) + ("; and so on" if more else "")


def test_an_adult_called_as_the_learner_is_another() -> None:
    case = case_of(stretches((0, 20)), stretches((60, 90)), stretches((0, 20)))
    case = replace(case, adults={"ann": replace(case.adults["ann"], name="wren")})
    assert why(case) == "wren and wren are never free at the same time this week"
