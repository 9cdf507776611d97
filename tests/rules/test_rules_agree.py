"""Each rule between sittings in three hands: the plain rule, the solver's encoding and the auditor's check say the same
of small weeks, and none of them is missing.

A sitting of one probe takes 10 minutes, a rest and each further probe 5, a way 20. Wren has skills a and c, Robin b.
"""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date, datetime, timedelta

import pytest

from genplan.audit.clashes import CLASHES
from genplan.audit.limits import LIMITS
from genplan.audit.one_probe_more import RULES as CHECKS
from genplan.case import Absence, AdultLimits, Case, LearnerLimits, Travel, Week, WeeklyHours, Window
from genplan.case.sitting_ids import mark_of
from genplan.case.wishes_of_planners import Apart, PlannersWish, Thing, WishKind
from genplan.evidence.log import Log, Result, ResultKind
from genplan.plan import Beside
from genplan.planning.solver import rules, slots
from genplan.rules.amounts import ADULT_AMOUNTS, LEARNER_AMOUNTS
from genplan.rules.clashes import set_missing
from genplan.rules.limits import OTHERS_IN_THE_WAY, Kind, Limit
from genplan.rules.placed_sittings import PlacedSitting
from genplan.rules.table import RULES
from genplan.rules.teaching import may_all_be_taught
from genplan.rules.together import can_sit_beside
from genplan.text.limits import limit_sentence
from tests.fixtures.monday_cases import NINE, holding, limited, monday_case, skill, with_copies
from tests.fixtures.planning_cases import WEEK
from tests.fixtures.three_hands import DAY, SmallWeek, by_auditor, by_plain_rules, by_solver, seat

EVERY_DAY = WeeklyHours(((Window(NINE, NINE + 180),),) * 7)


def case_of(free: WeeklyHours = EVERY_DAY, **policy: int) -> Case:
    """Each skill can be run by Ann or Ben at home or in the park, with a set of its own or with set x."""
    many = {"probes_per_target_per_day": 9, "probes_per_target_per_week": 9, **policy}
    skills = [
        skill(t, learner, "ann ben", "home park", sets=f"{t}1 {t}2 x")
        for t, learner in (("a", "wren"), ("b", "robin"), ("c", "wren"))
    ]
    return monday_case({"wren": free, "robin": free}, {"ann": free, "ben": free}, *skills, way=20, **many)


CASE = case_of()
WRENS = seat("wren", "ann", "home", 30, "a a1")
WEEKS: dict[str, tuple[Kind | None, SmallWeek]] = {}


def week(name: str, kind: Kind | None, case: Case, *seats: PlacedSitting, **more: object) -> None:
    """`kind`: the limit that the week breaks; None: it breaks none."""
    WEEKS[name] = kind, SmallWeek(case, seats, **more)  # type: ignore[arg-type]


def bens(start: int, place: str = "home", probe: str = "c c1", **more: int) -> PlacedSitting:
    return seat("wren", "ben", place, start, probe, **more)


def robins(adult: str, start: int, place: str = "home", probe: str = "b b1", **more: int) -> PlacedSitting:
    return seat("robin", adult, place, start, probe, **more)


week("one sitting", None, CASE, WRENS)
week("a learner in two at once", Kind.LEARNER_TIME, CASE, WRENS, bens(30))
week(
    "a rest too short",
    Kind.LEARNER_TIME,
    replace(CASE, policy=replace(CASE.policy, rest_minutes=6)),
    WRENS,
    bens(45),
)
week("a rest just long enough", None, CASE, WRENS, bens(45))
week("a learner's way too long", Kind.LEARNER_TIME, CASE, WRENS, bens(55, "park"))
week("a learner's way", None, CASE, WRENS, bens(60, "park"))
week("an adult in two at once", Kind.ADULT_TIME, CASE, WRENS, robins("ann", 35))
week("an adult one after the other", None, CASE, WRENS, robins("ann", 40))
week("an adult's way too long", Kind.ADULT_TIME, CASE, WRENS, robins("ann", 55, "park"))
week("an adult's way", None, CASE, WRENS, robins("ann", 60, "park"))
week("two at a place for one", Kind.ROOM, holding(CASE, "home", 1), WRENS, robins("ben", 35))
week("two at a place for two", None, holding(CASE, "home", 2), WRENS, robins("ben", 35))
week("one after the other at a place", None, holding(CASE, "home", 1), WRENS, robins("ben", 40))
X = seat("wren", "ann", "home", 30, "a x")
week("one copy in two hands", Kind.COPIES, CASE, X, robins("ben", 35, probe="b x"))
week("two copies", None, with_copies(CASE, "x", 2), X, robins("ben", 35, probe="b x"))
week("a copy on its way", Kind.COPIES, CASE, X, robins("ben", 55, "park", "b x"))
week("a copy that has come", None, CASE, X, robins("ben", 60, "park", "b x"))
week("two copies need no way", None, with_copies(CASE, "x", 2), X, robins("ben", 40, "park", "b x"))

