"""Ctrl+C while a week is searched: once, and the best week so far comes out; twice, and nothing does."""

from __future__ import annotations

import os
import signal
import sys
import threading
from argparse import Namespace
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from genplan.cli import INTERRUPTED, output
from genplan.language import N_, _, said

if TYPE_CHECKING:
    from genplan.workflow import PlanOutcome

    Plans = Mapping[Path, tuple[int, int]]

BEST, NOTHING = "best", "nothing"
HEARD = N_(
    "Stopping: the best week so far is being made ready. Ctrl+C "
    "once more stops at once and leaves all as it was."
)

NO_ANSWER = N_("Stopped before there was an answer. This command writes nothing, so nothing was changed.")


def add_interrupt(parser: Any) -> None:
    parser.add_argument(
        "--interrupt",
        choices=(BEST, NOTHING),
        default=BEST,
        help=_(
            "what Ctrl+C gives: 'best', the best week so far (a second "
            "Ctrl+C: nothing), or 'nothing'; default: best"
        ),
    )


@contextmanager
def ends_with(sentence: str) -> Iterator[None]:
    """An interrupt within the block is told in this sentence."""
    try:
        yield
    except KeyboardInterrupt as stop:
        raise KeyboardInterrupt(said(sentence)) from stop


@contextmanager
def best_so_far(words: Namespace) -> Iterator[Plans]:
    """Until the block ends the first Ctrl+C ends the search, and not the program. Where nothing is searched yet or any
    more, and at the second, it is the interrupt that it always is. Who had switched it off is left alone. Gives the
    plans that were in the folder of `--out` before."""
    before = _plans_in(words.out)
    try:
        with _first_ends_the_search(words):
            yield before
    except KeyboardInterrupt as stop:
        as_it_was = words.out is not None and _plans_in(words.out) == before
        raise KeyboardInterrupt(
            _("No week was ready yet. {out} is as it was.", out=words.out) if as_it_was else ""
        ) from stop


def _plans_in(out: Path | None) -> Plans:
    """By which file, and of when, one can tell whether a plan was replaced."""
    found = {}
    for path in (out / "plan.json", *out.glob("*/plan.json")) if out is not None else ():
        with suppress(OSError):
            found[path] = (path.stat().st_ino, path.stat().st_mtime_ns)
    return found


@contextmanager
def _first_ends_the_search(words: Namespace) -> Iterator[None]:
    usual = threading.current_thread() is threading.main_thread() and (
        signal.getsignal(signal.SIGINT) is signal.default_int_handler
    )
    if words.interrupt == NOTHING or not usual:
        yield
        return
    signal.signal(signal.SIGINT, _end_the_search)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def _end_the_search(number: int, frame: Any) -> None:
    from genplan.planning.interruption import interrupt

    if not interrupt():
        raise KeyboardInterrupt
    clear = "\r\x1b[K" if sys.stderr is not None and sys.stderr.isatty() else ""
    # past Python's own buffer: the interrupt may have come in the middle of a line that is being written to it
    with suppress(OSError, ValueError, AttributeError):
        os.write(sys.stderr.fileno(), f"{clear}{said(HEARD)}\n".encode())


def code_of(interrupted: bool, out: Path | None, before: Plans, *, not_kept: bool = False) -> int:
    """The exit code of a search, with a sentence where it was interrupted; `before` are the plans that were there,
    `not_kept`: it would have been kept."""
    if not interrupted:
        return 0
    _tell_of(_("the best week found by then"), out, replaced=out is not None and out / "plan.json" in before)
    if not_kept:
        output.tell(_("It was not kept: what people were told before still stands."))
    return INTERRUPTED


def code_of_weeks(outcomes: Sequence[PlanOutcome], wanted: int, out: Path | None, before: Plans) -> int:
    """The same for several weeks of which so many were wanted."""
    cut = outcomes[-1].plan.interrupted
    if len(outcomes) == wanted and not cut:
        return 0
    begun = _("{number} of {wanted} weeks", number=len(outcomes), wanted=wanted)
    if cut:
        begun = _(
            "{number} of {wanted} weeks, the last as it was found by then",
            number=len(outcomes),
            wanted=wanted,
        )
    weeks = [str(o.plan.week) for o in outcomes]
    _tell_of(begun, out, replaced=out is not None and any(out / w / "plan.json" in before for w in weeks))
    return INTERRUPTED


def _tell_of(what: str, out: Path | None, *, replaced: bool) -> None:
    where = _(" and was written to {out}", out=out) if out is not None else ""
    if replaced:
        where = _(" and was written to {out}, in the place of a plan that was there before", out=out)
    output.tell(
        _(
            "You stopped the search after {seconds:.0f} s. What you see "
            "is {what}{where}. Plan again for a better one.",
            seconds=output.progress.seconds,
            what=what,
            where=where,
        )
    )
