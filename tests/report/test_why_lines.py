"""What would help comes first, a line for each person or place; then the causes of what was left out, with counts."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from genplan.case import Case, Window
from genplan.evidence.failed_again import FailedAgain
from genplan.language import and_list_of
from genplan.plan import LeftOut, Note, NoteKind, Plan, ProbeKind
from genplan.planning.explanation import Why
from genplan.planning.hopes import GAINED
from genplan.planning.relaxation import Easing, RelaxationKind
from genplan.planning.what_if import Gain, Gains
from genplan.report.help_lines import helps
from genplan.report.names_and_words import Names
from genplan.report.reasons import causes
from genplan.report.shortest import shortest_lines
from genplan.report.why_lines import why_lines
from genplan.rules.limits import Kind, Limit
from genplan.text.gains import times_text
from genplan.text.limits import limit_sentence
from tests.fixtures.monday_cases import monday, monday_case, skill
from tests.fixtures.planning_cases import NOW, WEEK

DAY, NINE = 24 * 60, 9 * 60
HOUR = monday(60)
CASE = monday_case(
    {"robin": HOUR, "wren": HOUR},
    {"ann": HOUR, "ben": HOUR},
    skill("a", "wren", "ann ben", sets="x y"),
    skill("b", "robin", "ann ben", sets="x y"),
)
CASE = replace(CASE, targets={i: replace(t, cover="pairs") for i, t in CASE.targets.items()})
HOURS, LIMIT = RelaxationKind.ADULT_HOURS, RelaxationKind.ADULT_LIMIT


def gain(easing: Easing, piece: Window | None = None, *learners: str, **more: int) -> Gain:
    figures = tuple(more.get(name.replace(" ", "_"), 0) for name in GAINED)
    return Gain(easing=easing, piece=piece, more=figures, learners=learners or ("wren",))


def half_hour(day: int, start: int = NINE) -> Window:
    return Window(day * DAY + start, day * DAY + start + 30)


def gains(*found: Gain) -> Gains:
    return Gains(found, len(found), len(found) + 2)


def left(limit: Limit, learner: str = "wren", kind: ProbeKind = ProbeKind.NEW, tuples: int = 1) -> LeftOut:
    target = "a" if learner == "wren" else "b"
    return LeftOut(learner=learner, target=target, kind=kind, values=(), limit=limit, tuples=tuples)


@pytest.mark.parametrize(
    ("pieces", "words"),
    [
        ([], ""),
        ([half_hour(1)], "on Tuesday from 09:00 to 09:30"),
        (
            [half_hour(0), half_hour(1), half_hour(1, 600), half_hour(4)],
            "on Monday, Tuesday or Friday from 09:00 to 09:30, or on Tuesday from 10:00 to 10:30",
        ),
        (
            [half_hour(0, NINE + 30 * n) for n in range(5)],
            "on Monday from 09:00 to 09:30, or on Monday from 09:30 to 10:00, or on Monday from 10:00 to 10:30, or at 2"
            " other times",
        ),
    ],
)
def test_times_of_day_are_told_together(pieces: list[Window], words: str) -> None:
    assert times_text(pieces) == words


@pytest.mark.parametrize(
    ("names", "words"),
    [
        ([], ""),
        (["A"], "A"),
        (["A", "B"], "A and B"),
        (["A", "B", "C"], "A, B and C"),
        (["A", "B", "C", "D"], "A, B, C and 1 other"),
        (["A", "B", "C", "D", "E"], "A, B, C and 2 others"),
    ],
)
def test_so_many_are_named(names: list[str], words: str) -> None:
    assert and_list_of(names, 3) == words


def test_a_person_has_one_line_with_the_best_change() -> None:
    ann, ben = Easing(HOURS, "ann"), Easing(LIMIT, "ben", 60, "minutes_per_week")
    found = helps(
        Names(CASE),
        gains(
            gain(ann, half_hour(1), "robin", "wren", new_tuples=4),
            gain(ann, half_hour(3), "robin", "wren", new_tuples=4),
            gain(ann, half_hour(3, 600), new_tuples=1),
            gain(Easing(LIMIT, "ann", 90, "minutes_per_week"), None, new_tuples=2),
            gain(ben, None, wished=1, new_tuples=1),
        ),
    )
    assert [one.best for one in found] == [
        "Ben may give 60 minutes a week: 1 more pair, 1 of them wished, for wren.",
        "Ann has half an hour more on Tuesday or Thursday from 09:00 to 09:30: 4 more pairs for robin and wren.",
    ]
    assert found[1].others == (
        "Ann may give 90 minutes a week: 2 more pairs for wren.",
        "Ann has half an hour more on Thursday from 10:00 to 10:30: 1 more pair for wren.",
    )


def test_what_brings_a_loss_comes_after_what_brings_none_and_says_each_loss() -> None:
    mixed, clear = Easing(RelaxationKind.TARGET_DAY, figure=2), Easing(LIMIT, "ann", 90, "minutes_per_week")
    found = helps(
        Names(CASE),
        gains(
            gain(mixed, None, due=2, wished=-2, new_tuples=-3, teaching=-1),
            gain(clear, None, new_tuples=1),
        ),
    )
    assert [one.best for one in found] == [
        "Ann may give 90 minutes a week: 1 more pair for wren.",
        "With a loss: A target may have 2 probes a day: 2 more due probes for wren, but 2 wished pairs, 3 new pairs and"
        " 1 teaching fewer.",
    ]


def test_children_whose_skills_are_counted_otherwise_have_combinations() -> None:
    a = replace(CASE.targets["a"], cover="each-value")
    case = replace(CASE, targets={**CASE.targets, "a": a})
    easing = Easing(RelaxationKind.TARGET_DAY, figure=2)
    both, one = (
        helps(Names(case), gains(gain(easing, None, *i, new_tuples=3)))
        for i in (("robin", "wren"), ("wren",))
    )
    assert (
        both[0].best == "A target may have 2 probes a day: 3 more pairs and single values for robin and wren."
    )
    assert one[0].best == "A target may have 2 probes a day: 3 more single values for wren."


def test_what_is_lost_and_left_out_is_called_what_is_counted() -> None:
    """Pairs are not combinations; where skills count otherwise each has its own word."""
    worse = Limit(Kind.WORTH_LESS, goal="new tuples", figure=2)
    assert limit_sentence(CASE, worse).endswith("the week would then show 2 new pairs fewer")
    easing = Easing(RelaxationKind.TARGET_DAY, figure=2)
    found = helps(Names(CASE), gains(gain(easing, None, "wren", due=1, new_tuples=-3)))
    assert (
        found[0].best
        == "With a loss: A target may have 2 probes a day: 1 more due probe for wren, but 3 new pairs fewer."
    )
    singly = replace(CASE, targets={**CASE.targets, "a": replace(CASE.targets["a"], cover="each-value")})
    left_over = [left(worse, i, tuples=2) for i in ("robin", "wren")]
    assert "4 new pairs (" in causes(Names(CASE), left_over)[0].sentence(6)
    assert limit_sentence(singly, worse).endswith(
        "the week would then show 2 new pairs and single values fewer"
    )
    amount = causes(Names(singly), left_over)[0].amount
    assert set(amount.split(" and ")) == {"2 new pairs", "2 new single values"}


def test_causes_have_counts_and_are_told_in_full_where_they_are_one() -> None:
    week = Limit(Kind.ADULT_MINUTES_PER_WEEK, adult="ann", figure=60)
    found = causes(
        Names(CASE),
        [
            left(Limit(Kind.TEACHING, on=date(2026, 11, 4)), kind=ProbeKind.RETEST),
            left(Limit(Kind.TEACHING, on=date(2026, 11, 5)), "robin", ProbeKind.RETEST),
            left(week, tuples=2),
            left(week, "robin", tuples=3),
            left(week, "robin", ProbeKind.MAINTENANCE),
            left(Limit(Kind.SITTINGS_PER_DAY, learner="wren")),
        ],
    )
    assert [one.sentence(6) for one in found] == [
        "Ann's 60 minutes of the week are used up: 5 new pairs and 1 maintenance probe (robin and wren).",
        "Not met and not taught since: it waits for teaching: 2 retests (robin and wren).",
        "Wren has all the sittings a day that the limits allow: 1 new pair.",
    ]


def test_limits_of_several_children_are_one_cause() -> None:
    found = causes(Names(CASE), [left(Limit(Kind.SITTINGS_PER_DAY, learner=i), i) for i in ("wren", "robin")])
    assert [one.sentence(6) for one in found] == [
        "The child has all the sittings a day that the limits allow: 2 new pairs (robin and wren)."
    ]


def screen(
    case: Case, why: Why, *learners: str, target: str | None = None, details: bool = False
) -> list[str]:
    plan = Plan.of_sittings(WEEK, NOW, ())
    return list(why_lines(case, plan, why, learners or ("robin", "wren"), target, 80, details))


def test_the_useful_first_and_the_rest_when_asked_for() -> None:
    out = tuple(left(Limit(Kind.SITTINGS_PER_DAY, learner=i), i) for i in ("wren", "robin"))
    changes = [gain(Easing(HOURS, "ann"), half_hour(1), new_tuples=2)]
    changes += [gain(Easing(LIMIT, "ann", 90, "minutes_per_week"), None, new_tuples=1)]
    why = Why(out, 0, gains(*changes))
    lines = screen(CASE, why)
    assert lines.index("What would help most") < lines.index("Left out, and why")
    assert "  1 other change would help too: --details." in lines
    assert not any(line.startswith("Left out for") for line in lines)
    for asked in (screen(CASE, why, details=True), screen(CASE, why, "wren")):
        assert asked.index("What would help most") < asked.index("Left out for wren")
        assert "  or: Ann may give 90 minutes a week: 1 more pair for wren." in asked
        assert "Left out, and why" not in asked
    assert "Left out for robin" in screen(CASE, why, details=True)
    named = screen(CASE, why, "wren", target="a")
    assert named.index("What would help most") < named.index("Left out of 'a'")


def test_nothing_left_out_is_said_so() -> None:
    lines = screen(CASE, Why((), 0, gains()))
    assert "Nothing: all that is owed is in the plan." in lines
    assert "No week that shows more was found with any of the changes that were tried." in lines
    assert not any("--details" in line for line in lines)


def test_who_might_teach_is_asked_last() -> None:
    """Though it brings most: who teaches is not the program's to say."""
    asked = gain(Easing(RelaxationKind.TEACHES, "ben", target="a"), due=0, teaching=2)
    found = helps(Names(CASE), gains(asked, gain(Easing(HOURS, "ann"), half_hour(0), teaching=1)))
    assert [one.best for one in found] == [
        "Ann has half an hour more on Monday from 09:00 to 09:30: 1 more teaching for wren.",
        "May ben teach 'a'? The practitioner would have to say so: 2 more teachings for wren.",
    ]


