"""What is owed of a target in a week, by hand: which probes may be planned, which tuples are open, what is wished."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

import pytest

from genplan.audit import audit
from genplan.case import Case, Policy, Week, Wish
from genplan.coverage.tuples import wished_tuples
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import ProbeKind
from genplan.planning.candidate_pruning import pruned
from genplan.planning.figures import coverage_counts, coverage_values, due_value, new_tuples
from genplan.planning.needs import TargetNeed, need_of
from genplan.planning.openings import Opening
from genplan.planning.wishes import with_last_chances
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from tests.fixtures.planning_cases import NOW, WEEK, hours, plan_one, product_case
from tests.fixtures.search_settings import search_with

CASE = product_case((2, 2, 2))
"""Pairs of two adults a0, places l1 and sets m2, each -0 or -1: 12 pairs in 8 combinations."""
DAY = 24 * 60
NEW, RETEST, MAINTENANCE = ProbeKind.NEW, ProbeKind.RETEST, ProbeKind.MAINTENANCE


def combination(bits: str) -> tuple[str, ...]:
    """`010` -> ('a0-0', 'l1-1', 'm2-0')."""
    return tuple(f"{name}{i}-{bit}" for i, (name, bit) in enumerate(zip("alme", bits, strict=False)))


def row(day: int, bits: str, correct: int | None, kind: ResultKind = ResultKind.PROBE) -> Result:
    """Of five trials, on a day of November; None of them: teaching."""
    kind = ResultKind.TEACHING if correct is None else kind
    return Result(
        line=day,
        date=date(2026, 11, day),
        time=None,
        target="skill",
        kind=kind,
        combination=combination(bits),
        trials=correct and 5,
        correct=correct,
    )


def seat(*probes: tuple[str, ProbeKind], target: str = "skill") -> PlacedSitting:
    held = tuple(PlacedProbe(target, combination(bits), kind) for bits, kind in probes)
    return PlacedSitting("wren", "a0-0", "l1-0", 600, 615, held)


def needed(
    case: Case = CASE, rows: Iterable[Result] = (), begun: Iterable[PlacedSitting] = (), week: Week = WEEK
) -> TargetNeed:
    return need_of(case, case.targets["skill"], Log.of(rows), week, NOW.date(), begun)


def listed(need: TargetNeed) -> list[tuple[str, str, int]]:
    """Each choice as its bits, its kind and how many open pairs it shows."""
    return [("".join(v[-1] for v in c.combination), c.kind.value, len(c.shows)) for c in need.choices]


def changed(**changes: object) -> Case:
    return replace(CASE, targets={"skill": replace(CASE.targets["skill"], **changes)})  # type: ignore[arg-type]


def test_of_a_new_target_everything_is_open() -> None:
    need = needed()
    assert listed(need) == [(f"{n:03b}", "new", 3) for n in range(8)]
    assert len(need.open) == 12
    assert (need.maintenance, need.wishes) == (None, ())


def test_what_was_probed_is_not_probed_again() -> None:
    """000 was met and shows its three pairs; 111 was not met and waits; 011 was not met and taught since: again."""
    rows = [row(2, "000", 5), row(3, "111", 1), row(4, "011", 1), row(5, "011", None)]
    need = needed(rows=rows)
    # shown are 00-, 0-0, -00, 11-, 1-1, -11, 01-, 0-1; open are 10-, 1-0, -01, -10
    assert listed(need)[:3] == [("001", "new", 1), ("010", "new", 1), ("011", "retest", 0)]
    assert listed(need)[3:] == [(bits, "new", 2) for bits in ("100", "101", "110")]
    assert len(need.open) == 4


def test_what_was_met_is_repeated_where_maintenance_is_due_and_what_taught_names_until_then() -> None:
    """A week after 23 November is the Monday of the week, after 29 November its Sunday, after the 30th none. 001 is
    where it was mastered; 010 has a lesson alone, and its probe would be a first one."""
    ours = {
        "taught": ({"adult": "a0-0", "location": "l1-0", "material_set": "m2-1"},),
        "maintenance_days": (7,),
    }
    rows = [row(24, "000", 5), row(24, "111", 1), row(24, "110", 1), row(25, "110", None)]
    for mastered, is_due in ((23, True), (29, True), (30, False)):
        need = needed(changed(mastered_on=date(2026, 11, mastered), **ours), rows)
        repeated = [bits for bits, kind, _ in listed(need) if kind == "maintenance"]
        assert repeated == (["000"] if is_due else [])
        assert (need.maintenance is not None) is is_due
    for known in ([], [row(24, "010", None)], [row(24, "111", 1)]):
        need = needed(changed(mastered_on=date(2026, 11, 23), **ours), known)
        assert [bits for bits, kind, _ in listed(need) if kind == "maintenance"] == ["001"]
    # what is met within the week takes nothing away from those who were told of the other
    need = needed(changed(mastered_on=date(2026, 11, 23), **ours), [row(30, "000", 5)])
    assert [bits for bits, kind, _ in listed(need) if kind == "maintenance"] == ["000", "001"]


def test_what_sits_in_a_begun_sitting_is_done() -> None:
    """000 shows its three pairs, and is not chosen again; neither is what is due where that has begun."""
    need = needed(begun=[seat(("000", NEW)), seat(("111", NEW), target="another")])
    assert len(need.open) == 9
    assert [bits for bits, *_ in listed(need)] == ["001", "010", "011", "100", "101", "110", "111"]
    ours = {
        "taught": ({"adult": "a0-0", "location": "l1-0", "material_set": "m2-1"},),
        "maintenance_days": (7,),
    }
    case = changed(mastered_on=date(2026, 11, 23), **ours)
    assert needed(case, begun=[seat(("000", NEW))]).maintenance is not None
    assert needed(case, begun=[seat(("001", MAINTENANCE), target="another")]).maintenance is not None
    assert needed(case, begun=[seat(("000", NEW), ("001", MAINTENANCE))]).maintenance is None


def test_what_was_met_this_week_may_be_repeated_for_maintenance() -> None:
    """000 was planned for Monday and is met since; 001 is taught, and what came of its probe is not written down."""
    ours = {
        "taught": ({"adult": "a0-0", "location": "l1-0", "material_set": "m2-1"},),
        "maintenance_days": (7,),
    }
    case = changed(mastered_on=date(2026, 11, 23), **ours)
    need = needed(case, [row(30, "000", 5)], [seat(("000", NEW), ("001", NEW))])
    assert [bits for bits, kind, _ in listed(need) if kind == "maintenance"] == ["000"]


def test_a_maintenance_probe_after_a_midweek_change_repeats_what_was_met_this_week() -> None:
    """With the second adult it was met before, who has no hour left; with the first on Monday, as planned."""
    monday = replace(product_case((2, 1, 1), cover="all"), policy=Policy(days=(0,)))
    kept = plan_one(monday, Log.of([row(24, "100", 5)])).sittings
    assert [p.combination for s in kept for p in s.probes] == [combination("000")]
    case = product_case((2, 1, 1), cover="all", mastered_on=date(2026, 11, 25), maintenance_days=(8,))
    gone = replace(case.adults["a0-1"], free=hours(None))
    case = replace(case, adults={**case.adults, "a0-1": gone})
    rows = [row(24, "100", 5), row(30, "000", 5)]
    plan = plan_one(case, Log.of(rows), now=NOW + timedelta(days=2), kept=kept)
    ahead = [(p.kind, p.combination) for s in plan.sittings if not s.begun for p in s.probes]
    assert (ahead, plan.left_out) == ([(MAINTENANCE, combination("000"))], ())
    assert audit(case, Log.of(rows), plan, {}, kept) == ()
    # a probe more that fits beside a proven best is found by the auditor too
    without = replace(plan, sittings=tuple(s for s in plan.sittings if s.begun))
    assert any("told as proven best" in c for c in audit(case, Log.of(rows), without, {}, kept))


def test_a_retest_in_a_begun_sitting_is_not_owed_again() -> None:
    """000 was not met and taught since. What has begun counts as done: whether it was met is not written down yet."""
    rows = [row(2, "000", 1), row(3, "000", None)]
    again = [bits for bits, kind, _ in listed(needed(rows=rows)) if kind == "retest"]
    assert again == ["000"]
    ahead = listed(needed(rows=rows, begun=[seat(("000", RETEST))]))
    assert [bits for bits, kind, _ in ahead if kind == "retest" or bits == "000"] == []
    # that of another skill, or of another combination, has nothing to do with it
    for begun in (seat(("000", RETEST), target="another"), seat(("001", NEW))):
        assert ("000", "retest", 0) in listed(needed(rows=rows, begun=[begun]))


def test_a_retest_that_has_begun_is_planned_no_second_time() -> None:
    case, log = product_case((1, 1, 2), cover="all"), Log.of([row(2, "000", 1), row(3, "000", None)])
    kept = plan_one(case, log).sittings
    (retest,) = [s for s in kept if any(p.kind is RETEST for p in s.probes)]
    again = plan_one(case, log, now=retest.start + timedelta(minutes=1), kept=kept)
    assert [s.id for s in again.sittings if any(p.kind is RETEST for p in s.probes)] == [retest.id]
    assert not [item for item in again.left_out if item.kind is RETEST]


def test_columns_are_new_choices_with_what_is_left() -> None:
    rows = [row(4, "011", 1), row(5, "011", None)]
    need = needed(rows=rows)
    assert "011" not in ["".join(v[-1] for v in c) for c, _ in need.columns()]
    assert {len(shows) for c, shows in need.columns() if c == combination("000")} == {3}
    one = frozenset([(("adult", "a0-0"), ("location", "l1-0"))])
    assert [c for c, _ in need.columns(one)] == [combination("000"), combination("001")]
    assert need.columns(frozenset()) == ()
    kept = need.with_new_among([combination("100")])
    assert listed(kept) == [("011", "retest", 0), ("100", "new", 3)]


@pytest.mark.parametrize(
    ("pattern", "tuples"),
    [
        # one value: the pairs that hold it; two: that pair; three: each pair of two of them
        ({"adult": "a0-0"}, 4),
        ({"adult": "a0-0", "location": "l1-0"}, 1),
        ({"adult": "a0-0", "location": "l1-0", "material_set": "m2-0"}, 3),
    ],
)
def test_the_tuples_of_a_wish(pattern: dict[str, str], tuples: int) -> None:
    target = CASE.targets["skill"]
    assert len(wished_tuples(target, pattern, needed().open)) == tuples
    need = needed(changed(first=(Wish(pattern),)))
    assert len(need.wished) == tuples
    assert need.dated == {}
    late = replace(need, wishes=tuple(replace(w, last_chance=True) for w in need.wishes))
    assert late.dated == late.wished == dict.fromkeys(late.wished, 6)


def test_a_wish_that_was_shown_is_none_any_more() -> None:
    wish = Wish({"adult": "a0-0", "location": "l1-0"})
    assert needed(changed(first=(wish,)), [row(2, "000", 5)]).wishes == ()


@pytest.mark.parametrize(
    ("by", "opened", "most", "last_chance"),
    [
        (date(2026, 12, 13), [1], 4, False),
        (date(2026, 12, 6), [1], 4, True),
        (date(2026, 12, 13), [], 4, True),
        (date(2026, 12, 13), [2], 4, True),
        (date(2026, 12, 20), [2], 4, False),
        # the planned week's date, and dates that have passed
        (date(2026, 11, 30), [1], 4, True),
        # eight weeks after Sunday the 6th is 31 January; later dates wait
        (date(2027, 1, 31), [], 4, True),
        (date(2027, 2, 1), [], 4, False),
        (None, [], 4, False),
    ],
)
def test_the_last_chance_of_a_wish(by: date | None, opened: list[int], most: int, last_chance: bool) -> None:
    """The three pairs go into one probe, so one later week is enough. It has an opening on Monday of the weeks that are
    so many after the planned one."""
    pattern = {"adult": "a0-0", "location": "l1-0", "material_set": "m2-0"}
    need = needed(changed(first=(Wish(pattern, by),)))
    assert _is_last(need, most, opened) is last_chance


@pytest.mark.parametrize(
    ("most", "a_day", "opened", "last_chance"),
    [
        (4, 2, [1], False),
        (2, 2, [1], False),
        (1, 2, [1], True),
        (1, 2, [1, 2], False),
        (1, 2, [1, 3], False),
        (1, 2, [1, 5], True),
        # one a day, and the later week has one day
        (4, 1, [1], True),
        (4, 1, [1, 2], False),
    ],
)
def test_a_wish_that_takes_more_probes_than_a_week_has(
    most: int, a_day: int, opened: list[int], last_chance: bool
) -> None:
    """Two pairs of an adult with a place, so two probes, by the Sunday four weeks after the planned one. An hour holds
    two sittings of ten minutes with half an hour between them."""
    need = needed(changed(first=(Wish({"adult": "a0-0"}, date(2027, 1, 3)),)))
    assert _is_last(need, most, opened, a_day) is last_chance


def test_an_opening_counts_with_the_people_and_before_the_date() -> None:
    """By Tuesday 8 December: an opening on that day counts, one on Wednesday or with another adult does not."""
    need = needed(changed(first=(Wish({"adult": "a0-0", "location": "l1-0"}, date(2026, 12, 8)),)))
    for day, adult, place, last_chance in (
        (1, "a0-0", "l1-0", False),
        (2, "a0-0", "l1-0", True),
        (1, "a0-1", "l1-0", True),
        (1, "a0-0", "l1-1", True),
    ):
        opening = Opening(
            learner="wren", adult=adult, location=place, start=day * DAY + 600, end=day * DAY + 660
        )
        (wish,) = with_last_chances(CASE, need, WEEK, lambda _, __, o=opening: (o,)).wishes  # type: ignore[misc]
        assert wish.last_chance is last_chance


def _is_last(need: TargetNeed, most: int, opened: list[int], a_day: int = 1) -> bool:
    first = Opening(learner="wren", adult="a0-0", location="l1-0", start=600, end=660)
    weeks = [WEEK]
    for _ in range(12):
        weeks.append(weeks[-1].next())

    def openings_in(week: Week, learner: str) -> tuple[Opening, ...]:
        assert learner == "wren"
        return (first,) if weeks.index(week) in opened else ()

    policy = replace(CASE.policy, probes_per_target_per_week=most, probes_per_target_per_day=a_day)
    (wish,) = with_last_chances(replace(CASE, policy=policy), need, WEEK, openings_in).wishes
    return wish.last_chance


def test_a_thinned_need_keeps_the_design_and_the_most_telling_of_each_meeting(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of the four combinations of each adult and place two: the last one, and the one that has only these two values in
    common with it; of the design come two more."""
    search_with(monkeypatch, "candidate_pruning", prune_above=15, kept_a_meeting=2)
    need = needed(product_case((2, 2, 2, 2)))
    design = [combination("0001"), combination("1110")]
    kept = {bits for bits, *_ in listed(pruned(need, design))}
    meetings = ("00", "01", "10", "11")
    assert kept == {m + rest for m in meetings for rest in ("00", "11")} | {"0001", "1110"}
    assert {bits for bits, *_ in listed(pruned(need, []))} == kept - {"0001", "1110"}
    search_with(monkeypatch, "candidate_pruning", prune_above=15, kept_a_meeting=9)
    assert len(pruned(need, []).choices) == 16
    search_with(monkeypatch, "candidate_pruning", prune_above=16)
    assert pruned(need, design) is need


