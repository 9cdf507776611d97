"""`genplan rename` and `genplan earlier`, word by word."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case import Case
from genplan.casefile import edit, load
from genplan.casefile.tree import Leaf
from genplan.cli import main
from tests.fixtures.small_case import TEXT, small_case

NOW = ("--now", "2026-11-29T12:00")


def said(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str]:
    code = main(words)
    told = capsys.readouterr()
    return code, told.out + told.err


def case_in(folder: Path) -> Case:
    case = load(folder).case
    assert case is not None
    return case


def test_a_name_then_an_id_and_back_to_what_it_was(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = small_case(tmp_path)
    code, told = said(capsys, "rename", str(folder), "gran", "Nana Rosa", *NOW)
    assert (code, told) == (0, "Its id is nana-rosa now. Changed: case.yaml.\n")
    assert case_in(folder).adults["nana-rosa"].name == "Nana Rosa"
    assert said(capsys, "rename", str(folder), "nana-rosa", "--id", "adult-2", *NOW)[0] == 0
    assert case_in(folder).adults["adult-2"].name == "Nana Rosa"
    assert said(capsys, "rename", str(folder), "adult-2", "Gran", "--id", "adult-2", *NOW) == (
        0,
        "It has that name now, and its id is still adult-2. Changed: case.yaml.\n",
    )
    code, told = said(capsys, "rename", str(folder), "adult-2", "Gran", "--id", "adult-2", *NOW)
    assert (code, told) == (0, "It is called that already. Nothing was changed.\n")
    code, told = said(capsys, "earlier", str(folder), *NOW)
    assert told.splitlines() == [
        "3: 2026-11-29 12:00, adult Nana Rosa is called Gran now",
        "2: 2026-11-29 12:00, adult Nana Rosa has the id adult-2 now",
        "1: 2026-11-29 12:00, adult Gran is called Nana Rosa now",
    ]
    code, told = said(capsys, "earlier", str(folder), "--back", "1", *NOW)
    assert (code, told) == (
        0,
        "The case is what it was before change 1: adult Gran is called Nana Rosa now.\n"
        "This went, too: adult Nana Rosa is called Gran now; adult Nana Rosa has the id adult-2 now.\n",
    )
    assert (folder / "case.yaml").read_text("utf-8") == TEXT


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("grann", "Nana"), "The case has nothing with the id 'grann'; did you mean 'gran'?"),
        (("both", "Nana"), "'both' is the id of several things: adult and location. Say which with --kind."),
        (("gran",), "What is the adult to be called? Nothing was changed."),
        (("gran", " "), "What is the adult to be called? Nothing was changed."),
        (("gran", "--id", "Nana"), "'Nana' is no id: expected an id of small letters"),
        (("gran", "--id", "all"), "'all' is no id"),
        (("gran", "--id", "boots"), "The case has something with the id 'boots' already."),
        (("gran", "Nana", "--kind", "target"), "The case has no target 'gran'. Nothing was changed."),
    ],
)
def test_what_cannot_be_done_is_told(
    words: Sequence[str], sentence: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    more = TEXT.replace("locations:\n", "  both: {name: B}\nlocations:\n  both: {name: C}\n")
    (tmp_path / "case.yaml").write_text(more, "utf-8")
    code, told = said(capsys, "rename", str(tmp_path), *words, *NOW)
    assert code == 2
    assert sentence in told
    assert [p.read_text("utf-8") for p in tmp_path.glob("*.yaml")] == [more]
    assert said(capsys, "rename", str(tmp_path), "both", "Nana", "--kind", "adult", *NOW)[0] == 0


def test_an_allergy_that_came_since_goes_only_where_that_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = small_case(tmp_path)
    said(capsys, "rename", str(folder), "gran", "Nana", "--id", "gran", *NOW)
    child = edit.thing(folder, ("learners", "lark"))
    assert isinstance(child.node, dict)
    record = {**child.node, "allergens": [Leaf("egg", True)]}
    workflow.put_thing(folder, ("learners", "lark"), record, child.digest, None)
    then = (folder / "case.yaml").read_bytes()
    code, told = said(capsys, "earlier", str(folder), "--back", "1", *NOW)
    assert code == 2
    assert (
        "nothing was changed: Lark Fernwhistle: must keep away from egg. These changes would go as well: "
        in told
    )
    assert "add --cautions-too." in told
    assert (folder / "case.yaml").read_bytes() == then
    assert said(capsys, "earlier", str(folder), "--back", "1", "--cautions-too", *NOW)[0] == 0
    assert (folder / "case.yaml").read_text("utf-8") == TEXT


def test_nothing_to_go_back_to(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert said(capsys, "earlier", str(tmp_path)) == (
        3,
        f"{tmp_path} holds no case. 'genplan new' makes a first one.\n",
    )
    folder = small_case(tmp_path)
    assert said(capsys, "earlier", str(folder)) == (
        0,
        "Nothing was changed by the program yet, as far as is still known.\n",
    )
    assert said(capsys, "earlier", str(folder), "--back", "7") == (
        2,
        "This earlier state of the case is not kept any more. Nothing was changed.\n",
    )
