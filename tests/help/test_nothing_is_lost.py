"""Whatever may be written or is put out has its place in the reference: `genplan help WORD` finds it by name."""

from __future__ import annotations

import re
from collections.abc import Iterator
from enum import StrEnum

import pytest

from genplan import errors
from genplan.case.safety import ALLERGENS, HAZARDS
from genplan.case.targets import BASE_DIMENSIONS
from genplan.casefile.schema import case_schema
from genplan.cli import FAULT, INTERRUPTED
from genplan.cli.help_tables import OF_ALL, commands
from genplan.coverage.asked import AskedKind
from genplan.coverage.matrix import NOT_POSSIBLE
from genplan.coverage.review import Happened
from genplan.evidence.filled_sheet import DONE, REASON
from genplan.evidence.log import ResultKind
from genplan.evidence.phases import Phase
from genplan.evidence.planned_probes import PLAN_COLUMNS
from genplan.evidence.results import COLUMNS, OPTIONAL
from genplan.evidence.standing import Status
from genplan.forecast.values import BottleneckKind
from genplan.help.lookup import is_called, look_up, plain
from genplan.help.pages import pages
from genplan.plan import ProbeKind
from genplan.plan.objectives import StageStatus
from genplan.plan.term import Promise
from genplan.report import lately_tables, progress_tables, review_tables, timetable
from genplan.report.forecast_table import FORECAST_COLUMNS
from genplan.report.tables import BESIDE_COLUMNS, COVERAGE_COLUMNS
from genplan.report.term_table import TERM_COLUMNS
from tests.fixtures.reference import PAGES, section

STATUSES: tuple[type[StrEnum], ...] = (
    *(Status, Happened, AskedKind, ResultKind, Phase, ProbeKind, StageStatus, BottleneckKind, Promise),
)
TABLES = {
    "results.csv": (*COLUMNS, *OPTIONAL),
    "plan.csv": ("week", "sitting", "kind", *BASE_DIMENSIONS, "start", "end", "trials", *BESIDE_COLUMNS),
    "matrix.csv": ("status", "last_date", "correct", "trials", "planned", "why", *BASE_DIMENSIONS),
    "coverage.csv": COVERAGE_COLUMNS,
    "timetable.csv": timetable.COLUMNS,
    "timetable-minutes.csv": timetable.MINUTES_COLUMNS,
    "How long it will still take": FORECAST_COLUMNS,
    "term.csv": TERM_COLUMNS,
    "Which few to teach": ("learner", "target", "what", *BASE_DIMENSIONS, "why"),
    "progress-targets.csv": progress_tables.TARGET_COLUMNS,
    "progress-values.csv": progress_tables.VALUE_COLUMNS,
    "progress-observers.csv": progress_tables.OBSERVER_COLUMNS,
    "progress-sittings.csv": progress_tables.SITTING_COLUMNS,
    "loads.csv": lately_tables.LOAD_COLUMNS,
    "not-held.csv": lately_tables.NOT_HELD_COLUMNS,
    "review-targets.csv": review_tables.TARGET_COLUMNS,
    "review-curve.csv": review_tables.CURVE_COLUMNS,
    "review-phases.csv": review_tables.PHASE_COLUMNS,
    "review-asked.csv": review_tables.ASKED_COLUMNS,
}
"""Each table by the heading or the head under which its columns stand."""


def keys(schema: object) -> Iterator[str]:
    """All names of keys that the JSON Schema knows, at any depth."""
    if isinstance(schema, dict):
        yield from schema.get("properties", {})
        for part in schema.values():
            yield from keys(part)
    elif isinstance(schema, list):
        for part in schema:
            yield from keys(part)


def is_told(name: str) -> bool:
    return look_up([name]).is_named


def test_every_key() -> None:
    found = set(keys(case_schema()))
    assert len(found) > 100
    assert sorted(key for key in found if not is_told(key)) == []


@pytest.mark.parametrize("table", TABLES)
def test_every_column_stands_in_the_table_it_is_of(table: str) -> None:
    parts = [p for page in pages() for p in page.parts if p.head and plain(p.head[0]).startswith("column")]
    here = [p for p in parts if table in p.headings or f"`{table}`" in p.head[0]]
    assert [c for c in TABLES[table] if not any(is_called(p, plain(c)) for p in here)] == []


@pytest.mark.parametrize("kind", STATUSES, ids=lambda k: k.__name__)
def test_every_status(kind: type[StrEnum]) -> None:
    assert [status.value for status in kind if not is_told(status.value)] == []
    assert is_told(NOT_POSSIBLE)


def test_every_command_and_option() -> None:
    for name, parser in commands().items():
        assert is_told(name)
        options = [o for a in parser._actions for o in a.option_strings if o.startswith("--")]
        ours = [o for o in options if o not in ("--help", *(f"--{o}" for o in OF_ALL))]
        assert [o for o in ours if not look_up([*name.split(), o]).is_named] == []
    assert all(look_up([f"--{o}"]).is_named for o in OF_ALL)


def test_every_exit_code_and_no_other() -> None:
    told = {int(n) for n in re.findall(r"^\| (\d+) \|", section("commands", "Exit codes"), re.MULTILINE)}
    raised = {e.exit_code for e in vars(errors).values() if isinstance(e, type) and hasattr(e, "exit_code")}
    assert told == {0, FAULT, INTERRUPTED} | raised
    assert all(is_told(f"exit code {code}") for code in told)


def test_every_allergen_and_hazard() -> None:
    assert {a for a in ALLERGENS if f"`{a}`" not in PAGES["cautions"]} == set()
    assert {h for h in HAZARDS if f"`{h}`" not in section("case", "A material set")} == set()


def test_what_may_be_added_to_a_sheet() -> None:
    sheet = section("results", "A filled sheet")
    assert [c for c in (REASON, DONE) if f"`{c}`" not in sheet] == []
    assert [c for c in PLAN_COLUMNS if not is_told(c)] == []


def test_no_column_of_the_results_is_invented() -> None:
    told = re.findall(r"^\| (`[^|]*) \|", section("results", "results.csv"), re.MULTILINE)
    assert {n for cell in told for n in re.findall(r"`([^`]+)`", cell)} == {*COLUMNS, *OPTIONAL}


def test_the_forecast_tells_its_columns_in_their_order() -> None:
    told = re.findall(r"^\| (`[^|]*) \|", section("questions", "How long it will still take"), re.MULTILINE)
    assert tuple(n for cell in told for n in re.findall(r"`([a-z_]+)`", cell)) == FORECAST_COLUMNS
