"""The README against the program: every key, column, code and option is told, and no other."""

import argparse
import re
from collections import Counter

from genplan import errors
from genplan.case.safety import ALLERGENS, HAZARDS
from genplan.casefile.readme import with_tables
from genplan.casefile.record_types import KNOWN
from genplan.cli import FAULT, INTERRUPTED
from genplan.cli.parser import build_parser
from genplan.evidence.results import COLUMNS, OPTIONAL
from genplan.report.tables import COVERAGE_COLUMNS
from tests.fixtures.places import README, ROOT


def section(heading):
    """The text from a heading to the next one."""
    found = re.search(rf"^#+ {re.escape(heading)}\n(.*?)(?=^#|\Z)", README, re.MULTILINE | re.DOTALL)
    assert found, f"no heading '{heading}'"
    return found[1]


def first_columns(text):
    """For each table of a text the names in backticks in its first column."""
    tables = re.findall(r"(?:^\|.*\n)+", text, re.MULTILINE)
    return [
        {n for line in t.splitlines()[2:] for n in re.findall(r"`([^`]+)`", line.split("|")[1])}
        for t in tables
    ]


def test_every_group_of_keys_has_its_table_once():
    assert Counter(re.findall("<!-- keys of (.+) -->", README)) == Counter(list(KNOWN))


def test_the_tables_of_keys_are_those_of_the_program():
    """`python -m genplan.casefile.readme README.md` writes them anew."""
    assert with_tables(README) == README


def test_every_column_of_the_results_is_told():
    assert first_columns(section("results.csv"))[0] == {*COLUMNS, *OPTIONAL}


def test_every_column_of_the_coverage_is_told():
    assert set(COVERAGE_COLUMNS) in first_columns(section("What you get"))


def test_every_exit_code_is_told_and_no_other():
    told = {int(n) for n in re.findall(r"^\| (\d+) \|", section("Exit codes"), re.MULTILINE)}
    raised = {e.exit_code for e in vars(errors).values() if isinstance(e, type) and hasattr(e, "exit_code")}
    assert told == {0, FAULT, INTERRUPTED} | raised


def test_every_command_and_option_is_told():
    text = section("The commands")
    actions = build_parser()._actions
    commands = next(a for a in actions if isinstance(a, argparse._SubParsersAction)).choices
    for name, parser in commands.items():
        assert f"`genplan {name} " in text or f"`genplan {name}`" in text
        options = {o for a in parser._actions for o in a.option_strings if o.startswith("--")} - {"--help"}
        assert {o for o in options if not re.search(rf"`{o}[ `]", text)} == set()


def test_every_allergen_and_hazard_is_told():
    assert {a for a in ALLERGENS if f"`{a}`" not in section("Cautions")} == set()
    assert {h for h in HAZARDS if f"`{h}`" not in section("A material set")} == set()


def test_every_link_inside_leads_somewhere():
    headings = re.findall(r"^#+ (.*)$", re.sub(r"```.*?```", "", README, flags=re.DOTALL), re.MULTILINE)
    anchors = {re.sub(r"[^\w -]", "", h.lower()).replace(" ", "-") for h in headings}
    assert set(re.findall(r"\]\(#([^)]+)\)", README)) <= anchors
    assert all((ROOT / p).exists() for p in re.findall(r"\]\((examples/[^)]+)\)", README))
