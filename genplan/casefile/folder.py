"""A case folder -> one tree: every `*.yaml` at its top, merged by top-level keys."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path as FilePath
from types import MappingProxyType

from genplan.casefile.conflict_copies import copies_among, lie_beside
from genplan.casefile.diagnostics import Diagnostics, InvalidValue, Path, has_errors
from genplan.casefile.domain_types import FORMAT
from genplan.casefile.invisible_characters import escape_invisible
from genplan.casefile.keys.policy import LIKE
from genplan.casefile.paths import inside
from genplan.casefile.plaintext import MOST_BYTES
from genplan.casefile.tree import MOST_NODES, Leaf, Node, Tree, read_tree
from genplan.errors import unreadable
from genplan.files import read_file
from genplan.findings import Finding, Severity
from genplan.folders import settle_folder
from genplan.language import _

MOST_FILES = 200


def read_folder(
    folder: FilePath, notes: Diagnostics, instead: Mapping[str, bytes] = MappingProxyType({})
) -> dict[str, Node]:
    """The merged tree of the case; problems are noted. A policy that the case names by path is not part of
    it. `instead` is read in place of the files it names, or beside those that are there. What a killed run had begun to
    change is taken back before anything is read. Raises FileError where that cannot be done, and for a file or folder
    that is there and cannot be read: what it holds is not known, so nothing is judged or written without it."""
    settle_folder(folder)
    names = _files(folder, notes, instead)
    trees = dict(_trees(folder, names, instead))
    policies = _policy_files(folder, trees, notes)
    aside = copies_among(trees, notes)
    lie_beside(folder, notes)
    merged: dict[str, Node] = {}
    for name in trees:
        if name not in policies and name not in aside:
            notes.findings.extend(trees[name].findings)
            notes.partial |= trees[name].unread
            _merge(merged, trees[name], notes)
    return merged


def _trees(folder: FilePath, names: list[str], instead: Mapping[str, bytes]) -> Iterator[tuple[str, Tree]]:
    """Each file by its name, all together no bigger than a case may be."""
    left = MOST_NODES
    for name in names:
        tree = read_tree(name, instead[name], left) if name in instead else _read(folder / name, name, left)
        left -= tree.size
        yield name, tree
        if left < 0:
            return


def _files(folder: FilePath, notes: Diagnostics, instead: Mapping[str, bytes]) -> list[str]:
    """The names to read, sorted, after a warning for each that looks as if it should be read and is not. Those of
    `instead` are among them, and where there is no case yet they are all."""
    whole = escape_invisible(str(folder))
    try:
        entries = sorted(p.name for p in folder.iterdir())
    except FileNotFoundError:
        if instead:
            return sorted(instead)
        _whole(
            notes,
            whole,
            _("no such folder"),
            _("a case folder"),
            _("check the path; 'genplan new' makes a first case"),
        )
        return []
    except NotADirectoryError:
        _whole(
            notes,
            whole,
            _("a file"),
            _("the folder that holds the case's .yaml files"),
            _("name the folder instead"),
        )
        return []
    except OSError as problem:
        raise unreadable(whole, problem) from problem
    if instead and not any(name.endswith(".yaml") for name in entries):
        return sorted(instead)
    read = []
    for name in entries:
        if name.endswith(".yaml") and not name.startswith("."):
            if name.isprintable():
                read.append(name)
                continue
            found, hint = _("a file name with a character that nobody sees"), _("rename the file")
            notes.findings.append(
                Finding(escape_invisible(name), 0, "", found, _("letters, digits, - and _"), hint)
            )
        elif name.lower().endswith((".yml", ".yaml")):
            hint = _("rename it if it belongs to the case")
            found = _("a file that is not read")
            notes.findings.append(
                Finding(
                    escape_invisible(name),
                    0,
                    "",
                    found,
                    _("a name that ends in .yaml"),
                    hint,
                    Severity.WARNING,
                )
            )
    if len(read) > MOST_FILES:
        hint = _("keep the files of one case in a folder of their own")
        _whole(
            notes,
            whole,
            _("{number} .yaml files", number=len(read)),
            _("at most {most}", most=MOST_FILES),
            hint,
        )
        return []
    if not read and not has_errors(notes.findings):
        hint = _("write the case into case.yaml; 'genplan new' makes a first one")
        _whole(notes, whole, _("no .yaml file in the folder"), _("a case in files that end in .yaml"), hint)
    return sorted({*read, *instead}) if read else []


def _whole(notes: Diagnostics, whole: str, found: str, expected: str, hint: str = "") -> None:
    notes.findings.append(Finding(whole, 0, "", found, expected, hint))


def _read(file: FilePath, name: str, most: int) -> Tree:
    try:
        if not file.is_file():
            wrong = Finding(name, 0, "", _("something that is no file"), _("a text file"))
            return Tree(findings=[wrong], unread=True)
        # one that is not too big by far is told of by its size
        return read_tree(name, read_file(file, 4 * MOST_BYTES), most)
    except OSError as problem:
        raise unreadable(file, problem) from problem


def _policy_files(folder: FilePath, trees: dict[str, Tree], notes: Diagnostics) -> set[str]:
    """The files at the top of the folder that the case gives as its policy, and those that these are like; one that is
    the case itself is an error, and no policy."""
    found: set[str] = set()
    for name, tree in list(trees.items()):
        named = tree.root.get("policy")
        other = _file_named(named.get(LIKE) if isinstance(named, dict) else named, folder, trees)
        if other == name:
            _tell_that_it_is_this_file(name, tree, notes)
            trees[name] = replace(tree, root={key: n for key, n in tree.root.items() if key != "policy"})
        while other and other not in {*found, name}:
            found.add(other)
            other = _file_named(trees[other].root.get(LIKE), folder, trees)
    return found


def _file_named(named: Node | None, folder: FilePath, trees: Mapping[str, Tree]) -> str:
    """The name of a file at the top of the folder, or nothing."""
    if not isinstance(named, Leaf):
        return ""
    try:
        file = inside(folder, named.text)
    except InvalidValue:
        return ""
    return file.name if file.parent == folder and file.name in trees else ""


def _tell_that_it_is_this_file(name: str, tree: Tree, notes: Diagnostics) -> None:
    named = tree.root["policy"]
    written = named.text if isinstance(named, Leaf) else name
    found, hint = (
        _("'{named}', which is this file itself", named=written),
        _("give the policy a file of its own"),
    )
    line = tree.marks["policy",].line
    notes.findings.append(Finding(name, line, "policy", found, _("another file"), hint))


def _merge(merged: dict[str, Node], tree: Tree, notes: Diagnostics) -> None:
    """Adds what one file says. Groups are joined one level deep; anything else may be given once."""
    refused: set[Path] = set()
    for key, value in tree.root.items():
        before = merged.get(key)
        if key == "format" and before is not None:
            # a part may say for itself what it is written in; it is checked in its own place
            FORMAT.read(value, (key,), Diagnostics(notes.whole, tree.marks, notes.findings))
            refused.add((key,))
        elif before is None or _is_empty(before):
            merged[key] = dict(value) if isinstance(value, dict) else value
        elif _is_empty(value):
            continue
        elif isinstance(before, dict) and isinstance(value, dict):
            for name, part in value.items():
                if name in before:
                    _twice((key, name), tree, notes)
                    refused.add((key, name))
                else:
                    before[name] = part
        else:
            _twice((key,), tree, notes)
            refused.add((key,))
    told = tree.marks
    if refused:
        told = {path: m for path, m in told.items() if refused.isdisjoint((path[:1], path[:2]))}
    notes.marks = {**notes.marks, **told, **notes.marks}


def _is_empty(node: Node) -> bool:
    return isinstance(node, Leaf) and node.is_empty


def _twice(path: Path, tree: Tree, notes: Diagnostics) -> None:
    here, first = tree.marks[path], notes.marks[path]
    found = _("'{key}' a second time (first at {first})", key=path[-1], first=first)
    hint = (
        _("keep one of the two, or give one another id")
        if len(path) > 1
        else _("keep it in one of the files")
    )
    notes.findings.append(
        Finding(here.file, here.line, ".".join(path), found, _("it once in all files"), hint)
    )
