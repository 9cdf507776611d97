"""Minutes and sittings of each adult over the last weeks: told, held, not held, and of which nothing is known yet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from genplan.case import Case, Week
from genplan.keeping.lately import Became, PastSitting


@dataclass(frozen=True)
class Amount:
    minutes: int = 0
    sittings: int = 0

    def __add__(self, more: Amount) -> Amount:
        return Amount(self.minutes + more.minutes, self.sittings + more.sittings)


@dataclass(frozen=True)
class Load:
    """`told`: what people were told of. `held` and `not_held` are what rows say or people were told later, also of
    sittings that nobody was told of; `open`: told, and no row tells of it, be it still ahead."""

    told: Amount = Amount()
    held: Amount = Amount()
    not_held: Amount = Amount()
    open: Amount = Amount()

    def __add__(self, more: Load) -> Load:
        return Load(
            self.told + more.told,
            self.held + more.held,
            self.not_held + more.not_held,
            self.open + more.open,
        )


@dataclass(frozen=True)
class AdultsLoad:
    """`weeks` are those of the table, in its order."""

    adult: str
    weeks: tuple[Load, ...]

    @property
    def sum(self) -> Load:
        return sum(self.weeks, Load())


def loads_lately(case: Case, past: Iterable[PastSitting], weeks: Sequence[Week]) -> tuple[AdultsLoad, ...]:
    """Of each adult of the case, with or without a sitting, then of those whom it does not have any more."""
    found: dict[tuple[str, Week], Load] = defaultdict(Load)
    for one in past:
        for adult in one.adults:
            found[adult, Week.of(one.day)] += _load(one)
    gone = sorted({adult for adult, _ in found} - case.adults.keys())
    return tuple(
        AdultsLoad(adult, tuple(found[adult, week] for week in weeks)) for adult in (*case.adults, *gone)
    )


def _load(one: PastSitting) -> Load:
    amount, nothing = Amount(one.minutes, 1), Amount()
    return Load(
        told=amount if one.told else nothing,
        held=amount if one.became is Became.HELD else nothing,
        not_held=amount if one.became.fell_through else nothing,
        open=amount if one.became in (Became.UNWRITTEN, Became.AHEAD) else nothing,
    )
