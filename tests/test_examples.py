"""The invented examples: each is read without a complaint and has something of everything to show."""

from datetime import datetime

import pytest

from genplan.case import TargetState, Week
from genplan.casefile import load
from genplan.casefile.busy_times import busy_times
from genplan.evidence.log import ResultKind
from genplan.evidence.results import read_results
from tests.fixtures.places import EXAMPLES

NAMES = ("caseload", "family", "school-transfer")
NOW = datetime(2026, 11, 29, 12, 0)


def test_every_example_is_tested():
    assert sorted(p.name for p in EXAMPLES.iterdir() if (p / "case.yaml").exists()) == sorted(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_an_example_has_neither_errors_nor_warnings(name):
    loaded = load(EXAMPLES / name)
    assert [f.sentence() for f in loaded.findings] == []
    log, findings = read_results(EXAMPLES / name, loaded.case, NOW)
    assert [f.sentence() for f in findings] == []
    # a baseline is of a skill that is still taught
    taught = any(t.state is TargetState.TEACHING for t in loaded.case.targets.values())
    assert {r.kind for r in log.results} == {k for k in ResultKind if taught or k is not ResultKind.BASELINE}


@pytest.mark.parametrize("name", NAMES)
def test_every_file_of_an_example_says_that_it_is_invented(name):
    for file in sorted((EXAMPLES / name).rglob("*")):
        # results.csv has no room for a remark: its first line is its header
        if file.is_file() and file.name != "results.csv" and not file.name.endswith(".lock"):
            assert "nvented" in "".join(file.read_text("utf-8").splitlines(keepends=True)[:5]), file


@pytest.mark.parametrize("name", NAMES)
def test_no_result_is_older_than_the_mastery_it_follows(name):
    case = load(EXAMPLES / name).case
    log, _ = read_results(EXAMPLES / name, case, NOW)
    mastered = {t.id: t.mastered_on for t in case.targets.values() if t.mastered_on}
    assert [r.line for r in log.results if r.target in mastered and r.date < mastered[r.target]] == []


def test_the_busy_times_of_the_caseload():
    loaded = load(EXAMPLES / "caseload")
    busy = busy_times(loaded, loaded.case, Week.parse("2026-W49"))
    assert busy.findings == ()
    assert sorted(busy.absences) == ["deepak", "marta", "tui"]
    # marta: the team on Monday, supervision on Wednesday, a visit on Thursday; neither what can wait nor what
    # was called off
    assert [(a.start.isoweekday(), a.start.hour) for a in busy.absences["marta"]] == [
        (1, 9),
        (3, 13),
        (4, 10),
    ]
