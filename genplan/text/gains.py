"""What a change would be, in English, as the beginning of a sentence about what it brings."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from genplan.case import Case
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.case.week import DAYS, MINUTES_PER_DAY
from genplan.case.windows import Window
from genplan.planning.relaxations import Easing, RelaxationKind
from genplan.rules.amounts import ADULT_AMOUNTS, LEARNER_AMOUNTS, Span, Unit


def easing_text(case: Case, easing: Easing) -> str:
    return _TEXTS[easing.kind](case, easing)


def piece_text(piece: Window) -> str:
    """`on Monday from 09:00 to 09:30`."""
    day = DAYS[piece.start // MINUTES_PER_DAY]
    return f"on {day} from {_clock(piece.start)} to {_clock(piece.end)}"


TIMES_AT_MOST = 3
"""Times of day that a sentence names."""


def times_text(pieces: Sequence[Window]) -> str:
    """`on Monday or Friday from 09:00 to 09:30, or on Tuesday from 12:30 to 13:00`: those of one time of day together,
    the most days first, and how many more there are."""
    days: dict[tuple[int, int], list[str]] = {}
    for piece in pieces:
        day = piece.start // MINUTES_PER_DAY
        span = piece.start - day * MINUTES_PER_DAY, piece.end - day * MINUTES_PER_DAY
        days.setdefault(span, []).append(DAYS[day])
    most_first = sorted(days.items(), key=lambda d: (-len(d[1]), d[0]))
    words = [f"on {_or(own)} from {_clock(a)} to {_clock(b)}" for (a, b), own in most_first[:TIMES_AT_MOST]]
    if left := sum(len(own) for _, own in most_first[TIMES_AT_MOST:]):
        words.append(f"at {left} other time" + ("s" if left > 1 else ""))
    return ", or ".join(words)


def _or(words: Sequence[str]) -> str:
    return " or ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)


def _clock(minute: int) -> str:
    return f"{minute % MINUTES_PER_DAY // 60:02d}:{minute % 60:02d}"


def _adult(case: Case, easing: Easing) -> str:
    return case.called(ADULT, easing.subject)


def _place(case: Case, easing: Easing) -> str:
    return case.called(LOCATION, easing.subject)


def _child(case: Case, easing: Easing) -> str:
    return case.learners[easing.subject].alias


def _may(easing: Easing) -> str:
    amounts = LEARNER_AMOUNTS if easing.kind is RelaxationKind.LEARNER_LIMIT else ADULT_AMOUNTS
    amount = next(a for a in amounts if a.key == easing.key)
    verb = "give" if amount.unit is Unit.MINUTES else "have"
    span = "in a sitting" if amount.span is Span.SITTING else f"a {amount.span.value}"
    return f"may {verb} {easing.figure} {amount.unit.value} {span}"


_TEXTS: Mapping[RelaxationKind, Callable[[Case, Easing], str]] = {
    RelaxationKind.ADULT_HOURS: lambda case, e: f"{_adult(case, e)} has half an hour more",
    RelaxationKind.LEARNER_HOURS: lambda case, e: f"{_child(case, e)} has half an hour more",
    RelaxationKind.LOCATION_HOURS: lambda case, e: f"{_place(case, e)} is open an hour longer",
    RelaxationKind.TARGET_WEEK: lambda case, e: f"a skill may have {e.figure} probes a week",
    RelaxationKind.TARGET_DAY: lambda case, e: f"a skill may have {e.figure} probes a day",
    RelaxationKind.TEACHINGS_WEEK: lambda case, e: f"a skill may have {e.figure} teachings a week",
    RelaxationKind.TEACHINGS_DAY: lambda case, e: f"a skill may have {e.figure} teachings a day",
    RelaxationKind.LEARNER_LIMIT: lambda case, e: f"{_child(case, e)} {_may(e)}",
    RelaxationKind.ADULT_LIMIT: lambda case, e: f"{_adult(case, e)} {_may(e)}",
    RelaxationKind.CAPACITY: lambda case, e: f"{_place(case, e)} may hold {e.figure} sittings at once",
    RelaxationKind.COPIES: lambda case, e: (
        f"there are {e.figure} copies of '{case.called(MATERIAL_SET, e.subject)}'"
    ),
    RelaxationKind.BRIEFING: lambda case, e: (
        f"{_adult(case, e)} is briefed on '{case.targets[e.target].name}'"
    ),
    # who teaches what the practitioner decides
    RelaxationKind.TEACHES: lambda case, e: (
        f"may {_adult(case, e)} teach '{case.targets[e.target].name}'? The practitioner would have to say so"
    ),
}
