"""Solver processes on this machine: started, kept ready for the next who asks, and ended whatever happens."""

from __future__ import annotations

import gc
import os
import signal
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack, contextmanager, suppress
from multiprocessing import get_context, parent_process
from multiprocessing.context import BaseContext
from threading import Thread
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

from genplan.errors import SolverError, reason_of
from genplan.fence import deaf_to_interrupts
from genplan.language import _
from genplan.planning import interruption
from genplan.planning.forked_processes import end_server, let_a_broken_server_end, method, prepare
from genplan.planning.progress import Say, no_progress
from genplan.planning.progress_channel import listening, speak_through

if TYPE_CHECKING:
    from genplan.planning.progress_channel import Ear, Line

Answer = TypeVar("Answer")
Given = ParamSpec("Given")


@contextmanager
def process_pool(workers: int | None = None, hear: Say = no_progress) -> Iterator[Executor]:
    """Solver processes on this machine; `hear` is told what they say. They end with the block whatever happens in it:
    an interrupt ends them at once, and one that crashes or is killed reads as a SolverError. Within `ready_pool` they
    are there already, and stay for the next one unless something happened to them."""
    if workers is None and _READY:
        with _READY[-1].used(hear) as pool:
            yield pool
        return
    with listening(hear) as ear, _processes(workers, ear) as pool:
        yield pool


@contextmanager
def ready_pool() -> Iterator[None]:
    """Within the block solver processes start at once and load the solver, for whoever asks for a `process_pool` next:
    that takes seconds, in which a person can still be choosing what to ask. They end with the block."""
    ready = _Ready()
    _READY.append(ready)
    try:
        yield
    finally:
        _READY.remove(ready)
        ready.end()


class _Ready:
    """Solver processes that wait for the next who asks; new ones where the last who asked left them broken."""

    def __init__(self) -> None:
        self._hear: Say = no_progress
        self._stack = ExitStack()
        self._pool: Executor | None = None
        with suppress(SolverError):  # told to whoever asks, for whom it is tried again
            self._pool = self._begun()

    def _begun(self) -> Executor:
        with ExitStack() as stack:  # what fails in here is told in the words of `_processes`
            ear = stack.enter_context(listening(lambda said: self._hear(said)))
            pool = stack.enter_context(_processes(None, ear))
            for _ in range(os.cpu_count() or 1):
                pool.submit(load_solver)
            self._stack = stack.pop_all()
        return pool

    @contextmanager
    def used(self, hear: Say) -> Iterator[Executor]:
        if self._pool is None or _is_broken(self._pool):
            self._stack.close()
            self._pool = self._begun()
        self._hear = hear
        try:
            yield self._pool
        except BaseException as error:
            # they end as they would have ended, and what they ended with is told in the same words
            broken, self._stack, self._pool = self._stack, ExitStack(), None
            broken.__exit__(type(error), error, error.__traceback__)
            raise
        finally:
            self._hear = no_progress

    def end(self) -> None:
        self._stack.close()


_READY: list[_Ready] = []


def _is_broken(pool: Executor) -> bool:
    """Its answer is waited for: that processes were killed is noticed a moment later."""
    try:
        pool.submit(load_solver).result()
    except (BrokenProcessPool, SolverError):
        return True
    return False


def load_solver() -> None:
    """Imports what a search needs, in the process that is to search."""
    import genplan.planning.solver.daily_capacity
    import genplan.planning.solver.design_guided
    import genplan.planning.solver.observer_assignment  # noqa: F401


@contextmanager
def _processes(workers: int | None, ear: Ear) -> Iterator[Executor]:
    with _starting():
        # without a number as many as there are cores, and as the system can wait for
        pool = _Pool(workers, ear)
    try:
        with _ended(pool):
            yield pool
    finally:
        end_server(pool.context)


