"""A process that ends when the page does, also when the page was killed.

The page holds the other end of stdin and writes nothing: an end of file says that the page is gone.
"""

from __future__ import annotations

import os
import signal
import subprocess
import threading
import time

GRACE_SECONDS = 5.0


def end_with_the_page() -> None:
    """From now on this process, and the solvers that it starts, end when the page is gone."""
    threading.Thread(target=_watch, daemon=True).start()


def _watch() -> None:
    try:
        while os.read(0, 1):
            pass
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
