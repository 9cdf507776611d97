"""Adding a dated fact to `changes.yaml` in the case folder, as one line that a user could have written."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from genplan.casefile.edit import locked, with_thing
from genplan.casefile.loading import load
from genplan.casefile.plaintext import MOST_BYTES
from genplan.casefile.tree import Leaf, Node, read_tree
from genplan.casefile.yaml_writing import written
from genplan.errors import CaseError, FileError, UsageError
from genplan.files import read_file, replace_file
from genplan.findings import Severity

FILE = "changes.yaml"
HEAD = """\
# Dated facts that came up since the case was written. 'genplan change' adds lines at the end; correct or delete
# them as you like.
changes:
"""


@dataclass(frozen=True, kw_only=True)
class ChangeEntry:
    """A dated fact that came up; moments are naive and local.

    what   away, closed, missing or extra
    id     of whom or what
    start  first moment
    end    exclusive
    note   why
    """

    what: str
    id: str
    start: datetime
    end: datetime
    note: str = ""

    def line(self) -> str:
        """Its line in the file."""
        return f"  - {written(self.node())}\n"

    def node(self) -> dict[str, Node]:
        """What it says in the case."""
        ends = f"{self.end:%Y-%m-%d %H:%M}"
        if self.end.time() == datetime.min.time() and self.end.date() > self.start.date():
            last = datetime.fromordinal(self.end.toordinal() - 1)
            ends = f"{last:%Y-%m-%d} 24:00"
        parts = {self.what: self.id, "from": f"{self.start:%Y-%m-%d %H:%M}", "to": ends, "note": self.note}
        return {key: Leaf(text, plain=False) for key, text in parts.items() if text}


def add_change(folder: Path, fact: ChangeEntry) -> str:
    """Adds the fact if the case can be read with it, and gives back the name of the file: `changes.yaml`, or that in
    which `changes` stand already. Raises CaseError, UsageError or FileError, with the file as it was."""
    with locked(folder):
        name, fresh = file_with(folder, fact)
        path = folder / name
        try:
            replace_file(path, fresh, alone=True)
        except OSError as error:
            raise FileError(f"{path} could not be written: {error.strerror}. It is as it was.") from error
    return name


def file_with(folder: Path, fact: ChangeEntry) -> tuple[str, bytes]:
    """The name of the file that a fact belongs into, and what it would hold with it; nothing is written. Raises as
    `add_change`."""
    before = load(folder)
    if before.case is None:
        raise CaseError([f for f in before.findings if f.severity is Severity.ERROR])
    there = before.marks.get(("changes",))
    name = there.file if there else FILE
    fresh = _with_fact(name, _bytes(folder / name), fact)
    after = load(folder, {name: fresh})
    if after.case is None:
        # the line is in no file yet, so the sentence names none
        wrong = " ".join(f.words for f in after.findings if f.severity is Severity.ERROR)
        raise UsageError(f"Nothing was added to {FILE}: {wrong}")
    if after.case == before.case:
        raise UsageError(f"The case says so already: {fact.line().strip(' -').strip()}.")
    return name, fresh


def _with_fact(file: str, old: bytes | None, fact: ChangeEntry) -> bytes:
    """The file with one more change, under the key where there is one."""
    if old is None:
        return (HEAD + fact.line()).encode("utf-8")
    root = read_tree(file, old).root
    if "changes" in root:
        listed = root["changes"]
        node: Node = [*(listed if isinstance(listed, list) else []), fact.node()]
        return with_thing(file, old, ("changes",), node)
    text = old.decode("utf-8")
    return f"{text}{'' if text.endswith(chr(10)) else chr(10)}changes:\n{fact.line()}".encode()


def _bytes(path: Path) -> bytes | None:
    try:
        return read_file(path, MOST_BYTES)
    except FileNotFoundError:
        return None
    except OSError as error:
        raise FileError(f"{path} could not be read: {error.strerror}.") from error
