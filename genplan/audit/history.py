"""What was shown of a target and what was taught of it, worked out once more from the rows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import combinations, product

from genplan.audit.only_failed import Suspect, holds, suspects_of
from genplan.audit.possible import fits, is_possible
from genplan.audit.who_may_teach import can_be_taught, is_held_out
from genplan.case import Case, Combination, Target
from genplan.evidence.log import Result

NOT_MET = "not met"
TESTS = ("probe", "maintenance")

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
    def waits(self) -> bool:
        """Not met, and not taught enough since, neither there nor where else it may be."""
        return self.status == NOT_MET and not self.retest_due


NOTHING_KNOWN = Known()


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
    met_untaught: frozenset[Shown]

    def of(self, combination: Combination) -> Known:
        return self.known.get(combination, NOTHING_KNOWN)


def past_of(case: Case, target: Target, rows_of_target: Iterable[Result], today: date) -> Past:
    """Ages are those of the day `today`."""
    listed = list(product(*(d.values for d in target.dimensions)))
    can = frozenset(c for c in listed if is_possible(case, target, c, today))
    rows: dict[Combination, list[Result]] = {}
    for row in _standing_rows(rows_of_target):
        rows.setdefault(row.combination, []).append(row)
    known = {c: _known(target, c, rows.get(c, [])) for c in dict.fromkeys([*listed, *rows])}
    known |= dict(_answered_elsewhere(case, target, known, rows, can))
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
        met_untaught=space & _shown_by(target, _met_untaught(target, known, rows)),
    )


def _standing_rows(rows_of_target: Iterable[Result]) -> Iterator[Result]:
    """Without the probes in whose place a later line about the same moment stands: they never were what they said."""
    listed = list(rows_of_target)
    last: dict[object, int] = {}
    for row in listed:
        key = _about(row)
        last[key] = max(row.line, last.get(key, row.line))
    for row in listed:
        if row.kind.value not in TESTS or last[_about(row)] == row.line:
            yield row


def _about(row: Result) -> object:
    """What two rows share that speak of one test."""
    return row.combination, row.date, row.time, row.kind.value in TESTS


def _met_untaught(
    target: Target, known: Mapping[Combination, Known], rows: Mapping[Combination, list[Result]]
) -> Iterable[Combination]:
    """What is met and was never taught: `taught` holds nothing that fits it, and no row of teaching is about it."""
    met = [combination for combination, of_it in known.items() if of_it.status == "met"]
    for combination in met:
        named = any(fits(target, combination, pattern) for pattern in target.taught)
        lessons = [r for r in rows.get(combination, []) if r.kind.value == "teaching"]
        if not named and not lessons:
            yield combination


def shown_by(target: Target, combination: Combination) -> frozenset[Shown]:
    return frozenset(combinations(enumerate(combination), target.strength))


def as_shown(target: Target, values: Iterable[tuple[str, str]]) -> Shown:
    """A tuple of the plan, in which dimensions have their names."""
    return tuple(sorted((target.dimension_names.index(name), value) for name, value in values))


def _shown_by(target: Target, many: Iterable[Combination]) -> frozenset[Shown]:
    return frozenset(t for c in many for t in shown_by(target, c))


def _known(target: Target, combination: Combination, rows: list[Result]) -> Known:
    """Looks back from the latest test: what it said, and whether teaching that counts followed, and often enough."""
    if not rows:  # of a large caseload nearly always
        return Known("taught") if named_as_taught(target, combination) else NOTHING_KNOWN
    rows = in_time(rows)
    tests = [i for i, r in enumerate(rows) if is_test(r)]
    lessons = [i for i, r in enumerate(rows) if r.kind.value == "teaching" and counts(target, r)]
    if not tests:
        if lessons:
            return Known("taught", last_date=rows[lessons[-1]].date)
        return Known("taught") if named_as_taught(target, combination) else Known()
    test = rows[tests[-1]]
    correct, trials = test.correct or 0, test.trials or 1
    if is_met(target, test):
        return Known("met", True, False, test.date, correct, trials)
    since = [rows[i].date for i in lessons if i > tests[-1]]
    if since and len(since) >= target.teachings_before_retest:
        from_ = since[-1] + timedelta(days=target.retest_after_days)
        return Known("taught", True, True, since[-1], correct, trials, len(since), from_)
    return Known(NOT_MET, True, False, test.date, correct, trials, len(since))


def taught_elsewhere(target: Target, combination: Combination) -> bool:
    """Whether a failure there is answered by teaching what only failed, wherever that is."""
    return target.teach.value == "fewest" or is_held_out(target, combination)


def _answered_elsewhere(
    case: Case,
    target: Target,
    known: Mapping[Combination, Known],
    rows: Mapping[Combination, list[Result]],
    can: frozenset[Combination],
) -> Iterator[tuple[Combination, Known]]:
    """What failed and waits, and all of which that only failed was taught since in other combinations: it is due, from
    the last of them on. Of what is held out that is enough of what is possible to teach, if it was any."""
    for combination, own in known.items():
        if own.waits and taught_elsewhere(target, combination):
            days = answers(target, rows, combination)
            if is_held_out(target, combination) and any(days.values()):
                teachable = [c for c in can if can_be_taught(case, target, c)]
                days = {s: d for s, d in days.items() if d or any(holds(c, s) for c in teachable)}
            if all(days.values()):
                last = max(max(some) for some in days.values())
                from_ = last + timedelta(days=target.retest_after_days)
                yield combination, replace(own, retest_due=True, retest_from=from_)


def answers(
    target: Target, rows: Mapping[Combination, list[Result]], combination: Combination
) -> dict[Suspect, list[date]]:
    """What only failed of a combination -> the last days of teaching in each that holds it and had enough after that
    failure. What was first met after such teaching counts as taught here: else its success would take back what the
    teaching was for."""
    failure = _tests(in_time(rows[combination]))[-1]
    taught: dict[Combination, date] = {}
    met = []
    for other, its_rows in rows.items():
        since = _since_last_failure(target, in_time(its_rows))
        lessons = [
            r for r in since if r.kind.value == "teaching" and counts(target, r) and _key(r) > _key(failure)
        ]
        enough = len(lessons) >= target.teachings_before_retest
        if enough:
            taught[other] = lessons[-1].date
        tests = _tests(since)
        if tests and not (enough and _key(tests[0]) > _key(lessons[0])):
            met.append(other)
    return {
        s: [day for other, day in taught.items() if holds(other, s)] for s in suspects_of(combination, met)
    }


def in_time(rows: Iterable[Result]) -> list[Result]:
    return sorted(rows, key=_key)


def _key(row: Result) -> tuple[date, str, int]:
    return row.date, row.time.isoformat() if row.time else "", row.line


def _tests(rows: Iterable[Result]) -> list[Result]:
    return [r for r in rows if is_test(r)]


def is_test(row: Result) -> bool:
    return row.kind.value in TESTS and bool(row.trials)


def is_met(target: Target, test: Result) -> bool:
    return (test.correct or 0) * target.pass_mark.trials >= target.pass_mark.correct * (test.trials or 1)


def _since_last_failure(target: Target, rows: list[Result]) -> list[Result]:
    """The rows after the latest test that was not met: the tests among them were all met."""
    failed = [i for i, r in enumerate(rows) if is_test(r) and not is_met(target, r)]
    return rows[failed[-1] + 1 :] if failed else rows


def counts(target: Target, lesson: Result) -> bool:
    """Whether teaching came as far as the target asks of it. Without counts nobody knows."""
    mark = target.taught_when
    if mark is None:
        return True
    return bool(lesson.trials) and (lesson.correct or 0) * mark.trials >= mark.correct * (lesson.trials or 1)


def named_as_taught(target: Target, combination: Combination) -> bool:
    return any(
        len(pattern) == len(combination) and fits(target, combination, pattern) for pattern in target.taught
    )
