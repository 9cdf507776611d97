"""Data goes one way: which room may import which, and which library is at home where."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import genplan
from tests.fixtures.places import ROOT as PROJECT

ROOT = Path(genplan.__file__).parent

ROOMS = (
    "language",
    "findings",
    "errors",
    "files",
    "folders",
    "fence",
    "case",
    "rules",
    "text.dimension_words",
    "text.obstacles",
    "casefile",
    "start",
    "evidence",
    "tables",
    "coverage",
    "plan",
    "keeping",
    "planning",
    "audit",
    "forecast",
    "text",
    "report",
    "publishing",
    "sharing",
    "workflow",
    "api",
    "help",
    "web",
    "cli",
    "__main__",
)
"""Each room may import from itself and from those before it."""

AUDITED = ("genplan.language", "genplan.case", "genplan.plan", "genplan.evidence.log", "genplan.audit")
"""The auditor reads values and shares no code with what it audits."""

LIBRARIES = {
    "ortools": ("genplan.planning.solver",),
    "yaml": ("genplan.casefile",),
    "pandas": ("genplan.report",),
    "jinja2": ("genplan.language", "genplan.report", "genplan.web"),
    "markupsafe": ("genplan.language",),
    "babel": ("genplan.language",),
    "segno": ("genplan.web",),
    "starlette": ("genplan.web",),
    "uvicorn": ("genplan.web",),
    "python_multipart": ("genplan.web",),
    "icalendar": (
        "genplan.report",
        "genplan.publishing",
        "genplan.casefile.busy",
        "genplan.casefile.calendar_limits",
    ),
    "recurring_ical_events": ("genplan.casefile.busy", "genplan.casefile.calendar_limits"),
    "python_calamine": ("genplan.evidence.spreadsheet", "genplan.evidence.workbook"),
    "openpyxl": ("genplan.tables.files", "genplan.tables.printed"),
    "holidays": ("genplan.casefile.public_holidays",),
    "caldav": ("genplan.publishing.caldav_requests",),
    "keyring": ("genplan.publishing.access",),
    "dask": ("genplan.planning.elsewhere",),
    "distributed": ("genplan.planning.elsewhere",),
    "filelock": ("genplan.files", "genplan.folders"),
}
"""Where each library beside the standard one may be imported; no other is imported at all."""

HEAVY = ("ortools", "pandas", "numpy", "jinja2", "icalendar", "recurring_ical_events")


def modules() -> dict[str, Path]:
    """Dotted name -> file, of every module of the package."""
    found = {}
    for path in sorted(ROOT.rglob("*.py")):
        parts = ("genplan", *path.relative_to(ROOT).with_suffix("").parts)
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


MODULES = modules()


def statements(block: ast.AST) -> Iterator[ast.AST]:
    """All in a block and in those inside it. No expression holds a statement, and there are many of them."""
    for node in ast.iter_child_nodes(block):
        if isinstance(node, ast.stmt | ast.excepthandler | ast.match_case):
            yield node
            yield from statements(node)


def imports(name: str, path: Path) -> Iterator[str]:
    """Dotted names that a module imports, late imports inside functions among them."""
    for node in statements(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{name} imports from a relative name"
            assert node.module
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                yield whole if whole in MODULES else node.module


def is_inside(name: str, places: tuple[str, ...]) -> bool:
    return any(name == place or name.startswith(f"{place}.") for place in places)


@cache
def place_of(name: str) -> int:
    """Where the innermost room of a module stands in `ROOMS`."""
    return max((len(room), i) for i, room in enumerate(ROOMS) if is_inside(name, (f"genplan.{room}",)))[1]


@pytest.fixture(scope="module")
def imported() -> list[tuple[str, str]]:
    """Each module, with each that it imports."""
    return [(name, other) for name, path in MODULES.items() for other in imports(name, path)]


def test_a_room_imports_only_from_rooms_before_it(imported: list[tuple[str, str]]) -> None:
    assert [other for name, other in imported if name == "genplan"] == ["__future__", "typing", "genplan.api"]
    inside = [(n, o) for n, o in imported if n != "genplan" and o.startswith("genplan.")]
    assert len(inside) > 1000
    assert [f"{n} imports {o}" for n, o in inside if place_of(o) > place_of(n)] == []


def test_the_auditor_shares_no_code_with_what_it_audits(imported: list[tuple[str, str]]) -> None:
    of_auditor = [o for n, o in imported if is_inside(n, ("genplan.audit",)) and o.startswith("genplan.")]
    assert of_auditor
    assert [o for o in of_auditor if not is_inside(o, AUDITED) or o == "genplan.case.possible"] == []


def test_a_library_is_imported_only_where_it_is_at_home(imported: list[tuple[str, str]]) -> None:
    own = {"genplan", *sys.stdlib_module_names}
    libraries = [(n, o.split(".")[0]) for n, o in imported if o.split(".")[0] not in own]
    assert libraries
    assert [f"{n} imports {o}" for n, o in libraries if not is_inside(n, LIBRARIES.get(o, ()))] == []


def test_no_room_is_left_out_of_the_table() -> None:
    rooms = {name.split(".")[1] for name in MODULES if "." in name}
    assert rooms <= set(ROOMS)


def test_a_room_within_a_room_has_a_place_of_its_own() -> None:
    assert (
        place_of("genplan.text.obstacles")
        < place_of("genplan.evidence.row_warnings")
        < place_of("genplan.text.notes")
    )


@pytest.mark.parametrize("room", ["casefile", "evidence.append_rows", "coverage.matrix", "plan", "audit"])
def test_what_a_check_needs_loads_no_heavy_library(room: str) -> None:
    program = f"import sys, genplan.{room}; print(*sorted({set(HEAVY)!r} & sys.modules.keys()))"
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=ROOT.parent
    )
    assert done.stdout.split() == []


def test_every_module_that_developers_names_is_there() -> None:
    text = (PROJECT / "DEVELOPERS.md").read_text("utf-8")
    named = set(re.findall(r"`([\w/]+\.py)`", text))
    there = [
        f"/{p.relative_to(PROJECT).as_posix()}"
        for top in ("genplan", "tests")
        for p in (PROJECT / top).rglob("*.py")
    ]
    assert named
    assert sorted(n for n in named if not any(p.endswith(f"/{n}") for p in there)) == []
