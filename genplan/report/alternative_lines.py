"""Other places for a sitting, and what a change would do, in words: what is gained or lost, who would be told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from genplan.case import Case
from genplan.plan import Sitting
from genplan.planning.alternatives import Alternative
from genplan.planning.still_held import Against
from genplan.report.names_and_words import KIND_WORDS, Names, day_words, hours
from genplan.report.plain_characters import counted, ended, listed
from genplan.report.told_week_lines import mark_of, meeting_words, why_words
from genplan.text.tuple_words import common_words

MANY = 99


def counts_words(case: Case, learner: str, counts: Mapping[str, int]) -> str:
    """`2 due probes and 3 new pairs`, of those that are more than 0; empty for nothing. An empty `learner`: of all."""
    targets = case.targets_of(learner) if learner else case.targets.values()
    word, words = common_words(targets)
    nouns = {
        "due": ("due probe", ""),
        "dated": (f"wished {word} with its last chance", f"wished {words} with their last chance"),
        "teaching": ("teaching", ""),
        "new tuples": (f"new {word}", f"new {words}"),
    }
    shown = [counted(counts[name], *noun) for name, noun in nouns.items() if counts.get(name, 0) > 0]
    return listed(shown, MANY)


def gain_words(case: Case, learner: str, alternative: Alternative) -> str:
    """What the week shows more and less than with the sitting as it was told."""
    more = counts_words(case, learner, alternative.more_than_told)
    less = counts_words(case, learner, {n: -v for n, v in alternative.more_than_told.items()})
    if not more and not less:
        return "Loses nothing"
    parts = [f"gains {more}"] if more else []
    words = "; ".join([*parts, *([f"loses {less}"] if less else [])])
    return words[:1].upper() + words[1:]


def told_words(names: Names, adults: Sequence[str], learners: Sequence[str]) -> str:
    """Who would have to be told something."""
    people = [names.adult(a) for a in adults] + [f"the family of {names.learner(i)}" for i in learners]
    return listed(people, MANY)


def where_words(names: Names, sitting: Sitting, *, day: bool) -> str:
    """`Thursday 3 December, 15:45 to 16:10 with Dad, Home`; without its day where that is said already."""
    when = f"{day_words(sitting.start.date())}, {hours(sitting)}" if day else hours(sitting)
    beside = f" ({names.beside(sitting)})" if sitting.beside else ""
    return f"{when} with {names.adult(sitting.adult)}, {names.location(sitting.location)}{beside}"


def held_lines(names: Names, sitting: Sitting) -> Iterator[str]:
    """What it would hold, one by one."""
    for p in sitting.probes:
        yield f"{names.target(p.target)}: {names.used(p)} ({KIND_WORDS[p.kind]})"


def to_be_told(names: Names, adults: Sequence[str], learners: Sequence[str]) -> str:
    """A sentence; an alias may end with a full stop of its own."""
    return ended(f"To be told: {told_words(names, adults, learners)}")


NO_PLACE = "None: while all other sittings stay where they are, there is no room for it."

Offered = tuple[Alternative, Sitting]


def alternative_lines(
    case: Case,
    asked: Sitting,
    against: Sequence[Against],
    left: object | None,
    same_day: Sequence[Offered],
    other_days: Sequence[Offered],
    *,
    begun: bool,
    told: bool,
) -> Iterator[str]:
    """The sitting that was asked about, then the places, numbered through."""
    names = Names(case)
    yield f"{day_words(asked.start.date())}, {meeting_words(names, asked)}"
    if begun:
        yield "It has begun, or is over; this is for the case that it was not run."
    elif against:
        sign, words = mark_of(left)
        yield f"{sign} It {words}: {why_words(case, against)}."
    fell = begun or bool(against)
    yield ""
    yield "Who could stand in on that day" if fell else "On the same day"
    yield from _offers(names, asked, same_day, 1, told=told, day=False)
    yield ""
    yield "On other days of this week"
    yield from _offers(names, asked, other_days, 1 + len(same_day), told=told, day=True)


def _offers(
    names: Names, asked: Sitting, offered: Sequence[Offered], first: int, *, told: bool, day: bool
) -> Iterator[str]:
    if not offered:
        yield f"  {NO_PLACE}"
    for number, (alternative, sitting) in enumerate(offered, first):
        yield f"  {number}. {where_words(names, sitting, day=day)}"
        yield from (f"       {line}" for line in held_lines(names, sitting))
        yield f"     {gain_words(names.case, asked.learner, alternative)}."
        if told:
            yield f"     {to_be_told(names, alternative.adults, [asked.learner])}"
