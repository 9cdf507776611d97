"""Run by hand, with the library atheris: `python -m tests.threats.bad_input.fuzz READER SECONDS [FOLDER]` feeds a
reader with inputs that reach code which none before reached. What it raises beyond the sentences is printed with the
input, and belongs into the corpus. FOLDER keeps the inputs for the next time."""

from __future__ import annotations

import signal
import sys
import tempfile
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["genplan", "yaml", "icalendar", "recurring_ical_events"]):
    from tests.fixtures.corpus import BASES, base, entries
    from tests.fixtures.file_readers import SENTENCES, Readers
    from tests.fixtures.telling import whole_case

LONGEST = 10
"""Seconds of work for one input; a calendar may take longer, since the program reads it in a process that is ended
then."""


class TooLong(BaseException):
    """The time for one input is over."""


def _stop(*_: object) -> None:
    raise TooLong


def main(reader: str, seconds: int, kept: Path) -> None:
    folder = Path(tempfile.mkdtemp())
    read = Readers(folder, whole_case(folder)).all()[reader]
    kept.mkdir(parents=True, exist_ok=True)
    for i, data in enumerate([base(reader).encode(), *(e.data for e in entries() if e.reads == reader)]):
        if len(data) < 20_000:
            (kept / f"seed-{i}").write_bytes(data)

    def once(data: bytes) -> None:
        signal.setitimer(signal.ITIMER_VIRTUAL, LONGEST)
        try:
            read(data)
        except SENTENCES:
            return
        except TooLong:
            print(f"longer than {LONGEST} s: {data!r}", flush=True)
            if reader != "calendar":
                raise
        finally:
            signal.setitimer(signal.ITIMER_VIRTUAL, 0)

    signal.signal(signal.SIGVTALRM, _stop)
    atheris.Setup(
        [sys.argv[0], str(kept), f"-max_total_time={seconds}", "-max_len=6000", "-timeout=60"], once
    )
    atheris.Fuzz()


if __name__ == "__main__":
    if sys.argv[1] not in BASES:
        sys.exit(f"one of {', '.join(BASES)}")
    main(sys.argv[1], int(sys.argv[2]), Path(sys.argv[3] if len(sys.argv) > 3 else tempfile.mkdtemp()))
