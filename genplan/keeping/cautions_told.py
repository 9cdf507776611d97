"""What to look out for in a sitting, and what of it people were told, so that what has come since is told, too: a
caution that takes nothing out of the week would reach nobody else."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from genplan.case import Case
from genplan.case.cautions import EVERY_SITTING, Caution, cautions_for
from genplan.case.targets import MATERIAL_SET
from genplan.keeping.strange import is_known
from genplan.keeping.told import CautionTold, Told
from genplan.plan import Sitting


def sitting_cautions(case: Case, sitting: Sitting) -> tuple[Caution, ...]:
    """Raises KeyError for one that names what the case does not have."""
    sets = {case.targets[p.target].value(p.combination, MATERIAL_SET) for p in sitting.probes}
    learner = case.learners[sitting.learner]
    return cautions_for(case, learner, sets, sitting.location, sitting.start.date())


def special_cautions(case: Case, sitting: Sitting) -> tuple[Caution, ...]:
    """Those that are not of every sitting."""
    return tuple(c for c in sitting_cautions(case, sitting) if c.kind not in EVERY_SITTING)


def _to_tell(case: Case, sitting: Sitting) -> tuple[CautionTold, ...]:
    """None of one that names what the case does not have."""
    found = special_cautions(case, sitting) if is_known(sitting, case) else ()
    return tuple(sorted({CautionTold(c.kind.value, c.material_set, c.found) for c in found}))


def with_cautions(case: Case, told: Sequence[Told], now: datetime) -> tuple[Told, ...]:
    """With what is told to look out for in what is ahead."""
    return tuple(
        replace(t, cautions=_to_tell(case, t.sitting)) if t.sitting.start >= now and not t.cancelled else t
        for t in told
    )


def has_new_cautions(case: Case, told: Told, sitting: Sitting) -> bool:
    """None of a week that an earlier version of the program kept: nobody knows what was told of it."""
    return told.cautions is not None and not set(_to_tell(case, sitting)) <= set(told.cautions)
