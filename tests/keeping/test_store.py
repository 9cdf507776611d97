"""told.json comes back as it was written, and a broken one is refused with a sentence."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from genplan.case import Case
from genplan.errors import CaseError
from genplan.evidence.log import Log
from genplan.keeping.cautions_told import with_cautions
from genplan.keeping.differences import Change, differences
from genplan.keeping.past_of_week import to_plan_from
from genplan.keeping.revision import revise
from genplan.keeping.store import _kept_week, folder_of, kept_bytes, kept_weeks, read_kept
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
        " Before: Tuesday 1 December, 15:30 to 15:50, at The park. Comes with W.: Two jackets with different zips."
        " Mind: W. must not meet egg: check what is brought, food, creams and materials at Home.\n"
        "\n"
        "Mum; Zoë, 🦊\n"
        "  - Cancelled: Saturday 5 December, 09:30 to 09:55, with W. at Home.\n"
        "\n"
        "W.\n"
        "  - Moved: Wednesday 2 December, 15:30 to 15:50, with Grandad at Home."
        " Before: Tuesday 1 December, 15:30 to 15:50, at The park."
        " Please send along: Two jackets with different zips."
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
            "Another place: Saturday 5 December, 09:30 to 09:55, with W. at The park. Before: at Home.",
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
    line = changes_summary(CASE, differences(told, (after,), NOW)).splitlines()[1]
    assert line.partition(" Comes with W.: ")[0].partition(" Mind: ")[0] == f"  - {words}"


def test_each_change_says_all_there_is_to_bring_and_to_mind() -> None:
    """Who reads of it may have nothing else at hand."""
    told = revise((), (greeting(),), NOW, settled=True)
    line = changes_summary(CASE, differences(told, (mums(GREET, MUMS, minutes=30),), NOW)).splitlines()[1]
    assert line.endswith(
        " Comes with W.: Picture cards; Two jackets with different zips."
        " Mind: W. must not meet egg: check what is brought, food, creams and materials at Home."
        " Mind: 'Picture cards': something sharp: an adult hands it out and takes it back."
    )


def test_more_to_look_out_for_is_told_though_the_week_stays_as_it_is() -> None:
    told = with_cautions(CASE, revise((), (greeting(),), NOW, settled=True), NOW)
    assert differences(told, (greeting(),), NOW, case=CASE) == ()
    sharp = CASE.material_sets["cards"]
    heavy = replace(sharp, hazards=frozenset({*sharp.hazards, "cord"}))
    marked = replace(CASE, material_sets={**CASE.material_sets, "cards": heavy})
    found = differences(told, (greeting(),), NOW, case=marked)
    assert [d.change for d in found] == [Change.CAUTIONS]
    text = changes_summary(marked, found)
    assert text.count("More to look out for: Saturday 5 December, 09:30 to 09:55, with") == 2
    assert text.count("a cord: an adult watches") == 2
    # what is new comes first, behind what to bring, and then what was told before
    assert "with W. at Home. Comes with W.: Picture cards. Mind: 'Picture cards': a cord" in text
    assert text.index("a cord") < text.index("must not meet egg") < text.index("something sharp")
    # told once, it is known; of a week kept by an earlier version nobody knows what was told
    again = with_cautions(marked, told, NOW)
    assert differences(again, (greeting(),), NOW, case=marked) == ()
    assert differences([replace(t, cautions=None) for t in told], (greeting(),), NOW, case=marked) == ()
    # and it comes back from the file
    week = KeptWeek(WEEK, NOW, again)
    assert _kept_week(json.loads(kept_bytes(week, marked)), marked) == week


def test_less_to_look_out_for_is_told_and_promises_nothing() -> None:
    """Else people go on keeping away what nobody asks them to."""
    told = with_cautions(CASE, revise((), (greeting(),), NOW, settled=True), NOW)
    nothing_written = replace(
        CASE,
        learners={i: replace(x, allergens=frozenset()) for i, x in CASE.learners.items()},
        material_sets={i: replace(x, hazards=frozenset()) for i, x in CASE.material_sets.items()},
    )
    found = differences(told, (greeting(),), NOW, case=nothing_written)
    assert [d.change for d in found] == [Change.ALL_CLEAR]
    text = changes_summary(nothing_written, found)
    assert (
        text.count("Less to look out for: Saturday 5 December, 09:30 to 09:55, with") == 2
    )  # Mum, the family
    look = "Before anything that was put away is used again, look as you always would."
    assert f"No longer written down for W.: to keep away from egg. {look}" in text
    sharp = "something sharp: an adult hands it out and takes it back"
    assert f"No longer written down for 'Picture cards': {sharp}. {look}" in text
    assert "Mind:" not in text
    assert "safe" not in text
    # told once, it is known; and a sitting that is moved as well says both
    again = with_cautions(nothing_written, told, NOW)
    assert differences(again, (greeting(),), NOW, case=nothing_written) == ()
    moved = differences(told, (mums(GREET, MUMS, minutes=30),), NOW, case=nothing_written)
    assert [d.change for d in moved] == [Change.MOVED]
    assert changes_summary(nothing_written, moved).count("to keep away from egg") == 2


def test_of_two_things_to_look_out_for_one_may_go_and_one_may_come() -> None:
    """An allergen less is not more to look out for."""
    two = _with_allergens("egg", "sesame")
    told = with_cautions(two, revise((), (greeting(),), NOW, settled=True), NOW)
    one = differences(told, (greeting(),), NOW, case=CASE)
    assert [(d.change, [c.found for c in d.gone]) for d in one] == [(Change.ALL_CLEAR, [("sesame",)])]
    other = differences(told, (greeting(),), NOW, case=_with_allergens("egg", "celery"))
    assert [(d.change, [c.found for c in d.gone]) for d in other] == [(Change.CAUTIONS, [("sesame",)])]


def test_a_thing_that_was_measured_since_is_not_all_clear() -> None:
    told = with_cautions(CASE, revise((), (greeting(),), NOW, settled=True), NOW)
    cards = CASE.material_sets["cards"]
    small, big = (
        replace(CASE, material_sets={**CASE.material_sets, "cards": replace(cards, **known)})
        for known in ({"small_parts": True}, {"small_parts": False})
    )
    told = with_cautions(small, told, NOW)
    assert [d.change for d in differences(told, (greeting(),), NOW, case=big)] == [Change.ALL_CLEAR]
    measured = replace(cards, dimensions_mm=(60.0, 60.0, 60.0), small_parts=None)
    to_confirm = replace(
        CASE,
        learners={i: replace(x, mouths=True) for i, x in CASE.learners.items()},
        material_sets={**CASE.material_sets, "cards": measured},
    )
    found = differences(told, (greeting(),), NOW, case=to_confirm)
    assert [(d.change, d.gone) for d in found] == [(Change.CAUTIONS, ())]
    # nor is one that the child is kept from meanwhile
    holds_egg = replace(
        big, material_sets={**big.material_sets, "cards": replace(cards, allergens=frozenset({"egg"}))}
    )
    found = differences(told, (greeting(),), NOW, case=holds_egg)
    assert [(d.change, d.gone) for d in found] == [(Change.CAUTIONS, ())]


@pytest.mark.parametrize(
    ("told", "now", "gone"),
    [
        (("nuts",), ("peanut",), ("tree-nuts",)),  # 'nuts' is called 'nuts or peanuts'
        (("nuts",), ("tree-nuts",), ("peanut",)),
        (("nuts", "peanut"), ("nuts",), ()),
        (("nuts",), (), ("nuts", "peanut", "tree-nuts")),
        (("gluten",), ("gluten", "wheat"), ()),
    ],
)
def test_nothing_that_a_child_still_has_to_avoid_is_called_off(
    told: tuple[str, ...], now: tuple[str, ...], gone: tuple[str, ...]
) -> None:
    before = with_cautions(_with_allergens(*told), revise((), (greeting(),), NOW, settled=True), NOW)
    found = differences(before, (greeting(),), NOW, case=_with_allergens(*now))
    assert [c.found for d in found for c in d.gone] == ([gone] if gone else [])


def test_a_thing_that_still_holds_what_it_was_said_to_hold_is_not_all_clear() -> None:
    """That the child may meet it by now is said of the child."""
    cards = replace(CASE.material_sets["cards"], allergens=frozenset({"egg"}))
    holds_egg = replace(CASE, material_sets={**CASE.material_sets, "cards": cards})
    told = with_cautions(holds_egg, revise((), (greeting(),), NOW, settled=True), NOW)
    free = replace(_with_allergens(), material_sets=holds_egg.material_sets)
    found = differences(told, (greeting(),), NOW, case=free)
    assert [(c.kind, c.material_set) for d in found for c in d.gone] == [("allergens to avoid", "")]


def _for_months(months: int) -> Case:
    cards = replace(CASE.material_sets["cards"], min_age_months=months)
    return replace(
        CASE,
        learners={i: replace(x, born=None) for i, x in CASE.learners.items()},
        material_sets={**CASE.material_sets, "cards": cards},
    )


def test_a_minimum_age_that_was_raised_is_more_to_look_out_for() -> None:
    """The child's age is not known, so it takes nothing out of the week."""
    told = with_cautions(_for_months(24), revise((), (greeting(),), NOW, settled=True), NOW)
    raised, as_was, lower, none = (
        [(d.change, d.gone) for d in differences(told, (greeting(),), NOW, case=_for_months(n))]
        for n in (96, 24, 12, 0)
    )
    assert raised == [(Change.CAUTIONS, ())]
    assert as_was == lower == []
    assert [change for change, __ in none] == [Change.ALL_CLEAR]
    week = KeptWeek(WEEK, NOW, told)
    document = json.loads(kept_bytes(week, _for_months(24)))
    assert _kept_week(document, _for_months(24)) == week
    # of a week that an earlier version kept nobody knows which age was told
    for caution in document["sittings"][0]["cautions"]:
        caution.pop("months", None)
    old = _kept_week(document, _for_months(24)).told
    assert differences(old, (greeting(),), NOW, case=_for_months(24)) == ()


