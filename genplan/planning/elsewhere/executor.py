"""An executor whose jobs are run by the workers of a Dask scheduler, and that says in a sentence when they are not."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor, Future
from contextlib import suppress
from contextvars import copy_context
from dataclasses import dataclass, field
from queue import Empty, SimpleQueue
from threading import Event, Lock, Thread
from time import monotonic
from typing import TYPE_CHECKING, Any

from genplan.errors import SolverError
from genplan.language import _
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.elsewhere.addresses import Elsewhere
from genplan.planning.elsewhere.alike import what_runs_here
from genplan.planning.elsewhere.on_worker import Other, Raised, work
from genplan.planning.elsewhere.parcels import Packer

if TYPE_CHECKING:
    from distributed import Client
    from distributed import Future as Remote

LOOK_SECONDS = 0.25
"""Between two looks at clocks and interrupts."""
WORKERS_SECONDS = 2.0
"""Between two looks at which workers there are."""
ALONE_SECONDS = 30.0
"""A scheduler may be without workers for so long: one that was killed is started anew within a few seconds."""
LATE_SECONDS = 10.0
"""An answer that is so much later than its time allows is given here, as far as it is known: the worker's clock may be
wrong, or the worker may hang."""


@dataclass
class Traffic:
    """How many jobs were sent, and the bytes of all of them there and back, before Dask's own frame round each."""

    jobs: int = 0
    sent: int = 0
    came_back: int = 0


@dataclass(frozen=True)
class _Asked:
    outer: Future[Any]
    packer: Packer
    function: Callable[..., Any]
    given: tuple[Any, ...]

    @property
    def budget(self) -> Budget:
        return next((g for g in self.given if isinstance(g, Budget)), ENDLESS)

    @property
    def is_over(self) -> bool:
        """Whether the worker's answer is waited for in vain."""
        return self.budget.is_cut_off or self.budget.left < -LATE_SECONDS


