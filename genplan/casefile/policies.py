"""Policies: named ones that come with the program, files in a case folder, and keys written in the case
itself."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path as FilePath
from typing import Any

from genplan.case import Policy
from genplan.casefile.build import made
from genplan.casefile.diagnostics import Diagnostics, InvalidValue, Path
from genplan.casefile.domain_types import counted_in, untaught_in
from genplan.casefile.keys import POLICY, POLICY_KEYS
from genplan.casefile.keys.policy import LIKE, NO_OTHER
from genplan.casefile.paths import inside
from genplan.casefile.plaintext import MOST_BYTES
from genplan.casefile.said_once import joined_keys
from genplan.casefile.scalar_types import MISSING, shown
from genplan.casefile.tree import Leaf, Node, read_tree
from genplan.errors import unreadable
from genplan.files import read_file
from genplan.findings import nearest
from genplan.language import _, ngettext

Keys = dict[str, Node]
AT = ("policy",)
FEW = 2
"""Keys of a policy that says no more and is like no other: that is asked about."""


def policies_folder() -> FilePath:
    """The folder of the named policies: inside an installed package, or beside the package in a checkout."""
    package = FilePath(__file__).resolve().parents[1]
    installed = package / "configs"
    return installed if installed.is_dir() else package.parent / "configs"


def policy_names() -> tuple[str, ...]:
    """The names that `policy:` may give, sorted."""
    return tuple(sorted(p.stem for p in policies_folder().glob("*.yaml")))


def is_path(word: str) -> bool:
    return "/" in word or "\\" in word or word.endswith((".yaml", ".yml"))


def find_policy(word: str, case_folder: FilePath) -> FilePath:
    """The file of a named policy, or of a path relative to the case folder. Raises InvalidValue if there is none."""
    expected = _("one of {names}, or the path of a file in the case folder", names=", ".join(policy_names()))
    if is_path(word):
        return inside(case_folder, word, "our-policy.yaml")
    if word not in policy_names():
        raise InvalidValue(
            _("'{word}', which is no policy", word=word), expected, nearest(word, policy_names())
        )
    return policies_folder() / f"{word}.yaml"


def read_policy(node: Node | None, case_folder: FilePath, notes: Diagnostics) -> Policy:
    """The value of the case's `policy` -> Policy; problems are noted and the defaults stand in."""
    if node is None:
        return Policy()
    whole = whole_policy(node, case_folder, notes)
    if whole is None:
        return Policy()
    return policy_of(
        POLICY_KEYS.read(whole, AT, notes), FilePath(node.text).stem if isinstance(node, Leaf) else "own"
    )


def whole_policy(node: Node, case_folder: FilePath, notes: Diagnostics) -> Keys | None:
    """The keys of a policy, those of what it is like written out among them; None for one that is not there. Of a file
    of the user's the keys are marked under `policy`."""
    if not isinstance(node, dict) and (not isinstance(node, Leaf) or node.is_empty):
        expected = _("one of {names}, a path, or keys of a policy", names=", ".join(policy_names()))
        notes.error(AT, shown(node), expected)
        return None
    followed: set[FilePath] = set()
    whole = node if isinstance(node, dict) else _followed(node.text, AT, case_folder, notes, followed)
    if whole is None:
        return None
    _tell_what_is_left_out(whole, notes)
    while LIKE in whole:
        like, whole = whole[LIKE], {name: part for name, part in whole.items() if name != LIKE}
        word = POLICY[LIKE].kind.read(like, (*AT, LIKE), notes)
        other = (
            {} if word in (MISSING, NO_OTHER) else _followed(word, (*AT, LIKE), case_folder, notes, followed)
        )
        if other:
            whole = joined_keys(whole, other, POLICY)
    return whole


def _followed(
    word: str, at: Path, case_folder: FilePath, notes: Diagnostics, followed: set[FilePath]
) -> Keys | None:
    """What the file of a policy says, once; `at` is where it was named."""
    try:
        file = find_policy(word, case_folder)
    except InvalidValue as problem:
        notes.unclear(at, problem, "")
        return None
    if file in followed:
        notes.error(at, _("'{word}', which is like this policy itself", word=word), _("another policy"))
        return None
    followed.add(file)
    own = is_path(word)
    return _file_of_policy(file, word if own else f"configs/{file.name}", at, notes, own=own)


def _file_of_policy(file: FilePath, shown_as: str, at: Path, notes: Diagnostics, *, own: bool) -> Keys | None:
    """The keys of one that a user wrote are marked; of one that comes with the program nobody is sent to a line, but
    to where the case names it."""
    try:
        tree = read_tree(shown_as, read_file(file, MOST_BYTES))
    except OSError as problem:
        raise unreadable(file, problem) from problem
    notes.findings.extend(tree.findings)
    if own:
        notes.marks.pop((*AT, LIKE), None)  # it was followed, and the file may have one of its own
        notes.marks.update(
            {AT + path: mark for path, mark in tree.marks.items() if AT + path not in notes.marks}
        )
    return tree.root


def _tell_what_is_left_out(keys: Keys, notes: Diagnostics) -> None:
    """Of so few keys some thought that they change the policy that they had."""
    if LIKE in keys or not 0 < len(keys) <= FEW:
        return
    written = ", ".join(keys)
    notes.warning(
        (*AT, next(iter(keys))),
        ngettext("no key but '{written}'", "no keys but '{written}'", len(keys), written=written),
        _("what the others are like, such as 'like: family'"),
        _(
            "all other limits are those of no named policy now; write 'like: {none}' beside it if that is meant",
            none=NO_OTHER,
        ),
    )


def named_policy(name: str) -> Policy:
    """One that comes with the program."""
    return read_policy(Leaf(name, True), policies_folder(), Diagnostics(name))


def policy_of(record: Mapping[str, Any], name: str) -> Policy:
    """A record of policy keys -> Policy."""
    if record is MISSING:
        return Policy(name=name)
    criterion = record.get("generalised_when", {})
    return made(
        Policy,
        POLICY,
        record,
        name=name,
        generalised_when=counted_in(criterion),
        generalised_untaught=untaught_in(criterion, otherwise=False),
    )
