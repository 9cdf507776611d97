"""Places that every rule allows, and that somebody has to be asked about first."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case import Absence
from genplan.cli import main
from genplan.plan import Note, NoteKind, Sitting
from genplan.planning.alternatives import AskFirst
from genplan.report.alternative_lines import ask_words
from genplan.report.names_and_words import Names
from genplan.text.notes import note_text
from genplan.workflow import ChangeRequest
from genplan.workflow.asking_first import homes
from genplan.workflow.notes_of_plan import home_notes
from tests.fixtures import builders as b
from tests.fixtures.small_case import SUNDAY, WEDNESDAY

HEAD = (
    "date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note"
)


def call_the_yard(case: Path, name: str) -> None:
    path = case / "case.yaml"
    path.write_text(path.read_text("utf-8").replace("The yard", name), "utf-8")


def one_of_gran(case: Path) -> str:
    week = workflow.told_week(case, None, WEDNESDAY)
    return next(s.sitting.id for s in week.sittings if s.sitting.adult == "gran" and not s.begun)


def test_the_home_of_whoever_is_ill_is_offered_last_and_asked_about(case: Path) -> None:
    call_the_yard(case, "Gran's house")
    sitting = one_of_gran(case)
    before = workflow.alternatives(case, sitting, WEDNESDAY)
    assert {a.ask for a in before.all} == {AskFirst()}
    workflow.change(case, ChangeRequest("away", "gran", end=datetime(2026, 12, 5)), WEDNESDAY)
    view = workflow.alternatives(case, sitting, WEDNESDAY)
    for offered in (view.same_day, view.other_days):
        places = [a.seat.location for a in offered]
        assert places == sorted(places), "the home of all before Gran's"
        assert {a.seat.location: a.ask.home_of for a in offered} == {"home": "", "yard": "gran"}
    (line,) = ask_words(Names(view.case), view.same_day[-1], "yard")
    assert line.startswith("Gran is away then: ")
    assert "Gran's house" in line


def test_the_home_of_whoever_is_ill_is_asked_about_where_a_change_is_tried(case: Path) -> None:
    call_the_yard(case, "Gran's house")
    ill = ChangeRequest("away", "gran", end=datetime(2026, 12, 5))
    (week,) = workflow.try_change(case, ill, WEDNESDAY).weeks
    places = [f.sitting.location for f in week.fallen if f.sitting]
    assert places.count("yard") > 0
    asked = [line.strip() for line in week.lines() if "is it all right to meet" in line]
    question = "Gran is away then: is it all right to meet at this place (Gran's house)?"
    assert asked == [question] * places.count("yard")
    # while there is another place her home is not offered
    assert places[0] == "home"


def test_a_plan_with_a_sitting_at_the_home_of_whoever_is_away_asks_first() -> None:
    case, (tuesday, saturday) = b.a_case(), b.the_sittings()
    park = replace(case.locations["park"], name="Class teacher's house")

    def asked(*, away: str, sittings: tuple[Sitting, ...] = (tuesday, saturday)) -> list[Note]:
        whole_day = Absence(datetime(2026, 12, 1), datetime(2026, 12, 2))
        gone = replace(case.adults[away], away=(whole_day,))
        known = replace(case, adults={**case.adults, away: gone}, locations={**case.locations, "park": park})
        plan = b.a_plan(known, sittings=sittings)
        notes = list(home_notes(known, plan))
        assert all("is it all right to meet there?" in note_text(known, note) for note in notes)
        return notes

    kind = NoteKind.HOME_OF_WHO_IS_AWAY
    assert asked(away="teacher") == [Note(kind=kind, adult="teacher", location="park", days=(1,))]
    assert asked(away="mum") == []
    # whoever lives there too and is there can say so; what has begun is past asking
    both = replace(park, name="Grandad and Class teacher's house")
    park = both
    assert asked(away="teacher") == []
    park = replace(park, name="Class teacher's house")
    assert asked(away="teacher", sittings=(replace(tuesday, begun=True),)) == []


def test_what_stays_at_the_home_of_whoever_is_ill_is_asked_about_too(case: Path) -> None:
    """Mum's visit on Tuesday can still be held, and it is at Gran's."""
    call_the_yard(case, "Gran's house")
    ill = ChangeRequest("away", "gran", SUNDAY, datetime(2026, 12, 5))
    (week,) = workflow.try_change(case, ill, SUNDAY).weeks
    staying = [s.sitting for s in week.week.sittings if s.left and s.sitting.location == "yard"]
    assert [one for one, _adult in week.asked] == staying
    assert staying
    assert {adult for _one, adult in week.asked} == {"gran"}
    lines = list(week.lines())
    assert lines[-1].strip() == "Gran is away then: is it all right to meet at this place (Gran's house)?"
    # once it is written down it is no news of another change
    workflow.change(case, ill, SUNDAY)
    other = ChangeRequest("missing", "boots", SUNDAY, datetime(2026, 12, 5))
    assert workflow.try_change(case, other, SUNDAY).weeks[0].asked == ()


@pytest.mark.parametrize(
    ("name", "whose"),
    [("Gran's house", ("gran",)), ("At gran", ("gran",)), ("Granary", ()), ("Mum and Gran", ("mum", "gran"))],
)
def test_whose_home_a_place_may_be_is_known_by_its_name(
    case: Path, name: str, whose: tuple[str, ...]
) -> None:
    known = workflow.open_case(case, WEDNESDAY).case
    yard = replace(known.locations["yard"], name=name)
    assert set(homes(replace(known, locations={"yard": yard}))["yard"]) == set(whose)


def test_nothing_is_offered_that_begins_this_very_minute(case: Path) -> None:
    now = datetime(2026, 12, 2, 16)
    week = workflow.told_week(case, None, now)
    for one in week.sittings:
        if one.sitting.start.replace(tzinfo=None) >= now:
            view = workflow.alternatives(case, one.sitting.id, now)
            assert view.all
            assert all(view.sitting(a).start.replace(tzinfo=None) > now for a in view.all)


def test_nothing_is_offered_on_a_day_on_which_the_child_is_ill(
    case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    week = workflow.told_week(case, None, WEDNESDAY)
    begun = next(s.sitting for s in week.sittings if s.begun)
    last = week.sittings[-1].sitting
    workflow.change(case, ChangeRequest("away", last.adult, last.start.replace(tzinfo=None)), WEDNESDAY)
    (probe, *_) = begun.probes
    row = f"{last.start.date()},08:00,{probe.target},not run,{','.join(probe.combination)},,,,,,%s"
    for note, ill in (("ill", True), ("no time", False)):
        (case / "results.csv").write_text(f"{HEAD}\n{row % note}\n", "utf-8")
        view = workflow.alternatives(case, last.id, WEDNESDAY)
        assert (not view.same_day) is ill
        assert (last.start.weekday() in {d for n in view.ill for d in n.days}) is ill
        other = next(s.sitting for s in week.sittings if not s.begun and s.sitting != last)
        from_another = workflow.alternatives(case, other.id, WEDNESDAY)
        assert (last.start.weekday() in {a.seat.day for a in from_another.other_days}) is not ill
        capsys.readouterr()
        assert main(["alternatives", str(case), last.id, "--now", f"{WEDNESDAY:%Y-%m-%dT%H:%M}"]) == 0
        shown = capsys.readouterr().out
        assert ("None: L. is written down as ill on this day." in shown) is ill
        assert ("so nothing is planned with L. then." in shown) is ill
