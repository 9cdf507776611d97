"""told.json comes back as it was written, and a broken one is refused with a sentence."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from genplan.errors import CaseError
from genplan.evidence.log import Log
from genplan.keeping.differences import differences
from genplan.keeping.past_of_week import to_plan_from
from genplan.keeping.revision import revise
from genplan.keeping.store import folder_of, kept_bytes, kept_weeks, read_kept
from genplan.keeping.told import KeptWeek
from genplan.plan import Probe, ProbeKind, Sitting
from genplan.report.week_changes import NOTHING, changes_summary
from tests.fixtures.tiny import GREETS, WEEK, at, greeting, sitting, tiny_case, tiny_plan, zips

NOW = tiny_plan().now
CASE = tiny_case()


def kept() -> KeptWeek:
    told = revise((), (sitting(), greeting()), NOW, settled=True)
    return KeptWeek(WEEK, NOW, revise(told, (sitting(start=at(2, "15:30")),), NOW, settled=True))


def write(folder: Path, data: bytes) -> None:
    folder_of(folder, WEEK).mkdir(parents=True, exist_ok=True)
    (folder_of(folder, WEEK) / "told.json").write_bytes(data)


def test_it_comes_back_as_it_was_written(tmp_path: Path) -> None:
    assert read_kept(tmp_path, WEEK, CASE) is None
    assert kept_weeks(tmp_path) == ()
    write(tmp_path, kept_bytes(kept(), CASE))
    back = read_kept(tmp_path, WEEK, CASE)
    assert back == kept()
    assert [t.cancelled for t in kept().told] == [False, True]
    assert kept_weeks(tmp_path) == (WEEK,)
    assert kept_bytes(back, CASE) == kept_bytes(kept(), CASE)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda d: d.pop("week"),
        lambda d: d.update(format=2),
        lambda d: d.update(week="2026-W50"),
        lambda d: d["sittings"][0].pop("event"),
        lambda d: d["sittings"][0].update(start="soon"),
        lambda d: d["sittings"][0].update(start="2026-12-01T15:30:00"),
        lambda d: d["sittings"][0].update(end=d["sittings"][0]["start"]),
        lambda d: d["sittings"][0]["probes"][0].update(kind="odd"),
        lambda d: d["sittings"].append(d["sittings"][0]),
        lambda d: d.update(sittings=None),
    ],
)
def test_a_broken_file_is_refused_with_its_name(tmp_path: Path, spoil: object) -> None:
    document = json.loads(kept_bytes(kept(), CASE))
    spoil(document)  # type: ignore[operator]
    write(tmp_path, json.dumps(document).encode())
    with pytest.raises(CaseError, match=r"weeks/2026-W49/told\.json: "):
        read_kept(tmp_path, WEEK, CASE)


def test_half_a_file_is_refused(tmp_path: Path) -> None:
    write(tmp_path, kept_bytes(kept(), CASE)[:-40])
    with pytest.raises(CaseError, match="breaks off"):
        read_kept(tmp_path, WEEK, CASE)


def test_a_sitting_ahead_of_a_target_that_is_gone_is_left_out_and_one_that_has_begun_is_an_error() -> None:
    told = revise((), (sitting(), greeting()), NOW, settled=True)
    without = tiny_case(zips=zips())  # greets is gone; greeting is on Saturday 09:30
    week = KeptWeek(WEEK, NOW, told)
    assert to_plan_from(week, CASE, Log(), NOW) == (sitting(), greeting())
    assert to_plan_from(week, without, Log(), NOW) == (sitting(),)
    with pytest.raises(CaseError, match="the target 'greets'"):
        to_plan_from(week, without, Log(), at(5, "09:31"))


def test_the_changes_are_told_person_by_person_with_aliases_alone() -> None:
    told = revise((), (sitting(), greeting()), NOW, settled=True)
    later = sitting(start=at(2, "15:30"), location="home")
    text = changes_summary(CASE, differences(told, (later,), NOW))
    assert text == (
        "Grandad\n"
        "  - Moved: Wednesday 2 December, 15:30 to 15:50, with W. at Home."
        " Before: Tuesday 1 December, 15:30 to 15:50, at The park."
        " Mind: W. must not meet egg: check what is brought, food, creams and materials at Home.\n"
        "\n"
        "Mum; Zoë, 🦊\n"
        "  - Cancelled: Saturday 5 December, 09:30 to 09:55, with W. at Home.\n"
        "\n"
        "W.\n"
        "  - Moved: Wednesday 2 December, 15:30 to 15:50, with Grandad at Home."
        " Before: Tuesday 1 December, 15:30 to 15:50, at The park."
        " Mind: W. must not meet egg: check what is brought, food, creams and materials at Home.\n"
        "  - Cancelled: Saturday 5 December, 09:30 to 09:55, with Mum; Zoë, 🦊 at Home.\n"
    )
    assert changes_summary(CASE, ()) == f"{NOTHING}\n"


GREET = Probe(target="greets", combination=GREETS, kind=ProbeKind.MAINTENANCE, trials=4, new_tuples=0)
MUMS = Probe(
    target="zips",
    combination=("mum", "home", "jackets", "Zip it up"),
    kind=ProbeKind.NEW,
    trials=5,
    new_tuples=0,
)


def mums(*probes: Probe, minutes: int = 25, location: str = "home") -> Sitting:
    return sitting("2026-w49-2", "mum", location, at(5, "09:30"), minutes, probes)


@pytest.mark.parametrize(
    ("after", "words"),
    [
        (
            mums(GREET, MUMS, minutes=30),
            "Longer: Saturday 5 December, 09:30 to 10:00, with W. at Home. Before: until 09:55."
            " Now also: Zips up a jacket (Two jackets with different zips, Zip it up).",
        ),
        (
            mums(GREET, minutes=20),
            "Shorter: Saturday 5 December, 09:30 to 09:50, with W. at Home. Before: until 09:55.",
        ),
        (
            mums(GREET, location="park"),
            "Another place: Saturday 5 December, 09:30 to 09:55, with W. at The park. Before: at Home."
            " Mind: W. must not meet egg: check what is brought, food, creams and materials at The park."
            " Mind: 'Picture cards': something sharp: an adult hands it out and takes it back.",
        ),
        (
            mums(MUMS),
            "Other probes: Saturday 5 December, 09:30 to 09:55, with W. at Home."
            " Now also: Zips up a jacket (Two jackets with different zips, Zip it up)."
            " No longer: Greets, on being greeted (Picture cards, hall).",
        ),
        (
            mums(replace(GREET, kind=ProbeKind.RETEST)),
            "Other probes: Saturday 5 December, 09:30 to 09:55, with W. at Home."
            " Greets, on being greeted: Picture cards, hall, again after teaching, 4 trials in place of"
            " Picture cards, hall, maintenance: does it last?, 4 trials.",
        ),
    ],
)
def test_a_person_reads_what_is_otherwise_and_how_it_was(after: Sitting, words: str) -> None:
    told = revise((), (greeting(),), NOW, settled=True)
    assert changes_summary(CASE, differences(told, (after,), NOW)).splitlines()[1] == f"  - {words}"


def test_what_a_caution_takes_out_of_a_sitting_is_named_with_why() -> None:
    """Whoever was told to bring it would have it on the table all the same."""
    told = revise((), (mums(GREET, MUMS),), NOW, settled=True)
    changed = differences(told, (mums(GREET),), NOW)
    out = "Please leave this out, even where it is at hand: 'Two jackets with different zips' holds egg"
    assert out not in changes_summary(CASE, changed)
    jackets = replace(CASE.material_sets["jackets"], allergens=frozenset({"egg"}))
    marked = replace(CASE, material_sets={**CASE.material_sets, "jackets": jackets})
    assert changes_summary(marked, changed).count(out) == 2  # to Mum and to the family
    called_off = differences(told, (), NOW)
    assert changes_summary(marked, called_off).count(out) == 2


def test_a_stand_in_is_one_thing_to_the_family_and_each_adult_is_told_the_own_part() -> None:
    told, other = revise((), (greeting(),), NOW, settled=True), ("grandad", *GREETS[1:])
    instead = sitting(
        "2026-w49-3", "grandad", "home", at(5, "09:30"), 30, (replace(GREET, combination=other),)
    )
    text = changes_summary(CASE, differences(told, (instead,), NOW))
    assert text == (
        "Grandad\n"
        "  - New: Saturday 5 December, 09:30 to 10:00, with W. at Home. 1 probe:"
        " Greets, on being greeted (Picture cards, hall)."
        " Mind: W. must not meet egg: check what is brought, food, creams and materials at Home."
        " Mind: 'Picture cards': something sharp: an adult hands it out and takes it back.\n"
        "\n"
        "Mum; Zoë, 🦊\n"
        "  - Cancelled: Saturday 5 December, 09:30 to 09:55, with W. at Home.\n"
        "\n"
        "W.\n"
        "  - Grandad in place of Mum; Zoë, 🦊: Saturday 5 December, 09:30 to 10:00 at Home. Before: until 09:55.\n"
    )
    later = replace(instead, start=at(5, "11:00"), end=at(5, "11:25"))
    assert "in place of" not in changes_summary(CASE, differences(told, (later,), NOW))


def test_another_order_is_told_as_such() -> None:
    told = revise((), (mums(GREET, MUMS),), NOW, settled=True)
    text = changes_summary(CASE, differences(told, (mums(MUMS, GREET),), NOW))
    assert "In this order now: Zips up a jacket (Two jackets with different zips, Zip it up" in text
    assert "Now also" not in text
