"""The last weeks: what became of each sitting, what each adult gave, what was not held and why; without a solver."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, datetime, time, timedelta

from genplan.case import Absence, Case, Week
from genplan.case.sitting_ids import mark_of
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.coverage.review import review
from genplan.evidence.log import Log, Result, ResultKind
from genplan.keeping.lately import Became, PastSitting, released_lately, sittings_lately
from genplan.keeping.loads_lately import Amount, loads_lately
from genplan.keeping.not_held import Whose, not_held
from genplan.keeping.told import KeptWeek, Told, Withdrawn
from genplan.plan import Probe, ProbeKind, Sitting, ToldLately
from genplan.report.lately import lately_page
from genplan.report.lately_lines import lately_lines
from genplan.report.lately_tables import lately_tables
from genplan.report.lately_words import not_held_sentences
from genplan.report.names_and_words import Names
from tests.fixtures.monday_cases import monday, monday_case, skill
from tests.fixtures.pagecheck import faults, read
from tests.fixtures.planning_cases import ZONE

NOW = datetime(2026, 11, 28, 12, tzinfo=ZONE)
WEEKS = tuple(Week(2026, 47).run(2))
CASE = monday_case(
    {"wren": monday(60)}, {"ann": monday(60), "ben": monday(60)}, skill("zip", "wren", "ann ben", sets="coat")
)
COAT = {a: (a, "home", "coat") for a in ("ann", "ben")}


def told(day: int, adult: str = "ann", hour: int = 9, *, cancelled: bool = False) -> ToldLately:
    """Twenty minutes on a day of November."""
    start = datetime(2026, 11, day, hour, tzinfo=ZONE)
    probe = Probe(target="zip", combination=COAT[adult], kind=ProbeKind.RETEST, trials=5, new_tuples=0)
    sitting = Sitting(
        id=f"{adult}-{day}-{hour}",
        learner="wren",
        adult=adult,
        location="home",
        start=start,
        end=start + timedelta(minutes=20),
        probes=(probe,),
    )
    return ToldLately(sitting, cancelled)


def row(line: int, day: int, adult: str = "ann", note: str | None = None, hour: int | None = None) -> Result:
    """A probe that was run; with a note one that was not."""
    return Result(
        line=line,
        date=date(2026, 11, day),
        time=time(hour) if hour else None,
        target="zip",
        kind=ResultKind.PROBE if note is None else ResultKind.NOT_RUN,
        combination=COAT[adult],
        trials=5 if note is None else None,
        correct=5 if note is None else None,
        note=note or "",
    )


def lately(rows: list[Result], *some: ToldLately, case: Case = CASE) -> tuple[PastSitting, ...]:
    return sittings_lately(case, Log.of(rows), some, WEEKS, NOW)


def test_what_became_of_each() -> None:
    rows = [row(2, 16), row(3, 17, note="ill"), row(4, 18, "ben")]
    some = (told(16), told(17), told(19), told(20, cancelled=True), told(29), told(30))
    found = [(p.day.day, p.adults[0], p.became, p.minutes) for p in lately(rows, *some)]
    assert found == [
        (16, "ann", Became.HELD, 20),
        (17, "ann", Became.NOT_RUN, 20),
        (18, "ben", Became.HELD, 10),  # nobody was told: five minutes to settle and five of the probe
        (19, "ann", Became.UNWRITTEN, 20),
        (20, "ann", Became.CANCELLED, 20),
        (29, "ann", Became.AHEAD, 20),
    ]  # the 30th is of the week after


def test_a_row_of_a_cancelled_sitting_says_that_it_was_held_after_all() -> None:
    (one,) = lately([row(2, 16)], told(16, cancelled=True))
    assert one.became is Became.HELD
    moved, gone = lately([row(2, 16)], told(16, cancelled=True), told(16, hour=15))
    assert {(p.told.start.hour, p.became) for p in (moved, gone) if p.told} == {
        (9, Became.CANCELLED),
        (15, Became.HELD),
    }


def test_minutes_and_sittings_of_each_week_and_in_all() -> None:
    rows = [row(2, 16), row(3, 17, note="ill"), row(4, 23, "ben"), row(5, 3)]
    table = loads_lately(CASE, lately(rows, told(16), told(17), told(24)), WEEKS)
    ann, ben = table
    assert [(w.told, w.held, w.not_held, w.open) for w in ann.weeks] == [
        (Amount(40, 2), Amount(20, 1), Amount(20, 1), Amount()),
        (Amount(20, 1), Amount(), Amount(), Amount(20, 1)),
    ]
    assert ann.sum.told == Amount(60, 3)
    assert (ben.sum.told, ben.sum.held) == (Amount(), Amount(10, 1))
    written = lately_tables(WEEKS, table, ())["loads.csv"]
    assert list(map(list, written.rows))[:3] == [
        ["ann", "2026-W47", 40, 2, 20, 1, 20, 1, 0, 0],
        ["ann", "2026-W48", 20, 1, 0, 0, 0, 0, 20, 1],
        ["ann", "sum", 60, 3, 20, 1, 20, 1, 20, 1],
    ]


def away(day: int) -> Absence:
    return Absence(datetime(2026, 11, day), datetime(2026, 11, day + 1))


def test_whose_absence_it_was_and_the_reason() -> None:
    ben = replace(CASE.adults["ben"], away=(away(19),))
    home = replace(CASE.locations["home"], closed=(away(20),))
    coat = replace(CASE.material_sets["coat"], missing=(away(24),))
    case = replace(
        CASE, adults={**CASE.adults, "ben": ben}, locations={"home": home}, material_sets={"coat": coat}
    )
    rows = [row(2, 16, note="Ill: a cold"), row(3, 17, note="adult away"), row(4, 18, note="rain")]
    some = (
        told(16),
        told(17),
        told(18),
        told(19, "ben", cancelled=True),
        told(20, cancelled=True),
        told(24, cancelled=True),
    )
    missed, _ = not_held(case, Log.of(rows), lately(rows, *some, told(25, cancelled=True), case=case), WEEKS)
    assert [(n.day.day, n.whose, n.id, n.became) for n in missed] == [
        (16, Whose.LEARNER, "wren", Became.NOT_RUN),
        (17, Whose.ADULT, "ann", Became.NOT_RUN),
        (18, Whose.NOBODYS, "", Became.NOT_RUN),
        (19, Whose.ADULT, "ben", Became.CANCELLED),
        (20, Whose.LOCATION, "home", Became.CANCELLED),
        (24, Whose.MATERIAL_SET, "coat", Became.CANCELLED),
        (25, Whose.NOBODYS, "", Became.CANCELLED),
    ]
    assert list(not_held_sentences(Names(case), missed)) == [
        "Monday 16 November, 09:00: wren with ann, not run. wren could not. Written down: Ill: a cold.",
        "Tuesday 17 November, 09:00: wren with ann, not run. ann was away. Written down: adult away.",
        "Wednesday 18 November, 09:00: wren with ann, not run. Written down: rain.",
        "Thursday 19 November, 09:00: wren with ben, cancelled. ben was away.",
        "Friday 20 November, 09:00: wren with ann, cancelled. home was closed.",
        "Tuesday 24 November, 09:00: wren with ann, cancelled. coat was not there.",
        "Wednesday 25 November, 09:00: wren with ann, cancelled. The week was planned again without it.",
    ]


def test_not_run_is_counted_as_progress_counts_it() -> None:
    """Two rows at two times are two sittings there, also where people were told of one."""
    rows = [row(2, 16, note="ill", hour=9), row(3, 16, note="ill", hour=10), row(4, 17, "ben", note="no")]
    rows += [row(5, 18), row(6, 19, "ben")]
    log = Log.of(rows)
    missed, counts = not_held(CASE, log, lately(rows, told(16), told(20, cancelled=True)), WEEKS)
    progress = review(CASE, "wren", log, date(2026, 11, 16), date(2026, 11, 28)).sittings
    assert counts == progress
    not_run = Counter(n.adult for n in missed if n.became is Became.NOT_RUN)
    assert not_run == {a: c.not_run for a, c in progress.items() if c.not_run} == {"ann": 2, "ben": 1}


def test_the_terminal_and_the_page_say_the_same() -> None:
    rows = [row(2, 16), row(3, 17, note="ill")]
    past = lately(rows, told(16), told(17), told(24))
    missed, counts = not_held(CASE, Log.of(rows), past, WEEKS)
    table = loads_lately(CASE, past, WEEKS)
    lines = list(lately_lines(CASE, WEEKS, table, missed, counts))
    assert lines[0] == "The last 2 weeks: 2026-W47 to 2026-W48"
    assert "ann  60 (3)  20 (1)  20 (1)    20 (1)" in lines
    assert "ann  40/20/20  20/0/0" in lines
    text = lately_page(CASE, WEEKS, table, missed, counts)
    assert faults(text) == []
    page = read(text)
    (drawn,) = page.all("table")
    assert [cell.words for cell in drawn.all("tr")[1].all("td")] == [
        "40 / 20 / 20 2 / 1 / 1",
        "20 / 0 / 0 1 / 0 / 0",
        "60 / 20 / 20 3 / 1 / 1",
    ]
    (sentence,) = (item.words for item in page.all("li"))
    assert f"  {sentence}" in lines


def test_where_nothing_is_known_nothing_is_said() -> None:
    lines = list(lately_lines(CASE, WEEKS[1:], loads_lately(CASE, (), WEEKS[1:]), (), {}))
    assert lines[0] == "This week, 2026-W48"
    assert lines[-1] == "No sitting fell through."


def test_of_what_is_not_written_down_it_is_said_how_many_and_not_that_all_was_held() -> None:
    table = loads_lately(CASE, (), WEEKS)
    lines = list(lately_lines(CASE, WEEKS, table, (), {}, unwritten=2))
    sentence = "Of 2 sittings that have begun nothing is written down: whether they were held is not known."
    assert lines[-1] == sentence
    page = read(lately_page(CASE, WEEKS, table, (), {}, unwritten=2)).words
    assert sentence in page
    for told_there in ("\n".join(lines), page):
        assert "No sitting fell through." not in told_there


def released(*left: tuple[str, int], sitting_cancelled: bool = False) -> tuple[PastSitting, ...]:
    """Ben was to be beside Ann for 30 minutes on the 17th and is released at noon on the 14th; `left` are places that
    the sitting was moved away from, with the day of that."""
    sitting = told(17).sitting
    until = sitting.end
    changed = datetime(2026, 11, 14, 12, tzinfo=ZONE)
    one = Told(
        sitting,
        sitting.id,
        3,
        changed,
        3,
        changed,
        until,
        settled=True,
        cancelled=sitting_cancelled,
        left=tuple(
            Withdrawn(id_, sitting.start, sitting.end, until, 3, changed.replace(day=day))
            for id_, day in left
        ),
        released=(Withdrawn("ben", sitting.start, sitting.start + timedelta(minutes=30), until, 3, changed),),
    )
    return released_lately([KeptWeek(Week(2026, 47), changed, (one,))])


def test_a_second_adult_who_is_not_needed_any_more_was_told_of_it_and_told_that_it_is_cancelled() -> None:
    past = (*lately([row(2, 17)], told(17)), *released())
    ann, ben = loads_lately(CASE, past, WEEKS)
    assert (ann.sum.told, ann.sum.held, ann.sum.not_held) == (Amount(20, 1), Amount(20, 1), Amount())
    assert (ben.sum.told, ben.sum.held, ben.sum.not_held) == (Amount(30, 1), Amount(), Amount(30, 1))
    (one,) = not_held(CASE, Log.of([row(2, 17)]), past, WEEKS)[0]
    assert (one.adult, one.released, one.became, one.whose) == ("ann", "ben", Became.CANCELLED, Whose.NOBODYS)
    assert list(not_held_sentences(Names(CASE), [one])) == [
        "Tuesday 17 November, 09:00: ben beside ann with wren, cancelled. The week was planned again without it."
    ]
    (cells,) = lately_tables(WEEKS, (), [one])["not-held.csv"].rows
    assert cells[-1] == "ben"


def test_what_a_second_adult_was_released_from_is_that_adult_s_absence_and_no_one_else_s() -> None:
    gone = {a: replace(CASE.adults[a], away=(away(17),)) for a in ("ann", "ben")}
    for who, whose in (("ann", Whose.NOBODYS), ("ben", Whose.ADULT)):
        case = replace(CASE, adults={**CASE.adults, who: gone[who]})
        (one,) = not_held(case, Log.of(()), released(), WEEKS)[0]
        assert one.whose is whose


def test_a_second_adult_is_told_of_both_where_the_sitting_is_cancelled_later() -> None:
    past = (*lately([], told(17, cancelled=True)), *released(sitting_cancelled=True))
    ann, ben = loads_lately(CASE, past, WEEKS)
    assert (ann.sum.not_held, ben.sum.not_held) == (Amount(20, 1), Amount(30, 1))


def test_it_was_to_be_where_the_second_adult_was_told() -> None:
    """A place that was left before is not where it was then; that of the next move away is."""
    for left, place in (
        ((), "home"),
        ((("shed", 13),), "home"),
        ((("shed", 13), ("hall", 15), ("loft", 16)), "hall"),
    ):
        (one,) = released(*left)
        assert one.told is not None
        assert one.told.location == place


def test_what_somebody_called_off_is_not_told_as_left_out_by_a_plan() -> None:
    off = PlannersWish(
        kind=WishKind.NOT,
        sitting=f"2026-W48-wed-ann-{mark_of('wren')}",
        at=datetime(2026, 11, 25, 9),
        note="a trip",
    )
    for wish, words in ((off, "Written down: a trip."), (replace(off, note=""), "Somebody called it off.")):
        case = replace(CASE, wishes=(wish,))
        missed, _ = not_held(case, Log.of([]), lately([], told(25, cancelled=True), case=case), WEEKS)
        assert list(not_held_sentences(Names(case), missed)) == [
            f"Wednesday 25 November, 09:00: wren with ann, cancelled. {words}"
        ]
