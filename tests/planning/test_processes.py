"""The solver's processes killed, interrupted, crashed: a person gets a sentence, and no half-written folder."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from genplan.cli.interrupts import HEARD
from genplan.errors import SolverError
from genplan.planning.progress_channel import say
from genplan.planning.solver_pool import process_pool, ready_pool
from tests.fixtures.light_case import light_family
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.places import EXAMPLES, ROOT
from tests.fixtures.small_case import small_case
from tests.fixtures.warm import RunProgram

pytestmark = pytest.mark.usefixtures("cold_solvers")

AS_FROM_A_TERMINAL = """
try:
    import signal, sys
    signal.signal(signal.SIGINT, signal.default_int_handler)  # a job in the background may have inherited 'ignore'
    from genplan.cli import main
except KeyboardInterrupt:
    raise SystemExit(130)
if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
"""


def kill_myself(_: int) -> int:
    os.kill(os.getpid(), signal.SIGKILL)
    return 0


def double(number: int) -> int:
    return 2 * number


def test_a_worker_that_is_killed_reads_as_a_sentence() -> None:
    with pytest.raises(SolverError, match="No plan was written"), process_pool(1) as pool:
        pool.submit(kill_myself, 1).result()


def test_a_pool_works_and_an_error_of_our_own_passes_unchanged() -> None:
    with process_pool(1) as pool:
        assert list(pool.map(double, [1, 2])) == [2, 4]
    with pytest.raises(ZeroDivisionError), process_pool(1):
        _ = 1 // 0


def test_a_machine_of_many_cores_starts_as_many_as_its_system_lets_a_program_wait_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Windows waits for no more than 61 at once, whatever the machine has."""
    for name in ("cpu_count", "process_cpu_count"):
        monkeypatch.setattr(os, name, lambda: 128, raising=False)
    monkeypatch.setattr(sys, "platform", "win32")
    with process_pool() as pool:
        assert isinstance(pool, ProcessPoolExecutor)
        assert pool._max_workers == 61  # type: ignore[attr-defined]


def hears_no_interrupt() -> bool:
    return signal.SIGINT in signal.pthread_sigmask(signal.SIG_BLOCK, ())


@pytest.mark.skipif(os.name != "posix", reason="signal masks are POSIX")
def test_a_worker_is_deaf_to_ctrl_c_from_its_first_moment_and_the_parent_is_not() -> None:
    with process_pool(1) as pool:
        assert pool.submit(hears_no_interrupt).result()
        assert not hears_no_interrupt()


WEEK = ("--week", "2026-W49", "--now", "2026-11-29T12:00")


@contextmanager
def at_a_terminal(*words: str) -> Iterator[tuple[subprocess.Popen[bytes], int]]:
    """The program with a terminal for its errors and progress, and the terminal's other end."""
    ours, theirs = os.openpty()
    process = subprocess.Popen(
        [sys.executable, "-c", AS_FROM_A_TERMINAL, *words],
        stdout=subprocess.PIPE,
        stderr=theirs,
        start_new_session=True,
    )
    os.close(theirs)
    try:
        yield process, ours
    finally:
        process.kill()
        process.communicate()
        os.close(ours)


def read_until(terminal: int, word: bytes) -> bytes:
    """What is said until a word comes; b"" as the word: until the end."""
    said = b""
    while not word or word not in said:
        try:
            more = os.read(terminal, 65536)
        except OSError:  # nobody writes any more
            break
        if not more:
            break
        said += more
    return said


@pytest.mark.skipif(os.name != "posix", reason="signals to a process group are POSIX")
@pytest.mark.parametrize("way", by_day_the_first(["twice", "nothing"]))
def test_ctrl_c_twice_or_where_nothing_is_wanted_writes_nothing(tmp_path: Path, way: str) -> None:
    out = tmp_path / "out"
    more = ["--interrupt", "nothing"] if way == "nothing" else []
    words = ["plan", str(EXAMPLES / "caseload"), *WEEK, "--out", str(out), *more]
    with at_a_terminal(*words) as (process, terminal):
        assert b"12 children" in read_until(terminal, b"12 children")  # the search has begun
        os.killpg(process.pid, signal.SIGINT)
        if way == "twice":
            assert HEARD.encode() in read_until(terminal, HEARD.encode())
            os.killpg(process.pid, signal.SIGINT)
        said = read_until(terminal, b"")
        assert process.wait(timeout=60) == 130
        _nothing_is_left_of(process.pid)
    assert b"Traceback" not in said
    # Python's own tracker may add that a semaphore of a killed process was gone already
    own = [
        line for line in said.splitlines() if b"resource_tracker" not in line and b"warnings.warn" not in line
    ]
    assert own[-1].rstrip().endswith(b"."), said[-200:]
    assert not out.exists()


