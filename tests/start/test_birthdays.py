"""A month of birth, or a whole birthday, as people write it in their own language."""

from __future__ import annotations

import pytest

from genplan.casefile.diagnostics import InvalidValue
from genplan.language.catalogues import Speech
from genplan.language.saying import speaking
from genplan.start.answers import Answers, Entry
from genplan.start.reading import value_of
from genplan.start.screens import group_of

BORN = group_of("children").question("born")


def born(language: str, typed: str) -> str:
    with speaking(Speech(language)):
        month: str = value_of(BORN, Entry("c1", {"born": typed}), Answers())
    return month


@pytest.mark.parametrize(
    ("language", "typed"),
    [
        ("de", "14.3.21"),
        ("de", "14.03.2021"),
        ("de", "März 2021"),
        ("en", "31/03/2021"),
        ("en", "03/14/2021"),
        ("en", "3/3/2021"),
        ("en", "14 March 21"),
        ("en", "03/2021"),
    ],
)
def test_a_birthday_of_one_meaning_is_understood(language: str, typed: str) -> None:
    assert born(language, typed) == "2021-03"


@pytest.mark.parametrize(
    ("language", "typed"), [("de", "31. Februar 2021"), ("en", "03/04/2021"), ("en", "31/31/2021")]
)
def test_one_of_two_meanings_and_one_of_none_are_refused(language: str, typed: str) -> None:
    with pytest.raises(InvalidValue):
        born(language, typed)
