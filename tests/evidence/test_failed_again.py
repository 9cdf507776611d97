"""What was taught and not met again: when it is told, and in which words. Each case is reckoned in its line."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from genplan.case import Target
from genplan.case.targets import Teach
from genplan.coverage.asked import AskedKind
from genplan.coverage.review import review
from genplan.evidence.failed_again import FailedAgain, failed_again
from genplan.evidence.history import history
from genplan.evidence.log import Log, Result, ResultKind
from genplan.language import Speech, Words, speaking
from genplan.report.asked_words import asked_by_person
from genplan.report.evidence_lines import history_lines, progress_lines
from genplan.report.first_things import first_things
from genplan.report.names_and_words import Names
from genplan.text.failed_again import failed_again_text
from genplan.text.probe_rows import probe_row_text
from genplan.text.teaching_rows import teaching_row_text
from tests.fixtures.builders import a_case, a_target
from tests.fixtures.evidence_case import target

EACH = target("zips", "mum|dad|grandad", "home|park", "coats|jackets")
TWICE = replace(EACH, teachings_before_retest=2)
FEWEST = replace(EACH, teach=Teach.FEWEST)
KINDS = {"+": "probe", "-": "probe", "m": "maintenance", "t": "teaching", "x": "not run"}


def log(rows: str, of: Target = EACH) -> Log:
    """Rows such as `- mum home coats`, a day of November each: `+` met, `-` not met, `m` not met as a maintenance
    probe, `t` taught, `x` not run."""
    found = []
    for day, row in enumerate(rows.split(", "), 1):
        what, *values = row.split()
        run = what in "+-m"
        found.append(
            Result(
                line=day + 1,
                date=date(2026, 11, day),
                time=None,
                target=of.id,
                kind=ResultKind(KINDS[what]),
                combination=tuple(values),
                correct={"+": 5, "-": 1, "m": 2}.get(what),
                trials=5 if run else None,
            )
        )
    return Log.of(found)


@pytest.mark.parametrize(
    ("of", "rows", "times"),
    [
        (EACH, "- mum home coats", 0),  # failed for the first time
        (EACH, "- mum home coats, - mum home coats", 0),  # failed twice, and nobody taught
        (EACH, "t mum home coats, - mum home coats", 0),  # taught before it was ever probed
        (EACH, "- mum home coats, t mum home coats", 0),  # its retest is still ahead
        (EACH, "- mum home coats, t mum home coats, - mum home coats", 1),
        (EACH, "- mum home coats, x mum home coats, - mum home coats", 0),
        (EACH, "+ mum home coats, m mum home coats, t mum home coats, m mum home coats", 1),
        (EACH, "- mum home coats, t mum home coats, - mum home coats, t mum home coats, - mum home coats", 2),
        (EACH, "- mum home coats, t mum home coats, - mum home coats, - mum home coats", 1),
        # met at last, or met in between
        (EACH, "- mum home coats, t mum home coats, - mum home coats, t mum home coats, + mum home coats", 0),
        (EACH, "- mum home coats, t mum home coats, + mum home coats, - mum home coats", 0),
        # one lesson of two, and probed all the same
        (TWICE, "- mum home coats, t mum home coats, - mum home coats", 1),
        # what was taught with somebody else, of a target that teaches each by itself
        (EACH, "- mum home coats, t dad home coats, - mum home coats", 0),
        # the park alone failed, and was taught with Dad; at home nothing had failed
        (FEWEST, "+ mum home coats, - mum park coats, t dad park coats, - mum park coats", 1),
        (FEWEST, "+ mum home coats, - mum park coats, t dad home coats, - mum park coats", 0),
    ],
)
def test_how_often_it_was_taught_and_not_met(of: Target, rows: str, times: int) -> None:
    found = failed_again(of, log(rows))
    assert [one.times for one in found.values()] == ([times] if times else [])


def test_a_row_that_was_corrected_does_not_make_it_twice() -> None:
    rows = log("- mum home coats, t mum home coats, - mum home coats").results
    again = replace(rows[-1], line=9, correct=5)
    assert not failed_again(EACH, Log.of((*rows, again)))


def test_it_says_since_when_and_whether_it_was_taught_once_more() -> None:
    rows = "- mum home coats, t mum home coats, - mum home coats"
    (one,) = failed_again(EACH, log(rows)).values()
    assert (one.on, one.correct, one.trials, one.taught_since) == (date(2026, 11, 3), 1, 5, False)
    (one,) = failed_again(EACH, log(f"{rows}, t mum home coats")).values()
    assert one.taught_since


ZIPS = a_target()
WHERE = ("mum", "park", "coats")
DAYS = (date(2026, 11, 20), date(2026, 11, 23), date(2026, 11, 25))
ROWS = tuple(
    Result(
        line=n, date=day, time=None, target=ZIPS.id, kind=ResultKind(kind), combination=WHERE,
        trials=5 if kind == "probe" else None, correct=2 if kind == "probe" else None,
    )
    for n, (day, kind) in enumerate(zip(DAYS, ("probe", "teaching", "probe"), strict=True), 2)
)  # fmt: skip
PLAIN = (
    "was taught and did not work again on 25 November 2026 (Mum, The park, Three winter coats: 2 of 5). It is"
    " checked again once it has been taught again. Ask the practitioner, or whoever else advises you, whether to go"
    " on like this."
)


def told(rows: tuple[Result, ...] = ROWS) -> tuple[str, list[str], list[tuple[str, tuple[str, ...]]]]:
    case = a_case(targets=[ZIPS])
    found = review(case, "wren", Log.of(rows), DAYS[0] - timedelta(9), date(2026, 11, 28))
    names = Names(case)
    with speaking(Speech("en", Words.PLAIN)):
        return (
            "\n".join(progress_lines(case, [found])),
            [f"{one.kind}: {one.sentence}" for one in first_things(names, found)],
            list(asked_by_person(names, found)),
        )


def test_progress_and_the_review_say_it_once_and_ask_nobody_to_do_anything_else() -> None:
    progress, first, asked = told()
    assert progress.count(PLAIN) == 1
    (again,) = [s for s in first if PLAIN in s]
    assert again.startswith("Did not work again: ")
    assert not [s for s in first if "waits for teaching" in s]
    deciders = dict(asked)["The practitioner and the family"]
    assert [PLAIN in s for s in deciders] == [True]
    before, *_ = told(ROWS[:2])
    assert "did not work again" not in before


def test_once_it_was_taught_again_nobody_is_asked_to_decide() -> None:
    more = replace(ROWS[1], line=9, date=date(2026, 11, 26))
    case = a_case(targets=[ZIPS])
    found = review(case, "wren", Log.of((*ROWS, more)), DAYS[0], date(2026, 11, 28)).targets[0]
    assert [one.taught_since for one in found.again] == [True]
    assert AskedKind.AGAIN not in [one.kind for one in found.asked]
    progress, *_ = told((*ROWS, more))
    assert "It was taught once more, so it is checked again." in progress


def test_pairs_that_failed_say_why_there_may_be_more_of_them() -> None:
    """Mum works at home with the coats, Dad in the park with the jackets: then Mum in the park is what failed, or the
    coats there. Before that the park alone had failed."""
    zips = a_target(teach=Teach.FEWEST)
    adult, place, thing = (d.values for d in zips.dimensions[:3])
    rows = [(adult[0], place[0], thing[0], 5), (adult[0], place[1], thing[0], 1)]
    single = said_of(zips, rows)
    assert "Where two values stand together" not in single
    assert (
        said_of(zips, [*rows, (adult[1], place[1], thing[1], 5)]).count("Where two values stand together")
        == 1
    )


def said_of(zips: Target, rows: list[tuple[str, str, str, int]]) -> str:
    results = [
        Result(
            line=n, date=DAYS[0] + timedelta(n), time=None, target=zips.id, kind=ResultKind.PROBE,
            combination=where, trials=5, correct=correct,
        )
        for n, (*where_, correct) in enumerate(rows, 2) for where in [tuple(where_)]
    ]  # fmt: skip
    case = a_case(targets=[zips])
    found = review(case, "wren", Log.of(results), DAYS[0], date(2026, 11, 28))
    return "\n".join(progress_lines(case, [found]))


def test_a_lapse_that_was_taught_again_in_vain_is_told_and_asked_for_once() -> None:
    """Where it was taught at first; the table of progress says the lapse all the same."""
    where = tuple(dict(ZIPS.taught[0])[d.name] for d in ZIPS.dimensions)
    rows = tuple(replace(row, combination=where) for row in ROWS)
    case = a_case(targets=[ZIPS])
    found = review(case, "wren", Log.of(rows), DAYS[0], date(2026, 11, 28)).targets[0]
    assert [one.combination for one in found.lapses] == [where]
    assert not found.seen
    assert [one.kind for one in found.asked if one.about][:1] == [AskedKind.AGAIN]
    assert AskedKind.LAPSE not in [one.kind for one in found.asked]
    more = replace(ROWS[1], line=9, date=date(2026, 11, 26), combination=where)
    since = review(case, "wren", Log.of((*rows, more)), DAYS[0], date(2026, 11, 28)).targets[0]
    assert AskedKind.LAPSE in [one.kind for one in since.asked]


def test_several_times_are_counted_in_german_too() -> None:
    case = a_case(targets=[ZIPS])
    one = FailedAgain(
        target=ZIPS.id, combination=WHERE, times=3, on=DAYS[2], correct=0, trials=5, taught_since=False
    )
    with speaking(Speech("de", Words.PLAIN)):
        text = failed_again_text(case, one)
    assert "hat 3-mal hintereinander wieder nicht geklappt, zuletzt am 25. November 2026" in text
    assert text.endswith("Frag die Fachkraft, oder wer dich sonst berät, ob es so weitergehen soll.")


@pytest.mark.parametrize(
    ("rows", "kind", "correct", "says"),
    [
        ((), "probe", 5, "That is reached."),
        (
            (),
            "probe",
            2,
            "That is not reached yet: at least 4 of 5 would have to be right without help. It has to be taught there"
            " 1 more time before it is checked again.",
        ),
        (ROWS[:2], "probe", 2, "It was taught since, and did not work again. It is checked again once"),
        (
            ROWS[:2],
            "maintenance",
            2,
            "It was taught since, and did not work again. It is checked again once",
        ),
        (ROWS[:2], "probe", 4, "That is reached."),
        ((), "baseline", 2, ""),
    ],
)
def test_what_was_just_written_down_says_what_it_means(
    rows: tuple[Result, ...], kind: str, correct: int, says: str
) -> None:
    case = a_case(targets=[ZIPS])
    row = replace(ROWS[2], kind=ResultKind(kind), correct=correct)
    with speaking(Speech("en", Words.PLAIN)):
        text = probe_row_text(case, Log.of((*rows, row)), row, DAYS[2])
    assert text.startswith(says)
    assert bool(text) == bool(says)


KEPT_AWAY = (
    "It is held back for now, neither taught nor probed: 'Jackets' holds a magnet that a child can get at."
)


def test_no_probe_is_promised_of_what_a_caution_holds_back() -> None:
    """Whatever is written down of it: a test, one that was not met again, a lesson."""
    case = a_case(targets=[ZIPS])
    thing = case.material_sets[ZIPS.value(WHERE, "material_set")]
    held = replace(thing, name="Jackets", hazards=frozenset({"magnet"}))
    case = replace(case, material_sets={**case.material_sets, thing.id: held})
    lesson = replace(ROWS[2], kind=ResultKind.TEACHING, trials=None, correct=None, line=9)
    first, again = replace(ROWS[2], correct=2), replace(ROWS[2], correct=2, line=8)
    for said in (
        probe_row_text(case, Log.of((first,)), first, DAYS[2]),
        probe_row_text(case, Log.of((*ROWS[:2], again)), again, DAYS[2]),
        teaching_row_text(case, Log.of((first, lesson)), lesson, DAYS[2]),
        "\n".join(history_lines(case, ZIPS, history(ZIPS, Log.of(ROWS)), on=DAYS[2])),
    ):
        assert KEPT_AWAY in said
        assert "probed again" not in said
        assert "due from" not in said
    (one,) = failed_again(ZIPS, Log.of((*ROWS[:2], again))).values()
    assert KEPT_AWAY in failed_again_text(case, one, DAYS[2])
