"""The sittings that people were told of, each with what of it can still be held."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from genplan.language import _
from genplan.language.dates import clock, day_and_month

if TYPE_CHECKING:
    from genplan.case import Absence, Week
    from genplan.case.wishes_of_planners import PlannersWish
    from genplan.evidence.log import Log
    from genplan.keeping.told import Told
    from genplan.plan import Sitting
    from genplan.planning.still_held import Against, AgainstKind
    from genplan.planning.week_context import WeekContext
    from genplan.rules.placed_sittings import PlacedSitting
    from genplan.workflow.opened_case import Opened


@dataclass(frozen=True)
class ToldSitting:
    """A sitting as people were told of it. Of one that is ahead `left` is what of it can still be held, None for
    nothing, and `against` what stands against the rest; one that has begun is not looked at any more. `in_force` is
    what of it people are to be there for: None where it is called off, `because` of what somebody said. What only a
    limit or a result stands against is not called off by anybody."""

    sitting: Sitting
    begun: bool
    left: PlacedSitting | None
    against: tuple[Against, ...] = ()
    because: tuple[Against, ...] = ()
    in_force: Sitting | None = None

    @property
    def as_held(self) -> Sitting:
        """With nobody beside where whoever was to be there cannot, or need not, and it can be held so."""
        from genplan.plan import Beside

        if self.left is None or self.left.beside:
            return self.sitting
        return replace(self.sitting, beside="", beside_as=Beside.NOBODY)

    @property
    def is_struck(self) -> bool:
        """It is called off."""
        return self.in_force is None

    @property
    def lacks_an_adult(self) -> bool:
        """Somebody else could stand in: an adult alone is what it cannot be held without."""
        from genplan.planning.still_held import OF_ADULTS

        return self.is_otherwise and all(a.kind in OF_ADULTS for a in self.against)

    @property
    def was_left_out(self) -> bool:
        """Somebody does not want it at all, so no other place is any help."""
        from genplan.planning.still_held import OF_THE_SITTING

        return any(a.kind in OF_THE_SITTING for a in (*self.against, *self.because))

    @property
    def is_written_off(self) -> bool:
        """Rows say that nothing of it was run."""
        from genplan.planning.still_held import AgainstKind

        return any(a.kind is AgainstKind.NOT_RUN for a in self.because)

    @property
    def fell_through(self) -> bool:
        """It can no longer be held at all."""
        return not self.begun and self.left is None

    @property
    def is_gone(self) -> bool:
        """It names what the case does not have any more."""
        from genplan.planning.still_held import AgainstKind

        return any(a.kind is AgainstKind.GONE for a in self.against)

    @property
    def is_otherwise(self) -> bool:
        """It can no longer be held as people were told."""
        return bool(self.against)

    @property
    def is_for_its_things(self) -> bool:
        """Only material sets stand against it, whoever runs it, and wherever."""
        return self.is_otherwise and all(a.is_for_its_thing for a in self.against)

    @property
    def still_ahead(self) -> Sitting | None:
        """What of it is still to come, in the words in which people were told of it."""
        if self.left is None:
            return None
        held = {(p.target, p.combination, p.kind) for p in self.left.probes}
        probes = tuple(p for p in self.sitting.probes if (p.target, p.combination, p.kind.value) in held)
        return replace(self.sitting, probes=probes, beside=self.left.beside, beside_as=self.left.beside_as)


def context_of_told(
    opened: Opened,
    week: Week,
    log: Log,
    busy: Mapping[str, tuple[Absence, ...]],
    kept: tuple[Sitting, ...] = (),
) -> WeekContext:
    """What sittings of the week are held against. A wish makes none impossible: it says what the next plan is to
    hold."""
    from genplan.planning.week_context import week_context_of

    without = replace(opened.case, wishes=())
    return week_context_of(without, log, week, opened.now, busy, kept)


def as_it_stands(
    context: WeekContext,
    sittings: Sequence[Sitting],
    strange: Mapping[Sitting, str],
    wishes: Sequence[PlannersWish] = (),
    *,
    of_results: bool = True,
) -> tuple[ToldSitting, ...]:
    """What of each sitting can still be held; `strange` are those that name what the case does not have any more. By
    `wishes` some are left out. Without the results (`of_results`) nobody knows who is new to a child."""
    from genplan.keeping.past_of_week import written_of
    from genplan.planning.assemble import seat_of
    from genplan.planning.still_held import Against, AgainstKind, not_there, still_held, with_all_of_the_week

    said = dict(_said_of(context.log, sittings, wishes))
    ahead = {
        s: seat_of(context.case, context.week, s)
        for s in sittings
        if s.start >= context.now and s not in strange and s not in said
    }
    held = {one.seat: one for one in still_held(context, ahead.values())}
    any_begun = any(s.start < context.now for s in sittings)
    whole = with_all_of_the_week(context) if any_begun else context

    def stands(s: Sitting) -> ToldSitting:
        begun = s.start < context.now
        if s in said:
            why = (Against(said[s]),)
            return ToldSitting(s, begun, None, () if begun else why, why)
        if s in ahead:
            one = held[ahead[s]]
            if of_results:
                return _in_force(ToldSitting(s, False, one.left, one.against), one.against)
            return _by_the_case(context, s, one.against)
        if s in strange:
            gone = (Against(AgainstKind.GONE, strange[s]),)
            return ToldSitting(s, False, None, gone, gone)
        # an hour that has come calls nothing on again: a row does, which says that it was run
        run = written_of(s, context.log, sittings)[0]
        against = () if run else not_there(whole, seat_of(context.case, context.week, s))
        return _in_force(ToldSitting(s, True, None), against)

    return tuple(map(stands, sittings))


def _by_the_case(context: WeekContext, sitting: Sitting, against: Sequence[Against]) -> ToldSitting:
    """A sitting ahead as far as the case alone says: what is owed, and who is new to a child, the results would."""
    from genplan.planning.assemble import seat_of
    from genplan.planning.still_held import OF_ALL, OF_PROBES, AgainstKind

    said = (OF_ALL | OF_PROBES | {AgainstKind.OBSERVER}) - {AgainstKind.NO_SECOND_ADULT}
    by_case = tuple(a for a in against if a.kind in said)
    one = _in_force(ToldSitting(sitting, False, None, by_case), by_case)
    left = seat_of(context.case, context.week, one.in_force) if one.in_force else None
    return replace(one, left=left)


def _in_force(one: ToldSitting, against: Sequence[Against]) -> ToldSitting:
    """With what of a sitting people are to be there for: without what somebody said stands against."""
    from genplan.plan import Beside
    from genplan.planning.still_held import OF_ALL, OF_PROBES, AgainstKind

    sitting = one.sitting
    if whole := tuple(a for a in against if a.kind in OF_ALL):
        return replace(one, because=whole)
    parts = tuple(a for a in against if a.kind in OF_PROBES)
    gone = {a.target for a in parts}
    probes = tuple(p for p in sitting.probes if p.target not in gone)
    if not probes:
        return replace(one, because=parts)
    kinds = {a.kind for a in against}
    alone = AgainstKind.OBSERVER in kinds or (bool(parts) and AgainstKind.NOT_NEEDED in kinds)
    left = replace(sitting, probes=probes)
    return replace(one, in_force=replace(left, beside="", beside_as=Beside.NOBODY) if alone else left)


def _said_of(
    log: Log, sittings: Sequence[Sitting], wishes: Sequence[PlannersWish]
) -> Iterator[tuple[Sitting, AgainstKind]]:
    """Of which sittings somebody said that they are not to be, or wrote down beforehand that they are not run; not
    where something of them was run all the same."""
    from genplan.case.wishes_of_planners import WishKind
    from genplan.keeping.past_of_week import written_of
    from genplan.keeping.wished_moves import arrived, moved_from
    from genplan.planning.still_held import AgainstKind

    came = arrived(wishes, sittings).values()
    named = (moved_from(w, sittings) for w in wishes if w.kind is WishKind.NOT)
    left_out = [s for s in named if s is not None and s not in came]
    for sitting in sittings:
        runs, not_run = written_of(sitting, log, sittings)
        if not runs and sitting in left_out:
            yield sitting, AgainstKind.LEFT_OUT
        elif not runs and not_run:
            yield sitting, AgainstKind.NOT_RUN


def cancelled_at(told: Told) -> str:
    """That people were told that the sitting is not held, and when."""
    at = told.changed.astimezone(told.sitting.start.tzinfo)
    return _(
        "The sitting {id} was cancelled on {day} at {time}.",
        id=told.sitting.id,
        day=day_and_month(at.date()),
        time=clock(at),
    )
