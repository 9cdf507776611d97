"""Other places for one sitting of a week: what they gain or lose, and who would be told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.errors import AuditError, UsageError
from genplan.findings import Finding, nearest
from genplan.language import N_, _, said
from genplan.workflow.asking_first import asking_first
from genplan.workflow.days_ill import ill_notes
from genplan.workflow.facts_to_plan_by import facts_of
from genplan.workflow.opened_case import Opened, kept_ahead, open_case, wall_clock
from genplan.workflow.saved_plans import plan_in
from genplan.workflow.told_sittings import ToldSitting, as_it_stands, cancelled_at
from genplan.workflow.week_as_told import ToldWeek, told_week_of
from genplan.workflow.wishes_of_places import against, note_of, of_itself
from genplan.workflow.wishing import in_words

if TYPE_CHECKING:
    from genplan.case.wishes_of_planners import PlannersWish
    from genplan.evidence.log import Log, Result
    from genplan.plan import Note, Probe, Sitting
    from genplan.planning.alternatives import Alternative
    from genplan.planning.week_context import WeekContext
    from genplan.rules.placed_sittings import PlacedSitting

EACH = 4
"""So many are offered on the sitting's own day, and on other days; our choice, no source."""


@dataclass(frozen=True)
class AlternativesView:
    """The sitting that was asked about, and other places for it, the best first: on its own day, and on others. `told`:
    people were told of it; else it is one of a plan that was not kept. `others` are the sittings beside it. `ill` are
    the days on which the child is written down as ill, so that no place is offered."""

    case: Case
    week: Week
    now: datetime
    asked: ToldSitting
    same_day: tuple[Alternative, ...]
    other_days: tuple[Alternative, ...]
    told: bool
    log: Log
    findings: tuple[Finding, ...]
    others: tuple[Sitting, ...]
    about_week: tuple[Finding, ...] = ()
    ill: tuple[Note, ...] = ()

    @property
    def all(self) -> tuple[Alternative, ...]:
        """As they are numbered."""
        return (*self.same_day, *self.other_days)

    def numbered(self, number: int) -> Alternative:
        """Raises UsageError for a number that is not in the list."""
        if not 1 <= number <= len(self.all):
            many = _("1 to {last}", last=len(self.all)) if self.all else _("none")
            raise UsageError(
                _(
                    "There is no place number {number}: the list has {there}. Nothing was written.",
                    number=number,
                    there=many,
                )
            )
        return self.all[number - 1]

    def sitting(self, alternative: Alternative) -> Sitting:
        """The alternative as a sitting with moments."""
        from genplan.planning.assemble import sittings_of

        return sittings_of(self.case, self.week, (), (alternative.seat,), ())[0]

    @property
    def unwritten(self) -> tuple[str, ...]:
        """The targets of a sitting that has begun of which no row says that they were not run: until one does, no
        place is taken."""
        from genplan.evidence.log import not_run_of
        from genplan.keeping.past_of_week import starts_of

        asked, day = self.asked.sitting, self.asked.sitting.start.date()
        if not self.asked.begun:
            return ()
        return tuple(
            p.target
            for p in asked.probes
            if not not_run_of(
                (r for r in self.log.of_target(p.target) if (r.date, r.combination) == (day, p.combination)),
                asked.start,
                starts_of(p, self.others),
            )
        )

    @property
    def give_way(self) -> tuple[PlannersWish, ...]:
        """What is wished of the sitting itself: it gives way to the place that is taken."""
        return of_itself(self.case.wishes, (self.asked.sitting, *self.others), self.asked.sitting)

    def against(self, alternative: Alternative) -> tuple[PlannersWish, ...]:
        """The wishes that stand and that the place would contradict."""
        left = [w for w in self.case.wishes if w not in self.give_way]
        return against(left, self.week, self.others, self.asked.sitting, self.sitting(alternative))


def alternatives(
    folder: Path, sitting: str, now: datetime | None, source: Path | None = None
) -> AlternativesView:
    """Other places for a sitting of a kept week, or of the plan in the folder `source`; writes nothing. One that has
    begun is asked about as if it was not run. Raises UsageError for a sitting that is not there, or was run."""
    opened = open_case(folder, now)
    week = _told_of(opened, sitting) if source is None else _planned_in(opened, sitting, source)
    return alternatives_in(week, sitting, told=source is None)


