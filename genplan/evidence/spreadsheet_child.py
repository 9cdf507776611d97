"""The process that opens a spreadsheet: `python -m genplan.evidence.spreadsheet_child`, the file on standard input,
a JSON document on standard output. With the word `all` every sheet, else the first as a table."""

from __future__ import annotations

import json
import sys

from genplan.evidence.spreadsheet import answer_for
from genplan.evidence.workbook import sheets_for
from genplan.fence import as_the_program_speaks, limit_memory, limit_work

if __name__ == "__main__":
    limit_memory()
    limit_work()
    answer = sheets_for if sys.argv[1:] == ["all"] else answer_for
    with as_the_program_speaks():
        print(json.dumps(answer(sys.stdin.buffer.read())))
