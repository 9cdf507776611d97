"""Policies by name, by path and as keys; and the starter case."""

from __future__ import annotations

import re
from dataclasses import fields, replace
from pathlib import Path

import pytest

from genplan.case import Policy, SolverLimits, Target
from genplan.casefile import load
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.keys import CASE, POLICY
from genplan.casefile.policies import find_policy, policies_folder, policy_names
from genplan.casefile.record_types import KNOWN
from genplan.casefile.starter import TEXT, write_starter
from genplan.errors import FileError
from genplan.language import LANGUAGES, Speech, Words, speaking
from tests.fixtures.casefile_cases import SMALL, changed, loaded, write

KEYS = {key for shape in (CASE, POLICY, *KNOWN.values()) for key in shape}


def policy(folder: Path, text: str) -> Policy:
    it = loaded(folder, changed("format: 1", f"format: 1\npolicy: {text}"))
    assert it.case is not None, [f.sentence() for f in it.findings]
    return it.case.policy


def test_the_named_policies_load_and_differ(tmp_path: Path) -> None:
    assert policy_names() == ("caseload", "family", "school-transfer")
    found = {name: policy(tmp_path, name) for name in policy_names()}
    assert [p.name for p in found.values()] == list(policy_names())
    assert found["school-transfer"].prefer.one_change_at_a_time
    assert found["school-transfer"].days == (0, 1, 2, 3, 4)
    assert found["family"].days == (0, 1, 2, 3, 4, 5, 6)
    assert found["caseload"].start_every_minutes == 5
    assert len(set(map(repr, found.values()))) == 3


@pytest.mark.parametrize("name", ["caseload", "family", "school-transfer"])
def test_a_named_policy_says_every_key_and_a_reason_for_each_number(name: str) -> None:
    text = (policies_folder() / f"{name}.yaml").read_text(encoding="utf-8")
    given = set(re.findall(r"^(\w+):", text, re.MULTILINE))
    unsaid = {"taught_when"} - given  # that no mark is asked for is said by a remark
    inside = {
        "generalised_untaught"
    }  # 'untaught' stands under 'generalised_when', and its default is said by a remark
    assert given == {f.name for f in fields(Policy)} - {"name"} - unsaid - inside
    assert "'untaught: yes'" in text
    assert all(f"'{key}'" in text for key in unsaid)
    for key in ("start_every_minutes", "settle_minutes", "rest_minutes", "cover", "maintenance_days", "days"):
        assert re.search(rf"^#.*\n{key}:", text, re.MULTILINE), key
    assert "common practice, no source" in text


def test_a_policy_as_keys_changes_only_those(tmp_path: Path) -> None:
    found = policy(tmp_path, "{rest_minutes: 0, prefer: {fair_shares: no}, solver: {seconds: 5}}")
    assert (found.rest_minutes, found.settle_minutes) == (0, 5)
    assert not found.prefer.fair_shares
    assert found.prefer.spread_over_days
    assert found.solver == SolverLimits(seconds=5.0)


def test_a_policy_that_is_like_another_keeps_all_that_it_does_not_say(tmp_path: Path) -> None:
    found = policy(tmp_path, "{like: family, words: trade, prefer: {catch_up: yes}}")
    family = policy(tmp_path, "family")
    other = replace(family.prefer, catch_up=True)
    assert found == replace(family, name="own", words=Words.TRADE, prefer=other)


def test_a_policy_may_be_like_a_file_and_this_like_another(tmp_path: Path) -> None:
    write(tmp_path, ours="like: rules/more.yaml\nrest_minutes: 45\ntrials: 7\n")
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "more.yaml").write_text("like: family\nrest_minutes: 10\nminutes: 8\n")
    it = loaded(tmp_path, changed("format: 1", "format: 1\npolicy:\n  like: ours.yaml\n  trials: 9"))
    assert it.case is not None, it.findings
    found = it.case.policy
    assert (found.trials, found.rest_minutes, found.minutes, found.words) == (9, 45, 8, Words.PLAIN)
    where = [str(it.marks["policy", key]) for key in ("trials", "rest_minutes", "minutes")]
    assert where == ["case.yaml:4", "ours.yaml:2", "rules/more.yaml:3"]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("policy: {like: famly}", "case.yaml:2: policy.like: 'famly', which is no policy"),
        ("policy: {like: r/ours.yaml}", "r/ours.yaml:1: policy.like: 'r/ours.yaml', which is like this policy itself"),
        ("policy: r/ours.yaml", "r/ours.yaml:1: policy.like: 'r/ours.yaml', which is like this policy itself"),
        ("policy: {like: [family]}", "case.yaml:2: policy.like: a list; expected family,"),
        ("policy: {like: case.yaml}", "case.yaml:2: policy: 'case.yaml', which is this file itself"),
        ("policy: {like: r/wrong.yaml, trials: 7}", "r/wrong.yaml:1: policy.trial: the unknown key 'trial'"),
    ],
)  # fmt: skip
def test_what_cannot_be_followed_is_told_where_it_stands(tmp_path: Path, text: str, said: str) -> None:
    for name, kept in (("ours", "like: r/ours.yaml\nrest_minutes: 45\n"), ("wrong", "trial: 3\n")):
        (tmp_path / "r").mkdir(exist_ok=True)
        (tmp_path / "r" / f"{name}.yaml").write_text(kept)
    it = loaded(tmp_path, changed("format: 1", f"format: 1\n{text}"))
    told = [f.sentence() for f in it.findings]
    assert it.case is None
    assert any(one.startswith(said) for one in told), told


