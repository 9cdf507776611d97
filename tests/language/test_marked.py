"""What is made once for all languages is said in that of whoever is spoken to, and what is read again is not."""

from __future__ import annotations

import gettext
from threading import Thread

import pytest

from genplan import fence
from genplan.casefile.keys import DEFAULTS, LEARNER
from genplan.casefile.record_types import Field, described, optional
from genplan.cli.pages import PLAN
from genplan.cli.parser import build_parser
from genplan.evidence.log import ResultKind
from genplan.evidence.row_counts import read_counts
from genplan.language import Speech, _, saying, speaking, speech
from genplan.language.marked import Marked, say
from genplan.start.asked_about_people import CHILDREN
from genplan.start.screens import SCREENS
from genplan.tables.sheets import SHEETS
from genplan.workflow.watching import Watch

GERMAN = Speech("de")


class _InBrackets(gettext.NullTranslations):
    """Every sentence with a mark before it, so that one that was not looked up shows."""

    def gettext(self, message: str) -> str:
        return f"«{message}"


@pytest.fixture(autouse=True)
def _marks_german(monkeypatch: pytest.MonkeyPatch) -> None:
    def translations(spoken: Speech) -> gettext.NullTranslations:
        return _InBrackets() if spoken == GERMAN else gettext.NullTranslations()

    monkeypatch.setattr(saying, "translations", translations)


def _german(made: object) -> bool:
    return str(made).startswith("«")


def test_a_marked_field_is_said_in_the_language_of_now() -> None:
    class Table:
        words = Marked()

    table = Table()
    table.words = "a probe"
    assert (table.words, Table.words) == ("a probe", "")
    with speaking(GERMAN):
        assert table.words == "«a probe"
        assert say(lambda: _("a list of {item}", item="a")) == "«a list of a"
    assert table.words == "a probe"


def test_tables_made_at_import_are_said_in_the_language_of_now() -> None:
    key = LEARNER["alias"]
    assert isinstance(key.form, Field)
    name = CHILDREN.question("name")

    def told() -> list[object]:
        words = (c.words for s in SHEETS for c in s.columns if c.key is None and c.words)
        return [
            *(key.words, key.default, key.kind.expects, key.form.label, key.form.hint),
            *(name.words, name.needed, CHILDREN.nobody, SCREENS[0].title, PLAN.summary, PLAN.end),
            *words,
        ]

    assert not any(map(_german, told()))
    with speaking(GERMAN):
        assert all(map(_german, told()))
    assert not any(map(_german, told()))


def test_what_is_read_again_stays_english() -> None:
    with speaking(GERMAN):
        assert not any("«" in described(key) for key in LEARNER.values())
        assert not any("«" in column.heading for sheet in SHEETS for column in sheet.columns)


def test_a_key_that_may_be_left_out_keeps_its_words_unsaid() -> None:
    loose, whole = DEFAULTS["learners"]["free"], LEARNER["free"]
    with speaking(GERMAN):
        again = optional(whole)
    assert (loose.required, again.words, again.default) == (False, whole.words, whole.default)


def test_what_is_remembered_of_a_row_is_remembered_for_each_language() -> None:
    cells = {"trials": "5", "correct": "seven"}
    ((_key, found, *_rest),) = read_counts(cells, ResultKind.PROBE)[1]
    with speaking(GERMAN):
        ((_key, in_german, *_rest),) = read_counts(cells, ResultKind.PROBE)[1]
    assert (found, in_german) == ("found 'seven'", "«found 'seven'")


def test_help_and_complaints_of_argparse_are_said_too(capsys: pytest.CaptureFixture[str]) -> None:
    with speaking(GERMAN):
        parser = build_parser()
        text = parser.format_help()
        with pytest.raises(SystemExit):
            parser.parse_args(["record", "my-case", "--marks", "-+"])
    assert text.startswith("«usage: ")
    assert "«options" in text
    assert "where they begin with a '-'" in capsys.readouterr().err
    assert build_parser().format_help().startswith("usage: ")


def test_a_child_speaks_as_its_program(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(fence.SPOKEN, "de trade")
    with fence.as_the_program_speaks():
        assert speech() == GERMAN
    monkeypatch.delenv(fence.SPOKEN)
    with fence.as_the_program_speaks():
        assert speech() == Speech()


def test_a_search_is_told_of_in_the_language_of_whoever_began_it() -> None:
    heard: list[str] = []
    with speaking(GERMAN):
        watch = Watch(lambda line: heard.append(_(line)))
    thread = Thread(target=watch, args=("planning",))
    thread.start()
    thread.join()
    assert heard == ["«planning"]