@dataclass(eq=False)
class WorkersElsewhere(Executor):
    """One thread does all that is not sending: it opens what comes back, looks whether workers are there, and gives
    the answers that can no longer be waited for; these take no search. A fault ends everything: each answer that is
    still wanted, and each that is asked for later, raises it."""

    client: Client
    where: Elsewhere
    traffic: Traffic = field(default_factory=Traffic)
    _asked: dict[Remote[Any], _Asked] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)
    _back: SimpleQueue[Remote[Any]] = field(default_factory=SimpleQueue)
    _fault: Exception | None = None
    _ended: Event = field(default_factory=Event)

    def __post_init__(self) -> None:
        self._looked = self._seen = monotonic()
        # in the same language
        Thread(target=copy_context().run, args=(self._serve,), daemon=True).start()

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        if kwargs:
            raise TypeError("jobs have no arguments by keyword")
        asked = _Asked(Future(), Packer(), fn, args)
        asked.outer.set_running_or_notify_cancel()
        parcel = asked.packer.wrap((fn, args), what_runs_here())
        with self._lock:
            if self._fault:
                raise self._fault
            remote: Remote[Any] = self.client.submit(work, parcel, pure=False)
            self._asked[remote] = asked
            self.traffic.jobs += 1
            self.traffic.sent += len(parcel.data)
        remote.add_done_callback(self._back.put)
        return asked.outer

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        self._ended.set()
        with self._lock:
            waiting = list(self._asked)
            self._asked.clear()
        self._cancel(waiting)

    def _cancel(self, remotes: Sequence[Remote[Any]]) -> None:
        if remotes and self.client.status == "running":
            with suppress(Exception):  # whoever is gone works no longer
                self.client.cancel(remotes)

    def _serve(self) -> None:
        while not self._ended.is_set():
            try:
                try:
                    self._take(self._back.get(timeout=LOOK_SECONDS))
                except Empty:
                    self._look()
            except Exception as fault:
                self._end_with(fault)

    def _end_with(self, fault: Exception) -> None:
        with self._lock:
            self._fault = self._fault or fault
            asked = list(self._asked.values())
            self._asked.clear()
        for one in asked:
            one.outer.set_exception(self._fault)

    def _take(self, remote: Remote[Any]) -> None:
        """Hands on what came back. Raises SolverError where something else did than an answer."""
        with self._lock:
            asked = self._asked.pop(remote, None)
        if asked is None:
            return
        try:
            if remote.status != "finished":
                raise self._told(remote)
            answer = remote.result()
            if isinstance(answer, Other):
                raise self._not_alike(answer)
            if isinstance(answer, Raised):
                asked.outer.set_exception(answer.fault)
                return
            self.traffic.came_back += len(answer.data)
            asked.outer.set_result(asked.packer.unwrap(answer))
        except Exception as fault:
            asked.outer.set_exception(fault)
            raise

    def _look(self) -> None:
        """At clocks and interrupts, and at the workers. Raises SolverError where none is left."""
        with self._lock:
            over = [(remote, asked) for remote, asked in self._asked.items() if asked.is_over]
            for remote, _asked in over:
                del self._asked[remote]
        self._cancel([remote for remote, _asked in over])
        for _remote, asked in over:
            try:
                asked.outer.set_result(asked.function(*asked.given))
            except Exception as fault:
                asked.outer.set_exception(fault)
        if monotonic() - self._looked >= WORKERS_SECONDS and self._asked:
            self.look_at_workers()

    def look_at_workers(self) -> None:
        """Raises SolverError where there have been none for too long, or one that must not be sent anything."""
        try:
            workers = self.client.scheduler_info()["workers"]
        except Exception as error:
            raise self._lost() from error
        self._looked = monotonic()
        if open_ones := [w for w in workers if not self.where.is_safe(w)]:
            raise SolverError(
                _(
                    "The worker {worker} of {address} is on another machine, and what is sent to it could be read on"
                    " the way. Use tls://, or --workers-unencrypted in a network in which nobody else is. No plan was"
                    " written.",
                    worker=open_ones[0],
                    address=self.where.address,
                )
            )
        if workers:
            self._seen = self._looked
        elif self._looked - self._seen >= ALONE_SECONDS:
            raise self._no_workers()

    def _no_workers(self) -> SolverError:
        return SolverError(
            _(
                "No worker is left at {address}: none was seen for {seconds} seconds. Start some with 'dask worker"
                " {address} --nthreads 1' and run this again. No plan was written.",
                address=self.where.address,
                seconds=f"{ALONE_SECONDS:.0f}",
            )
        )

    def _lost(self) -> SolverError:
        return SolverError(
            _(
                "The connection to the scheduler at {address} was lost. Look whether it still runs, and run this"
                " again. No plan was written.",
                address=self.where.address,
            )
        )

    def _not_alike(self, other: Other) -> SolverError:
        names = (_("genplan"), _("Python"), _("OR-tools"), _("system"))
        differ = [
            _("{what} {there}, and {here} here", what=name, there=there, here=here)
            for name, there, here in zip(names, other.runs, what_runs_here(), strict=True)
            if there != here
        ]
        return SolverError(
            _(
                "A worker of {address} would not find what this machine finds: it has {differences}. Install the same"
                " there. No plan was written.",
                address=self.where.address,
                differences="; ".join(differ),
            )
        )

    def _told(self, remote: Remote[Any]) -> SolverError:
        """Why Dask gives no answer, in a sentence."""
        if remote.status != "error":
            return self._lost()
        fault = remote.exception()
        if type(fault).__name__ == "KilledWorker":
            return SolverError(
                _(
                    "Workers of {address} ended, one after the other, while they worked on one and the same search:"
                    " they were killed, or ran out of memory. Start workers with more memory, or fewer on a machine."
                    " No plan was written.",
                    address=self.where.address,
                )
            )
        return SolverError(
            _(
                "What was sent could not be read at {address} ({fault}). Install the same genplan, with its extra"
                " 'dask', for the scheduler and for all workers. No plan was written.",
                address=self.where.address,
                fault=f"{type(fault).__name__}: {fault}"[:300],
            )
        )
