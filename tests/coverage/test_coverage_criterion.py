"""What `generalised_when` may name, and what counts for it: places that must be among what is met, and only what was
met without teaching."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from genplan.case import Target
from genplan.case.targets import Teach
from genplan.coverage.criterion import Criterion, criterion_from
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.standing import standings
from genplan.report.criterion_words import criterion_sentences, generalised_words
from genplan.report.names_and_words import Names
from tests.fixtures import builders as b

TAUGHT = ("mum", "home", "jackets")
SCHOOL = ({"location": "school"},)
TARGET = b.a_target(generalised_when={"adult": 2}, generalised_with=SCHOOL, never=())


def rows(*told: tuple[str, str, str, str]) -> Log:
    """`+` met, `-` not met, `t` taught: sign, adult, location, material set."""
    kinds = {"t": ResultKind.TEACHING}
    return Log.of(
        Result(
            line=line,
            date=date(2026, 11, line),
            time=None,
            target=TARGET.id,
            kind=kinds.get(sign, ResultKind.PROBE),
            combination=combination,
            trials=5,
            correct=5 if sign != "-" else 0,
        )
        for line, (sign, *combination_) in enumerate(told, 1)
        for combination in [tuple(combination_)]
    )


def found(target: Target, log: Log) -> Criterion:
    return criterion_from(target, standings(target, log), target.combinations())


def said(target: Target, log: Log) -> list[str]:
    return list(criterion_sentences(Names(b.a_case(targets=[target])), found(target, log)))


def test_a_place_that_was_asked_for_and_failed_is_said_first_and_never_a_yes() -> None:
    log = rows(("+", *TAUGHT), ("+", "grandad", "park", "coats"), ("-", "mum", "school", "coats"))
    assert found(replace(TARGET, generalised_with=()), log).is_met
    assert not found(TARGET, log).is_met
    told = said(TARGET, log)
    assert told[0] == "Not generalised yet: School is asked for, and was tested and not met."
    assert told[1].startswith("Adults: 2 met, 2 asked for (Mum; Grandad), 1 of them without teaching")
    assert not any("counts as generalised" in sentence for sentence in told)
    met = rows(("+", *TAUGHT), ("+", "grandad", "school", "coats"))
    assert found(TARGET, met).is_met
    assert "Asked for and met: School (without teaching)." in said(TARGET, met)
    assert said(TARGET, rows())[0] == "Not generalised yet: School is asked for, and was not tried."


def test_values_that_go_together_must_be_met_together() -> None:
    together = replace(TARGET, generalised_with=({"adult": "grandad", "location": "school"},))
    apart = rows(("+", "grandad", "park", "coats"), ("+", "mum", "school", "coats"))
    assert not found(together, apart).is_met
    assert found(together, rows(("+", "mum", "park", "coats"), ("+", "grandad", "school", "coats"))).is_met


def test_a_value_that_was_tested_and_met_nowhere_stands_beside_the_yes() -> None:
    log = rows(
        ("+", *TAUGHT),
        ("+", "grandad", "school", "coats"),
        ("-", "teacher", "park", "coats"),
        ("-", "teacher", "school", "fleece"),
    )
    criterion = found(TARGET, log)
    assert criterion.is_met
    names = Names(b.a_case(targets=[TARGET]))
    nowhere = [names.value(*value) for value in criterion.met_nowhere]
    assert criterion.met_nowhere == (("adult", "teacher"), ("location", "park"), ("material_set", "fleece"))
    but = f"though with {nowhere[0]}, {nowhere[1]} and {nowhere[2]} it was tried and never met"
    met = f"What the case asks for is met: the target counts as generalised, {but}. All the same, 2 combinations were"
    assert said(TARGET, log)[0].startswith(met)
    assert generalised_words(names, criterion).startswith(but)


def test_what_failed_the_last_time_is_said_beside_the_yes_whatever_was_taught_since() -> None:
    """Each adult and place is met somewhere, so nothing else speaks of what failed."""
    good = (
        ("+", "mum", "school", "coats"),
        ("+", "grandad", "school", "coats"),
        ("+", "mum", "home", "coats"),
    )
    yes = "What the case asks for is met: the target counts as generalised."
    assert said(TARGET, rows(*good))[:1] == [yes]
    assert not any("All the same" in s for s in said(TARGET, rows(*good)))
    bad = ("grandad", "home", "coats")
    one = "All the same, 1 combination was not met when it was last tested."
    assert said(TARGET, rows(*good, ("-", *bad)))[0] == f"{yes} {one}"
    assert said(TARGET, rows(*good, ("-", *bad), ("t", *bad)))[0] == f"{yes} {one}"
    assert said(TARGET, rows(*good, ("-", *bad), ("t", *bad), ("+", *bad)))[:1] == [yes]
    assert not any("All the same" in s for s in said(TARGET, rows(*good, ("-", *bad), ("+", *bad))))
    assert not any("All the same" in s for s in said(TARGET, rows(("-", *bad))))


def test_what_was_met_and_lost_is_not_called_never_met() -> None:
    """Grandad never managed the park; with the coats at school it went well on the 2nd and not any more on the 4th, and
    a second failure of the 5th does not move the day; a retest that is met again leaves nothing to say."""
    asked = replace(TARGET, generalised_with=(), generalised_when={"adult": 1})
    history = (("+", *TAUGHT), ("+", "mum", "school", "coats"), ("-", "grandad", "park", "jackets"))
    lost = (("-", "mum", "school", "coats"), ("t", "mum", "school", "coats"), ("-", "mum", "school", "coats"))
    criterion = found(asked, rows(*history, *lost))
    assert criterion.is_met
    assert criterion.lost == {
        ("location", "school"): date(2026, 11, 4),
        ("material_set", "coats"): date(2026, 11, 4),
    }
    words = generalised_words(Names(b.a_case(targets=[TARGET])), criterion)
    assert words.startswith(
        "though with Grandad and The park it was tried and never met, and with School and Three winter coats it was"
        " met, but was lost on 4 Nov 2026"
    )
    place = replace(asked, generalised_with=({"location": "school"},))
    told = said(place, rows(*history, *lost))[0]
    assert told == "Not generalised yet: School is asked for, and was met, but was lost on 4 Nov 2026."
    again = found(place, rows(*history, *lost, ("+", "mum", "school", "coats")))
    assert again.is_met
    assert not again.lost


def test_of_places_that_are_counted_a_lost_one_is_kept_apart_from_one_that_never_was_met() -> None:
    """The park failed on the 1st; the school was met on the 2nd and lost on the 3rd. A second failure, or teaching
    since, leaves it lost on the 3rd."""
    asked = replace(TARGET, generalised_with=(), generalised_when={"location": 2})
    never, lost = ("-", "mum", "park", "coats"), [(sign, "mum", "school", "coats") for sign in "+-t-t"]
    one = "1 tested and not met (The park)"
    for until in (2, 3, 4, 5):
        text = said(asked, rows(never, *lost[:until]))[-1]
        assert f"{one}, 1 met and then lost (School, 3 Nov 2026). 2 missing" in text.replace(
            ", 1 not tried (Home)", ""
        )
    met = said(asked, rows(never, *lost, lost[0]))[-1]
    assert one in met
    assert "lost" not in met
    assert "lost" not in said(asked, rows(never, lost[1]))[-1]


def test_what_was_met_without_teaching_is_held_against_what_is_asked_for() -> None:
    """Nothing is met yet, and what is asked for stands beside it; not 'none of none'."""
    asked = {p.dimension: p.wanted for p in found(TARGET, Log()).parts}
    names = Names(b.a_case(targets=[TARGET]))
    words = generalised_words(names, found(TARGET, Log()))
    assert f"without teaching 0 adults ({asked['adult']} are asked for)" in words
    log = rows(("+", "grandad", "school", "coats"))
    for wanted, asked_for in ((1, "1 is"), (2, "2 are")):
        target = replace(TARGET, generalised_when={"adult": wanted})
        assert f"without teaching 1 adult ({asked_for} asked for)" in generalised_words(
            names, found(target, log)
        )
    assert " of 0" not in words


def test_only_what_was_met_without_teaching_counts_where_that_is_asked() -> None:
    """Mum was met where it was taught, grandad after a lesson there, and with nobody else: none counts."""
    asked = replace(TARGET, generalised_untaught=True, generalised_with=())
    lesson = ("t", "grandad", "park", "coats")
    log = rows(("+", *TAUGHT), ("-", "grandad", "park", "coats"), lesson, ("+", "grandad", "park", "coats"))
    assert found(replace(asked, generalised_untaught=False), log).is_met
    (part,) = found(asked, log).parts
    assert (part.met, part.taught_only, part.tested, part.missing) == ((), ("mum", "grandad"), (), 2)
    told = said(asked, log)[1]
    assert "0 met, 2 asked for, 2 met only where it was taught (Mum; Grandad)" in told
    both = rows(("+", "mum", "school", "coats"), ("+", "grandad", "park", "fleece"))
    assert found(asked, both).is_met
    assert "all without teaching" in said(asked, both)[1]
    place = replace(asked, generalised_with=({"location": "home"},))
    assert (
        said(place, log)[0] == "Not generalised yet: Home is asked for, and was met only where it was taught."
    )


def test_what_failed_is_out_of_reach_where_only_untaught_counts() -> None:
    """Every combination at school failed; each is probed again only once it was taught, and then counts no more."""
    asked = replace(TARGET, generalised_untaught=True)
    failed = rows(
        *(
            ("-", a, "school", m)
            for a in ("mum", "grandad", "teacher")
            for m in ("jackets", "coats", "fleece")
        )
    )
    criterion = found(asked, failed)
    assert [a.in_reach for a in criterion.asked] == [False]
    assert criterion.is_out_of_reach
    assert said(asked, failed)[0].endswith("it cannot be reached while the case stays as it is.")
    # taught for it are others, and the combination itself stays untaught
    assert not found(replace(asked, teach=Teach.FEWEST), failed).is_out_of_reach
    assert not found(replace(asked, generalised_untaught=False), failed).is_out_of_reach


SIGNS = st.lists(
    st.tuples(
        st.sampled_from("+-t"),
        st.sampled_from(("mum", "grandad", "teacher")),
        st.sampled_from(("home", "park", "school")),
        st.sampled_from(("jackets", "coats", "fleece")),
    ),
    max_size=20,
)


@settings(max_examples=150)
@given(SIGNS, st.booleans(), st.integers(0, 3))
def test_the_criterion_beside_plain_loops(
    told: list[tuple[str, str, str, str]], untaught: bool, wanted: int
) -> None:
    target = replace(TARGET, generalised_when={"adult": wanted}, generalised_untaught=untaught)
    lessons = {c for sign, *c_ in told if sign == "t" for c in [tuple(c_)]} | {TAUGHT}
    last = {tuple(c): sign for sign, *c in told if sign != "t"}
    met = {c for c, sign in last.items() if sign == "+"}
    counting = {c for c in met if not (untaught and c in lessons)}
    criterion = found(target, rows(*told))
    enough = len({c[0] for c in counting}) >= wanted and _holds(counting, "school")
    assert criterion.is_met == enough
    tested, everything = set(last), product(*(d.values for d in target.dimensions))
    nowhere = {v for c in everything for v in c} & {v for c in tested for v in c} - {
        v for c in met for v in c
    }
    assert {value for _, value in criterion.met_nowhere} == nowhere


def _holds(some: Iterable[tuple[str, ...]], place: str) -> bool:
    return any(c[1] == place for c in some)


@pytest.mark.parametrize("wanted", [2, 3])
def test_a_case_without_the_new_keys_means_what_it_meant(wanted: int) -> None:
    plain = replace(TARGET, generalised_with=(), generalised_when={"adult": wanted})
    log = rows(("+", *TAUGHT), ("+", "grandad", "park", "coats"), ("-", "teacher", "park", "coats"))
    assert found(plain, log).is_met == (wanted == 2)
