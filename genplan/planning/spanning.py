"""Before anything failed: the fewest combinations to teach that between them hold all that is wanted, and the fewest
untaught ones that show it, as probes of what was never taught."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from genplan.case import Case, Combination, Target
from genplan.case.possible import Obstacle, obstacle
from genplan.case.second_adults import can_be_taught, teachers_beside
from genplan.case.targets import ADULT, LOCATION
from genplan.case.week import MINUTES_PER_DAY
from genplan.case.windows import intersect
from genplan.coverage.tuples import Tuple, tuples_of, tuples_of_all, tuples_of_pattern
from genplan.evidence.log import Log, ResultKind
from genplan.evidence.standing import counts_as_teaching, was_taught
from genplan.planning.fewest_columns import Cover, fewest_columns
from genplan.planning.openings import split_at_midnight


class Lack(StrEnum):
    """Why something that is wanted cannot be taught, or not be probed untaught."""

    NOT_POSSIBLE = "not possible"
    HELD_OUT = "held out"
    NOBODY_TEACHES = "nobody teaches"
    ALL_TAUGHT = "all taught"
    NOT_HELD_OUT = "not held out"


class Fewest(StrEnum):
    """What is proven of a number of combinations: that no fewer do, that fewer do only with more of those for which no
    usual week has a time, or nothing."""

    IN_ALL = "in all"
    WITH_A_TIME = "with a time"
    NOT_PROVEN = "not proven"


@dataclass(frozen=True)
class Unspanned:
    """A tuple that is wanted and what stands in its way; `obstacles` are of combinations that are not possible, those
    that speak of the tuple alone, if there are any, and else all that stand against some combination with it."""

    tuple_: Tuple
    lack: Lack
    obstacles: tuple[Obstacle, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Spanning:
    """What to teach of a target and what to leave to probes; combinations are in the target's order.

    - `target`: its id
    - `span`: what is wanted, a key of `STRENGTHS`
    - `taught`: combinations that were taught already, as far as the target asks, or are said to be; `gone` are those of
      them that are not possible any more
    - `teach`: those to teach as well; `fewest`: what is proven of their number
    - `by_hand`: whether `probes` are what the case holds out
    - `probes`: to be left untaught; `fewest_probes`: what is proven of their number
    - `others`: how many possible combinations are in none of these
    - `no_hours`: of `teach` and `probes` those for which no usual week has a time
    - `not_taught`, `not_probed`: what is wanted and not held by any of them"""

    target: str
    span: str
    taught: tuple[Combination, ...]
    teach: tuple[Combination, ...]
    fewest: Fewest
    by_hand: bool
    probes: tuple[Combination, ...]
    fewest_probes: Fewest
    others: int
    no_hours: frozenset[Combination]
    gone: frozenset[Combination]
    not_taught: tuple[Unspanned, ...]
    not_probed: tuple[Unspanned, ...]


def spanning(case: Case, target: Target, log: Log, on: date, span: str) -> Spanning:
    """Between them the combinations to teach hold every tuple of the strength `span` that some combination to be
    taught can hold, together with what was taught already: as few as can be for which no usual week has a time, then as
    few as can be, then the first in order. The probes do the same among what is left, if the case holds out none.
    What teaching did not reach `taught_when` in is not taught, and no longer untaught either. What was met or not met
    so far is not asked for."""
    wanted = replace(target, cover=span)
    possible = [c for c in target.combinations() if obstacle(case, target, c, on) is None]
    lessons = [r for r in log.of_target(target.id) if r.kind is ResultKind.TEACHING]
    begun = {r.combination for r in lessons}
    enough = {r.combination for r in lessons if counts_as_teaching(target, r)}
    taught = tuple(c for c in target.combinations() if c in enough or was_taught(target, c))
    gone = frozenset(taught).difference(possible)
    held = tuples_of_all(wanted, taught) | {t for p in target.taught for t in tuples_of_pattern(wanted, p)}
    free = [c for c in possible if c not in taught]
    teachable = [c for c in free if can_be_taught(case, target, c)]
    untimely = frozenset(c for c in free if not _has_hours(case, target, c, target.minutes))
    late = frozenset(c for c in teachable if not _can_meet_to_teach(case, target, c))
    teach, fewest = _fewest(wanted, teachable, held, late)
    by_hand = tuple(c for c in possible if target.is_held_out(c))
    left = [c for c in free if c not in teach and c not in begun]
    probes, fewest_probes = (
        (by_hand, Fewest.IN_ALL) if by_hand else _fewest(wanted, left, frozenset(), untimely)
    )
    every = sorted(tuples_of_all(wanted, target.combinations()), key=lambda t: _order(target, t))
    there, spanned = tuples_of_all(wanted, possible), held | tuples_of_all(wanted, teach)
    shown = tuples_of_all(wanted, probes)
    return Spanning(
        target=target.id,
        span=span,
        taught=taught,
        teach=teach,
        fewest=fewest,
        by_hand=bool(by_hand),
        probes=probes,
        fewest_probes=fewest_probes,
        others=len({*possible} - {*taught, *teach, *probes}),
        no_hours=(late & set(teach)) | (untimely & set(probes)),
        gone=gone,
        not_taught=tuple(
            _unspanned(case, wanted, t, on, _why_not_taught(wanted, t, possible) if t in there else None)
            for t in every
            if t not in spanned
        ),
        not_probed=tuple(
            Unspanned(t, Lack.NOT_HELD_OUT if by_hand else Lack.ALL_TAUGHT)
            for t in every
            if t in there and t not in shown
        ),
    )


def _fewest(
    target: Target, among: Sequence[Combination], held: Iterable[Tuple], last: frozenset[Combination]
) -> tuple[tuple[Combination, ...], Fewest]:
    """Of these combinations the fewest that hold what any of them holds, beside what is held; and what is proven."""
    have = frozenset(held)
    number: dict[Tuple, int] = {}
    columns = tuple(
        frozenset(number.setdefault(t, len(number)) for t in tuples_of(target, c) if t not in have)
        for c in among
    )
    resort = frozenset(i for i, c in enumerate(among) if c in last)
    cover = fewest_columns(columns, resort)
    return tuple(among[i] for i in cover.picks), _proven(cover, columns, resort)


def _proven(cover: Cover, columns: tuple[frozenset[int], ...], resort: frozenset[int]) -> Fewest:
    """A choice without regard to hours may be smaller than one that leaves alone what has none, if there is any."""
    if not cover.proven:
        return Fewest.NOT_PROVEN
    any_hours = fewest_columns(columns) if resort else cover
    as_few = any_hours.proven and len(any_hours.picks) == len(cover.picks)
    return Fewest.IN_ALL if as_few else Fewest.WITH_A_TIME


def _order(target: Target, tuple_: Tuple) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """By dimensions, then by values, both as the target has them."""
    at = tuple(target.dimension_names.index(name) for name, _ in tuple_)
    return at, tuple(target.dimensions[i].values.index(v) for i, (_, v) in zip(at, tuple_, strict=True))


def _why_not_taught(target: Target, tuple_: Tuple, possible: Iterable[Combination]) -> Lack:
    holding = [c for c in possible if target.matches(c, dict(tuple_))]
    return Lack.HELD_OUT if all(target.is_held_out(c) for c in holding) else Lack.NOBODY_TEACHES


def _unspanned(case: Case, target: Target, tuple_: Tuple, on: date, lack: Lack | None) -> Unspanned:
    if lack is not None:
        return Unspanned(tuple_, lack)
    holding = target.holding(dict(tuple_))
    found = [against for c in holding if (against := obstacle(case, target, c, on))]
    own = [against for against in found if set(against.values) <= set(tuple_)]
    return Unspanned(tuple_, Lack.NOT_POSSIBLE, tuple(dict.fromkeys(own[:1] or found)))


def _can_meet_to_teach(case: Case, target: Target, combination: Combination) -> bool:
    """Whether some usual week has a time for teaching it, with somebody beside where the adult may not teach."""
    minutes = target.teaching_minutes
    if case.adults[target.value(combination, ADULT)].may_teach(target.id):
        return _has_hours(case, target, combination, minutes)
    beside = teachers_beside(case, target, combination)
    return any(_has_hours(case, target, combination, minutes, other) for other in beside)


def _has_hours(case: Case, target: Target, combination: Combination, minutes: int, beside: str = "") -> bool:
    """Whether learner, adult and place, and who sits beside, are all free for long enough on a day of the policy's in
    a usual week: without absences, calendars and dated changes."""
    adults = [target.value(combination, ADULT), *([beside] if beside else [])]
    free = intersect(
        case.learners[target.learner].free.in_week(),
        case.locations[target.value(combination, LOCATION)].open.in_week(),
    )
    for adult in adults:
        free = intersect(free, case.adults[adult].free.in_week())
    return any(
        w.length >= case.policy.settle_minutes + minutes and w.start // MINUTES_PER_DAY in case.policy.days
        for w in split_at_midnight(free)
    )
