"""What tests of several rooms ask for by name, and what only a night has time for."""

from __future__ import annotations

import gc
import os
import re
import shutil
import sys
from collections.abc import Generator, Iterator
from functools import cache, partial
from itertools import count
from multiprocessing import forkserver, get_context
from pathlib import Path
from threading import Event, Thread

import pytest
from hypothesis import HealthCheck, settings

from genplan.fence import run_fenced
from genplan.language import LANGUAGES, Speech
from tests.fixtures import nightly as by_night
from tests.fixtures.browser import close_browser
from tests.fixtures.calendar_server import Server, calendar_server
from tests.fixtures.shared_pool import SharedPool
from tests.fixtures.small_case import SUNDAY, WEEK, silent, small_case
from tests.fixtures.warm import (
    CAN_FORK,
    READERS,
    RunProgram,
    WarmSearch,
    WarmServer,
    run_cold,
    solver_forks,
)
from tests.fixtures.warm_server import not_waiting


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--nightly",
        action="store_true",
        help="all that takes long too: every fault, whole searches (.ci/nightly)",
    )


def pytest_configure(config: pytest.Config) -> None:
    by_night.NIGHT = bool(config.getoption("nightly"))
    # a busy machine is no fault; by day the same examples in each run, by night new ones
    settings.register_profile(
        "genplan",
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow],
        derandomize=not by_night.NIGHT,
        database=None,
    )
    settings.load_profile("genplan")
    if not by_night.NIGHT:
        without_constants_of_the_code()
    # what one test has found must not answer another; those of the store have a folder of their own
    os.environ["GENPLAN_STORE"] = "off"
    # where nothing compiled may be kept, each of the hundreds of processes would compile all of the program anew
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    sys.dont_write_bytecode = False
    config.addinivalue_line("markers", "nightly: takes long, and a quicker test tries the same kind of thing")


def without_constants_of_the_code() -> None:
    """Hypothesis reads all modules that are loaded for constants to try: which these are depends on the tests that ran
    before, and in a fresh copy each process takes five seconds for it."""
    from hypothesis.internal.conjecture import providers

    if hasattr(providers, "_local_constants"):  # older ones do not
        providers._get_local_constants = lambda: providers._local_constants


def pytest_collection() -> None:
    gc.disable()  # what is read now stays


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(
    collector: pytest.Collector,
) -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    """Every other process reads the tests from their end, so that in a fresh copy each compiles half of them and finds
    the other half compiled."""
    report = yield
    if (
        isinstance(collector, pytest.Directory)
        and os.environ.get("PYTEST_XDIST_WORKER", "gw0")[-1] in "13579"
    ):
        report.result.reverse()
    return report


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: item.path)  # all processes have to have them in one order
    if not config.getoption("nightly"):
        for item in items:
            if item.get_closest_marker("nightly"):
                item.add_marker(pytest.mark.skip(reason="takes long: add --nightly"))


def pytest_collection_finish() -> None:
    """What is loaded by then stays, so nobody has to look through it for garbage again and again."""
    gc.enable()
    gc.collect()
    gc.freeze()


_FOLDERS = count()


