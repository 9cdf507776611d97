"""A CSV file that is not in UTF-8, as the spreadsheet programs of Windows write one."""

from __future__ import annotations

import re

from genplan.casefile.plaintext import other_format
from genplan.evidence.delimited_text import lines_of
from genplan.evidence.sheet_faults import quoted
from genplan.findings import Finding, Severity
from genplan.language import _


def in_utf8(file: str, data: bytes) -> tuple[bytes, list[Finding]]:
    """What is not UTF-8 is read as the spreadsheet programs of Windows write a CSV file, if it may be that; the first
    line that shows it is told."""
    try:
        data.decode("utf-8")
        return data, []
    except UnicodeDecodeError:
        pass
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError:
        return data, []
    if other_format(data) or any(0x7F <= ord(c) < 0xA0 for c in text):
        return data, []
    number, line = next((n, t) for n, t in enumerate(lines_of(text), 1) if not t.isascii())
    word = next(w for w in re.findall(r"\S+", re.sub("[;,\t]", " ", line)) if not w.isascii())
    found = _("text that is not UTF-8, read as Windows-1252: {word}", word=quoted(word))
    hint = _("if a letter is wrong, save the file again as 'CSV UTF-8'")
    return text.encode(), [Finding(file, number, "", found, "", hint, Severity.WARNING)]
