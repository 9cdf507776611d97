"""The criterion, briefings, the curve and the review of a span, on a case small enough to count by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo

import pytest

from genplan.case import (
    Adult,
    Case,
    Dimension,
    Learner,
    Location,
    MaterialSet,
    PassMark,
    Target,
    TargetState,
    WeeklyHours,
    Wish,
)
from genplan.case.people import Birth
from genplan.coverage.briefing import BriefingWanted, briefed, briefings_wanted
from genplan.coverage.criterion import Criterion, criterion_of
from genplan.coverage.curve import curve
from genplan.coverage.review import Happened, review
from genplan.coverage.tally import tally
from genplan.evidence.log import Log, Result, ResultKind
from genplan.text.matrix_rows import row_text

ALWAYS = WeeklyHours.always()
ZIPS = Target(
    id="zips",
    learner="wren",
    name="Zips",
    dimensions=(
        Dimension("adult", ("mum", "dad")),
        Dimension("location", ("home", "park")),
        Dimension("material_set", ("coats",)),
    ),
    pass_mark=PassMark(4, 5),
    mastered_on=date(2026, 10, 19),
    maintenance_days=(14, 56),
    generalised_when={"adult": 2, "location": 1},
    first=(Wish({"location": "park"}, date(2026, 12, 18)), Wish({"adult": "mum", "location": "home"})),
)
TODAY = date(2026, 11, 30)


def case(target: Target = ZIPS, **adults: Adult) -> Case:
    people = {id_: Adult(id=id_, name=id_.capitalize(), free=ALWAYS) for id_ in ("mum", "dad")} | adults
    return Case(
        timezone=ZoneInfo("Europe/Dublin"),
        learners={"wren": Learner(id="wren", name="Wren Example", alias="W.", free=ALWAYS)},
        adults=people,
        locations={id_: Location(id=id_, name=id_.capitalize(), open=ALWAYS) for id_ in ("home", "park")},
        material_sets={"coats": MaterialSet(id="coats", name="Coats")},
        targets={target.id: target},
    )


def row(day: int, who: str, where: str, correct: int | None, kind: str = "probe", line: int = 0) -> Result:
    counted = {} if correct is None else {"trials": 5, "correct": correct}
    at = date(2026, 11, day)
    return Result(
        line=line or day,
        date=at,
        time=None,
        target="zips",
        kind=ResultKind(kind),
        combination=(who, where, "coats"),
        **counted,
    )


def log(*rows: Result) -> Log:
    return Log.of(rows)


def test_met_tested_and_untried_are_told_apart() -> None:
    count = tally(case(), ZIPS, log(row(1, "mum", "home", 5), row(2, "dad", "home", 2)), TODAY)
    adults, places = criterion_of(count).parts
    assert (adults.met, adults.tested, adults.untried, adults.missing) == (("mum",), ("dad",), (), 1)
    assert (places.met, places.tested, places.untried, places.missing) == (("home",), (), ("park",), 0)
    assert not criterion_of(count).is_met


def test_one_more_met_completes_it_and_a_later_failure_undoes_it() -> None:
    rows = [row(1, "mum", "home", 5), row(2, "dad", "home", 4)]
    assert criterion_of(tally(case(), ZIPS, log(*rows), TODAY)).is_met
    assert not criterion_of(tally(case(), ZIPS, log(*rows, row(3, "dad", "home", 3)), TODAY)).is_met


def test_prompted_and_taught_count_for_nothing() -> None:
    prompted = replace(row(1, "mum", "home", 0), prompted=5)
    count = tally(case(), ZIPS, log(prompted, row(2, "dad", "park", 5, "teaching")), TODAY)
    assert criterion_of(count).parts[0].met == ()


def test_without_a_criterion_nothing_is_claimed() -> None:
    bare = replace(ZIPS, generalised_when={})
    found = criterion_of(tally(case(bare), bare, log(row(1, "mum", "home", 5)), TODAY))
    assert (found.is_set, found.is_met) == (False, False)


def test_what_is_out_of_reach_says_so() -> None:
    away = Adult(id="dad", name="Dad", free=ALWAYS, briefed_on=frozenset())
    found = criterion_of(tally(case(dad=away), ZIPS, log(), TODAY))
    assert [(p.dimension, p.in_reach) for p in found.out_of_reach] == [("adult", 1)]
    # both adults are wanted, and both can be reached
    assert criterion_of(tally(case(), ZIPS, log(), TODAY)).out_of_reach == ()


def test_what_a_child_is_too_young_for_yet_can_still_be_reached() -> None:
    """Age passes while the case stays as it is; an allergen does not."""
    asked = replace(ZIPS, generalised_when={"material_set": 1}, generalised_with=({"material_set": "coats"},))
    young = replace(case(asked).learners["wren"], born=Birth(2024, 1), allergens=frozenset({"egg"}))

    def found(coats: MaterialSet) -> Criterion:
        known = replace(case(asked), learners={"wren": young}, material_sets={"coats": coats})
        assert not tally(known, asked, log(), TODAY).possible_combinations
        return criterion_of(tally(known, asked, log(), TODAY))

    coats = case().material_sets["coats"]
    assert not found(replace(coats, small_parts=True)).is_out_of_reach
    assert not found(replace(coats, min_age_months=600)).is_out_of_reach
    assert found(replace(coats, small_parts=True, allergens=frozenset({"egg"}))).is_out_of_reach


def test_how_many_tuples_wait_for_a_briefing() -> None:
    # pairs with dad: dad+home, dad+park, dad+coats; of these dad+coats and dad+home are shown by an old probe
    away = Adult(id="dad", name="Dad", free=ALWAYS, briefed_on=frozenset({"other"}))
    assert briefings_wanted(case(dad=away), ZIPS, log(), TODAY) == (BriefingWanted("dad", "zips", 3),)
    seen = log(row(1, "dad", "home", 5))
    assert briefings_wanted(case(dad=away), ZIPS, seen, TODAY) == (BriefingWanted("dad", "zips", 1),)
    assert briefings_wanted(case(), ZIPS, log(), TODAY) == ()
    # an adult whom a briefing alone would not help
    elsewhere = replace(away, learners=frozenset())
    assert briefings_wanted(case(dad=elsewhere), ZIPS, log(), TODAY) == ()


def test_a_briefing_more_takes_none_away() -> None:
    away = Adult(id="dad", name="Dad", free=ALWAYS, briefed_on=frozenset({"other"}))
    assert briefed(case(dad=away), "dad", "zips").adults["dad"].briefed_on == {"other", "zips"}


def test_what_was_met_without_teaching_is_a_figure_of_its_own() -> None:
    """Three tries of three pairs each: mum at home was taught by name, dad at home in a lesson after he failed, mum in
    the park never. In all 8 pairs, all 4 of people and places but dad's in the park are tried: 3 and each one's with
    the coats, 2 and 2. Without teaching mum's, the park's and theirs: mum+park, mum+coats, park+coats."""
    named = replace(ZIPS, taught=({"adult": "mum", "location": "home", "material_set": "coats"},))
    lesson = row(3, "dad", "home", 5, "teaching")
    rows = log(
        row(1, "mum", "home", 5),
        row(2, "dad", "home", 1),
        lesson,
        row(4, "dad", "home", 5),
        row(5, "mum", "park", 5),
    )
    count = tally(case(named), named, rows, TODAY)
    assert (len(count.possible), len(count.tested), len(count.met), len(count.met_untaught)) == (8, 7, 7, 3)
    taught_only = tally(case(named), named, log(row(1, "dad", "park", 5, "teaching")), TODAY)
    assert (len(taught_only.shown), len(taught_only.tested)) == (6, 0)
    curved = curve(case(named), named, rows, date(2026, 11, 1), TODAY)
    assert [p.met_untaught for p in curved] == [0, 0, 0, 0, 0, 3, 3]


def test_the_curve_starts_before_the_span_and_moves_by_rows() -> None:
    # 8 pairs: 4 adult+location, 2 adult+coats, 2 location+coats; each probe shows 3, the second 2 new ones
    rows = log(row(1, "mum", "home", 5), row(5, "dad", "home", 2), row(6, "mum", "park", None, "not run"))
    points = curve(case(), ZIPS, rows, date(2026, 11, 1), TODAY)
    assert [(p.day.day, p.possible, p.shown, p.tested, p.met) for p in points] == [
        (31, 8, 0, 0, 0),
        (1, 8, 3, 3, 3),
        (5, 8, 5, 5, 3),
        (30, 8, 5, 5, 3),
    ]
    with pytest.raises(ValueError, match="is before"):
        curve(case(), ZIPS, rows, TODAY, date(2026, 11, 1))


ROWS = log(
    row(1, "mum", "home", 5),
    row(4, "mum", "home", 5, "maintenance"),
    row(5, "mum", "home", 3, "maintenance"),
    row(6, "dad", "home", 5),
    row(7, "dad", "home", 1),
    row(8, "dad", "home", 1, "teaching"),
    row(9, "mum", "park", 2),
    row(10, "dad", "park", None, "not run"),
    row(29, "dad", "park", 5),
)


def test_a_review_tells_what_each_row_did() -> None:
    found = review(case(), "wren", ROWS, date(2026, 11, 4), date(2026, 11, 20)).targets[0]
    assert [(e.entry.result.line, e.what) for e in found.events] == [
        (4, Happened.MAINTAINED),
        (5, Happened.LAPSED),
        (6, Happened.MET),
        (7, Happened.BROKE),
        (8, Happened.TAUGHT),
        (9, Happened.NOT_MET),
        (10, Happened.NOT_RUN),
    ]
    assert found.retests == (("dad", "home", "coats"),)
    assert found.waiting == (("mum", "home", "coats"), ("mum", "park", "coats"))
    # dad+park is the one open pair, and the first wish asks for it; the second wish is seen
    assert len(found.tally.open) == 1
    assert [(w.pattern, n) for w, n in found.wishes] == [({"location": "park"}, 1)]
    # shown before: mum's 3; new: dad+home, dad+coats, mum+park, park+coats
    assert found.newly_tried == 4
    assert [e.entry.result.line for e in found.events_of(Happened.BROKE, Happened.NOT_MET)] == [7, 9]
    # on the day before the span mum had been met, at its end nobody is: her check lapsed, dad's probe broke
    assert [p.met for p in found.before.parts] == [("mum",), ("home",)]
    assert [p.met for p in found.criterion.parts] == [(), ()]
    assert {r.combination: row_text(case(), r) for r in found.matrix} == {
        ("mum", "home", "coats"): "waits for teaching in it before it is probed again",
        ("mum", "park", "coats"): "waits for teaching in it before it is probed again",
        ("dad", "home", "coats"): "taught since it was not met: due for a retest",
        ("dad", "park", "coats"): "",
    }


def test_what_has_no_order_of_its_own_is_told_in_one() -> None:
    """Rows in any order: combinations are told by their values, strange ones after those of the target."""
    strange = [row(3, who, "attic", 1) for who in ("uncle", "aunt", "cousin", "friend", "boss")]
    rows = log(row(1, "mum", "park", 1), row(2, "dad", "home", 1), *strange, row(4, "dad", "park", 1))
    found = review(case(), "wren", rows, date(2026, 11, 1), date(2026, 11, 20)).targets[0]
    assert found.waiting == tuple(sorted(found.waiting))
    assert len(found.waiting) == 8
    assert [r.combination[0] for r in found.matrix[4:]] == ["aunt", "boss", "cousin", "friend", "uncle"]


def test_more_met_than_wanted_leaves_nothing_missing() -> None:
    rows = log(row(1, "mum", "home", 5), row(2, "dad", "park", 5))
    found = criterion_of(tally(case(), ZIPS, rows, TODAY))
    assert [(p.wanted, p.met, p.missing) for p in found.parts] == [
        (2, ("mum", "dad"), 0),
        (1, ("home", "park"), 0),
    ]
    assert found.is_met


def test_rows_after_the_span_are_not_looked_at() -> None:
    early = review(case(), "wren", ROWS, date(2026, 11, 1), date(2026, 11, 20))
    cut = review(case(), "wren", Log(ROWS.results[:-1]), date(2026, 11, 1), date(2026, 11, 20))
    assert early == cut


@pytest.mark.parametrize("state", TargetState)
def test_every_target_is_in_it_whatever_its_state_and_though_nothing_was_run(state: TargetState) -> None:
    taught = replace(ZIPS, state=state)
    (found,) = review(case(taught), "wren", log(), date(2026, 11, 1), TODAY).targets
    assert (found.target, found.events) == (taught, ())
    assert len(review(case(taught), "wren", ROWS, date(2026, 11, 1), TODAY).targets) == 1


def test_the_first_and_the_last_day_are_in_the_span() -> None:
    """The check of the 4th is the first of the span, the probe of the 9th the last: four pairs are new by then. Of its
    rows five are tests."""
    found = review(case(), "wren", ROWS, date(2026, 11, 4), date(2026, 11, 9)).targets[0]
    assert found.newly_tried == 4
    assert found.agreement.probes == 5
    assert [e.entry.result.line for e in found.events] == [4, 5, 6, 7, 8, 9]


def test_a_span_of_one_day_holds_its_rows() -> None:
    """A target that is still taught, run on the one day of the span: 9 November."""
    taught, day = replace(ZIPS, state=TargetState.TEACHING), date(2026, 11, 9)
    found = review(case(taught), "wren", ROWS, day, day)
    assert [[e.entry.result.line for e in t.events] for t in found.targets] == [[9]]
    assert found.agreement.probes == 1
    (after,) = review(case(taught), "wren", ROWS, date(2026, 11, 11), date(2026, 11, 28)).targets
    assert after.events == ()


def test_the_day_before_the_span_is_before_its_first_row() -> None:
    """The check of the 4th was met, that of the 5th was not: a span from the 5th on begins with a criterion met."""
    found = review(case(), "wren", ROWS, date(2026, 11, 5), date(2026, 11, 5)).targets[0]
    assert [p.met for p in found.before.parts] == [("mum",), ("home",)]
    assert [p.met for p in found.criterion.parts] == [(), ()]


def test_a_curve_from_the_first_day_there_is() -> None:
    """No day comes before 1 January of the year 1."""
    points = curve(case(), ZIPS, log(row(1, "mum", "home", 5)), date.min, TODAY)
    assert [(p.day, p.shown) for p in points] == [(date.min, 0), (date(2026, 11, 1), 3), (TODAY, 3)]


def test_retests_are_told_in_order() -> None:
    places = [("mum", "park"), ("dad", "park"), ("mum", "home"), ("dad", "home")]
    failed = [row(1, who, where, 1) for who, where in places]
    taught = [row(2, who, where, None, "teaching") for who, where in places]
    found = review(case(), "wren", log(*failed, *taught), date(2026, 11, 1), date(2026, 11, 9)).targets[0]
    assert [c[:2] for c in found.retests] == sorted(places)
