"""Problems together, and warnings. The sentences of single faults stand in the corpus of `bad_input`."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan.casefile import load
from genplan.findings import Severity
from tests.fixtures.casefile_cases import SMALL, changed, loaded, write

MUM_AT_HOME = "{adult: mum, location: home, material_set: jackets}"


def test_the_small_case_is_without_findings(tmp_path: Path) -> None:
    assert loaded(tmp_path, SMALL).findings == ()


def test_all_problems_are_told_together_in_order_of_lines(tmp_path: Path) -> None:
    text = (
        SMALL.replace("Europe/Dublin", "Nowhere").replace("trials: 5", "trials: x").replace("[home]", "[hom]")
    )
    assert [(f.line, f.key) for f in loaded(tmp_path, text).findings] == [
        (2, "timezone"),
        (11, "adults.mum.locations.1"),
        (26, "targets.zips.trials"),
    ]


def test_a_key_beside_the_counts_that_is_misspelt_names_the_nearest(tmp_path: Path) -> None:
    for key in ("generalised_when: {adults: 1, wiht: [{location: home}]}",):
        (told,) = loaded(tmp_path, changed("trials: 5", key)).findings
        assert "unknown key 'wiht'" in told.found
        assert told.hint == "did you mean 'with'?"


@pytest.mark.parametrize(
    ("data", "line", "found"),
    [
        (b"", 0, "an empty file"),
        (b"# nothing yet\n", 0, "an empty file"),
        (b"- a\n- b\n", 1, "a list at the top"),
        (b"hello\n", 1, "a single value at the top"),
        (b"format: 1\nname: \xe9\n", 2, "not UTF-8"),
        ("format: 1\n".encode("utf-16"), 1, "UTF-16"),
        (b"format: 1\nx: \x00\n", 2, "U+0000"),
        (b"format: 1\r\ny: 1\r\nx: \x00\r\n", 3, "U+0000"),
        (b"%YAML 2.0\n---\na: 1\n", 1, "a %YAML line"),
        (b"[" * 5000, 1, "nest"),
        (b"a: " * 3000, 1, "colon"),
    ],
)
def test_a_file_that_is_no_case(tmp_path: Path, data: bytes, line: int, found: str) -> None:
    (tmp_path / "case.yaml").write_bytes(data)
    findings = load(tmp_path).findings
    told = [f for f in findings if f.file == "case.yaml"]
    assert [f.line for f in told] == [line]
    assert found in told[0].found or "bracket" in told[0].found


def test_folders_that_are_none(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    (tmp_path / "empty").mkdir()
    found = [load(tmp_path / name).findings[0].found for name in ("nowhere", "file", "empty")]
    assert found == ["no such folder", "a file", "no .yaml file in the folder"]


def test_what_looks_like_a_case_file_and_is_not_read(tmp_path: Path) -> None:
    write(tmp_path, case=SMALL)
    for name in ("more.yml", "OLD.YAML", ".hidden.yaml", "notes.txt"):
        (tmp_path / name).write_text("x: 1\n")
    (tmp_path / "weeks.yaml").mkdir()
    it = load(tmp_path)
    warned = sorted(f.file for f in it.findings if f.severity is Severity.WARNING)
    assert warned == [".hidden.yaml", "OLD.YAML", "more.yml"]
    assert [f.found for f in it.findings if f.severity is Severity.ERROR] == ["something that is no file"]


def test_a_byte_order_mark_and_windows_line_ends_are_read(tmp_path: Path) -> None:
    (tmp_path / "case.yaml").write_bytes(b"\xef\xbb\xbf" + SMALL.replace("\n", "\r\n").encode())
    it = load(tmp_path)
    assert it.findings == ()
    assert it.case == loaded(tmp_path / "plain", SMALL).case


@pytest.mark.parametrize(
    ("old", "new", "key", "found"),
    [
        ('    free: {daily: "08:00-20:00"}\n', "", "adults.mum", "no hours for mum"),
        ('    free: {mon-fri: "15:30-18:30"}\n', "", "learners.wren", "no hours for wren"),
        (
            "adults:\n",
            "  robin: {free: {sat: 9:00-10:00}}\nadults:\n",
            "learners.robin",
            "no target for robin",
        ),
        ("adults:\n", "  wim: {name: Wim, free: {}}\nadults:\n", "learners.wren.alias", "as well as for wim"),
        (
            "    locations: [home]\n",
            "    locations: [home]\n  mam: {name: mum, free: {sat: 9:00-10:00}}\n",
            "adults.mum.name",
            "the name 'mum' for mum as well as for mam",
        ),
        (
            "  park: {capacity: 2}",
            "  park: {name: home, capacity: 2}",
            "locations.park.name",
            "as well as for home",
        ),
        ("    correct_when: Closes the zip\n", "", "targets.zips", "it is not said what counts as correct"),
        ("location: park}", "location: home}", "targets.zips", "no combination"),
        ("trials: 5", "maintenance_days: [7]", "targets.zips.maintenance_days", "no day of mastery"),
        (
            "trials: 5",
            "generalised_when: {adults: 2}",
            "targets.zips.generalised_when.adults",
            "and the target has only 1",
        ),
        (
            "trials: 5",
            "generalised_when: {locations: 2}",
            "targets.zips.generalised_when.locations",
            "it is to be met with 2 locations before it counts as generalised, and no more than 1 can be reached:"
            " nothing is possible with 'park'",
        ),
        ("trials: 5", "first: [{location: park}]", "targets.zips.first.1", "no possible combination"),
        (
            "trials: 5",
            f"taught: [{MUM_AT_HOME}]\n    generalised_when: {{with: [{MUM_AT_HOME}], untaught: yes}}",
            "targets.zips.generalised_when.with.1",
            "which only combinations hold that 'taught' names",
        ),
        (
            "trials: 5",
            f"taught: [{MUM_AT_HOME}]\n    generalised_when: {{adults: 1, untaught: yes}}",
            "targets.zips.generalised_when.adults",
            "it is to be met with 1 adult without teaching before it counts as generalised, and only 0 can be met so",
        ),
        (
            "trials: 5",
            "locations: [home]\n    taught: [{adult: mum, location: park, material_set: jackets}]",
            "targets.zips.taught.1.location",
            "it shows nothing",
        ),
        ("allergens: [egg]", "limits: {sitting_minutes: 9}", "targets.zips", "a probe of 5 minutes after 5"),
        ("small_parts: false", "allergens: [egg]", "targets.zips", "no combination"),
        ("small_parts: false", "hazards: [magnet]", "targets.zips", "no combination"),
    ],
)
def test_warnings_leave_a_case(tmp_path: Path, old: str, new: str, key: str, found: str) -> None:
    it = loaded(tmp_path, changed(old, new))
    assert it.case is not None
    told = {f.key: f for f in it.findings}
    assert {f.severity for f in it.findings} == {Severity.WARNING}
    assert any(f.key == key and found in f.found for f in it.findings), told


def test_a_taught_value_that_is_not_varied_says_where_to_look(tmp_path: Path) -> None:
    with_dad = SMALL.replace("locations: [home]", 'learners: []\n  dad: {free: {daily: "08:00-20:00"}}')
    taught = f"trials: 5\n    taught: [{MUM_AT_HOME}]"
    for text, hint in (
        (with_dad.replace("trials: 5", taught), "whom 'mum' works with ('learners')"),
        (with_dad.replace("trials: 5", f"adults: [dad]\n    {taught}"), "add it to the target's 'adults'"),
    ):
        (told,) = (f for f in loaded(tmp_path, text).findings if "shows nothing" in f.found)
        assert hint in told.hint


def test_near_misses_of_warnings(tmp_path: Path) -> None:
    """A ladder with a date, or of a skill still taught; as many adults as there are; a probe that just
    fits."""
    for old, new in (
        ("trials: 5", "maintenance_days: [7]\n    mastered_on: 2026-10-19"),
        ("trials: 5", "maintenance_days: [7]\n    state: teaching"),
        ("trials: 5", "generalised_when: {adults: 1, locations: 1, wording: 2}"),
        ("trials: 5", f"taught: [{MUM_AT_HOME}]\n    generalised_when: {{with: [{MUM_AT_HOME}], adults: 1}}"),
        ("allergens: [egg]", "limits: {sitting_minutes: 10}"),
        ("small_parts: false", "hazards: [water]"),
        ("small_parts: false", "allergens: [milk]"),
    ):
        assert loaded(tmp_path, changed(old, new)).findings == (), new


def test_what_comes_from_the_policy_is_told_once_for_all_targets(tmp_path: Path) -> None:
    policy = "format: 1\npolicy: {like: none, generalised_when: {adults: 2}, maintenance_days: [7]}"
    text = changed("format: 1", policy) + "  claps: {learner: wren, correct_when: Claps}\n"
    told = [(f.line, f.key, f.found) for f in loaded(tmp_path, text).findings]
    line = text.count("\n", 0, text.index("  claps:")) + 1
    assert told == [
        (
            line,
            "targets.claps",
            "it is to be met with 2 adults before it counts as generalised, and the target has only 1"
            " (target claps and 1 more; by the policy's 'generalised_when')",
        ),
        (
            line,
            "targets.claps",
            "no day of mastery, so no maintenance probe falls due"
            " (target claps and 1 more; by the policy's 'maintenance_days')",
        ),
    ]


def test_whoever_asks_for_too_much_reads_what_to_write(tmp_path: Path) -> None:
    """The line that is wrong, or all counts where they come from the policy: those of a target stand in place of them
    all. What is written as it says is without findings."""
    policy = changed(
        "format: 1", "format: 1\npolicy: {like: none, generalised_when: {adults: 1, locations: 2}}"
    )
    own = changed("trials: 5", "generalised_when: {adults: 1, locations: 2}")
    told = [f.hint for text in (policy, own) for f in loaded(tmp_path, text).findings]
    assert [hint.partition(";")[0] for hint in told] == [
        "write 'generalised_when' there, with 'adults: 1' and 'locations: 1' under it",
        "write 'locations: 1' there",
    ]
    mended = policy + "    generalised_when: {adults: 1, locations: 1}\n"
    assert loaded(tmp_path, mended).findings == loaded(tmp_path, own.replace("ns: 2", "ns: 1")).findings == ()


@pytest.mark.parametrize("policy", ["family", "school-transfer", "caseload"])
def test_nobody_is_sent_to_a_line_of_the_programs_own_policies(tmp_path: Path, policy: str) -> None:
    """Whatever the policy wants and the case lacks is told at a line that the user wrote."""
    text = changed("format: 1", f"format: 1\npolicy: {policy}")
    found = loaded(tmp_path, text.replace("also_vary", "# also_vary")).findings
    assert {f.file for f in found} == {"case.yaml"}
    assert any("no day of mastery" in f.found and f.line > 1 for f in found)


CHANGES = """\
changes:
  - {away: mum, from: 2026-12-01}
  - {closed: home, from: 2026-13-01}
  - {rather: nobody, learner: ghost, from: 2026-12-01}
  - {apart: [jumps, swims]}
