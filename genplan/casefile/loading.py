"""A case folder -> Case, or every reason why not: text, then shapes, then the case."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from genplan.case import Case
from genplan.casefile.build import build_case
from genplan.casefile.cycles import no_search_for_cycles
from genplan.casefile.diagnostics import (
    Diagnostics,
    InvalidValue,
    Path,
    SourceLocation,
    TooMany,
    has_errors,
    in_order,
)
from genplan.casefile.folder import read_folder
from genplan.casefile.keys import SECTIONS, WHOLE
from genplan.casefile.lint import is_small_enough, lint
from genplan.casefile.lint_allergens import lint_allergens
from genplan.casefile.lint_generalised import lint_generalised
from genplan.casefile.lint_teaching import lint_teaching
from genplan.casefile.names_for_ids import name_what_is_there
from genplan.casefile.paths import inside
from genplan.casefile.policies import read_policy
from genplan.casefile.references import check_references
from genplan.casefile.said_once import written_out
from genplan.casefile.tree import Leaf, Node
from genplan.findings import Finding
from genplan.language import N_, _, said, speech

NEEDED = {
    "learners": N_("no learner"),
    "adults": N_("no adult to run a probe"),
    "locations": N_("no location to run a probe at"),
    "material_sets": N_("no material set"),
    "targets": N_("no target"),
}
A_FIRST_ONE = {
    "learners": N_("add a child, such as 'wren: {name: Wren, free: {sat: \"09:30-12:00\"}}'"),
    "adults": N_("add one, such as 'mum: {name: Mum, free: {sat: \"09:30-12:00\"}}'"),
    "locations": N_("add one, such as 'home: {name: Home}'"),
    "material_sets": N_(
        "add one, such as 'jackets: {name: Two jackets}'; a skill "
        "without objects takes 'nothing: {name: No objects}'"
    ),
    "targets": N_("add a skill, such as 'zips-jacket: {learner: wren, correct_when: Closes the zip alone}'"),
}


@dataclass(frozen=True)
class Loaded:
    """`case` is None if any finding is an error. `marks` leads from a path such as ("targets", "zips-jacket",
    "first") to where it was written; the items of a list count from "1", and a policy's keys stand under
    ("policy",)."""

    folder: FilePath
    case: Case | None
    findings: tuple[Finding, ...]
    marks: Mapping[Path, SourceLocation]


def load(folder: FilePath, instead: Mapping[str, bytes] | None = None) -> Loaded:
    """Reads a case folder. Never raises for bad content; all problems are in `findings`. `instead` holds what
    to read in place of some files, by name: how the case would be after an edit."""
    notes = Diagnostics(str(folder))
    try:
        with no_search_for_cycles():
            return _judged_once(folder, read_folder(folder, notes, instead or {}), notes)
    except TooMany:
        notes.tell_the_rest()
        return Loaded(folder, None, in_order(notes.findings), dict(notes.marks))


_last: tuple[tuple[object, ...], Loaded] | None = None


def _judged_once(folder: FilePath, tree: dict[str, Node], notes: Diagnostics) -> Loaded:
    """A page asks for the same case with each request. What was judged last is kept if nothing is wrong with it; held
    against all that it was made of, which is read anew each time, it cannot be out of date."""
    global _last
    last = _last
    read = (folder, speech(), tree, *_noted(notes), _policy_of(tree, folder))
    if last and last[0] == read and last[1].case and _calendars_are_there(folder, last[1].case):
        return last[1]
    loaded = _judged(folder, tree, notes)
    if loaded.case:
        _last = read, loaded
    return loaded


def _noted(notes: Diagnostics) -> tuple[object, ...]:
    return tuple(notes.findings), dict(notes.marks)


def _policy_of(tree: Mapping[str, Node], folder: FilePath) -> tuple[object, ...]:
    """It may stand in a file that is no part of the tree."""
    notes = Diagnostics(str(folder))
    try:
        return read_policy(tree.get("policy"), folder, notes), *_noted(notes)
    except TooMany:
        return ()


def _calendars_are_there(folder: FilePath, case: Case) -> bool:
    try:
        return all(inside(folder, adult.busy) for adult in case.adults.values() if adult.busy)
    except InvalidValue:
        return False


def _judged(folder: FilePath, tree: dict[str, Node], notes: Diagnostics) -> Loaded:
    if not tree and has_errors(notes.findings):
        return Loaded(folder, None, in_order(notes.findings), dict(notes.marks))
    broken = has_errors(notes.findings)
    tree = written_out(tree, notes)
    top = _records(tree, broken, notes)
    if unknown := [f for f in notes.findings if f.key == "format" and f.line]:
        # what a key means in another format is not known, so nothing else is judged
        return Loaded(folder, None, in_order(unknown), dict(notes.marks))
    policy = read_policy(tree.get("policy"), folder, notes)
    if not notes.partial:
        known = {s: dict.fromkeys(ids if isinstance(ids := tree.get(s), dict) else ()) for s in SECTIONS}
        check_references(top, known, notes)
        name_what_is_there(top, known, notes)
    _check_busy(folder, top, notes)
    case = None
    if not has_errors(notes.findings):
        case = build_case(top, policy)
        if is_small_enough(case, notes):
            lint(case, notes)
            lint_allergens(case, notes)
            lint_generalised(case, notes)
            lint_teaching(case, notes)
            notes.tell_the_rest()
            # only now: what is said of an alias is said of it as it was written
            case = case.with_aliases_told_apart()
        else:
            case = None
    return Loaded(folder, case, in_order(notes.findings), dict(notes.marks))


def _records(tree: Mapping[str, Node], broken: bool, notes: Diagnostics) -> dict[str, Any]:
    """The checked records of all sections. A section that is missing is told in words of its own, and so is any other
    key, unless a file could not be read: it may be there."""
    before = len(notes.findings)
    top: dict[str, Any] = WHOLE.read({k: n for k, n in tree.items() if k != "policy"}, (), notes)
    if notes.partial:
        notes.findings[before:] = [f for f in notes.findings[before:] if f.line]
    for section in SECTIONS:
        given = tree.get(section)
        if not given or (isinstance(given, Leaf) and given.is_empty):
            notes.findings[before:] = [f for f in notes.findings[before:] if f.key != section]
            if not broken:
                hint = said(A_FIRST_ONE[section])
                notes.error(
                    (section,),
                    said(NEEDED[section]),
                    _("at least one under '{section}'", section=section),
                    hint,
                )
    return top


def _check_busy(folder: FilePath, top: Mapping[str, Any], notes: Diagnostics) -> None:
    for id_, record in top.get("adults", {}).items():
        if "busy" in record:
            try:
                inside(folder, record["busy"])
            except InvalidValue as problem:
                notes.unclear(("adults", id_, "busy"), problem, "")
