"""Characters that nobody sees: made visible in findings, and told apart from those that a text needs.

Two ids that differ in one of them look the same to whoever compares them, and a terminal obeys some.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

TURNING = "\u202a-\u202e\u2066-\u2069"
"""They turn the direction of all text behind them (Unicode Standard Annex 9)."""
IDLE = "\u00ad\u180e\u200b\u2060-\u2065\u206a-\u206f\ufeff\ufff9-\ufffb"
"""They leave nothing to see and mean nothing in a name."""

HIDDEN = re.compile(f"[{TURNING}{IDLE}]")


def escape_invisible(text: str) -> str:
    """The text with its unseen characters written out, such as ⟨U+200E⟩."""
    return "".join(sign if sign.isprintable() else f"⟨U+{ord(sign):04X}⟩" for sign in text)


def cut(text: str, most: int = 60) -> str:
    """The text made visible, and short enough for a line."""
    return escape_invisible(text if len(text) <= most else text[: most - 1] + "…")


def same_form(text: str) -> str:
    """One form for texts that look alike: composed letters (Unicode NFC), every kind of space a plain one."""
    if text.isascii():
        return text
    spaced = "".join(" " if unicodedata.category(sign) == "Zs" else sign for sign in text)
    return unicodedata.normalize("NFC", spaced)


@lru_cache(maxsize=4096)
def alike(text: str) -> str:
    """Equal for texts that differ only in capitals or in how a letter is coded."""
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", text).casefold())