"""


def test_what_may_stand_in_a_file_that_cannot_be_read_is_not_said_to_be_missing(tmp_path: Path) -> None:
    """A case that is half written says nothing: neither that it has no format, nor whom the other file names. What is
    wrong in the other file alone is told; and once the case can be read, everything is."""
    whole = SMALL
    (tmp_path / "changes.yaml").write_text(CHANGES, encoding="utf-8")
    (tmp_path / "case.yaml").write_text(whole[: len(whole) // 2] + "\n  - [\n", encoding="utf-8")
    told = [(f.file, f.key) for f in load(tmp_path).findings]
    assert told == [("case.yaml", ""), ("changes.yaml", "changes.2.from")]
    (tmp_path / "case.yaml").write_text(whole, encoding="utf-8")
    keys = {f.key for f in load(tmp_path).findings if f.file == "changes.yaml"}
    assert {"changes.2.from", "changes.3.rather", "changes.3.learner", "changes.4.apart.1"} <= keys


DAD = changed(
    "locations:\n  home", '  dad: {free: {daily: "08:00-20:00"}, briefed_on: []}\nlocations:\n  home'
)


def test_whom_a_briefing_alone_keeps_out_is_named(tmp_path: Path) -> None:
    """The target names no adults, so dad is among them. Mum does not go to the park: with dad there all would be
    possible, and a wish that mum cannot keep either says nothing of him."""
    for text, key in (
        (DAD.replace("trials: 5", "generalised_when: {adults: 2}"), "generalised_when.adults"),
        (DAD.replace("trials: 5", "first: [{location: park}]"), "first.1"),
        (DAD.replace("trials: 5", "generalised_when: {with: [{adult: dad}]}"), "generalised_when.with.1"),
        (DAD.replace("locations: [home]", "briefed_on: []"), ""),
    ):
        (told,) = loaded(tmp_path, text).findings
        assert told.key == f"targets.zips.{key}".rstrip(".")
        assert "'dad'" in told.words
        assert "briefed on" in told.words
        assert "'briefed_on'" in told.hint
    barred = DAD.replace("trials: 5", "first: [{location: park}]").replace(
        "never: [{", "never: [{location: park}, {"
    )
    (told,) = loaded(tmp_path, barred).findings
    assert "'never'" in told.hint


def test_what_was_taught_and_is_not_possible_is_told(tmp_path: Path) -> None:
    """At first nothing stands against it; then the jackets stay in the park; then a wording is ruled out, which is told
    only where teaching says that it was this one."""
    taught = f"trials: 5\n    taught: [{{{MUM_AT_HOME.strip('{}')}, wording: Zip it up}}]"
    text = SMALL.replace("trials: 5", taught)
    stays = text.replace("small_parts: false", "small_parts: false\n    kept_at: [park]")
    said_never = text.replace("never: [", "never: [{wording: Zip it up}, ")
    for case, said in (
        (text, []),
        (stays, ["'jackets' is not kept at home"]),
        (said_never, ["the case says never: Zip it up"]),
        (said_never.replace(", wording: Zip it up}]", "}]", 1), []),
    ):
        told = [f.found for f in loaded(tmp_path, case).findings if f.key == "targets.zips.taught.1"]
        assert [t.rpartition("repeat it: ")[2] for t in told] == said
