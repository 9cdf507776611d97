"""How much of what people were told a plan leaves as it was, counted once more."""

from __future__ import annotations

from genplan.audit.context import AuditContext
from genplan.plan import Sitting


def as_told(matter: AuditContext) -> float:
    """Of each sitting told and still ahead: 2 if one of its people, place and day keeps its time, 1 for each probe,
    each teaching and for a companion or teacher beside that stays in such a one, and 2 more if one keeps all."""
    return sum(_kept_of(matter, old) for old in matter.kept if old.start >= matter.plan.now)


def _kept_of(matter: AuditContext, old: Sitting) -> int:
    same = [s for s in matter.new if _meeting(s) == _meeting(old)]
    accompanied = bool(_company(old))
    worth = 2 if any(s.start == old.start for s in same) else 0
    worth += len(_run(old) & {p for s in same for p in _run(s)})
    if accompanied and any(_company(s) == old.beside for s in same):
        worth += 1
    for s in same:
        if s.start == old.start and _run(s) == _run(old) and (not accompanied or s.beside == old.beside):
            return worth + 2
    return worth


def _meeting(s: Sitting) -> tuple[object, ...]:
    return s.learner, s.adult, s.location, s.start.date()


def _company(s: Sitting) -> str:
    return s.beside if s.beside_as.value in ("companion", "teacher") else ""


def _run(s: Sitting) -> set[tuple[object, ...]]:
    return {(p.target, p.combination, p.kind.is_probe) for p in s.probes}
