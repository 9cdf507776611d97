"""One command run, and every way in which it can end as an exit code and a sentence."""

from __future__ import annotations

import os
from collections.abc import Sequence

from genplan.cli import DEBUG, FAULT, output
from genplan.cli.parser import read_words
from genplan.cli.workers_option import elsewhere
from genplan.errors import FileError, GenplanError


def run(argv: Sequence[str] | None) -> int:
    """As `genplan.cli.main`, but an interrupt is raised."""
    output.let_any_character_pass()
    try:
        words = read_words(argv)
        with elsewhere(words):
            code: int = words.run(words)
        output.flush()
        return code
    except KeyboardInterrupt:
        output.progress.clear()
        raise
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else 2
    except GenplanError as error:
        return _told(str(error), error.exit_code)
    except output.NobodyReads:  # no error
        output.drop_what_cannot_be_shown()
        return 0
    except OSError as error:
        output.drop_what_cannot_be_shown()
        return _told(f"A file could not be read or written: {error}.", FileError.exit_code)
    except Exception as error:
        if os.environ.get(DEBUG) == "1":
            raise
        return _told(_fault(error), FAULT)


def _fault(error: Exception) -> str:
    return (
        f"This is a fault of the program, not of your files ({type(error).__name__}: {error})."
        f" To see where it happened, set {DEBUG}=1 in the environment and run it again."
    )


def _told(sentence: str, code: int) -> int:
    output.tell(sentence)
    return code
