"""What is possible for a target and what was shown of it, worked out once more from the rows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from itertools import combinations, product

from genplan.case import Birth, Case, Combination, Target
from genplan.evidence.log import Result

NOT_MET = "not met"

Shown = tuple[tuple[int, str], ...]
"""(position of the dimension, value) for each of t dimensions."""


@dataclass(frozen=True)
class Known:
    """What the rows say of one combination."""

    status: str = "untested"
    tested: bool = False
    retest_due: bool = False
    last_date: date | None = None
    correct: int | None = None
    trials: int | None = None


@dataclass(frozen=True)
class Past:
    """Of one target, before the plan: what is possible, what is known, and the tuples of each sort among the
    possible ones."""

    possible_combinations: frozenset[Combination]
    known: Mapping[Combination, Known]
    possible: frozenset[Shown]
    tested: frozenset[Shown]
    taught: frozenset[Shown]
    met: frozenset[Shown]

    def of(self, combination: Combination) -> Known:
        return self.known.get(combination, Known())


def past_of(case: Case, target: Target, rows_of_target: Iterable[Result], today: date) -> Past:
    """Ages are those of the day `today`."""
    listed = list(product(*(d.values for d in target.dimensions)))
    can = frozenset(c for c in listed if is_possible(case, target, c, today))
    rows: dict[Combination, list[Result]] = {}
    for row in rows_of_target:
        rows.setdefault(row.combination, []).append(row)
    known = {c: _known(target, c, rows.get(c, [])) for c in dict.fromkeys([*listed, *rows])}
    space = _shown_by(target, can)
    taught = _shown_by(target, (c for c, k in known.items() if k.status == "taught"))
    for pattern in target.taught:
        given = [(i, pattern[d.name]) for i, d in enumerate(target.dimensions) if d.name in pattern]
        taught |= frozenset(combinations(given, target.strength))
    return Past(
        possible_combinations=can,
        known=known,
        possible=space,
        tested=space & _shown_by(target, (c for c, k in known.items() if k.tested)),
        taught=space & taught,
        met=space & _shown_by(target, (c for c, k in known.items() if k.status == "met")),
    )


def shown_by(target: Target, combination: Combination) -> frozenset[Shown]:
    return frozenset(combinations(enumerate(combination), target.strength))


def _shown_by(target: Target, many: Iterable[Combination]) -> frozenset[Shown]:
    return frozenset(t for c in many for t in shown_by(target, c))


def _known(target: Target, combination: Combination, rows: list[Result]) -> Known:
    """Looks back from the latest test: what it said, and whether teaching followed."""
    in_time = sorted(rows, key=lambda r: (r.date, r.time.isoformat() if r.time else "", r.line))
    tests = [i for i, r in enumerate(in_time) if r.kind.value in ("probe", "maintenance") and r.trials]
    lessons = [i for i, r in enumerate(in_time) if r.kind.value == "teaching"]
    if not tests:
        if lessons:
            return Known("taught", last_date=in_time[lessons[-1]].date)
        return Known("taught") if _named_as_taught(target, combination) else Known()
    test = in_time[tests[-1]]
    correct, trials = test.correct or 0, test.trials or 1
    if correct * target.pass_mark.trials >= target.pass_mark.correct * trials:
        return Known("met", True, False, test.date, correct, trials)
    if lessons and lessons[-1] > tests[-1]:
        return Known("taught", True, True, in_time[lessons[-1]].date, correct, trials)
    return Known(NOT_MET, True, False, test.date, correct, trials)


def _named_as_taught(target: Target, combination: Combination) -> bool:
    whole = {d.name: value for d, value in zip(target.dimensions, combination, strict=True)}
    return any(dict(pattern) == whole for pattern in target.taught)


def is_possible(case: Case, target: Target, combination: Combination, today: date) -> bool:
    """Rule 6, and the cautions that decide: every one of them, one after the other."""
    learner = case.learners[target.learner]
    adult, location = case.adults[combination[0]], case.locations[combination[1]]
    set_ = case.material_sets[combination[2]]
    if adult.learners is not None and learner.id not in adult.learners:
        return False
    if adult.locations is not None and location.id not in adult.locations:
        return False
    if adult.briefed_on is not None and target.id not in adult.briefed_on:
        return False
    if location.learners is not None and learner.id not in location.learners:
        return False
    if set_.kept_at is not None and location.id not in set_.kept_at:
        return False
    if set_.allergens & learner.allergens or ("gluten" in learner.allergens and "wheat" in set_.allergens):
        return False
    if "magnet" in set_.hazards or "button-cell" in set_.hazards:
        return False
    if learner.born is not None:
        months = months_old(learner.born, today)
        small = bool(set_.small_parts) or "small-ball" in set_.hazards
        if set_.dimensions_mm is not None:
            _, middle, largest = sorted(set_.dimensions_mm)
            small = small or (middle < 33 and largest < 67)
        if (small and months < 36) or months < set_.min_age_months:
            return False
    whole = {d.name: value for d, value in zip(target.dimensions, combination, strict=True)}
    return not any(all(whole.get(n) == v for n, v in pattern.items()) for pattern in target.never)


@cache
def months_old(born: Birth, today: date) -> int:
    """Counts the monthly birthdays that are not after today; without a day the month must be over."""
    day = born.day or 32
    year, month, months = born.year, born.month, -1
    while (year, month, day) <= (today.year, today.month, today.day):
        months += 1
        year, month = (year, month + 1) if month < 12 else (year + 1, 1)
    return max(0, months)
