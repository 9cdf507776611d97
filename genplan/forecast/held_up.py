"""What holds a target up most, found from the weeks of the line.

What comes last decides how long it takes: the tuples shown in the last week, or never, or a combination that waits for
its retest. For each week in which that could not be run yet, every way of running it is looked at, with what stands in
it (`planning.ways`). A thing that stands alone in some way is one whose absence would have been enough; where no way
has so little in it, the strongest thing that stands in all of them counts. The thing that so stood in the way in most
weeks is told.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from genplan.case import Case, Target
from genplan.case.targets import ADULT
from genplan.case.week import DAY_NAMES
from genplan.coverage.briefing import briefed
from genplan.coverage.criterion import Criterion, criterion_of
from genplan.coverage.tally import tally
from genplan.coverage.tuples import Tuple
from genplan.forecast.line import Line, LineWeek
from genplan.forecast.values import HeldUp, Holder
from genplan.plan import ProbeKind
from genplan.planning.needs import Choice, need_of
from genplan.planning.reasons import named, reason_for
from genplan.planning.ways import Limit, Ways

Item = Tuple | Choice
"""What is still to be run: a tuple by any probe that shows it, or one retest."""

TEACHING = Limit(0, "teaching", "")
_KINDS = {
    "target": Holder.PROBES_OF_A_SKILL,
    "room": Holder.PLACE,
    "copies": Holder.MATERIAL_SET,
    "set": Holder.MATERIAL_SET,
    "companion": Holder.ADULT,
    "time": Holder.OTHERS_FIRST,
    "less": Holder.OTHERS_FIRST,
}
"""First word of a limit's rule -> what it is, where that says it."""
OF_THE_LEARNER = (
    "learner's time",
    "sittings of a day",
    "probes of a day",
    "probes in a sitting",
    "minutes of a sitting",
)


