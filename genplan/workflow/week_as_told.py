"""The week that people were told of, as it stands: what of it can no longer be held, and why."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.errors import CaseError, UsageError
from genplan.findings import Finding
from genplan.language import _
from genplan.workflow.facts_to_plan_by import FactsToPlanBy, ToldBefore, facts_of
from genplan.workflow.opened_case import Opened, busy_of, kept_ahead, open_case, wall_clock
from genplan.workflow.told_sittings import ToldSitting, as_it_stands, context_of_told

if TYPE_CHECKING:
    from genplan.keeping.told import KeptWeek
    from genplan.plan import Plan, Sitting
    from genplan.planning.week_context import WeekContext
    from genplan.rules.placed_sittings import PlacedSitting


@dataclass(frozen=True)
class ToldWeek:
    """A kept week as it stands now, in order of time. `facts` are what was read for it, `context` is what it is planned
    from but for wishes. `unread` says in sentences what could not be read for it: what that would have called off is
    not known, and all else is as it stands.

    All that people are given of a week is drawn from its two parts: `kept`, of what is to be, and `struck`, of what was
    called off since they were told."""

    opened: Opened
    week: Week
    facts: FactsToPlanBy
    context: WeekContext
    sittings: tuple[ToldSitting, ...]
    unread: tuple[str, ...] = ()

    @property
    def kept(self) -> tuple[Sitting, ...]:
        """What people are to be there for, as far as it is to be."""
        return tuple(s.in_force for s in self.sittings if s.in_force is not None)

    @property
    def so(self) -> tuple[Sitting, ...]:
        """The same with what has begun and was not run: who was there knows that, and it was called off for nobody."""
        return tuple(
            s.in_force or s.sitting
            for s in self.sittings
            if not s.is_struck or (s.begun and s.is_written_off)
        )

    @property
    def struck(self) -> tuple[Sitting, ...]:
        """What is called off, as people were told of it."""
        return tuple(s.sitting for s in self.sittings if s.is_struck)

    @property
    def counted(self) -> tuple[Sitting, ...]:
        """What the week holds: what is ahead and called off is no part of it. What was not run is told beside it."""
        return tuple(s.sitting for s in self.sittings if s.begun or not s.is_struck)

    def as_held(self, sittings: Sequence[Sitting]) -> tuple[Sitting, ...]:
        """These, each as it can be held where it is one of this week."""
        held = {s.sitting: s.as_held for s in self.sittings}
        return tuple(held.get(s, s) for s in sittings)

    @property
    def plan(self) -> Plan:
        """What is to be, of which the case still knows everything, for what draws a plan."""
        from genplan.plan import Plan

        return Plan.of_sittings(self.week, self.told.kept, _known(self.case, self.kept))

    @property
    def off_now(self) -> tuple[Sitting, ...]:
        """What of that which is called off the case still knows everything of."""
        return _known(self.case, self.struck)

    @property
    def off(self) -> tuple[Sitting, ...]:
        """The same with what was called off when the week was kept again: people were told of that, too. What is called
        off and told anew is not called off."""
        from genplan.keeping.same_sittings import meeting

        before = _known(self.case, [t.sitting for t in self.told.told if t.cancelled])
        there = {meeting(s) for s in (*self.told.sittings, *self.off_now)}
        gone = {meeting(s): s for s in before if meeting(s) not in there}
        return tuple(sorted((*self.off_now, *gone.values()), key=lambda s: (s.start, s.id)))

    @property
    def told(self) -> KeptWeek:
        """As it was told."""
        assert self.facts.kept_week is not None
        return self.facts.kept_week

    @property
    def in_force(self) -> KeptWeek:
        """As it would be told now, what is called off cancelled in it: what calendars are given."""
        from genplan.keeping.revision import with_called_off

        left = {s.sitting: s.in_force for s in self.sittings if s.in_force != s.sitting}
        return replace(self.told, told=with_called_off(self.told, left))

    def hand_out(self) -> KeptWeek:
        """The same, about to be given to calendars: what they are given otherwise than was told is remembered first, so
        that their next event goes beyond it. Raises FileError."""
        from genplan.keeping.handed_out import handed_out, remember_handed_out

        in_force = self.in_force
        if given := handed_out(self.told, in_force):
            remember_handed_out(self.opened.folder, self.week, given)
        return in_force

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
    return _standing(opened, week, facts_of(opened, week))


def told_week_in_force(opened: Opened, week: Week, unread: Sequence[str] = ()) -> ToldWeek:
    """The same to be drawn for people: a calendar of busy times that cannot be read keeps nobody from being told what
    is known without it. With `unread` the case was opened without its results, and it says why. Raises UsageError for a
    week that was not kept, CaseError for one that cannot be read."""
    if not unread:
        try:
            return told_week_of(opened, week)
        except CaseError as error:
            unread = _not_known_by(error.findings[0].sentence())
    facts = _facts_at_hand(opened, week)
    return _standing(opened, week, facts, tuple(unread))


def open_to_tell(
    folder: Path, now: datetime | None, worded: Callable[[Finding], str] = Finding.sentence
) -> tuple[Opened, tuple[str, ...]]:
    """A case with its results, or without them where they cannot be read, and why. Raises CaseError."""
    try:
        return open_case(folder, now), ()
    except CaseError as error:
        return open_case(folder, now, with_results=False), _not_known_by(worded(error.findings[0]))


def _not_known_by(problem: str) -> tuple[str, ...]:
    return (
        _(
            "Not everything could be read that may call off a sitting. What is handed on is as people were told, but "
            "for what the case itself calls off. {problem}",
            problem=problem,
        ),
    )


def _facts_at_hand(opened: Opened, week: Week) -> FactsToPlanBy:
    """What the case alone says of a kept week, and the busy times that can be read."""
    from genplan.case.dated_facts import in_week
    from genplan.evidence.log import Log
    from genplan.keeping.store import read_kept

    case = in_week(opened.case, week)
    busy, about_busy = busy_of(opened.loaded, case, week)
    kept = read_kept(opened.folder, week, case)
    return FactsToPlanBy(case, Log(), busy, kept, (), ToldBefore((), ()), about_busy)


def _standing(opened: Opened, week: Week, facts: FactsToPlanBy, unread: tuple[str, ...] = ()) -> ToldWeek:
    from genplan.keeping.store import unknown_ids

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
    sittings, wishes = facts.kept_week.sittings, opened.case.wishes
    found = as_it_stands(context, sittings, strange, wishes, of_results=not unread)
    in_order = tuple(sorted(found, key=lambda t: (t.sitting.start, t.sitting.learner, t.sitting.adult)))
    return ToldWeek(opened, week, facts, context, in_order, unread)


def _known(case: Case, sittings: Sequence[Sitting]) -> tuple[Sitting, ...]:
    from genplan.keeping.strange import is_known

    return tuple(s for s in sittings if is_known(s, case))