def test_what_seats_are_worth() -> None:
    """Two retests and a maintenance probe that was due on 11 November, before the week: 1 + 1 + 2."""
    case = changed(mastered_on=date(2026, 11, 1), maintenance_days=(10,), first=(Wish({"adult": "a0-0"}),))
    rows = [row(2, "011", 1), row(3, "011", None), row(2, "110", 1), row(3, "110", None), row(2, "000", 5)]
    need = needed(case, rows)
    late = replace(need, wishes=tuple(replace(w, last_chance=True) for w in need.wishes))
    held = [seat(("011", RETEST), ("000", MAINTENANCE)), seat(("110", RETEST)), seat(("001", NEW))]
    elsewhere = seat(("101", RETEST), ("101", NEW), target="another")
    assert due_value(need, [*held, elsewhere], WEEK) == 4
    assert due_value(need, held, Week(2026, 46)) == 3
    # of 001 the adult with the place is shown already, so is the adult with the set: the place with the set is new
    assert new_tuples(need, [*held, elsewhere]) == {(("location", "l1-0"), ("material_set", "m2-1"))}
    assert coverage_counts([late], [*held, elsewhere]) == {
        "due": 3,
        "dated": 0,
        "teaching": 0,
        "waited": 0,
        "wished": 0,
        "new tuples": 1,
    }
    fresh = needed(case)
    dated = replace(fresh, wishes=tuple(replace(w, last_chance=True) for w in fresh.wishes))
    assert coverage_counts([dated], [seat(("001", NEW))]) == {
        "due": 0,
        "dated": 2,
        "teaching": 0,
        "waited": 0,
        "wished": 2,
        "new tuples": 3,
    }
    assert coverage_counts([fresh], [seat(("001", NEW))]) == {
        "due": 0,
        "dated": 0,
        "teaching": 0,
        "waited": 0,
        "wished": 2,
        "new tuples": 3,
    }


@pytest.mark.parametrize(
    ("alone", "share"),
    [
        ({"wren": 4}, 0.75),
        ({"wren": 3}, 1.0),
        ({"wren": 2}, 1.0),
        ({"wren": 0}, 0.0),
        ({"robin": 9}, 0.0),
        ({"wren": 7}, 0.428),
    ],
)
def test_the_share_of_what_one_could_have_alone(alone: dict[str, float], share: float) -> None:
    """Three pairs of so many, cut to thousandths; needs weigh the pairs."""
    case = replace(CASE, learners={"wren": replace(CASE.learners["wren"], needs=2.0)})
    values = coverage_values(case, WEEK, [needed(case)], [seat(("001", NEW))], alone)
    assert values["shares"] == share
    assert values["new tuples"] == 6
