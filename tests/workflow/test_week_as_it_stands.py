"""After a change the kept week shows what can no longer be held; other places are offered, tried, taken as wishes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest

from genplan import workflow
from genplan.audit import audit
from genplan.casefile import load
from genplan.cli import main
from genplan.errors import UsageError
from genplan.folders import LAST_OF_CHANGES
from genplan.keeping.store import read_kept
from genplan.planning.still_held import AgainstKind
from genplan.workflow import ChangeRequest
from genplan.workflow.taking_alternatives import wishes_for
from tests.fixtures.small_case import SUNDAY, WEDNESDAY, WEEK, silent, small_case

THURSDAY = datetime(2026, 12, 3)


def files(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def ahead_with(case: Path, adult: str) -> list[workflow.ToldSitting]:
    week = workflow.told_week(case, None, WEDNESDAY)
    return [s for s in week.sittings if s.sitting.adult == adult and not s.begun]


def test_a_week_that_nothing_happened_to_stands_as_it_was_told(case: Path) -> None:
    week = workflow.told_week(case, None, WEDNESDAY)
    kept = read_kept(case, WEEK, week.case)
    assert kept
    assert [s.sitting for s in week.sittings] == list(kept.sittings)
    assert week.otherwise == ()
    assert {s.begun for s in week.sittings} == {True, False}


@pytest.mark.parametrize(
    ("what", "id_", "kind"),
    [
        ("away", "gran", AgainstKind.ADULT),
        ("away", "lark", AgainstKind.LEARNER),
        ("closed", "yard", AgainstKind.LOCATION),
    ],
)
def test_what_falls_through_is_seen_at_once_and_why(
    case: Path, what: str, id_: str, kind: AgainstKind
) -> None:
    workflow.change(case, ChangeRequest(what, id_, end=datetime(2026, 12, 5)), WEDNESDAY)
    week = workflow.told_week(case, None, WEDNESDAY)
    hit = [
        s
        for s in week.sittings
        if not s.begun and id_ in (s.sitting.adult, s.sitting.learner, s.sitting.location)
    ]
    assert hit
    assert list(week.otherwise) == hit
    assert all(s.fell_through for s in hit)
    assert {a.kind for s in hit for a in s.against} == {kind}


def test_a_missing_set_takes_its_probe_and_leaves_the_rest(case: Path) -> None:
    two = [s for s in workflow.told_week(case, None, WEDNESDAY).sittings if not s.begun]
    sets = {p.combination[2] for s in two for p in s.sitting.probes}
    gone = min(sets)
    workflow.change(case, ChangeRequest("missing", gone, end=datetime(2026, 12, 5)), WEDNESDAY)
    week = workflow.told_week(case, None, WEDNESDAY)
    for s in week.sittings:
        if s.begun:
            continue
        left = [p for p in s.sitting.probes if p.combination[2] != gone]
        assert [p.combination for p in (s.left.probes if s.left else ())] == [p.combination for p in left]
        assert bool(s.against) == (len(left) < len(s.sitting.probes))


def test_a_skill_that_is_paused_and_an_adult_who_is_gone_from_the_case(case: Path) -> None:
    text = (case / "case.yaml").read_text("utf-8")
    (case / "case.yaml").write_text(text.replace("cover: all}", "cover: all, state: paused}"), "utf-8")
    week = workflow.told_week(case, None, WEDNESDAY)
    assert {a.kind for s in week.otherwise for a in s.against} >= {AgainstKind.TARGET}
    assert all(s.fell_through for s in week.sittings if not s.begun)


def test_a_week_that_was_not_kept_is_a_sentence(tmp_path: Path) -> None:
    case = small_case(tmp_path / "case")
    with pytest.raises(UsageError, match="Plan one and keep it first"):
        workflow.told_week(case, None, WEDNESDAY)
    with pytest.raises(UsageError, match="was not kept"):
        workflow.told_week(case, WEEK, WEDNESDAY)


def test_who_could_stand_in_today(case: Path) -> None:
    sitting = ahead_with(case, "gran")[0].sitting
    day = sitting.start.date()
    workflow.change(case, ChangeRequest("away", "gran", end=datetime(2026, 12, 5)), WEDNESDAY)
    view = workflow.alternatives(case, sitting.id, WEDNESDAY)
    assert view.asked.fell_through
    assert view.same_day
    assert {view.sitting(a).start.date() for a in view.same_day} == {day}
    assert {view.sitting(a).adult for a in view.all} == {"mum"}
    assert all(view.sitting(a).start.date() != day for a in view.other_days)
    assert all(set(a.adults) == {"gran", "mum"} for a in view.all)


def test_an_unknown_sitting_or_one_that_was_run_is_a_sentence(case: Path) -> None:
    known = ahead_with(case, "gran")[0].sitting.id
    with pytest.raises(UsageError, match=f"did you mean '{known}'"):
        workflow.alternatives(case, known.replace("gran", "grann"), WEDNESDAY)
    begun = next(s.sitting for s in workflow.told_week(case, None, WEDNESDAY).sittings if s.begun)
    probe = begun.probes[0]
    head = "date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note"
    adult, place, set_ = probe.combination
    row = f"{begun.start.date()},,{probe.target},probe,{adult},{place},{set_},5,5,,,,"
    (case / "results.csv").write_text(f"{head}\n{row}\n", "utf-8")
    with pytest.raises(UsageError, match=r"line 2 of results.csv"):
        workflow.alternatives(case, begun.id, WEDNESDAY)


def test_what_was_not_run_this_morning_has_other_places_that_are_taken_once_that_is_written(
    case: Path,
) -> None:
    # on each other day the child has its one sitting; Friday's falls through, and whoever is there on Friday can do it
    week = workflow.told_week(case, None, WEDNESDAY)
    begun = next(s.sitting for s in week.sittings if s.begun)
    last = week.sittings[-1].sitting
    workflow.change(case, ChangeRequest("away", last.adult, last.start.replace(tzinfo=None)), WEDNESDAY)
    view = workflow.alternatives(case, begun.id, WEDNESDAY)
    assert view.asked.begun
    assert view.all
    before = files(case)
    with pytest.raises(UsageError, match="was not run"):
        workflow.take(view, view.all[0], case)
    assert files(case) == before
    rows = [
        "date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note"
    ]
    rows += [
        f"{begun.start.date()},,{p.target},not run,{','.join(p.combination)},,,,,,ill" for p in begun.probes
    ]
    (case / "results.csv").write_text("\n".join(rows) + "\n", "utf-8")
    view = workflow.alternatives(case, begun.id, WEDNESDAY)
    workflow.take(view, view.all[0], case)
    assert {w.kind.value for w in workflow.open_case(case, WEDNESDAY).case.wishes} == {"add"}


def test_a_place_that_is_taken_is_a_wish_that_the_case_is_read_with(case: Path) -> None:
    sitting = ahead_with(case, "gran")[0].sitting
    view = workflow.alternatives(case, sitting.id, WEDNESDAY)
    for alternative in view.all:
        wishes = wishes_for(view, alternative)
        new = view.sitting(alternative)
        moved = [w for w in wishes if w.kind.value == "move"]
        assert {w.sitting for w in wishes if w.kind.value != "add"} == {sitting.id}
        if moved:
            assert moved[0].start == new.start.replace(tzinfo=None)
            assert (moved[0].adult or sitting.adult, moved[0].location or sitting.location) == (
                new.adult,
                new.location,
            )
        else:
            added = [w for w in wishes if w.kind.value == "add"]
            assert [(w.target, w.adult, w.location) for w in added] == [
                (p.target, new.adult, new.location) for p in new.probes
            ]
    said = workflow.take(view, view.all[0], case)
    assert said.startswith("Added to changes.yaml, as a wish: ")
    loaded = load(case)
    assert loaded.case is not None, loaded.findings
    assert set(loaded.case.wishes) == set(wishes_for(view, view.all[0]))
    # who takes another one has taken that one
    again = workflow.alternatives(case, sitting.id, WEDNESDAY)
    workflow.take(again, again.all[1], case)
    assert set(workflow.open_case(case, WEDNESDAY).case.wishes) == set(wishes_for(again, again.all[1]))


def test_each_place_makes_a_week_that_the_whole_auditor_passes(case: Path) -> None:
    """Planned anew with the place in the week that people were told of, it is held as it was offered."""
    from genplan.planning.assemble import sittings_of
    from tests.fixtures.planning_cases import plan_one

    sitting = ahead_with(case, "gran")[0].sitting
    week = workflow.told_week(case, None, WEDNESDAY)
    view = workflow.alternatives(case, sitting.id, WEDNESDAY)
    context, opened = week.context, week.opened
    others = [s.left for s in week.sittings if s.left is not None and s.sitting != sitting]
    for alternative in view.all[:3]:
        begun = tuple(s.sitting for s in week.sittings if s.begun)
        told = sittings_of(week.case, WEEK, context.needs, [*others, alternative.seat], ())
        kept = (*begun, *told)
        plan = plan_one(opened.case, context.log, WEEK, opened.now, kept=kept)
        assert audit(week.case, context.log, plan, {}, kept) == ()
        places = {(s.adult, s.location, s.start) for s in plan.sittings}
        assert {(s.adult, s.location, s.start) for s in told} <= places


def test_a_change_is_tried_and_nothing_is_written(case: Path) -> None:
    before = files(case)
    request = ChangeRequest("away", "gran", end=datetime(2026, 12, 5), note="a cold")
    tried = workflow.try_change(case, request, WEDNESDAY)
    assert files(case) == before
    assert "a cold" not in tried.line
    (one,) = tried.weeks
    hit = [s.sitting.id for s in ahead_with(case, "gran")]
    assert [f.told.sitting.id for f in one.fallen] == hit
    assert "gran" in one.adults
    assert one.learners == ("lark",)
    # what is lost is what the sittings that fall through would have shown, and no more of it is won back
    shown = sum(p.new_tuples for s in ahead_with(case, "gran") for p in s.sitting.probes)
    assert one.lost["new tuples"] == shown > 0
    assert one.won_back["new tuples"] > 0
    # and it is what happens once it is written
    workflow.change(case, request, WEDNESDAY)
    assert [s.sitting.id for s in workflow.told_week(case, None, WEDNESDAY).otherwise] == hit


def test_what_places_win_back_says_for_whom_more_would_be_told(
    case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Gran is away, and all that could stand in for her takes mum, who is told nothing otherwise: planning the rest of
    the week leaves her alone and wins nothing of it back, and to search further wins some back and tells her."""
    request, now = ChangeRequest("away", "gran", end=datetime(2026, 12, 5)), ("--now", "2026-12-02T12:00")
    (one,) = workflow.try_change(case, request, WEDNESDAY).weeks
    assert (one.others, set(one.adults)) == (("mum",), {"gran", "mum"})
    assert one.won_back["new tuples"] > 0
    assert not any(one.with_nobody_else.values())
    (loss,) = [line for line in one.lines() if line.startswith("Lost: ")]
    assert "may save more of it on another day" in loss
    assert ", and Mum would be told too; without that it would win back nothing." in loss
    workflow.change(case, request, WEDNESDAY)
    outcome, _ = workflow.replan(case, None, WEDNESDAY, None, False, silent)
    assert outcome.plan.people_told == (("adult", "gran"), ("learner", "lark"))
    ahead = [p for s in outcome.plan.sittings if not s.begun for p in s.probes]
    assert ahead == []  # all that was still ahead was gran's
    deeper, _ = workflow.replan(case, None, WEDNESDAY, None, False, silent, deeper=True)
    assert deeper.deeper
    assert deeper.deeper.new > 0
    assert ("adult", "mum") in (deeper.plan.people_told or ())
    # the choice is said where the plain week is told
    capsys.readouterr()
    assert main(["replan", str(case), *now]) == 0
    assert (
        f"To look for such a week: genplan replan {case} --week 2026-W49 --deeper" in capsys.readouterr().out
    )


