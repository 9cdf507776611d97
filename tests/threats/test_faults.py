"""Nothing is lost: the disk fails, or the program is killed, at each file operation of each command that writes.

By day a sample of the operations is struck. All of them, with every error: `--nightly`, some twenty
minutes.
"""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from genplan import workflow
from genplan.casefile import earlier
from tests.fixtures.commands_that_write import COMMANDS, LATER, Command, Ready, printing_browser, run
from tests.fixtures.faults import ERRORS, KILLED, Strike, failing, in_a_child, killed, watched

pytestmark = pytest.mark.skipif(not os.path.isdir("/proc/self/fd"), reason="needs to ask whose a handle is")

STAYS = re.compile(r"\.(table\.csv|sheets\.pdf|week\.xlsx)\.[0-9a-f]{8}\.new|\.new-case-[0-9a-f]{8}")
"""What a killed run leaves of a file or a first case that is put where the user likes: nothing says whether somebody is
still at it, so the next run leaves it alone."""

Files = dict[str, bytes]


@pytest.fixture(scope="module")
def ready(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Ready]:
    with pytest.MonkeyPatch.context() as patch:
        made = Ready(tmp_path_factory.mktemp("ready"))
        made.remember_plans(patch)
        browser = printing_browser(tmp_path_factory.mktemp("browser"))
        patch.setattr("genplan.report.pdf.browsers", lambda: iter([str(browser)]))
        yield made


@dataclass(frozen=True)
class Course:
    """What a command does where nothing goes wrong: the files before, after, and after it was run twice."""

    before: Files
    after: Files
    twice: tuple[int, Files]
    operations: tuple[str, ...]
    looks: tuple[str, ...]


def files(root: Path) -> Files:
    """What a user sees; hidden files are locks, and the work of a run that was broken off."""
    found = {p.relative_to(root): p for p in sorted(root.rglob("*")) if p.is_file()}
    return {str(n): p.read_bytes() for n, p in found.items() if not any(x.startswith(".") for x in n.parts)}


def folders(root: Path) -> set[Path]:
    return {p for p in root.rglob("*") if p.is_dir() and p.name != "weeks"}


def hidden(root: Path) -> list[str]:
    """Hidden things that are no locks which stay by design, and no whole states of before a change."""
    locks = (".results.csv.lock", ".case.lock", ".2026-W49.lock")
    found = (p for p in root.rglob(".*") if p.name not in locks and not are_whole_states(p))
    return sorted(str(p.relative_to(root)) for p in found if not STAYS.fullmatch(p.name))


def are_whole_states(path: Path) -> bool:
    if path.name != earlier.FOLDER:
        return False
    whole = sorted(f"{state.number:06d}" for state in earlier.states(path.parent))
    return whole != [] and whole == sorted(p.name for p in path.iterdir())


_known: dict[str, Course] = {}


def course(command: Command, ready: Ready, folder: Path) -> Course:
    if command.name not in _known:
        _known[command.name] = _course(command, ready, folder)
    return _known[command.name]


def _course(command: Command, ready: Ready, folder: Path) -> Course:
    root, seen = fresh(folder), []
    ready.put(command.ready, root)
    before = files(root)
    run(command, root)  # a first time, for all that is imported and remembered only once
    for looks in (False, True):
        root = fresh(folder)
        ready.put(command.ready, root)
        with watched(Strike(root, looks=looks)) as strike:
            assert run(command, root)[0] == 0
        seen.append(tuple(strike.seen))
    after = files(root)
    assert after != before
    return Course(before, after, (run(command, root)[0], files(root)), *seen)


def fresh(folder: Path) -> Path:
    root = folder / "root"
    shutil.rmtree(root, ignore_errors=True)
    root.mkdir()
    return root


def struck(operations: tuple[str, ...], nightly: bool, by_day: tuple[float, ...]) -> list[int]:
    """The numbers of the operations to strike: by day those that lie so far on the way from the first to the last, in
    each test others."""
    last = len(operations)
    if nightly:
        return list(range(1, last + 1))
    return sorted({1 + round((last - 1) * way) for way in by_day})


def looked_at_by_day(looks: tuple[str, ...]) -> list[int]:
    """The first look and the last, and the last reading of the case: what was read before must not be all that is
    known then."""
    every = range(1, len(looks) + 1)  # `new` reads nothing
    of_case = [number for number in every if looks[number - 1] == "open /case/case.yaml"]
    return sorted({*every[:1], *every[-1:], *of_case[-1:]})


def check_sentence(code: int, told: str, where: str) -> None:
    last = told.strip().splitlines()[-1]
    assert code in (1, 3), (where, code, told)
    assert "Traceback" not in told, where
    assert "fault of the program" not in told, (where, told)
    assert last.endswith("."), (where, told)


