"""Adding a dated fact to `changes.yaml` in the case folder, as one line that a user could have written."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from genplan.casefile.edit import locked
from genplan.casefile.loading import load
from genplan.errors import CaseError, FileError, UsageError
from genplan.files import replace_file
from genplan.findings import Severity

FILE = "changes.yaml"
HEAD = """\
# Dated facts that came up since the case was written. 'genplan change' adds lines at the end; correct or delete
# them as you like.
changes:
"""


@dataclass(frozen=True)
class Fact:
    """`what` is away, closed, missing or extra; `end` is exclusive. Moments are naive and local."""

    what: str
    id: str
    start: datetime
    end: datetime
    note: str = ""

    def line(self) -> str:
        """Its line in the file; JSON texts are YAML texts."""
        ends = f"{self.end:%Y-%m-%d %H:%M}"
        if self.end.time() == datetime.min.time() and self.end.date() > self.start.date():
            last = datetime.fromordinal(self.end.toordinal() - 1)
            ends = f"{last:%Y-%m-%d} 24:00"
        parts = [f"{self.what}: {self.id}", f'from: "{self.start:%Y-%m-%d %H:%M}"', f'to: "{ends}"']
        if self.note:
            parts.append(f"note: {json.dumps(self.note, ensure_ascii=False)}")
        return "  - {" + ", ".join(parts) + "}\n"


def add_fact(folder: Path, fact: Fact) -> None:
    """Adds the fact if the case can be read with it. Raises CaseError, UsageError or FileError, with the file as it
    was."""
    with locked(folder):
        before = load(folder)
        if before.case is None:
            raise CaseError([f for f in before.findings if f.severity is Severity.ERROR])
        path = folder / FILE
        fresh = (_text(path) + fact.line()).encode("utf-8")
        after = load(folder, {FILE: fresh})
        if after.case is None:
            # the line is in no file yet, so the sentence names none
            wrong = " ".join(f.words for f in after.findings if f.severity is Severity.ERROR)
            raise UsageError(f"Nothing was added to {FILE}: {wrong}")
        if after.case == before.case:
            raise UsageError(f"The case says so already: {fact.line().strip(' -').strip()}.")
        try:
            replace_file(path, fresh, alone=True)
        except OSError as error:
            raise FileError(f"{path} could not be written: {error.strerror}. It is as it was.") from error


def _text(path: Path) -> str:
    """The file as it is, up to where a further line begins."""
    old = _bytes(path)
    text = old.decode("utf-8-sig") if old else HEAD
    if not text.endswith("\n"):
        text += "\n"
    return text if "changes:" in text else text + "changes:\n"


def _bytes(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise FileError(f"{path} could not be read: {error.strerror}.") from error