def test_a_change_that_touches_nothing_and_one_that_makes_no_sense(case: Path) -> None:
    request = ChangeRequest("away", "gran", start=datetime(2026, 12, 5), end=datetime(2026, 12, 6))
    (one,) = workflow.try_change(case, request, WEDNESDAY).weeks
    assert one.fallen == ()
    assert not any(one.lost.values())
    with pytest.raises(UsageError, match="The case has no adult or learner"):
        workflow.try_change(case, ChangeRequest("away", "nobody"), WEDNESDAY)


def test_a_file_for_each_person_of_what_changes(case: Path, tmp_path: Path) -> None:
    workflow.change(case, ChangeRequest("away", "gran", end=datetime(2026, 12, 5)), WEDNESDAY)
    out = tmp_path / "out"
    outcome, kept = workflow.replan(case, None, WEDNESDAY, out, True, silent)
    assert kept
    told = {p.name: p.read_text("utf-8") for p in (out / "changes").iterdir()}
    people = {a for d in outcome.differences for a in d.adults}
    assert set(told) == {*(f"adult-{a}.txt" for a in people), "learner-lark.txt"}
    for name, text in told.items():
        assert text.endswith(f"\n{LAST_OF_CHANGES}\n")
        assert ("Fernwhistle" in text, "lark" in text) == (False, False)
        own = [d for d in outcome.differences if name == "learner-lark.txt" or name[6:-4] in d.adults]
        assert sum(line.startswith("- ") for line in text.splitlines()) == len(own)
    # the same stand beside the calendars that are handed out
    assert {p.name: p.read_text("utf-8") for p in (kept.folder / "changes").iterdir()} == told
    # nothing ahead is left of what was told, so mum is free to be asked; and they stay when nothing changes any more
    workflow.replan(case, None, WEDNESDAY, out, True, silent)
    told = {p.name: p.read_text("utf-8") for p in (out / "changes").iterdir()}
    assert set(told) == {"adult-mum.txt", "learner-lark.txt"}
    workflow.keep(case, WEEK, None, WEDNESDAY, silent)
    sent = {p.name: p.read_text("utf-8") for p in (kept.folder / "changes").iterdir()}
    # what changed before stands below, since nobody knows whether it was sent: Gran hears of it once more
    assert set(sent) == {"adult-mum.txt", "learner-lark.txt", "adult-gran.txt"}
    assert sent["adult-mum.txt"] == told["adult-mum.txt"]
    for name, too in (("learner-lark.txt", " too"), ("adult-gran.txt", "")):
        text = sent[name]
        before = (
            f"\nIf you did not get the changes sent before, this is different for you{too}:\n- Cancelled: "
        )
        assert before in text
        assert text.endswith(f"\n{LAST_OF_CHANGES}\n")
    own = [x for x in told["learner-lark.txt"].splitlines() if x.startswith("- ")]
    above = sent["learner-lark.txt"].partition("\nIf you did not get")[0]
    assert own == [x for x in above.splitlines() if x.startswith("- ")] != []
    # a plan that changes nothing leaves none that could be sent by mistake
    workflow.replan(case, None, WEDNESDAY, out, False, silent)
    assert list((out / "changes").iterdir()) == []


