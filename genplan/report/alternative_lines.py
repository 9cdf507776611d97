"""Other places for a sitting, and what a change would do, in words: what is gained or lost, who would be told."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from genplan.case import Case
from genplan.language import N_, _, and_list, ngettext, said
from genplan.language.sentences import capital
from genplan.plan import Note, Sitting
from genplan.planning.alternatives import Alternative
from genplan.planning.still_held import Against
from genplan.report.names_and_words import Names, clean, day_words, hours, kind_words, meeting_words
from genplan.report.people_told import bringer
from genplan.report.plain_characters import ended
from genplan.report.told_week_lines import is_called_off, mark_of, why_words
from genplan.text.notes import note_text
from genplan.text.objectives import waited_words
from genplan.text.tuple_words import common_words, new_tuples_text


def counts_words(case: Case, learner: str, counts: Mapping[str, int]) -> str:
    """`2 due probes and 3 new pairs`, of those that are more than 0; empty for nothing. An empty `learner`: of all."""
    targets = case.targets_of(learner) if learner else case.targets.values()
    word, words = common_words(targets)
    said_of: Mapping[str, Callable[[int], str]] = {
        "due": lambda n: ngettext("{n} due probe", "{n} due probes", n),
        "dated": lambda n: (
            _("{n} wished {tuple} with its last chance", n=n, tuple=word)
            if n == 1
            else _("{n} wished {tuples} with their last chance", n=n, tuples=words)
        ),
        "teaching": lambda n: ngettext("{n} teaching", "{n} teachings", n),
        "new tuples": lambda n: new_tuples_text(n, word, words),
    }
    shown = [words_of(counts[name]) for name, words_of in said_of.items() if counts.get(name, 0) > 0]
    return and_list(shown)


def gain_words(case: Case, learner: str, alternative: Alternative) -> str:
    """What the week shows more and less than with the sitting as it was told."""
    more = counts_words(case, learner, alternative.more_than_told)
    less = counts_words(case, learner, {n: -v for n, v in alternative.more_than_told.items()})
    waited = alternative.more_than_told["waited"]
    parts = [_("gains {more}", more=more)] if more else []
    parts += [_("loses {less}", less=less)] if less else []
    parts += [waited_words(waited)] if waited else []
    return capital("; ".join(parts)) if parts else _("Loses nothing")


def ask_words(names: Names, alternative: Alternative, location: str) -> tuple[str, ...]:
    """What is to be asked before it is taken."""
    home_of = alternative.ask.home_of
    return (home_question(names, home_of, location),) if home_of else ()


def no_place(names: Names, ill: Sequence[Note], day: int, learner: str) -> str:
    """Why nothing is offered on this day of the week (0 is Monday)."""
    if any(day in note.days for note in ill):
        return _(
            "None: {learner} is written down as ill on this day. Well again? Take the rows back that say so.",
            learner=names.learner(learner),
        )
    return said(NO_PLACE)


def home_question(names: Names, adult: str, location: str) -> str:
    """Of a place that may be the home of an adult who is away."""
    return _(
        "{adult} is away then: is it all right to meet at this place ({location})?",
        adult=names.adult(adult),
        location=names.location(location),
    )


def told_words(names: Names, adults: Sequence[str], learners: Sequence[str]) -> str:
    """Who would have to be told something."""
    people = [names.adult(a) for a in adults] + [bringer(names.learner(i)) for i in learners]
    return and_list(people)


def where_words(names: Names, sitting: Sitting, *, day: bool) -> str:
    """`Thursday 3 December, 15:45 to 16:10 with Dad, Home`; without its day where that is said already."""
    when = f"{day_words(sitting.start.date())}, {hours(sitting)}" if day else hours(sitting)
    beside = f" ({names.beside(sitting)})" if sitting.beside else ""
    return _(
        "{when} with {adult}, {location}{beside}",
        when=when,
        adult=names.adult(sitting.adult),
        location=names.location(sitting.location),
        beside=beside,
    )


def held_lines(names: Names, sitting: Sitting) -> Iterator[str]:
    """What it would hold, one by one."""
    for p in sitting.probes:
        yield f"{names.target_and_used(p)} ({kind_words(p.kind)})"


def to_be_told(names: Names, adults: Sequence[str], learners: Sequence[str]) -> str:
    """A sentence; an alias may end with a full stop of its own."""
    return ended(_("To be told: {told}", told=told_words(names, adults, learners)))


NO_PLACE = N_("None: while all other sittings stay where they are, there is no room for it.")

Offered = tuple[Alternative, Sitting, Sequence[str]]
"""A place, as a sitting with moments, and what of the wishes it contradicts, in words."""


def gives_way_words(wishes: Sequence[str]) -> str:
    """Of what is wished of a sitting for which places are offered."""
    return _("What you wished of it goes when you take a place: {wishes}", wishes="; ".join(wishes))


def against_words(wishes: Sequence[str]) -> str:
    """Of a place that contradicts wishes."""
    return _(
        "Goes against a wish: {wishes}. It can be taken once that wish is taken back.",
        wishes="; ".join(wishes),
    )


def alternative_lines(
    case: Case,
    asked: Sitting,
    against: Sequence[Against],
    left: object | None,
    same_day: Sequence[Offered],
    other_days: Sequence[Offered],
    *,
    give_way: Sequence[str],
    begun: bool,
    told: bool,
    stand_in: bool,
    ill: Sequence[Note] = (),
) -> Iterator[str]:
    """The sitting that was asked about, then the places, numbered through; `give_way` are the wishes, in words, in
    whose stead one is taken, and with `stand_in` an adult is what the sitting lacks. Of the days on which the child is
    `ill` nothing is offered."""
    names = Names(case)
    yield f"{day_words(asked.start.date())}, {meeting_words(names, asked)}"
    if begun:
        yield _("It has begun, or is over; this is for the case that it was not run.")
    elif against:
        sign, words = mark_of(left, against)
        if is_called_off(against):
            yield f"{sign} {capital(why_words(case, against))}."
        else:
            yield _("{sign} It {words}: {why}.", sign=sign, words=words, why=why_words(case, against))
    if give_way:
        yield ended(gives_way_words(give_way))
    yield from (clean(note_text(case, note)) for note in ill)
    yield ""
    yield _("Who could stand in on that day") if stand_in else _("On the same day")
    nothing = no_place(names, ill, asked.start.weekday(), asked.learner)
    yield from _offers(names, asked, same_day, 1, nothing, told=told, day=False)
    yield ""
    yield _("On other days of this week")
    yield from _offers(names, asked, other_days, 1 + len(same_day), said(NO_PLACE), told=told, day=True)


def _offers(
    names: Names,
    asked: Sitting,
    offered: Sequence[Offered],
    first: int,
    nothing: str,
    *,
    told: bool,
    day: bool,
) -> Iterator[str]:
    if not offered:
        yield f"  {nothing}"
    for number, (alternative, sitting, wishes) in enumerate(offered, first):
        yield f"  {number}. {where_words(names, sitting, day=day)}"
        yield from (f"       {line}" for line in held_lines(names, sitting))
        yield f"     {gain_words(names.case, asked.learner, alternative)}."
        yield from (f"     {line}" for line in ask_words(names, alternative, sitting.location))
        if wishes:
            yield f"     {against_words(wishes)}"
        if told:
            yield f"     {to_be_told(names, alternative.adults, [asked.learner])}"
