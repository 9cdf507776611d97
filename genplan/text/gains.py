"""What a change would be, as the beginning of a sentence about what it brings."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from genplan.case import Case
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.case.week import MINUTES_PER_DAY
from genplan.case.windows import Window
from genplan.language import _, ngettext, or_list
from genplan.language.dates import day_name
from genplan.planning.relaxation import Easing, RelaxationKind
from genplan.rules.amounts import ADULT_AMOUNTS, LEARNER_AMOUNTS, Unit
from genplan.text.amount_words import amount_text, span_text


def easing_text(case: Case, easing: Easing) -> str:
    return _TEXTS[easing.kind](case, easing)


def piece_text(piece: Window) -> str:
    """`on Monday from 09:00 to 09:30`."""
    day = day_name(piece.start // MINUTES_PER_DAY)
    return _("on {day} from {start} to {end}", day=day, start=_clock(piece.start), end=_clock(piece.end))


TIMES_AT_MOST = 3
"""Times of day that a sentence names."""


def times_text(pieces: Sequence[Window]) -> str:
    """`on Monday or Friday from 09:00 to 09:30, or on Tuesday from 12:30 to 13:00`: those of one time of day together,
    the most days first, and how many more there are."""
    days: dict[tuple[int, int], list[str]] = {}
    for piece in pieces:
        day = piece.start // MINUTES_PER_DAY
        span = piece.start - day * MINUTES_PER_DAY, piece.end - day * MINUTES_PER_DAY
        days.setdefault(span, []).append(day_name(day))
    most_first = sorted(days.items(), key=lambda d: (-len(d[1]), d[0]))
    words = [
        _("on {days} from {a} to {b}", days=or_list(own), a=_clock(a), b=_clock(b))
        for (a, b), own in most_first[:TIMES_AT_MOST]
    ]
    if left := sum(len(own) for __, own in most_first[TIMES_AT_MOST:]):
        words.append(ngettext("at {n} other time", "at {n} other times", left))
    return _(", or ").join(words)


def _clock(minute: int) -> str:
    return f"{minute % MINUTES_PER_DAY // 60:02d}:{minute % 60:02d}"


def _adult(case: Case, easing: Easing) -> str:
    return case.called(ADULT, easing.subject)


def _place(case: Case, easing: Easing) -> str:
    return case.called(LOCATION, easing.subject)


def _child(case: Case, easing: Easing) -> str:
    return case.learners[easing.subject].alias


def _may(easing: Easing, who: str) -> str:
    amounts = LEARNER_AMOUNTS if easing.kind is RelaxationKind.LEARNER_LIMIT else ADULT_AMOUNTS
    amount = next(a for a in amounts if a.key == easing.key)
    allowed, span = amount_text(amount.unit, easing.figure), span_text(amount.span)
    if amount.unit is Unit.MINUTES:
        return _("{who} may give {allowed} {span}", who=who, allowed=allowed, span=span)
    return _("{who} may have {allowed} {span}", who=who, allowed=allowed, span=span)


_TEXTS: Mapping[RelaxationKind, Callable[[Case, Easing], str]] = {
    RelaxationKind.ADULT_HOURS: lambda case, e: _("{adult} has half an hour more", adult=_adult(case, e)),
    RelaxationKind.LEARNER_HOURS: lambda case, e: _("{child} has half an hour more", child=_child(case, e)),
    RelaxationKind.LOCATION_HOURS: lambda case, e: _("{place} is open an hour longer", place=_place(case, e)),
    RelaxationKind.TARGET_WEEK: lambda case, e: ngettext(
        "a target may have {n} probe a week", "a target may have {n} probes a week", e.figure
    ),
    RelaxationKind.TARGET_DAY: lambda case, e: ngettext(
        "a target may have {n} probe a day", "a target may have {n} probes a day", e.figure
    ),
    RelaxationKind.TEACHINGS_WEEK: lambda case, e: ngettext(
        "a target may have {n} teaching a week", "a target may have {n} teachings a week", e.figure
    ),
    RelaxationKind.TEACHINGS_DAY: lambda case, e: ngettext(
        "a target may have {n} teaching a day", "a target may have {n} teachings a day", e.figure
    ),
    RelaxationKind.LEARNER_LIMIT: lambda case, e: _may(e, _child(case, e)),
    RelaxationKind.ADULT_LIMIT: lambda case, e: _may(e, _adult(case, e)),
    RelaxationKind.CAPACITY: lambda case, e: _(
        "{place} may hold {figure} sittings at once", place=_place(case, e), figure=e.figure
    ),
    RelaxationKind.COPIES: lambda case, e: _(
        "there are {figure} copies of '{set}'", figure=e.figure, set=case.called(MATERIAL_SET, e.subject)
    ),
    RelaxationKind.BRIEFING: lambda case, e: _(
        "{adult} is briefed on '{name}'", adult=_adult(case, e), name=case.targets[e.target].name
    ),
    # who teaches what the practitioner decides
    RelaxationKind.TEACHES: lambda case, e: _(
        "may {adult} teach '{name}'? The practitioner would have to say so",
        adult=_adult(case, e),
        name=case.targets[e.target].name,
    ),
}
