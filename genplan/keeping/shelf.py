"""Where kept weeks lie, and which there are: asked by all that opens a case, and without reading any."""

from __future__ import annotations

from pathlib import Path

from genplan.case import Week
from genplan.errors import FileError, reason_of
from genplan.language import _

FOLDER = "weeks"
FILE = "told.json"


def kept_weeks(case_folder: Path) -> tuple[Week, ...]:
    """The weeks that were kept, in order of time; folders of other names are not the program's. Raises FileError if
    nobody can tell."""
    found = []
    shelf = case_folder / FOLDER
    try:
        names = [p.name for p in shelf.iterdir() if (p / FILE).is_file()]
    except FileNotFoundError:
        return ()
    except OSError as error:
        raise FileError(
            _(
                "{shelf} could not be read ({strerror}), so nobody can tell what people were told.",
                shelf=shelf,
                strerror=reason_of(error),
            )
        ) from error
    for name in names:
        try:
            found.append(Week.parse(name))
        except ValueError:
            continue
    return tuple(sorted(found))
