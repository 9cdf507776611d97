"""Rows put right and taken back by the page: asked about as new ones are, and put back to the letter."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from genplan.case import Week
from genplan.evidence.sittings_written import with_reason as reason_stands_first
from genplan.workflow import open_case, propose
from tests.fixtures.local_server import NOW, Answer, Local, running
from tests.fixtures.starter_case import write_starter

HEAD = (
    "date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note"
)
MINE = "2026-11-28,16:00,asks-for-help,probe,mum,home,two-cups,5,4,,,,hm"
AT = "/history/asks-for-help"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_starter(tmp_path / "case")
    (tmp_path / "case" / "results.csv").write_text(f"{HEAD}\n{MINE}\n", encoding="utf-8")
    return tmp_path / "case"


@pytest.fixture
def local(folder: Path) -> Iterator[Local]:
    with running(folder) as local:
        yield local


def rows(folder: Path) -> list[str]:
    return (folder / "results.csv").read_text("utf-8").splitlines()[1:]


def ticked(answer: Answer) -> dict[str, list[str]]:
    return {"sure": re.findall(r'name="sure" value="(\w+)"', answer.text)}


def test_a_row_that_was_taken_back_counts_for_nothing_and_is_put_back(local: Local, folder: Path) -> None:
    form = local.form(f"{AT}/2")
    without = local.post(f"{AT}/2", form | {"never": "yes", "note": ""})
    assert (without.status, "Why is it taken back?" in without.text) == (422, True)
    done = local.post(f"{AT}/2", form | {"never": "yes", "note": "wrong skill"})
    assert "It can be put back" in local.get(done.headers["location"]).text
    away = MINE.replace("probe", "taken back: probe") + "; taken back: wrong skill"
    assert rows(folder) == [away]
    log = open_case(folder, NOW).log
    assert (log.results, len(log.taken_back)) == ((), 1)
    assert "taken back: counts for nothing" in local.get(AT).text
    back = local.form(f"{AT}/2") | {"then": "back"}
    done = local.post(f"{AT}/2", back)
    assert "Put back as it was, and it counts: 28 November 2026" in local.get(done.headers["location"]).text
    assert rows(folder) == [MINE]
    assert len(open_case(folder, NOW).log.results) == 1


def test_what_was_planned_and_taken_back_is_asked_for_again(local: Local, folder: Path) -> None:
    week = folder / "weeks" / str(Week(2026, 48))
    week.mkdir(parents=True)
    (week / "plan.csv").write_text(
        "week,sitting,learner,target,kind,adult,location,material_set,start,end,trials\n"
        "2026-W48,s1,wren,asks-for-help,new,mum,home,two-cups,"
        "2026-11-28T16:00:00+00:00,2026-11-28T16:10:00+00:00,5\n",
        encoding="utf-8",
    )
    day = NOW.date().replace(day=28)
    assert not propose(folder, day, None, NOW).probes
    local.post(f"{AT}/2", local.form(f"{AT}/2") | {"never": "yes", "note": "wrong skill"})
    assert len(propose(folder, day, None, NOW).probes) == 1


def test_why_it_was_taken_back_may_be_typed_behind_the_note(local: Local, folder: Path) -> None:
    local.post(f"{AT}/2", local.form(f"{AT}/2") | {"never": "yes", "note": "hm, she was asleep"})
    assert rows(folder)[0].endswith(",hm; taken back: she was asleep")


def test_a_row_put_back_does_not_count_beside_one_that_came_meanwhile(local: Local, folder: Path) -> None:
    local.post(f"{AT}/2", local.form(f"{AT}/2") | {"never": "yes", "note": "wrong count"})
    with (folder / "results.csv").open("a", encoding="utf-8") as file:
        file.write(MINE.replace(",4,", ",5,") + "\n")
    before = rows(folder)
    form = local.form(f"{AT}/2")
    assert "Put it back as it was" not in local.get(f"{AT}/2").text
    answer = local.post(f"{AT}/2", form | {"then": "back"})
    assert answer.status == 422
    assert "would speak of the same probe" in answer.text
    assert rows(folder) == before


NOT_RUN = MINE.replace(",probe,", ",not run,").replace(",5,4,", ",,,").replace(",hm", ",ill")


@pytest.mark.parametrize(
    ("away", "since", "told"),
    [
        (
            NOT_RUN,
            MINE,
            "28 November 2026, 16:00, Asks for help, Mum, Home, Two cups of different colours: 4 of 5 correct",
        ),
        (NOT_RUN, MINE.replace("16:00", ""), "28 November 2026, Asks for help"),
        (MINE, NOT_RUN, "Two cups of different colours: not run"),
        (NOT_RUN, MINE.replace("16:00", "17:30"), ""),
        (NOT_RUN, MINE.replace("home", "playground"), ""),
    ],
)
def test_what_was_not_run_is_not_put_back_beside_what_was_run_at_that_time(
    local: Local, folder: Path, away: str, since: str, told: str
) -> None:
    """One of the two is not so; both were there without a word."""
    (folder / "results.csv").write_text(f"{HEAD}\n{away}\n", encoding="utf-8")
    local.post(f"{AT}/2", local.form(f"{AT}/2") | {"never": "yes", "note": "a slip"})
    form = local.form(f"{AT}/2") | {"then": "back"}
    with (folder / "results.csv").open("a", encoding="utf-8") as file:
        file.write(f"{since}\n")
    before, page = rows(folder), local.get(f"{AT}/2").text
    assert ("Put it back as it was" in page) is not bool(told)
    answer = local.post(f"{AT}/2", form)
    assert answer.status == (422 if told else 303)
    assert (rows(folder) == before) is bool(told)
    if told:
        assert told in page
        assert f'href="{AT}/3">Put it right' in page
        assert told in answer.text
        assert "Put it back" not in local.get("/record?day=2026-11-28").text


@pytest.mark.parametrize(
    ("there", "typed", "asks"),
    [
        (NOT_RUN, {"kind": ["probe"], "correct": ["4"], "trials": ["5"]}, True),
        (MINE, {"kind": ["not run"], "note": ["ill"], "trials": [""]}, True),
        (NOT_RUN.replace("16:00", "17:30"), {"kind": ["probe"], "correct": ["4"], "trials": ["5"]}, False),
        (NOT_RUN, {"kind": ["not run"], "note": ["away"], "trials": [""]}, False),
    ],
)
def test_what_denies_a_row_of_that_time_is_asked_about_with_the_row_named(
    local: Local, folder: Path, there: str, typed: dict[str, list[str]], asks: bool
) -> None:
    (folder / "results.csv").write_text(f"{HEAD}\n{there}\n", encoding="utf-8")
    asked = "date=2026-11-28&time=16:00&with-adult=mum&with-location=home&with-material_set=two-cups"
    fields = local.form(f"/record/row?target=asks-for-help&{asked}") | typed
    answer = local.post("/record/add", fields)
    assert (
        "Line 2 says otherwise of the same time: 28 November 2026, 16:00, Asks for help" in answer.text
    ) is asks
    assert len(rows(folder)) == (1 if asks else 2)
    if asks:
        assert answer.status == 409
        assert local.post("/record/add", fields | ticked(answer)).status == 303
        assert len(rows(folder)) == 2


def test_a_row_that_was_put_right_is_put_right_again_and_not_put_back(local: Local, folder: Path) -> None:
    """Whatever its note says of before: that is for people to read."""
    assert local.post(f"{AT}/2", local.form(f"{AT}/2") | {"with-adult": "dad", "note": "hmm"}).status == 303
    (put_right,) = rows(folder)
    assert put_right == MINE.replace("mum", "dad").replace("hm", '"hmm; before: adult mum, note ""hm"""')
    assert "Put it back" not in local.get(f"{AT}/2").text
    assert local.post(f"{AT}/2", local.form(f"{AT}/2") | {"then": "back"}).status == 422
    assert rows(folder) == [put_right]
    assert local.post(f"{AT}/2", local.form(f"{AT}/2") | {"with-adult": "mum"}).status == 303
    assert rows(folder)[0].startswith(MINE.removesuffix("hm"))


