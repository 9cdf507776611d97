"""What holds where nothing is said: the values of the policies that come with the program."""

from __future__ import annotations

from functools import lru_cache

from genplan.case import Policy
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.policies import load_policy, policies_folder, policy_names


@lru_cache(maxsize=8)
def policy_of(name: str) -> Policy:
    """The named policy; that of a family, before anything was chosen."""
    word = name if name in policy_names() else "family"
    file = policies_folder() / f"{word}.yaml"
    return load_policy(file, file.name, Diagnostics(file.name), own=False)
