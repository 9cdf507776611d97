"""What holds where nothing is said: the values of the policies that come with the program."""

from __future__ import annotations

from functools import lru_cache

from genplan.case import Policy
from genplan.casefile.policies import named_policy, policy_names


@lru_cache(maxsize=8)
def policy_of(name: str) -> Policy:
    """The named policy; that of a family, before anything was chosen."""
    return named_policy(name if name in policy_names() else "family")