def test_the_commands_say_it(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    now = ("--now", "2026-12-02T12:00")
    assert main(["change", str(case), "--away", "gran", "--to", "2026-12-04", "--try", *now]) == 0
    tried = capsys.readouterr().out
    assert "Nothing was written." in tried
    assert "✗ " in tried
    assert "Can no longer be held: gran" in tried or "Can no longer be held: Gran is not free then." in tried
    assert main(["change", str(case), "--away", "gran", "--to", "2026-12-04", *now]) == 0
    assert "can no longer be held." in capsys.readouterr().out
    assert main(["week", str(case), *now]) == 0
    week = capsys.readouterr().out
    assert f"Plan the rest of this week: genplan replan {case} --week 2026-W49" in week
    assert "CAN NO LONGER BE HELD" in week
    gone = ahead_with(case, "gran")[0].sitting.id
    assert gone in week
    assert main(["alternatives", str(case), gone, *now]) == 0
    listed = capsys.readouterr().out
    assert "Who could stand in on that day" in listed
    assert "To be told: Gran, Mum and the family of L." in listed
    assert main(["alternatives", str(case), gone, "--take", "99", *now]) == 2
    assert "There is no place number 99" in capsys.readouterr().err
    assert main(["alternatives", str(case), gone, "--take", "1", *now]) == 0
    assert "Added to changes.yaml" in capsys.readouterr().out


def test_a_sitting_of_a_plan_that_is_not_kept(tmp_path: Path) -> None:
    case, out = small_case(tmp_path / "case"), tmp_path / "out"
    plan = workflow.plan(case, WEEK, SUNDAY, out, silent).plan
    view = workflow.alternatives(case, plan.sittings[0].id, SUNDAY, out)
    assert not view.told
    assert view.all
    assert date(2026, 11, 30) <= view.sitting(view.all[0]).start.date() <= date(2026, 12, 6)


def test_the_next_plan_holds_what_was_taken_and_another_place_beside_it(case: Path) -> None:
    workflow.change(case, ChangeRequest("away", "gran", end=datetime(2026, 12, 5)), WEDNESDAY)
    gone = [s.sitting.id for s in ahead_with(case, "gran")]
    assert len(gone) > 1
    taken = []
    for id_ in gone:
        view = workflow.alternatives(case, id_, WEDNESDAY)
        if view.all:
            workflow.take(view, view.all[0], case)
            taken.append(view.sitting(view.all[0]))
    # the second is offered beside the first, so both can be held
    assert len({s.start.date() for s in taken}) == len(taken) > 1
    outcome, _ = workflow.replan(case, None, WEDNESDAY, None, False, silent)
    held = {(s.adult, s.location, s.start, s.end) for s in outcome.plan.sittings}
    assert {(s.adult, s.location, s.start, s.end) for s in taken} <= held


def test_other_things_in_the_very_place_are_put_in_and_the_sitting_is_not_wished_away(case: Path) -> None:
    """Without its set a sitting can hold something else where it was; a wish that it is not to be would stand against
    that."""
    sitting = ahead_with(case, "gran")[0].sitting
    view = workflow.alternatives(case, sitting.id, WEDNESDAY)
    held = {p.combination for p in sitting.probes}
    other = next(a for a in view.all if {p.combination for p in a.seat.probes} != held)
    assert {w.kind.value for w in wishes_for(view, other)} == {"not", "add"}
    start = WEEK.minute_of(sitting.start)
    here = replace(other.seat, adult=sitting.adult, location=sitting.location, start=start, end=start + 10)
    assert {w.kind.value for w in wishes_for(view, replace(other, seat=here))} == {"add"}
