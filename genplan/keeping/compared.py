"""Two plans of one week side by side: what each shows that the other does not, who is told what otherwise, minutes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from genplan.case import Case, Combination, Wish
from genplan.coverage.tally import tally
from genplan.coverage.tuples import Tuple, tuples_of, wished_tuples
from genplan.evidence.log import Log, Result
from genplan.keeping.differences import Difference, differences
from genplan.keeping.revision import revise
from genplan.keeping.saved_plan import SavedPlan
from genplan.plan import FEWEST, Objective, ObjectiveName, ProbeKind, Sitting

Shown = tuple[str, Tuple, date]
"""A tuple that a probe shows, with its target and the day."""
Held = tuple[str, Combination, ProbeKind]
"""What a sitting holds beside what is new: target, combination, kind."""


@dataclass(frozen=True)
class Both:
    """One thing in both plans: whether, or how much of it, each holds."""

    first: float
    second: float

    @property
    def differs(self) -> bool:
        return self.first != self.second


@dataclass(frozen=True, kw_only=True)
class Compared:
    """The `second` plan against the `first`.

    - `only_first`, `only_second`: open tuples, each with its target, that one shows and the other does not
    - `held_first`, `held_second`: what else one holds and the other does not: retests, maintenance, teachings
    - `wishes`: each dated or undated wish of a target that just one of them shows something of
    - `dates`: each dated wish of which one of them shows more in time, with how many of its open tuples each shows so,
      and how many are open
    - `planners`: wishes of whoever plans, in words, that just one of them keeps
    - `differences`: what people who hold the first are told otherwise by the second
    - `minutes`: adult -> minutes of sittings
    - `objectives`: each that either has, in order"""

    first: SavedPlan
    second: SavedPlan
    only_first: tuple[tuple[str, Tuple], ...]
    only_second: tuple[tuple[str, Tuple], ...]
    held_first: tuple[Held, ...]
    held_second: tuple[Held, ...]
    wishes: tuple[tuple[str, Wish, Both], ...]
    dates: tuple[tuple[str, Wish, Both, int], ...]
    planners: tuple[tuple[str, Both], ...]
    differences: tuple[Difference, ...]
    minutes: tuple[tuple[str, Both], ...]
    objectives: tuple[tuple[Objective | None, Objective | None], ...]

    @property
    def is_counted_alike(self) -> bool:
        """Whether the figures of both are of the same stretch of the week and beside the same sittings: a plan made
        within it counts what is ahead of its moment alone, and what somebody decided is not counted."""
        return self.is_of_one_stretch and _staying(self.first) == _staying(self.second)

    @property
    def is_of_one_stretch(self) -> bool:
        made = sorted((self.first.made, self.second.made))
        return made[0] == made[1] or made[1].date() < self.first.week.monday

    @property
    def decides(self) -> tuple[Objective, Objective] | None:
        """The first objective, in the order in which they count, of which the two have different values; None where a
        plan has none, all are equal, or the sittings are the same: then only what they were counted by differs. None
        too where the two were not counted alike."""
        if not self.differences or not self.is_counted_alike:
            return None
        for one, other in self.objectives:
            if one is None or other is None:
                return None
            if one.value != other.value:
                return one, other
        return None


def _staying(plan: SavedPlan) -> set[tuple[object, ...]]:
    """What the sittings that stay as they are hold, whatever they are called."""
    return {
        (
            s.learner,
            s.adult,
            s.location,
            s.start,
            frozenset((p.target, p.combination, p.kind) for p in s.probes),
        )
        for s in plan.sittings
        if s.id in plan.staying
    }


def is_better(one: Objective, other: Objective) -> bool:
    return one.value < other.value if one.name in FEWEST else one.value > other.value


def compared(case: Case, log: Log, first: SavedPlan, second: SavedPlan) -> Compared:
    """Two plans of one week, with what was known when the later one was made: what had come of a probe by then is no
    matter of either plan."""
    known = Log.of(_known(log, first, second))
    dated = [set(_shown(case, known, p)) for p in (first, second)]
    shown = [{(target, t) for target, t, _ in some} for some in dated]
    held = [Counter(_held(p.sittings)) for p in (first, second)]
    return Compared(
        first=first,
        second=second,
        only_first=tuple(sorted(shown[0] - shown[1])),
        only_second=tuple(sorted(shown[1] - shown[0])),
        held_first=tuple(sorted((held[0] - held[1]).elements())),
        held_second=tuple(sorted((held[1] - held[0]).elements())),
        wishes=tuple(_wishes(case, first, second)),
        dates=tuple(_dates(case, known, max(first.made, second.made).date(), *dated)),
        planners=tuple(_planners(first, second)),
        differences=_told_otherwise(case, first, second),
        minutes=tuple(_minutes(case, first, second)),
        objectives=tuple(_objectives(first, second)),
    )


def _known(log: Log, first: SavedPlan, second: SavedPlan) -> Iterator[Result]:
    """Rows of days before the later plan was made, and of that day those of what had begun."""
    made = max(first.made, second.made)
    since = max(first.week.monday, made.date())
    sittings = [s for plan in (first, second) for s in plan.sittings if s.start < made]
    begun = {(s.start.date(), p.target, p.combination) for s in sittings for p in s.probes}
    return (r for r in log.results if r.date < since or (r.date, r.target, r.combination) in begun)


def _shown(case: Case, known: Log, plan: SavedPlan) -> Iterator[Shown]:
    """The tuples that are open by the results `known` and that a probe of the plan shows, each with its day, as far as
    no row tells what came of it."""
    for target in case.targets.values():
        written = {(r.date, r.combination) for r in known.of_target(target.id)}
        probes = [
            (p, s.start.date())
            for s in plan.sittings
            for p in s.probes
            if p.target == target.id and p.kind.is_test and (s.start.date(), p.combination) not in written
        ]
        if probes:
            still_open = tally(case, target, known, plan.made.date()).open
            yield from (
                (target.id, t, day)
                for p, day in probes
                for t in tuples_of(target, p.combination)
                if t in still_open
            )


def _dates(
    case: Case, known: Log, on: date, first: Collection[Shown], second: Collection[Shown]
) -> Iterator[tuple[str, Wish, Both, int]]:
    for target in case.mastered:
        for wish in target.first:
            if (by := wish.by) is None:
                continue
            asked = wished_tuples(target, wish.pattern, tally(case, target, known, on).open)
            both = Both(
                *(
                    len({t for id_, t, day in some if id_ == target.id and day <= by} & asked)
                    for some in (first, second)
                )
            )
            if both.differs:
                yield target.id, wish, both, len(asked)


def _held(sittings: Iterable[Sitting]) -> Iterator[Held]:
    return (
        (p.target, p.combination, p.kind) for s in sittings for p in s.probes if p.kind is not ProbeKind.NEW
    )


def _wishes(case: Case, first: SavedPlan, second: SavedPlan) -> Iterator[tuple[str, Wish, Both]]:
    for target in case.targets.values():
        for wish in target.first:
            both = Both(*(_is_shown(case, target.id, wish, p) for p in (first, second)))
            if both.differs:
                yield target.id, wish, both


def _is_shown(case: Case, target: str, wish: Wish, plan: SavedPlan) -> bool:
    """Whether a probe holds all of the wish, on a day that is not after its date."""
    return any(
        p.target == target
        and p.kind.is_test
        and (wish.by is None or s.start.date() <= wish.by)
        and case.targets[target].matches(p.combination, wish.pattern)
        for s in plan.sittings
        for p in s.probes
    )


def _planners(first: SavedPlan, second: SavedPlan) -> Iterator[tuple[str, Both]]:
    kept = [dict(p.wishes) for p in (first, second)]
    for words in kept[0].keys() & kept[1].keys():
        both = Both(kept[0][words], kept[1][words])
        if both.differs:
            yield words, both


def _told_otherwise(case: Case, first: SavedPlan, second: SavedPlan) -> tuple[Difference, ...]:
    now = min(first.made, second.made)
    told = revise((), first.sittings, now, settled=True, case_id=case.case_id)
    return differences(told, second.sittings, now, case.wishes)


def _minutes(case: Case, first: SavedPlan, second: SavedPlan) -> Iterator[tuple[str, Both]]:
    counts = [Counter[str](), Counter[str]()]
    for count, plan in zip(counts, (first, second), strict=True):
        for sitting in plan.sittings:
            count.update(dict.fromkeys(sitting.adults, sitting.minutes))
    for adult in case.adults:
        if counts[0][adult] or counts[1][adult]:
            yield adult, Both(counts[0][adult], counts[1][adult])


def _objectives(first: SavedPlan, second: SavedPlan) -> Iterator[tuple[Objective | None, Objective | None]]:
    one, other = ({o.name: o for o in p.objectives} for p in (first, second))
    order = list(one) or list(other)
    order += [n for n in other if n not in order]
    name: ObjectiveName
    for name in order:
        yield one.get(name), other.get(name)