TOMORROW = bens(30, day=1)
LATER = bens(60)
TOMORROW_AGAIN = bens(30, probe="c c2", day=1)
BOTH = seat("wren", "ann", "home", 30, "a a1", "c c1")
week("two sittings of a day", Kind.SITTINGS_PER_DAY, limited(CASE, "wren", sittings_per_day=1), WRENS, LATER)
week("two sittings on two days", None, limited(CASE, "wren", sittings_per_day=1), WRENS, TOMORROW)
week(
    "two sittings of a week",
    Kind.SITTINGS_PER_WEEK,
    limited(CASE, "wren", sittings_per_week=1),
    WRENS,
    TOMORROW,
)
week(
    "three of a week",
    Kind.SITTINGS_PER_WEEK,
    limited(CASE, "wren", sittings_per_week=2),
    WRENS,
    LATER,
    TOMORROW_AGAIN,
)
week("as many as a week may have", None, limited(CASE, "wren", sittings_per_week=2), WRENS, TOMORROW)
week("two probes of a day", Kind.PROBES_PER_DAY, limited(CASE, "wren", probes_per_day=1), WRENS, LATER)
week("two probes on two days", None, limited(CASE, "wren", probes_per_day=1), WRENS, TOMORROW)
week("two probes in a sitting", Kind.PROBES_PER_SITTING, limited(CASE, "wren", probes_per_sitting=1), BOTH)
week("one probe in each", None, limited(CASE, "wren", probes_per_sitting=1), WRENS, LATER)
week("fifteen minutes", Kind.SITTING_MINUTES, limited(CASE, "wren", sitting_minutes=14), BOTH)
week("just fifteen minutes", None, limited(CASE, "wren", sitting_minutes=15), BOTH)
ANNS = (WRENS, robins("ann", 60))
week("two of an adult's day", Kind.ADULT_SITTINGS_PER_DAY, limited(CASE, "ann", sittings_per_day=1), *ANNS)
week(
    "two of an adult's days", None, limited(CASE, "ann", sittings_per_day=1), WRENS, robins("ann", 60, day=1)
)
ON_TWO_DAYS = (WRENS, robins("ann", 60, day=1))
week(
    "two of an adult's week",
    Kind.ADULT_SITTINGS_PER_WEEK,
    limited(CASE, "ann", sittings_per_week=1),
    *ON_TWO_DAYS,
)
week("just two of an adult's week", None, limited(CASE, "ann", sittings_per_week=2), *ON_TWO_DAYS)
week("twenty minutes", Kind.ADULT_MINUTES_PER_WEEK, limited(CASE, "ann", minutes_per_week=19), *ANNS)
week("just twenty minutes", None, limited(CASE, "ann", minutes_per_week=20), *ANNS)
TWICE = seat("wren", "ann", "home", 30, "a a1", "a a2")
week("a skill twice in a sitting", Kind.TARGET_SITTING, CASE, TWICE)
AGAIN = bens(60, probe="a a2")
DAY_AFTER = bens(60, probe="a a2", day=1)
week("a skill twice a day", Kind.TARGET_DAY, case_of(probes_per_target_per_day=1), WRENS, AGAIN)
week(
    "a skill on two days",
    None,
    case_of(probes_per_target_per_day=1),
    WRENS,
    DAY_AFTER,
)
week(
    "a skill twice a week",
    Kind.TARGET_WEEK,
    case_of(probes_per_target_per_week=1),
    WRENS,
    DAY_AFTER,
)
week("a skill twice", None, case_of(probes_per_target_per_week=2), WRENS, AGAIN)

