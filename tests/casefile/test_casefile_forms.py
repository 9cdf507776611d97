"""What a user may write, and what it means: every key of the format, its forms and its defaults."""

from __future__ import annotations

import random
import subprocess
import sys
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from genplan.case import Absence, AdultLimits, Birth, Dimension, PassMark, TargetState, Window
from genplan.case.safety import MOST_COPIES
from genplan.case.windows import merge
from genplan.casefile import load, time_texts
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.record_types import KNOWN
from tests.fixtures.casefile_cases import SMALL, changed, loaded, write
from tests.fixtures.places import ROOT, WHOLE_CASE

EXAMPLE = WHOLE_CASE.read_text(encoding="utf-8")


def whole(tmp_path: Path) -> Any:
    (tmp_path / "busy").mkdir(parents=True, exist_ok=True)
    (tmp_path / "busy" / "grandad.ics").write_text("BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n")
    it = loaded(tmp_path, EXAMPLE)
    assert it.findings == ()
    return it


def test_every_key_there_is_is_used_in_the_whole_example(tmp_path: Path) -> None:
    """So that no key is documented and never read."""
    used = {path[-1] for path in whole(tmp_path).marks}
    assert {key for keys in KNOWN.values() for key in keys} - used == set()


def test_the_people_of_the_whole_example(tmp_path: Path) -> None:
    case = whole(tmp_path).case
    wren, grandad = case.learners["wren"], case.adults["grandad"]
    assert (wren.name, wren.alias, wren.born, wren.needs) == ("Wren", "W.", Birth(2021, 4), 2.0)
    assert wren.free.days[0] == (Window(930, 1110),)
    assert wren.free.days[5] == (Window(570, 720), Window(840, 960))
    assert wren.free.days[6] == ()
    assert wren.away == (
        Absence(datetime(2026, 12, 3), datetime(2026, 12, 4)),
        Absence(datetime(2026, 12, 4, 9), datetime(2026, 12, 4, 12)),
        Absence(datetime(2026, 12, 24), datetime(2027, 1, 4)),
    )
    assert wren.allergens == {"egg", "kiwi"}
    assert (wren.limits.probes_per_day, wren.limits.sitting_minutes) == (6, 25)
    assert (grandad.role, grandad.busy, grandad.learners) == ("relative", "busy/grandad.ics", {"wren"})
    assert grandad.briefed_on is None
    assert case.adults["aide"].briefed_on == {"zips-jacket"}
    assert grandad.limits == AdultLimits(2, 90, sittings_per_week=5)


def test_the_things_and_the_target_of_the_whole_example(tmp_path: Path) -> None:
    case = whole(tmp_path).case
    assert case.travel.minutes("park", "home") == 10
    assert case.travel.minutes("park", "school") == 20
    assert [a.kind for a in case.locations["park"].closed] == ["closed", "closed"]
    assert case.material_sets["fleece"].dimensions_mm == (24.0, 24.5, 2.0)
    assert case.material_sets["jackets"].small_parts is False
    target = case.targets["zips-jacket"]
    assert target.dimensions == (
        Dimension("adult", ("mum", "grandad", "aide")),
        Dimension("location", ("home", "park", "school")),
        Dimension("material_set", ("jackets", "coats", "fleece")),
        Dimension("wording", ("Zip it up", "no")),
    )
    assert (target.criterion, target.mastered_on) == (PassMark(9, 10), date(2026, 10, 19))
    assert target.generalised_when == {"adult": 3, "location": 2, "material_set": 2, "wording": 2}
    assert target.first[0].pattern == {"location": "school"}
    assert (target.first[0].by, target.first[1].by) == (date(2026, 12, 18), None)


def test_marks_lead_to_the_lines(tmp_path: Path) -> None:
    marks = whole(tmp_path).marks
    lines = EXAMPLE.splitlines()
    for path in (("targets", "zips-jacket", "first"), ("adults", "grandad", "busy"), ("locations", "park")):
        assert lines[marks[path].line - 1].strip().startswith(f"{path[-1]}:")
    assert marks["targets", "zips-jacket", "first", "1", "by"].file == "case.yaml"


