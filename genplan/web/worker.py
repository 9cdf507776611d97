"""The long verbs, each in a process of its own, so that a crash, a stop or a reload of the page cannot hurt anything.

Started by `searching`, to which it says line by line as JSON how far it is and, if it fails, why: see `Channel`.
"""

from __future__ import annotations

import base64
import json
import os
import pickle
import sys
import threading
import traceback
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from genplan.case import Week
from genplan.errors import GenplanError, file_and_reason
from genplan.language import Speech, Words, _, speaking, speech, speech_of_files
from genplan.planning.interruption import interrupt
from genplan.web.worker_lifetime import end_with_the_page

if TYPE_CHECKING:
    from genplan.workflow.watching import Draft

FAULT = 70
PROGRESS, PROBLEM, DRAFT = "progress", "problem", "draft"
SPEECH = "speech"


def told_of_speech() -> tuple[str, str, str]:
    """How things are said now: the language of the page, that of files, and the words."""
    return speech().language, speech_of_files().language, speech().words


class Channel:
    """The pipe to the page, in the place of standard output: whatever else prints there would break a line, so that
    goes where errors go. The solver's processes do not inherit it: it ends with this process."""

    def __init__(self) -> None:
        self._pipe, self._lock = os.fdopen(os.dup(1), "w", encoding="utf-8"), threading.Lock()
        os.dup2(2, 1)

    def progress(self, sentence: str) -> None:
        self._send(PROGRESS, sentence)

    def problem(self, sentence: str) -> None:
        self._send(PROBLEM, sentence)

    def draft(self, draft: Draft) -> None:
        self._send(DRAFT, base64.b64encode(pickle.dumps(draft)).decode("ascii"))

    def _send(self, kind: str, sentence: str) -> None:
        with self._lock:  # a search says what it does from several threads
            self._pipe.write(json.dumps({kind: sentence}) + "\n")
            self._pipe.flush()


def draft_of(sent: str) -> Draft:
    """What `Channel.draft` sent."""
    found: Draft = pickle.loads(base64.b64decode(sent))
    return found


Verb = Callable[[Path, Week, datetime | None, Path, Mapping[str, Any], Channel], None]
"""Case folder, week, now, what it writes, what it was asked for beside, the page, which hears how far it is."""


def _plan(
    folder: Path, week: Week, now: datetime | None, out: Path, asked: Mapping[str, Any], page: Channel
) -> None:
    from genplan import workflow

    if asked.get("deeper"):
        workflow.replan(folder, week, now, out, False, page.progress, deeper=True)
    elif asked["weeks"] == 1:
        workflow.plan(folder, week, now, out, page.progress, page.draft)
    else:
        workflow.plan_weeks(folder, week, asked["weeks"], now, out, page.progress, page.draft)


def _forecast(
    folder: Path, week: Week, now: datetime | None, out: Path, asked: Mapping[str, Any], page: Channel
) -> None:
    from genplan import workflow

    within, learner, seed = asked["taught_within"], asked["learner"], asked["seed"]
    found = workflow.forecast(folder, week, now, asked["weeks"], page.progress, within, learner, seed)
    out.write_bytes(pickle.dumps(found))


def _term(
    folder: Path, week: Week, now: datetime | None, out: Path, asked: Mapping[str, Any], page: Channel
) -> None:
    from genplan import workflow

    out.write_bytes(pickle.dumps(workflow.term(folder, week, now, asked["weeks"], page.progress)))


def _why(
    folder: Path, week: Week, now: datetime | None, out: Path, asked: Mapping[str, Any], page: Channel
) -> None:
    from genplan import workflow

    found = workflow.why(folder, week, now, page.progress, asked["learner"], asked["target"])
    out.write_bytes(pickle.dumps(found))


def _price(
    folder: Path, week: Week, now: datetime | None, out: Path, asked: Mapping[str, Any], page: Channel
) -> None:
    from genplan import workflow
    from genplan.case.wishes_of_planners import PlannersWish, WishKind

    wanted = PlannersWish(kind=WishKind.APART, two=(asked["one"], asked["other"]))
    out.write_bytes(pickle.dumps(workflow.price_of_wish(folder, wanted, now, page.progress)))


VERBS: Mapping[str, Verb] = {
    "plan": _plan,
    "forecast": _forecast,
    "term": _term,
    "why": _why,
    "price": _price,
}


READY = "ready"


def wait_for_words() -> list[str] | None:
    """Gets everything ready for a search, and waits for one: the words that `main` takes, as a line of JSON. None: the
    page is gone, or wants none."""
    from genplan import workflow  # noqa: F401
    from genplan.audit import audit  # noqa: F401
    from genplan.planning import planner  # noqa: F401

    line = b""
    while not line.endswith(b"\n"):
        if not (more := os.read(0, 1)):  # one by one: what comes after the line is for others
            return None
        line += more
    words: list[str] = json.loads(line)
    return words


def begin(*words: str) -> int:
    """`main` with these words, or, for `ready` and the folder of the page's run, with those that come later; the folder
    is there for who looks for what a page left behind."""
    if words[0] != READY:
        return main(*words)
    from genplan.planning.solver_pool import ready_pool

    with ready_pool():
        later = wait_for_words()
        return 0 if later is None else main(*later)


def main(verb: str, folder: str, out: str, asked: str) -> int:
    """`asked` is JSON: week and now as text, now null for the clock, how things are said (`told_of_speech`), and what
    the verb wants beside."""
    end_with_the_page(interrupt)
    channel = Channel()
    told: dict[str, Any] = json.loads(asked)
    of_page, of_files, words = told.pop(SPEECH)
    with speaking(Speech(of_page, Words(words)), Speech(of_files, Words(words))):
        return _done(verb, folder, out, told, channel)


def _done(verb: str, folder: str, out: str, told: Mapping[str, Any], channel: Channel) -> int:
    """The exit code; why it failed is said to the page."""
    now = datetime.fromisoformat(told["now"]) if told["now"] else None
    try:
        VERBS[verb](Path(folder), Week.parse(told["week"]), now, Path(out), told, channel)
    except GenplanError as error:
        channel.problem(str(error))
        return error.exit_code
    except OSError as error:
        channel.problem(_("A file could not be read or written: {error}.", error=file_and_reason(error)))
        return 3
    except Exception as error:
        traceback.print_exc()
        channel.problem(
            _(
                "This is a fault of the program, not of your files ({kind}: {error}).",
                kind=type(error).__name__,
                error=error,
            )
        )
        return FAULT
    return 0


if __name__ == "__main__":
    sys.exit(begin(*sys.argv[1:]))
