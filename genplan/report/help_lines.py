"""What would help most, in sentences: one for each person, place or thing, the best it could bring first."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from genplan.language import _, and_list, and_list_of, ngettext
from genplan.language.sentences import capital
from genplan.planning.relaxation import RelaxationKind
from genplan.planning.what_if import Gain, Gains, More
from genplan.report.names_and_words import Names, clean
from genplan.report.plain_characters import ended
from genplan.text.gains import easing_text, times_text
from genplan.text.objectives import waited_words
from genplan.text.tuple_words import common_words, new_tuples_text

NAMED_AT_MOST = 4
"""Learners named in a sentence."""

_OF_ADULTS = (
    RelaxationKind.ADULT_HOURS,
    RelaxationKind.ADULT_LIMIT,
    RelaxationKind.BRIEFING,
    RelaxationKind.TEACHES,
)
_OF_LEARNERS = (RelaxationKind.LEARNER_HOURS, RelaxationKind.LEARNER_LIMIT)
_OF_PLACES = (RelaxationKind.LOCATION_HOURS, RelaxationKind.CAPACITY)


@dataclass(frozen=True)
class Help:
    """What one person, place or thing could bring: the `best` change, and its `others`, the better first."""

    best: str
    others: tuple[str, ...]


def helps(names: Names, gains: Gains) -> tuple[Help, ...]:
    """Each person, place or thing that could help, who brings most first, then by what it is called; after these what
    brings a loss too, and last what is a question to the practitioner."""
    alike: dict[tuple[object, ...], list[Gain]] = defaultdict(list)
    for gain in gains.found:
        alike[gain.easing, gain.more, gain.learners].append(gain)
    ordered = sorted(
        alike.values(),
        key=lambda g: (
            g[0].easing.kind is RelaxationKind.TEACHES,
            bool(_fewer(names, g[0])),
            *(-m for m in g[0].more),
            easing_text(names.case, g[0].easing),
        ),
    )
    by_subject: dict[tuple[object, str], list[str]] = defaultdict(list)
    for several in ordered:
        by_subject[_subject(several[0])].append(_sentence(names, several))
    return tuple(Help(best, tuple(others)) for best, *others in by_subject.values())


def _subject(gain: Gain) -> tuple[object, str]:
    """Whom or what a change is about."""
    kind, subject = gain.easing.kind, gain.easing.subject
    family = next((f for f in (_OF_ADULTS, _OF_LEARNERS, _OF_PLACES) if kind in f), kind)
    return family, subject


def _sentence(names: Names, alike: Sequence[Gain]) -> str:
    gain = alike[0]
    times = times_text([g.piece for g in alike if g.piece])
    words = clean(f"{easing_text(names.case, gain.easing)} {times}".strip())
    whom = and_list_of([names.learner(i) for i in gain.learners], NAMED_AT_MOST)
    text = _(
        "{change}: {more} for {whom}",
        change=capital(words),
        more=_more(names, gain),
        whom=whom,
    )
    if lost := _fewer(names, gain):
        text = _("{text}, but {lost} fewer", text=text, lost=and_list(lost))
    if (waited := gain.of("waited")) < 0:
        text = f"{text}; {waited_words(waited)}"
    if lost:
        text = _("With a loss: {text}", text=text)
    return ended(text)


def _fewer(names: Names, gain: More) -> list[str]:
    """What the week has less of with a change."""
    due, dated, wished, new, teachings = (
        -gain.of(name) for name in ("due", "dated", "wished", "new tuples", "teaching")
    )
    one, many = common_words(names.case.mastered)
    lost = [ngettext("{n} due probe", "{n} due probes", due)] if due > 0 else []
    for n in (dated, wished):
        lost += [_("{n} wished {tuples}", n=n, tuples=one if n == 1 else many)] if n > 0 else []
    lost += [new_tuples_text(new, one, many)] if new > 0 else []
    lost += [ngettext("{n} teaching", "{n} teachings", teachings)] if teachings > 0 else []
    return lost


def anyway_sentence(names: Names, anyway: More, how: str) -> str:
    """What more people told would bring without any change, and `how` one looks for it; empty where that is nothing."""
    if not (more := _more(names, anyway)):
        return ""
    return _(
        "Without any change a week that tells more people has {more} for {whom}: {how} looks for it. What a change"
        " brings is counted beside that.",
        more=more,
        whom=and_list_of([names.learner(i) for i in anyway.learners], NAMED_AT_MOST),
        how=how,
    )


def _more(names: Names, gain: More) -> str:
    """`4 more pairs, 1 of them wished`."""
    due, dated, wished, new = (gain.of(name) for name in ("due", "dated", "wished", "new tuples"))
    one, many = common_words(t for t in names.case.mastered if t.learner in gain.learners)
    parts = [ngettext("{n} more due probe", "{n} more due probes", due)] if due > 0 else []
    if dated > 0:
        parts.append(
            _("{n} more wished {tuples} at the last chance", n=dated, tuples=one if dated == 1 else many)
        )
    if new > 0:
        more = _("{n} more {tuples}", n=new, tuples=one if new == 1 else many)
        parts.append(_("{more}, {wished} of them wished,", more=more, wished=wished) if wished > 0 else more)
    elif wished > 0:
        parts.append(_("{n} more wished {tuples}", n=wished, tuples=one if wished == 1 else many))
    if (teachings := gain.of("teaching")) > 0:
        parts.append(ngettext("{n} more teaching", "{n} more teachings", teachings))
    return _(" and ").join(parts)


def tried_sentence(gains: Gains) -> str:
    left = gains.all_changes - gains.tried
    rest = ngettext(
        " {n} more was not tried, so that nobody waits for too long.",
        " {n} more were not tried, so that nobody waits for too long.",
        left,
    )
    return ngettext(
        "{n} small change was looked at, by planning the week again with everything else as it is.{rest} Whether one is"
        " right for the child is for people to say.",
        "{n} small changes were looked at, by planning the week again with everything else as it is.{rest} Whether one"
        " is right for the child is for people to say.",
        gains.tried,
        rest=rest if left else "",
    )
