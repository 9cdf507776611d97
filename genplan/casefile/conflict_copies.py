"""Copies that lie beside a file: what a synchronised folder makes when two people change a file at once, and what a
browser or a file manager names `results (1).csv`. None is merged blindly, and none is passed over in silence."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path as FilePath

from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.invisible_characters import escape_invisible
from genplan.casefile.tree import Leaf, Tree
from genplan.findings import Finding, Severity
from genplan.language import N_, _, said

SURE = re.compile(r".*\(.*\).*|[ _][0-9]{1,2}|.*(?<![a-z])(?:conflict(?:ed)?|copy)(?![a-z]).*", re.IGNORECASE)
"""What is added to the name of a file to name its copy, and hardly for another reason."""
LEAST_REPEATED = 3
"""Things said in both, from which on a file named after another one is taken for its copy."""

MOST_CALENDARS = 500
"""Each is compared with each; a folder of more is no folder of a case's adults."""
RESULTS = "results.csv"
TOLD = "told.json"
MERGE = N_("compare the two, bring what is newer into '{original}', and move this one out of the folder")


def copies_among(trees: Mapping[str, Tree], notes: Diagnostics) -> frozenset[str]:
    """The files of a case that are copies of another: each is warned of and should not be merged."""
    aside = set()
    for name, tree in trees.items():
        original, added = _original(name, trees)
        if not original:
            continue
        sure, mine = bool(SURE.fullmatch(added)), _said(tree)
        repeated = len(mine & _said(trees[original]))
        if repeated >= (1 if sure else max(LEAST_REPEATED, (len(mine) + 1) // 2)) or (sure and not mine):
            aside.add(name)
            found = _("what looks like a copy of '{original}' and is not read", original=original)
            _warn(notes, name, found, _("one file of each"), said(MERGE, original=original))
        elif sure:
            found = _(
                "a name like that of a copy of '{original}', but nothing that is said there: it is read too",
                original=original,
            )
            _warn(notes, name, found, "", _("give it a name of its own if it belongs to the case"))
    return frozenset(aside)


def lie_beside(folder: FilePath, notes: Diagnostics) -> None:
    """Warns of copies of the results, of busy calendars and of kept weeks."""
    for name in _names(folder):
        if _is_like_results(name):
            found = _("a file whose rows are not counted")
            there = (folder / RESULTS).is_file()
            hint = (
                said(MERGE, original=RESULTS)
                if there
                else _("rename it to '{results}' if it is the one", results=RESULTS)
            )
            _warn(notes, name, found, _("one '{results}'", results=RESULTS), hint)
    calendars = [n for n in _names(folder / "busy") if n.lower().endswith(".ics")]
    for name in calendars if len(calendars) <= MOST_CALENDARS else ():
        original, added = _original(name, calendars)
        if original and SURE.fullmatch(added):
            found = _(
                "what looks like a newer or older copy of 'busy/{original}' and is not read",
                original=original,
            )
            hint = _(
                "if it is the newer one, put it in the place of '{original}', else delete it",
                original=original,
            )
            _warn(notes, f"busy/{name}", found, _("one calendar of each"), hint)
    for name in _copies_of_weeks(folder / "weeks"):
        found, expected = (
            _("what looks like a copy of a kept week and is not read"),
            _("one '{told}' of each week", told=TOLD),
        )
        _warn(notes, f"weeks/{name}", found, expected, _("compare the two before anything is told anew"))


def _original(name: str, names: Iterable[str]) -> tuple[str, str]:
    """The file that this one is named after, and what was added to its name; two empty texts if there is none."""
    stem = _stem(name)
    best = ("", "")
    for other in names:
        base = _stem(other)
        added = stem[len(base) :] if stem.startswith(base) else f" {stem[: -len(base)].strip()}"
        if stem == base or not base or not (stem.startswith(base) or stem.endswith(f" {base}")):
            continue
        if not added[0].isalnum() and len(base) > len(_stem(best[0])):
            best = (other, added)
    return best


def _stem(name: str) -> str:
    return name.rpartition(".")[0].casefold()


def _said(tree: Tree) -> frozenset[tuple[str, ...]]:
    """Each id of a section, and each key of another value."""
    told: set[tuple[str, ...]] = set()
    for key, value in tree.root.items():
        if isinstance(value, dict):
            told.update((key, name) for name in value)
        elif key != "format" and not (isinstance(value, Leaf) and value.is_empty):
            told.add((key,))
    return frozenset(told)


def _is_like_results(name: str) -> bool:
    stem, _dot, ending = name.casefold().rpartition(".")
    there = re.search(r"(?<![a-z])results(?![a-z])", stem) and ending in (
        "csv",
        "tsv",
        "txt",
        "xlsx",
        "xls",
        "ods",
    )
    return bool(there) and name != RESULTS and not name.startswith(".")


def _copies_of_weeks(weeks: FilePath) -> Iterator[str]:
    for week in _names(weeks):
        if re.fullmatch(r"[0-9]{4}-W[0-9]{2}", week):
            yield from (f"{week}/{n}" for n in _names(weeks / week) if _original(n, (TOLD,))[0])
        elif re.match(r"[0-9]{4}-W[0-9]{2}[^0-9]", week) and (weeks / week / TOLD).is_file():
            yield week


def _names(folder: FilePath) -> list[str]:
    """Sorted; none for a folder that is not there or cannot be looked into: others say so."""
    try:
        return sorted(p.name for p in folder.iterdir())
    except OSError:
        return []


def _warn(notes: Diagnostics, file: str, found: str, expected: str, hint: str) -> None:
    notes.findings.append(Finding(escape_invisible(file), 0, "", found, expected, hint, Severity.WARNING))
