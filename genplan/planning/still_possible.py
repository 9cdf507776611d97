"""What of the sittings that people were told of can still be held just so."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from genplan.case.second_adults import Beside
from genplan.plan import ProbeKind, sitting_minutes
from genplan.planning.caseload_problem import Caseload
from genplan.planning.companions import company, company_in
from genplan.planning.needs import Choice, TargetNeed
from genplan.planning.observer_options import obstacle_to
from genplan.planning.openings import Opening, companions_for
from genplan.planning.told_anew import as_run
from genplan.rules.clashes import set_missing
from genplan.rules.placed_sittings import PlacedSitting, people_in
from genplan.rules.together import everything_between, is_barred_from


def impossible(load: Caseload) -> tuple[PlacedSitting, ...]:
    """The sittings told that cannot be held just so, whatever else is planned; an observer is no part of that."""
    needs = {n.id: n for n in load.needs}
    return tuple(s for s in load.told if not _is_possible(load, needs, as_run(s)))


def unwatched(load: Caseload) -> tuple[PlacedSitting, ...]:
    """The sittings told whose observer cannot be there, or counts nothing any more, whatever else is planned."""
    asked = bool(load.case.policy.observed_share)
    return tuple(
        s
        for s in load.told
        if s.beside_as is Beside.OBSERVER
        and not (
            asked and s.tests and obstacle_to(load.case, load.free, as_run(s), s.beside, load.begun) is None
        )
    )


def could_be_held(load: Caseload, own: Sequence[PlacedSitting], others: Sequence[PlacedSitting]) -> bool:
    """Whether these sittings of one learner could be held together beside others' ones."""
    needs = {n.id: n for n in load.needs if any(n.target.learner == s.learner for s in own)}
    load = replace(
        load, needs=tuple(needs.values())
    )  # so that only the openings of this learner are looked for
    return all(
        _is_possible(load, needs, as_run(seat))
        and _has_room(load, seat, (*others, *(s for s in own if s is not seat)))
        for seat in own
    )


def held_together(load: Caseload) -> tuple[tuple[PlacedSitting, ...], bool]:
    """The sittings told, but for those that are lost, and whether all of them can be held together; else those that
    could be, one after the other, first those of people who are not told anything anyway."""
    wanted = [s for s in load.told if s not in load.lost]
    needs, kept = {n.id: n for n in load.needs}, list[PlacedSitting]()
    for seat in sorted(wanted, key=lambda s: (people_in(s) <= load.told_anyway, s)):
        if _has_room(load, seat, kept) and _is_owed_beside(needs, seat, kept):
            kept.append(seat)
    kept = _showing(load, kept)
    return tuple(sorted(kept)), len(kept) == len(wanted)


def _is_possible(load: Caseload, needs: Mapping[str, TargetNeed], seat: PlacedSitting) -> bool:
    """Whether its people and its place are free, what is run in it is still owed, and nothing that has begun stands
    against it."""
    owed = [(needs[p.target], p) for p in seat.probes if p.target in needs]
    found = [c for need, p in owed if (c := need.choice_for(p, seat.day))]
    return (
        len(found) == len(seat.probes)
        and seat.minutes == sitting_minutes(load.case, seat.probes)
        and seat.start % load.case.policy.start_every_minutes == 0
        and any(_lies_in(seat, o) for o in load.openings.get(seat.learner, ()))
        and not any(set_missing(name, seat, load.free.missing.get(name, ())) for name in seat.material_sets)
        and _is_accompanied(load, seat, found)
        and _has_room(load, seat, ())
    )


def is_owed(needs: Iterable[TargetNeed], seat: PlacedSitting) -> bool:
    """Whether all that is run in a sitting is owed."""
    by_target = {n.id: n for n in needs}
    return all(p.target in by_target and by_target[p.target].choice_for(p, seat.day) for p in seat.probes)


def _lies_in(seat: PlacedSitting, opening: Opening) -> bool:
    same = (seat.adult, seat.location) == (opening.adult, opening.location)
    return same and opening.start <= seat.start and seat.end <= opening.end


def _is_accompanied(load: Caseload, seat: PlacedSitting, choices: Iterable[Choice]) -> bool:
    """Whether who sits beside can still be there, and is still there for something."""
    opening = Opening(
        learner=seat.learner, adult=seat.adult, location=seat.location, start=seat.start, end=seat.end
    )
    taught = [set(c.beside) for c in choices if c.beside]
    there = companions_for(load.case, load.free, [opening], load.begun).get(opening)
    wanted = Beside.COMPANION if there is not None else Beside.TEACHER if taught else Beside.NOBODY
    if wanted is Beside.TEACHER:
        adults = load.free.adults_at(seat.location)
        who = company(load.case, adults, set.union(*taught), seat.learner, seat.location, load.begun)
        there = company_in(who, seat.start, seat.end)
    if seat.beside_as is not wanted or wanted is Beside.NOBODY:
        return seat.beside_as is wanted
    sits = any(w.adult == seat.beside and w.start <= seat.start and seat.end <= w.end for w in there or ())
    may_teach = all(seat.beside in who for who in taught)
    return sits and may_teach and not is_barred_from(load.case, seat.beside, seat)


def _has_room(load: Caseload, seat: PlacedSitting, others: Sequence[PlacedSitting]) -> bool:
    """Whether the seat breaks no rule beside what has begun, what was recorded and these others."""
    beside, free = (*load.begun, *others), load.free
    limits = everything_between(load.case, seat, beside, free.recorded, free.recorded_teachings)
    return next(limits, None) is None


def _is_owed_beside(
    needs: Mapping[str, TargetNeed], seat: PlacedSitting, others: Sequence[PlacedSitting]
) -> bool:
    """Whether all that is due or taught in the seat is still owed where these others are held: less may be asked for
    than people were told of. What its new probes show is asked of all together (`_showing`)."""
    return all(
        needs[p.target].beside(others).choice_for(p, seat.day) for p in seat.probes if p.kind != ProbeKind.NEW
    )


def _showing(load: Caseload, kept: list[PlacedSitting]) -> list[PlacedSitting]:
    """Without sittings in which a new probe shows nothing that no other shows on its day or before, late ones first."""
    shows = {(c.target, c.combination): set(c.shows) for n in load.needs for c in n.of_kind(ProbeKind.NEW)}
    left = list(kept)
    for seat in sorted(kept, key=lambda s: s.start, reverse=True):
        for probe in (p for p in seat.probes if p.kind == ProbeKind.NEW):
            others = {
                t
                for s in left
                for p in s.probes
                if p.kind == ProbeKind.NEW and p.target == probe.target and p != probe and s.day <= seat.day
                for t in shows[p.target, p.combination]
            }
            if shows[probe.target, probe.combination] <= others and seat in left:
                left.remove(seat)
    return left
