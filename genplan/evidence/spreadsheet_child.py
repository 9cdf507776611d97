"""The process that opens a spreadsheet: `python -m genplan.evidence.spreadsheet_child`, the file on standard input,
a JSON document on standard output."""

from __future__ import annotations

import json
import sys

from genplan.evidence.spreadsheet import answer_for
from genplan.fence import limit_memory, limit_work

if __name__ == "__main__":
    limit_memory()
    limit_work()
    print(json.dumps(answer_for(sys.stdin.buffer.read())))