# midnight: a rest goes on, a way does not
LATE = WeeklyHours(((Window(DAY - 60, DAY),), (Window(0, 60),), *[()] * 5))
NIGHT = replace(case_of(LATE), travel=Travel(60))
NIGHT = replace(NIGHT, policy=replace(NIGHT.policy, rest_minutes=30))
EVENING = seat("wren", "ann", "home", DAY - 20 - NINE, "a a1")
week("a rest over midnight", Kind.LEARNER_TIME, NIGHT, EVENING, bens(DAY + 15 - NINE, "park"))
week("a rest over midnight and no way", None, NIGHT, EVENING, bens(DAY + 20 - NINE, "park"))
week("an adult's midnight", None, NIGHT, EVENING, robins("ann", DAY - NINE, "park"))

# the clock: minutes are those on the wall, on the day with an hour less and on that with one more
SUNDAY = WeeklyHours((*[()] * 6, (Window(0, 240),)))
for number, name in ((13, "spring"), (43, "autumn")):
    for rest, kind in ((60, None), (61, Kind.LEARNER_TIME)):
        clock = replace(case_of(SUNDAY), policy=replace(case_of(SUNDAY).policy, rest_minutes=rest))
        before = seat("wren", "ann", "home", 50 - NINE, "a a1", day=6)
        after = bens(120 - NINE, day=6)
        week(f"{name} with a rest of {rest}", kind, clock, before, after, week=Week(2026, number))

# second adults: Ben knows both children and sits beside Ann, who is new to Wren
KNOWN = {"wren": frozenset(["ben"]), "robin": frozenset(["ann", "ben"])}


def accompanied(case: Case) -> Case:
    taught = {"a": ("ben",), "c": ("ben",), "b": ("ann", "ben")}
    targets = {
        t: replace(x, taught=tuple({"adult": i, "location": "home", "material_set": "y"} for i in taught[t]))
        for t, x in case.targets.items()
    }
    return replace(case, targets=targets, policy=replace(case.policy, accompany_new_adults=True))


BESIDE = seat("wren", "ann", "home", 30, "a a1", by="ben")
WITH = accompanied(CASE)
week("somebody beside", None, WITH, BESIDE, acquainted=KNOWN)
week("beside and elsewhere", Kind.ADULT_TIME, WITH, BESIDE, robins("ben", 35), acquainted=KNOWN)
week("beside and then elsewhere", None, WITH, BESIDE, robins("ben", 60, "park"), acquainted=KNOWN)
week(
    "beside and too soon elsewhere",
    Kind.ADULT_TIME,
    WITH,
    BESIDE,
    robins("ben", 55, "park"),
    acquainted=KNOWN,
)
for amount in ADULT_AMOUNTS:
    most = 19 if amount.key.startswith("minutes") else 1
    for more, kind in ((0, amount.kind), (1, None)):
        case = limited(WITH, "ben", **{amount.key: most + more})
        week(f"{amount.key} beside, {most + more}", kind, case, BESIDE, robins("ben", 60), acquainted=KNOWN)


# teaching, ten minutes each: (ann, home, a1), (ben, home, a2), (ben, home, c1) and (ben, home, c2) were not met
A1, A2, C1, C2 = ("a", "ann", "a1"), ("a", "ben", "a2"), ("c", "ben", "c1"), ("c", "ben", "c2")
MANY = {"teachings_per_target_per_day": 9, "teachings_per_target_per_week": 9}


def run_before(*taught: tuple[str, str, str]) -> Log:
    """Each of the four was not met, and these were taught since."""
    things = [(10, ResultKind.PROBE, x) for x in (A1, A2, C1, C2)]
    things += [(11, ResultKind.TEACHING, x) for x in taught]
    return Log.of(
        Result(
            line=line,
            date=date(2026, 11, day),
            time=None,
            target=t,
            kind=kind,
            combination=(adult, "home", used),
            trials=5,
            correct=0,
        )
        for line, (day, kind, (t, adult, used)) in enumerate(things, 2)
    )


NOT_MET = run_before()


EACH_DAY = tuple(range(7))
A, C, ANNS_WREN, BENS_ROBIN = (
    Thing(target="a"),
    Thing(target="c"),
    Thing(adult="ann", learner="wren"),
    Thing(adult="ben", learner="robin"),
)