def test_a_time_that_cannot_be_read_is_kept_as_it_was_written(local: Local, folder: Path) -> None:
    odd = MINE.replace("16:00", "about noon")
    (folder / "results.csv").write_text(f"{HEAD}\n{odd}\n", encoding="utf-8")
    assert (
        local.post(f"{AT}/2", local.form(f"{AT}/2") | {"never": "yes", "note": "wrong skill"}).status == 303
    )
    assert rows(folder) == [odd.replace("probe", "taken back: probe") + "; taken back: wrong skill"]
    assert f'href="{AT}/2"' in local.get(AT).text
    assert local.post(f"{AT}/2", local.form(f"{AT}/2") | {"then": "back"}).status == 303
    assert rows(folder) == [odd]
    assert local.post(f"{AT}/2", local.form(f"{AT}/2") | {"time": "12:00"}).status == 303
    assert rows(folder) == [MINE.replace("16:00", "12:00") + "; before: time about noon"]


def test_a_changed_row_is_asked_about_as_a_new_one_is(local: Local, folder: Path) -> None:
    """Still ahead, of long ago, fewer tries than planned: nothing is written before each was ticked."""
    for change, words in (
        ({"date": "2026-12-28"}, "This is still ahead"),
        ({"date": "2025-11-28"}, "more than half a year ago"),
        ({"trials": "1", "correct": "1"}, "taken as a whole probe"),
        ({"trials": "1", "correct": "1", "with-adult": "dad"}, "taken as a whole probe"),
    ):
        form = local.form(f"{AT}/2") | change
        asked = local.post(f"{AT}/2", form)
        assert (asked.status, words in asked.text) == (409, True), change
        assert rows(folder) == [MINE]
    assert local.post(f"{AT}/2", form | ticked(asked)).status == 303
    assert ",probe,dad,home,two-cups,1,1," in rows(folder)[0]


