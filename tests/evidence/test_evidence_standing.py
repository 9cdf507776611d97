"""What a history of rows says of a combination, and which maintenance probe is due."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import date, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from genplan.case import PassMark, Target
from genplan.case.targets import Teach
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.maintenance import MaintenanceDue, maintenance_due
from genplan.evidence.standing import UNTESTED, Standing, Status, standings
from tests.fixtures.evidence_case import target

ZIPS = replace(target("zips", "mum|dad", "home|park", "coats|jackets"), pass_mark=PassMark(4, 5))
HERE = ("mum", "home", "coats")
KINDS = {"m": ResultKind.MAINTENANCE, "t": ResultKind.TEACHING}
MET, NOT_MET, UNKNOWN, TAUGHT = Status.MET, Status.NOT_MET, Status.UNTESTED, Status.TAUGHT


def row(day: int, what: str, moment: time | None = None) -> Result:
    """`4/5` a probe, `m5/5` a maintenance probe, `t` or `t5/5` teaching, `-` not run, on a day of November."""
    on = date(2026, 11, day)
    if what in "t-":
        kind = ResultKind.TEACHING if what == "t" else ResultKind.NOT_RUN
        return Result(line=day, date=on, time=moment, target="zips", kind=kind, combination=HERE)
    correct, trials = map(int, what.lstrip("mt").split("/"))
    kind = KINDS.get(what[0], ResultKind.PROBE)
    return Result(
        line=day,
        date=on,
        time=moment,
        target="zips",
        kind=kind,
        combination=HERE,
        trials=trials,
        correct=correct,
    )


def after(*history: str, target: Target = ZIPS) -> Standing:
    """The standing after these rows on 1, 2, 3 … November."""
    return standings(target, Log.of(row(day, what) for day, what in enumerate(history, 1))).get(
        HERE, UNTESTED
    )


@pytest.mark.parametrize(
    ("history", "status", "tested", "retest_due", "day", "counts"),
    [
        ([], UNKNOWN, False, False, None, (None, None)),
        (["-"], UNKNOWN, False, False, None, (None, None)),
        (["t"], TAUGHT, False, False, 1, (None, None)),
        (["4/5"], MET, True, False, 1, (4, 5)),
        (["3/5"], NOT_MET, True, False, 1, (3, 5)),
        (["0/5"], NOT_MET, True, False, 1, (0, 5)),
        # a probe of another length is held against the same fraction: 8/10 is met, 7/10 and 3/4 are not
        (["8/10"], MET, True, False, 1, (8, 10)),
        (["7/10"], NOT_MET, True, False, 1, (7, 10)),
        (["3/4"], NOT_MET, True, False, 1, (3, 4)),
        (["3/5", "t"], TAUGHT, True, True, 2, (3, 5)),
        (["t", "3/5"], NOT_MET, True, False, 2, (3, 5)),
        (["3/5", "t", "t"], TAUGHT, True, True, 3, (3, 5)),
        (["3/5", "t", "4/5"], MET, True, False, 3, (4, 5)),
        (["3/5", "t", "2/5"], NOT_MET, True, False, 3, (2, 5)),
        (["3/5", "t", "2/5", "t"], TAUGHT, True, True, 4, (2, 5)),
        (["4/5", "3/5"], NOT_MET, True, False, 2, (3, 5)),
        (["3/5", "4/5"], MET, True, False, 2, (4, 5)),
        (["4/5", "t"], MET, True, False, 1, (4, 5)),
        (["m5/5"], MET, True, False, 1, (5, 5)),
        (["4/5", "m2/5"], NOT_MET, True, False, 2, (2, 5)),
        (["3/5", "-"], NOT_MET, True, False, 1, (3, 5)),
        (["3/5", "t", "-"], TAUGHT, True, True, 2, (3, 5)),
        (["4/5", "-", "-"], MET, True, False, 1, (4, 5)),
    ],
    ids=lambda value: " ".join(value) or "nothing" if isinstance(value, list) else None,
)
def test_standing_after_a_history(
    history: list[str],
    status: Status,
    tested: bool,
    retest_due: bool,
    day: int | None,
    counts: tuple[int | None, int | None],
) -> None:
    last = date(2026, 11, day) if day else None
    since = list(itertools.takewhile(lambda what: what in "t-", reversed(history))).count("t")
    assert after(*history) == Standing(
        status=status,
        tested=tested,
        retest_due=retest_due,
        last_date=last,
        correct=counts[0],
        trials=counts[1],
        teachings=since if retest_due else 0,
        retest_from=last if retest_due else None,
    )


@pytest.mark.parametrize(
    ("history", "teachings", "first_day"),
    [
        # two teachings before the retest, which may be run three days after the second
        (["3/5"], 0, None),
        (["3/5", "t"], 1, None),
        (["3/5", "t", "-", "t"], 2, 4 + 3),
        (["3/5", "t", "t", "t"], 3, 4 + 3),
        (["3/5", "t", "t", "2/5"], 0, None),
        (["3/5", "t", "t", "2/5", "t"], 1, None),
        # what was taught before the failure pays nothing after it
        (["t", "t", "3/5", "t"], 1, None),
        (["3/5", "t", "4/5", "t"], 0, None),
        (["t", "t"], 0, None),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else None,
)
def test_a_failure_is_owed_its_teachings(history: list[str], teachings: int, first_day: int | None) -> None:
    strict = replace(ZIPS, teachings_before_retest=2, retest_after_days=3)
    known = after(*history, target=strict)
    assert known.teachings == teachings
    assert known.retest_from == (date(2026, 11, first_day) if first_day else None)
    assert known.retest_due == (first_day is not None)
    waits = MET if history[-2:] == ["4/5", "t"] else NOT_MET if "3/5" in history else TAUGHT
    assert known.status is (TAUGHT if first_day else waits)


def test_the_date_of_what_still_waits_is_that_of_its_failure() -> None:
    assert after("3/5", "t", target=replace(ZIPS, teachings_before_retest=2)).last_date == date(2026, 11, 1)


@pytest.mark.parametrize(
    ("what", "counts"),
    [("t", False), ("t3/5", False), ("t0/1", False), ("t4/5", True), ("t1/1", True), ("t8/10", True)],
)
def test_a_teaching_below_the_mark_pays_nothing(what: str, counts: bool) -> None:
    marked = replace(ZIPS, taught_when=PassMark(4, 5))
    assert after("3/5", what, target=marked).retest_due == counts
    assert after("3/5", what).retest_due
    assert after(what, target=marked) == (
        Standing(status=TAUGHT, last_date=date(2026, 11, 1)) if counts else UNTESTED
    )
    # what made a retest due is not taken back by a worse teaching
    good = after("3/5", "t5/5", target=marked)
    assert after("3/5", "t5/5", what, target=marked).retest_due
    assert good.retest_from == date(2026, 11, 2)


ROWS = st.sampled_from(["t", "t2/5", "t4/5", "t5/5", "-", "1/5", "3/5", "4/5", "m5/5", "m2/5"])
MARKS = st.sampled_from([None, PassMark(4, 5), PassMark(1, 1)])


@given(st.lists(ROWS, max_size=9), st.integers(1, 3), st.integers(0, 4), MARKS)
def test_what_is_owed_is_counted_in_plain_words(
    rows: list[str], times: int, days: int, mark: PassMark | None
) -> None:
    """Counted backwards from the end: the teachings after the last test."""
    strict = replace(ZIPS, teachings_before_retest=times, retest_after_days=days, taught_when=mark)
    known = after(*rows, target=strict)
    at = max((i for i, what in enumerate(rows) if what[0] in "m12345"), default=-1)
    last_of_tests = rows[at].removeprefix("m") if at >= 0 else ""
    paid = [i + 1 for i, what in enumerate(rows) if i > at and what[0] == "t" and reaches(what, mark)]
    failed = last_of_tests in ("1/5", "3/5", "2/5")
    assert known.tested == (at >= 0)
    assert known.teachings == (len(paid) if failed else 0)
    assert known.retest_due == (failed and len(paid) >= times)
    assert known.waits_for_teaching == (failed and len(paid) < times)
    first = date(2026, 11, paid[-1] + days) if known.retest_due else None
    assert known.retest_from == first
    if not failed:
        assert known.status is (MET if at >= 0 else TAUGHT if paid else UNKNOWN)


def reaches(what: str, mark: PassMark | None) -> bool:
    """`t4/5` reaches 4/5 and `t5/5` both marks."""
    return mark is None or what == "t5/5" or (what == "t4/5" and mark == PassMark(4, 5))


def test_only_what_was_not_met_waits_for_teaching() -> None:
    assert [after(*h).waits_for_teaching for h in ([], ["t"], ["4/5"], ["3/5"], ["3/5", "t"])] == [
        False,
        False,
        False,
        True,
        False,
    ]


def test_the_order_is_that_of_time_not_of_lines() -> None:
    late, early = row(5, "3/5", time(17)), row(5, "4/5", time(9))
    rows = [replace(late, line=2), replace(early, line=3)]
    assert standings(ZIPS, Log.of(rows))[HERE].status is NOT_MET
    untimed = replace(early, time=None, line=9)
    assert standings(ZIPS, Log.of([rows[0], untimed]))[HERE].status is NOT_MET


def test_taught_counts_where_it_names_the_whole_combination() -> None:
    whole = dict(zip(ZIPS.dimension_names, HERE, strict=True))
    taught = replace(ZIPS, taught=(whole,))
    assert after(target=taught) == Standing(status=TAUGHT)
    assert standings(taught, Log()) == {HERE: Standing(status=TAUGHT)}
    part = replace(ZIPS, taught=({"adult": "mum", "location": "home"},))
    assert standings(part, Log()) == {}


def test_a_probe_says_more_than_taught() -> None:
    taught = replace(ZIPS, taught=(dict(zip(ZIPS.dimension_names, HERE, strict=True)),))
    assert after("3/5", target=taught).status is NOT_MET
    assert after("-", target=taught).status is TAUGHT
    assert after("t", target=taught) == Standing(status=TAUGHT, last_date=date(2026, 11, 1))


LADDER = replace(ZIPS, mastered_on=date(2026, 10, 19), maintenance_days=(7, 14, 28))


@pytest.mark.parametrize(
    ("by", "days"),
    [
        # 19 October + 7, 14, 28 days: 26 October, 2 and 16 November
        (date(2026, 10, 25), None),
        (date(2026, 10, 26), 7),
        (date(2026, 11, 1), 7),
        (date(2026, 11, 2), 14),
        (date(2026, 11, 15), 14),
        (date(2026, 11, 16), 28),
        (date(2027, 11, 16), 28),
    ],
)
def test_the_latest_date_that_has_come_is_due(by: date, days: int | None) -> None:
    due = maintenance_due(LADDER, Log(), by)
    assert (due.days if due else None) == days


@pytest.mark.parametrize(
    ("rows", "due"),
    [
        ([row(2, "m5/5")], None),
        ([row(2, "m0/5")], None),
        ([row(9, "m5/5")], None),
        ([row(1, "m5/5")], MaintenanceDue("zips", date(2026, 11, 2), date(2026, 11, 2), 14)),
        ([row(2, "5/5")], MaintenanceDue("zips", date(2026, 11, 2), date(2026, 11, 2), 14)),
        ([row(2, "-"), row(3, "t")], MaintenanceDue("zips", date(2026, 11, 2), date(2026, 11, 2), 14)),
    ],
)
def test_a_maintenance_probe_from_the_date_on_settles_it(
    rows: list[Result], due: MaintenanceDue | None
) -> None:
    assert maintenance_due(LADDER, Log.of(rows), date(2026, 11, 10)) == due


def test_no_date_of_mastery_no_maintenance() -> None:
    assert maintenance_due(replace(LADDER, mastered_on=None), Log(), date(2027, 1, 1)) is None
    assert maintenance_due(replace(LADDER, maintenance_days=()), Log(), date(2027, 1, 1)) is None


def test_another_targets_probe_does_not_settle_it() -> None:
    other = replace(row(9, "m5/5"), target="asks")
    assert maintenance_due(LADDER, Log.of([other]), date(2026, 11, 10)) is not None


@pytest.mark.parametrize(
    ("wrong", "right", "status"), [("5/5", "1/5", NOT_MET), ("1/5", "5/5", MET), ("m5/5", "3/5", NOT_MET)]
)
def test_what_was_put_right_never_was_met_and_never_failed(wrong: str, right: str, status: Status) -> None:
    """Nothing is lost where the row that was met counts for nothing, nor does a failure that counts for nothing undo
    what was taught before it."""
    nine = time(9)
    rows = [replace(row(3, wrong, nine), line=3), replace(row(3, right, nine), line=4)]
    found = standings(ZIPS, Log.of([row(1, "t"), *rows]))[HERE]
    assert (found.status, found.lost_on) == (status, None)
    assert found == standings(ZIPS, Log.of([row(1, "t"), rows[1]]))[HERE]
    later = standings(ZIPS, Log.of([*rows, row(5, "5/5"), row(6, "1/5")]))[HERE]
    assert later.lost_on == date(2026, 11, 6)
    elsewhere = replace(ZIPS, teach=Teach.FEWEST)
    other = ("dad", "home", "jackets")
    failed = replace(row(1, "0/5"), combination=other)
    there = [replace(r, combination=("dad", "park", "coats")) for r in (row(2, "t"), *rows)]
    logs = [Log.of([failed, *there]), Log.of([failed, there[0], there[2]])]
    assert standings(elsewhere, logs[0]) == standings(elsewhere, logs[1])
