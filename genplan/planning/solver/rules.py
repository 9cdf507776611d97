"""The rules that no plan may break, one short function each; `RULES` is the whole list.

What only one sitting decides (free hours, opening times, what is possible at all) is already in the openings and the
choices; these are of what sittings and probes do to each other.
"""

from __future__ import annotations

from collections.abc import Callable

from genplan.planning.solver.amounts import adult_amounts_hold, learner_amounts_hold, target_limits_hold
from genplan.planning.solver.places_and_sets import (
    adult_is_in_one_place,
    learner_rests_between_sittings,
    learner_travels,
    location_holds_its_capacity,
    material_sets_are_not_in_two_places,
    sets_are_there,
    stretches_hold_their_minutes,
)
from genplan.planning.solver.told_and_wished import held_sittings_stay, things_apart_keep_apart
from genplan.planning.solver.variables import Variables
from genplan.planning.solver.what_is_run import (
    copies_in_order,
    days_hold_their_probes,
    new_probes_show_something,
    nothing_is_probed_after_teaching,
    nothing_is_probed_twice,
    probes_only_in_held_sittings,
    sitting_minutes_hold,
)

Rule = Callable[[Variables], None]


RULES: tuple[Rule, ...] = (
    probes_only_in_held_sittings,
    sitting_minutes_hold,
    copies_in_order,
    learner_rests_between_sittings,
    stretches_hold_their_minutes,
    learner_travels,
    adult_is_in_one_place,
    location_holds_its_capacity,
    material_sets_are_not_in_two_places,
    sets_are_there,
    learner_amounts_hold,
    adult_amounts_hold,
    target_limits_hold,
    nothing_is_probed_twice,
    nothing_is_probed_after_teaching,
    new_probes_show_something,
    held_sittings_stay,
    things_apart_keep_apart,
    days_hold_their_probes,
)
