"""The week that people were told of, as it stands: what of it can no longer be held, and why."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.errors import UsageError
from genplan.findings import Finding
from genplan.workflow.opened_case import Opened, kept_ahead, open_case
from genplan.workflow.planning import facts_of

if TYPE_CHECKING:
    from genplan.plan import Sitting
    from genplan.planning.still_held import Against
    from genplan.planning.week_context import WeekContext
    from genplan.rules.placed_sittings import PlacedSitting


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


@dataclass(frozen=True)
class ToldWeek:
    """A kept week as it stands now, in order of time. `case` is as it is in the week, `context` are the facts it is
    planned from but for wishes, `about_week` warnings of its own calendars."""

    opened: Opened
    case: Case
    week: Week
    context: WeekContext
    sittings: tuple[ToldSitting, ...]
    about_week: tuple[Finding, ...] = ()

    @property
    def now(self) -> datetime:
        return self.opened.now

    @property
    def otherwise(self) -> tuple[ToldSitting, ...]:
        """The sittings that can no longer be held as people were told."""
        return tuple(s for s in self.sittings if s.is_otherwise)

    @property
    def staying(self) -> tuple[PlacedSitting, ...]:
        """What of the sittings ahead can still be held."""
        return tuple(s.left for s in self.sittings if s.left is not None)


def told_week(folder: Path, week: Week | None, now: datetime | None) -> ToldWeek:
    """A kept week; without one, the first that is not over. Raises UsageError if it was not kept, CaseError."""
    opened = open_case(folder, now)
    return told_week_of(opened, week or first_told(opened))


def first_told(opened: Opened) -> Week:
    """The first kept week that is not over. Raises UsageError if there is none."""
    ahead = kept_ahead(opened.folder, opened.now)
    if not ahead:
        raise UsageError("No week was kept that is not over. Plan one and keep it first.")
    return ahead[0]


def told_weeks(folder: Path, now: datetime | None) -> tuple[ToldWeek, ...]:
    """All kept weeks that are not over."""
    opened = open_case(folder, now)
    return tuple(told_week_of(opened, week) for week in kept_ahead(folder, opened.now))


def told_week_of(opened: Opened, week: Week) -> ToldWeek:
    from genplan.keeping.store import unknown_ids
    from genplan.planning.assemble import seat_of
    from genplan.planning.still_held import Against, AgainstKind, still_held
    from genplan.planning.week_context import week_context_of

    facts = facts_of(opened, week)
    if facts.kept_week is None:
        raise UsageError(
            f"The week {week} was not kept, so nobody was told of it. 'genplan plan' plans it, 'genplan keep' keeps it."
        )
    # a wish makes no sitting impossible: it says what the next plan is to hold
    without = replace(opened.case, wishes=())
    context = week_context_of(without, facts.log, week, opened.now, facts.busy, facts.kept)
    strange = dict(unknown_ids(facts.kept_week, facts.case))
    ahead = {
        s.id: seat_of(facts.case, week, s)
        for s in facts.kept_week.sittings
        if s.start >= opened.now and s not in strange
    }
    held = {one.seat: one for one in still_held(context, ahead.values())}
    found = []
    for s in facts.kept_week.sittings:
        if s.id in ahead:
            one = held[ahead[s.id]]
            found.append(ToldSitting(s, False, one.left, one.against))
        elif s in strange:
            found.append(ToldSitting(s, False, None, (Against(AgainstKind.GONE, strange[s]),)))
        else:
            found.append(ToldSitting(s, True, None))
    in_order = tuple(sorted(found, key=lambda t: (t.sitting.start, t.sitting.learner, t.sitting.adult)))
    return ToldWeek(opened, facts.case, week, context, in_order, facts.findings)
