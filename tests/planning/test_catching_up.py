"""What fell through, and what can still be caught up: as values, without a solver."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest

from genplan.case import Absence, Adult, Case, Wish
from genplan.evidence.fell_through import fell_through
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import LeftOut, NoteKind, ObjectiveName, ProbeKind
from genplan.planning.assemble import sittings_of
from genplan.planning.caseload_problem import Caseload
from genplan.planning.needs import TargetNeed
from genplan.planning.openings import hours
from genplan.planning.recount import own_comfort
from genplan.planning.week_context import needs_of
from genplan.planning.week_notes import notes_on
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from genplan.text.notes import note_text
from tests.fixtures.planning_cases import NOW, WEEK, product_case
from tests.fixtures.planning_cases import hours as weekly

MONDAY, TUESDAY = date(2026, 11, 23), date(2026, 11, 24)
DAY = 1440
AFTER = datetime.combine(WEEK.next().monday, time())
BY_SUNDAY = Wish({"adult": "a0-0"}, WEEK.sunday)
A0, A1 = "a0-0", "a0-1"


def row(day: date, kind: ResultKind, combination: tuple[str, ...], line: int = 2) -> Result:
    trials = 5 if kind is ResultKind.PROBE else None
    return Result(
        line=line,
        date=day,
        time=None,
        target="skill",
        kind=kind,
        combination=combination,
        trials=trials,
        correct=trials,
    )


def case_of(*days: int, wish: Wish = BY_SUNDAY, catch_up: bool = True) -> Case:
    """Two adults and two places; the first adult is free from nine to five on these days of this week, and never
    after it."""
    case = product_case((2, 2, 1), first=(wish,))
    prefer = replace(case.policy.prefer, catch_up=catch_up)
    first: Adult = replace(
        case.adults[A0],
        free=weekly(*((9, 17) if n in days else None for n in range(7))),
        away=(Absence(AFTER, AFTER + timedelta(weeks=12)),),
    )
    return replace(case, adults={**case.adults, A0: first}, policy=replace(case.policy, prefer=prefer))


def need_of(case: Case, rows: Iterable[Result] = ()) -> TargetNeed:
    (need,) = needs_of(case, Log.of(rows), WEEK, NOW)
    return need


def days_of(need: TargetNeed) -> dict[str, int]:
    """Value beside the first adult -> the last day that leaves one."""
    return {next(v for _, v in t if v != A0): day for t, day in need.catch_up}


def test_rows_of_the_latest_day_decide() -> None:
    case = product_case((2, 2, 1))
    target = case.targets["skill"]
    one, two, three, _ = target.combinations()
    log = Log.of(
        [
            row(MONDAY, ResultKind.NOT_RUN, one),
            row(TUESDAY, ResultKind.NOT_RUN, one),
            row(MONDAY, ResultKind.NOT_RUN, two),
            row(MONDAY, ResultKind.PROBE, two),
            row(MONDAY, ResultKind.NOT_RUN, three),
            row(TUESDAY, ResultKind.TEACHING, three),
        ]
    )
    assert fell_through(target, log) == {one: TUESDAY}
    assert need_of(case, log.results).fell_through == ((one, TUESDAY),)


def test_what_shows_nothing_more_has_not_to_come_again() -> None:
    """Each value once: with the other adult and place met, what fell through is no choice any more."""
    case = product_case((2, 2, 1), cover="each-value")
    one, two, three, four = case.targets["skill"].combinations()
    probed = [row(MONDAY, ResultKind.PROBE, c) for c in (two, three)]
    rows = [row(MONDAY, ResultKind.NOT_RUN, one), *probed]
    assert need_of(case, rows).fell_through == ()
    assert need_of(case, rows[:1]).fell_through == ((one, MONDAY),)
    assert four not in dict(need_of(case, rows).fell_through)


@pytest.mark.parametrize(
    ("days", "by", "last"),
    [
        ((0, 2), WEEK.sunday, 1),  # Monday, or Tuesday, on which she has no hours: Wednesday is left
        ((0, 2, 4), WEEK.days[2], 1),  # Friday is after the date
        ((0, 2, 4), WEEK.sunday, 3),
        ((2,), WEEK.sunday, None),  # whatever is planned, nothing is left
        ((0, 2), WEEK.sunday + timedelta(weeks=1), 1),  # she has no hours next week
        ((0, 2), WEEK.monday - timedelta(days=1), None),  # it has passed: any day is late
        ((0, 2), None, None),
    ],
)
def test_the_last_day_that_leaves_one(days: tuple[int, ...], by: date | None, last: int | None) -> None:
    need = need_of(case_of(*days, wish=Wish({"adult": A0}, by)))
    expected = {} if last is None else {"l1-0": last, "l1-1": last, "m2-0": last}
    assert days_of(need) == expected


def test_what_a_later_week_has_hours_for_is_left_out() -> None:
    """A wish for a place is not at its last chance: the other adult has hours next week. With the first adult it is."""
    wish = Wish({"location": "l1-0"}, WEEK.sunday + timedelta(weeks=1))
    need = need_of(case_of(0, 2, wish=wish))
    assert [w.last_chance for w in need.wishes] == [False]
    assert need.catch_up == (((("adult", A0), ("location", "l1-0")), 1),)


def test_nobody_is_asked_for_a_day_to_catch_up_on_unless_the_policy_says_so() -> None:
    assert need_of(case_of(0, 2, catch_up=False)).catch_up == ()


def load_of(case: Case, rows: Iterable[Result] = ()) -> Caseload:
    free = hours(case, WEEK, NOW, {}, {})
    needs = needs_of(case, Log.of(rows), WEEK, NOW)
    return Caseload(case=case, week=WEEK, free=free, needs=needs, begun=(), told=(), told_first=False)


def seat(day: int, *combinations: tuple[str, ...]) -> PlacedSitting:
    probes = tuple(PlacedProbe("skill", c, "new") for c in combinations)
    adult, location, _ = combinations[0]
    return PlacedSitting("wren", adult, location, day * DAY + 540, day * DAY + 560, probes)


def test_seats_are_counted_by_what_is_left_and_what_comes_again() -> None:
    """Of her three pairs, two with the first place by Tuesday: one of the second place is too late on Wednesday. What
    fell through is planned for Wednesday: two days after Monday."""
    case = case_of(0, 2)
    one, two, three, _ = case.targets["skill"].combinations()
    load = load_of(case, [row(MONDAY, ResultKind.NOT_RUN, two), row(MONDAY, ResultKind.NOT_RUN, three)])
    found = own_comfort(load, "wren", [seat(0, one), seat(2, two)])
    assert (found["catch up"], found["fell through"], found["waiting"]) == (1.0, 1.0, 2.0)
    assert own_comfort(load, "wren", [])["catch up"] == 3.0


def test_a_case_without_such_things_has_the_objectives_that_it_had() -> None:
    both = ObjectiveName.FELL_THROUGH, ObjectiveName.CATCH_UP
    plain = product_case((2, 2, 1))
    assert load_of(plain).objectives(*both) == ()
    one = plain.targets["skill"].combinations()[0]
    assert load_of(plain, [row(MONDAY, ResultKind.NOT_RUN, one)]).objectives(*both) == both[:1]
    assert load_of(case_of(0, 2)).objectives(*both) == both[1:]


def test_the_notes_say_when_it_was_planned_and_when_it_comes_again() -> None:
    case = case_of(0, 2)
    one, two, *_ = case.targets["skill"].combinations()
    rows = [row(MONDAY, ResultKind.NOT_RUN, two), row(TUESDAY, ResultKind.NOT_RUN, one)]
    load = load_of(case, rows)
    seats = (seat(0, one),)
    sittings = sittings_of(case, WEEK, load.needs, seats, ())
    notes = notes_on(case, WEEK, NOW, load.free, load.needs, sittings, seats, ())
    assert [n.kind for n in notes] == [NoteKind.FELL_THROUGH, NoteKind.FELL_THROUGH, NoteKind.CATCH_UP]
    assert [note_text(case, n) for n in notes] == [
        "'A skill' with a0-0, l1-1, m2-0 is written down as not run on Monday 23 November: it does not come again this"
        " week: other checks show what it would have shown.",
        "'A skill' with a0-0, l1-0, m2-0 is written down as not run on Tuesday 24 November: it comes again on Monday.",
        "'A skill': of 3 wished pairs with the last chance this week 2 come so early that another day is left, if the"
        " sitting falls through.",
    ]


def test_what_was_not_run_and_is_not_in_the_week_is_said_with_the_reason() -> None:
    """Its pair of adult and place is left out; that of another adult is none of its own."""
    case = case_of(0, 2)
    target = case.targets["skill"]
    _, two, *_ = target.combinations()
    load = load_of(case, [row(MONDAY, ResultKind.NOT_RUN, two)])
    pairs = tuple(zip(target.dimension_names, two, strict=True))
    common = {"learner": target.learner, "target": "skill", "kind": ProbeKind.NEW}
    other = LeftOut(**common, values=((pairs[0][0], "another"), pairs[1]), limit=Limit(Kind.NOT_OWED))
    own = LeftOut(**common, values=pairs[:2], limit=Limit(Kind.TARGET_SITTING))

    def said(*omitted: LeftOut) -> str:
        notes = notes_on(case, WEEK, NOW, load.free, load.needs, (), (), omitted)
        return next(note_text(case, n) for n in notes if n.kind is NoteKind.FELL_THROUGH)

    assert said(other, own).endswith(
        "it is not in this week, since a sitting holds only one probe of a target, and the planned sittings already"
        " hold theirs."
    )
    assert said(other).endswith("other checks show what it would have shown.")


def test_of_a_maintenance_probe_that_was_not_run_the_reason_is_that_of_the_date_that_is_due() -> None:
    """No combination stands for what is due, since any that was met would do."""
    case = product_case((2, 2, 1), mastered_on=date(2026, 11, 20), maintenance_days=(14,))
    target = case.targets["skill"]
    one, *_ = target.combinations()
    load = load_of(case, [row(MONDAY, ResultKind.PROBE, one), row(TUESDAY, ResultKind.NOT_RUN, one)])
    common = {"learner": target.learner, "target": "skill", "values": ()}
    due = LeftOut(**common, kind=ProbeKind.MAINTENANCE, limit=Limit(Kind.SET_MISSING, material_set="m2-0"))
    other = LeftOut(**common, kind=ProbeKind.BASELINE, limit=Limit(Kind.NOT_OWED))
    (note,) = notes_on(case, WEEK, NOW, load.free, load.needs, (), (), (other, due))
    assert note.limit == due.limit
