"""The neighbourhoods of the search for a caseload, in the order of their turns. Each is one line, and the search is
whole without any of them."""

from __future__ import annotations

from math import inf

from genplan.planning.progress import Phase
from genplan.planning.search import (
    bottleneck_days,
    competitor_pairs,
    construction,
    displacement,
    finish,
    short_days,
)
from genplan.planning.search.loop import Operator
from genplan.planning.search_settings import SETTINGS

FINISHING = Operator(
    "finishing",
    finish.everybody,
    finish.settle_comfort,
    patience=inf,
    phase=Phase.FINISHING,
    comfort=True,
)
OPERATORS = (
    Operator("in turn", construction.everybody, construction.give_a_turn, patience=inf, phase=Phase.IN_TURN),
    Operator("days of who falls short", short_days.days_of_the_short, short_days.make_room),
    Operator(
        "giving way",
        displacement.worst_off,
        displacement.give_what_is_wanted,
        patience=SETTINGS.give_way_rounds,
    ),
    Operator(
        "crowded days", bottleneck_days.scarce_days, bottleneck_days.share_out, passes=SETTINGS.day_passes
    ),
    Operator("pairs", competitor_pairs.pairs, competitor_pairs.plan_together, patience=SETTINGS.pair_rounds),
    FINISHING,
)
WON_BACK = (
    Operator("one by one", finish.everybody, finish.settle_comfort, patience=inf),
    Operator(
        "pairs", competitor_pairs.pairs, competitor_pairs.plan_together, patience=SETTINGS.won_back_rounds
    ),
)
"""Those that win back what was lost, where nothing else is planned."""
