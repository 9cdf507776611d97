"""A first case: commented, loads without a finding, and has something to plan in any week."""

from __future__ import annotations

import os
import secrets
import shutil
from collections.abc import Mapping, Sequence
from pathlib import Path

from genplan.casefile.identity import line_of
from genplan.casefile.schema import SCHEMA_FILE, schema_text
from genplan.errors import FileError, reason_of
from genplan.files import make_folders, remove_empty, write_new
from genplan.language import _, speech
from genplan.language.dates import in_english

TEXT = Path(__file__).with_name("starter_case.yaml")
CASE_FILE = "case.yaml"
RESULTS = "results.csv"

RESULTS_HEAD = ["date", "time", "target", "kind", "adult", "location", "material_set"]
RESULTS_TAIL = ["trials", "correct", "prompted", "observer", "observer_correct", "note"]


def write_starter(folder: Path, case_id: str = "") -> list[Path]:
    """Writes a starter case in the language spoken, with an id of its own if one is given, and returns its files; it
    appears whole or not at all. Raises FileError if the folder holds anything, or cannot be written."""
    text = starter_text()
    if case_id:
        text = text.replace("\ntimezone:", f"\n{line_of(case_id)}\ntimezone:", 1)
    files = {CASE_FILE: text.encode("utf-8"), **_beside_the_case(("company",))}
    make_case_folder(folder, files)
    return [folder / name for name in files]


def starter_text() -> str:
    """In the words of the language spoken, where somebody has written them, else the English one that says the
    language."""
    language = speech().language
    own = TEXT.with_suffix(f".{language}.yaml")
    if own.is_file():
        return own.read_text(encoding="utf-8")
    text = TEXT.read_text(encoding="utf-8")
    return text if in_english() else text.replace("\npolicy:", f"\nlanguage: {language}\npolicy:", 1)


def make_case_folder(folder: Path, files: Mapping[str, bytes]) -> None:
    """A new folder with these files and a place for calendars, whole or not at all. Raises FileError if it holds
    anything, or cannot be written."""
    refuse_what_is_there(folder)
    made: list[Path] = []
    beside = folder.parent / f".new-case-{secrets.token_hex(4)}"
    try:
        make_folders(beside, made)
        make_folders(beside / "busy")
        for name, data in files.items():
            write_new(beside / name, data)
        # A rename onto an empty folder is atomic where the system allows it; elsewhere that goes first.
        if os.name == "nt" and folder.is_dir():
            folder.rmdir()
        beside.rename(folder)
    except BaseException as problem:
        shutil.rmtree(beside, ignore_errors=True)
        remove_empty(made)
        if isinstance(problem, OSError):
            raise FileError(
                _(
                    "{folder} cannot be made ({problem}). Nothing was made.",
                    folder=folder,
                    problem=reason_of(problem),
                )
            ) from None
        raise


def write_first_case(folder: Path, text: str, besides: str) -> list[Path]:
    """Writes a case of this text where nothing is yet but the file `besides`, and returns its files. The case comes
    first: what follows can be done without. Raises FileError."""
    refuse_what_is_there(folder, besides)
    files = {CASE_FILE: text.encode("utf-8"), **_beside_the_case()}
    try:
        make_folders(folder / "busy")
        for name, data in files.items():
            write_new(folder / name, data)
    except OSError as problem:
        raise FileError(
            _("{folder} cannot be written ({problem}).", folder=folder, problem=reason_of(problem))
        ) from None
    return [folder / name for name in files]


def refuse_what_is_there(folder: Path, besides: str = "") -> None:
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise FileError(
            _("{folder} is there already and is no folder. Name one that does not exist yet.", folder=folder)
        )
    try:
        if folder.is_dir() and any(p.name != besides for p in folder.iterdir()):
            raise FileError(
                _(
                    "{folder} holds files already; none was touched. Name one that does not exist yet.",
                    folder=folder,
                )
            )
    except OSError as problem:
        raise FileError(
            _(
                "{folder} cannot be read ({problem}). Nothing was made.",
                folder=folder,
                problem=reason_of(problem),
            )
        ) from None


def _beside_the_case(varied: Sequence[str] = ()) -> dict[str, bytes]:
    """An empty table of results, with a column for each further dimension, and the schema: the case's first line names
    it, and an editor complains of one that is not there."""
    header = ",".join((*RESULTS_HEAD, *varied, *RESULTS_TAIL)) + "\n"
    return {RESULTS: header.encode("utf-8"), SCHEMA_FILE: schema_text().encode("utf-8")}
