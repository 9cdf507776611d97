"""A next command, as it is typed: what has a blank or a quotation mark in it stands in quotation marks. In a sentence
it comes last and without further marks, so that it can be copied to the end of the line."""

from __future__ import annotations

import os
import shlex


def command_of(*words: object) -> str:
    """`genplan` and the words behind it."""
    return " ".join(("genplan", *(as_typed(word) for word in words)))


def as_typed(word: object) -> str:
    """For the shell of this system. Letters of any language stay as they are."""
    text = str(word)
    if os.name == "nt":
        return f'"{text}"' if not text or " " in text else text
    return text if text and all(c.isalnum() or c in "-_./,+@%=:" for c in text) else shlex.quote(text)
