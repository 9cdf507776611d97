"""Notes on a week's plan that its search does not make: of what was run, was told, and was not written down."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.workflow.opened_case import Opened

if TYPE_CHECKING:
    from genplan.evidence.log import Log
    from genplan.plan import Note, Plan, Probe, Sitting
    from genplan.plan.term import Term
    from genplan.workflow.facts_to_plan_by import ToldBefore


FORTNIGHT = timedelta(days=14)


def asked_since(today: date) -> date:
    """From which day on it is asked what was not written down: the Monday of the week of a fortnight ago."""
    return Week.of(today - FORTNIGHT).monday


def unwritten_notes(opened: Opened, week: Week) -> Iterator[Note]:
    """Notes on each week before this one, from a fortnight ago on, with sittings that people were told of, that are
    over, and of which, or of a part of which, no row speaks."""
    from genplan.keeping.store import kept_weeks, read_kept
    from genplan.plan import Note, NoteKind, Unwritten

    since = asked_since(opened.now.date())
    for earlier in kept_weeks(opened.folder):
        if (
            earlier < week
            and earlier.monday >= since
            and (kept := read_kept(opened.folder, earlier, opened.case))
        ):
            whole, half = [], []
            for s in sorted(kept.sittings, key=lambda s: (s.start, s.id)):
                left = left_unwritten(s, opened.log, kept.sittings) if s.end <= opened.now else ()
                about = Unwritten(learner=s.learner, adult=s.adult, on=s.start.date())
                if len(left) == len(s.probes):
                    whole.append(about)
                elif owed := tuple(dict.fromkeys(p.target for p in left if p.target in opened.case.targets)):
                    half.append(replace(about, targets=owed))
            for kind, found in ((NoteKind.UNWRITTEN_AS_NOT_RUN, whole), (NoteKind.HALF_WRITTEN, half)):
                if found:
                    yield Note(kind=kind, weeks=(earlier,), of=len(found), unwritten=tuple(found))


def with_what_is_written(sittings: Iterable[Sitting], log: Log, now: datetime) -> Iterator[Sitting]:
    """Of those that are over only what a row speaks of: a term reads the days that are over in one way, whichever week
    it begins with."""
    sittings = tuple(sittings)
    for s in sittings:
        left = left_unwritten(s, log, sittings) if s.end <= now else ()
        if written := tuple(p for p in s.probes if p not in left):
            yield replace(s, probes=written) if left else s


def left_unwritten(sitting: Sitting, log: Log, sittings: Iterable[Sitting] = ()) -> tuple[Probe, ...]:
    """The probes and teachings in it of which no row of its day speaks; `sittings` are all of its week."""
    from genplan.keeping.past_of_week import starts_of

    day, sittings = sitting.start.date(), tuple(sittings)
    return tuple(
        p
        for p in sitting.probes
        if not log.speaks_of(
            p.target,
            p.combination,
            day,
            teaching=not p.kind.is_probe,
            at=sitting.start,
            starts=starts_of(p, sittings),
        )
    )


def mastery_notes(opened: Opened) -> tuple[tuple[Note, ...], tuple[Note, ...]]:
    """Of a case that plans teaching: what lapsed where it was taught, which is told before all else, and what meets its
    criterion. Only what was run until now is looked at."""
    from genplan.evidence.effective_rows import log_until
    from genplan.evidence.mastery import criterion_met, lapses
    from genplan.evidence.standing import standings
    from genplan.plan import Note, NoteKind

    known = log_until(opened.log, opened.now.date())
    targets = opened.case.targets.values() if opened.case.policy.plan_teaching else ()
    lapsed = (lapse for t in targets for lapse in lapses(t, known, standings(t, known)))
    met = (found for t in targets if (found := criterion_met(t, known)))
    return (
        tuple(Note(kind=NoteKind.LAPSED_WHERE_TAUGHT, target=lapse.target, seen=lapse) for lapse in lapsed),
        tuple(Note(kind=NoteKind.CRITERION_MET, target=found.target, seen=found) for found in met),
    )


def unplanned_notes(opened: Opened, log: Log, plan: Plan) -> Iterator[Note]:
    """What the criterion of a target lacks and neither this plan nor a later one probes; `log` is what the week is
    planned from."""
    from genplan.coverage.tally import tally
    from genplan.coverage.unplanned import unplanned
    from genplan.plan import Note, NoteKind

    case, on = opened.case, max(opened.now.date(), plan.week.monday)
    for target in case.mastered:
        if not (target.generalised_when or target.generalised_with):
            continue
        held = {p.combination for s in plan.sittings for p in s.probes if p.target == target.id}
        lacking = unplanned(case, tally(case, target, log, on), log, on, held)
        for combination in dict.fromkeys(one.example for one in lacking):
            yield Note(kind=NoteKind.UNPLANNED, target=target.id, combination=combination)


def teaching_notes(opened: Opened, plan: Plan) -> tuple[Note, ...]:
    """How many retests wait for teaching where none is planned, unless the case itself says that none is to be."""
    from genplan.evidence.teaching_owed import says_whether_to_plan_it
    from genplan.plan import Note, NoteKind
    from genplan.rules.limits import Kind

    if opened.case.policy.plan_teaching or says_whether_to_plan_it(opened.loaded):
        return ()
    waiting = sum(item.limit.kind is Kind.TEACHING for item in plan.left_out)
    return (Note(kind=NoteKind.TEACHING_NOT_PLANNED, of=waiting),) if waiting else ()


def closed_notes(case: Case, week: Week) -> Iterator[Note]:
    """A note for each place and reason that closes it on whole days of the week, such as a public holiday."""
    from genplan.case.dated_facts import closed_days
    from genplan.plan import Note, NoteKind

    for place in case.locations.values():
        for why, days in closed_days(place, week).items():
            yield Note(kind=NoteKind.CLOSED, location=place.id, days=tuple(days), why=why)


def home_notes(case: Case, plan: Plan) -> Iterator[Note]:
    """A note for each adult at whose home a sitting ahead is to be while that adult is away: the rules allow it, and
    people may not."""
    from genplan.plan import Note, NoteKind
    from genplan.planning.assemble import seat_of
    from genplan.workflow.asking_first import home_of_who_is_away, homes, is_away

    whose, away = homes(case), is_away(case, plan.week)
    days: dict[tuple[str, str], dict[int, None]] = {}
    for sitting in plan.sittings:
        seat = seat_of(case, plan.week, sitting)
        if not sitting.begun and (adult := home_of_who_is_away(whose, away, seat)):
            days.setdefault((adult, sitting.location), {})[seat.day] = None
    for (adult, location), on in days.items():
        yield Note(kind=NoteKind.HOME_OF_WHO_IS_AWAY, adult=adult, location=location, days=tuple(sorted(on)))


def about_its_end(plan: Plan) -> tuple[Note, ...]:
    """An interrupt that came when all was found already changed nothing."""
    from genplan.plan import Note, NoteKind
    from genplan.planning.interruption import interrupted

    return (Note(kind=NoteKind.INTERRUPTED),) if interrupted() and not plan.repeatable else ()


def about_term(term: Term | None) -> tuple[Note, ...]:
    """How many dates the term has room for that the week follows."""
    from genplan.plan import Note, NoteKind

    if term is None or not term.dates:
        return ()
    weeks = (term.weeks[0], term.weeks[-1])
    return (Note(kind=NoteKind.TERM, weeks=weeks, kept=term.kept, most=term.bound, of=len(term.dates)),)


def about_told(told: ToldBefore) -> tuple[Note, ...]:
    from genplan.plan import Note, NoteKind

    as_met = (Note(kind=NoteKind.TOLD_AS_MET),) if told.sittings else ()
    return (*as_met, *told.not_counted)
