"""What is held back by a caution, in words: that it is, and why, in the place of any word of a probe to come."""

from __future__ import annotations

from datetime import date

from genplan.case import Case, Combination, Target
from genplan.case.possible import kept_from
from genplan.case.targets import MATERIAL_SET
from genplan.language import _
from genplan.text.obstacles import obstacle_text


def held_back_text(case: Case, target: Target, combination: Combination, on: date) -> str:
    """A sentence on a thing from which the learner is kept on the day `on`; empty where it is kept from none."""
    why = kept_from(case, target, target.value(combination, MATERIAL_SET), on)
    if why is None:
        return ""
    return _("It is held back for now, neither taught nor probed: {why}.", why=obstacle_text(case, why))
