"""What holds where nothing is said: the values of the policies that come with the program."""

from __future__ import annotations

from functools import lru_cache

from genplan.case import Policy
from genplan.casefile.policies import named_policy, policy_names
from genplan.language import Words
from genplan.start.answers import Answers


@lru_cache(maxsize=8)
def policy_of(name: str) -> Policy:
    """The named policy; that of a family, before anything was chosen."""
    return named_policy(name if name in policy_names() else "family")


def words_of(answers: Answers) -> Words:
    """As the policy that was chosen has it; plainly before, since whoever begins may be of any trade or none."""
    return Words(policy_of(answers.one("purpose", "policy")).words)
