"""Changing one thing of a case in the file where it stands, so that nothing else changes and nothing is lost.

The new text is read back twice before it is written: as a tree, which must differ in that thing alone, and
as a case, which must have no error that it did not have before.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path as FilePath

from genplan.casefile.diagnostics import Diagnostics, Path
from genplan.casefile.folder import read_folder
from genplan.casefile.loading import Loaded, load
from genplan.casefile.patch import Unpatchable, patched, same
from genplan.casefile.plaintext import MOST_BYTES
from genplan.casefile.source_spans import SourceSpan, source_spans
from genplan.casefile.tree import Node, Tree, read_tree
from genplan.errors import CaseError, FileError, reason_of, unreadable
from genplan.files import LOCK_SECONDS, held, read_file, replace_file
from genplan.findings import Finding, Severity
from genplan.folders import settle_folder
from genplan.language import _

BOM = b"\xef\xbb\xbf"
LOCK = ".case.lock"
ABSENT = "absent"


class ChangedOutside(FileError):
    """The thing is not written as it was when it was shown. Nothing was written."""


@dataclass(frozen=True)
class Thing:
    """One thing of a case as its file says it: `path` such as ("adults", "grandad"), or one top-level key.
    `node` is None where there is no such thing; `digest` is of how the thing is written, so that what is changed beside
    it does not matter, and `ABSENT` for none."""

    path: Path
    file: str
    digest: str
    node: Node | None


def thing(folder: FilePath, path: Path) -> Thing:
    """What is written at a path now. Raises FileError if its file cannot be read."""
    return things_at(folder, [path])[0]


def things_at(folder: FilePath, paths: Sequence[Path]) -> list[Thing]:
    """What is written at some paths now. Raises FileError if a file of theirs cannot be read."""
    notes = Diagnostics(str(folder))
    root = read_folder(folder, notes)
    found = []
    for path in paths:
        file = home_of(folder, notes, path)
        node: Node | None = root
        for key in path:
            node = node.get(key) if isinstance(node, dict) else None
        found.append(Thing(path, file, _digest(file, bytes_of(folder / file), path), node))
    return found


def things(folder: FilePath) -> dict[str, Node]:
    """The whole case as it is written, as far as it can be understood. Raises FileError if it cannot be read."""
    return read_folder(folder, Diagnostics(str(folder)))


def put(
    folder: FilePath,
    path: Path,
    node: Node | None,
    digest: str,
    beside: Callable[[Loaded], Sequence[Finding]] = lambda loaded: (),
    look: Callable[[Loaded, Loaded], None] = lambda before, after: None,
) -> Loaded:
    """Writes `node` at the path, or takes the thing out for None; returns the case as it is then. `beside` finds what
    is wrong in files that are read by the case, such as its results. `look` looks at the case as it is and as it would
    be, and what it raises leaves it as it was.

    Raises ChangedOutside if the thing is not written as it was when `digest` was taken, CaseError with the errors that
    the change would bring, FileError if the file cannot be written; nothing has changed then."""
    with locked(folder):
        notes = Diagnostics(str(folder))
        read_folder(folder, notes)
        file = home_of(folder, notes, path)
        data = bytes_of(folder / file)
        if _digest(file, data, path) != digest:
            raise ChangedOutside(
                _(
                    "{path} in {file} was changed by somebody or something "
                    "else since this was shown. Nothing was written.",
                    path=".".join(path),
                    file=file,
                )
            )
        fresh = with_thing(file, data, path, node)
        if fresh == data:
            return load(folder)
        before, after = load(folder), load(folder, {file: fresh})
        brought = brought_errors(before.findings, after.findings)
        if brought := brought or brought_errors(beside(before), beside(after)):
            raise CaseError(brought)
        look(before, after)
        try:
            replace_file(folder / file, fresh, alone=True)
        except OSError as problem:
            raise FileError(
                _(
                    "{file} could not be written ({problem}). It is as it was.",
                    file=file,
                    problem=reason_of(problem),
                )
            ) from problem
        return after


def home_of(folder: FilePath, notes: Diagnostics, path: Path) -> str:
    """The file that holds a thing, or its section, or else the first of the case."""
    mark = notes.mark(path)
    if mark.line:
        return mark.file
    names = sorted({m.file for m in notes.marks.values()})
    if names:
        return names[0]
    wrong = next((f.file for f in notes.findings if (folder / f.file).is_file()), None)
    if wrong:
        raise FileError(
            _("{wrong} cannot be read as it is. Put it right in a text editor first.", wrong=wrong)
        )
    raise FileError(_("{folder} holds no case. 'genplan new' makes a first one.", folder=folder))


def with_thing(file: str, data: bytes, path: Path, node: Node | None) -> bytes:
    """The file's bytes with the thing changed in them."""
    return with_things(file, data, {path: node})


