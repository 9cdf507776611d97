"""What to look out for in a sitting, and what of it people were told, so that what has come since is told, too: a
caution that takes nothing out of the week would reach nobody else. So is what was told and no longer holds: people go
on keeping away what nobody asks them to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime

from genplan.case import Case
from genplan.case.cautions import EVERY_SITTING, OF_SIZE, Caution, CautionKind, cautions_for
from genplan.case.people import Learner
from genplan.case.possible import kept_away
from genplan.case.safety import allergens_met
from genplan.case.targets import MATERIAL_SET
from genplan.keeping.strange import is_known
from genplan.keeping.told import CautionTold, Told
from genplan.plan import Sitting

OF_ALLERGENS = (CautionKind.AVOID, CautionKind.ALLERGEN)


def sitting_cautions(case: Case, sitting: Sitting) -> tuple[Caution, ...]:
    """Raises KeyError for one that names what the case does not have."""
    learner = case.learners[sitting.learner]
    return cautions_for(case, learner, sets_of(case, sitting), sitting.location, sitting.start.date())


def sets_of(case: Case, sitting: Sitting) -> set[str]:
    """The ids of its material sets. Raises KeyError for one that names what the case does not have."""
    return {case.targets[p.target].value(p.combination, MATERIAL_SET) for p in sitting.probes}


def special_cautions(case: Case, sitting: Sitting) -> tuple[Caution, ...]:
    """Those that are not of every sitting."""
    return tuple(c for c in sitting_cautions(case, sitting) if c.kind not in EVERY_SITTING)


def _to_tell(case: Case, sitting: Sitting) -> tuple[CautionTold, ...]:
    """None of one that names what the case does not have."""
    found = special_cautions(case, sitting) if is_known(sitting, case) else ()
    return tuple(sorted({CautionTold(c.kind.value, c.material_set, c.found, c.months) for c in found}))


def with_cautions(case: Case, told: Sequence[Told], now: datetime) -> tuple[Told, ...]:
    """With what is told to look out for in what is ahead."""
    return tuple(
        replace(t, cautions=_to_tell(case, t.sitting)) if t.sitting.start >= now and not t.cancelled else t
        for t in told
    )


def new_cautions(case: Case, told: Told, sitting: Sitting) -> tuple[CautionTold, ...]:
    """One for each allergen or hazard. None of a week that an earlier version of the program kept: nobody knows what
    was told of it. A minimum age that was raised is more to look out for."""
    if told.cautions is None:
        return ()
    known, now = _each(told.cautions), _each(_to_tell(case, sitting))
    new = (c for c, months in now.items() if c not in known or 0 < known[c] < months)
    return tuple(CautionTold(*c, now[c]) for c in sorted(new))


def cautions_gone(case: Case, told: Told, sitting: Sitting) -> tuple[CautionTold, ...]:
    """What people were told to look out for with this child or with a thing that is still there, and is written down
    no more. Nothing of a thing that the child is kept from by now, nor where another day is the reason, or another size
    of the same thing: what there is to look out for now says that. Nor an allergen while another name that may mean it
    is written down."""
    if told.cautions is None or not (is_known(sitting, case) and is_known(told.sitting, case)):
        return ()
    now = _each((*_to_tell(case, told.sitting), *_to_tell(case, sitting)))
    child, day = case.learners[sitting.learner], sitting.start.date()
    used = {i for i in sets_of(case, sitting) if not kept_away(child, case.material_sets[i], day)}
    measured = {thing for kind, thing, __ in now if kind in OF_SIZE}
    unknown = {
        thing: frozenset(a for k, t, found in now if (k, t) == (kind, thing) for a in found)
        for kind, thing, __ in now
        if kind == CautionKind.CONTENT_UNKNOWN
    }
    gone: dict[tuple[str, str], list[str]] = {}
    for kind, thing, found in sorted(_each(told.cautions).keys() - now.keys()):
        if kind in OF_ALLERGENS and allergens_met(_allergens(case, child, thing), found):
            continue
        if kind == CautionKind.CONTENT_UNKNOWN and allergens_met(unknown.get(thing, frozenset()), found):
            continue
        if (not thing or thing in used) and not (kind in OF_SIZE and thing in measured):
            gone.setdefault((kind, thing), []).extend(found)
    return tuple(CautionTold(kind, thing, tuple(found)) for (kind, thing), found in gone.items())


def _allergens(case: Case, child: Learner, thing: str) -> frozenset[str]:
    """What is written down by now: of the thing, or that the child must not meet."""
    return frozenset(case.material_sets[thing].holds) if thing in case.material_sets else child.allergens


def _each(cautions: Iterable[CautionTold]) -> dict[tuple[str, str, tuple[str, ...]], int]:
    """One for each allergen or hazard, since of two one may go, and one may come: kind, set and what it is -> the
    minimum age."""
    apart = ((c, [(one,) for one in c.found] if c.found else [c.found]) for c in cautions)
    return {(c.kind, c.material_set, found): c.months for c, parts in apart for found in parts}
