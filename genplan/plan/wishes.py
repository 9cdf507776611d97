"""What became of the wishes of whoever plans the weeks."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.rules.limits import Limit

DECIDING = (WishKind.HOLD, WishKind.MOVE, WishKind.ADD)
"""The wishes that settle a sitting."""


class Unkept(StrEnum):
    """Why a wish is not kept."""

    UNKNOWN = "no such sitting"
    BEGUN = "begun"
    RULES = "rules"
    WISHES = "other wishes"
    NOT_FOUND = "not found"


@dataclass(frozen=True, kw_only=True)
class WishAnswer:
    """What became of a wish for the week.

    - `wish`: which
    - `kept`: whether the plan keeps it
    - `sitting`: the id of the sitting of the plan by which it is kept; empty where none is
    - `why`: why it is not
    - `limits`: the rules that stand in the way
    - `against`: the kept wishes beside each of which it cannot be kept
    - `nearest`: a hint at the sitting that may be meant, where there is none of the id
    - `proven`: no week that keeps all that are kept keeps this one too, and none keeps more
    - `broken_on`: of a kept wish that two things are apart, the days on which they have begun together already
    - `stay`: of a kept wish for another adult, the ids of what people were told of with others in its stretch and that
      is held beside it"""

    wish: PlannersWish
    kept: bool
    sitting: str = ""
    why: Unkept | None = None
    limits: tuple[Limit, ...] = ()
    against: tuple[PlannersWish, ...] = ()
    nearest: str = ""
    proven: bool = True
    broken_on: tuple[date, ...] = ()
    stay: tuple[str, ...] = ()