@pytest.mark.nightly
@pytest.mark.skipif(os.name != "posix", reason="signals to a process group are POSIX")
def test_ctrl_c_once_gives_the_best_week_so_far(tmp_path: Path) -> None:
    out = tmp_path / "out"
    with at_a_terminal("plan", str(EXAMPLES / "caseload"), *WEEK, "--out", str(out)) as (process, terminal):
        assert b"12 children" in read_until(terminal, b"12 children")
        os.killpg(process.pid, signal.SIGINT)
        said = read_until(terminal, b"")
        assert process.stdout is not None
        shown = process.stdout.read().decode()
        assert process.wait(timeout=60) == 130
        _nothing_is_left_of(process.pid)
    assert b"Traceback" not in said
    assert HEARD.encode() in said
    assert f"is the best week found by then and was written to {out}.".encode() in said
    assert "stopped by hand before its end" in shown
    document = json.loads((out / "plan.json").read_bytes())
    assert not document["repeatable"]
    with_a_sitting = {s["learner"] for s in document["sittings"]}
    assert len(with_a_sitting) == 12
    assert list(tmp_path.rglob(".*")) == []


MOMENTS = [0.2 * n for n in range(1, 26)]


@pytest.mark.nightly
@pytest.mark.skipif(os.name != "posix", reason="signals to a process group are POSIX")
@pytest.mark.parametrize("again", [None, 0.05, 0.6])
@pytest.mark.parametrize("seconds", MOMENTS)
def test_ctrl_c_at_any_moment_is_never_a_traceback(
    seconds: float, again: float | None, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    with at_a_terminal("plan", str(EXAMPLES / "family"), *WEEK, "--out", str(out)) as (process, terminal):
        for wait in (seconds, again):
            if wait is not None:
                with suppress(subprocess.TimeoutExpired):
                    process.wait(wait)
                if process.poll() is None:
                    os.killpg(process.pid, signal.SIGINT)
        said = read_until(terminal, b"")
        assert process.wait(timeout=60) in (0, 130, -signal.SIGINT)  # the last: before a line of ours ran
        _nothing_is_left_of(process.pid)
    assert b"Traceback" not in said
    if out.exists():
        assert (out / "plan.json").exists()
        assert list(out.rglob(".*")) == []


@pytest.mark.skipif(os.name != "posix", reason="a pseudo-terminal is POSIX")
def test_a_terminal_sees_each_stage_with_value_and_bound_on_one_line(tmp_path: Path) -> None:
    case = light_family(tmp_path / "case")
    with at_a_terminal("plan", str(case), *WEEK) as (process, terminal):
        said = read_until(terminal, b"")
        assert process.stdout is not None
        shown = process.stdout.read()
        assert process.wait(timeout=60) == 0
    lines = [line.replace(b"\x1b[K", b"").decode() for line in said.split(b"\r")]
    assert any(re.fullmatch(r" *\d+ s  .*\d+ of at most \d+ new ways", line) for line in lines), lines
    assert said.count(b"\n") == 1  # the line that says how long it took; what is on its way is written over
    assert b"\x1b" not in shown


def test_what_is_no_terminal_hears_nothing_of_the_way(run_program: RunProgram, tmp_path: Path) -> None:
    case = small_case(tmp_path / "case")
    done = run_program(["genplan", "plan", str(case), *WEEK], tmp_path, os.environ)
    assert done.returncode == 0
    assert done.stderr.count("\n") == 1
    assert done.stderr.startswith("Took ")


WHO_STARTS_THEM = """
import os, sys, threading
from pathlib import Path
from genplan.planning.solver_pool import process_pool
def parent(_):
    return os.getppid()
if __name__ == "__main__":
    over = threading.Event()
    if sys.argv[1] == "busy":
        threading.Thread(target=over.wait).start()
    with process_pool(2) as pool:
        if sys.argv[1] == "busy by then":
            threading.Thread(target=over.wait).start()
        (server,) = set(pool.map(parent, range(8)))
        print(server != os.getpid())
    print(Path(f"/proc/{server}").exists())
    over.set()
"""


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere each is an interpreter of its own")
@pytest.mark.parametrize(
    ("threads", "folder", "of_a_server"),
    by_day_the_first(
        [
            ("busy", "t", True),
            ("busy", "t" * 90, False),
            ("busy by then", "t", True),
            ("alone", "t", False),
        ],
        2,
    ),
)
def test_solver_processes_of_a_program_with_threads_are_forks_of_one_that_ends_with_them(
    threads: str, folder: str, of_a_server: bool, tmp_path: Path
) -> None:
    """Where the system takes no address in the folder for it, they are started one by one."""
    program, there = tmp_path / "program.py", tmp_path / folder
    program.write_text(WHO_STARTS_THEM, "utf-8")
    if folder == "t":
        there = Path("/tmp")
    there.mkdir(exist_ok=True)
    done = subprocess.run(
        [sys.executable, str(program), threads],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), "TMPDIR": str(there)},
    )
    assert done.stdout.splitlines() == [f"{of_a_server}", f"{not of_a_server}"]