def test_what_a_case_leaves_out(tmp_path: Path) -> None:
    case = loaded(tmp_path, changed("    trials: 5\n    pass_mark: 4/5\n", "")).case
    assert case is not None
    target, policy = case.targets["zips"], case.policy
    assert (target.cover, target.trials, target.pass_mark, target.minutes) == ("pairs", 5, PassMark(4, 5), 5)
    assert (target.state, target.name) == (TargetState.MASTERED, "zips")
    assert (policy.start_every_minutes, policy.settle_minutes, policy.rest_minutes) == (15, 5, 30)
    assert (policy.probes_per_target_per_day, policy.probes_per_target_per_week) == (1, 4)
    assert policy.days == (0, 1, 2, 3, 4, 5, 6)
    assert (case.locations["home"].capacity, case.material_sets["jackets"].copies) == (1, 1)
    assert case.locations["park"].open.days[0] == (Window(0, 1440),)
    assert case.learners["wren"].alias == "W."
    assert case.adults["mum"].learners is None
    assert target.dimensions[1] == Dimension("location", ("home", "park"))


def test_values_default_to_every_one_that_is_possible(tmp_path: Path) -> None:
    """Left out: who does not work with the learner, a place that does not take them, a set that is kept elsewhere
    only. Who is not briefed and a set barred by an allergen stay, to be told as 'not possible'."""
    text = SMALL.replace(
        "locations:\n  home",
        "  dad: {free: {daily: 9:00-10:00}, learners: []}\n"
        "  aunt: {free: {daily: 9:00-10:00}, briefed_on: []}\n"
        "locations:\n  away: {learners: []}\n  home",
    ).replace("  jackets:", "  cakes: {allergens: egg}\n  far: {kept_at: away}\n  jackets:")
    case = loaded(tmp_path, text).case
    assert case is not None
    assert [d.values for d in case.targets["zips"].dimensions[:3]] == [
        ("aunt", "mum"),
        ("home", "park"),
        ("cakes", "jackets"),
    ]


def test_forms_that_mean_the_same(tmp_path: Path) -> None:
    plain = loaded(tmp_path, SMALL).case
    for old, new in (
        ('{mon-fri: "15:30-18:30"}', "{mon-thu: 15:30-18:30, fri: [15:30-17:00, 17:00-18:30]}"),
        ('{mon-fri: "15:30-18:30"}', '{"mon,tue, wed-fri": "15:30-16:00,16:00-18:30"}'),
        ('{mon-fri: "15:30-18:30"}', "{mon-fri: 15:30-17:30, mon: 16:00-18:30, tue-fri: 16:00-18:30}"),
        ("allergens: [egg]", "allergens: egg"),
        ("locations: [home]", "locations: home"),
        ("locations: [home]", "locations: [home]\n    learners: all\n    briefed_on: all\n    away:"),
        ("small_parts: false", "small_parts: No"),
        ("trials: 5", "cover: 2"),
        ("trials: 5", "locations: all"),
        ("trials: 5", "maintenance_days: []\n    first:\n    taught: []"),
        (
            "also_vary: {wording: [Zip it up, Do up your coat]}",
            "also_vary:\n      wording: [Zip it up,  Do up  your coat]",
        ),
    ):
        it = loaded(tmp_path, changed(old, new))
        assert it.case == plain, (new, [f.sentence() for f in it.findings])


def test_words_that_other_readers_take_for_something_else_stay_text(tmp_path: Path) -> None:
    """YAML 1.1 reads these as false, true, 990, a date, null, 8 and 1000."""
    values = ["no", "on", "16:30", "2026-06-01", "null", "010", "1e3", "y"]
    case = loaded(tmp_path, changed("[Zip it up, Do up your coat]", f"[{', '.join(values)}]")).case
    assert case is not None
    assert case.targets["zips"].dimensions[3].values == tuple(values)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("mon-fri", (0, 1, 2, 3, 4)),
        ("daily", (0, 1, 2, 3, 4, 5, 6)),
        ("mon,wed", (0, 2)),
        ("sat, mon-tue", (0, 1, 5)),
        ("sun", (6,)),
    ],
)
def test_days(text: str, expected: tuple[int, ...]) -> None:
    assert time_texts.day_numbers(text) == expected


minutes = st.integers(0, 1440)


@given(st.integers(0, 1439))
def test_a_time_comes_back_as_it_was_and_is_never_a_number(minute: int) -> None:
    text = time_texts.time_text(minute)
    assert time_texts.minute_of_day(text) == minute
    assert not text.isdigit()


@given(st.lists(st.tuples(minutes, minutes).filter(lambda w: w[0] < w[1]), max_size=6), st.randoms())
def test_windows_come_back_merged_in_any_order(spans: list[tuple[int, int]], order: random.Random) -> None:
    texts = [time_texts.window_text(Window(*s)) for s in spans]
    order.shuffle(texts)
    assert time_texts.windows(texts) == merge(spans)
    if texts:
        assert time_texts.windows([",".join(texts)]) == merge(spans)