def apart_case(one: Thing, other: Thing, days: tuple[int, ...] = EACH_DAY, second: str = "mon") -> Case:
    """With the wish as the planner keeps it, and as people wrote it, which the auditor reads; `second` is the day of
    the sitting named second."""
    told_on = zip((one, other), ("mon", second), strict=True)
    two = tuple(t.target or f"2026-W49-{day}-{t.adult}-{mark_of(t.learner)}" for t, day in told_on)
    two = (two[0], f"{two[1]}-b") if one == other else two
    start, end = (datetime.combine(WEEK.days[d], datetime.min.time()) for d in (days[0], days[-1]))
    wish = PlannersWish(kind=WishKind.APART, two=two, start=start, end=end + timedelta(days=1))
    return replace(CASE, apart=(Apart(one, other, days),), wishes=(wish,))


week("two skills apart in a sitting", Kind.WISHED_APART, apart_case(A, C), BOTH)
week("two skills apart on a day", Kind.WISHED_APART, apart_case(A, C), WRENS, LATER)
week("two skills apart on two days", None, apart_case(A, C), WRENS, TOMORROW)
week("one of two skills apart", None, apart_case(A, C), WRENS)
week("two skills apart on another day", None, apart_case(A, C, (1, 2)), WRENS, LATER)
two_people = apart_case(ANNS_WREN, BENS_ROBIN)
week("two sittings apart", Kind.WISHED_APART, two_people, WRENS, robins("ben", 60))
week("two sittings apart on two days", None, two_people, WRENS, robins("ben", 60, day=1))
week("somebody else's sitting", None, two_people, WRENS, robins("ann", 60))
week("a sitting and a skill apart", Kind.WISHED_APART, apart_case(C, ANNS_WREN), WRENS, LATER)
once = apart_case(ANNS_WREN, ANNS_WREN)
once_a_day = apart_case(ANNS_WREN, ANNS_WREN, second="sun")
for words, kept_apart in (("", once), (", named by two days", once_a_day)):
    again, tomorrow = (seat("wren", "ann", "home", 60, "c c1", day=d) for d in (0, 1))
    week(f"twice with an adult{words}", Kind.WISHED_APART, kept_apart, WRENS, again)
    week(f"with an adult on two days{words}", None, kept_apart, WRENS, tomorrow)
    week(f"once with an adult{words}", None, kept_apart, WRENS)


def taught_case(**policy: int) -> Case:
    return case_of(plan_teaching=True, **{**MANY, **policy})


def taught(name: str, kind: Kind | None, case: Case, *seats: PlacedSitting, log: Log = NOT_MET) -> None:
    week(name, kind, case, *seats, log=log)


