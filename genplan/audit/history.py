"""What is possible for a target and what was shown of it, worked out once more from the rows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache
from itertools import combinations, product

from genplan.audit.only_failed import Suspect, holds, suspects_of
from genplan.case import Birth, Case, Combination, Target
from genplan.evidence.log import Result

NOT_MET = "not met"

Shown = tuple[tuple[int, str], ...]
"""(position of the dimension, value) for each of t dimensions."""


@dataclass(frozen=True)
class Known:
    """What the rows say of one combination. `teachings` are those that count since a test that was not met; from
    `retest_from` on a retest that is due may be run."""

    status: str = "untested"
    tested: bool = False
    retest_due: bool = False
    last_date: date | None = None
    correct: int | None = None
    trials: int | None = None
    teachings: int = 0
    retest_from: date | None = None

    @property
    def failed(self) -> bool:
        """Whether the latest test was not met, taught since or not."""
        return self.retest_due or self.status == NOT_MET


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
    known |= dict(_answered_elsewhere(target, known, rows))
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
    """Looks back from the latest test: what it said, and whether teaching that counts followed, and often enough."""
    in_time = sorted(rows, key=lambda r: (r.date, r.time.isoformat() if r.time else "", r.line))
    tests = [i for i, r in enumerate(in_time) if r.kind.value in ("probe", "maintenance") and r.trials]
    lessons = [i for i, r in enumerate(in_time) if r.kind.value == "teaching" and counts(target, r)]
    if not tests:
        if lessons:
            return Known("taught", last_date=in_time[lessons[-1]].date)
        return Known("taught") if _named_as_taught(target, combination) else Known()
    test = in_time[tests[-1]]
    correct, trials = test.correct or 0, test.trials or 1
    if correct * target.pass_mark.trials >= target.pass_mark.correct * trials:
        return Known("met", True, False, test.date, correct, trials)
    since = [in_time[i].date for i in lessons if i > tests[-1]]
    if since and len(since) >= target.teachings_before_retest:
        from_ = since[-1] + timedelta(days=target.retest_after_days)
        return Known("taught", True, True, since[-1], correct, trials, len(since), from_)
    return Known(NOT_MET, True, False, test.date, correct, trials, len(since))


def is_held_out(target: Target, combination: Combination) -> bool:
    values = {d.name: value for d, value in zip(target.dimensions, combination, strict=False)}
    return any(all(values.get(n) == v for n, v in pattern.items()) for pattern in target.hold_out)


def taught_elsewhere(target: Target, combination: Combination) -> bool:
    """Whether a failure there is answered by teaching what only failed, wherever that is."""
    return target.teach.value == "fewest" or is_held_out(target, combination)


def _answered_elsewhere(
    target: Target, known: Mapping[Combination, Known], rows: Mapping[Combination, list[Result]]
) -> Iterator[tuple[Combination, Known]]:
    """What failed and waits, and all of which that only failed was taught since in other combinations: it is due, from
    the last of them on."""
    for combination, own in known.items():
        if own.status != NOT_MET or not taught_elsewhere(target, combination):
            continue
        days = answers(target, known, rows, combination)
        if all(days.values()):
            last = max(max(some) for some in days.values())
            from_ = last + timedelta(days=target.retest_after_days)
            yield combination, replace(own, status="taught", retest_due=True, retest_from=from_)


def answers(
    target: Target,
    known: Mapping[Combination, Known],
    rows: Mapping[Combination, list[Result]],
    combination: Combination,
) -> dict[Suspect, list[date]]:
    """What only failed of a combination -> the days on which some combination that holds it had enough teaching that
    counts, none of them before that failure."""
    met, failure = [c for c, k in known.items() if k.status == "met"], known[combination].last_date
    found: dict[Suspect, list[date]] = {s: [] for s in suspects_of(combination, met)}
    for other, k in known.items():
        lessons = sorted(
            r.date for r in rows.get(other, []) if r.kind.value == "teaching" and counts(target, r)
        )
        enough = k.teachings if k.failed else len(lessons)
        if failure and lessons and lessons[-1] >= failure and enough >= target.teachings_before_retest:
            for suspect in found:
                if holds(other, suspect):
                    found[suspect].append(lessons[-1])
    return found


def counts(target: Target, lesson: Result) -> bool:
    """Whether teaching came as far as the target asks of it. Without counts nobody knows."""
    mark = target.taught_when
    if mark is None:
        return True
    return bool(lesson.trials) and (lesson.correct or 0) * mark.trials >= mark.correct * (lesson.trials or 1)


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