def test_of_one_key_alone_it_is_asked_whether_the_others_were_forgotten(tmp_path: Path) -> None:
    def asked(text: str) -> list[str]:
        return [f.sentence() for f in loaded(tmp_path, changed("format: 1", f"format: 1\n{text}")).findings]

    (found,) = asked("policy: {words: plain}")
    assert found.startswith(
        "case.yaml:2: policy.words: no key but 'words'; expected what the others are like"
    )
    assert "'like: none'" in found
    write(tmp_path, ours="rest_minutes: 45\ntrials: 7\n")
    (in_a_file,) = asked("policy: ours.yaml")
    assert in_a_file.startswith("ours.yaml:1: policy.rest_minutes: no keys but 'rest_minutes, trials'")
    (tmp_path / "ours.yaml").unlink()
    innocent = (
        "{like: none, words: plain}",
        "{trials: 5, words: plain, minutes: 5}",
    )
    assert [asked(f"policy: {one}") for one in innocent] == [[], []]


def test_a_target_says_what_it_asks_for_and_the_policy_what_it_leaves_out(tmp_path: Path) -> None:
    ours = "policy: {generalised_when: {adults: 2, untaught: yes}}"
    text = changed("format: 1", f"format: 1\n{ours}")

    def target(criterion: str) -> Target:
        asked = text.replace("trials: 5", f"generalised_when: {criterion}")
        it = loaded(tmp_path, asked)
        assert it.case is not None, it.findings
        return it.case.targets["zips"]

    named = target("{with: [{location: park}]}")
    assert (named.generalised_when, named.generalised_untaught) == ({"adult": 2}, True)
    assert named.generalised_with == ({"location": "park"},)
    own = target("{locations: 2, untaught: no}")
    assert (own.generalised_when, own.generalised_untaught, own.generalised_with) == (
        {"location": 2},
        False,
        (),
    )


@pytest.mark.parametrize(
    ("criterion", "said"),
    [
        ("{with: [{location: moon}]}", "moon"),
        ("{with: [{loc: school}]}", "unknown dimension 'loc'"),
        ("{with: {location: school}}", "a list of values to go together"),
        ("{untaught: perhaps}", "yes or no"),
        ("{untaught: 3}", "the number 3; expected yes or no"),
        ("{with: 3}", "the number 3; expected a list, such as [{location: school}]"),
        ("{with: []}", "an empty list"),
    ],
)
def test_a_criterion_that_cannot_be_read_says_so(tmp_path: Path, criterion: str, said: str) -> None:
    text = changed("trials: 5", f"generalised_when: {criterion}")
    it = loaded(tmp_path, text)
    assert it.case is None
    assert any(said in f.sentence() for f in it.findings), [f.sentence() for f in it.findings]


def test_a_policy_that_names_places_is_refused(tmp_path: Path) -> None:
    it = loaded(
        tmp_path, changed("format: 1", "format: 1\npolicy: {generalised_when: {with: [{location: school}]}}")
    )
    assert any("of each target" in f.sentence() for f in it.findings), [f.sentence() for f in it.findings]


def test_a_policy_by_path_is_no_part_of_the_case(tmp_path: Path) -> None:
    write(tmp_path, ours="rest_minutes: 45\nlike: none\ntrials: 10\n")
    it = loaded(tmp_path, changed("format: 1", "format: 1\npolicy: ours.yaml").replace("    trials: 5\n", ""))
    assert it.findings == ()
    assert it.case is not None
    assert (it.case.policy.rest_minutes, it.case.policy.name) == (45, "ours")
    assert it.case.targets["zips"].trials == 10
    assert str(it.marks["policy", "rest_minutes"]) == "ours.yaml:1"
    write(tmp_path, ours="rest_minutes: 45\nrest_minute: 45\nlike: none\n")
    assert [(f.file, f.line, f.key) for f in load(tmp_path).findings] == [
        ("ours.yaml", 2, "policy.rest_minute")
    ]


