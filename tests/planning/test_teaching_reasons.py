"""What is told of teachings, and of retests that wait for them: one true reason, and who takes the hours."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from genplan.case import AdultLimits, Case
from genplan.case.targets import PassMark, Teach
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.evidence.log import Log, Result
from genplan.plan import ProbeKind
from genplan.planning.explanation import why
from genplan.planning.insertion_finder import InsertionFinder
from genplan.planning.jobs import Workers
from genplan.planning.openings import hours as free_hours
from genplan.planning.reasons import Owed, left_out
from genplan.planning.search_settings import SETTINGS
from genplan.planning.sittings_by_hand import ByHand
from genplan.planning.told_anew import ToldAnew
from genplan.planning.week_context import week_context_of
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from genplan.text.limits import cause_sentence, limit_sentence
from tests.fixtures.planning_cases import NOW, WEEK, Inline, hours, plan_one
from tests.planning.test_teaching_weeks import (
    FAILED,
    NEW,
    RETEST,
    TEACHING,
    combination,
    lesson,
    needed,
    planned,
    reasons,
    taught_case,
    things,
    with_adult,
    with_learner,
)

NINE = 9 * 60


@pytest.mark.parametrize(("a_week", "kind"), [(1, Kind.TEACHING), (2, Kind.TAUGHT_ELSEWHERE)])
def test_all_that_only_failed_is_taught_elsewhere_or_the_retest_waits(a_week: int, kind: Kind) -> None:
    """Adult, place and set only failed, and the combination is held out: it takes two others to hold all three."""
    case = taught_case(
        (2, 2, 1),
        {"teachings_per_target_per_week": a_week},
        hold_out=(dict(zip(("adult", "location", "material_set"), combination("000"), strict=True)),),
        teach=Teach.FEWEST,
    )
    plan = planned(case, FAILED)
    assert len([kind for kind, *_ in things(plan) if kind == "teaching"]) == a_week
    assert reasons(plan, RETEST) == [kind]


def test_of_what_was_taught_too_seldom_it_is_not_said_that_it_was_not() -> None:
    """Two of three teachings were held, and the third has no room."""
    case = with_learner(taught_case(teachings_before_retest=3), free=hours(None))
    plan = planned(case, FAILED, lesson(5, "000"), lesson(6, "000"))
    (item,) = [item for item in plan.left_out if item.kind is RETEST]
    assert limit_sentence(case, item.limit) == (
        "not met on 2026-11-02 and taught 2 times since, which is not enough: it waits for more teaching"
    )


MARK = PassMark(4, 5)


@pytest.mark.parametrize(
    ("lessons", "said"),
    [
        (
            [lesson(5, "000", 2)],
            "not met on 2026-11-02 and no teaching since that counts (the teaching on 2026-11-05 does not count: it"
            " has 2 of 5 correct without help, and 4 of 5 are asked for): it waits for teaching",
        ),
        (
            [lesson(5, "000", 2), lesson(6, "000")],
            "not met on 2026-11-02 and no teaching since that counts (the teaching on 2026-11-06 does not count: it has"
            " no trials, and 4 of 5 correct without help are asked for): it waits for teaching",
        ),
        (
            [lesson(5, "000", 4), lesson(6, "000", 3)],
            "not met on 2026-11-02 and taught once since, which is not enough (the teaching on 2026-11-06 does not"
            " count: it has 3 of 5 correct without help, and 4 of 5 are asked for): it waits for more teaching",
        ),
        ([lesson(1, "000", 2)], "not met on 2026-11-02 and not taught since: it waits for teaching"),
        ([lesson(5, "100", 2)], "not met on 2026-11-02 and not taught since: it waits for teaching"),
    ],
)
def test_a_teaching_that_does_not_count_is_named_with_what_it_lacks(lessons: list[Result], said: str) -> None:
    """By the week's reasons, and where a person asks for the sitting."""
    case = taught_case(policy={"plan_teaching": False}, teachings_before_retest=2, taught_when=MARK)
    (item,) = [item for item in planned(case, FAILED, *lessons).left_out if item.kind is RETEST]
    assert limit_sentence(case, item.limit) == said
    assert Limit.of_document(json.loads(json.dumps(item.limit.document()))) == item.limit
    by_hand = ByHand(
        case=case,
        week=WEEK,
        free=free_hours(case, WEEK, NOW, {}),
        needs=(needed(case, [FAILED, *lessons]),),
        begun=(),
    )
    adult, location, _ = combination("000")
    wish = PlannersWish(
        kind=WishKind.ADD, learner="wren", target="skill", adult=adult, location=location, start=NOW
    )
    nothing, (why_not,) = by_hand.added(wish, NINE)
    assert nothing is None
    assert why_not == item.limit


def test_causes_of_many_keep_apart_what_was_not_taught_and_what_does_not_count() -> None:
    kinds = [Limit(Kind.TEACHING), Limit(Kind.TEACHING, uncounted=NOW.date(), counts=(2, 5, 4, 5))]
    assert [cause_sentence(limit) for limit in kinds] == [
        "not met and not taught since: it waits for teaching",
        "not met and no teaching since that counts: it waits for teaching",
    ]


def of_another(adult: str, start: int, end: int, material_set: str = "other") -> PlacedSitting:
    """A sitting of another child on Monday, so many minutes after nine."""
    probe = PlacedProbe("others", (adult, "elsewhere", material_set), NEW)
    return PlacedSitting("finch", adult, "elsewhere", NINE + start, NINE + end, (probe,))


