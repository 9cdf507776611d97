"""The long verbs that write no files of their own, in a process of their own: what the workflow gave back goes into a
file of this run, for the page to draw.

Called by `searching`; what it says on the way, and why it failed, goes to stderr as the command line would say it.
"""

from __future__ import annotations

import json
import pickle
import sys
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from genplan.case import Week
from genplan.errors import GenplanError


def _forecast(folder: Path, week: Week | None, now: datetime | None, asked: Mapping[str, Any]) -> object:
    from genplan import workflow

    return workflow.forecast(
        folder, week, now, asked["weeks"], _tell, asked["taught_within"], asked["learner"], asked["seed"]
    )


def _why(folder: Path, week: Week | None, now: datetime | None, asked: Mapping[str, Any]) -> object:
    from genplan import workflow

    return workflow.why(folder, week, now, _tell, asked["learner"], asked["target"])


VERBS: Mapping[str, Callable[[Path, Week | None, datetime | None, Mapping[str, Any]], object]] = {
    "forecast": _forecast,
    "why": _why,
}


def _tell(sentence: str) -> None:
    print(sentence, file=sys.stderr, flush=True)


def main(verb: str, folder: str, out: str, asked: str) -> int:
    """`asked` is JSON: week and now as text or null, and what the verb wants beside."""
    told: dict[str, Any] = json.loads(asked)
    week = Week.parse(told["week"]) if told["week"] else None
    now = datetime.fromisoformat(told["now"]) if told["now"] else None
    try:
        found = VERBS[verb](Path(folder), week, now, told)
        Path(out).write_bytes(pickle.dumps(found))
    except GenplanError as error:
        _tell(str(error))
        return error.exit_code
    except OSError as error:
        _tell(f"A file could not be read or written: {error}.")
        return 3
    return 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
