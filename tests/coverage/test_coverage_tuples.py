"""Tuples against published examples: NIST's worked coverage and orthogonal arrays."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import combinations
from zoneinfo import ZoneInfo

import pytest

from genplan.case import (
    Adult,
    Case,
    Dimension,
    Learner,
    Location,
    MaterialSet,
    Target,
    WeeklyHours,
)
from genplan.coverage.tally import fewest_at_least, tally
from genplan.coverage.tuples import dimensions_of, tuples_of, tuples_of_all, tuples_of_pattern
from genplan.evidence.log import Log, Result, ResultKind

DAY = date(2026, 11, 29)


def factors(levels: str, cover: str = "pairs") -> Target:
    """A target of dimensions a, b, c … with so many values 0, 1, 2 … each."""
    dimensions = (Dimension(chr(97 + i), tuple("0123456789"[: int(n)])) for i, n in enumerate(levels))
    return Target(id="t", learner="wren", name="t", dimensions=tuple(dimensions), cover=cover)


def shown(target: Target, rows: str) -> set[str]:
    """The tuples that these rows show, written as `ab=10`."""
    found = tuples_of_all(target, (tuple(row) for row in rows.split()))
    return {"".join(n for n, _ in t) + "=" + "".join(v for _, v in t) for t in found}


def everything(target: Target) -> int:
    return len(tuples_of_all(target, target.combinations()))


NIST = "0000 0110 1001 0111"
L8 = "0000000 0001111 0110011 0111100 1010101 1011010 1100110 1101001"
L9 = "0000 0112 0221 1011 1120 1202 2022 2101 2210"
L18 = (
    "00000000 00111111 00222222 01001122 01112200 01220011 02010212 02121020 02202101 "
    "10022110 10100221 10211002 11012021 11120102 11201210 12021201 12102012 12210120"
)
EVEN = "0000 0011 0101 0110 1001 1010 1100 1111"


def test_nists_worked_example() -> None:
    """Kuhn, Mendoza, Kacker and Lei, 'Combinatorial coverage measurement' (2013; citation from memory), and
    NIST's page 'Combinatorial Coverage': the tests show 19 of 24 pairs, and these five are missing."""
    target = factors("2222")
    assert everything(target) == 24
    assert len(shown(target, NIST)) == 19
    missing = shown(target, " ".join("".join(c) for c in target.combinations())) - shown(target, NIST)
    assert missing == {"ab=11", "ac=11", "ad=10", "bc=01", "bc=10"}


@pytest.mark.parametrize(
    ("cover", "seen", "of"), [("each-value", 8, 8), ("pairs", 19, 24), ("triples", 15, 32), ("all", 4, 16)]
)
def test_nists_example_at_other_strengths(cover: str, seen: int, of: int) -> None:
    """8/8, 15/32 and 4/16 are computed from the same rows; the page does not print them."""
    target = factors("2222", cover)
    assert (len(shown(target, NIST)), everything(target)) == (seen, of)


@pytest.mark.parametrize(
    ("levels", "rows", "pairs"),
    [
        # sums of products of two level counts
        ("2222222", L8, 21 * 4),
        ("3333", L9, 6 * 9),
        ("23333333", L18, 7 * 6 + 21 * 9),
        ("2222", EVEN, 6 * 4),
    ],
    ids=["L8", "L9", "L18", "even"],
)
def test_an_orthogonal_array_shows_all_pairs(levels: str, rows: str, pairs: int) -> None:
    """L8, L9 and L18 are Taguchi's names (from memory); that the rows are balanced is checked by counting."""
    target = factors(levels)
    assert len(shown(target, rows)) == everything(target) == pairs


def test_which_arrays_show_all_triples() -> None:
    assert len(shown(factors("2222", "triples"), EVEN)) == everything(factors("2222", "triples")) == 32
    for levels, rows in (("2222222", L8), ("3333", L9), ("23333333", L18)):
        target = factors(levels, "triples")
        assert len(shown(target, rows)) < everything(target)


def test_a_combination_shows_one_tuple_of_each_set_of_dimensions() -> None:
    target = factors("3222", "triples")
    tuples = tuples_of(target, ("2", "0", "1", "0"))
    assert [dimensions_of(t) for t in tuples] == list(combinations("abcd", 3))
    assert tuples[0] == (("a", "2"), ("b", "0"), ("c", "1"))


def test_strength_is_at_most_the_number_of_dimensions() -> None:
    assert factors("22", "triples").strength == 2
    assert factors("222", "all").strength == 3
    assert factors("22222", "all").strength == 5


def test_a_pattern_shows_the_tuples_that_it_names_whole() -> None:
    target = factors("2222")
    assert tuples_of_pattern(target, {"c": "1", "a": "0"}) == ((("a", "0"), ("c", "1")),)
    assert len(tuples_of_pattern(target, {"a": "0", "b": "0", "c": "0"})) == 3
    assert tuples_of_pattern(target, {"a": "0"}) == ()


