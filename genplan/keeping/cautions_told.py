"""What to look out for in a sitting, and what of it people were told, so that what has come since is told, too: a
caution that takes nothing out of the week would reach nobody else. So is what was told and no longer holds: people go
on keeping away what nobody asks them to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from genplan.case import Case
from genplan.case.cautions import EVERY_SITTING, OF_SIZE, Caution, cautions_for
from genplan.case.possible import kept_away
from genplan.case.targets import MATERIAL_SET
from genplan.keeping.strange import is_known
from genplan.keeping.told import CautionTold, Told
from genplan.plan import Sitting


def sitting_cautions(case: Case, sitting: Sitting) -> tuple[Caution, ...]:
    """Raises KeyError for one that names what the case does not have."""
    learner = case.learners[sitting.learner]
    return cautions_for(case, learner, _sets(case, sitting), sitting.location, sitting.start.date())


def _sets(case: Case, sitting: Sitting) -> set[str]:
    return {case.targets[p.target].value(p.combination, MATERIAL_SET) for p in sitting.probes}


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


def new_cautions(case: Case, told: Told, sitting: Sitting) -> tuple[CautionTold, ...]:
    """One for each allergen or hazard. None of a week that an earlier version of the program kept: nobody knows what
    was told of it."""
    if told.cautions is None:
        return ()
    return tuple(sorted(_each(_to_tell(case, sitting)) - _each(told.cautions)))


def cautions_gone(case: Case, told: Told, sitting: Sitting) -> tuple[CautionTold, ...]:
    """What people were told to look out for with this child or with a thing that is still there, and is written down
    no more. Nothing of a thing that the child is kept from by now, nor where another day is the reason, or another size
    of the same thing: what there is to look out for now says that."""
    if told.cautions is None or not (is_known(sitting, case) and is_known(told.sitting, case)):
        return ()
    now = _each((*_to_tell(case, told.sitting), *_to_tell(case, sitting)))
    child, day = case.learners[sitting.learner], sitting.start.date()
    used = {i for i in _sets(case, sitting) if not kept_away(child, case.material_sets[i], day)}
    measured = {c.material_set for c in now if c.kind in OF_SIZE}
    gone: dict[tuple[str, str], list[str]] = {}
    for kind, thing, found in sorted(_each(told.cautions) - now):
        if (not thing or thing in used) and not (kind in OF_SIZE and thing in measured):
            gone.setdefault((kind, thing), []).extend(found)
    return tuple(CautionTold(kind, thing, tuple(found)) for (kind, thing), found in gone.items())


def _each(cautions: Iterable[CautionTold]) -> set[CautionTold]:
    """One for each allergen or hazard: of two one may go, and one may come."""
    apart = ((c, [(one,) for one in c.found] if c.found else [c.found]) for c in cautions)
    return {CautionTold(c.kind, c.material_set, found) for c, parts in apart for found in parts}
