"""Remarks on a week as a whole, in English."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

from genplan.case import Case, TargetState
from genplan.case.targets import ADULT, LOCATION
from genplan.case.week import DAY_NAMES, DAYS, MONTHS
from genplan.language import _, ngettext
from genplan.plan import Note, NoteKind, Plan, Unwritten
from genplan.text.absences import reason_text
from genplan.text.limits import limit_sentence
from genplan.text.mastery import mastery_text
from genplan.text.matrix_rows import instead_text
from genplan.text.observers import share_text
from genplan.text.target_names import target_named
from genplan.text.tuple_words import combination_words, tuple_word


def note_text(case: Case, note: Note) -> str:
    return _TEXTS[note.kind](case, note)


def remarks(case: Case, plan: Plan) -> tuple[str, ...]:
    """The notes of a plan and what is said of observers, after what is said of single learners and targets."""
    kinds = list(NoteKind)
    own = [n for n in plan.notes if kinds.index(n.kind) < kinds.index(NoteKind.CLOSED)]
    rest = [n for n in plan.notes if n not in own]
    return (
        *(note_text(case, n) for n in own),
        *(share_text(case, share) for share in plan.observed),
        *(note_text(case, n) for n in rest),
    )


def _closed(case: Case, note: Note) -> str:
    assert note.why is not None, note.kind
    place = case.locations[note.location]
    opening_days = sum(bool(windows) for windows in place.open.days)
    whole_week = len(note.days) > 1 and len(note.days) == opening_days
    days = "all week" if whole_week else "on " + ", ".join(DAY_NAMES[n].capitalize() for n in note.days)
    return f"{case.called(LOCATION, place.id)} is closed {days} ({reason_text(note.why)})."


def _planned_as_met(case: Case, note: Note) -> str:
    first, last = note.weeks[0], note.weeks[-1]
    span = str(first) if first == last else f"{first} to {last}"
    return f"The probes planned for {span} are counted as met."


def _gave_way(case: Case, note: Note) -> str:
    earlier, later = (DAYS[n] for n in note.days)
    return (
        f"Two maintenance dates of {target_named(case, note.target)} fall in this week: {earlier}'s gives way to"
        f" {later}'s, and one probe is owed."
    )


def _not_probed(case: Case, note: Note) -> str:
    target = case.targets[note.target]
    state = "still being taught" if target.state is TargetState.TEACHING else target.state.value
    told = f"{target_named(case, target.id)} is {state}, so it is not probed"
    if case.policy.baseline_per_target and target.state is TargetState.TEACHING:
        told += " but where nobody has taught it"
    if case.policy.plan_teaching and target.state is TargetState.TEACHING and not target.teaching_per_week:
        return f"{told}. No teaching of it is planned until its 'teaching_per_week' says how often."
    return f"{told}."


def _taught_in_place(case: Case, note: Note) -> str:
    target = case.targets[note.target]
    where = combination_words(case, target, note.combination)
    instead = instead_text(case, target, note.instead_of)
    return (
        f"{target_named(case, target.id)} is to be taught in {where}, where it was never probed: {instead}."
    )


def _fell_through(case: Case, note: Note) -> str:
    assert note.on is not None, note.kind
    target = case.targets[note.target]
    where = combination_words(case, target, note.combination)
    when = " and ".join(DAYS[n] for n in note.days)
    if when:
        again = f"it comes again on {when}"
    elif note.limit:
        again = f"it is not in this week, since {limit_sentence(case, note.limit)}"
    else:
        again = "it is not in this week, and nothing that it would show is left out of it"
    return (
        f"{target_named(case, target.id)} with {where} was planned on {_day(note.on)} and not run: {again}."
    )


def _caught_up(case: Case, note: Note) -> str:
    target = case.targets[note.target]
    word = tuple_word(target)
    what = f"{note.of} wished {word}s" if note.of > 1 else f"one wished {word}"
    come = "comes" if note.early == 1 else "come"
    return (
        f"{target_named(case, target.id)}: of {what} with the last chance this week {note.early} {come} so early"
        " that another day is left, if the sitting falls through."
    )


def _by_term(case: Case, note: Note) -> str:
    first, last = note.weeks
    room = ngettext(
        "The week follows the term from {first} to {last}, which has room for {kept} of {n} date.",
        "The week follows the term from {first} to {last}, which has room for {kept} of {n} dates.",
        note.of,
        first=first,
        last=last,
        kept=note.kept,
    )
    if note.kept == note.of:
        return room
    return f"{room} " + _("No plan of these weeks keeps more than {most}, which is proven.", most=note.most)


NAMED_AT_MOST = 3
"""Sittings of which nothing is written down."""


def _unwritten(case: Case, note: Note) -> str:
    sittings = "one sitting" if note.of == 1 else f"{note.of} sittings"
    named = "; ".join(_meeting(case, one) for one in note.unwritten) if note.of <= NAMED_AT_MOST else ""
    return (
        f"Nothing is written down of {sittings} of {note.weeks[0]} that people were told of and that would be over"
        f"{f' ({named})' if named else ''}: what was planned there is planned again, as if it was not run. If it was,"
        " write it down and plan again."
    )


def _half_written(case: Case, note: Note) -> str:
    shown = note.unwritten[:NAMED_AT_MOST]
    named = [
        f"{_meeting(case, one)} (not of {' and '.join(target_named(case, t) for t in one.targets)})"
        for one in shown
    ]
    if more := len(note.unwritten) - len(shown):
        named.append("one other sitting" if more == 1 else f"{more} other sittings")
    these = "this sitting" if note.of == 1 else "these sittings"
    return (
        f"Of {these} of {note.weeks[0]} only a part is written down: {'; '.join(named)}. The rest is planned again,"
        " as if it was not run. If it was, write it down and plan again."
    )


def _meeting(case: Case, one: Unwritten) -> str:
    """An adult or a child whom the case does not have any more is shown by the id, a child's cut as an alias is."""
    child = (
        case.learners[one.learner].alias if one.learner in case.learners else f"{one.learner[:1].upper()}."
    )
    adult = case.called(ADULT, one.adult) if one.adult in case.adults else one.adult
    return f"{child} with {adult} on {_day(one.on)}"


