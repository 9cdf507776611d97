"""A sound term has no complaints; each change of it has one of its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from genplan.audit.term import audit_term
from genplan.case import AdultLimits
from genplan.evidence.log import Log
from genplan.plan.term import NoWay, Promise, Term
from tests.fixtures.every_term import tiny_term
from tests.fixtures.planning_cases import NOW
from tests.fixtures.term_cases import TESS, WEEKS, the_term, therapist_case

CASE = therapist_case()


@cache
def the_sound_one() -> Term:
    return the_term(CASE)


def said(term: Term) -> tuple[str, ...]:
    return audit_term(CASE, Log(), term, NOW, {})


def probe(term: Term, **changes: object) -> Term:
    return replace(term, probes=(replace(term.probes[0], **changes), *term.probes[1:]))  # type: ignore[arg-type]


def date_(term: Term, **changes: object) -> Term:
    return replace(term, dates=(replace(term.dates[0], **changes), *term.dates[1:]))  # type: ignore[arg-type]


def test_a_sound_term() -> None:
    assert said(the_sound_one()) == ()


@pytest.mark.parametrize("seed", range(12))
def test_tiny_terms_are_sound(seed: int) -> None:
    case, weeks = tiny_term(seed)
    assert audit_term(case, Log(), the_term(case, weeks), NOW, {}) == ()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda t: replace(t, dates=t.dates[1:]), "lies in the weeks, and is not told"),
        (lambda t: replace(t, dates=(*t.dates, t.dates[0])), "stands twice"),
        (lambda t: date_(t, tuples=frozenset(list(t.dates[0].tuples)[:1])), "other tuples"),
        (lambda t: date_(t, by=t.dates[2].by), "nothing is open of it in these weeks"),
        (lambda t: date_(t, target="jon-skill", place=7), "has no date 8"),
        (lambda t: date_(t, shown=frozenset()), "0 are told"),
        (lambda t: date_(t, promise=Promise.GIVES_WAY), "told as gives way"),
        (lambda t: date_(t, no_way=dict.fromkeys(t.dates[0].tuples, NoWay.NO_HOURS)), "what has no way"),
        (lambda t: replace(t, probes=t.probes[1:]), "tuples are shown in time"),
        (lambda t: replace(t, bound=2), "the bound is 2"),
        (lambda t: replace(t, dates=t.dates[:2], bound=3), "the bound is 3"),
        (lambda t: replace(t, probes=(*t.probes, t.probes[0])), "planned twice"),
        (lambda t: probe(t, combination=("jons-mum", "hall", "red")), "not possible"),
        (lambda t: probe(t, first=3), "nobody has the minutes"),
        (lambda t: probe(t, week=5), "tuples are shown in time"),
        (lambda t: replace(t, probes=tuple(replace(p, week=0) for p in t.probes)), "minutes of adult tess"),
        (
            lambda t: replace(t, loads=tuple(replace(x, used=(0,) * 6) for x in t.loads)),
            "minutes are told of",
        ),
    ],
)
def test_one_change(change: Callable[[Term], Term], words: str) -> None:
    assert any(words in complaint for complaint in said(change(the_sound_one())))


def test_what_is_told_as_free_against_a_limit_of_the_week() -> None:
    case = therapist_case({"ida": WEEKS[2].sunday})
    limits = AdultLimits(minutes_per_week=45, sittings_per_week=1)
    case = replace(case, adults={**case.adults, TESS: replace(case.adults[TESS], limits=limits)})
    term = the_term(case)
    assert audit_term(case, Log(), term, NOW, {}) == ()
    for fields, words in (
        ({"free": (60,) * 3}, "60 free minutes are told of tess, against the limit"),
        ({"most_sittings": (2,) * 3}, "(2,) sittings are told of tess"),
        ({"sittings": (), "most_sittings": ()}, "() of () sittings are told of tess"),
    ):
        loads = tuple(replace(x, **fields) if x.name == TESS else x for x in term.loads)
        assert any(words in c for c in audit_term(case, Log(), replace(term, loads=loads), NOW, {}))
