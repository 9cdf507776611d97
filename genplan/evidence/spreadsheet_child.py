"""The process that opens a spreadsheet: `python -m genplan.evidence.spreadsheet_child`, the file on standard input,
a JSON document on standard output."""

from __future__ import annotations

import json
import os
import sys

from genplan.evidence.spreadsheet import MEMORY_BYTES, SECONDS, answer_for


def main() -> None:
    _limit()
    print(json.dumps(answer_for(sys.stdin.buffer.read())))


def _limit() -> None:
    if os.name == "posix":
        import resource

        for what, most in ((resource.RLIMIT_AS, MEMORY_BYTES), (resource.RLIMIT_CPU, SECONDS)):
            _, hard = resource.getrlimit(what)
            # some systems know a limit and refuse to set it: the clock still holds there
            try:
                resource.setrlimit(what, (most if hard == resource.RLIM_INFINITY else min(most, hard), hard))
            except (ValueError, OSError):
                continue


if __name__ == "__main__":
    main()