def test_a_corrected_row_goes_and_comes_with_the_one_that_counts(local: Local, folder: Path) -> None:
    assert local.post(f"{AT}/2", local.form(f"{AT}/2") | {"correct": "5"}).status == 303
    both = rows(folder)
    assert len(both) == 2
    assert "Put it back" not in local.get(f"{AT}/3").text
    assert local.post(f"{AT}/3", local.form(f"{AT}/3") | {"never": "yes", "note": "hm; no"}).status == 303
    assert not open_case(folder, NOW).log.results
    page = local.get("/record").text
    assert (f'href="{AT}/2"' in page, f'href="{AT}/3"' in page) == (False, True)
    assert local.get(f"{AT}/2").status == 404
    assert local.post(f"{AT}/3", local.form(f"{AT}/3") | {"then": "back"}).status == 303
    assert rows(folder) == both


def test_what_was_not_done_has_its_reason_from_a_choice_and_is_put_right(local: Local, folder: Path) -> None:
    way = "/record/row?target=asks-for-help&date=2026-11-27&time=15:00&with-adult=mum&with-location=home"
    form = local.form(f"{way}&with-material_set=two-cups") | {"kind": "not run", "note": "he cried"}
    assert local.post("/record/add", form).status == 303
    page = local.get("/record").text
    assert f'href="{AT}/3"' in page
    assert f'href="{AT}/3"' in local.get(AT).text
    done = local.post(f"{AT}/3", local.form(f"{AT}/3") | {"why": "refused"})
    assert "Put right: 27 November 2026, 15:00" in local.get(done.headers["location"]).text
    assert rows(folder)[1].endswith('"refused: he cried; before: note ""he cried"""')
    form = local.form(f"{AT}/3")
    assert form["why"] == ["refused"]
    assert local.post(f"{AT}/3", form | {"never": "yes", "note": "it was run"}).status == 303
    assert "taken back: not run" in rows(folder)[1]
    assert local.post(f"{AT}/3", local.form(f"{AT}/3") | {"then": "back"}).status == 303
    assert rows(folder)[1].endswith('"refused: he cried; before: note ""he cried"""')


def test_a_reason_beside_what_was_run_is_asked_about(local: Local, folder: Path) -> None:
    way = "/record/row?target=asks-for-help&date=2026-11-27&time=15:00&with-adult=mum&with-location=home"
    form = local.form(f"{way}&with-material_set=two-cups") | {"kind": "probe", "correct": "3", "why": "ill"}
    answer = local.post("/record/add", form)
    assert (answer.status, "Something was counted, and a reason was chosen" in answer.text) == (422, True)
    assert rows(folder) == [MINE]


@pytest.mark.parametrize("kind", ["probe", "teaching"])
def test_a_reason_and_no_count_is_not_run_whatever_the_form_came_with(
    local: Local, folder: Path, kind: str
) -> None:
    way = "/record/row?target=asks-for-help&date=2026-11-27&time=15:00&with-adult=mum&with-location=home"
    form = local.form(f"{way}&kind={kind}&with-material_set=two-cups") | {"why": "refused"}
    assert form["kind"] == [kind]
    assert local.post("/record/add", form).status == 303
    assert "2026-11-27,15:00,asks-for-help,not run,mum,home,two-cups" in rows(folder)[1]
    assert rows(folder)[1].endswith(",refused")


@pytest.mark.parametrize(
    ("reason", "note", "becomes"),
    [
        ("refused", "", "refused"),
        ("refused", "he hid", "refused: he hid"),
        ("refused", "Refused: he hid", "Refused: he hid"),
        ("refused", "ill: fever", "refused: fever"),
        ("ill", "refused", "ill"),
        ("", "a fire drill", "a fire drill"),
        ("ill", "said no", "ill: said no"),
    ],
)
def test_a_reason_stands_before_the_note(reason: str, note: str, becomes: str) -> None:
    assert reason_stands_first(reason, note) == becomes


def test_the_page_names_rows_by_day_and_counts_and_not_by_lines(local: Local, folder: Path) -> None:
    with (folder / "results.csv").open("a", encoding="utf-8") as file:
        file.write(MINE.replace("11-28", "11-27") + "\n")
    two = local.post(f"{AT}/3", local.form(f"{AT}/3") | {"date": "2026-11-28"})
    assert two.status == 422
    assert "would count: 28 November 2026, 16:00, Asks for help, Mum" in two.text
    unchanged = local.post(f"{AT}/3", local.form(f"{AT}/3"))
    assert "the row stays as it is" in unchanged.text
    done = local.post(f"{AT}/3", local.form(f"{AT}/3") | {"correct": "2"})
    told = local.get(done.headers["location"]).text.partition("<table")[0]  # which has a column of lines
    for text in (two.text, unchanged.text, local.get(f"{AT}/4").text, told):
        assert not re.search(r"\b[Ll]ine \d", text)
