"""Remarks on a week as a whole, in words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

from genplan.case import Case, Target, TargetState
from genplan.case.possible import possible_combinations
from genplan.case.second_adults import can_be_taught
from genplan.case.targets import ADULT, LOCATION
from genplan.language import N_, _, and_list, ngettext
from genplan.language.dates import day_name, day_name_short, day_words
from genplan.plan import Note, NoteKind, Plan, Unwritten
from genplan.text.absences import reason_text
from genplan.text.limits import limit_sentence
from genplan.text.mastery import mastery_text
from genplan.text.matrix_rows import instead_text
from genplan.text.observers import observed_texts
from genplan.text.target_names import state_word, target_named
from genplan.text.tuple_words import combination_words, tuple_word, tuple_words
from genplan.text.week_words import first_and_last, week_named


def note_text(case: Case, note: Note) -> str:
    return _TEXTS[note.kind](case, note)


def remarks(case: Case, plan: Plan) -> tuple[str, ...]:
    """The notes of a plan and what is said of observers, after what is said of single learners and targets."""
    kinds = list(NoteKind)
    own = [n for n in plan.notes if kinds.index(n.kind) < kinds.index(NoteKind.CLOSED)]
    rest = [n for n in plan.notes if n not in own]
    return (
        *(note_text(case, n) for n in own),
        *observed_texts(case, plan.observed),
        *(note_text(case, n) for n in rest),
    )


def _closed(case: Case, note: Note) -> str:
    assert note.why is not None, note.kind
    place = case.locations[note.location]
    opening_days = sum(bool(windows) for windows in place.open.days)
    whole_week = len(note.days) > 1 and len(note.days) == opening_days
    reason = reason_text(note.why)
    if whole_week:
        return _(
            "{place} is closed all week ({reason}).", place=case.called(LOCATION, place.id), reason=reason
        )
    days = ", ".join(day_name_short(n) for n in note.days)
    return _(
        "{place} is closed on {days} ({reason}).",
        place=case.called(LOCATION, place.id),
        days=days,
        reason=reason,
    )


def _home_of_who_is_away(case: Case, note: Note) -> str:
    return _(
        "{adult} is away on {days}, when the child is to be at {place}: is it all right to meet there? If not, write "
        "down that the place is closed then, and plan again.",
        adult=case.called(ADULT, note.adult),
        days=and_list([day_name(n) for n in note.days]),
        place=case.called(LOCATION, note.location),
    )


def _planned_as_met(case: Case, note: Note) -> str:
    first, last = first_and_last(note.weeks[0], note.weeks[-1])
    span = first if first == last else _("{first} to {last}", first=first, last=last)
    return _("The probes planned for {span} are counted as met.", span=span)


def _not_held(case: Case, note: Note) -> str:
    return ngettext(
        "{n} sitting of {week} can no longer be held and is not counted; plan the rest of that week again.",
        "{n} sittings of {week} can no longer be held and are not counted; plan the rest of that week again.",
        note.of,
        week=week_named(note.weeks[0]),
    )


def _held_in_part(case: Case, note: Note) -> str:
    return ngettext(
        "{n} sitting of {week} can only be held without some of its probes, which are not counted; plan the rest of"
        " that week again.",
        "{n} sittings of {week} can only be held without some of their probes, which are not counted; plan the rest of"
        " that week again.",
        note.of,
        week=week_named(note.weeks[0]),
    )


def _gave_way(case: Case, note: Note) -> str:
    earlier, later = (day_name(n) for n in note.days)
    return _(
        "Two maintenance dates of {target} fall in this week: {earlier}'s gives way to"
        " {later}'s, and one probe is owed.",
        target=target_named(case, note.target),
        earlier=earlier,
        later=later,
    )


def _not_probed(case: Case, note: Note) -> str:
    target = case.targets[note.target]
    state = _("still being taught") if target.state is TargetState.TEACHING else state_word(target.state)
    if case.policy.baseline_per_target and target.state is TargetState.TEACHING:
        told = _(
            "{target} is {state}, so it is not probed but where nobody has taught it",
            target=target_named(case, target.id),
            state=state,
        )
    else:
        told = _(
            "{target} is {state}, so it is not probed", target=target_named(case, target.id), state=state
        )
    if not case.policy.plan_teaching or target.state is not TargetState.TEACHING:
        return f"{told}."
    if not target.teaching_per_week:
        return _(
            "{told}. No teaching of it is planned until the case says how often a week it is taught.",
            told=told,
        )
    if not _can_be_taught_as_named(case, target):
        return _(
            "{told}. No teaching of it is planned until the case says where it is taught, by somebody who may"
            " teach it.",
            told=told,
        )
    return f"{told}."


def _can_be_taught_as_named(case: Case, target: Target) -> bool:
    """Whether there is a possible combination that `taught` names, and somebody may teach it there."""
    possible = possible_combinations(case, target, date.max)
    named = (c for c in possible if any(target.matches(c, p) for p in target.taught))
    return any(can_be_taught(case, target, c) for c in named)


def _unplanned(case: Case, note: Note) -> str:
    target = case.targets[note.target]
    return _(
        "{target} is not generalised yet, and no plan holds the probe that is lacking, such as {where}, since all that"
        " has to be seen together there was tested or taught. A probe that is run beside the plan and recorded counts.",
        target=target_named(case, target.id),
        where=combination_words(case, target, note.combination),
    )


def _teaching_not_planned(case: Case, note: Note) -> str:
    return ngettext(
        "{n} retest waits for teaching, and the policy of this case plans none. Choose the policy of a family "
        "or of a caseload, or let your own plan teaching; or teach it beside the plan and write it down.",
        "{n} retests wait for teaching, and the policy of this case plans none. Choose the policy of a family "
        "or of a caseload, or let your own plan teaching; or teach it beside the plan and write it down.",
        note.of,
    )


def _taught_in_place(case: Case, note: Note) -> str:
    target = case.targets[note.target]
    where = combination_words(case, target, note.combination)
    instead = instead_text(case, target, note.instead_of)
    return _(
        "{target} is to be taught in {where}, where it was never probed: {instead}.",
        target=target_named(case, target.id),
        where=where,
        instead=instead,
    )


def _fell_through(case: Case, note: Note) -> str:
    assert note.on is not None, note.kind
    target = case.targets[note.target]
    where = combination_words(case, target, note.combination)
    when = _(" and ").join(day_name(n) for n in note.days)
    if when:
        again = _("it comes again on {when}", when=when)
    elif note.limit:
        again = _("it is not in this week, since {limit}", limit=limit_sentence(case, note.limit))
    else:
        again = _("it does not come again this week: other checks show what it would have shown")
    return _(
        "{target} with {where} is written down as not run on {on}: {again}.",
        target=target_named(case, target.id),
        where=where,
        on=day_words(note.on),
        again=again,
    )


def _caught_up(case: Case, note: Note) -> str:
    target = case.targets[note.target]
    what = (
        _("one wished {tuple}", tuple=tuple_word(target))
        if note.of == 1
        else _("{n} wished {tuples}", n=note.of, tuples=tuple_words(target))
    )
    return ngettext(
        "{skill}: of {what} with the last chance this week {n} comes so early that another day is left, if the sitting"
        " falls through.",
        "{skill}: of {what} with the last chance this week {n} come so early that another day is left, if the sitting"
        " falls through.",
        note.early,
        skill=target_named(case, target.id),
        what=what,
    )


def _by_term(case: Case, note: Note) -> str:
    first, last = first_and_last(*note.weeks)
    room = ngettext(
        "The week follows the term from {first} to {last}, which, counted by day and week, has room for {kept} of"
        " {n} date.",
        "The week follows the term from {first} to {last}, which, counted by day and week, has room for {kept} of"
        " {n} dates.",
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
    sittings = ngettext("one sitting", "{n} sittings", note.of)
    named = [_meeting(case, one) for one in note.unwritten[:NAMED_AT_MOST]]
    if (more := note.of - len(named)) and named:
        named.append(ngettext("one other sitting", "{n} other sittings", more))
    which = f" ({'; '.join(named)})" if named else ""
    return _(
        "Nothing is written down of {sittings} of {weeks} that people were told of and that would be over"
        "{which}: what was planned there is planned again, as if it was not run. If it was,"
        " write it down and plan again.",
        sittings=sittings,
        weeks=week_named(note.weeks[0]),
        which=which,
    )


def _half_written(case: Case, note: Note) -> str:
    shown = note.unwritten[:NAMED_AT_MOST]
    named = [
        _(
            "{meeting} (not of {target})",
            meeting=_meeting(case, one),
            target=_(" and ").join(target_named(case, t) for t in one.targets),
        )
        for one in shown
    ]
    if more := len(note.unwritten) - len(shown):
        named.append(ngettext("one other sitting", "{n} other sittings", more))
    return ngettext(
        "Of this sitting of {week} only a part is written down: {named}. The rest is planned again, as if it was not"
        " run. If it was, write it down and plan again.",
        "Of these sittings of {week} only a part is written down: {named}. The rest is planned again, as if it was not"
        " run. If it was, write it down and plan again.",
        note.of,
        week=week_named(note.weeks[0]),
        named="; ".join(named),
    )


def _meeting(case: Case, one: Unwritten) -> str:
    """An adult or a child whom the case does not have any more is shown by the id, a child's cut as an alias is."""
    child = (
        case.learners[one.learner].alias if one.learner in case.learners else f"{one.learner[:1].upper()}."
    )
    adult = case.called(ADULT, one.adult) if one.adult in case.adults else one.adult
    return _("{child} with {adult} on {on}", child=child, adult=adult, on=day_words(one.on))


