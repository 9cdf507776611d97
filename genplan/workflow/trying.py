"""A change tried without being written: what would it do to the weeks that people were told of?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.findings import Finding
from genplan.workflow.asking_first import asking_first, home_of_who_is_away, homes, is_away
from genplan.workflow.changing import ChangeRequest, entry_of
from genplan.workflow.opened_case import kept_ahead, open_case
from genplan.workflow.told_sittings import ToldSitting
from genplan.workflow.week_as_told import ToldWeek, told_week_of

if TYPE_CHECKING:
    from genplan.plan import Sitting
    from genplan.planning.alternatives import Alternative


@dataclass(frozen=True)
class Fallen:
    """A sitting that a change would keep from being held as people were told, and the best other place for it."""

    told: ToldSitting
    place: Alternative | None
    sitting: Sitting | None

    @property
    def offered(self) -> tuple[Alternative, Sitting] | None:
        return (self.place, self.sitting) if self.place and self.sitting else None


@dataclass(frozen=True)
class TriedWeek:
    """One kept week with the change. `lost` is what it would show less if nothing else were done, `won_back` what the
    places would bring of that together; `adults` and `learners` would have to be told. `others` are those adults who
    would be told for the places alone, `with_nobody_else` is what the places bring for which none of them is. `asked`
    are sittings that could still be held, each with the adult who would be away from the home where it is."""

    week: ToldWeek
    fallen: tuple[Fallen, ...]
    lost: Mapping[str, int]
    won_back: Mapping[str, int]
    with_nobody_else: Mapping[str, int]
    others: tuple[str, ...]
    adults: tuple[str, ...]
    learners: tuple[str, ...]
    asked: tuple[tuple[Sitting, str], ...] = ()

    def lines(self) -> Iterator[str]:
        """It in words, for every front."""
        from genplan.report.tried_lines import asked_lines, tried_lines

        fallen = [(f.told.sitting, f.told.left, f.told.against, f.offered) for f in self.fallen]
        yield from tried_lines(
            self.week.case,
            self.week.week,
            fallen,
            self.lost,
            self.won_back,
            self.with_nobody_else,
            self.others,
            self.adults,
            self.learners,
        )
        yield from asked_lines(self.week.case, self.asked)


@dataclass(frozen=True)
class Tried:
    """`line` says what would be written down, without its note."""

    line: str
    weeks: tuple[TriedWeek, ...]
    findings: tuple[Finding, ...]


def try_change(folder: Path, request: ChangeRequest, now: datetime | None) -> Tried:
    """What a change would do to the kept weeks that are not over. Nothing is written. Raises as `change`."""
    from genplan.casefile.change_entries import file_with
    from genplan.text.facts import fact_text

    before = open_case(folder, now)
    fact = entry_of(before.case, request, before.now)
    name, fresh = file_with(folder, fact)
    after = open_case(folder, now, instead={name: fresh})
    weeks = [
        _tried(told_week_of(before, week), told_week_of(after, week))
        for week in kept_ahead(folder, before.now)
    ]
    line = fact_text(after.case, replace(fact, note=""))
    return Tried(line, tuple(w for w in weeks if w is not None), after.findings)


def _tried(before: ToldWeek, after: ToldWeek) -> TriedWeek:
    from genplan.planning.assemble import seat_of, sittings_of
    from genplan.planning.repairs import repairs, shown_more

    case, week = after.case, after.week
    left = {t.sitting.id: t.left for t in before.sittings}
    fallen = [t for t in after.otherwise if t.left != left[t.sitting.id]]
    seats = {t.sitting.id: seat_of(case, week, t.sitting) for t in fallen}
    lacking = [t for t in fallen if t.left is None or t.left.probes != seats[t.sitting.id].probes]
    found = repairs(
        after.context, after.staying, [(seats[t.sitting.id], asking_first(after, t)) for t in lacking]
    )
    places = dict(zip((t.sitting.id for t in lacking), found.places, strict=True))
    shown = [
        Fallen(t, place, sittings_of(case, week, (), (place.seat,), ())[0] if place else None)
        for t in fallen
        for place in (places.get(t.sitting.id),)
    ]
    anyway = {a for f in shown for a in f.told.sitting.adults}
    others = {a for f in shown if f.place for a in f.place.adults} - anyway
    nobody_else = [f.place.seat for f in shown if f.place and not others.intersection(f.place.adults)]
    return TriedWeek(
        after,
        tuple(shown),
        shown_more(after.context, before.staying, after.staying),
        found.won_back,
        shown_more(after.context, (*after.staying, *nobody_else), after.staying),
        tuple(sorted(others)),
        tuple(sorted(anyway | others)),
        tuple(sorted({f.told.sitting.learner for f in shown})),
        tuple(_at_homes(before, after)),
    )


def _at_homes(before: ToldWeek, after: ToldWeek) -> Iterator[tuple[Sitting, str]]:
    """What can still be held at the home of an adult who is away by the change alone."""
    whose = homes(after.case)
    already, away = (is_away(week.case, week.week) for week in (before, after))
    for one in after.sittings:
        if one.left is None or one.still_ahead is None:
            continue
        adult = home_of_who_is_away(whose, away, one.left)
        if adult and not home_of_who_is_away(whose, already, one.left):
            yield one.still_ahead, adult