# Removing one row of L9 takes away the 6 pairs that only it shows: each pair is in exactly one row.
def test_an_open_design_has_a_lower_bound() -> None:
    target = factors("3333")
    rows = [tuple(r) for r in L9.split()]
    left = tuples_of_all(target, target.combinations()) - tuples_of_all(target, rows[2:])
    assert len(left) == 12
    assert fewest_at_least(left) == 2
    assert fewest_at_least(frozenset()) == 0


def small_case(*never: dict[str, str], taught: tuple[dict[str, str], ...] = ()) -> Case:
    """2 adults x 2 locations x 2 sets: 12 pairs."""
    always = WeeklyHours.always()
    dimensions = (
        Dimension("adult", ("dad", "mum")),
        Dimension("location", ("home", "park")),
        Dimension("material_set", ("coats", "jackets")),
    )
    return Case(
        timezone=ZoneInfo("Europe/Dublin"),
        learners={"wren": Learner(id="wren", name="Wren", alias="W.", free=always)},
        adults={id_: Adult(id=id_, name=id_, free=always) for id_ in ("dad", "mum")},
        locations={id_: Location(id=id_, name=id_, open=always) for id_ in ("home", "park")},
        material_sets={id_: MaterialSet(id=id_, name=id_) for id_ in ("coats", "jackets")},
        targets={
            "zips": Target(
                id="zips", learner="wren", name="zips", dimensions=dimensions, never=never, taught=taught
            )
        },
    )


def rows(*results: tuple[str, int]) -> Log:
    return Log.of(
        Result(
            line=i,
            date=date(2026, 11, i),
            time=None,
            target="zips",
            kind=ResultKind.PROBE,
            combination=tuple(values.split()),
            trials=5,
            correct=correct,
        )
        for i, (values, correct) in enumerate(results, 2)
    )


def counted(case: Case, log: Log) -> tuple[int, int, int, int, int, int]:
    count = tally(case, case.targets["zips"], log, DAY)
    sets = (count.possible, count.tested, count.taught, count.met, count.shown, count.open)
    return tuple(len(s) for s in sets)  # type: ignore[return-value]


def test_a_tally_of_nothing() -> None:
    assert counted(small_case(), Log()) == (12, 0, 0, 0, 0, 12)


def test_tested_and_met_are_two_coverages() -> None:
    """(mum, home, coats) met: 3 pairs. (mum, park, coats) not met: mum-park, park-coats are only tested."""
    log = rows(("mum home coats", 5), ("mum park coats", 1))
    assert counted(small_case(), log) == (12, 5, 0, 3, 5, 7)


def test_taught_counts_as_shown_and_not_as_tested() -> None:
    taught = {"adult": "mum", "location": "home", "material_set": "coats"}
    assert counted(small_case(taught=(taught,)), Log()) == (12, 0, 3, 0, 3, 9)
    # a probe in it makes its pairs tested; the shown ones are the same three
    assert counted(small_case(taught=(taught,)), rows(("mum home coats", 1))) == (12, 3, 3, 0, 3, 9)


def test_taught_without_one_dimension_shows_what_it_gives() -> None:
    part = {"adult": "mum", "location": "home"}
    assert counted(small_case(taught=(part,)), Log()) == (12, 0, 1, 0, 1, 11)


def test_a_pair_that_no_possible_combination_shows_is_not_counted() -> None:
    """Without dad in the park 11 pairs are left; his row there counts for park-coats and dad-coats only."""
    case = small_case({"adult": "dad", "location": "park"})
    assert counted(case, Log()) == (11, 0, 0, 0, 0, 11)
    assert counted(case, rows(("dad park coats", 5))) == (11, 2, 0, 2, 2, 9)


def test_a_row_outside_the_targets_values_shows_what_is_among_them() -> None:
    assert counted(small_case(), rows(("gran home coats", 5))) == (12, 1, 0, 1, 1, 11)


def test_a_later_failure_takes_met_away_and_leaves_tested() -> None:
    case = small_case()
    assert counted(case, rows(("mum home coats", 5), ("mum home coats", 2))) == (12, 3, 0, 0, 3, 9)


def test_the_order_of_values_decides_nothing() -> None:
    case = small_case()
    target = case.targets["zips"]
    turned = replace(target, dimensions=tuple(replace(d, values=d.values[::-1]) for d in target.dimensions))
    log = rows(("mum home coats", 5), ("dad park coats", 1))
    one = tally(case, target, log, DAY)
    other = tally(replace(case, targets={"zips": turned}), turned, log, DAY)
    assert (one.possible, one.open, one.met) == (other.possible, other.open, other.met)


def test_the_fullest_set_of_dimensions_says_how_many_are_needed_at_least() -> None:
    """Three of a and b, one of b and c: a probe shows one of each, so three."""
    open_tuples = frozenset({(("a", v), ("b", "0")) for v in "012"} | {(("b", "0"), ("c", "0"))})
    assert fewest_at_least(open_tuples) == 3
    assert fewest_at_least(frozenset()) == 0


def test_a_combination_of_another_length_has_no_tuples() -> None:
    with pytest.raises(ValueError, match="shorter"):
        tuples_of(factors("222"), ("0", "0"))
