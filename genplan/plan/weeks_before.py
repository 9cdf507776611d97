"""What the weeks before have given to adults and learners already, where fairness looks back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from genplan.plan.sittings import Sitting


@dataclass(frozen=True)
class WeeksBefore:
    """`weeks` before the planned one are looked at; 0: none, as where every week is fair by itself.

    - `minutes`: adult -> minutes of sittings, held or told, that did not fall through
    - `tuples`: learner -> tuples that were shown for the first time"""

    weeks: int = 0
    minutes: Mapping[str, int] = field(default_factory=dict)
    tuples: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class ToldLately:
    """A sitting of an earlier week as people were told of it last."""

    sitting: Sitting
    cancelled: bool = False
