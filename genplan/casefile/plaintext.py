"""Bytes of a file -> its text, or why they are none."""

from __future__ import annotations

import re

from genplan.casefile.invisible_characters import escape_invisible
from genplan.findings import Finding
from genplan.language import _
from genplan.language.numbers import decimals

MOST_BYTES = 5_000_000

# Line breaks that only YAML knows would put every later line number off by one.
UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")


def text_of(file: str, data: bytes, findings: list[Finding]) -> str | None:
    """The text without a byte order mark, or None after a finding."""
    if len(data) > MOST_BYTES:
        found, most = (
            _("a file of {size} MB", size=decimals(len(data) / 1_000_000, 1)),
            _("at most {most} MB", most=MOST_BYTES // 1000000),
        )
        findings.append(Finding(file, 0, "", found, most, _("is it the right file?")))
        return None
    if what := other_format(data):
        hint = _("save it as plain text with the encoding UTF-8, or take it out of the folder")
        findings.append(Finding(file, 1, "", what, _("UTF-8 text"), hint))
        return None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = len(re.findall(b"\r\n|\r|\n", data[: problem.start])) + 1
        hint = _("save the file again with the encoding UTF-8")
        findings.append(Finding(file, line, "", not_utf8(data, problem.start), _("UTF-8 text"), hint))
        return None
    unseen = UNSEEN.search(text)
    if unseen:
        line = len(re.findall("\r\n|\r|\n", text[: unseen.start()])) + 1
        found = _(
            "an invisible control character (U+{code:04X}{behind})",
            code=ord(unseen[0]),
            behind=_behind(text[: unseen.start()]),
        )
        findings.append(
            Finding(file, line, "", found, _("plain text"), _("delete it and type the line again"))
        )
        return None
    return text


def not_utf8(data: bytes, at: int) -> str:
    """In words, the byte at which these bytes cease to be UTF-8 text."""
    return _(
        "a character that is not UTF-8 (byte {byte:#04x}{behind})",
        byte=data[at],
        behind=_behind(data[:at].decode()),
    )


def _behind(before: str) -> str:
    """The end of what stands before a fault in its line, to find it by."""
    told = re.split("[\r\n]", before)[-1].strip()[-20:]
    return _(" behind '{told}'", told=escape_invisible(told)) if told else _(" at the start of the line")


def other_format(data: bytes) -> str:
    """What a file is that is no UTF-8 text though its name says so, as far as its first bytes show it."""
    if data.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        return _("a spreadsheet, a text document or another packed file")
    if data.startswith(b"%PDF-"):
        return _("a PDF document")
    head = data[:64]
    halves = head[::2].count(0), head[1::2].count(0)
    if head.startswith((b"\xff\xfe", b"\xfe\xff")) or (max(halves) > len(head) // 4 and min(halves) == 0):
        return _("text in the encoding UTF-16 or UTF-32")
    return ""
