"""What the YAML parser complains of, in words for somebody who has never read its specification, and on the line where
the fault is rather than on that where the parser noticed it."""

from __future__ import annotations

import re

import yaml

from genplan.findings import Finding
from genplan.language import N_, _, said

Words = tuple[int, str, str, str]
"""The line, and what was found, expected and to be done."""

LOOK_CLOSE = N_(
    "compare its indentation with its neighbours', and look for a missing colon or quotation mark"
)


def complaint(file: str, text: str, problem: yaml.MarkedYAMLError) -> Finding:
    """The finding for a text that is no YAML."""
    lines = re.split("\r\n|\r|\n", text)
    mark, begun = problem.problem_mark or problem.context_mark, problem.context_mark
    number = min(mark.line + 1 if mark else 1, len(lines))
    while number > 1 and not lines[number - 1].strip():
        number -= 1
    since = begun.line + 1 if begun else number
    line, found, expected, hint = _words(
        f"{problem.context or ''} {problem.problem or ''}", lines, number, since
    )
    return Finding(file, line, "", found, expected, hint)


def _words(said: str, lines: list[str], number: int, since: int) -> Words:
    line = lines[number - 1]
    if "\t" in line[: len(line) - len(line.lstrip())]:
        return number, _("a tab at the start of the line"), _("spaces"), _("replace the tab by spaces")
    if "escape" in said:
        hint = _("write \\\\ for a backslash, or use the other quotation marks '…'")
        return number, _("a backslash before something that it cannot stand before"), _("a text"), hint
    if "quoted scalar" in said:
        return _open_quote(since)
    if "flow" in said or "nesting" in said:
        found = _("a bracket opened on line {since} that is not closed in order", since=since)
        return (
            since,
            found,
            _("commas between the parts, and a closing ] or }"),
            _("look for what is missing from there on"),
        )
    if "mapping values" in said or "find expected ':'" in said:
        return _colons(lines, number)
    if "cannot start any token" in said or "alias" in said or "anchor" in said:
        found = _("a value that begins with a sign that YAML keeps for itself (@, `, %, * or &)")
        return number, found, _("a plain value"), _("put it in quotation marks")
    if "incompatible" in said:
        return number, _("a %YAML line"), _("none"), _("delete the line")
    if "document start" in said:
        before = next((n for n in range(number, 0, -1) if re.match(r"%|\.\.\.", lines[n - 1])), number)
        found = (
            _("a line that begins with % or ...")
            if before != number
            else _("a line that does not fit those before it")
        )
        return before, found, _("the case without it"), _("delete the line")
    return _out_of_place(lines, number)


def _open_quote(line: int) -> Words:
    found = _("a quotation mark on line {line} that is never closed", line=line)
    hint = _("close it, or put a text that holds ' into double quotation marks")
    return line, found, _("a closing quotation mark"), hint


def _colons(lines: list[str], number: int) -> Words:
    """Two colons in a line, or none in the one before it."""
    before = next((n for n in range(number - 1, 0, -1) if _is_said(lines[n - 1])), 0)
    told = lines[before - 1].strip() if before else ""
    if told and not re.search(r":(\s|$)", told) and not told.startswith(("- ", "|", ">")):
        hint = _("write the key, a colon, a blank and the value, such as 'name: Wren'")
        return before, _("a line without a colon and a blank behind its key"), _("'key: value'"), hint
    found = _("a second colon in the line, or a line indented too far")
    return number, found, _("one 'key: value' in a line"), _("put a text that holds ': ' in quotation marks")


def _is_said(line: str) -> bool:
    return bool(line.strip()) and not line.lstrip().startswith("#")


def _out_of_place(lines: list[str], number: int) -> Words:
    line = lines[number - 1]
    if re.search(r""":\s+("[^"]*"|'[^']*')\s*[^\s#,}\]'"]""", line):
        found, expected = _("a word behind a closing quotation mark"), _("the whole text inside the marks")
        return number, found, expected, _("put all of it into one pair of quotation marks, or take them out")
    if number > 1 and lines[number - 2].count('"') % 2:
        return _open_quote(number - 1)
    for opening, closing in ("[]", "{}"):
        if line.count(closing) > line.count(opening):
            return (
                number,
                _("a closing {closing} without an opening {opening}", closing=closing, opening=opening),
                _("each in its pair"),
                _("take it out"),
            )
    found, expected = (
        _("a line that does not fit the lines before it"),
        _("'key: value' lines, indented alike"),
    )
    return number, found, expected, said(LOOK_CLOSE)
