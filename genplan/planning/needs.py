"""What is owed for each target in a week: open tuples, retests, maintenance, wishes and their dates, teachings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from genplan.case import Case, Combination, Target, Week, Wish
from genplan.case.targets import TargetState
from genplan.coverage.tally import Tally, tally
from genplan.coverage.tuples import Tuple, tuples_of, wished_tuples
from genplan.evidence.fell_through import fell_through
from genplan.evidence.log import Log
from genplan.evidence.maintenance import MaintenanceDue, maintenance_due, to_repeat
from genplan.evidence.standing import Status
from genplan.plan import ProbeKind
from genplan.planning.baseline_due import BaselineDue, baseline_due
from genplan.planning.exemplars import in_place_of
from genplan.planning.held_back import what_new_probes_wait_for
from genplan.planning.teaching_due import TeachingDue, teachings_due, unwritten
from genplan.rules.limits import Kind, Limit
from genplan.rules.placed_sittings import PlacedProbe, PlacedSitting
from genplan.rules.teaching import teachers_wanted

LAST_DAY = 6
"""Sunday."""

NO_BASELINE = BaselineDue()

Columns = tuple[tuple[Combination, tuple[Tuple, ...]], ...]
"""Combinations, each with the open tuples that it shows."""


@dataclass(frozen=True)
class Choice:
    """One probe that could be run this week, or one teaching.

    - `target`, `combination`: what is probed, or taught
    - `kind`: new, retest, maintenance, teaching or baseline
    - `shows`: the open tuples it would show
    - `first_day`: the first day of the week (0 is Monday) on which it answers what is owed
    - `beside`: of a teaching that its adult may not give, who may from beside; else empty"""

    target: str
    combination: Combination
    kind: ProbeKind
    shows: tuple[Tuple, ...] = ()
    first_day: int = 0
    beside: tuple[str, ...] = ()


@dataclass(frozen=True)
class WishDue:
    """The open tuples that a wish asks for. `last_chance`: later weeks have no room for it before its date, or for
    fewer probes than it needs; the planner sets it, since it takes the hours of later weeks to know. `until` is the
    last day of the week on which showing them counts for the wish."""

    wish: Wish
    tuples: frozenset[Tuple]
    last_chance: bool = False
    until: int = LAST_DAY


@dataclass(frozen=True, kw_only=True)
class TargetNeed:
    """What one target is owed in the week.

    - `target`: the target
    - `tally`: how it stands by what was run
    - `choices`: all probes that may be planned
    - `open`: the tuples not shown before and not in sittings that stay
    - `maintenance`: the date that is due, if one is
    - `wishes`: what the case wants first
    - `teachings`: what is to be taught
    - `baseline`: which of what nobody has taught is to be probed, and how many of these
    - `held_back`: new probes that wait for teaching or a retest, each with the reason
    - `in_place`: of what is to be taught though it was never probed the failures for which it is
    - `fell_through`: of what may be planned what was planned before and not run since, with the day
    - `fell_and_waits`: the same of what is held back this week
    - `turns`: where the week follows a term, the wished tuples whose turn is this week, each with the last day that
      counts; None: it follows none
    - `catch_up`: what cannot be shown after this week, each with the last day that leaves one to catch up on; where the
      policy prefers that"""

    target: Target
    tally: Tally
    choices: tuple[Choice, ...]
    open: frozenset[Tuple]
    maintenance: MaintenanceDue | None
    wishes: tuple[WishDue, ...]
    teachings: tuple[TeachingDue, ...] = ()
    baseline: BaselineDue = NO_BASELINE
    held_back: tuple[tuple[Choice, Limit], ...] = ()
    in_place: tuple[tuple[Combination, tuple[Combination, ...]], ...] = ()
    fell_through: tuple[tuple[Combination, date], ...] = ()
    fell_and_waits: tuple[tuple[Combination, date], ...] = ()
    catch_up: tuple[tuple[Tuple, int], ...] = ()
    turns: tuple[tuple[Tuple, int], ...] | None = None

    @property
    def id(self) -> str:
        return self.target.id

    @property
    def is_owed_something(self) -> bool:
        """Whether a plan has to know of it."""
        return self.is_probed or bool(self.teachings or self.baseline.times)

    @property
    def is_probed(self) -> bool:
        """Whether its coverage is counted: a skill that is still being taught has none."""
        return self.target.state is TargetState.MASTERED

    def of_kind(self, kind: ProbeKind) -> tuple[Choice, ...]:
        return tuple(c for c in self.choices if c.kind is kind)

    def choice_for(self, probe: PlacedProbe, day: int) -> Choice | None:
        """What a placed probe, or a teaching, is on that day; None: it is not owed then."""
        wanted = (probe.combination, probe.kind)
        return next(
            (c for c in self.choices if (c.combination, str(c.kind)) == wanted and c.first_day <= day), None
        )

    def instead_of(self, combination: Combination) -> tuple[Combination, ...]:
        return dict(self.in_place).get(combination, ())

    def columns(self, left: frozenset[Tuple] | None = None) -> Columns:
        """The combinations that a new probe may hold, this week or later, each with what is open, or in `left`, of its
        tuples."""
        wanted = self.open if left is None else left
        return tuple(
            (c.combination, shows)
            for c in self.new_sooner_or_later
            if (shows := tuple(t for t in c.shows if t in wanted))
        )

    @property
    def new_sooner_or_later(self) -> tuple[Choice, ...]:
        """The new probes that may be planned this week or later."""
        return (*self.of_kind(ProbeKind.NEW), *(c for c, _ in self.held_back if c.kind is ProbeKind.NEW))

    def with_new_among(self, combinations: Collection[Combination]) -> TargetNeed:
        """The same need with no new probes but of these combinations."""
        return replace(
            self,
            choices=tuple(
                c for c in self.choices if c.kind is not ProbeKind.NEW or c.combination in combinations
            ),
        )

    def beside(self, seats: Iterable[PlacedSitting]) -> TargetNeed:
        """What is still owed where these seats are held: what sits in them counts as done. What was met may still be
        repeated for maintenance."""
        everything = [(s.day, p) for s in seats for p in s.probes if p.target == self.id]
        held = [(day, p) for day, p in everything if p.is_probe]
        seated = {p.combination for _, p in held if p.is_test}
        untaught = {p.combination for _, p in held if not p.is_test}
        taught = Counter(p.combination for _, p in everything if not p.is_probe)
        teachings = tuple(due for t in self.teachings if (due := t.less(taught)).times)
        to_teach = {c for due in teachings for c in due.combinations}
        baseline = self.baseline.without(seated | untaught)
        opens = max((c.first_day for c in self.of_kind(ProbeKind.MAINTENANCE)), default=0)
        repeated = any(p.kind == ProbeKind.MAINTENANCE and day >= opens for day, p in held)
        left = self.open - {t for c in seated for t in tuples_of(self.target, c)}
        choices = [
            replace(c, shows=tuple(t for t in c.shows if t in left))
            for c in self.choices
            if self._is_left(c, seated, to_teach)
            and not (repeated and c.kind is ProbeKind.MAINTENANCE)
            and not (c.kind is ProbeKind.BASELINE and (c.combination in untaught or not baseline.times))
        ]
        waiting = (
            (replace(c, shows=tuple(t for t in c.shows if t in left)), why) for c, why in self.held_back
        )
        wishes = [replace(w, tuples=w.tuples & left) for w in self.wishes]
        choices = [c for c in choices if c.shows or c.kind is not ProbeKind.NEW]
        still = {c.combination for c in choices}
        return replace(
            self,
            choices=tuple(choices),
            fell_through=tuple((c, day) for c, day in self.fell_through if c in still),
            fell_and_waits=tuple(
                (c, day)
                for c, day in (*self.fell_and_waits, *self.fell_through)
                if c not in still and any(w.combination == c and c not in seated for w, _ in self.held_back)
            ),
            catch_up=tuple((t, day) for t, day in self.catch_up if t in left),
            turns=None if self.turns is None else tuple((t, day) for t, day in self.turns if t in left),
            open=left,
            maintenance=None if repeated else self.maintenance,
            wishes=tuple(w for w in wishes if w.tuples),
            teachings=teachings,
            baseline=baseline,
            held_back=tuple((c, why) for c, why in waiting if c.combination not in seated),
        )

    def _is_left(self, choice: Choice, seated: set[Combination], to_teach: set[Combination]) -> bool:
        if choice.kind is ProbeKind.TEACHING:
            return choice.combination in to_teach
        return choice.combination not in seated or self._repeats_what_was_met(choice)

    def _repeats_what_was_met(self, choice: Choice) -> bool:
        standing = self.tally.standing(choice.combination)
        return choice.kind is ProbeKind.MAINTENANCE and standing.status is Status.MET

    @property
    def wished(self) -> Mapping[Tuple, int]:
        """What some wish asks for, each with the last day of the week that counts for one of them."""
        return _last_days(self.wishes)

    @property
    def dated(self) -> Mapping[Tuple, int]:
        """The same of wishes whose last chance is this week; where the week follows a term, what has its turn."""
        if self.turns is not None:
            return dict(self.turns)
        return _last_days(w for w in self.wishes if w.last_chance)


def need_of(
    case: Case,
    target: Target,
    log: Log,
    week: Week,
    on: date,
    begun: Iterable[PlacedSitting] = (),
    told: Iterable[PlacedSitting] = (),
) -> TargetNeed:
    """What one target is owed in the week, as of the day `on`; what sits in begun sittings counts as done. `told` are
    those that people were told of and that have not begun."""
    count, begun = tally(case, target, log, on), tuple(begun)
    everything = (p for s in (*begun, *told) for p in s.probes)
    lessons = {p.combination for p in everything if p.target == target.id and not p.is_probe}
    teachings = teachings_due(case, target, log, week, count, lessons)
    taught = tuple(_teachings(case, target, teachings))
    fell = tuple(sorted(fell_through(target, log).items()))
    if target.state is not TargetState.MASTERED:
        baseline = baseline_due(case, target, log, count)
        probes = tuple(Choice(target.id, c, ProbeKind.BASELINE) for c in baseline.combinations)
        return TargetNeed(
            target=target,
            tally=count,
            choices=(*probes, *taught) if baseline.times else taught,
            baseline=baseline,
            open=frozenset(),
            maintenance=None,
            wishes=(),
            teachings=teachings,
            fell_through=fell,
        ).beside(unwritten(begun, target, log, week))
    due = maintenance_due(target, log, week.sunday, case.policy)
    probes = tuple(_choices(count, count.open, due, week))
    held = what_new_probes_wait_for(case, target, log, count)
    held |= {c.combination: Limit(Kind.TAUGHT_FIRST) for c in taught}
    waits = _waits(probes, count, held, {c.combination for c in taught})
    wishes = tuple(
        WishDue(w, wished_tuples(target, w.pattern, count.open), until=counts_until(w, week, on))
        for w in target.first
    )
    need = TargetNeed(
        target=target,
        tally=count,
        choices=(*(c for c in probes if c not in waits), *taught),
        open=count.open,
        maintenance=due,
        wishes=wishes,
        teachings=teachings,
        fell_through=fell,
        held_back=tuple((c, why) for c, why in waits.items() if why is not None),
        in_place=tuple(
            (c.combination, instead)
            for c in taught
            if (instead := in_place_of(case, target, count, c.combination))
        ),
    )
    return need.beside(unwritten(begun, target, log, week))


def _waits(
    probes: Iterable[Choice],
    count: Tally,
    held: Mapping[Combination, Limit],
    to_teach: Collection[Combination],
) -> Mapping[Choice, Limit | None]:
    """The probes that are no choices this week, each with what it waits for; None: what it is owed is taught itself."""
    found: dict[Choice, Limit | None] = {}
    for choice in probes:
        if choice.kind is ProbeKind.NEW and choice.combination in held:
            found[choice] = held[choice.combination]
        elif choice.combination in to_teach:
            found[choice] = None
        elif choice.first_day > LAST_DAY and choice.kind is ProbeKind.RETEST:
            later = count.standing(choice.combination).retest_from
            found[choice] = Limit(Kind.RETEST_LATER, on=later)
    return found


def _teachings(case: Case, target: Target, due: Iterable[TeachingDue]) -> Iterable[Choice]:
    for combination in (c for one in due for c in one.combinations):
        beside = teachers_wanted(case, target, combination)
        yield Choice(target.id, combination, ProbeKind.TEACHING, beside=beside)


def _last_days(wishes: Iterable[WishDue]) -> Mapping[Tuple, int]:
    last: dict[Tuple, int] = {}
    for wish in wishes:
        for tuple_ in wish.tuples:
            last[tuple_] = max(wish.until, last.get(tuple_, 0))
    return last


def counts_until(wish: Wish, week: Week, on: date) -> int:
    """The last day of the week that counts for a wish: that of its date. A wish whose date has passed is late on any
    day, and still wanted."""
    if wish.by is None or wish.by < max(on, week.monday):
        return LAST_DAY
    return min(LAST_DAY, (wish.by - week.monday).days)


def _choices(
    count: Tally, open_tuples: frozenset[Tuple], due: MaintenanceDue | None, week: Week
) -> Iterable[Choice]:
    repeated = (
        to_repeat(count.target, count.standings, count.possible_combinations, week.monday) if due else ()
    )
    for combination in count.possible_combinations:
        standing = count.standing(combination)
        if standing.waits_for_teaching:
            continue
        if standing.retest_due:
            opens = max(0, ((standing.retest_from or week.monday) - week.monday).days)
            yield Choice(count.target.id, combination, ProbeKind.RETEST, first_day=opens)
            continue
        if due and combination in repeated:
            opens = max(0, (due.opens - week.monday).days)
            yield Choice(count.target.id, combination, ProbeKind.MAINTENANCE, first_day=opens)
        shows = tuple(t for t in tuples_of(count.target, combination) if t in open_tuples)
        if shows and not standing.tested:
            yield Choice(count.target.id, combination, ProbeKind.NEW, shows)
