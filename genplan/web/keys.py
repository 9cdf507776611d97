"""Keys that people read from one screen and type on another."""

from __future__ import annotations

import secrets

KEY_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
"""Without those that are taken for each other."""


def fresh_key(groups: int = 4) -> str:
    """Five letters a group, about 25 bits, that can be read out and typed; without a word otherwise about 99 bits."""
    made = ("".join(secrets.choice(KEY_LETTERS) for _ in range(5)) for _ in range(groups))
    return "-".join(made)


def fits(typed: str, key: str) -> bool:
    """However it was typed: in capitals, with blanks, without hyphens. It takes as long whatever was typed."""
    return secrets.compare_digest(_letters(typed).encode(), _letters(key).encode())


def _letters(text: str) -> str:
    return "".join(c for c in text.lower() if c in KEY_LETTERS)
