"""How much of what people were told a plan leaves as it was, counted once more."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from genplan.audit.context import AuditContext
from genplan.plan import Beside, Sitting


def people_told(matter: AuditContext) -> frozenset[tuple[str, str]]:
    """Everybody who has to be told something: the learner and the adults of each sitting that is new, that is not held
    any more, or in which anything is otherwise."""
    before = {_words(old): old for old in matter.kept if old.start >= matter.plan.now}
    after = {_words(s): s for s in matter.ahead}
    changed = [s for words, s in before.items() if words not in after]
    changed += [s for words, s in after.items() if words not in before]
    people: set[tuple[str, str]] = set()
    for s in changed:
        people.add(("learner", s.learner))
        people.add(("adult", s.adult))
        if s.beside:
            people.add(("adult", s.beside))
    return frozenset(people)


def people_told_are_named(matter: AuditContext) -> Iterator[str]:
    """Where people were told of the week, the plan names all who have to be told something, and nobody else."""
    named = matter.plan.people_told
    if named is not None and set(named) != people_told(matter):
        wrong = sorted(set(named) ^ people_told(matter))
        yield f"People told: {', '.join(' '.join(p) for p in wrong)}: named or left out by mistake."
    if named is not None and len(set(named)) != len(named):
        yield "People told: somebody is named twice."


def otherwise(matter: AuditContext) -> float:
    """The sittings told and still ahead that are not held in the very same words, whoever observes."""
    now = [_unwatched(s) for s in matter.ahead]
    return sum(_unwatched(old) not in now for old in matter.kept if old.start >= matter.plan.now)


def _unwatched(s: Sitting) -> tuple[object, ...]:
    return _words(replace(s, beside="", beside_as=Beside.NOBODY) if s.beside_as.value == "observer" else s)


def _words(s: Sitting) -> tuple[object, ...]:
    """All that people are told of a sitting."""
    probes = tuple((p.target, p.combination, p.kind.value, p.trials) for p in s.probes)
    return s.learner, s.adult, s.location, s.start, s.end, s.beside, s.beside_as.value, probes


def as_told(matter: AuditContext) -> float:
    """Of each sitting told and still ahead: 2 if one of its people and day keeps its time; 1 for each probe, each
    teaching and for a companion or teacher beside that stays in one of its place too, and 2 more if one keeps all. What
    somebody decided is nothing that a search could lose or keep."""
    decided = [_words(s) for s in matter.ahead if s.begun]
    before = (old for old in matter.kept if old.start >= matter.plan.now)
    return sum(_kept_of(matter, old) for old in before if _words(old) not in decided)


def _kept_of(matter: AuditContext, old: Sitting) -> int:
    own = matter.by_learner.get(old.learner, [])
    met = [s for s in own if not s.begun and _meeting(s) == _meeting(old)]
    same = [s for s in met if s.location == old.location]
    accompanied = bool(_company(old))
    worth = 2 if any(s.start == old.start for s in met) else 0
    worth += len(_run(old) & {p for s in same for p in _run(s)})
    if accompanied and any(_company(s) == old.beside for s in same):
        worth += 1
    for s in same:
        if s.start == old.start and _run(s) == _run(old) and (not accompanied or s.beside == old.beside):
            return worth + 2
    return worth


def _meeting(s: Sitting) -> tuple[object, ...]:
    return s.learner, s.adult, s.start.date()


def _company(s: Sitting) -> str:
    return s.beside if s.beside_as.value in ("companion", "teacher") else ""


def _run(s: Sitting) -> set[tuple[object, ...]]:
    return {(p.target, p.combination, p.kind.is_probe) for p in s.probes}
