"""The term in whole sentences; shared by the terminal, the tables and the notes of a week."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import datetime

from genplan.case import Case, Week
from genplan.coverage.wishes_not_possible import WishNotPossible
from genplan.language import _, and_list, ngettext
from genplan.language.sentences import capital
from genplan.plan import StageStatus
from genplan.plan.term import (
    Promise,
    Term,
    TermCheck,
    TermDate,
    TermLoad,
    TriedDate,
    Whose,
)
from genplan.report.names_and_words import Names, clean, day_words, long_date
from genplan.report.plain_characters import as_read
from genplan.report.term_in_the_way import in_the_way_sentences
from genplan.report.term_promises import hanging_sentences
from genplan.report.value_words import value_word
from genplan.text.tuple_words import counted_tuples
from genplan.text.week_words import week_named
from genplan.text.wishes_not_possible import wish_not_possible_text

MOST_LOADS = 8
"""Adults and places that are shown: those that some week asks for most."""
WORST = (Promise.CANNOT, Promise.GIVES_WAY_TO_DUE, Promise.GIVES_WAY, Promise.UNKNOWN, Promise.KEPT)


def worst_first(term: Term) -> list[TermDate]:
    """The dates that are not kept first; then by date."""
    return sorted(
        term.dates,
        key=lambda d: (WORST.index(d.promise), d.by, as_read(d.learner), as_read(d.target), d.place),
    )


def most_used(term: Term) -> list[TermLoad]:
    """Adults and places that are used, the fullest first."""
    used = [load for load in term.loads if any(load.used)]
    return sorted(used, key=lambda x: (-x.fullest, x.whose, as_read(x.name)))[:MOST_LOADS]


def load_name(names: Names, load: TermLoad) -> str:
    return names.adult(load.name) if load.whose is Whose.ADULT else names.location(load.name)


def span_sentence(term: Term, now: datetime) -> str:
    return " ".join([_span(term, now), *_counted_to(term)])


def _counted_to(term: Term) -> Iterator[str]:
    """Weeks after the last date hold nothing of the term."""
    if term.dates and (until := Week.of(max(d.by for d in term.dates))) != term.weeks[-1]:
        yield _(
            "Counted up to {week}, the week of the last date: of the weeks after it nothing is counted, neither for a"
            " date nor of what is due.",
            week=week_named(until),
        )


def _span(term: Term, now: datetime) -> str:
    first, last = term.weeks[0], term.weeks[-1]
    return _(
        "Dates in the {weeks} from {first} ({first_week}) to {last} ({last_week}), as of {today}.",
        weeks=ngettext("{n} week", "{n} weeks", len(term.weeks)),
        first=day_words(first.monday),
        first_week=first,
        last=long_date(last.sunday),
        last_week=last,
        today=long_date(now.date()),
    )


def begun_sentence(term: Term) -> str:
    return _("The week {week} has begun: of it only what is still ahead is counted.", week=term.weeks[0])


def told_sentence(term: Term) -> str:
    return ngettext(
        "{weeks} stays as people were told of it: nothing is added to it here.",
        "{weeks} stay as people were told of them: nothing is added to them here.",
        len(term.told),
        weeks=capital(and_list([week_named(w) for w in term.told])),
    )


def bound_sentence(term: Term) -> str:
    """For how many dates there is room, and what is proven of all others: the most expensive sentence here. What is
    counted leaves out the grid of starts, ways and second adults, so the number is proven from above alone."""
    waiting = sum(d.is_kept and not d.is_sure for d in term.dates)
    hangs = ngettext(
        "Of these {n} holds only if what it waits for is met again in time.",
        "Of these {n} hold only if what they wait for is met again in time.",
        waiting,
    )
    room = _("Whether each week finds room for its part only the plan of that week shows.")
    return " ".join([_bound(term), *_beside_tried(term), *([hangs] if waiting else []), room])


def _beside_tried(term: Term) -> Iterator[str]:
    """Dates in these weeks that are not counted, or not whole, since what was tried of them was not met."""
    counted = {(d.target, d.place) for d in term.dates}
    tried = {(t.target, t.place) for t in term.tried}
    if part := len(tried & counted):
        yield ngettext(
            "Of {n} of these a part was tried already and not met: that part waits, and is not counted here.",
            "Of {n} of these a part was tried already and not met: that part waits, and is not counted here.",
            part,
        )
    if whole := len(tried - counted):
        yield ngettext(
            "{n} date more is not among these: what is left of it was tried and not met, and waits.",
            "{n} dates more are not among these: what is left of them was tried and not met, and waits.",
            whole,
        )
    if never := sum(not n.in_time for n in term.not_possible):
        yield ngettext(
            "{n} date more cannot hold: nothing of what it asks for is possible by then.",
            "{n} dates more cannot hold: nothing of what they ask for is possible by then.",
            never,
        )
    if later := sum(n.in_time for n in term.not_possible):
        yield ngettext(
            "{n} date more is not counted: the child is still too young for what it asks for.",
            "{n} dates more are not counted: the children are still too young for what they ask for.",
            later,
        )


def _bound(term: Term) -> str:
    of = len(term.dates)
    kept = ngettext(
        "Counted by day and week there is room for {kept} of {n} date.",
        "Counted by day and week there is room for {kept} of {n} dates.",
        of,
        kept=term.kept,
    )
    if term.kept == of:
        return kept
    if term.status is StageStatus.OPTIMAL:
        return f"{kept} " + _("No plan of these weeks keeps more of them: that is proven.")
    if term.checks:
        return f"{kept} {_bound_beside_due(term)}"
    ended = _("The search ended before it was through:")
    return f"{kept} {ended} " + _(
        "no plan of these weeks keeps more than {bound}, which is proven.", bound=term.bound
    )


def _bound_beside_due(term: Term) -> str:
    """The same where something is due: which claim holds of plans that hold it, and which of all."""
    if term.kept == term.bound_beside_due:
        return _(
            "No plan that holds what is due in the weeks told here keeps more of them, and none at all keeps more than"
            " {bound}: both are proven.",
            bound=term.bound,
        )
    return _(
        "Whether more can be kept is not known: no plan that holds what is due in the weeks told here keeps more than"
        " {beside}, and none at all more than {bound}. Both are proven.",
        beside=term.bound_beside_due,
        bound=term.bound,
    )


def due_sentences(names: Names, term: Term) -> Iterator[str]:
    """How many probes are due in which week before all dates, and what of it has no room."""
    by_week = Counter(c.probe.week for c in term.checks if c.probe)
    if by_week:
        parts = ", ".join(f"{week_named(term.weeks[i])} ({n})" for i, n in sorted(by_week.items()))
        yield ngettext(
            "{n} probe has its place before all dates: {weeks}.",
            "{n} probes have their place before all dates: {weeks}.",
            by_week.total(),
            weeks=parts,
        )
    for check in term.checks:
        if check.probe is None:
            yield _("No room was found for this: {check}", check=check_sentence(names, check))


def check_sentence(names: Names, check: TermCheck) -> str:
    return _(
        "{learner}, {skill}: {kind}, due from {date}.",
        learner=names.learner(check.learner),
        skill=names.target(check.target),
        kind=value_word(check.kind),
        date=long_date(check.due),
    )


def date_sentence(names: Names, term: Term, found: TermDate) -> str:
    """What is wanted and by when, where its probes lie, and what stands in the way if it does not hold."""
    head = _wanted(names, found.target, found.place)
    return " ".join(
        [head, *_where(term, found), *hanging_sentences(names, found), *_why_not(names, term, found)]
    )


def _where(term: Term, found: TermDate) -> Iterator[str]:
    by_week = Counter(p.week for p in term.serving(found))
    if by_week:
        parts = ", ".join(f"{week_named(term.weeks[i])} ({n})" for i, n in sorted(by_week.items()))
        count = by_week.total()
        yield ngettext("{n} probe, in {weeks}.", "{n} probes, in {weeks}.", count, weeks=parts)


def _why_not(names: Names, term: Term, found: TermDate) -> Iterator[str]:
    if found.is_kept:
        return
    tuples = counted_tuples(names.case.targets[found.target], len(found.tuples))
    yield _("{shown} of {tuples} shown in time.", shown=len(found.shown), tuples=tuples)
    yield from in_the_way_sentences(names, term, found)


def assumption_sentences(case: Case) -> Iterator[str]:
    yield _(
        "Each probe is taken to be run in its week. Make the term again when results come in: what fell through comes"
        " later, and what was run is done."
    )
    yield _(
        "Hours, limits, places and sets are counted by day and week. Ways between places, second adults and the hour of"
        " each sitting are not: a week may hold less than its part, and a date for which there is room may still be"
        " missed."
    )
    yield _(
        "What is due by dates that are known today has its place first: maintenance, retests and baseline probes. What"
        " falls due because something is not met is not known yet. It will come first, too."
    )
    if case.policy.plan_teaching:
        yield _("What is to be taught now may be shown by that, and is not asked for here.")


def outside_sentences(names: Names, term: Term) -> Iterator[str]:
    """Dates that lie before the weeks or after them, what of those in them was not met, and those of skills that are
    still being taught."""
    for place in term.over:
        yield _over_sentence(term, names, *place)
    for tried in term.tried:
        yield tried_sentence(names, tried)
    for never in term.not_possible:
        yield not_possible_sentence(names, never)
    for place in term.later:
        yield _("After these weeks, so nothing is said of it: {date}", date=_wanted(names, *place))
    for place in term.still_taught:
        yield still_taught_sentence(names, *place)


def _over_sentence(term: Term, names: Names, target_id: str, place: int) -> str:
    date, by = _wanted(names, target_id, place), names.case.targets[target_id].first[place].by
    if by is not None and by >= term.weeks[0].monday:
        return _("That day is over, so nothing is said of it: {date}", date=date)
    return _("Before these weeks, so nothing is said of it: {date}", date=date)


def counted_sentences(term: Term) -> Iterator[str]:
    """Stand under the minutes of adults and places: what is counted as used and as free, and how many are not shown."""
    yield _(
        "Minutes are those of probes that a date needs and of what is due, with the settling in before them. What else"
        " a week holds, and observing, is not among them."
    )
    yield _free_sentence()
    if (more := sum(any(load.used) for load in term.loads) - MOST_LOADS) > 0:
        yield ngettext(
            "{n} more adult or place is used, in no week fuller than these.",
            "{n} more adults and places are used, in no week fuller than these.",
            more,
        )


def _free_sentence() -> str:
    """They are fewer than those of a timetable."""
    return _(
        "Only minutes in which a child with something to check, an adult and an open place have time together for at"
        " least one check count as free here, and no more than the adult's limit leaves of the week; the timetable"
        " counts all hours of the adult."
    )


def tried_sentence(names: Names, tried: TriedDate) -> str:
    """What of a date was not met, and what it waits for: the term has no place for it."""
    parts = [_("Tried and not met: {date}", date=_wanted(names, tried.target, tried.place))]
    if tried.to_teach:
        parts.append(
            ngettext(
                "{n} combination waits for teaching, and is not probed again before that is recorded.",
                "{n} combinations wait for teaching, and are not probed again before that is recorded.",
                tried.to_teach,
            )
        )
    if tried.retests and tried.retest_from:
        parts.append(
            ngettext(
                "{n} combination is to be probed again, from {date} on.",
                "{n} combinations are to be probed again, the first from {date} on.",
                tried.retests,
                date=long_date(tried.retest_from),
            )
        )
    if tried.held_back:
        parts.append(
            ngettext(
                "{n} combination is held back for now, neither taught nor probed: its thing is kept from the learner.",
                "{n} combinations are held back for now, neither taught nor probed: their things are kept from the"
                " learner.",
                tried.held_back,
            )
        )
    return " ".join(parts)


def not_possible_sentence(names: Names, found: WishNotPossible) -> str:
    """A date that cannot hold, and what stands against it."""
    why = clean(wish_not_possible_text(names.case, found))
    if found.in_time:
        return _(
            "Not counted yet: {date} {why}. A term that is made from that day on counts it.",
            date=_wanted(names, found.target, found.place),
            why=capital(why),
        )
    return _("Cannot hold: {date} {why}.", date=_wanted(names, found.target, found.place), why=capital(why))


def still_taught_sentence(names: Names, target_id: str, place: int) -> str:
    return _(
        "Still being taught, so it cannot be counted yet: {date} What a date needs is known once the skill is"
        " 'state: mastered'.",
        date=_wanted(names, target_id, place),
    )


def _wanted(names: Names, target_id: str, place: int) -> str:
    """Whose, what and by when."""
    target = names.case.targets[target_id]
    wish = target.first[place]
    assert wish.by is not None
    return _(
        "{learner}, {skill}: {wanted}, by {date}.",
        learner=names.learner(target.learner),
        skill=names.target(target_id),
        wanted=names.pattern(wish.pattern),
        date=long_date(wish.by),
    )


def nothing_sentence(case: Case, term: Term) -> str:
    """Why there is nothing to plan."""
    wishes = [w for t in case.mastered for w in t.first if w.by is not None]
    if not wishes:
        return _(
            "Nothing to plan: no mastered target has a date. Say in a target what is wished first and by which "
            "day, such as at school by 18 December, and make the term again."
        )
    if term.not_possible:
        return _("Nothing to plan: nothing of what the dates of these weeks ask for is possible today.")
    if term.over or term.later:
        return _("Nothing to plan: no date of which something is still to be tried lies in these weeks.")
    return _("Nothing to plan: all that the dates ask for was tried.")
