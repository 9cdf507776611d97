"""The way to a scheduler of Dask, for as long as a run takes."""

from __future__ import annotations

import logging
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from ssl import SSLError
from typing import TYPE_CHECKING

from genplan.errors import SolverError, UsageError
from genplan.language import _
from genplan.planning.elsewhere.addresses import Elsewhere
from genplan.planning.elsewhere.executor import Traffic, WorkersElsewhere

if TYPE_CHECKING:
    from distributed import Client

CONNECT_SECONDS = 10


@contextmanager
def workers_elsewhere(where: Elsewhere, traffic: Traffic) -> Iterator[WorkersElsewhere]:
    """The scheduler's workers, as an executor, until the block ends; `traffic` is counted on. Raises SolverError where
    they cannot be reached or all are gone, UsageError and FileError where it is not said well where they are, or by
    which keys."""
    where.check()
    with _quiet(), _client(where) as client:
        executor = WorkersElsewhere(client, where, traffic)
        try:
            _wait_for_one(client, where)
            executor.look_at_workers()
            yield executor
        finally:
            executor.shutdown()


@contextmanager
def _quiet() -> Iterator[None]:
    """Dask writes to the terminal what is told here in a sentence, and versions of its own parts that differ."""
    quiet = [n for n in logging.root.manager.loggerDict if n.startswith("distributed.")]
    before = {name: logging.getLogger(name).level for name in quiet}
    for name in quiet:
        logging.getLogger(name).setLevel(logging.CRITICAL + 1)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            yield
        finally:
            for name, level in before.items():
                logging.getLogger(name).setLevel(level)


@contextmanager
def _client(where: Elsewhere) -> Iterator[Client]:
    try:
        from distributed import Client
    except ImportError:
        raise UsageError(
            _(
                "Searching on other machines needs a library that is not installed: pip install 'genplan[dask]', here"
                " and on each of them."
            )
        ) from None
    security = where.security()
    try:
        client = Client(where.address, security=security, timeout=CONNECT_SECONDS, set_as_default=False)
    except (OSError, ValueError, SSLError) as error:
        raise SolverError(
            _(
                "No scheduler of Dask answers at {address} ({why}). Look whether 'dask scheduler' runs there, whether"
                " the address is the one that it printed, and whether its keys and yours are signed by the same"
                " authority. No plan was written.",
                address=where.address,
                why=_why(error),
            )
        ) from error
    with client:
        yield client


def _why(error: BaseException) -> str:
    """The innermost cause: Dask's own words are about its parts."""
    while (cause := error.__cause__ or error.__context__) is not None:
        error = cause
    return f"{type(error).__name__}: {error}"[:200]


def _wait_for_one(client: Client, where: Elsewhere) -> None:
    try:
        client.wait_for_workers(1, timeout=CONNECT_SECONDS)
    except TimeoutError:
        raise SolverError(
            _(
                "The scheduler at {address} has no workers. Start some with 'dask worker {address} --nthreads 1', one"
                " for each core. No plan was written.",
                address=where.address,
            )
        ) from None