def test_targets_take_the_policys_defaults_and_keep_their_own(tmp_path: Path) -> None:
    text = SMALL.replace(
        "    trials: 5\n    pass_mark: 4/5\n", "    cover: all\n    mastered_on: 2026-10-01\n"
    )
    keys = "{cover: triples, trials: 8, pass_mark: 7/8, minutes: 9, maintenance_days: [28, 7], "
    counts = "generalised_when: {adults: 1, sounds: 2}}"
    case = loaded(tmp_path, text.replace("format: 1", f"format: 1\npolicy: {keys}{counts}")).case
    assert case is not None
    target = case.targets["zips"]
    assert (target.cover, target.trials, str(target.pass_mark), target.minutes) == ("all", 8, "7/8", 9)
    assert target.maintenance_days == (7, 28)
    assert target.generalised_when == {"adult": 1}  # 'sounds' is a dimension of other targets


def test_find_policy(tmp_path: Path) -> None:
    write(tmp_path, ours="trials: 5\n")
    assert find_policy("family", tmp_path).name == "family.yaml"
    assert find_policy("ours.yaml", tmp_path) == tmp_path / "ours.yaml"
    for wrong, said in (
        ("famly", "did you mean 'family'"),
        ("../x.yaml", "leads out"),
        ("x.yaml", "not there"),
    ):
        with pytest.raises(InvalidValue) as caught:
            find_policy(wrong, tmp_path)
        assert said in f"{caught.value.found} {caught.value.hint}"


def test_the_starter_loads_without_findings_and_its_lines_that_are_commented_out_load_too(
    tmp_path: Path,
) -> None:
    files = write_starter(tmp_path / "new")
    assert [f.name for f in files] == ["case.yaml", "results.csv", "case.schema.json"]
    it = load(tmp_path / "new")
    assert it.findings == ()
    assert it.case is not None
    assert len(it.case.mastered) == 2
    text = re.sub(
        r"^    # (never|first):", r"    \1:", files[0].read_text(encoding="utf-8"), flags=re.MULTILINE
    )
    more = loaded(tmp_path / "more", text)
    assert more.findings == ()
    assert more.case is not None
    assert more.case.targets["asks-for-help"].never
    assert more.case.targets["asks-for-help"].first


@pytest.mark.parametrize("language", LANGUAGES[1:])
def test_the_starter_of_another_language_says_so_and_is_the_same_case_in_other_words(
    tmp_path: Path, language: str
) -> None:
    with speaking(Speech(language)):
        (file, *_others) = write_starter(tmp_path / "new")
    write_starter(tmp_path / "english")
    it, english = load(tmp_path / "new"), load(tmp_path / "english").case
    assert it.findings == ()
    assert it.case is not None
    assert english is not None
    assert it.case.language == language
    assert it.case.policy == english.policy
    for section in ("learners", "adults", "locations", "material_sets", "targets"):
        ours, theirs = getattr(it.case, section).values(), getattr(english, section).values()
        assert len(ours) == len(theirs)
    shape = [[len(d.values) for d in t.dimensions] for c in (it.case, english) for t in c.targets.values()]
    assert shape[:2] == shape[2:]
    keys = [
        re.findall(r"^ *(?:# )?([a-z_]+):", text.read_text("utf-8"), re.MULTILINE) for text in (file, TEXT)
    ]
    assert (set(keys[1]) | {"language"}) & KEYS == set(
        keys[0]
    ) & KEYS  # none was left out, commented out ones among them


def test_the_starter_is_the_same_twice_and_touches_nothing_that_is_there(tmp_path: Path) -> None:
    one, two = write_starter(tmp_path / "a" / "b"), write_starter(tmp_path / "c")
    assert [f.read_bytes() for f in one] == [f.read_bytes() for f in two]
    (tmp_path / "empty").mkdir()
    assert write_starter(tmp_path / "empty")
    (tmp_path / "file").write_text("mine")
    before = sorted(tmp_path.rglob("*"))
    for taken in ("c", "file"):
        with pytest.raises(FileError, match="does not exist yet"):
            write_starter(tmp_path / taken)
    with pytest.raises(FileError, match="Nothing was made"):
        write_starter(tmp_path / "file" / "below")
    assert sorted(tmp_path.rglob("*")) == before
    assert (tmp_path / "file").read_text() == "mine"