def why_not_taught(case: Case, *seats: PlacedSitting) -> Limit:
    """Why the failure is not taught beside these sittings."""
    free = free_hours(case, WEEK, NOW, {})
    owed = Owed(case=case, free=free, needs=(needed(case, [FAILED]),), seats=seats)
    (item,) = [item for item in left_out(owed) if item.kind is TEACHING]
    return item.limit


@pytest.mark.parametrize("times", [1, 25, 26, 60, 300])
def test_reasons_of_many_targets_are_few_jobs_that_hold_them_all_in_order(times: int) -> None:
    case = taught_case()
    owed = Owed(case=case, free=free_hours(case, WEEK, NOW, {}), needs=(needed(case, [FAILED]),), seats=())
    numbered = tuple(replace(need, choices=need.choices * at) for at in range(times) for need in owed.needs)
    parts = list(replace(owed, needs=numbered).in_parts())
    assert tuple(need for part in parts for need in part.needs) == numbered
    assert len(parts) <= SETTINGS.reasons_jobs
    assert all(len(part.needs) >= SETTINGS.needs_at_once for part in parts[:-1])


def test_why_says_what_a_teaching_that_was_left_out_would_cost() -> None:
    """The hour of the week has room for one sitting: a new probe with the other adult, or the teaching."""
    case = with_learner(taught_case(policy={"settle_minutes": 50}), free=hours((9, 10), None))
    log = Log.of([FAILED])
    ground = week_context_of(case, log, WEEK, NOW, {}, ())
    found = why(ground, plan_one(case, log), Workers(Inline(), lambda _: None), ("wren",))
    (limit,) = [item.limit for item in found.left_out if item.kind is TEACHING]
    assert limit == Limit(Kind.WORTH_LESS, goal="new tuples", figure=1)


def one_hour(teacher: tuple[int, int] = (9, 10)) -> Case:
    """Monday from nine to ten; the other adult teaches what the first may not."""
    case = with_learner(taught_case(), free=hours((9, 10), None))
    case = with_adult(case, "a0-0", teaches=frozenset(), free=hours((9, 10), None))
    return with_adult(case, "a0-1", free=hours(teacher, None))


def test_who_teaches_and_is_with_others_is_named() -> None:
    limit = why_not_taught(one_hour(), of_another("a0-1", 5, 55))
    assert limit == Limit(
        Kind.TEACHER_TAKEN, adult="a0-0", learner="wren", parts=(Limit(Kind.ADULT_TIME, adult="a0-1"),)
    )
    assert limit_sentence(one_hour(), limit) == (
        "a0-0 does not teach this target, and whoever does and could sit beside is taken: a0-1 is with another learner,"
        " or on the way, in those hours"
    )


def test_so_are_minutes_that_others_have_used_up() -> None:
    case = with_adult(one_hour(), "a0-1", limits=AdultLimits(minutes_per_week=20))
    (part,) = why_not_taught(case, of_another("a0-1", 0, 15)).parts
    assert (part.kind, part.adult) == (Kind.ADULT_MINUTES_PER_WEEK, "a0-1")


def test_who_is_not_there_is_not_taken() -> None:
    limit = why_not_taught(one_hour(teacher=(11, 12)), of_another("a0-1", 120, 180))
    assert limit == Limit(Kind.TEACHER, adult="a0-0", learner="wren")


def test_what_the_child_does_with_the_teacher_is_the_childs_time() -> None:
    case = one_hour()
    own = PlacedSitting(
        "wren", "a0-1", "l1-0", NINE, NINE + 60, (PlacedProbe("skill", combination("100"), NEW),)
    )
    assert why_not_taught(case, own) == Limit(Kind.LEARNER_TIME, learner="wren")


@pytest.mark.parametrize(("adult", "kind"), [("a0-0", Kind.ADULT_TIME), ("a0-1", Kind.COPIES)])
def test_a_set_in_the_adults_own_hands_is_the_adults_time(adult: str, kind: Kind) -> None:
    case = with_learner(taught_case(), free=hours((9, 10), None))
    assert why_not_taught(case, of_another(adult, 0, 60, "m2-0")).kind is kind


@pytest.mark.parametrize(("adult", "kind"), [("a0-0", Kind.ADULT_TIME), ("a0-1", Kind.ROOM)])
def test_so_is_a_place_that_the_adult_takes(adult: str, kind: Kind) -> None:
    case = with_learner(taught_case(), free=hours((9, 10), None))
    here = PlacedSitting("finch", adult, "l1-0", NINE, NINE + 60, ())
    ways = InsertionFinder(case, free_hours(case, WEEK, NOW, {}), (here,))
    (choice,) = needed(case, [FAILED]).of_kind(ProbeKind.TEACHING)
    assert min((limit for limits in ways.of(choice) for limit in limits), key=lambda x: x.order).kind is kind


def test_who_would_have_to_sit_beside_is_counted_among_those_who_are_told() -> None:
    """The child and the first adult are told of a change anyway. The teaching fits beside what is planned, and would
    take the other adult, too, who is told of nothing."""
    case = one_hour()
    free = free_hours(case, WEEK, NOW, {})
    told = frozenset({("learner", "wren"), ("adult", "a0-0")})
    for people, kind in ((told, Kind.TOLD_ANEW), (told | {("adult", "a0-1")}, Kind.AS_TOLD)):
        owed = Owed(
            case=case,
            free=free,
            needs=(needed(case, [FAILED]),),
            seats=(),
            clear=Limit(Kind.AS_TOLD),
            told_anew=ToldAnew(people, 1, ()),
        )
        (item,) = [item for item in left_out(owed) if item.kind is TEACHING]
        assert item.limit.kind is kind
