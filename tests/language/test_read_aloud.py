"""German sentences that read wrongly when a number or a name was put into them."""

from __future__ import annotations

import pytest

from genplan.language import Speech, Words, _, ngettext, said, speaking
from genplan.start.asked_about_people import CHILDREN
from genplan.start.summary import things_words


@pytest.fixture(autouse=True)
def in_german():
    with speaking(Speech("de", Words.TRADE)):
        yield


def test_one_further_check_takes_no_verb_in_the_plural() -> None:
    further = ngettext("{n} further probe", "{n} further probes", 1)
    sentence = ngettext(
        "{left}: {further} can finish it, no fewer.",
        "{left}: {further} can finish them, no fewer.",
        2,
        left="2 sind danach noch offen",
        further=further,
    )
    assert sentence == "2 sind danach noch offen: Dafür braucht es 1 weitere Überprüfung, nicht weniger."


def test_a_thing_keeps_its_name_after_with() -> None:
    assert said("learned with {}").format("Oma").endswith("mit: Oma")
    assert things_words("rote Jacke, Anorak").endswith(
        "mit dieser Sache: rote Jacke; auszuprobieren auch mit: Anorak"
    )
    assert "mit „rote Jacke“ " in _(
        "targets are met less often with {value}, and new combinations with it wait until one retest with it is met",
        value="rote Jacke",
    )


def test_a_question_is_more_than_half_a_label() -> None:
    (question,) = (q for q in CHILDREN.questions if q.key == "alias")
    assert said(question.words) == "Name in Kalendern, die andere sehen"


def test_in_plain_words_a_retest_is_no_time_of_one_second() -> None:
    with speaking(Speech("en", Words.PLAIN)):
        assert ngettext("{n} retest", "{n} retests", 1) == "1 repeated check"
