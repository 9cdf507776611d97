"""Which sitting of a new plan people would call which of those that they were told of: as a whole, so that what each
is told is the least and the plainest."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from datetime import datetime, timedelta
from itertools import chain
from typing import NamedTuple

from genplan.keeping.told import Told
from genplan.plan import Sitting

MINUTE = timedelta(minutes=1)
NONE = -1
"""No row, no column."""


class Content(NamedTuple):
    """What a person is told of a sitting: where and when it is, its probes, who is beside and as what."""

    when_and_where: tuple[object, ...]
    probes: tuple[object, ...]
    second_adult: tuple[str, str]


def content(sitting: Sitting) -> Content:
    probes = tuple((p.target, p.combination, p.kind.value, p.trials) for p in sitting.probes)
    return Content(
        (sitting.location, sitting.start, sitting.end), probes, (sitting.beside, sitting.beside_as.value)
    )


def meeting(sitting: Sitting) -> tuple[object, ...]:
    """Who meets when, whatever they do there."""
    return sitting.learner, sitting.adults, sitting.start


def same_people(one: Sitting, other: Sitting) -> bool:
    return _people(one) == _people(other)


def _people(sitting: Sitting) -> tuple[str, str]:
    return sitting.learner, sitting.adult


def _as_met(sitting: Sitting) -> tuple[object, ...]:
    """Who met where and when: another may be called as one was that was not held."""
    return sitting.start, sitting.location, *_people(sitting)


def pairs(
    before: Iterable[Told],
    sittings: Iterable[Sitting],
    now: datetime,
    moved: Collection[tuple[str, str]],
    *,
    is_so: bool = False,
) -> dict[str, Told]:
    """Sitting id -> what people would call the same sitting before. What had begun by `now` is only ever the same as
    itself; of all others of a learner and an adult as many as can be are one and the same, with the least `otherwise`
    over all. `moved` are the ids before and after of those that moved as somebody wished. `is_so`: the sittings are
    what is so, so what is not among them though its told time has come was moved or called off before that."""
    found: dict[str, Told] = {}
    old, new = (
        defaultdict[tuple[str, str], list[Told]](list),
        defaultdict[tuple[str, str], list[Sitting]](list),
    )
    begun = {_as_met(t.sitting): t for t in before if not t.cancelled and t.sitting.start < now}
    for s in sorted(sittings, key=lambda s: (s.start, s.id)):
        if told := begun.get(_as_met(s)):
            found[s.id] = told
        else:
            new[_people(s)].append(s)
    for told in sorted(before, key=lambda t: (t.sitting.start, t.event)):
        if not told.cancelled and (told.sitting.start >= now or (is_so and told not in found.values())):
            old[_people(told.sitting)].append(told)
    for people in old.keys() & new.keys():
        costs = [[otherwise(t.sitting, s, moved) for s in new[people]] for t in old[people]]
        found |= _uncrossed(old[people], new[people], dict(cheapest_pairs(costs)))
    return found


def _uncrossed(old: Sequence[Told], new: Sequence[Sitting], pairs: dict[int, int]) -> dict[str, Told]:
    """Where one takes the hour of another that is not held any more it is the other that is held: who reads that a
    visit is cancelled, and of one at that very time, would stay away."""
    so = {j: i for i, j in pairs.items()}
    left = [i for i in range(len(old)) if i not in pairs]
    while crossed := next(
        (
            (i, j)
            for i in left
            for j, other in so.items()
            if old[i].sitting.start == new[j].start != old[other].sitting.start
        ),
        None,
    ):
        i, j = crossed
        left[left.index(i)], so[j] = so[j], i
    return {new[j].id: old[i] for j, i in so.items()}


def otherwise(before: Sitting, after: Sitting, moved: Collection[tuple[str, str]] = ()) -> tuple[int, ...]:
    """How much is otherwise if these two are one sitting, what weighs most first: anything at all, not as somebody
    wished, another start; how many things have to be told; another day, the minutes between the starts, other probes,
    another place, another beside, another id."""
    old, new = content(before), content(after)
    apart = abs(after.start - before.start)
    probes, beside = old.probes != new.probes, old.second_adult != new.second_adult
    place, hours = before.location != after.location, (before.start, before.end) != (after.start, after.end)
    return (
        old != new,
        (before.id, after.id) not in moved,
        apart > timedelta(),
        probes + beside + place + hours,
        before.start.date() != after.start.date(),
        apart // MINUTE,
        probes,
        place,
        beside,
        before.id != after.id,
    )


def cheapest_pairs(costs: Sequence[Sequence[tuple[int, ...]]]) -> list[tuple[int, int]]:
    """The row and the column of each pair: as many as there can be, with the least sum of what they cost, where the
    first of a cost outweighs all that follow. By shortest ways from row to row (the Hungarian method, from memory)."""
    if len(costs) > len(costs[0]):
        return [(i, j) for j, i in cheapest_pairs(list(zip(*costs, strict=True)))]
    radix = len(costs) * max(chain.from_iterable(chain.from_iterable(costs))) + 1
    plain = [[_number(cost, radix) for cost in row] for row in costs]
    above = radix ** (len(costs[0][0]) + 1)
    of_rows, of_columns = [0] * len(plain), [0] * len(plain[0])
    row_of = [NONE] * len(of_columns)
    for start in range(len(plain)):
        way = [above] * len(of_columns)
        came_from = [NONE] * len(of_columns)
        done: list[int] = []
        row, at = start, NONE
        while row != NONE:
            for j in (j for j in range(len(way)) if j not in done):
                here = plain[row][j] - of_rows[row] - of_columns[j]
                if here < way[j]:
                    way[j], came_from[j] = here, at
            at = min((j for j in range(len(way)) if j not in done), key=way.__getitem__)
            step = way[at]
            of_rows[start] += step
            for j in range(len(way)):
                if j in done:
                    of_columns[j] -= step
                    of_rows[row_of[j]] += step
                else:
                    way[j] -= step
            done.append(at)
            row = row_of[at]
        while at != NONE:
            row_of[at] = start if came_from[at] == NONE else row_of[came_from[at]]
            at = came_from[at]
    return [(i, j) for j, i in enumerate(row_of) if i != NONE]


def _number(cost: Iterable[int], radix: int) -> int:
    number = 0
    for digit in cost:
        number = number * radix + digit
    return number
