"""A process that ends when the page does, also when the page was killed.

The page holds the other end of stdin: an end of file says that the page is gone, and a byte that what was found by then
is wanted now.
"""

from __future__ import annotations

import os
import signal
import subprocess
import threading
import time
from collections.abc import Callable

GRACE_SECONDS = 5.0


def end_with_the_page(wanted_now: Callable[[], object] = lambda: None) -> None:
    """From now on this process, and the solvers that it starts, end when the page is gone. `wanted_now` is called, in a
    thread of its own, when the page asks for what was found by then."""
    threading.Thread(target=_watch, args=(wanted_now,), daemon=True).start()


def _watch(wanted_now: Callable[[], object]) -> None:
    try:
        while os.read(0, 1):
            wanted_now()
    except OSError:
        pass  # without a page at the other end there is nobody to search for either
    _end_all(signal.SIGTERM)
    time.sleep(GRACE_SECONDS)
    _end_all(getattr(signal, "SIGKILL", signal.SIGTERM))


def _end_all(how: signal.Signals) -> None:
    """This process and the solvers that it started."""
    if os.name != "posix":
        tree = ["taskkill", "/T", "/F", "/PID", str(os.getpid())]
        subprocess.run(tree, capture_output=True, check=False)
    elif os.getpgrp() == os.getpid():
        os.killpg(os.getpgrp(), how)
    else:
        os.kill(os.getpid(), how)