ITS_OWN_WAYS = """
import signal
from genplan.planning import interruption
from genplan.planning.solver_pool import process_pool
def has_them(_):
    return signal.getsignal(signal.SIGTERM) != signal.SIG_DFL, interruption.interrupt()
if __name__ == "__main__":
    signal.signal(signal.SIGTERM, lambda *_: None)
    with interruption.interruptible(), process_pool(1) as pool:
        print(*pool.submit(has_them, 0).result(), interruption.interrupted())
        print(*has_them(0), interruption.interrupted())
"""


def test_a_solver_process_has_neither_the_ways_of_its_program_to_end_nor_its_run(tmp_path: Path) -> None:
    program = tmp_path / "program.py"
    program.write_text(ITS_OWN_WAYS, "utf-8")
    done = subprocess.run(
        [sys.executable, str(program)],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert done.stdout.splitlines() == ["False False False", "True True True"]


WAITING_FOR_WORK = """
import os, time
from genplan.planning.solver_pool import process_pool, ready_pool
from genplan.planning.progress_channel import say
if __name__ == "__main__":
    with process_pool(2) as pool:
        print(*pool.map(abs, [-1, -2]), flush=True)
        time.sleep(600)
"""


def _nothing_is_left_of(session: int) -> None:
    """Its processes are gone, or will be in a moment."""
    for _ in range(1200):
        if not Path("/proc").is_dir() or not members_of(session):
            return
        time.sleep(0.05)
    raise AssertionError(members_of(session))


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="looks for processes in /proc")
def test_a_program_that_is_killed_leaves_no_solver_behind() -> None:
    words = [sys.executable, "-c", WAITING_FOR_WORK]
    with subprocess.Popen(words, stdout=subprocess.PIPE, start_new_session=True) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"1 2\n"
        assert members_of(process.pid) - {process.pid}
        process.kill()
    _nothing_is_left_of(process.pid)


def members_of(session: int) -> set[int]:
    """The processes of a session that are not yet done (Linux: /proc/PID/stat, see `man 5 proc`)."""
    found = set()
    for folder in Path("/proc").iterdir():
        if folder.name.isdigit():
            with suppress(OSError):
                # after the name in brackets: state, parent, group, session
                state, _, _, theirs, *_ = (folder / "stat").read_text().rpartition(")")[2].split()
                if int(theirs) == session and state != "Z":
                    found.add(int(folder.name))
    return found


def pid(_: int) -> int:
    return os.getpid()


@pytest.fixture
def one_core(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine of one core starts one process, where others start as many as they have cores."""
    for name in ("cpu_count", "process_cpu_count"):
        monkeypatch.setattr(os, name, lambda: 1, raising=False)


@pytest.mark.usefixtures("one_core")
def test_ready_processes_stay_for_the_next_who_asks_and_end_with_the_block() -> None:
    with ready_pool():
        found = []
        for _ in range(2):
            with process_pool() as pool:
                found.append(set(pool.map(pid, range(40))))
        assert len(found[0] | found[1]) == 1
        with process_pool(1) as another:
            assert another.submit(pid, 0).result() not in found[0] | found[1]
    with process_pool() as pool:
        assert not set(pool.map(pid, range(4))) & (found[0] | found[1])


@pytest.mark.usefixtures("one_core")
def test_ready_processes_that_are_killed_read_as_a_sentence_and_are_replaced() -> None:
    with ready_pool():
        with pytest.raises(SolverError, match="No plan was written"), process_pool() as pool:
            pool.submit(kill_myself, 1).result()
        with process_pool() as pool:
            assert list(pool.map(double, [1, 2])) == [2, 4]
            before = set(pool.map(pid, range(4)))
        with pytest.raises(ZeroDivisionError), process_pool():
            _ = 1 // 0
        with process_pool() as pool:
            assert not set(pool.map(pid, range(4))) & before


@pytest.mark.usefixtures("one_core")
def test_who_uses_ready_processes_hears_them_and_the_one_before_no_more() -> None:
    first: list[str] = []
    second: list[str] = []
    with ready_pool():
        for heard in (first, second):
            with process_pool(hear=heard.append) as pool:
                pool.submit(say, "far").result()
                for _ in range(200):
                    if heard:
                        break
                    time.sleep(0.05)
    assert first == second == ["far"]
