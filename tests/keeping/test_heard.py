"""Somebody says that a person was told: what changes later is told against that, to that person alone."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from genplan.case import Case
from genplan.errors import FileError
from genplan.folders import LAST_OF_CHANGES
from genplan.keeping.cautions_told import with_cautions
from genplan.keeping.differences import Change, differences
from genplan.keeping.heard import cautions_to_tell, since_heard, take_heard_back, to_put_away, write_heard
from genplan.keeping.revision import revise
from genplan.keeping.store import FILE, _kept_week, folder_of, kept_bytes, read_kept
from genplan.keeping.told import KeptWeek, Person
from genplan.plan import Sitting
from genplan.report.change_texts import change_texts, nothing_to_tell, seen_as
from genplan.report.week_changes import PersonChanges
from tests.fixtures.tiny import WEEK, at, greeting, sitting, tiny_case, tiny_plan

NOW = tiny_plan().now
CASE = tiny_case()
WEEKS = (sitting(), greeting())
KEPT = KeptWeek(WEEK, NOW, with_cautions(CASE, revise((), WEEKS, NOW, settled=True), NOW))
GRAND, FAMILY = Person("adult", sitting().adult), Person("learner", sitting().learner)


def with_egg_gone() -> Case:
    return replace(CASE, learners={i: replace(x, allergens=frozenset()) for i, x in CASE.learners.items()})


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder_of(tmp_path, WEEK).mkdir(parents=True)
    (folder_of(tmp_path, WEEK) / FILE).write_bytes(kept_bytes(KEPT, CASE))
    return tmp_path


def kept(folder: Path, case: Case = CASE) -> KeptWeek:
    found = read_kept(folder, WEEK, case)
    assert found is not None
    return found


def changes(week: KeptWeek, sittings: tuple[Sitting, ...], case: Case, who: Person) -> list[Change]:
    return [d.change for d in since_heard(week, sittings, NOW, case)[who]]


def test_who_was_told_is_told_only_what_is_otherwise_since(folder: Path) -> None:
    clear = with_egg_gone()
    assert len(cautions_to_tell(KEPT, NOW, clear)) == 2
    write_heard(folder, clear, KEPT, GRAND, NOW)
    week = kept(folder)
    own = week.last_heard[GRAND]
    assert [t.sitting for t in own.told] == [sitting()]  # nobody else's
    assert changes(week, WEEKS, clear, GRAND) == []
    # the family was not told yet, so both sittings wait; after it was, none does, and what comes back is new to both
    assert len(cautions_to_tell(week, NOW, clear)) == 2
    other = Person("adult", greeting().adult)
    for who in (FAMILY, other):
        write_heard(folder, clear, KEPT, who, NOW)
    week = kept(folder)
    assert cautions_to_tell(week, NOW, clear) == ()
    assert [d.change for d in cautions_to_tell(week, NOW, CASE)] == [Change.CAUTIONS] * 2
    moved = (sitting(start=at(2, "15:30")), greeting())
    assert changes(week, moved, clear, GRAND) == [Change.MOVED]
    assert changes(week, moved, clear, other) == []
    assert changes(week, (greeting(),), clear, GRAND) == [Change.DROPPED]
    late = since_heard(week, (greeting(),), sitting().start + timedelta(days=7), clear)
    assert late[GRAND] == ()  # what is past needs no telling


def test_the_last_is_taken_back_and_the_one_before_holds_again(folder: Path) -> None:
    before = (folder_of(folder, WEEK) / FILE).read_bytes()
    write_heard(folder, CASE, KEPT, GRAND, NOW)
    once = kept(folder)
    write_heard(folder, with_egg_gone(), KEPT, GRAND, NOW + timedelta(hours=1))
    assert kept(folder).last_heard[GRAND].told[0].cautions != once.last_heard[GRAND].told[0].cautions
    take_heard_back(folder, CASE, WEEK, GRAND)
    assert kept(folder) == once
    assert _kept_week(json.loads(kept_bytes(once, CASE)), CASE) == once
    take_heard_back(folder, CASE, WEEK, GRAND)
    assert (folder_of(folder, WEEK) / FILE).read_bytes() == before
    (folder_of(folder, WEEK) / FILE).unlink()
    with pytest.raises(FileError, match="not there any more"):
        take_heard_back(folder, CASE, WEEK, GRAND)


def test_who_is_said_to_be_told_again_and_again_is_written_down_twice_at_most(folder: Path) -> None:
    path = folder_of(folder, WEEK) / FILE
    write_heard(folder, CASE, KEPT, GRAND, NOW)
    first, once = path.read_bytes(), kept(folder)
    for hours in range(1, 4):  # nothing is otherwise, so nothing is written
        write_heard(folder, CASE, once, GRAND, NOW + timedelta(hours=hours))
        assert path.read_bytes() == first
    write_heard(folder, CASE, once, FAMILY, NOW)
    sizes = []
    for hours in range(4, 9):
        case = with_egg_gone() if hours % 2 else CASE
        before = kept(folder).last_heard[GRAND]
        write_heard(folder, case, kept(folder), GRAND, NOW + timedelta(hours=hours))
        sizes.append(len(path.read_bytes()))
    assert [one.person for one in kept(folder).heard].count(GRAND) == 2
    assert sizes[1] == sizes[3]
    take_heard_back(folder, CASE, WEEK, GRAND)
    assert kept(folder).last_heard[GRAND] == before
    take_heard_back(folder, CASE, WEEK, GRAND)
    assert set(kept(folder).last_heard) == {FAMILY}


def test_the_text_of_who_was_told_says_nothing_again(folder: Path) -> None:
    moved = (sitting(start=at(2, "15:30")), greeting())
    write_heard(folder, CASE, KEPT, FAMILY, NOW)
    week = kept(folder)
    found = since_heard(week, moved, NOW, CASE)[FAMILY]
    texts = change_texts(CASE, WEEK, NOW, found, found, {FAMILY: found})
    theirs, hers = (texts[f"changes/{k}-{i}.txt"].decode() for k, i in (FAMILY, GRAND))
    assert theirs.count("Moved:") == 1
    assert "If you did not get" not in theirs
    assert "If you did not get the changes sent before, this is different for you too:" in hers
    alone = change_texts(CASE, WEEK, NOW, (), found)[f"changes/adult-{GRAND.id}.txt"].decode()
    assert "If you did not get the changes sent before, this is different for you:" in alone
    assert f"changes/learner-{FAMILY.id}.txt" not in change_texts(CASE, WEEK, NOW, found, found, {FAMILY: ()})
    # the same text an hour later is the same to whoever says that it was told
    later = change_texts(CASE, WEEK, NOW + timedelta(hours=1), found, found, {FAMILY: found})
    assert later[f"changes/learner-{FAMILY.id}.txt"].decode() != theirs
    assert seen_as(later[f"changes/learner-{FAMILY.id}.txt"].decode()) == seen_as(theirs)
    assert seen_as(theirs) != seen_as(hers)
    nothing = nothing_to_tell(WEEK, NOW, PersonChanges("adult", GRAND.id, "Gran", ())).decode()
    assert "or you were told of it already." in nothing
    assert nothing.startswith("Hello Gran,\n\nin the week from Monday 30 November")


def test_a_text_greets_says_first_what_is_to_be_put_away_and_then_each_change_on_short_lines() -> None:
    banned, moved = egg_in("jackets"), sitting(start=at(2, "15:30"), probes=greeting().probes)
    found = differences(KEPT.told, (moved,), NOW, case=banned)
    texts = change_texts(banned, WEEK, NOW, found, (), {}, to_put_away(KEPT, NOW, banned))
    hers, theirs = (texts[f"changes/{k}-{i}.txt"].decode() for k, i in (GRAND, FAMILY))
    hello, _gap, first, jackets, gap, head, moves, *parts = hers.splitlines()
    assert hello == "Hello Grandad,"
    assert first == "this first, please:"
    assert jackets.startswith("- Please put Two jackets with different zips away and do not use it: ")
    assert gap == ""
    assert head == "In the week from Monday 30 November to Sunday 6 December 2026 this changes for you:"
    assert moves == "- Moved: Wednesday 2 December, 15:30 to 15:50, with W. at The park."
    assert parts[0] == "  Before: Tuesday 1 December, 15:30 to 15:50."
    assert "  Comes with W.: Picture cards." in parts
    assert parts[-3:] == [
        "If something of it does not suit you, say so: then it is planned again.",
        "As of Sunday 29 November, 12:00.",
        LAST_OF_CHANGES,
    ]
    assert theirs.startswith("Hello,\n\nthis first, please:\n- Please put Two jackets")
    assert "this changes for W.:" in theirs
    assert "  Please send along: Picture cards." in theirs
    assert "Europe" not in hers + theirs
    # who is only told that it is off is not asked whether the time suits
    off = differences(KEPT.told, (greeting(),), NOW, case=CASE)
    assert "does not suit" not in change_texts(CASE, WEEK, NOW, off)[f"changes/adult-{GRAND.id}.txt"].decode()


def egg_in(*things: str) -> Case:
    marked = {i: replace(CASE.material_sets[i], allergens=frozenset({"egg"})) for i in things}
    return replace(CASE, material_sets={**CASE.material_sets, **marked})


def test_who_had_a_thing_is_told_to_put_it_away_though_the_visit_is_past(folder: Path) -> None:
    banned, later = egg_in("jackets"), at(3, "10:00")  # on Thursday, Grandad had the jackets on Tuesday
    found = to_put_away(KEPT, later, banned)
    assert found.keys() == {GRAND, FAMILY}
    assert to_put_away(KEPT, later, CASE) == {}
    texts = change_texts(banned, WEEK, later, (), (), {}, found)
    assert sorted(texts) == [f"changes/{k}-{i}.txt" for k, i in (GRAND, FAMILY)]
    for text in texts.values():
        assert "- Please put Two jackets with different zips away and do not use it:" in text.decode()
        assert text.decode().count("jackets") == 2
    # what the visit was told with before that counts, too
    cards = (replace(sitting(), probes=greeting().probes), greeting())
    twice = replace(KEPT, told=revise(KEPT.told, cards, NOW, settled=True), earlier=KEPT.tellings)
    both = to_put_away(twice, later, egg_in("jackets", "cards"))[GRAND]
    assert sorted(c.material_set for d in both for c in d.more) == ["cards", "jackets"]
    # a change that says it of the same thing says it once, and one of another thing does not say it
    ahead = differences(KEPT.told, (greeting(),), NOW, case=banned)
    once = change_texts(banned, WEEK, NOW, ahead, (), {}, to_put_away(KEPT, NOW, banned))
    assert [t.decode().count("Please put Two jackets") for t in once.values()] == [1, 1]
    # once each was told, it is known
    write_heard(folder, banned, KEPT, GRAND, later)
    assert to_put_away(kept(folder), later, banned).keys() == {FAMILY}
    assert since_heard(kept(folder), WEEKS, later, banned)[GRAND] == ()


def test_that_a_thing_may_be_there_again_is_told_to_whoever_was_told_to_put_it_away(folder: Path) -> None:
    banned = egg_in("jackets")
    in_force = replace(KEPT, told=revise(KEPT.told, (greeting(),), NOW, settled=True))
    write_heard(folder, banned, in_force, GRAND, NOW)
    week = kept(folder)
    (back,) = since_heard(week, WEEKS, NOW, CASE)[GRAND]
    assert (back.change, [c.found for c in back.gone]) == (Change.ADDED, [("egg",)])
    text = change_texts(CASE, WEEK, NOW, (), (), {GRAND: (back,)})[f"changes/adult-{GRAND.id}.txt"].decode()
    assert "No longer written down for 'Two jackets with different zips': that it holds egg." in text
    # as long as it holds, and once that was told, nothing of it is said
    assert [d.gone for d in since_heard(week, WEEKS, NOW, banned)[GRAND]] == [()]
    write_heard(folder, CASE, week, GRAND, NOW)
    assert since_heard(kept(folder), WEEKS, NOW, CASE)[GRAND] == ()
