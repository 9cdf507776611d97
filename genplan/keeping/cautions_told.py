"""What people were told to look out for in a sitting, so that what has come since is told, too: a caution that takes
nothing out of the week would reach nobody else."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from genplan.case import Case
from genplan.case.cautions import EVERY_SITTING, cautions_for
from genplan.case.targets import MATERIAL_SET
from genplan.keeping.strange import strange_things
from genplan.keeping.told import CautionTold, Told
from genplan.plan import Sitting


def cautions_to_tell(case: Case, sitting: Sitting) -> tuple[CautionTold, ...]:
    """Those that are not of every sitting; none of one that names what the case does not have."""
    if next(strange_things(sitting, case), None) is not None:
        return ()
    sets = {case.targets[p.target].value(p.combination, MATERIAL_SET) for p in sitting.probes}
    learner = case.learners[sitting.learner]
    found = cautions_for(case, learner, sets, sitting.location, sitting.start.date())
    keys = {CautionTold(c.kind.value, c.material_set, c.found) for c in found if c.kind not in EVERY_SITTING}
    return tuple(sorted(keys))


def with_cautions(case: Case, told: Sequence[Told], now: datetime) -> tuple[Told, ...]:
    """With what is told to look out for in what is ahead."""
    return tuple(
        replace(t, cautions=cautions_to_tell(case, t.sitting))
        if t.sitting.start >= now and not t.cancelled
        else t
        for t in told
    )


def has_new_cautions(case: Case, told: Told, sitting: Sitting) -> bool:
    """None of a week that an earlier version of the program kept: nobody knows what was told of it."""
    return told.cautions is not None and not set(cautions_to_tell(case, sitting)) <= set(told.cautions)
