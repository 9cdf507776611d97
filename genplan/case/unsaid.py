"""Which allergens a child must not have, and nobody has said of a thing whether it holds them."""

from __future__ import annotations

from datetime import date

from genplan.case.model import Case
from genplan.case.people import Learner
from genplan.case.possible import kept_away
from genplan.case.safety import MaterialSet, allergens_met
from genplan.case.targets import MATERIAL_SET


def things_of(case: Case, learner: Learner) -> tuple[MaterialSet, ...]:
    """All that its skills name, each once."""
    varied = (i for target in case.targets_of(learner.id) for i in target.values_of(MATERIAL_SET))
    return tuple(case.material_sets[i] for i in dict.fromkeys(varied))


def unsaid_allergens(case: Case, learner: Learner, thing: MaterialSet, on: date) -> tuple[str, ...]:
    """Those without an answer, of each thing alike: nobody can tell by a name that it is no food. None of what the
    child is kept from, or of a set of nothing."""
    if not learner.allergens or thing.is_nothing or thing.holds_nothing or kept_away(learner, thing, on):
        return ()
    by_name = allergens_met(learner.allergens, thing.maybe_by_name)
    return tuple(sorted(thing.left_unsaid(learner.allergens.union(by_name))))