def alternatives_in(week: ToldWeek, sitting: str, *, told: bool = True) -> AlternativesView:
    """The same of a week that was read."""
    from genplan.planning.alternatives import alternatives as look
    from genplan.planning.assemble import seat_of

    asked = next((s for s in week.sittings if s.sitting.id == sitting), None)
    if asked is None:
        known = [s.sitting.id for s in week.sittings]
        raise UsageError(
            _(
                "The week {week} has no sitting '{sitting}'; {nearest}",
                week=week.week,
                sitting=sitting,
                nearest=nearest(sitting, known) or said(_LIST),
            )
        )
    if asked.begun:
        _refuse_run(week, asked.sitting)
    context, others = _all_else(week, asked)
    seat = seat_of(week.case, week.week, asked.sitting)
    asking, after = asking_first(week, asked), week.week.minute_of(week.now)
    today, rest = [seat.day], [d for d in range(7) if d != seat.day]
    same, other = (
        look(
            context,
            others,
            seat,
            days=days,
            same_place_too=asked.is_otherwise,
            most=EACH,
            after=after,
            asking=asking,
        )
        for days in (today, rest)
    )
    for one in (*same, *other):
        _check(context, (*context.decided.seats, *others, one.seat))
    beside = tuple(s for s in week.kept if s.id != sitting)
    about = week.opened.findings, beside, week.about_week
    ill = tuple(n for n in ill_notes(week.opened, week.week) if n.learner == asked.sitting.learner)
    return AlternativesView(
        week.case, week.week, week.now, asked, same, other, told, week.opened.log, *about, ill
    )


_LIST = N_("'genplan week' lists them with their ids.")


def _told_of(opened: Opened, sitting: str) -> ToldWeek:
    """The kept week that holds the sitting."""
    from genplan.keeping.store import read_kept

    known: list[str] = []
    for week in kept_ahead(opened.folder, opened.now):
        kept = read_kept(opened.folder, week, opened.case)
        ids = [s.id for s in kept.sittings] if kept else []
        if sitting in ids:
            return told_week_of(opened, week)
        if kept and (off := kept.called_off(sitting)):
            raise UsageError(_("{off} 'genplan week' lists what is held.", off=cancelled_at(off)))
        known += ids
    if not known:
        raise UsageError(
            _("No week was kept that is not over. Plan one and keep it first, or name a plan with --from.")
        )
    raise UsageError(
        _(
            "No kept week has a sitting '{sitting}'; {nearest}",
            sitting=sitting,
            nearest=nearest(sitting, known) or said(_LIST),
        )
    )


def _planned_in(opened: Opened, sitting: str, source: Path) -> ToldWeek:
    """The week of a plan that was written and not kept."""
    from genplan.planning.week_context import week_context_of

    plan = plan_in(source, opened.case)
    facts = facts_of(opened, plan.week)
    context = week_context_of(opened.case, facts.log, plan.week, opened.now, facts.busy, plan.sittings)
    found = as_it_stands(context, plan.sittings, {})
    return ToldWeek(opened, plan.week, facts, context, found)


def _all_else(week: ToldWeek, asked: ToldSitting) -> tuple[WeekContext, tuple[PlacedSitting, ...]]:
    """What the week is planned from, and the sittings ahead that stay as people were told, as if nothing were wished of
    the one that is asked about, and, if it has begun, as if it was not run. What is wished of others is as good as
    planned: a place that was taken for another sitting is not offered again."""
    from genplan.planning.still_held import still_held
    from genplan.planning.week_context import week_context_of

    of_it = of_itself(week.opened.case.wishes, [s.sitting for s in week.sittings], asked.sitting)
    wishes = tuple(w for w in week.opened.case.wishes if w not in of_it)
    stay = {s.sitting.id: s.left for s in week.sittings if s.left is not None and s is not asked}
    if not wishes and not asked.begun:
        return week.context, tuple(stay.values())
    before = week.context
    begun = (s for s in before.begun if s.id != asked.sitting.id)
    ahead = (s.sitting for s in week.sittings if not s.begun and not s.is_gone)
    case = replace(week.opened.case, wishes=wishes)
    context = week_context_of(case, before.log, week.week, week.now, before.busy, (*begun, *ahead))
    settled = {a.wish.sitting for a in context.decided.answers if a.kept}
    # what people were told of gives way to what is wished, as it does when the week is planned again
    beside = still_held(context, (seat for i, seat in stay.items() if i not in settled))
    return context, tuple(one.left for one in beside if one.left is not None)


def rows_of_run(log: Log, sitting: Sitting) -> tuple[Result, ...]:
    """The rows by which something of a sitting was run."""
    from genplan.evidence.log import ResultKind

    day = sitting.start.date()
    return tuple(
        r
        for p in sitting.probes
        for r in log.on(p.target, p.combination, day)
        if r.kind is not ResultKind.NOT_RUN
    )


def _refuse_run(week: ToldWeek, sitting: Sitting) -> None:
    """Raises UsageError if something of a sitting that has begun was written down as run."""
    if run := rows_of_run(week.opened.log, sitting):
        raise UsageError(
            _(
                "Part of the sitting {sitting} was run, as line {line} of results.csv says, so no other place "
                "is looked for. Write down what of it was not run: planning the rest of the week again finds a place "
                "for that.",
                line=run[0].line,
                sitting=sitting.id,
            )
        )