@pytest.mark.parametrize("kind", ["nonsense", "supervision", "assent", 3])
def test_a_caution_of_a_kind_that_is_never_written_is_refused(tmp_path: Path, kind: object) -> None:
    told = with_cautions(CASE, revise((), (greeting(),), NOW, settled=True), NOW)
    document = json.loads(kept_bytes(KeptWeek(WEEK, NOW, told), CASE))
    document["sittings"][0]["cautions"][0]["kind"] = kind
    write(tmp_path, json.dumps(document).encode())
    with pytest.raises(CaseError) as refused:
        read_kept(tmp_path, WEEK, CASE)
    finding = refused.value.findings[0]
    assert finding.key == "sittings.1.cautions.1.kind"
    assert str(kind) in finding.found


def _with_allergens(*names: str) -> Case:
    return replace(
        CASE, learners={i: replace(x, allergens=frozenset(names)) for i, x in CASE.learners.items()}
    )


def test_what_a_caution_takes_out_of_a_sitting_is_named_with_why() -> None:
    """Whoever was told to bring it would have it on the table all the same."""
    told = revise((), (mums(GREET, MUMS),), NOW, settled=True)
    changed = differences(told, (mums(GREET),), NOW)
    out = "Please put Two jackets with different zips away and do not use it: 'Two jackets with"
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
        " Greets, on being greeted (Picture cards, hall, 4 trials). Comes with W.: Picture cards."
        " Mind: W. must not meet egg: check what is brought, food, creams and materials at Home."
        " Mind: 'Picture cards': something sharp: an adult hands it out and takes it back.\n"
        "\n"
        "Mum; Zoë, 🦊\n"
        "  - Cancelled: Saturday 5 December, 09:30 to 09:55, with W. at Home.\n"
        "\n"
        "W.\n"
        "  - Grandad in place of Mum; Zoë, 🦊: Saturday 5 December, 09:30 to 10:00 at Home. Before: until 09:55."
        " Please send along: Picture cards."
        " Mind: W. must not meet egg: check what is brought, food, creams and materials at Home."
        " Mind: 'Picture cards': something sharp: an adult hands it out and takes it back.\n"
    )
    later = replace(instead, start=at(5, "11:00"), end=at(5, "11:25"))
    assert "in place of" not in changes_summary(CASE, differences(told, (later,), NOW))


def test_another_order_is_told_as_such() -> None:
    told = revise((), (mums(GREET, MUMS),), NOW, settled=True)
    text = changes_summary(CASE, differences(told, (mums(MUMS, GREET),), NOW))
    assert "In this order now: Zips up a jacket (Two jackets with different zips, Zip it up" in text
    assert "Now also" not in text
