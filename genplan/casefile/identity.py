"""The `case_id`: what tells this case from every other, in calendars and on a server.

It is drawn once, written beside `format` in the case's own file, and never changed by the program again."""

from __future__ import annotations

import re
import secrets
from collections.abc import Iterator
from pathlib import Path

from genplan.casefile.diagnostics import SourceLocation
from genplan.casefile.loading import Loaded, load
from genplan.casefile.plaintext import MOST_BYTES
from genplan.casefile.tree import read_tree
from genplan.errors import FileError, reason_of
from genplan.files import read_file, replace_file
from genplan.findings import Finding, Severity
from genplan.language import N_, _, pgettext, said

LETTERS = "abcdefghijkmnpqrstuvwxyz"
SIGNS = f"{LETTERS}23456789"
"""Without those that are taken for one another; 12 of them are some 59 bits."""
REMARK = N_("made once by the program: it tells this case from others in calendars. Leave it as it is")
MOST_LOOKED_AT = 200
"""Folders beside a case that are looked into for its twin."""
NAMED = 3
"""Of these so many are named."""


def drawn() -> str:
    """A new id. It begins with a letter, so that nobody takes it for a number."""
    return secrets.choice(LETTERS) + "".join(secrets.choice(SIGNS) for _ in range(11))


def line_of(case_id: str) -> str:
    return f"case_id: {case_id}   # {said(REMARK)}"


class NoPlaceForALine(FileError):
    """The file is written in such a way that a line more would mean something else. Nothing was written."""


def write_case_id(folder: Path, case_id: str) -> str:
    """Writes an id below the line of `format`, and gives it back: or the one that another run has written meanwhile.
    Raises FileError with the case as it was."""
    from genplan.casefile.edit import locked

    with locked(folder):
        loaded = load(folder)
        if loaded.case is None:
            raise FileError(
                _("{folder} could not be read a second time. Nothing was changed.", folder=folder)
            )
        if loaded.case.case_id:
            return loaded.case.case_id
        mark = loaded.marks["format",]
        try:
            old = read_file(folder / mark.file, MOST_BYTES)
            replace_file(folder / mark.file, _with_id(mark, old, case_id), alone=True)
        except OSError as problem:
            raise FileError(
                _(
                    "{file} could not be written ({problem}), and the case needs an id of its "
                    "own before people are told of a week. Nothing was changed.",
                    file=mark.file,
                    problem=reason_of(problem),
                )
            ) from problem
    return case_id


def _with_id(mark: SourceLocation, old: bytes, case_id: str) -> bytes:
    fresh = _with_line(old, mark.line, line_of(case_id))
    before, after = read_tree(mark.file, old), read_tree(mark.file, fresh)
    if after.findings or {**before.root, "case_id": after.root.get("case_id")} != after.root:
        raise NoPlaceForALine(
            _("{file} is written in a way that cannot be changed here without risk.", file=mark.file)
        )
    return fresh


def _with_line(data: bytes, after: int, line: str) -> bytes:
    """The file with a line more behind its line `after`, which may end in any way."""
    lines = data.splitlines(keepends=True)
    ending = next((e for e in (b"\r\n", b"\n", b"\r") if lines[after - 1].endswith(e)), b"")
    first = lines[after - 1] if ending else lines[after - 1] + b"\n"
    return b"".join((*lines[: after - 1], first, line.encode() + (ending or b"\n"), *lines[after:]))


def not_written(case_id: str, problem: NoPlaceForALine) -> Finding:
    """The warning of a week that is kept without an id."""
    found = _("a case without 'case_id', and it could not be written")
    hint = _(
        "{problem} Another case with a child of the same id would overwrite these events on "
        "one server. Add the line 'case_id: {case_id}' at the top of the case",
        problem=problem,
        case_id=case_id,
    )
    return Finding("case.yaml", 0, "case_id", found, _("an id of its own"), hint, Severity.WARNING)


def about_twins(loaded: Loaded) -> tuple[Finding, ...]:
    """A warning if folders beside the case have the same id: copies, of which all but one should get another. What lies
    elsewhere is not known."""
    if loaded.case is None or not loaded.case.case_id:
        return ()
    twins = list(_twins(loaded.folder.resolve(), loaded.case.case_id))
    if not twins:
        return ()
    more = len(twins) - NAMED
    names = pgettext("in one folder and in another", " and in ").join(
        [*twins[:NAMED], *([_("{number} more", number=more)] if more > 0 else [])]
    )
    hint = _(
        "All but one are copies. Take this line out of each copy that is in use "
        "as a case of its own: 'genplan keep' gives it an id of its own. Until "
        "then they overwrite each other's events on one server"
    )
    mark = loaded.marks["case_id",]
    found = _("the id of the case in {names} too", names=names)
    return (Finding(mark.file, mark.line, "case_id", found, "", hint, Severity.WARNING),)


def _twins(folder: Path, case_id: str) -> Iterator[str]:
    says_so = re.compile(rb"^case_id[ \t]*:[ \t]*[\"']?" + case_id.encode() + rb"\b", re.MULTILINE)
    try:
        beside = sorted(p for p in folder.parent.iterdir() if p != folder and p.is_dir())[:MOST_LOOKED_AT]
    except OSError:
        return
    for other in beside:
        try:
            texts = (read_file(p, MOST_BYTES) for p in sorted(other.glob("*.yaml"))[:MOST_LOOKED_AT])
            if any(says_so.search(text) for text in texts):
                yield str(other)
        except OSError:
            continue
