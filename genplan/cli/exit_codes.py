"""One command run, and every way in which it can end as an exit code and a sentence."""

from __future__ import annotations

import atexit
import gc
import os
import sys
from collections.abc import Sequence
from contextlib import ExitStack

from genplan.cli import DEBUG, FAULT, STOPPED, output
from genplan.cli.parser import read_words
from genplan.cli.spoken import as_the_case_says, asked_for
from genplan.cli.workers_option import elsewhere
from genplan.errors import FileError, GenplanError, file_and_reason
from genplan.language import _, said, speaking

# what is there at the end is neither looked through for the last time nor taken apart: that took a seventh of a command
# with many rows or a large case
atexit.register(gc.freeze)


def run(argv: Sequence[str] | None) -> int:
    """As `genplan.cli.main`, but an interrupt is raised."""
    output.let_any_character_pass()
    with ExitStack() as spoken:
        spoken.enter_context(speaking(asked_for(sys.argv[1:] if argv is None else argv)))
        return _ended(argv, spoken)


def _ended(argv: Sequence[str] | None, spoken: ExitStack) -> int:
    """In the language that was asked for, and as the case says once it is known which."""
    try:
        words = read_words(argv)
        spoken.enter_context(speaking(as_the_case_says(words)))
        with elsewhere(words):
            code: int = words.run(words)
        output.flush()
        return code
    except KeyboardInterrupt as stop:
        output.progress.clear()
        raise KeyboardInterrupt(str(stop) or said(STOPPED)) from stop
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else 2
    except GenplanError as error:
        return _told(str(error), error.exit_code)
    except output.NobodyReads:  # no error
        output.drop_what_cannot_be_shown()
        return 0
    except OSError as error:
        output.drop_what_cannot_be_shown()
        return _told(
            _("A file could not be read or written: {error}.", error=file_and_reason(error)),
            FileError.exit_code,
        )
    except Exception as error:
        if os.environ.get(DEBUG) == "1":
            raise
        return _told(_fault(error), FAULT)


def _fault(error: Exception) -> str:
    return _(
        "This is a fault of the program, not of your files ({kind}: {error}). To see "
        "where it happened, set {debug}=1 in the environment and run it again.",
        kind=type(error).__name__,
        error=error,
        debug=DEBUG,
    )


def _told(sentence: str, code: int) -> int:
    output.tell(sentence)
    return code
