"""Words typed -> one call of a function in `genplan.workflow` -> an exit code. No logic, no heavy import.

Nothing of ours is imported at the top: an interrupt while a program loads is as likely as any other, and only inside
`main` can it be told in a sentence.
"""

from __future__ import annotations

import gc
import sys
from _thread import interrupt_main, start_new_thread

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence

FAULT = 70
INTERRUPTED = 130
SELDOM = 1_000_000, 50, 100
"""How seldom a command looks for values that point at each other: it makes very many that stay, and lives for seconds.
With Python's own numbers that was a tenth of its time."""
DEBUG = "GENPLAN_DEBUG"
N_ = str  # marks a sentence for the catalogue, as `genplan.language` does: nothing of ours is imported here
STOPPED = N_("Stopped before it was finished. No half-written file was left behind.")


def main(argv: Sequence[str] | None = None) -> int:
    """Runs one command and returns its exit code; the codes are listed in `genplan --help`.

    An error that nobody foresaw is raised only with GENPLAN_DEBUG=1 in the environment."""
    before, sys.unraisablehook = sys.unraisablehook, _raise_again
    searched = gc.get_threshold()
    gc.set_threshold(*SELDOM)
    try:
        from genplan.cli.exit_codes import run

        return run(argv)
    except KeyboardInterrupt as stop:
        if sys.stderr is not None:
            sys.stderr.write(f"{stop}\n" if str(stop) else f"{STOPPED}\n")
        return INTERRUPTED
    finally:
        sys.unraisablehook = before
        gc.set_threshold(*searched)


def _raise_again(what: sys.UnraisableHookArgs) -> None:
    """An interrupt can fall into a moment in which Python has to pass it over, such as the end of an import; it would
    be printed with its traceback, and the command would go on."""
    if isinstance(what.exc_value, KeyboardInterrupt):
        # from another thread: raised in here it would be passed over as well
        start_new_thread(interrupt_main, ())
    else:
        sys.__unraisablehook__(what)