def with_things(file: str, data: bytes, changed: Mapping[Path, Node | None]) -> bytes:
    """The file's bytes with some things changed in them. Raises CaseError, FileError."""
    tree = readable_tree(file, data)
    wanted = tree.root
    for path, node in changed.items():
        wanted = put_in(wanted, path, node)
    return saying(file, data, tree, wanted, ", ".join(".".join(path) for path in changed))


def readable_tree(file: str, data: bytes) -> Tree:
    """Raises CaseError."""
    tree = read_tree(file, data)
    if tree.findings:
        raise CaseError(tree.findings)
    return tree


def saying(file: str, data: bytes, tree: Tree, wanted: dict[str, Node], named: str) -> bytes:
    """The file's bytes, of which `tree` was read, changed so that they say `wanted`; `named` is what changes. Raises
    FileError for a file that is written in a way in which it cannot be changed."""
    if same(tree.root, wanted):
        return data
    bom = BOM if data.startswith(BOM) else b""
    text = data.removeprefix(BOM).decode("utf-8")
    try:
        fresh = bom + patched(text, wanted).encode("utf-8")
    except Unpatchable as problem:
        line = text.count("\n", 0, problem.at) + 1
        raise FileError(
            _(
                "{file}, line {line}: remarks stand inside the brackets of a value, and changing it "
                "here would lose them. Change it in a text editor. Nothing was written.",
                file=file,
                line=line,
            )
        ) from problem
    back = read_tree(file, fresh)
    if back.findings or not same(back.root, wanted):
        if tree.references:
            raise FileError(
                _(
                    "{file} is written in a way that cannot be changed here without risk, since values in it are "
                    "shared by reference (& and *). Change {named} in a text editor. Nothing was written.",
                    file=file,
                    named=named,
                )
            )
        raise FileError(
            _(
                "{file} is written in a way that cannot be changed here without risk. "
                "Change {named} in a text editor. Nothing was written.",
                file=file,
                named=named,
            )
        )
    return fresh


def put_in(root: dict[str, Node], path: Path, node: Node | None) -> dict[str, Node]:
    """A copy of the tree with the value at the path set, or taken out."""
    key, rest = path[0], path[1:]
    copy = dict(root)
    if rest:
        inner = copy.get(key)
        copy[key] = put_in(inner if isinstance(inner, dict) else {}, rest, node)
    elif node is None:
        copy.pop(key, None)
    else:
        copy[key] = node
    return copy


def brought_errors(before: Sequence[Finding], after: Sequence[Finding]) -> list[Finding]:
    """The errors that were not there before; lines may have moved."""
    known = {(f.file, f.key, f.found) for f in before}
    return [f for f in after if f.severity is Severity.ERROR and (f.file, f.key, f.found) not in known]


def bytes_of(file: FilePath) -> bytes:
    try:
        return read_file(file, MOST_BYTES)
    except OSError as problem:
        raise unreadable(file, problem) from problem


def _digest(file: str, data: bytes, path: Path) -> str:
    """Of the text from a thing's key to its end; of the whole file where that cannot be told apart."""
    if read_tree(file, data).findings:
        return hashlib.sha256(data).hexdigest()
    text, spot = _spans_of(data)
    start, end = 0, 0
    for key in path:
        entry = next((e for e in spot.entries if e.key == key), None) if spot else None
        if entry is None:
            return ABSENT
        spot, start, end = entry.value, entry.start, max(entry.after, entry.value.end)
    return hashlib.sha256(text[start:end].encode()).hexdigest()


def _spans_of(data: bytes) -> tuple[str, SourceSpan | None]:
    text = data.removeprefix(BOM).decode("utf-8")
    return text, source_spans(text)


@contextmanager
def locked(folder: FilePath) -> Iterator[None]:
    """One run at a time changes the files of a case; what a killed one began is taken back first. Raises FileError."""
    with held(folder / LOCK, _("The case")):
        settle_folder(folder, LOCK_SECONDS)
        yield
