"""The week that people were told of, as it stands: what of it can no longer be held, and why."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.errors import UsageError
from genplan.findings import Finding
from genplan.language import _
from genplan.workflow.facts_to_plan_by import FactsToPlanBy, facts_of
from genplan.workflow.opened_case import Opened, kept_ahead, open_case, wall_clock
from genplan.workflow.told_sittings import ToldSitting, as_it_stands, context_of_told

if TYPE_CHECKING:
    from genplan.planning.week_context import WeekContext
    from genplan.rules.placed_sittings import PlacedSitting


@dataclass(frozen=True)
class ToldWeek:
    """A kept week as it stands now, in order of time. `facts` are what was read for it, `context` is what it is planned
    from but for wishes."""

    opened: Opened
    week: Week
    facts: FactsToPlanBy
    context: WeekContext
    sittings: tuple[ToldSitting, ...]

    @property
    def case(self) -> Case:
        """As it is in the week."""
        return self.facts.case

    @property
    def about_week(self) -> tuple[Finding, ...]:
        """Warnings of its own calendars."""
        return self.facts.findings

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
        raise UsageError(_("No week was kept that is not over. Plan one and keep it first."))
    return ahead[0]


def told_weeks(folder: Path, now: datetime | None) -> tuple[ToldWeek, ...]:
    """All kept weeks that are not over. Where there is none the case is not read; its zone may be a day behind."""
    if not kept_ahead(folder, wall_clock(now) - timedelta(days=1)):
        return ()
    opened = open_case(folder, now)
    return tuple(told_week_of(opened, week) for week in kept_ahead(folder, opened.now))


def told_week_of(opened: Opened, week: Week) -> ToldWeek:
    """Raises UsageError for a week that was not kept, CaseError."""
    from genplan.keeping.store import unknown_ids

    facts = facts_of(opened, week)
    if facts.kept_week is None:
        raise UsageError(
            _(
                "The week {week} was not kept, so nobody was told of it. "
                "'genplan plan' plans it, 'genplan keep' keeps it.",
                week=week,
            )
        )
    context = context_of_told(opened, week, facts.log, facts.busy, facts.kept)
    strange = dict(unknown_ids(facts.kept_week, facts.case))
    found = as_it_stands(context, facts.kept_week.sittings, strange)
    in_order = tuple(sorted(found, key=lambda t: (t.sitting.start, t.sitting.learner, t.sitting.adult)))
    return ToldWeek(opened, week, facts, context, in_order)
