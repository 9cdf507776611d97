"""The words by which a command is searched by workers elsewhere, and what is told of it."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from genplan.cli import output
from genplan.errors import UsageError
from genplan.language import _


def add_workers(parser: Any) -> None:
    parser.add_argument(
        "--workers",
        metavar="ADDRESS",
        help=_(
            "search on other machines: the address of a scheduler of Dask, such as tls://192.168.1.20:8786"
        ),
    )
    parser.add_argument(
        "--workers-config",
        metavar="FILE",
        type=Path,
        help=_(
            "the file of Dask's configuration that names the keys for tls://; default: where Dask looks for one"
        ),
    )
    parser.add_argument(
        "--workers-unencrypted",
        action="store_true",
        help=_("let others on the way read what is sent to the workers"),
    )


@contextmanager
def elsewhere(words: Namespace) -> Iterator[None]:
    """Within the block the workers that were named search, if any were; then it is told how much was sent."""
    address = getattr(words, "workers", None)
    if address is None:
        if getattr(words, "workers_config", None) or getattr(words, "workers_unencrypted", False):
            raise UsageError(
                _("--workers-config and --workers-unencrypted go with --workers only: it says where to.")
            )
        yield
        return
    from genplan.planning.elsewhere.addresses import Elsewhere
    from genplan.workflow import searching_at

    where = Elsewhere(address, words.workers_config, words.workers_unencrypted)
    with searching_at(where) as traffic:
        yield
    output.tell(
        _(
            "Sent to {address}: {jobs} searches, {sent} kB; {back} kB came back.",
            address=address,
            jobs=traffic.jobs,
            sent=-(-traffic.sent // 1000),
            back=-(-traffic.came_back // 1000),
        )
    )
