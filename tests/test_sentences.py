"""Sentences last: no program code finds out from a sentence what it could be told as a value.

A literal that reads as words (letters, a space, letters) may be printed. It may not be what a text is compared with,
searched for, split at, stripped of or replaced by, outside the places where people's words come in.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import genplan

ROOT = Path(genplan.__file__).parent

MATCHING = {
    "startswith", "endswith", "removeprefix", "removesuffix", "split", "rsplit", "partition", "rpartition", "replace",
    "strip", "lstrip", "rstrip", "find", "rfind", "index", "rindex", "match", "fullmatch", "search", "sub",
}  # fmt: skip
"""Methods that take a text apart; those of regular expressions among them."""

READS_WORDS = re.compile(r"[A-Za-z]{2,}[,;:'’]? +['‘]?[A-Za-z]|^ ?[A-Za-z]{2,}: ?$")
"""Two words with a space between, or a word and a colon, as a sentence begins or ends."""

OUTSIDE = ("text", "cli")
"""Rooms in which sentences are made, or the user's own words are read."""

REVIEWED: frozenset[tuple[str, str]] = frozenset(
    {
        ("audit/again.py", "fell through"),
        ("audit/again.py", "not run"),
        ("audit/one_probe_more.py", "less urgent"),
        ("audit/one_probe_more.py", "people told"),
        ("audit/owed_teaching.py", "not run"),
        ("casefile/yaml_errors.py", "cannot start any token"),
        ("casefile/yaml_errors.py", "document start"),
        ("casefile/yaml_errors.py", "find expected ':'"),
        ("casefile/yaml_errors.py", "mapping values"),
        ("casefile/yaml_errors.py", "quoted scalar"),
        ("evidence/sheet_faults.py", "field limit"),
        ("evidence/sheet_faults.py", "unexpected end"),
    }
)
"""Module and literal. Names of kinds, statuses and objectives as the files write them (the auditor shares no code, so
it compares their words; objectives are still named by texts in planning); what the YAML and CSV libraries complain of;
and `shapes`, which tells the whole of a case from a part of it by what it is called there."""


def offences(source: str) -> Iterator[tuple[int, str]]:
    """Line and literal of each place that keys on a sentence."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in MATCHING:
            asked: list[ast.expr] = list(node.args)
        elif isinstance(node, ast.Compare):
            asked = [node.left, *node.comparators]
        elif isinstance(node, ast.MatchValue):
            asked = [node.value]
        else:
            continue
        for one in asked:
            for text in _texts(one):
                if READS_WORDS.search(text):
                    yield node.lineno, text


def _texts(node: ast.expr) -> Iterator[str]:
    """The literal texts of an argument: itself, those of a tuple, the fixed parts of an f-string."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.Tuple | ast.List | ast.Set):
        for part in node.elts:
            yield from _texts(part)
    elif isinstance(node, ast.JoinedStr):
        for part in node.values:
            yield from _texts(part)


@cache
def found() -> frozenset[tuple[str, str]]:
    """To read all of the package takes seconds."""
    names = {path: path.relative_to(ROOT).as_posix() for path in ROOT.rglob("*.py")}
    return frozenset(
        (name, text)
        for path, name in names.items()
        if not name.startswith(OUTSIDE)
        for _, text in offences(path.read_text(encoding="utf-8"))
    )


def test_no_code_keys_on_a_sentence() -> None:
    assert sorted(found() - REVIEWED) == []


def test_no_exception_outlives_its_reason() -> None:
    assert sorted(REVIEWED - found()) == []


@pytest.mark.parametrize(
    "offence",
    [
        "why.startswith('holiday: ')",
        "said.removesuffix(f' at {place}.') == 'W. must not meet'",
        "text.replace('this week', 'that week')",
        "re.search(r'the maintenance probe due on', text)",
        "kind in ('not free then', 'away')",
        "text.partition('What holds it up most: ')",
    ],
)
def test_what_keys_on_a_sentence_is_found(offence: str) -> None:
    assert list(offences(offence))


@pytest.mark.parametrize(
    "innocent", ["text.split(', ')", "kind == 'new'", "say('It is not planned.')", "a.replace(' ', '-')"]
)
def test_what_reads_no_sentence_is_left_alone(innocent: str) -> None:
    assert not list(offences(innocent))
