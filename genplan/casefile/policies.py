"""Policies: named ones that come with the program, files in a case folder, and keys written in the case
itself."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path as FilePath
from typing import Any

from genplan.case import Policy
from genplan.casefile.build import made
from genplan.casefile.diagnostics import Diagnostics, InvalidValue
from genplan.casefile.domain_types import counted_in, untaught_in
from genplan.casefile.keys import POLICY, POLICY_KEYS
from genplan.casefile.paths import inside
from genplan.casefile.plaintext import MOST_BYTES
from genplan.casefile.scalar_types import MISSING, shown
from genplan.casefile.tree import Leaf, Node, read_tree
from genplan.files import read_file
from genplan.findings import nearest
from genplan.language import _

AT = ("policy",)


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
    if isinstance(node, dict):
        return policy_of(POLICY_KEYS.read(node, AT, notes), "own")
    if not isinstance(node, Leaf) or node.is_empty:
        notes.error(
            AT, shown(node), _("one of {names}, a path, or keys of a policy", names=", ".join(policy_names()))
        )
        return Policy()
    try:
        file = find_policy(node.text, case_folder)
    except InvalidValue as problem:
        notes.unclear(AT, problem, "")
        return Policy()
    own = is_path(node.text)
    return load_policy(file, node.text if own else f"configs/{file.name}", notes, own=own)


def load_policy(file: FilePath, shown_as: str, notes: Diagnostics, *, own: bool = True) -> Policy:
    """The policy of one file. The keys of one that a user wrote are marked under `policy`; of one that comes with the
    program nobody is sent to a line, but to where the case names it."""
    try:
        tree = read_tree(shown_as, read_file(file, MOST_BYTES))
    except OSError as problem:
        notes.error(
            AT,
            _("'{shown_as}', which cannot be read ({problem})", shown_as=shown_as, problem=problem.strerror),
            _("a file"),
        )
        return Policy()
    notes.findings.extend(tree.findings)
    if own:
        notes.marks.update({AT + path: mark for path, mark in tree.marks.items()})
    return policy_of(POLICY_KEYS.read(tree.root, AT, notes), file.stem)


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
