"""The pages of the reference: their tables are those of the program, their links lead somewhere."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from genplan.casefile.record_types import KNOWN
from genplan.cli.help_tables import MARKED, commands, with_tables
from genplan.help.pages import ORDER, pages
from genplan.tables.sheets import SHEETS
from tests.fixtures.places import README, ROOT
from tests.fixtures.reference import PAGES

FOLDER = ROOT / "genplan" / "help"


def test_every_page_is_listed_once() -> None:
    assert Counter(ORDER) == Counter(p.stem for p in FOLDER.glob("*.md"))


def test_every_group_of_keys_and_every_command_has_its_table_once() -> None:
    marked = Counter(found[0:2] for text in PAGES.values() for found in MARKED.findall(text))
    wanted = [("keys of", of) for of in KNOWN] + [("command", name) for name in commands()]
    assert marked == Counter([*wanted, ("objectives of", "a plan")])


@pytest.mark.parametrize("page", ORDER)
def test_its_tables_are_those_of_the_program(page: str) -> None:
    """`python -m genplan.cli.help_tables` writes them anew."""
    assert with_tables(PAGES[page]) == PAGES[page]


def test_each_page_says_at_once_what_it_is_about() -> None:
    for page in pages():
        assert page.about.endswith(".")
        assert page.parts
        assert not page.about.startswith(("|", "#", "`"))


def anchors(text: str) -> set[str]:
    headings = re.findall(r"^#+ (.*)$", re.sub(r"```.*?```", "", text, flags=re.DOTALL), re.MULTILINE)
    return {re.sub(r"[^\w -]", "", h.lower()).replace(" ", "-") for h in headings}


def test_every_link_leads_somewhere() -> None:
    texts = {FOLDER / f"{name}.md": text for name, text in PAGES.items()} | {ROOT / "README.md": README}
    known = {file: anchors(text) for file, text in texts.items()}
    broken = []
    for file, text in texts.items():
        for target in re.findall(r"\]\(([^)]+)\)", text):
            path, _, anchor = target.partition("#")
            there = (file.parent / path).resolve() if path else file
            if not there.exists() or (anchor and anchor not in known.get(there, ())):
                broken.append(f"{file.name}: {target}")
    assert broken == []


def test_a_page_links_inside_the_package_only() -> None:
    """The pages are installed with the program, and the folder around it is not."""
    for name, text in PAGES.items():
        files = {target.split("#")[0] for target in re.findall(r"\]\(([^)]+)\)", text)}
        assert files <= {"", *(f"{page}.md" for page in ORDER)}, name


def test_the_headings_that_people_use_are_known_where_the_page_says_so() -> None:
    rows = re.findall(r"^\| (\w+) \| (\*.*\*.*) \|$", PAGES["tables"], re.MULTILINE)
    by_name = {kind.name: kind for kind in SHEETS}
    told = [(sheet, word) for sheet, words in rows for word in re.findall(r"\*([^*]+)\*", words)]
    assert {sheet for sheet, _ in told} == {
        "children",
        "adults",
        "hours",
        "places",
        "ways",
        "things",
        "changes",
        "skills",
    }
    assert [(sheet, word) for sheet, word in told if by_name[sheet].column(word) is None] == []
