"""A row of another day, person or place, or of nothing that happened, is put right; no word of it is lost."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.errors import UsageError
from genplan.evidence.row_identity import cells_of, digest_of
from tests.fixtures.local_server import form_fields, running
from tests.fixtures.small_case import small_case

NOW = datetime(2026, 11, 29, 12)
HEAD = "date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note\n"
FIRST = "2026-11-20,16:00,puts-on,probe,gran,yard,hats,5,1,,,,\n"
AGAIN = "2026-11-20,16:00,puts-on,probe,gran,yard,hats,5,2,,,,cold\n"
OTHER = "2026-11-21,16:00,puts-on,probe,mum,yard,hats,5,5,,,,\r\n"
LESSON = "2026-11-22,,puts-on,teaching,gran,yard,hats,,,,,,\n"


def a_case(folder: Path, *rows: str) -> Path:
    case = small_case(folder)
    (case / "results.csv").write_bytes((HEAD + "".join(rows)).encode())
    return case


def digest(case: Path, line: int) -> str:
    opened = workflow.open_case(case, NOW)
    row = next(r for r in opened.log.results if r.line == line)
    return digest_of(opened.case.targets[row.target], row)


def put_right(case: Path, line: int, **changes: str) -> workflow.Added:
    return workflow.put_right(case, digest(case, line), changes, NOW)


def rows(case: Path) -> list[str]:
    return (case / "results.csv").read_bytes().decode().splitlines(keepends=True)[1:]


def test_a_day_and_a_person_are_put_right_where_they_stand(tmp_path: Path) -> None:
    case = a_case(tmp_path / "case", OTHER, AGAIN)
    put_right(case, 3, date="2026-11-19", adult="mum")
    changed = (
        '2026-11-19,16:00,puts-on,probe,mum,yard,hats,5,2,,,,"cold; before: date 2026-11-20, adult gran"\n'
    )
    assert rows(case) == [OTHER, changed]
    put_right(case, 3, date="2026-11-20", adult="gran", note="cold")
    assert 'cold; before: date 2026-11-19, adult mum, note ""cold; before: date 2026-11-20' in rows(case)[1]
    (opened,) = (r for r in workflow.open_case(case, NOW).log.results if r.line == 3)
    cells = cells_of(workflow.open_case(case, NOW).case.targets["puts-on"], opened)
    assert (cells["date"], cells["adult"], cells["correct"]) == ("2026-11-20", "gran", "2")


def test_rows_that_it_corrects_go_with_it_and_do_not_count_again(tmp_path: Path) -> None:
    case = a_case(tmp_path / "case", FIRST, AGAIN)
    put_right(case, 3, time="17:00")
    assert [r.split(",")[1] for r in rows(case)] == ["17:00", "17:00"]
    assert rows(case)[0].split(",")[8] == "1"
    put_right(case, 3, kind="not run", note="wrong child")
    assert [r.split(",")[3] for r in rows(case)] == ["not run", "not run"]
    assert "wrong child; before: " in rows(case)[1]
    assert "correct 2" in rows(case)[1]
    assert not [r for r in workflow.open_case(case, NOW).log.results if r.kind.is_probe]


@pytest.mark.parametrize(
    ("line", "changes", "said"),
    [
        (2, {"kind": "not run"}, "Why was it not run"),
        (2, {"adult": "gran"}, "Nothing was changed"),
        (2, {"date": "2026-11-21", "adult": "mum"}, "would speak of the same"),
    ],
)
def test_what_cannot_be_put_right_says_why_and_leaves_the_file(
    tmp_path: Path, line: int, changes: dict[str, str], said: str
) -> None:
    case = a_case(tmp_path / "case", FIRST, OTHER)
    with pytest.raises(UsageError, match=said):
        put_right(case, line, **changes)
    assert rows(case) == [FIRST, OTHER]


def test_what_is_still_ahead_is_not_written_where_nobody_is_asked(tmp_path: Path) -> None:
    case = a_case(tmp_path / "case", FIRST, OTHER)
    with pytest.raises(workflow.NotAdded) as refused:
        put_right(case, 2, date="2027-11-20")
    assert "This is still ahead" in refused.value.doubts[0]
    assert rows(case) == [FIRST, OTHER]


def test_the_page_leads_from_what_was_written_down_last_to_another_day_and_to_taking_it_back(
    tmp_path: Path,
) -> None:
    case = a_case(tmp_path / "case", FIRST, LESSON)
    with running(case) as local:
        for line, typed in ((2, {"date": ["2026-11-18"], "with-adult": ["mum"]}), (3, {"never": ["yes"]})):
            path = f"/history/puts-on/{line}"
            assert f'href="{path}"' in local.get("/record").text
            page = local.get(path).text
            fields = form_fields(page, page.count("<form") - 1) | typed | {"note": ["a slip"]}
            answer = local.post(path, fields)
            assert answer.status == 303, answer.text
            said = local.get(answer.headers["location"]).text
            assert ("What it said" if line == 2 else "It can be put back") in said
    first, second = rows(case)
    assert first.startswith("2026-11-18,16:00,puts-on,probe,mum,yard,hats,5,1,")
    assert second.startswith("2026-11-22,,puts-on,taken back: teaching,gran,yard,hats,,")
