"""Changes of whom and what a case knows by name: as people say them, not by ids alone."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.casefile.change_entries import HEAD
from genplan.errors import UsageError
from genplan.workflow import ChangeRequest
from tests.fixtures.small_case import SUNDAY, TEXT, WEDNESDAY

ADULTS = """\
  o-finn: {name: Orla Finn, free: {fri: "15:00-17:00"}}
  o-brady: {name: Orla Brady, free: {fri: "15:00-17:00"}}
  priya: {name: Nadia Priya, free: {fri: "15:00-17:00"}}
  minder: {name: Lark's minder, free: {fri: "15:00-17:00"}}
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    text = TEXT.replace("locations:\n", f"{ADULTS}locations:\n", 1)
    (tmp_path / "case.yaml").write_text(text, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("what", "typed", "line"),
    [
        ("away", "Mum", "{away: mum,"),
        ("away", "nadia", "{away: priya,"),
        ("away", "NADIA priya", "{away: priya,"),
        ("away", "lark", "{away: lark,"),
        ("away", "Lark", "{away: lark,"),
        ("away", "Lark Fernwhistle", "{away: lark,"),
        ("away", "orla  brady", "{away: o-brady,"),
        ("away", "L.", "{away: lark,"),
        ("away", "l", "{away: lark,"),
        ("closed", "the Yard", "{closed: yard,"),
        ("missing", "two boots", "{missing: boots,"),
    ],
)
def test_a_name_is_taken_as_the_id_that_it_stands_for(folder: Path, what: str, typed: str, line: str) -> None:
    workflow.change(folder, ChangeRequest(what, typed, datetime(2026, 12, 3)), WEDNESDAY)
    assert line in (folder / "changes.yaml").read_text(encoding="utf-8")


def test_who_is_meant_is_said_by_the_whole_name(folder: Path) -> None:
    asked = ChangeRequest("away", "nadia", datetime(2026, 12, 3))
    line = workflow.try_change(folder, asked, SUNDAY).line
    assert workflow.change(folder, asked, SUNDAY) == f"Added to changes.yaml: {line}."
    assert line == "Nadia Priya is away, Thursday 3 December"


def test_an_hour_more_is_of_an_adult_by_name_too(folder: Path) -> None:
    workflow.change(folder, ChangeRequest("extra", "Nadia", hours="fri 17:00-18:00"), WEDNESDAY)
    assert "{extra: priya," in (folder / "changes.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (
            "Orla",
            r"'Orla' may be Orla (Brady \(o-brady\) or Orla Finn \(o-finn\)|Finn .* or Orla Brady .*)\.",
        ),
        (
            "Nad",
            "The case has no adult or learner 'Nad'; it has gran, lark, minder, mum, o-brady, o-finn, priya",
        ),
        ("Fernwhistle", "The case has no adult or learner 'Fernwhistle'"),
        ("Z.", "The case has no adult or learner 'Z.'"),
        ("", "The case has no adult or learner ''"),
    ],
)
def test_a_name_of_several_and_one_of_nobody_are_refused(folder: Path, typed: str, said: str) -> None:
    with pytest.raises(UsageError, match=said):
        workflow.change(folder, ChangeRequest("away", typed, datetime(2026, 12, 3)), WEDNESDAY)
    assert not (folder / "changes.yaml").exists()


def test_a_wish_and_taking_it_back_are_of_people_by_name_too(folder: Path) -> None:
    def rather(adult: str, learner: str) -> PlannersWish:
        start = datetime(2026, 12, 4)
        return PlannersWish(
            kind=WishKind.RATHER, adult=adult, learner=learner, start=start, end=datetime(2026, 12, 5)
        )

    workflow.wish(folder, rather("nadia", "Lark"), SUNDAY)
    assert "{rather: priya," in (folder / "changes.yaml").read_text(encoding="utf-8")
    with pytest.raises(UsageError, match=r"'Orla' may be .*o-finn"):
        workflow.wish(folder, rather("Orla", ""), SUNDAY)
    workflow.take_back(folder, rather("Nadia", ""), SUNDAY)
    assert "rather" not in (folder / "changes.yaml").read_text(encoding="utf-8").replace(HEAD, "")


def test_what_is_asked_of_a_child_is_asked_by_the_alias_too(folder: Path) -> None:
    """Every message calls the child so; what nobody is called by is told with who there is."""
    assert {r.learner for r in workflow.progress(folder, "L.", SUNDAY).reviews} == {"lark"}
    assert {r.target for r in workflow.matrix(folder, SUNDAY, "L.", "Puts it on").rows} == {"puts-on"}
    with pytest.raises(UsageError, match=r"The case has no learner 'Z\.'; it has lark\."):
        workflow.progress(folder, "Z.", SUNDAY)
    with pytest.raises(UsageError, match=r"The case has no adult 'Zed'; it has gran"):
        workflow.share_part(folder, "Zed", folder / "out", SUNDAY)


def test_an_alias_that_an_adult_is_called_by_too_is_asked_about(folder: Path) -> None:
    text = (folder / "case.yaml").read_text(encoding="utf-8").replace("name: Nadia Priya", "name: L.")
    (folder / "case.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(UsageError, match=r"'L\.' may be L\. \(priya\) or L\. \(lark\)"):
        workflow.change(folder, ChangeRequest("away", "L.", datetime(2026, 12, 3)), WEDNESDAY)


def test_the_thing_of_a_sitting_of_ones_own_is_named_too(folder: Path) -> None:
    values = (("material_set", "Two boots"),)
    own = PlannersWish(
        kind=WishKind.ADD,
        learner="lark",
        adult="Mum",
        location="Home",
        start=datetime(2026, 12, 4, 16),
        target="puts-on",
        values=values,
    )
    line = workflow.wish(folder, own, SUNDAY).said
    assert "Two boots" in line
    written = (folder / "changes.yaml").read_text(encoding="utf-8")
    assert all(f"{key}: {id_}" in written for key, id_ in (("adult", "mum"), ("material_set", "boots")))
