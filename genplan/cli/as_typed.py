"""A path as it is typed in a next command: in quotation marks where a blank or a quotation mark would part it."""

from __future__ import annotations

import os
import shlex
from pathlib import Path


def as_typed(path: Path) -> str:
    """For the shell of this system. Letters of any language stay as they are."""
    text = str(path)
    if os.name == "nt":
        return f'"{text}"' if " " in text else text
    return text if all(c.isalnum() or c in "-_./~,+@%=:" for c in text) else shlex.quote(text)