def _day(day: date) -> str:
    return f"{DAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]}"


CLOCK_ENDED_IT = (
    "The search was ended by the clock, so a second run may find another plan. A longer search may find a better one:"
    " raise solver.seconds in the policy."
)


def _mastery(case: Case, note: Note) -> str:
    assert note.seen is not None, note.kind
    return mastery_text(case, note.seen)


_TEXTS: Mapping[NoteKind, Callable[[Case, Note], str]] = {
    NoteKind.LAPSED_WHERE_TAUGHT: _mastery,
    NoteKind.CRITERION_MET: _mastery,
    NoteKind.TAUGHT_IN_PLACE: _taught_in_place,
    NoteKind.FELL_THROUGH: _fell_through,
    NoteKind.CATCH_UP: _caught_up,
    NoteKind.TERM: _by_term,
    NoteKind.INTERRUPTED: lambda case, note: (
        "The search for this week was stopped by hand before its end: this is the best week found by then. Plan it"
        " again for a better one."
    ),
    NoteKind.WEEK_BEGUN: lambda case, note: "The week has begun: only what is still ahead was planned.",
    NoteKind.NO_FREE_HOURS: lambda case, note: (
        f"{case.learners[note.learner].alias} has no free hours in what is left of this week."
    ),
    NoteKind.MAINTENANCE_GAVE_WAY: _gave_way,
    NoteKind.NOT_PROBED: _not_probed,
    NoteKind.CLOSED: _closed,
    NoteKind.TOLD_AS_MET: lambda case, note: (
        "The probes that people were told of for the days from now until this week are counted as met."
    ),
    NoteKind.PLANNED_AS_MET: _planned_as_met,
    NoteKind.UNWRITTEN_AS_MET: lambda case, note: (
        f"So are the probes of {note.weeks[0]} that have begun and of which nothing is written down yet."
    ),
    NoteKind.UNWRITTEN_AS_NOT_RUN: _unwritten,
    NoteKind.HALF_WRITTEN: _half_written,
}
