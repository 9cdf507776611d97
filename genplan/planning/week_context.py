"""What a plan stands on: the facts of one week, worked out once for the search and for every question about it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cache, cached_property

from genplan.case import Case, Combination, Week
from genplan.case.dated_facts import in_week
from genplan.case.windows import Windows
from genplan.evidence.effective_rows import effective_probes
from genplan.evidence.familiarity import familiar_adults
from genplan.evidence.log import Log, Result, ResultKind
from genplan.keeping.past_of_week import is_written_off
from genplan.keeping.same_sittings import content
from genplan.plan import Sitting, ToldLately, WeeksBefore
from genplan.planning.assemble import seat_of, sittings_of
from genplan.planning.caseload_problem import Caseload
from genplan.planning.catching_up import with_catching_up
from genplan.planning.decided import Decided, WishesOfWeek, day_without, joined
from genplan.planning.looking_back import weeks_before
from genplan.planning.needs import TargetNeed, need_of
from genplan.planning.openings import Busy, Hours, Opening, hours, openings_of
from genplan.planning.still_possible import impossible, is_owed, unwatched
from genplan.planning.told_anew import ToldAnew
from genplan.planning.wishes import with_last_chances
from genplan.rules.placed_sittings import Person, PlacedSitting, people_in


@dataclass(frozen=True, kw_only=True)
class WeekContext:
    """The facts of one week.

    - `case`: as it is in the week
    - `log`: what was run
    - `week`: the week
    - `now`: aware moment of planning
    - `busy`: adult -> busy times read from calendars
    - `free`: everybody's hours before anything is planned
    - `needs`: what each target is owed
    - `decided`: what wishes of whoever plans the weeks settle; its sittings stay as those that have begun do
    - `begun`: kept sittings that have begun
    - `told`: those kept that have not, in minutes of the week, but for what is decided in the same words
    - `held_as_told`: that
    - `lost`: of those told, what no plan says in the same words any more
    - `shown_by_decided`: told sittings that are no longer owed, since what somebody decided shows the same. They might
      be held all the same, so nothing is proven by their loss
    - `fewest_told`: as few people as possible are told something: it comes before what can wait
    - `before`: what the weeks before gave already, where fairness looks back"""

    case: Case
    log: Log
    week: Week
    now: datetime
    busy: Busy
    free: Hours
    needs: tuple[TargetNeed, ...]
    begun: tuple[Sitting, ...]
    told: tuple[PlacedSitting, ...]
    lost: tuple[PlacedSitting, ...]
    fewest_told: bool
    decided: Decided = field(default_factory=Decided)
    held_as_told: frozenset[PlacedSitting] = frozenset()
    shown_by_decided: frozenset[PlacedSitting] = frozenset()
    before: WeeksBefore = field(default_factory=WeeksBefore)

    @property
    def begun_seats(self) -> tuple[PlacedSitting, ...]:
        """The sittings that stay as they are: those that have begun, and those that somebody decided."""
        return (*(seat_of(self.case, self.week, s) for s in self.begun), *self.decided.seats)

    @cached_property
    def caseload(self) -> Caseload:
        load = Caseload(
            case=self.case,
            week=self.week,
            free=self.free,
            needs=self.needs,
            begun=self.begun_seats,
            told=self.told,
            told_first=self.fewest_told,
            rather=self.decided.rather,
            held_as_told=self.held_as_told,
            before=self.before,
        )
        lost = tuple(sorted({*self.lost, *impossible(load)}))
        return replace(load, lost=lost, told_anyway=self._told_of((*lost, *unwatched(load))))

    @property
    def told_at_least(self) -> tuple[int, int]:
        """How many people must be told something, and how many sittings cannot be held as told, whatever is planned."""
        lost = set(self.caseload.lost) - self.shown_by_decided
        return len(self._told_of((*lost, *unwatched(self.caseload)))), len(lost)

    def _told_of(self, lost: Iterable[PlacedSitting]) -> frozenset[Person]:
        """Everybody of these sittings, which cannot be held as told, and of what somebody decided anew."""
        new = self.decided.seats.keys() - self.held_as_told
        return frozenset[Person]().union(*map(people_in, (*lost, *new)))

    def told_anew(self, ahead: Iterable[PlacedSitting]) -> ToldAnew | None:
        """Whom these seats ahead tell something, where that are to be as few as possible."""
        return self.caseload.told_anew(ahead) if self.caseload.fewest_told else None


def week_context_of(
    case: Case,
    log: Log,
    week: Week,
    now: datetime,
    busy: Busy,
    kept: tuple[Sitting, ...],
    fewest_told: bool | None = None,
    lately: tuple[ToldLately, ...] = (),
    began: Sequence[Sitting] = (),
) -> WeekContext:
    """The facts of a week at the aware moment `now`. The case is that of all weeks: what it says of certain dates
    counts on those dates only. `fewest_told`: None, once the week has begun. `lately`: what people were told of the
    weeks before, as far as fairness looks back. `began`: all that has begun of what they were told of this one, held or
    not: rows may speak of that."""
    begun = tuple(s for s in kept if s.start < now)
    told = tuple(sorted(seat_of(case, week, s) for s in kept if s.start >= now))
    seats = tuple(seat_of(case, week, s) for s in begun)
    needs = needs_of(case, log, week, now, busy, seats, told)
    this_week = in_week(case, week)
    free = hours(this_week, week, now, busy, familiar_adults(this_week, log))
    free = replace(
        free,
        recorded=recorded_beside(case, log, week, seats),
        recorded_teachings=taught_beside(case, log, week, seats),
    )
    wishes = WishesOfWeek(case=this_week, week=week, now=now, free=free, needs=needs, begun=seats, told=kept)
    decided = wishes.decided()
    shown_by_decided = frozenset[PlacedSitting]()
    if decided.seats:
        before, needs = needs, needs_of(case, log, week, now, busy, (*seats, *decided.seats), told)
        shown_by_decided = frozenset(s for s in told if is_owed(before, s) and not is_owed(needs, s))
    lost = tuple(
        seat_of(case, week, s) for s in kept if s.start >= now and not _can_be_said(this_week, week, s)
    )
    held_as_told = frozenset(s for s in told if s in decided.seats and s not in lost)
    off = [s for s in kept if s.start >= now and is_written_off(s, log, (*began, *kept))]
    barred = joined([*decided.barred.items(), *(_day_without(week, s, kept) for s in off)])
    return WeekContext(
        case=replace(this_week, apart=decided.apart) if decided.apart else this_week,
        log=log,
        week=week,
        now=now,
        busy=busy,
        free=replace(free, barred=barred, decided=frozenset(decided.seats)),
        needs=needs,
        begun=begun,
        told=tuple(s for s in told if s not in held_as_told),
        lost=lost,
        fewest_told=week.monday <= now.date() if fewest_told is None else fewest_told,
        decided=decided,
        held_as_told=held_as_told,
        shown_by_decided=shown_by_decided - held_as_told,
        before=weeks_before(case, log, week, lately, now),
    )


def _day_without(week: Week, off: Sitting, kept: Iterable[Sitting]) -> tuple[tuple[str, str], Windows]:
    """Whom a sitting that was written off brings together, and its day but for what else they were told of it: as if
    somebody wished it gone."""
    whom, day = (off.learner, off.adult), off.start.date()
    others = [s for s in kept if s != off and (s.learner, s.adult, s.start.date()) == (*whom, day)]
    return whom, day_without(week, day.weekday(), others)


def _can_be_said(case: Case, week: Week, sitting: Sitting) -> bool:
    """Whether a plan can hold a sitting in just these words: a target may have other trials by now."""
    (now,) = sittings_of(case, week, (), [seat_of(case, week, sitting)], ())
    return content(now) == content(sitting)


def recorded_beside(
    case: Case, log: Log, week: Week, seats: Iterable[PlacedSitting]
) -> Mapping[str, tuple[int, ...]]:
    """Target -> the days of the week of each probe that was run and that none of the seats holds. A row is that of a
    seated probe if target, combination and day are the same."""
    targets = case.planned if case.policy.baseline_per_target else case.mastered
    rows = (r for t in targets for r in effective_probes(log.of_target(t.id)))
    return _beside(rows, week, (((p.target, p.combination, s.day)) for s in seats for p in s.real_probes))


def taught_beside(
    case: Case, log: Log, week: Week, seats: Iterable[PlacedSitting]
) -> Mapping[str, tuple[int, ...]]:
    """The same of teachings, whether they count or not: the child had them."""
    rows = (r for t in case.targets for r in log.of_target(t) if r.kind is ResultKind.TEACHING)
    seated = ((p.target, p.combination, s.day) for s in seats for p in s.probes if not p.is_probe)
    return _beside(rows, week, seated)


def _beside(
    rows: Iterable[Result], week: Week, seated: Iterable[tuple[str, Combination, int]]
) -> dict[str, tuple[int, ...]]:
    run = Counter(
        (r.target, r.combination, (r.date - week.monday).days)
        for r in rows
        if week.monday <= r.date <= week.sunday
    )
    found: dict[str, list[int]] = defaultdict(list)
    for target, _, day in (run - Counter(seated)).elements():
        found[target].append(day)
    return {target: tuple(sorted(days)) for target, days in found.items()}


def needs_of(
    case: Case,
    log: Log,
    week: Week,
    now: datetime,
    busy: Busy | None = None,
    begun: tuple[PlacedSitting, ...] = (),
    told: tuple[PlacedSitting, ...] = (),
) -> tuple[TargetNeed, ...]:
    """What every target is owed in the week: each that is mastered, and what is still taught where the policy plans
    that. Each wish is marked whether this is its last chance. Each later week is seen with its own dated facts and busy
    times, as far as `busy` reaches."""

    known = familiar_adults(case, log)

    @cache
    def hours_in(later: Week) -> Hours:
        return hours(in_week(case, later), later, now, busy or {}, known)

    @cache
    def openings_in(later: Week, learner: str) -> tuple[Opening, ...]:
        return openings_of(case, hours_in(later), learner)

    needs = (need_of(case, t, log, week, now.date(), begun, told) for t in case.planned)
    marked = (with_last_chances(case, need, week, openings_in) for need in needs if need.is_owed_something)
    if not case.policy.prefer.catch_up:
        return tuple(marked)
    return tuple(with_catching_up(case, need, week, openings_in) for need in marked)