TEACHING = taught_case()
TAUGHT = seat("wren", "ann", "home", 30, "a a1 teaching")
TAUGHT_LATER = bens(60, probe="c c1 teaching")
taught("one that is taught", None, TEACHING, TAUGHT)
taught(
    "two taught of a day",
    Kind.TEACHINGS_PER_DAY,
    limited(TEACHING, "wren", teachings_per_day=1),
    TAUGHT,
    TAUGHT_LATER,
)
taught(
    "two taught in a sitting",
    Kind.TEACHINGS_PER_DAY,
    limited(TEACHING, "wren", teachings_per_day=1),
    seat("wren", "ben", "home", 30, "a a2 teaching", "c c1 teaching"),
)
taught(
    "two taught on two days",
    None,
    limited(TEACHING, "wren", teachings_per_day=1),
    TAUGHT,
    bens(60, probe="c c1 teaching", day=1),
)
taught(
    "one taught and one probed",
    None,
    limited(TEACHING, "wren", teachings_per_day=1, probes_per_day=1, probes_per_sitting=1),
    seat("wren", "ann", "home", 30, "a a1 teaching", "c x"),
)
AGAIN_A, AGAIN_C = (
    seat("wren", "ann", "home", 30, "a a1 retest"),
    bens(60, probe="c c1 retest"),
)
BOTH_DUE = run_before(A1, C1)
taught(
    "two retests of a day",
    Kind.RETESTS_PER_DAY,
    limited(TEACHING, "wren", retests_per_day=1),
    AGAIN_A,
    AGAIN_C,
    log=BOTH_DUE,
)
taught(
    "a retest and a new probe",
    None,
    limited(TEACHING, "wren", retests_per_day=1),
    AGAIN_A,
    bens(60, probe="c x"),
    log=BOTH_DUE,
)
taught("two retests", None, limited(TEACHING, "wren", retests_per_day=2), AGAIN_A, AGAIN_C, log=BOTH_DUE)
TAUGHT_AGAIN, TAUGHT_NEXT_DAY = (bens(60, probe="a a2 teaching", day=day) for day in (0, 1))
once_a_day = taught_case(teachings_per_target_per_day=1)
taught("a skill taught twice a day", Kind.TEACHINGS_DAY, once_a_day, TAUGHT, TAUGHT_AGAIN)
taught("a skill taught on two days", None, once_a_day, TAUGHT, TAUGHT_NEXT_DAY)
taught("a skill taught and another", None, once_a_day, TAUGHT, TAUGHT_LATER)
once_a_week = taught_case(teachings_per_target_per_week=1)
taught("a skill taught twice a week", Kind.TEACHINGS_WEEK, once_a_week, TAUGHT, TAUGHT_NEXT_DAY)
taught(
    "a skill taught, and probed on another day",
    None,
    taught_case(teachings_per_target_per_week=1, probes_per_target_per_week=1),
    TAUGHT,
    bens(60, probe="a x", day=1),
)
taught(
    "a skill taught and probed in a sitting",
    Kind.TARGET_SITTING,
    TEACHING,
    seat("wren", "ann", "home", 30, "a a1 teaching", "a x"),
)
PROBED_LATER, PROBED_BEFORE = (bens(start, probe="a x") for start in (60, 10))
taught("a skill probed after it was taught", Kind.AFTER_TEACHING, TEACHING, TAUGHT, PROBED_LATER)
taught("a skill probed before it is taught", None, TEACHING, TAUGHT, PROBED_BEFORE)
taught("a skill probed the day after", None, TEACHING, TAUGHT, bens(60, probe="a x", day=1))
taught("another skill probed after it", None, TEACHING, TAUGHT, bens(60, probe="c x"))
taught("a policy that has it probed", None, taught_case(probe_after_teaching=True), TAUGHT, PROBED_LATER)
taught(
    "fifteen minutes of teaching", Kind.SITTING_MINUTES, limited(TEACHING, "wren", sitting_minutes=14), TAUGHT
)
taught("just fifteen minutes of teaching", None, limited(TEACHING, "wren", sitting_minutes=15), TAUGHT)


@pytest.mark.parametrize(("kind", "it"), WEEKS.values(), ids=[n.replace(" ", "-") for n in WEEKS])
def test_three_hands_say_the_same(kind: Kind | None, it: SmallWeek) -> None:
    checks = by_auditor(it)
    assert by_plain_rules(it) == ({kind} if kind else set())
    assert by_solver(it) is (kind is None)
    assert bool(checks) is (kind is not None)
    assert all(checks <= set(rule.checks) for rule in RULES if kind in rule.kinds)


def test_every_rule_between_sittings_is_broken_by_some_week() -> None:
    broken = {kind for kind, _ in WEEKS.values() if kind}
    beside = {Kind.COMPANION, Kind.COMPANION_TAKEN, Kind.TEACHER, Kind.TEACHER_TAKEN}
    assert broken == {kind for rule in RULES for kind in rule.kinds} - {Kind.SET_MISSING} - beside


@pytest.mark.parametrize(("start", "there"), [(20, True), (25, False), (35, False), (40, True)])
def test_a_set_that_is_missing(start: int, there: bool) -> None:
    """From 9:30 to 9:40."""
    gone = Absence(datetime(2026, 11, 30, 9, 30), datetime(2026, 11, 30, 9, 40))
    sets = {**CASE.material_sets, "a1": replace(CASE.material_sets["a1"], missing=(gone,))}
    own = seat("wren", "ann", "home", start, "a a1")
    it = SmallWeek(replace(CASE, material_sets=sets), (own,))
    assert (set_missing("a1", own, (Window(NINE + 30, NINE + 40),)) is None) is there
    assert by_solver(it) is there
    assert by_auditor(it) == (set() if there else {"sets_are_there"})


@pytest.mark.parametrize(("start", "there"), [(35, False), (40, True)])
def test_nobody_to_sit_beside(start: int, there: bool) -> None:
    """Ben alone knows Wren, and is with Robin."""
    other = robins("ben", start)
    alone = replace(BESIDE, beside="")
    assert can_sit_beside(WITH, "ben", alone, [other]) is there
    assert by_solver(SmallWeek(WITH, (alone, other), acquainted=KNOWN)) is there
    assert "new_adults_have_company" in by_auditor(SmallWeek(WITH, (alone, other)))