@given(st.text(alphabet="0123456789:-. ", max_size=12))
def test_a_text_is_a_window_or_is_told(text: str) -> None:
    try:
        span = time_texts.window(text)
    except InvalidValue as problem:
        told = problem.expected
    else:
        told = ""
        assert 0 <= span.start < span.end <= 1440
        assert time_texts.window(time_texts.window_text(span)) == span
    assert told in ("", time_texts.A_TIME, time_texts.A_WINDOW)


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)), st.integers(0, 400))
def test_an_absence_of_days_holds_both_ends(first: date, more: int) -> None:
    last = date.fromordinal(first.toordinal() + more)
    whole_days = time_texts.absence(f"{first}..{last}", "away")
    assert (whole_days.end - whole_days.start).days == more + 1
    assert time_texts.absence(f"{first}", "away").start == whole_days.start


def test_files_are_merged_and_their_order_decides_nothing(tmp_path: Path) -> None:
    head, _, rest = SMALL.partition("adults:\n")
    one = loaded(tmp_path / "one", SMALL)
    two = load(write(tmp_path / "two", b=head, a="adults:\n" + rest))
    three = load(write(tmp_path / "three", a=head, z="adults:\n" + rest))
    assert one.findings == two.findings == three.findings == ()
    assert one.case == two.case == three.case
    assert two.marks["targets", "zips"].file == "a.yaml"


def test_shuffled_sections_and_ids_give_the_same_case_in_the_same_order(tmp_path: Path) -> None:
    blocks = EXAMPLE.split("\n\n")
    first = whole(tmp_path / "0").case
    for seed in range(5):
        random.Random(seed).shuffle(blocks)
        (tmp_path / f"{seed}s" / "busy").mkdir(parents=True)
        (tmp_path / f"{seed}s" / "busy" / "grandad.ics").write_text("BEGIN:VCALENDAR\nEND:VCALENDAR\n")
        again = loaded(tmp_path / f"{seed}s", "\n\n".join(blocks)).case
        assert again == first
        assert again is not None
        assert list(again.adults) == sorted(first.adults)


def test_sections_of_two_files_are_joined_and_what_is_there_twice_is_an_error(tmp_path: Path) -> None:
    more = "learners: {robin: {free: {sat: 10:00-11:00}}}\n"
    more += "targets:\n  claps: {learner: robin, correct_when: Claps}\n"
    joined = load(write(tmp_path / "a", case=SMALL, more=more))
    assert joined.findings == ()
    assert joined.case is not None
    assert list(joined.case.targets) == ["claps", "zips"]
    twice = load(
        write(tmp_path / "b", case=SMALL, more="targets:\n  zips: {learner: wren}\ntimezone: Europe/Paris\n")
    )
    assert [(f.file, f.line, f.key, f.found) for f in twice.findings] == [
        ("more.yaml", 2, "targets.zips", "'zips' a second time (first at case.yaml:23)"),
        ("more.yaml", 3, "timezone", "'timezone' a second time (first at case.yaml:2)"),
    ]
    empty = load(write(tmp_path / "c", case=SMALL, more="targets:\nlearners: {}\n"))
    assert empty.findings == ()


def test_a_file_that_cannot_be_read_is_told_and_nothing_is_said_to_lack(tmp_path: Path) -> None:
    head, _, rest = SMALL.partition("adults:\n")
    it = load(write(tmp_path, case=head, more="adults:\n" + rest + "  - broken\n"))
    assert [f.file for f in it.findings] == ["more.yaml"]


def test_the_table_of_keys_has_words_for_each() -> None:
    assert all(
        key.words and key.kind.expects and key.default for keys in KNOWN.values() for key in keys.values()
    )


def test_reading_a_case_loads_no_calendar_solver_or_table_library() -> None:
    code = (
        "import sys, genplan.casefile, genplan.casefile.starter;"
        "print(*[m for m in ('icalendar', 'recurring_ical_events', 'ortools', 'pandas') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == ""


def test_nobody_waits_for_a_set_of_nothing(tmp_path: Path) -> None:
    nothing = "  nothing: {small_parts: no, bring: no}\n"
    chair = "  chair: {small_parts: no, bring: no, kept_at: [home]}\n"
    text = SMALL.replace("material_sets:\n", f"material_sets:\n{nothing}{chair}")
    case = loaded(tmp_path, text).case
    assert case is not None
    assert case.material_sets["nothing"].copies == MOST_COPIES
    assert case.material_sets["chair"].copies == 1
