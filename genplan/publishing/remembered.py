"""What was put on a server, so that an event that somebody deleted there is known from one that was never there.

It lies in `weeks/published.json`. A server is named there by a digest of its address and of the user's name."""

from __future__ import annotations

import json
from collections.abc import Mapping
from hashlib import sha256
from pathlib import Path
from typing import Any

from genplan.errors import FileError, reason_of
from genplan.files import held, make_folders, read_file, replace_file
from genplan.keeping.json_fields import FormatError, document_of, field_of, integer
from genplan.keeping.store import FOLDER
from genplan.language import _
from genplan.publishing.access import Access

FILE = "published.json"
FORMAT = 1
MOST_BYTES = 10_000_000

Remembered = Mapping[str, Mapping[str, int]]
"""Calendar, by its address on the server -> UID -> the SEQUENCE with which an event was last seen there."""


def what_was_published(case_folder: Path, access: Access) -> tuple[Remembered, str]:
    """What the last run put there; with a sentence if nobody can tell."""
    try:
        return _servers(case_folder / FOLDER / FILE).get(_name(access), {}), ""
    except FileNotFoundError:
        return {}, ""
    except (OSError, FormatError) as problem:
        why = reason_of(problem) if isinstance(problem, OSError) else problem.found
        return {}, (
            _(
                "{folder}/{file} could not be read ({why}), so what somebody deleted on the server since the last time "
                "is put back.",
                folder=FOLDER,
                file=FILE,
                why=why,
            )
        )


def remember(case_folder: Path, access: Access, published: Remembered) -> str:
    """Writes down what is there now; gives back a sentence if that could not be done."""
    path = case_folder / FOLDER / FILE
    try:
        make_folders(path.parent)
        with held(path.parent / f".{FILE}.lock", str(path)):
            try:
                servers = _servers(path)
            except (FileNotFoundError, FormatError):
                servers = {}
            fresh = {
                **servers,
                _name(access): {c: dict(sorted(e.items())) for c, e in published.items() if e},
            }
            document = {"format": FORMAT, "servers": {k: v for k, v in sorted(fresh.items()) if v}}
            replace_file(path, (json.dumps(document, indent=1, sort_keys=True) + "\n").encode(), alone=True)
    except (OSError, FileError) as problem:
        why = reason_of(problem) if isinstance(problem, OSError) else str(problem)
        return _(
            "{folder}/{file} could not be written ({why}): the next run cannot tell what somebody deletes on the"
            " server until then, and puts it back.",
            folder=FOLDER,
            file=FILE,
            why=why,
        )
    return ""


def _name(access: Access) -> str:
    return sha256(f"{access.url.rstrip('/')}\n{access.user}".encode()).hexdigest()[:16]


def _servers(path: Path) -> dict[str, Remembered]:
    """Raises OSError, and FormatError for what the program did not write."""
    document = document_of(read_file(path, MOST_BYTES))
    if field_of(document, "format", integer) != FORMAT:
        raise FormatError(_("another format"))
    return field_of(document, "servers", lambda servers: _each(servers, lambda one: _each(one, _numbers)))


def _each(value: Any, read: Any) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise TypeError
    return {key: read(part) for key, part in value.items()}


def _numbers(value: Any) -> dict[str, int]:
    return _each(value, integer)