@dataclass(frozen=True)
class Holding:
    """Asks of one target what holds it up. `case` is that of all weeks."""

    case: Case
    line: Line
    target: Target

    def target_held_up(self) -> HeldUp:
        """The one thing that holds up the criterion, or else the coverage."""
        start = criterion_of(self.line.before[self.target.id])
        if start.out_of_reach:
            return self._out_of_reach(start)
        covered, generalised = self.covered_in, self.generalised_in
        if start.is_set and _later(generalised, covered):
            retests = self._retests()
            if retests:
                return self.items_held_up(retests, self._end(generalised))
            return self._not_planned(self._criterion_at_the_end())
        return self.items_held_up(self._last_tuples(covered), self._end(covered))

    def wish_held_up(self, wanted: frozenset[Tuple], by: date) -> HeldUp:
        """What holds up a wish whose tuples these are."""
        end = sum(w.week.monday <= by for w in self.line.weeks)
        late = self.line.weeks[end - 1].after[self.target.id].open if end else wanted
        items = tuple(sorted(wanted & late))
        if not items:
            return HeldUp(Holder.RETESTS, "retests: what is not met comes again, before what is new")
        return self.items_held_up(items, end)

    def items_held_up(self, items: Sequence[Item], end: int) -> HeldUp:
        """What stood in the way of the items in the weeks before the one of index `end`."""
        weeks: Counter[str] = Counter()
        limits: dict[str, Counter[Limit]] = defaultdict(Counter)
        for index in range(end):
            found = {limit.rule: limit for item in items for limit in self._in_the_way(index, item)}
            weeks.update(found.keys())
            for rule, limit in found.items():
                limits[rule][limit] += 1
        if not weeks:
            return HeldUp(Holder.NOTHING, "nothing: it only takes the probes that are planned")
        often = {rule: max(c, key=lambda m: (c[m], m.sentence)) for rule, c in limits.items()}
        rule = min(weeks, key=lambda r: (-weeks[r], often[r]))
        return self._told(often[rule], weeks[rule], end)

    @cached_property
    def covered_in(self) -> int | None:
        """Index of the week in which nothing is open any more; -1: before the first."""
        if not self.line.before[self.target.id].open:
            return -1
        return next((i for i, w in enumerate(self.line.weeks) if not w.after[self.target.id].open), None)

    @cached_property
    def generalised_in(self) -> int | None:
        if criterion_of(self.line.before[self.target.id]).is_met:
            return -1
        counts = (criterion_of(w.after[self.target.id]) for w in self.line.weeks)
        return next((i for i, c in enumerate(counts) if c.is_met), None)

    def _criterion_at_the_end(self) -> Criterion:
        return criterion_of(self.line.weeks[-1].after[self.target.id])

    def _end(self, reached: int | None) -> int:
        return len(self.line.weeks) if reached is None else max(reached, 0)

    def _last_tuples(self, reached: int | None) -> tuple[Item, ...]:
        """What is open at the end, or was until the last week."""
        if reached is not None and reached < 1:
            return ()
        week = self.line.weeks[-1 if reached is None else reached - 1]
        return tuple(sorted(week.after[self.target.id].open))

    def _retests(self) -> tuple[Item, ...]:
        count = self.line.before[self.target.id]
        owed = (
            c
            for c in count.possible_combinations
            if count.standing(c).waits_for_teaching or count.standing(c).retest_due
        )
        return tuple(Choice(self.target.id, c, ProbeKind.RETEST) for c in owed)

    def _in_the_way(self, index: int, item: Item) -> Iterator[Limit]:
        """What would have been enough to be gone for the item to be run in the week."""
        week = self.line.weeks[index]
        choices = self._choices(index, item)
        if isinstance(item, Choice):
            if self._is_seated(item, index + 1):
                return
            if index < self.line.taught_in and (item.target, item.combination) in self.line.waiting:
                yield TEACHING
                return
        if not choices:
            return
        ways = Ways(week.case, week.free, week.seats)
        blocked = [limits for choice in choices for limits in ways.of(choice)]
        if not blocked and (days := self._days_not_used(week, choices)):
            yield Limit(0, "days", days)
            return
        alone = {next(iter(limits)) for limits in blocked if len(limits) == 1}
        if alone and all(blocked):
            yield from sorted(alone)
        else:
            yield reason_for(ways, self.target, choices)

    def _days_not_used(self, week: LineWeek, choices: Sequence[Choice]) -> str:
        """A sentence where the people and the place meet on days only that the policy does not use."""
        ways = Ways(week.case, week.free_on_all_days(self.line.now), week.seats)
        days = sorted({seat.day for c in choices for _, seat, limits in ways.each(c) if not limits})
        if not days:
            return ""
        used, unused = (
            ", ".join(DAY_NAMES[d].capitalize() for d in some) for some in (self.case.policy.days, days)
        )
        return f"the policy plans on {used} only, and it could be run on {unused}"

    def _is_seated(self, item: Choice, weeks: int) -> bool:
        seated = (p for w in self.line.weeks[:weeks] for s in w.seats for p in s.probes)
        return any((p.target, p.combination) == (item.target, item.combination) for p in seated)

    def _choices(self, index: int, item: Item) -> tuple[Choice, ...]:
        if isinstance(item, Choice):
            return (item,)
        return tuple(c for c in self._new_in(index) if item in c.shows)

    def _new_in(self, index: int) -> tuple[Choice, ...]:
        week = self.line.weeks[index]
        need = need_of(self.case, self.target, week.log, week.week, self.line.now.date())
        planned = {p.combination for s in week.seats for p in s.probes if p.target == self.target.id}
        return tuple(c for c in need.of_kind(ProbeKind.NEW) if c.combination not in planned)

    def _told(self, limit: Limit, weeks: int, of: int) -> HeldUp:
        if limit is TEACHING:
            return HeldUp(Holder.TEACHING, self._waits_for_teaching(), weeks, of)
        if limit.rule == "target and week":
            most, needed = self.case.policy.probes_per_target_per_week, self._own_probes(of + 1)
            sentence = f"the policy's {most} probes of a skill a week at most, while {needed} are to be run"
            return HeldUp(Holder.PROBES_OF_A_SKILL, sentence, weeks, of)
        if limit.rule == "target and day":
            most = self.case.policy.probes_per_target_per_day
            sentence = (
                f"the policy's {most} of a skill a day at most, on the days when what is left can be run"
            )
            return HeldUp(Holder.PROBES_OF_A_SKILL, sentence, weeks, of)
        kind, sentence = _kind(limit.rule), _of_weeks(limit.sentence, weeks)
        if kind is Holder.LEARNER and (others := self._probes(of) - self._own_probes(of)):
            kind = Holder.OTHERS_FIRST
            sentence += f"; {others} of the {self._probes(of)} probes of these weeks are of other skills"
        return HeldUp(kind, sentence, weeks, of)

    def _waits_for_teaching(self) -> str:
        waiting = [c for i, c in self.line.waiting if i == self.target.id]
        pairs = (tuple(zip(self.target.dimension_names, c, strict=True)) for c in waiting[:2])
        what = "; ".join(named(self.case, self.target, p) for p in pairs)
        more = f", and {len(waiting) - 2} more" if len(waiting) > 2 else ""
        return f"teaching: {what}{more} was not met, and waits for it before it is probed again"

    def _probes(self, weeks: int) -> int:
        """Probes of the learner in so many weeks."""
        own = (s for w in self.line.weeks[:weeks] for s in w.seats if s.learner == self.target.learner)
        return sum(len(s.probes) for s in own)

    def _own_probes(self, weeks: int) -> int:
        seated = (p for w in self.line.weeks[:weeks] for s in w.seats for p in s.probes)
        return sum(p.target == self.target.id for p in seated)

    def _not_planned(self, criterion: Criterion) -> HeldUp:
        lacking = " and ".join(_of_dimension(p.missing, p.dimension) for p in criterion.parts if p.missing)
        sentence = (
            f"nothing more is planned: all that has to be seen together will have been seen, but the criterion lacks"
            f" {lacking} whose probe is met, since a combination that was taught is not probed as new"
        )
        return HeldUp(Holder.NOT_PLANNED, sentence)

    def _out_of_reach(self, criterion: Criterion) -> HeldUp:
        part = criterion.out_of_reach[0]
        wanted = _of_dimension(part.wanted, part.dimension)
        adults = next(d.values for d in self.target.dimensions if d.name == ADULT)
        case, asked = self.case, list[str]()
        for adult in adults:
            if case.adults[adult].is_briefed_on(self.target.id):
                continue
            case, asked = briefed(case, adult, self.target.id), [*asked, case.called(ADULT, adult)]
            on = self.line.now.date()
            if not criterion_of(tally(case, self.target, self.line.weeks[0].log, on)).out_of_reach:
                who = " and ".join(asked)
                be = "is" if len(asked) == 1 else "are"
                sentence = f"{who} {be} not briefed on it, and without that the criterion's {wanted} are out of reach"
                return HeldUp(Holder.BRIEFING, sentence)
        sentence = f"the criterion asks for {wanted}, and the case leaves only {part.in_reach} possible"
        return HeldUp(Holder.OUT_OF_REACH, sentence)


def _later(one: int | None, other: int | None) -> bool:
    """Whether the first week is after the second; None is after all."""
    return other is not None and (one is None or one > other)


def _kind(rule: str) -> Holder:
    if rule in OF_THE_LEARNER:
        return Holder.LEARNER
    if rule.startswith(("minutes of ", "sittings of ")):
        return Holder.ADULT
    return _KINDS.get(rule.split()[0], Holder.HOURS)


def _of_weeks(sentence: str, weeks: int) -> str:
    """The planner's sentence on one week, told of some other, or of several."""
    then = "that week" if weeks == 1 else "in those weeks"
    return sentence.replace("of this week", "of the week").replace("this week", then)


def _of_dimension(number: int, dimension: str) -> str:
    return f"{number} {dimension.replace('_', ' ')}" + ("" if number == 1 else "s")
