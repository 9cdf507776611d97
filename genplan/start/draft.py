"""The answers so far, in the folder in which the case is to be: who closes everything goes on where it was left."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from genplan.errors import FileError, reason_of
from genplan.files import make_folders, read_file, replace_file
from genplan.language import Words, _
from genplan.start.answers import Answers, NoAnswers, as_json, from_json
from genplan.start.defaults import words_of

FILE = ".start.json"
"""Hidden: a folder that holds nothing else is empty to everybody but the guided start."""
MOST_BYTES = 10_000_000


def read_draft(folder: Path) -> Answers | None:
    """What was answered, None if nothing was. Raises FileError for a file that cannot be read or understood."""
    path = folder / FILE
    try:
        return from_json(read_file(path, MOST_BYTES).decode("utf-8"))
    except FileNotFoundError:
        return None
    except OSError as problem:
        raise FileError(
            _(
                "{path}, which holds your answers, could not be read: {problem}.",
                path=path,
                problem=reason_of(problem),
            )
        ) from None
    except (UnicodeDecodeError, NoAnswers) as problem:
        raise FileError(
            _(
                "{path} is to hold your answers, and it cannot be "
                "understood ({problem}). Move it away to begin anew.",
                path=path,
                problem=problem,
            )
        ) from None


def words_so_far(folder: Path) -> Words:
    """In which words whoever answers is spoken to; what cannot be read is told where it is asked for."""
    try:
        return words_of(read_draft(folder) or Answers())
    except FileError:
        return Words.PLAIN


def write_draft(folder: Path, answers: Answers) -> None:
    """Raises FileError with the file as it was."""
    try:
        make_folders(folder)
        replace_file(folder / FILE, as_json(answers).encode("utf-8"))
    except OSError as problem:
        raise FileError(
            _(
                "Your answers could not be kept in {folder}: {problem}.",
                folder=folder,
                problem=reason_of(problem),
            )
        ) from problem


def remove_draft(folder: Path) -> None:
    with suppress(OSError):
        (folder / FILE).unlink()