CLOCK_ENDED_IT = N_(
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
    NoteKind.FELL_AND_WAITS: _fell_through,
    NoteKind.CATCH_UP: _caught_up,
    NoteKind.TERM: _by_term,
    NoteKind.INTERRUPTED: lambda case, note: _(
        "The search for this week was stopped by hand before its end: this is the best week found by then. Plan it"
        " again for a better one."
    ),
    NoteKind.WEEK_BEGUN: lambda case, note: _("The week has begun: only what is still ahead was planned."),
    NoteKind.ILL: lambda case, note: _(
        "{alias} is written down as ill on {days}, so nothing is planned with {alias} then. Well again? Take the rows"
        " back that say so, and plan again.",
        alias=case.learners[note.learner].alias,
        days=and_list([day_name(n) for n in note.days]),
    ),
    NoteKind.NO_FREE_HOURS: lambda case, note: _(
        "{alias} has no free hours in what is left of this week.", alias=case.learners[note.learner].alias
    ),
    NoteKind.MAINTENANCE_GAVE_WAY: _gave_way,
    NoteKind.NOT_PROBED: _not_probed,
    NoteKind.UNPLANNED: _unplanned,
    NoteKind.TEACHING_NOT_PLANNED: _teaching_not_planned,
    NoteKind.CLOSED: _closed,
    NoteKind.HOME_OF_WHO_IS_AWAY: _home_of_who_is_away,
    NoteKind.TOLD_AS_MET: lambda case, note: _(
        "The probes that people were told of for the days from now until this week are counted as met."
    ),
    NoteKind.TOLD_NOT_HELD: _not_held,
    NoteKind.TOLD_HELD_IN_PART: _held_in_part,
    NoteKind.PLANNED_AS_MET: _planned_as_met,
    NoteKind.UNWRITTEN_AS_MET: lambda case, note: _(
        "So are the probes of {weeks} that have begun and of which nothing is written down yet.",
        weeks=week_named(note.weeks[0]),
    ),
    NoteKind.UNWRITTEN_AS_NOT_RUN: _unwritten,
    NoteKind.HALF_WRITTEN: _half_written,
}
