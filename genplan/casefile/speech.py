"""In which language and words a case is spoken of, found out before it is read and whatever else is wrong with it."""

from __future__ import annotations

import re
from contextlib import suppress
from pathlib import Path

from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.keys.policy import LIKE
from genplan.casefile.paths import inside
from genplan.casefile.plaintext import MOST_BYTES
from genplan.casefile.policies import is_path, policies_folder, policy_names
from genplan.casefile.tree import Leaf, Node, read_tree
from genplan.errors import unreadable
from genplan.files import read_file
from genplan.language import LANGUAGES, Speech, Words

AT_THE_TOP = re.compile(
    rb"""^["']?(?:words|language|policy|like)["']?[ ]*:.*\n(?:(?:[ \t#\r].*)?\n)*""", re.MULTILINE
)
"""The lines of these keys, as a file has them whose keys stand one below the other."""
IN_LINES = re.compile(
    rb"""(?:(?:%|---|[ \t]*(?:#|\r?\n)).*\n?)*"""  # what may stand before the first key
    rb"""["']?[\w-]+["']?[ ]*:(?s:.)*""",
)
NO_LINE_OF_THESE = re.compile(
    rb"""^(?!["']?[\w-]+["']?[ ]*:|[ \t#\r\n]|---|$)|\r(?!\n)|\xc2\x85|\xe2\x80[\xa8\xa9]""", re.MULTILINE
)
"""What such a file has nowhere: a line that begins in another way, an end of line that is none of its own."""
MOST_FOLLOWED = 20
"""Policies that are like another one; of more, or of some in a circle, the words are not looked for."""


def speech_of(folder: Path, language: str | None = None) -> Speech:
    """As the case says; `language` goes before the case's own. What is not said, or not well, is English of the
    trade. Raises FileError for what is there and cannot be read: else files would be written in other words."""
    said: dict[str, str] = {}
    for file in _files(folder):
        said |= _said_in(file, folder)
    words = said.get("words") or said.get("words of the policy")
    return Speech(
        language or (said["language"] if said.get("language") in LANGUAGES else LANGUAGES[0]),
        Words.PLAIN if words == Words.PLAIN else Words.TRADE,
    )


def is_begun(folder: Path) -> bool:
    """Whether anything there could say how it is spoken of."""
    return bool(_files(folder))


def _files(folder: Path) -> list[Path]:
    try:
        return sorted(p for p in folder.iterdir() if p.suffix == ".yaml" and not p.name.startswith("."))
    except (FileNotFoundError, NotADirectoryError):
        return []
    except OSError as problem:
        raise unreadable(folder, problem) from problem


def _said_in(file: Path, folder: Path) -> dict[str, str]:
    tree = _top_of(file)
    said = {key: leaf.text for key in ("words", "language") if isinstance(leaf := tree.get(key), Leaf)}
    if words := _words_of(tree.get("policy"), folder):
        said["words of the policy"] = words
    return said


def _words_of(policy: Node | None, folder: Path, further: int = MOST_FOLLOWED) -> str:
    """What a policy says, or what it is like."""
    if isinstance(policy, Leaf):
        policy = _policy_named(policy.text, folder)
    if not isinstance(policy, dict):
        return ""
    if isinstance(words := policy.get("words"), Leaf):
        return words.text
    return _words_of(policy.get(LIKE), folder, further - 1) if further else ""


def _policy_named(word: str, folder: Path) -> Node | None:
    if is_path(word):
        with suppress(InvalidValue):
            return _top_of(inside(folder, word))
        return None
    return _top_of(policies_folder() / f"{word}.yaml") if word in policy_names() else None


def _top_of(file: Path) -> dict[str, Node]:
    """What the file says of these keys. Of one whose keys stand one below the other their lines alone are read, which
    takes less and needs nothing of the rest to be right; any other layout, and a reference, takes the whole."""
    try:
        data = read_file(file, MOST_BYTES) if file.is_file() else b""
    except OSError as problem:
        raise unreadable(file, problem) from problem
    if IN_LINES.fullmatch(data) and not NO_LINE_OF_THESE.search(data):
        tree = read_tree(file.name, b"".join(AT_THE_TOP.findall(data + b"\n")))
        if not tree.findings:
            return tree.root
    return read_tree(file.name, data).root
