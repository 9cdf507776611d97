"""The review page, its chart, its tables, and the sentences about results."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest

from genplan.case import Adult, Case, Location, MaterialSet, PassMark, TargetState, Wish
from genplan.coverage.curve import Point
from genplan.coverage.review import Review, review
from genplan.evidence.agreement import agreement
from genplan.evidence.breaks import where_it_breaks
from genplan.evidence.log import Log, Result, ResultKind
from genplan.report.breaks_words import breaks_sentences
from genplan.report.chart import chart
from genplan.report.evidence_lines import chance_lines, progress_lines, review_lines
from genplan.report.evidence_words import next_sentences
from genplan.report.figure_words import percent
from genplan.report.names_and_words import Names
from genplan.report.observed_words import agreement_sentences
from genplan.report.review_page import review_page
from genplan.report.review_tables import CURVE_COLUMNS, TARGET_COLUMNS, review_tables
from genplan.report.tables import csv_bytes
from tests.fixtures.builders import ALWAYS, a_learner, a_target
from tests.fixtures.pagecheck import faults, read

NOW = datetime(2026, 11, 29, 12, tzinfo=ZoneInfo("Europe/Dublin"))
FIRST, LAST = date(2026, 11, 1), date(2026, 11, 28)
EVIL = '<script>alert("x")</script> & \u202e=1+1'
TARGET = a_target(
    generalised_when={"adult": 2, "location": 2},
    mastered_on=date(2026, 10, 19),
    maintenance_days=(14, 28, 56),
)


def a_case(name: str = "Park") -> Case:
    return Case(
        timezone=ZoneInfo("Europe/Dublin"),
        learners={"wren": a_learner()},
        adults={
            "mum": Adult(id="mum", name="Mum", free=ALWAYS),
            "grandad": Adult(id="grandad", name=name, free=ALWAYS),
            "teacher": Adult(id="teacher", name="Teacher", free=ALWAYS, briefed_on=frozenset()),
        },
        locations={
            id_: Location(id=id_, name=id_.capitalize(), open=ALWAYS) for id_ in ("home", "park", "school")
        },
        material_sets={
            id_: MaterialSet(id=id_, name=id_.capitalize()) for id_ in ("jackets", "coats", "fleece")
        },
        targets={TARGET.id: TARGET},
    )


def row(line: int, where: str, correct: int | None, kind: str = "probe", **more: object) -> Result:
    values: dict[str, object] = {
        "trials": None if correct is None else 5,
        "correct": correct,
        "note": "",
    } | more
    at = date(2026, 11, line)
    return Result(
        line=line,
        date=at,
        time=None,
        target=TARGET.id,
        kind=ResultKind(kind),
        combination=("mum", where, "jackets"),
        **values,
    )  # type: ignore[arg-type]


LOG = Log.of(
    [
        row(1, "home", 5, observer="dad", observer_correct=4),
        row(2, "park", 5),
        row(3, "park", 1, note=EVIL),
        row(16, "home", 5, "maintenance"),
        row(17, "school", None, "not run", note="ill"),
    ]
)


def reviewed(case: Case | None = None, log: Log = LOG) -> Review:
    return review(case or a_case(), "wren", log, FIRST, LAST)


def test_a_teaching_that_does_not_count_is_said_not_to() -> None:
    target = replace(TARGET, taught_when=PassMark(4, 5))
    rows = [row(3, "park", 1), *(row(d, "park", c, "teaching") for d, c in ((4, 3), (5, 4), (6, None)))]
    case = replace(a_case(), targets={target.id: target})
    text = "\n".join(review_lines(case, [reviewed(case, Log.of(rows))]))
    assert "4 Nov 2026, Mum, Park, Jackets: 3 of 5 correct; it counts as no teaching: that takes 4/5." in text
    assert "5 Nov 2026, Mum, Park, Jackets: 4 of 5 correct." in text
    assert "6 Nov 2026, Mum, Park, Jackets; it counts as no teaching: that takes 4/5." in text


def test_what_waits_names_a_teaching_that_does_not_count() -> None:
    target = replace(TARGET, taught_when=PassMark(4, 5))
    case = replace(a_case(), targets={target.id: target})
    log = Log.of([row(3, "park", 1), row(4, "park", 3, "teaching")])
    text = "\n".join(review_lines(case, [reviewed(case, log)]))
    assert (
        "Waits for teaching or a decision: Mum, Park, Jackets (the teaching on 4 Nov 2026 does not count: it has 3 of 5"
        " correct without help, and 4 of 5 are asked for)."
    ) in text


def test_a_wish_that_waits_for_a_briefing_says_so() -> None:
    """Only the briefing stands against the teacher, whom the target varies; nothing stands against Mum."""
    case = a_case()
    wishes = (Wish({"adult": "teacher", "location": "park"}), Wish({"adult": "mum"}))
    asked = replace(case, targets={TARGET.id: replace(TARGET, first=wishes)})
    briefed = asked.adults | {"teacher": replace(asked.adults["teacher"], briefed_on=None)}
    said = "Wanted before the rest: Teacher, Park: not possible before Teacher is briefed on it."
    for a, told in ((asked, [said]), (replace(asked, adults=briefed), [])):
        sentences = next_sentences(Names(a), reviewed(a).targets[0])
        assert [s for s in sentences if "not possible before" in s] == told


def test_a_wish_that_was_tried_and_not_met_says_what_it_waits_for() -> None:
    """Home and the park are both wished: home is met, the park failed on 3 November, is taught on the 5th and fails
    again on the 7th. School was never tried, and the date before that is told as open."""
    wishes = [Wish({"location": where}, date(2026, 12, 4)) for where in ("home", "park", "school")]
    target = replace(TARGET, first=tuple(wishes))
    case = replace(a_case(), targets={target.id: target})

    def said(*rows: Result) -> list[str]:
        (found,) = reviewed(case, Log.of([row(1, "home", 5), row(3, "park", 1), *rows])).targets
        return [
            s for s in next_sentences(Names(case), found) if "Wanted before the rest" in s and "Home" not in s
        ]

    park = "Wanted before the rest: Park, by 4 Dec 2026"
    waits, due = "it waits for teaching or a decision", "it waits for a retest"
    assert f"{park}: 2 pairs tried, the last on 3 Nov 2026, and not met; {waits}." in said()
    lesson = row(5, "park", None, "teaching")
    assert f"{park}: 2 pairs tried, the last on 3 Nov 2026, and not met; {due}." in said(lesson)
    again = said(lesson, row(7, "park", 1))
    assert f"{park}: 2 pairs tried, the last on 7 Nov 2026, and not met; {waits}." in again
    assert not any("tried" in s for s in (*said(lesson, row(7, "park", 5)), *said(row(4, "park", 5))))
    other = replace(row(6, "park", 0), combination=("grandad", "park", "jackets"))
    assert (
        f"{park}: 3 pairs tried, the last on 6 Nov 2026, and not met; some of it waits for teaching or a decision,"
        in (";".join(said(lesson, other)))
    )
    assert all(
        s.startswith("Wanted before the rest: School, by 4 Dec 2026 (") for s in said() if "School" in s
    )


def test_the_page_loads_nothing_is_well_made_and_tells_everything() -> None:
    page = review_page(a_case(), reviewed(), NOW)
    assert faults(page) == []
    words = read(page).words
    for said in (
        "Review of W.",
        "No longer met",
        "it had been met on 2 Nov 2026",
        "Maintained",
        "Not run",
        "ill",
        "Adults: 1 met, 2 asked for (Mum)",
        "Teacher is not briefed on it yet",
        "Waits for teaching or a decision: Mum, Park, Jackets.",
        "common practice, no source",
        "1 of 4 probes observed",
        "Local rules",
        "says no, walks away or is distressed",
    ):
        assert said in words, said


@pytest.mark.parametrize(
    ("state", "a_week", "said"),
    [
        (TargetState.TEACHING, 3, "It is still taught; owed: 3 teachings a week."),
        (TargetState.TEACHING, 0, "It is still taught; the case does not say how often."),
        (TargetState.PAUSED, 0, "It is paused: nothing is owed until that changes."),
    ],
)
def test_a_skill_that_is_still_taught_or_paused_says_so_under_what_is_next(
    state: TargetState, a_week: int, said: str
) -> None:
    skill = replace(TARGET, state=state, teaching_per_week=a_week)
    case = replace(a_case(), targets={TARGET.id: skill})
    text = review_page(case, reviewed(case, Log()), NOW)
    assert f"<li>{said}</li>" in text
    assert "Nothing is owed." not in text
    assert "maintenance probe" not in "".join(next_sentences(Names(case), reviewed(case, Log()).targets[0]))


def test_names_stay_at_home_unless_asked_for() -> None:
    assert "Wren Example" not in review_page(a_case(), reviewed(), NOW)
    assert "Wren Example" in review_page(a_case(), reviewed(), NOW, names=True)


def test_hostile_text_stays_text() -> None:
    case = a_case(EVIL)
    page = review_page(case, reviewed(case), NOW)
    assert faults(page) == []
    assert "<script" not in page
    assert "\u202e" not in page


def test_an_empty_review_is_still_a_page() -> None:
    page = review_page(a_case(), reviewed(log=Log()), NOW)
    assert faults(page) == []
    assert "Nothing was run in this span." in read(page).words
    none = replace(reviewed(), targets=())
    assert "The case has no target of this child." in read(review_page(a_case(), none, NOW)).words


def test_the_drawing_has_a_title_words_and_a_table() -> None:
    root = read(review_page(a_case(), reviewed(), NOW))
    figure = root.with_class("curve")[0]
    svg = figure.all("svg")[0]
    assert svg.attributes["role"] == "img"
    assert [e.tag for e in svg.children if not isinstance(e, str)][:2] == ["title", "desc"]
    assert len(figure.all("tbody")[0].all("tr")) == len(reviewed().targets[0].points)


def test_the_curve_goes_along_and_then_up() -> None:
    # 10 days over 282 units from 30; 4 tuples over 116 units from 126 upwards
    points = [
        Point(day=FIRST + timedelta(days=d), possible=4, shown=s, tested=s, met=m)
        for d, s, m in ((0, 0, 0), (5, 2, 1), (10, 4, 4))
    ]
    drawn = chart("t", "{} pairs".format, points)
    assert drawn.tried == "M30.0 126.0H171.0V68.0H312.0V10.0"
    assert drawn.met == "M30.0 126.0H171.0V97.0H312.0V10.0"
    assert (drawn.ceiling, drawn.floor) == (10.0, 126.0)


def test_a_curve_of_one_day_or_of_nothing_possible_is_drawn() -> None:
    assert (
        chart("t", "{} pairs".format, [Point(day=FIRST, possible=4, shown=2, tested=2, met=2)]).tried
        == "M30.0 68.0"
    )
    assert chart(
        "t",
        "{} pairs".format,
        [
            Point(day=FIRST, possible=0, shown=0, tested=0, met=0),
            Point(day=FIRST, possible=0, shown=0, tested=0, met=0),
        ],
    ).met.startswith("M30.0 126.0")


def test_the_tables_have_their_columns_and_defuse_formulas() -> None:
    tables = review_tables(a_case(), [reviewed()])
    assert tables["review-targets.csv"].columns == TARGET_COLUMNS
    assert tables["review-curve.csv"].columns == CURVE_COLUMNS
    rows = csv_bytes(tables["review-rows.csv"]).decode().splitlines()
    assert len(rows) == 6
    assert rows[5].endswith(",not run,mum,school,jackets,,,,,ill")
    evil = review_tables(a_case(), [reviewed(log=Log.of([row(1, "home", 5, note="=1+1")]))])
    assert csv_bytes(evil["review-rows.csv"]).decode().splitlines()[1].endswith(",'=1+1")
    empty = review_tables(a_case(), [])
    assert [len(t.rows) for t in empty.values()] == [0] * 6


def test_the_same_input_gives_the_same_bytes() -> None:
    assert review_page(a_case(), reviewed(), NOW) == review_page(a_case(), reviewed(), NOW)


def test_the_terminal_tells_progress_and_review() -> None:
    told = "\n".join(progress_lines(a_case(), [reviewed()]))
    assert "Not generalised yet by what the case asks for." in told
    assert (
        "No value stands out, since all were met (1 of 1 combination without teaching met at the first"
        in told
    )
    assert "Where it was taught 2 of 2 probes met (100 %; exact 95 % interval 16 % to 100 %)" in told
    assert "Due 16 Nov 2026 (28 days after mastery): met, 5 of 5 on 16 Nov 2026." in told
    assert "No longer met: 3 Nov 2026, Mum, Park, Jackets: 1 of 5 correct" in "\n".join(
        review_lines(a_case(), [reviewed()])
    )


def probes_at(home: str, school: str) -> list[Result]:
    """Each probe with another set: every combination counts once. Nothing of them was taught."""
    marks = [("home", i, m) for i, m in enumerate(home)] + [("school", i, m) for i, m in enumerate(school)]
    return [
        replace(row(line, place, 5 if mark == "+" else 1), combination=("mum", place, f"set-{i}"))
        for line, (place, i, mark) in enumerate(marks, 1)
    ]


def test_a_finding_is_a_sentence_with_its_numbers() -> None:
    # of 15 met of 28, none of 13 at school: 1 in C(28, 13) for each of two looks
    breaks = where_it_breaks([TARGET], Log.of(probes_at("+" * 14, "-" * 13)))
    first, told = breaks_sentences(Names(a_case()), breaks)
    # Clopper and Pearson of 14 of 27 by SciPy 1.17: 0.3195 to 0.7133
    assert first == (
        "Where it was taught no probe was run; in all other combinations 14 of 27 probes met (52 %; exact 95 % interval"
        " 32 % to 71 %)."
    )
    assert told.startswith(
        "Met less often here, teaching apart: 14 of 14 met at Home, 0 of 13 at School (exact chance of so few under"
    )
    assert "Holm's correction for 2 looks" in told


def test_no_finding_and_too_little_are_told_apart() -> None:
    names = Names(a_case())
    enough = where_it_breaks([TARGET], Log.of(probes_at("+-+-+-+-", "+-+-+-")))
    assert list(breaks_sentences(names, enough))[1].startswith(
        "No one value stands out (7 of 14 combinations"
    )
    few = where_it_breaks([TARGET], Log.of(probes_at("+", "-")))
    assert list(breaks_sentences(names, few))[1].startswith("Too few probes to tell")
    for outcomes, alike in (("++", "all were met (2 of 2"), ("--------", "none was met (0 of 8")):
        same = where_it_breaks([TARGET], Log.of(probes_at(outcomes[1:], outcomes[:1])))
        told = list(breaks_sentences(names, same))[1]
        assert told.startswith(f"No value stands out, since {alike}"), told
        assert "one value" not in told
    none = where_it_breaks([TARGET], Log())
    assert next(iter(breaks_sentences(names, none))).startswith("Nothing was probed yet")


def test_agreement_is_told_with_its_bounds_and_its_standard() -> None:
    told = " ".join(agreement_sentences(agreement(LOG.results)))
    # 4 and 5 of 5: total 4/5, and trial by trial 4 of 5 as well
    assert "is 80 % on average, at or over 80 %" in told
    assert "Single trials are not written down: trial by trial they agreed on 80 %." in told
    assert "appa" not in told
    assert list(agreement_sentences(agreement([]))) == ["No probe was run."]


def test_agreement_by_marks_is_exact_and_has_kappa() -> None:
    (seen,) = (r for r in LOG.results if r.observer_correct is not None)
    marked = replace(seen, marks="+++++", observer_marks="+++p+")
    by_marks = replace(
        marked,
        line=98,
        date=marked.date + timedelta(1),
        marks="++-p-",
        correct=2,
        observer_marks="++--p",
        observer_correct=2,
    )
    told = " ".join(agreement_sentences(agreement([marked, by_marks])))
    assert "By the marks of both (2 probes, 10 trials), trial by trial they agreed on 90 %" in told
    # of ten trials 6 both, 1 the first only, 3 neither; help and not correct are taken for one another twice more
    assert "and on 70 % with help told apart from not correct; kappa 0.78." in told
    assert "Single trials" not in told
    told = " ".join(
        agreement_sentences(agreement([marked, replace(seen, line=99, date=seen.date + timedelta(1))]))
    )
    assert "Of 1 probe only totals are written down: over all observed trials they agreed on 80 %." in told
    alike = agreement([replace(marked, observer_marks="+++++", observer_correct=5)])
    assert "kappa is not defined, since both counted all alike" in " ".join(agreement_sentences(alike))


@pytest.mark.parametrize(
    ("share", "told"),
    [
        (Fraction(0), "0 %"),
        (Fraction(1), "100 %"),
        (Fraction(1, 1000), "under 1 %"),
        (Fraction(999, 1000), "over 99 %"),
        (Fraction(1, 8), "13 %"),
        (0.9949, "99 %"),
    ],
)
def test_a_percentage_never_claims_certainty(share: Fraction | float, told: str) -> None:
    assert percent(share) == told


def test_what_a_mark_can_show() -> None:
    told = "\n".join(chance_lines(PassMark(4, 5), 5))
    # 0.7^5 + 5 * 0.7^4 * 0.3 = 0.528; 1 - 0.9185 = 0.0815
    assert "70 %        53 %" in told
    assert "right in 70 % of trials meets this mark in 53 % of probes" in told
    assert "right in 90 % misses it in 8 %" in told
    # Clopper and Pearson of 4 of 5: 0.2836 to 0.9949; Wilson: 0.3755 to 0.9638
    assert "4 of 5   met       28 % to 99 %   38 % to 96 %" in told
