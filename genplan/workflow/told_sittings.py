"""The sittings that people were told of, each with what of it can still be held."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from genplan.case import Absence, Week
    from genplan.evidence.log import Log
    from genplan.plan import Sitting
    from genplan.planning.still_held import Against
    from genplan.planning.week_context import WeekContext
    from genplan.rules.placed_sittings import PlacedSitting
    from genplan.workflow.opened_case import Opened


@dataclass(frozen=True)
class ToldSitting:
    """A sitting as people were told of it. Of one that is ahead `left` is what of it can still be held, None for
    nothing, and `against` what stands against the rest; one that has begun is not looked at any more."""

    sitting: Sitting
    begun: bool
    left: PlacedSitting | None
    against: tuple[Against, ...] = ()

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
    context: WeekContext, sittings: Sequence[Sitting], strange: Mapping[Sitting, str]
) -> tuple[ToldSitting, ...]:
    """What of each sitting can still be held; `strange` are those that name what the case does not have any more."""
    from genplan.planning.assemble import seat_of
    from genplan.planning.still_held import Against, AgainstKind, still_held

    ahead = {
        s: seat_of(context.case, context.week, s)
        for s in sittings
        if s.start >= context.now and s not in strange
    }
    held = {one.seat: one for one in still_held(context, ahead.values())}

    def stands(s: Sitting) -> ToldSitting:
        if s in ahead:
            return ToldSitting(s, False, held[ahead[s]].left, held[ahead[s]].against)
        if s in strange:
            return ToldSitting(s, False, None, (Against(AgainstKind.GONE, strange[s]),))
        return ToldSitting(s, True, None)

    return tuple(map(stands, sittings))
