"""Minutes of each adult in a week as an inline drawing: what lies where; the template draws it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from genplan.language import _, and_list, ngettext
from genplan.plan import Sitting
from genplan.report.names_and_words import Names

WIDTH, LEFT, THICK, STEP = 340, 110, 12, 20
LONGEST_NAME = 17


@dataclass(frozen=True)
class Bar:
    """`minutes` and `limit` of one adult; `limit_at` is where the limit is drawn, 0 for no limit. `short` is the
    name as far as it fits."""

    name: str
    short: str
    sittings: int
    minutes: int
    limit: int | None
    top: int
    base: int
    length: float
    limit_at: float


@dataclass(frozen=True)
class Loads:
    words: str
    bars: tuple[Bar, ...]
    width: int
    height: int
    left: int = LEFT
    thick: int = THICK


def loads(names: Names, sittings: Sequence[Sitting]) -> Loads:
    """A bar for each adult who has a sitting, running it or beside, the one with the most minutes first. Minutes are
    those that pass."""
    own = {a: [s for s in sittings if a in s.adults] for a in sorted({a for s in sittings for a in s.adults})}
    minutes = {a: sum(s.minutes for s in mine) for a, mine in own.items()}
    limits = {
        a: names.case.adults[a].limits.minutes_per_week if a in names.case.adults else None for a in own
    }
    most = max([*minutes.values(), *(limit or 0 for limit in limits.values()), 1])
    scale = (WIDTH - LEFT - 4) / most
    order = sorted(own, key=lambda a: (-minutes[a], a))
    bars = tuple(
        Bar(
            name := names.adult(a),
            name if len(name) <= LONGEST_NAME else name[: LONGEST_NAME - 1] + "…",
            len(own[a]),
            minutes[a],
            limits[a],
            number * STEP + 4,
            number * STEP + 4 + THICK - 2,
            round(minutes[a] * scale, 1),
            round(LEFT + limit * scale, 1) if (limit := limits[a]) else 0.0,
        )
        for number, a in enumerate(order)
    )
    total = sum(minutes.values())
    words = _(
        "{adults} share {minutes} in {sittings}.",
        adults=ngettext("{n} adult", "{n} adults", len(bars)),
        minutes=ngettext("{n} minute", "{n} minutes", total),
        sittings=ngettext("{n} sitting", "{n} sittings", len(sittings)),
    )
    most_busy = [bar.name for bar in bars if bar.minutes == bars[0].minutes]
    if len(bars) > 1 and len(most_busy) == len(bars):
        words = _("{words} Each gives {minutes}.", words=words, minutes=bars[0].minutes)
    elif bars:
        words = _(
            "{words} The most is {minutes}, by {most_busy}.",
            words=words,
            minutes=bars[0].minutes,
            most_busy=and_list(most_busy),
        )
    return Loads(words, bars, WIDTH, len(bars) * STEP + 6)