def allowed(case: Case, **teaches: str) -> Case:
    """With who may teach what."""
    adults = {a: replace(x, teaches=frozenset(teaches.get(a, "").split())) for a, x in case.adults.items()}
    return replace(case, adults=adults)


@pytest.mark.parametrize(("start", "there"), [(40, False), (45, True)])
def test_nobody_to_teach_beside(start: int, there: bool) -> None:
    """Ann may not teach the skill, Ben may, and is with Robin."""
    case, other = allowed(TEACHING, ben="a"), robins("ben", start)
    assert may_all_be_taught(case, replace(TAUGHT, beside="ben", beside_as=Beside.TEACHER))
    assert not may_all_be_taught(case, TAUGHT)
    assert can_sit_beside(case, "ben", TAUGHT, [other]) is there
    assert by_solver(SmallWeek(case, (TAUGHT, other), log=run_before())) is there
    assert "teachers_may_teach" in by_auditor(SmallWeek(case, (TAUGHT, other), log=run_before()))


@pytest.mark.parametrize(("may", "there"), [("a", True), ("c", False), ("", False)])
def test_who_teaches_beside_may_teach_it(may: str, there: bool) -> None:
    case = allowed(TEACHING, ben=may)
    with_ben = replace(TAUGHT, beside="ben", beside_as=Beside.TEACHER)
    assert may_all_be_taught(case, with_ben) is there
    assert by_solver(SmallWeek(case, (with_ben,), log=run_before())) is there
    assert ("teachers_may_teach" not in by_auditor(SmallWeek(case, (with_ben,), log=run_before()))) is there


def test_nobody_teaches_beside_for_nothing() -> None:
    """Ann may teach it herself; or it is only probed."""
    for case, own in (
        (TEACHING, TAUGHT),
        (allowed(TEACHING, ben="a"), seat("wren", "ann", "home", 30, "a x")),
    ):
        it = SmallWeek(case, (replace(own, beside="ben", beside_as=Beside.TEACHER),), log=run_before())
        assert not by_solver(it)
        assert by_auditor(it) == {"teachers_may_teach"}


def test_no_hand_is_missing_in_the_table() -> None:
    encodings = {name for rule in RULES for name in rule.encodings}
    checks = {name for rule in RULES for name in rule.checks}
    implied = {"copies_in_order", "stretches_hold_their_minutes", "days_hold_their_probes"}
    # what a plan holds as people were told it is no rule
    not_between = {"held_sittings_stay", "nothing_is_probed_twice", "new_probes_show_something"}
    beside = {"_companion", "_teachers_for"}
    assert {r.__name__ for r in rules.RULES} | beside == encodings | implied | not_between
    assert all(hasattr(slots, name) for name in beside)
    assert checks <= {c.__name__ for c in CHECKS}
    assert {c.__name__ for c in (*CLASHES, *LIMITS)} <= checks


def test_each_limit_of_people_has_a_row() -> None:
    """A limit that the case can say and no row speaks of would be accepted and never held."""
    for limits, amounts in ((LearnerLimits, LEARNER_AMOUNTS), (AdultLimits, ADULT_AMOUNTS)):
        assert {f.name for f in fields(limits)} == {a.key for a in amounts}


def test_each_kind_has_a_rule_and_a_sentence() -> None:
    by_rules = {kind for rule in RULES for kind in rule.kinds}
    others = {k for k in Kind if 1 <= k.rank <= OTHERS_IN_THE_WAY} - {Kind.END_OF_HOURS}
    assert others == by_rules
    values = {
        Kind.WISHED_APART: ("a", "ann", "wren", "c", "ann", "wren"),
        Kind.IMPOSSIBLE: ("a", *next(iter(CASE.targets["a"].combinations()))),
    }
    for kind in Kind:
        limit = Limit(
            kind,
            learner="wren",
            adult="ann",
            location="home",
            material_set="x",
            figure=3,
            goal="due",
            value=values.get(kind, ("adult", "ann")),
        )
        assert limit_sentence(CASE, limit) or kind is Kind.HOURS
        assert Limit.of_document(limit.document()) == limit