@pytest.fixture
def tmp_path(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """As pytest's, which looks through the folders of all tests before for the next free number: of thousands of tests
    that takes longer than some of them."""
    name = re.sub(r"\W", "_", request.node.name)[:30]
    folder = tmp_path_factory.getbasetemp() / f"{name}-{next(_FOLDERS)}"
    folder.mkdir(mode=0o700)
    return folder


@pytest.fixture(scope="session")
def nightly(pytestconfig: pytest.Config) -> bool:
    """Whether this run has the time to try everything, where others try a sample."""
    return bool(pytestconfig.getoption("nightly"))


@pytest.fixture(scope="session", autouse=True)
def _warm_solvers(nightly: bool) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        if CAN_FORK and not nightly:
            patch.setattr("genplan.planning.solver_pool.get_context", solver_forks())
        yield


@pytest.fixture(scope="module")
def cold_solvers() -> Iterator[None]:
    """Solver processes start in all tests of a module as the program starts them: no server of forks runs yet."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("genplan.planning.solver_pool.get_context", get_context)
        server = forkserver.ForkServer()
        patch.setattr(forkserver, "_forkserver", server)
        for name in (
            "connect_to_new_process",
            "ensure_running",
            "get_inherited_fds",
            "set_forkserver_preload",
        ):
            patch.setattr(forkserver, name, getattr(server, name))
        yield
        server._stop()  # type: ignore[attr-defined]


@pytest.fixture
def another_thread() -> Iterator[None]:
    """As in a notebook or a page: a process with more than one thread is not the one whose forks search."""
    over = Event()
    thread = Thread(target=over.wait)
    thread.start()
    yield
    over.set()
    thread.join()


@pytest.fixture(scope="session", autouse=True)
def _shared_pool(_warm_solvers: None) -> Iterator[None]:
    pool = SharedPool()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("genplan.planning.solver_pool.process_pool", pool)
        yield
    pool.close()


@pytest.fixture(scope="session", autouse=True)
def _no_waiting_for_the_disk(nightly: bool) -> Iterator[None]:
    """What was written is there for every reader at once; that it outlives a loss of power no test can see."""
    with pytest.MonkeyPatch.context() as patch:
        if not nightly:
            patch.setattr("os.fsync", not_waiting)
        yield


@pytest.fixture(scope="session", autouse=True)
def _browser_ends() -> Iterator[None]:
    yield
    close_browser()


@pytest.fixture(scope="session")
def warm(nightly: bool) -> Iterator[WarmServer | None]:
    """What begins runs of the program at once; None where they have to be interpreters of their own."""
    server = WarmServer()
    yield server if CAN_FORK and not nightly else None
    server.close()


FENCED = ("genplan.casefile.apart", "genplan.evidence.spreadsheet", "genplan.evidence.workbook")
"""Who asks for a reader behind the fence."""


@pytest.fixture(scope="session", autouse=True)
def _warm_readers(nightly: bool) -> Iterator[None]:
    server = WarmServer(*READERS)
    with pytest.MonkeyPatch.context() as patch:
        for module in FENCED if CAN_FORK and not nightly else ():
            patch.setattr(f"{module}.run_fenced", server.run_fenced)
        yield
    server.close()


@pytest.fixture(scope="module")
def cold_readers() -> Iterator[None]:
    """Readers behind the fence start in all tests of a module as the program starts them."""
    with pytest.MonkeyPatch.context() as patch:
        for module in FENCED:
            patch.setattr(f"{module}.run_fenced", run_fenced)
        yield


@pytest.fixture(scope="session")
def run_program(warm: WarmServer | None) -> RunProgram:
    return warm.run if warm else run_cold


@pytest.fixture(scope="module")
def warm_searches(warm: WarmServer | None) -> Iterator[None]:
    """Searches of the page begin at once in all tests of a module; the programs of `replace_search` start as ever."""
    with pytest.MonkeyPatch.context() as patch:
        if warm:
            patch.setattr("genplan.web.long_jobs._start", partial(WarmSearch, warm))
        yield


@pytest.fixture(scope="session", autouse=True)
def _words_of_the_code() -> Iterator[None]:
    """Commands speak the words that the code has, whatever words the policy of a case asks for: tests read those."""
    with pytest.MonkeyPatch.context() as patch:
        speaks = "genplan.cli.exit_codes.as_the_case_says"
        patch.setattr(speaks, lambda words: Speech(words.language or LANGUAGES[0]), raising=False)
        yield


@pytest.fixture(scope="session", autouse=True)
def _parsers_made_once(nightly: bool) -> Iterator[None]:
    """Making the parser of all commands takes longer than most of what tests ask of it. It is the same for all who are
    spoken to alike; by night each run makes its own, as a user's does."""
    from genplan.cli.parser import build_parser
    from genplan.language import speech

    made = cache(lambda _speech: build_parser())
    with pytest.MonkeyPatch.context() as patch:
        if not nightly:
            patch.setattr("genplan.cli.parser.build_parser", lambda: made(speech()))
        yield


@pytest.fixture(scope="session")
def kept_case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small case of whose week people were told on the Sunday before; to be copied, not changed."""
    from genplan import workflow

    folder = small_case(tmp_path_factory.mktemp("kept") / "case")
    workflow.keep(folder, WEEK, None, SUNDAY, silent)
    return folder


@pytest.fixture
def case(kept_case: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    shutil.copytree(kept_case, tmp_path / "case")
    return tmp_path / "case"


@pytest.fixture(scope="module")
def radicale(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    with calendar_server(tmp_path_factory.mktemp("radicale")) as server:
        yield server
