"""What a worker on another machine does: it opens a job, runs it, and closes the answer."""

from __future__ import annotations

from math import inf
from time import monotonic
from typing import Any

from genplan.planning import interruption
from genplan.planning.elsewhere.alike import what_runs_here
from genplan.planning.elsewhere.parcels import Parcel, opened


class Other:
    """The answer of a worker that runs something else: what."""

    def __init__(self, runs: tuple[str, ...]) -> None:
        self.runs = runs


class Raised:
    """The answer of a job that raised something."""

    def __init__(self, fault: Exception) -> None:
        self.fault = fault


def work(parcel: Parcel) -> Parcel | Other | Raised:
    """One job on a worker of Dask. An exception of the job comes back as a value, so one that Dask raises is about the
    way there: and Dask would write the job of the former into its log."""
    if parcel.alike != what_runs_here():
        return Other(what_runs_here())
    (function, given), closed = opened(parcel)
    _Cancelled.listen()
    try:
        return closed(function(*given))
    except Exception as fault:
        return Raised(fault)


class _Cancelled:
    """The moment at which the job that runs here was no longer wanted, for `interruption`: Dask takes away what waits,
    but cannot end what runs. Where a worker runs several jobs at a time nobody could tell which one is meant, so there
    each comes to its own end."""

    def __init__(self, worker: Any, key: str) -> None:
        self._worker, self._key, self._struck = worker, key, -inf

    @classmethod
    def listen(cls) -> None:
        from distributed import get_worker

        worker = get_worker()
        if worker.state.nthreads == 1:
            interruption.ask_here(cls(worker, worker.get_current_task()))

    @property
    def value(self) -> float:
        task = self._worker.state.tasks.get(self._key)
        if self._struck == -inf and (task is None or task.state == "cancelled"):
            self._struck = monotonic()
        return self._struck
