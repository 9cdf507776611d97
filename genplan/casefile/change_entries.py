"""Adding a dated fact or a wish to `changes.yaml` in the case folder, as one line that a user could have written, and
taking a wish back."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from genplan.case.targets import MATERIAL_SET
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.casefile.edit import locked, with_thing
from genplan.casefile.loading import load
from genplan.casefile.plaintext import MOST_BYTES
from genplan.casefile.tree import Leaf, Node, read_tree
from genplan.casefile.yaml_writing import written
from genplan.errors import CaseError, UsageError, unreadable
from genplan.files import read_file, rewrite
from genplan.findings import Severity
from genplan.language import N_, _, said

FILE = "changes.yaml"
NOT_ADDED = N_("Nothing was added to {file}: {why}")
HEAD = """\
# Dated facts that came up since the case was written. 'genplan change' adds lines at the end; correct or delete
# them as you like.
changes:
"""


class Entry(ABC):
    """What can be added to `changes`."""

    @abstractmethod
    def node(self) -> dict[str, Node]:
        """What it says in the case."""

    @property
    def words(self) -> str:
        """It as it is written in the file, and told."""
        return written(self.node())

    def line(self) -> str:
        """Its line in the file."""
        return f"  - {self.words}\n"


@dataclass(frozen=True, kw_only=True)
class ChangeEntry(Entry):
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

    def node(self) -> dict[str, Node]:
        span = {"from": _minute(self.start), "to": _minute(self.end, ends=True)}
        return _leaves({self.what: self.id, **span, "note": self.note})


@dataclass(frozen=True)
class WishEntry(Entry):
    """A wish for a week, as a line."""

    wish: PlannersWish

    def node(self) -> dict[str, Node]:
        w = self.wish
        match w.kind:
            case WishKind.ADD:
                values = dict(w.values)
                people = {"learner": w.learner, "adult": w.adult, "location": w.location}
                what = {"start": _minute(w.start), "target": w.target, MATERIAL_SET: values.pop(MATERIAL_SET)}
                added: dict[str, Node] = {**_leaves({**people, **what})}
                return {
                    "add": {**added, "values": _leaves(values)} if values else added,
                    **_leaves({"note": w.note}),
                }
            case WishKind.RATHER:
                span = {"from": _minute(w.start), "to": _minute(w.end, ends=True), "learner": w.learner}
                return _leaves({"rather": w.adult, **span, "note": w.note})
            case WishKind.APART:
                two: list[Node] = [Leaf(text, plain=False) for text in w.two]
                span = {"from": _minute(w.start), "to": _minute(w.end, ends=True)}
                return {"apart": two, **_leaves({**span, "note": w.note})}
        return _leaves(
            {
                w.kind.value: w.sitting,
                "to": _minute(w.start),
                "adult": w.adult,
                "location": w.location,
                "at": _minute(w.at),
                "note": w.note,
            }
        )


def _leaves(parts: Mapping[str, str]) -> dict[str, Node]:
    return {key: Leaf(text, plain=False) for key, text in parts.items() if text}


def _minute(moment: datetime | None, *, ends: bool = False) -> str:
    if moment is None:
        return ""
    if ends and moment.time() == datetime.min.time():
        return f"{datetime.fromordinal(moment.toordinal() - 1):%Y-%m-%d} 24:00"
    return f"{moment:%Y-%m-%d %H:%M}"


def add_change(folder: Path, fact: Entry) -> str:
    """Adds the fact if the case can be read with it, and gives back the name of the file: `changes.yaml`, or that in
    which `changes` stand already. Raises CaseError, UsageError or FileError, with the file as it was."""
    return _change(folder, _adding([fact]), fact, NOT_ADDED)


def file_with(folder: Path, fact: Entry) -> tuple[str, bytes]:
    """The name of the file that the fact belongs into, and what it would hold with it; nothing is written. Raises as
    `add_change`."""
    return _file_changed(folder, _adding([fact]), fact, N_("Nothing could be added to {file}: {why}"))


def _adding(facts: Sequence[Entry]) -> Callable[[str, bytes | None], bytes]:
    def added(name: str, old: bytes | None) -> bytes:
        for fact in facts:
            old = _with_fact(name, old, fact)
        assert old is not None
        return old

    return added


def put_wish(folder: Path, *wishes: PlannersWish, instead_of: Sequence[PlannersWish] = ()) -> str:
    """Adds wishes, in the place of others that they contradict, in one write. Gives back and raises as `add_change`."""
    return _change(folder, _wishing(folder, wishes, instead_of), WishEntry(wishes[0]), NOT_ADDED)


def file_with_wish(folder: Path, wish: PlannersWish, instead_of: Sequence[PlannersWish]) -> tuple[str, bytes]:
    """As `file_with`, of a wish."""
    return _file_changed(folder, _wishing(folder, [wish], instead_of), WishEntry(wish), NOT_ADDED)


def _wishing(
    folder: Path, wishes: Sequence[PlannersWish], instead_of: Sequence[PlannersWish]
) -> Callable[[str, bytes | None], bytes]:
    entries = [WishEntry(w) for w in wishes]

    def changed(name: str, old: bytes | None) -> bytes:
        fresh = _adding(entries)(name, old)
        case = load(folder).case
        gone = {w.number for w in case.wishes if w in instead_of} if case else set[int]()
        listed = read_tree(name, fresh).root.get("changes")
        if not gone or not isinstance(listed, list):
            return fresh
        return with_thing(name, fresh, ("changes",), [n for i, n in enumerate(listed, 1) if i not in gone])

    return changed


def take_back(folder: Path, wish: PlannersWish) -> str:
    """Takes the line of a wish out again, whoever wrote it, and gives back the name of the file. Raises as
    `add_change`, and UsageError where there is no such wish."""

    def without(name: str, old: bytes | None) -> bytes:
        case = load(folder).case
        number = next((w.number for w in case.wishes if w == wish), 0) if case else 0
        listed = read_tree(name, old).root.get("changes") if old is not None else None
        if not number or not isinstance(listed, list) or old is None:
            raise UsageError(_("There is no such wish; nothing was taken out."))
        return with_thing(name, old, ("changes",), [*listed[: number - 1], *listed[number:]])

    return _change(folder, without, WishEntry(wish), N_("Nothing was taken out of {file}: {why}"))


def _change(folder: Path, changed: Callable[[str, bytes | None], bytes], fact: Entry, nothing: str) -> str:
    with locked(folder):
        name, fresh = _file_changed(folder, changed, fact, nothing)
        rewrite(folder / name, fresh)
    return name


def _file_changed(
    folder: Path, changed: Callable[[str, bytes | None], bytes], fact: Entry, nothing: str
) -> tuple[str, bytes]:
    before = load(folder)
    if before.case is None:
        raise CaseError([f for f in before.findings if f.severity is Severity.ERROR])
    there = before.marks.get(("changes",))
    name = there.file if there else FILE
    fresh = changed(name, _bytes(folder / name))
    after = load(folder, {name: fresh})
    if after.case is None:
        # the line is in no file yet, so the sentence names none
        wrong = " ".join(f.words for f in after.findings if f.severity is Severity.ERROR)
        raise UsageError(said(nothing, file=FILE, why=wrong))
    if after.case == before.case:
        raise UsageError(_("The case says so already; nothing was added."))
    return name, fresh


def _with_fact(file: str, old: bytes | None, fact: Entry) -> bytes:
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
        raise unreadable(path, error) from error