def test_a_session_that_may_be_held_in_several_combinations_says_so() -> None:
    item = left(Limit(Kind.LEARNER_TIME, learner="wren"), kind=ProbeKind.TEACHING)
    why = Why((replace(item, teachings=1),), 0, gains())
    plan = Plan.of_sittings(WEEK, NOW, ())
    by_target = list(why_lines(CASE, plan, why, ("wren",), target="a"))
    assert any(line.startswith("- any combination that it is taught in: ") for line in by_target)
    by_learner = list(why_lines(CASE, plan, why, ("wren",)))
    assert any(line.endswith(", 1 teaching: any combination that it is taught in") for line in by_learner)


def test_what_was_taught_in_vain_stands_before_what_would_help() -> None:
    target = CASE.targets["a"]
    found = FailedAgain(
        target="a", combination=target.combinations()[0], times=1, on=date(2026, 11, 26), correct=1, trials=5,
        taught_since=False,
    )  # fmt: skip
    plan = Plan.of_sittings(WEEK, NOW, ())
    lines = list(why_lines(CASE, plan, Why((), 0, gains()), ("wren",), again=(found,)))
    at = lines.index("What was taught and not met again")
    assert "was taught, and was not met again on 26 November 2026" in lines[at + 1]
    assert at < lines.index("What would help most")
    assert "What was taught and not met again" not in screen(CASE, Why((), 0, gains()), "wren")