def _check(context: WeekContext, seats: Sequence[PlacedSitting]) -> None:
    """What is offered has to pass the auditor, the whole week with it. Raises AuditError."""
    from genplan.audit import unsound_sittings
    from genplan.plan import Plan
    from genplan.planning.assemble import sittings_of

    begun = tuple(replace(s, begun=True) for s in context.begun)
    sittings = sittings_of(context.case, context.week, context.needs, seats, begun)
    plan = Plan.of_sittings(context.week, context.now, sittings)
    if complaints := unsound_sittings(context.case, context.log, plan, context.busy, context.begun):
        raise AuditError(complaints)


def take(view: AlternativesView, alternative: Alternative, folder: Path) -> str:
    """Writes the wishes down that make it so, and says so in a sentence; the week is planned by them when it is planned
    again. What was wished of the sitting itself goes, and is named. Raises UsageError where that cannot be said in
    wishes or goes against one that stands, and as `change`."""
    from genplan.casefile.change_entries import put_wish
    from genplan.casefile.earlier import undoable

    _refuse_unwritten(view)
    _refuse_against_a_wish(view, alternative)
    wanted = wishes_for(view, alternative)
    wishes = "; ".join(in_words(view.case, w) for w in wanted)
    with undoable(folder, _("wished: {lines}", lines=wishes), wall_clock(view.now)):
        file = put_wish(folder, *wanted, instead_of=_gone(view, alternative))
    return with_what_goes(view, alternative, _("Added to {file}, as a wish: {wish}", file=file, wish=wishes))


def _gone(view: AlternativesView, alternative: Alternative) -> list[PlannersWish]:
    """What was wished of the sitting and is not wished any more once the place is taken."""
    wanted = wishes_for(view, alternative)
    return [w for w in view.give_way if w not in wanted]


def with_what_goes(view: AlternativesView, alternative: Alternative, added: str) -> str:
    """A sentence that the place was written down, with the wishes in whose stead that is."""
    from genplan.report.plain_characters import ended

    if gone := "; ".join(in_words(view.case, w) for w in _gone(view, alternative)):
        added = _("{added}. It stands in the place of: {wishes}", added=added, wishes=gone)
    return ended(added)


def _refuse_against_a_wish(view: AlternativesView, alternative: Alternative) -> None:
    """A wish for somebody, or to keep two apart, reaches further than one sitting: whoever wished it takes it back."""
    if stand := view.against(alternative):
        raise UsageError(
            _(
                "This place goes against what is wished: {wishes}. Take another place, or take that wish back first "
                "('genplan change' with --take-back, or the page). Nothing was written.",
                wishes="; ".join(in_words(view.case, w) for w in stand),
            )
        )


def wishes_for(view: AlternativesView, alternative: Alternative) -> tuple[PlannersWish, ...]:
    """The same probes with the same adult at the same location are a sitting that moves. Others are put in one by one,
    and the old sitting is not to be, unless they are in its very place; a teaching cannot be put in by hand, so a
    sitting with one moves too, and the plan fills it."""
    from genplan.case.wishes_of_planners import PlannersWish, WishKind

    old, new = view.asked.sitting, view.sitting(alternative)
    at, start = old.start.replace(tzinfo=None), new.start.replace(tzinfo=None)
    only_probes = all(p.kind.is_probe for p in new.probes)
    same = {(p.target, p.combination) for p in old.probes} == {(p.target, p.combination) for p in new.probes}
    if not view.asked.begun and (same or not only_probes):
        return (
            PlannersWish(
                kind=WishKind.MOVE,
                sitting=old.id,
                at=at,
                start=start,
                adult=new.adult if new.adult != old.adult else "",
                location=new.location if new.location != old.location else "",
            ),
        )
    if not only_probes:
        raise UsageError(
            _("A teaching cannot be put in by hand: planning the rest of the week again puts it in.")
        )
    here = (new.adult, new.location, new.start) == (old.adult, old.location, old.start)
    gone = () if view.asked.begun or here else (PlannersWish(kind=WishKind.NOT, sitting=old.id, at=at),)
    return (*gone, *(_added(view, new, p, start) for p in new.probes))


def _added(view: AlternativesView, new: Sitting, probe: Probe, start: datetime) -> PlannersWish:
    from genplan.case.wishes_of_planners import PlannersWish, WishKind

    target = view.case.targets[probe.target]
    values = tuple(zip(target.dimension_names, probe.combination, strict=True))[2:]
    return PlannersWish(
        kind=WishKind.ADD,
        start=start,
        learner=new.learner,
        adult=new.adult,
        location=new.location,
        target=probe.target,
        values=values,
        note=note_of(view.asked.sitting.id),
    )


def _refuse_unwritten(view: AlternativesView) -> None:
    """What has begun counts as run until a row says that it was not."""
    if left := view.unwritten:
        raise UsageError(
            _(
                "First write down that '{target}' was not run ('genplan record' with --kind "
                "not-run, or the page): until then it counts as run. Nothing was written.",
                target=left[0],
            )
        )