@contextmanager
def _ended(pool: _Pool) -> Iterator[None]:
    try:
        yield
        # an interrupt while Python itself waits for them, at its end, would be a traceback
        pool.shutdown(cancel_futures=True)
    except BrokenProcessPool as error:
        raise SolverError(
            _(
                "The solver's process ended before it had an answer: it was killed, or the machine ran out of memory. "
                "No plan was written. Try again, or plan fewer learners at a time."
            )
        ) from error
    except BaseException:
        _end_at_once(pool)
        raise


@contextmanager
def _starting() -> Iterator[None]:
    """A process that cannot start, or ends before it has heard what it is for, is one way or another an OSError; an
    EOFError, where it was to be a fork of one that ended; or a ValueError, where a file number that it was to be handed
    was closed, and taken again, before it began."""
    try:
        yield
    except (OSError, EOFError, ValueError) as error:
        why = f" ({reason_of(error)})" if isinstance(error, OSError) and error.strerror else ""
        raise SolverError(
            _(
                "The solver's process could not be started, or ended as soon as it was{why}. No plan was"
                " written. Look whether this system lets the program start another Python, and has memory and"
                " processes left for it; then try again.",
                why=why,
            )
        ) from error


class _Pool(ProcessPoolExecutor):
    """Its processes start when there is work for them, and Ctrl-C goes to all processes of a terminal: one that is just
    starting would answer with a traceback. Forks of this process all start at the first work, before it has a thread
    more (`concurrent.futures` sees to that for its own)."""

    def __init__(self, workers: int | None, ear: Ear) -> None:
        self._workers, self._ear, self._begun = workers, ear, False
        self._begin_by(get_context(method()))

    def _begin_by(self, context: BaseContext) -> None:
        self.context, given = context, (self._ear.line, interruption.shared_moment())
        super().__init__(self._workers, mp_context=context, initializer=_begin, initargs=given)

    def _prepare(self) -> None:
        """There may be more threads by now than when this was made, as where drafts of the week are drawn."""
        now = get_context(method())
        if now.get_start_method() != self.context.get_start_method():
            self._begin_by(now)
        prepare(self.context)

    def submit(
        self, fn: Callable[Given, Answer], /, *args: Given.args, **kwargs: Given.kwargs
    ) -> Future[Answer]:
        with deaf_to_interrupts(), _starting():
            if not self._begun:
                self._prepare()
            try:
                future = super().submit(fn, *args, **kwargs)
            except (OSError, EOFError):
                let_a_broken_server_end(self.context)
                raise
        if not self._begun:
            self._begun = True
            self._ear.listen()
        return future


def _begin(line: Line, moment: Any) -> None:
    leave_interrupts_to_the_parent()
    signal.signal(signal.SIGTERM, signal.SIG_DFL)  # a fork would do what its program does
    gc.freeze()  # a fork that looked through all that was there for garbage would copy all of it
    interruption.ask_here(moment)
    with suppress(ImportError):  # told to whoever asks for a search
        from genplan.planning.solver.light_start import load_or_tools

        load_or_tools()
    Thread(target=_end_with_the_parent, daemon=True).start()
    speak_through(line)


def _end_with_the_parent() -> None:
    """A worker waits for jobs through a pipe of which it holds both ends: it would never hear that nobody is left."""
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def leave_interrupts_to_the_parent() -> None:
    """Ctrl-C goes to all processes of a terminal; a solver that stopped by itself would look like an answer."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _end_at_once(pool: ProcessPoolExecutor) -> None:
    """Ends workers in the middle of a solve: waiting for them could take as long as a stage may work."""
    workers = list((pool._processes or {}).values())  # public only from Python 3.14 on, as kill_workers
    manager: Thread | None = pool._executor_manager_thread  # type: ignore[assignment]
    # a job half sent to a worker that is no more would be waited for when Python ends
    pool._call_queue.cancel_join_thread()  # type: ignore[attr-defined]
    pool.shutdown(wait=False)
    for worker in workers:
        worker.terminate()
    if manager is not None:
        # Python wakes it at its own end without asking whether it is just closing what it is woken through
        manager.join(timeout=1.0)