def test_what_fell_through_before_is_told_of_those_who_are_asked_about() -> None:
    combination = CASE.targets["a"].combinations()[0]
    fell = Note(
        kind=NoteKind.FELL_THROUGH, target="a", combination=combination, on=date(2026, 11, 24), days=(1, 3)
    )
    plan = replace(Plan.of_sittings(WEEK, NOW, ()), notes=(fell, Note(kind=NoteKind.WEEK_BEGUN)))
    title = "What was not run before, and what can be caught up"
    why = Why((), 0, gains())
    lines = list(why_lines(CASE, plan, why, ("wren",)))
    told = lines[lines.index(title) + 1]
    assert told.endswith(
        "is written down as not run on Tuesday 24 November: it comes again on Tuesday and Thursday."
    )
    assert lines[lines.index(title) + 2] == ""
    assert title not in list(why_lines(CASE, plan, why, ("robin",)))
    assert title not in list(why_lines(CASE, replace(plan, notes=plan.notes[1:]), why, ("wren",)))


def test_who_or_what_is_short_for_most_is_told_first_with_what_it_stands_in_the_way_of() -> None:
    """Ben has more left out for him, but of one child; home stands in the way of both, once as one of several limits
    and once as what keeps hours from meeting. A thing that two limits of one place keep out counts once."""
    ben = Limit(Kind.ADULT_MINUTES_PER_WEEK, adult="ben", figure=60)
    room, shut = Limit(Kind.ROOM, location="home"), Limit(Kind.LOCATION_SHUT, location="home")
    several = Limit(Kind.SEVERAL, parts=(ben, room))
    items = (
        left(ben, tuples=4),
        left(several, tuples=2),
        left(Limit(Kind.HOURS, parts=(shut, Limit(Kind.LOCATION_AND_ADULT, "", "ann", "home"))), "robin"),
        left(room, "robin", ProbeKind.RETEST, tuples=0),
        left(Limit(Kind.SITTINGS_PER_DAY, learner="robin"), "robin", tuples=9),
        left(Limit(Kind.NOT_WISHED, adult="ann", learner="wren"), tuples=9),
    )
    home = {
        "home": [i for i in items if "home" in str(i.limit)],
        "ben": [i for i in items if "ben" in str(i.limit)],
    }
    counted = {
        who: (len({i.learner for i in some}), sum(i.tuples or 1 for i in some)) for who, some in home.items()
    }
    assert counted == {"home": (2, 4), "ben": (1, 6)}
    place = CASE.locations["home"].name
    (line,) = shortest_lines(Names(CASE), items)
    assert line == (
        f"Short for most: {place}, whose time, alone or with something else, stands in the way of"
        " 3 new pairs and 1 retest (robin and wren)."
    )
    plan, why = Plan.of_sittings(WEEK, NOW, ()), Why(items, 0, gains())
    assert list(why_lines(CASE, plan, why, ("robin", "wren")))[1] == line
    assert line not in list(why_lines(CASE, plan, why, ("robin",)))
    assert not list(shortest_lines(Names(CASE), items[-2:]))