def check_unchanged(root: Path, known: Course, command: Command, where: str) -> None:
    """`replan` writes two folders, one after the other: each of them is as before or as it should be. `keep` gives the
    case its id first, which stays."""
    found, tops = files(root), {n.split("/")[0] for n in (*known.before, *known.after)}
    if command.name == "keep" and found["case/case.yaml"] == known.after["case/case.yaml"]:
        found["case/case.yaml"] = known.before["case/case.yaml"]
    for top in tops if command.name == "replan" else [""]:
        here, before, after = (
            {n: d for n, d in each.items() if n.startswith(top)}
            for each in (found, known.before, known.after)
        )
        assert here in ((before, after) if top == "out" else (before,)), where


def check_next(command: Command, root: Path, known: Course, where: str) -> None:
    """The next run does what the first would have done, or what a second does; no work lies about."""
    done = files(root) == known.after
    code, _ = run(command, root)
    if done:
        # a run that was killed just before its end is undone first, and then done
        assert (code, files(root)) in (known.twice, (0, known.after)), where
    else:
        assert (code, files(root)) == (0, known.after), where
    assert hidden(root) == [], where


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: c.name)
def test_a_disk_that_fails_leaves_all_as_it_was(
    command: Command, ready: Ready, tmp_path: Path, nightly: bool
) -> None:
    known = course(command, ready, tmp_path)
    assert len(known.operations) >= 3
    for number in struck(known.operations, nightly, by_day=(0.4, 1.0)):
        for error in ERRORS if nightly else [ERRORS[number % len(ERRORS)]]:
            where = (
                f"{command.name}: operation {number}, {known.operations[number - 1]}: {os.strerror(error)}"
            )
            root = fresh(tmp_path)
            ready.put(command.ready, root)
            folders_before = folders(root)
            with watched(Strike(root, number, failing(error))):
                code, told = run(command, root)
            if code == 0:
                assert files(root) == known.after, where
            else:
                check_sentence(code, told, where)
                check_unchanged(root, known, command, where)
                assert folders(root) == folders_before or command.name == "replan", where
            check_next(command, root, known, where)


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: c.name)
@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
def test_a_disk_that_is_gone_from_then_on_loses_nothing(
    command: Command, ready: Ready, tmp_path: Path, nightly: bool
) -> None:
    """Nothing can be put back or cleared away either, until the disk is there again."""
    known = course(command, ready, tmp_path)
    for number in struck(known.operations, nightly, by_day=(0.0,)):
        where = f"{command.name}: from operation {number} on, {known.operations[number - 1]}"
        root = fresh(tmp_path)
        ready.put(command.ready, root)

        def work(root: Path = root, number: int = number) -> int:
            with watched(Strike(root, number, failing(ERRORS[number % len(ERRORS)]), lasting=True)):
                code, told = run(command, root)
            (tmp_path / "told").write_text(told)
            return code

        if code := in_a_child(work):
            check_sentence(code, (tmp_path / "told").read_text(), where)
        else:
            assert files(root) == known.after, where
        check_each_file(root, known, where)
        check_next(command, root, known, where)


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: c.name)
def test_a_file_that_cannot_be_read_is_a_sentence(
    command: Command, ready: Ready, tmp_path: Path, nightly: bool
) -> None:
    known = course(command, ready, tmp_path)
    for number in range(1, len(known.looks) + 1) if nightly else looked_at_by_day(known.looks):
        where = f"{command.name}: look {number}, {known.looks[number - 1]}"
        root = fresh(tmp_path)
        ready.put(command.ready, root)
        with watched(Strike(root, number, failing(ERRORS[1 + number % 2]), looks=True)):
            code, told = run(command, root)
        if code == 0:
            assert files(root) == known.after, where
        else:
            check_sentence(code, told, where)
            check_unchanged(root, known, command, where)


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: c.name)
@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
def test_a_run_that_is_killed_leaves_each_file_whole(
    command: Command, ready: Ready, tmp_path: Path, nightly: bool
) -> None:
    known = course(command, ready, tmp_path)
    for number in struck(known.operations, nightly, by_day=(0.7,)):
        where = f"{command.name}: killed at operation {number}, {known.operations[number - 1]}"
        root = fresh(tmp_path)
        ready.put(command.ready, root)

        def work(root: Path = root, number: int = number) -> int:
            with watched(Strike(root, number, killed)):
                return run(command, root)[0]

        assert in_a_child(work) == KILLED, where
        check_each_file(root, known, where)
        if command.together:
            workflow.open_case(root / "case", LATER)
            assert files(root) in (known.before, known.after), where
        check_next(command, root, known, where)


def check_each_file(root: Path, known: Course, where: str) -> None:
    """Each is the old one or the new one, whole; none is missing that was there before and is to be there after."""
    found = files(root)
    for name in {*found, *known.before, *known.after}:
        assert found.get(name) in (known.before.get(name), known.after.get(name)), f"{where}: {name}"
