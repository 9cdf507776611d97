"""Starting and ending the server: on loopback, on a free port, with one line that says where."""

from __future__ import annotations

import os
import signal
import socket
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.errors import FileError, UsageError, reason_of
from genplan.language import N_, _, said

if TYPE_CHECKING:
    import uvicorn

ADDRESS = "127.0.0.1"
NEEDS = N_(
    "A package that the local page is made with is missing. Install the program anew with: pip install ."
)
"""It comes with the program; somebody may have taken it out, or copied the folder by hand."""


@dataclass(frozen=True)
class ForPhones:
    """That phones are let in: at which address of this machine, empty for the one that is found, and with what
    certificate and its key, if any."""

    address: str
    certificate: tuple[Path, Path] | None


def serve(
    folder: Path,
    port: int | None,
    browser: bool,
    now: datetime | None,
    tell: Callable[[str], None],
    phones: ForPhones | None = None,
    language: str | None = None,
) -> None:
    """Answers until it is interrupted. Without a port a free one is taken. Raises UsageError without the
    page's packages, FileError for a port that is taken or a folder that cannot be."""
    try:
        import python_multipart  # noqa: F401

        from genplan.web.app import build
        from genplan.web.app_state import AppState
        from genplan.web.connections import Server
        from genplan.web.gate import write_entrance
        from genplan.web.phones_server import checked, phones_let_in, told_of_phones
        from genplan.web.reading_ahead import read_ahead
        from genplan.web.scratch import clear_left_behind
    except ImportError as missing:
        raise UsageError(f"{said(NEEDS)} ({missing.name})") from None
    if folder.exists() and not folder.is_dir():
        raise FileError(
            _("{folder} is a file. Name the case folder, or one that does not exist yet.", folder=folder)
        )
    address, certificate = checked(phones) if phones else ("", None)
    listening = _listen(port)
    number = listening.getsockname()[1]
    clear_left_behind()
    site = AppState(folder, now, language)
    server = Server(build(site, number), tell)
    ends = ExitStack()
    try:
        _end_in_order(server)
        site.get_ready()
        read_ahead(site)
        tell(
            _(
                "The page is open to this machine alone, at {address}",
                address=f"http://{ADDRESS}:{number}/",
            )
        )
        tell(_("It asks a browser for this key: {key}", key=site.key))
        if phones:
            found = ends.enter_context(phones_let_in(site, address, certificate, tell))
            for sentence in told_of_phones(found):
                tell(sentence)
        tell(_("Stop it with Ctrl+C."))
        if browser:
            _open_browser(write_entrance(site, number).as_uri())
        server.run(sockets=[listening])
    except KeyboardInterrupt:
        pass  # how it ends; the server does not always hand the interrupt on
    finally:
        ends.close()
        site.close()
        listening.close()
    tell(_("The page is closed."))


def _end_in_order(server: uvicorn.Server) -> None:
    """A shutdown or a terminal that is closed ends it as an interrupt does: its search is stopped, and what was not
    kept goes. Without this the server would hand the signal on, and the process be gone before."""
    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, server.handle_exit)


def _listen(port: int | None) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listen_on(listening, ADDRESS, port)
    return listening


def listen_on(listening: socket.socket, address: str, port: int | None) -> int:
    """The port that it listens on, a free one where None is asked for. Raises FileError, and closes the socket."""
    try:
        # connections of a page that was closed linger for a minute, and would keep its port as long; elsewhere than on
        # POSIX the first of these would let another program take a port that is in use
        option = "SO_REUSEADDR" if os.name == "posix" else "SO_EXCLUSIVEADDRUSE"
        listening.setsockopt(socket.SOL_SOCKET, getattr(socket, option), 1)
        listening.bind((address, port or 0))
        listening.listen()
    except OSError as error:
        listening.close()
        what = _("port {port}", port=port) if port else _("address {address}", address=address)
        fix = (
            _("Name another with --port, or leave it out.")
            if port
            else _("Is it this machine's in its network now?")
        )
        raise FileError(
            _("The {what} cannot be used ({why}). {fix}", what=what, why=reason_of(error), fix=fix)
        ) from error
    return int(listening.getsockname()[1])


def _open_browser(address: str) -> None:
    import threading
    import webbrowser

    # some browsers return only once they are closed
    threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
