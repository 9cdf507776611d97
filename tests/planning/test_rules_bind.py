"""Each rule of the solver where it binds and where it just does not: the plan keeps it and loses something by it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime

import pytest

from genplan.audit import audit
from genplan.case import Absence, Case, Preferences
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.evidence.log import Log, Result, ResultKind
from genplan.planning.solver import rules
from genplan.planning.solver.rules import RULES, Rule
from tests.fixtures.monday_cases import holding, limited, monday, monday_case, skill, with_copies
from tests.fixtures.planning_cases import plan_one

LONG = monday(180)
NOBODY_RAN = Log()


@dataclass(frozen=True)
class Binding:
    """With the rule at work the objective reaches `least`; where it just does not bind, `most`. `once`: nothing else
    in the model says the same, so that without the rule the plan breaks it. `counted`: what it then holds too much is
    in sittings; a probe in a sitting that is not held is counted by nobody."""

    rule: Rule
    bound: Case
    free: Case
    least: int = 1
    most: int = 2
    once: bool = True
    counted: bool = True
    objective: str = "new tuples"
    bound_log: Log = NOBODY_RAN
    free_log: Log = NOBODY_RAN


def alone(minutes: int, *skills_and_adults: str, **policy: int) -> Case:
    """Wren has so many minutes; each word is a skill and who checks it, such as 'a-ann'."""
    pairs = [word.split("-") for word in skills_and_adults]
    skills = [skill(name, "wren", adult) for name, adult in pairs]
    return monday_case({"wren": monday(minutes)}, {adult: LONG for _, adult in pairs}, *skills, **policy)


def same_skill(minutes: int, **policy: int) -> Case:
    """One skill with two sets, so two probes."""
    ours = skill("a", "wren", sets="x y")
    return monday_case({"wren": monday(minutes)}, {"ann": LONG}, ours, **policy)


def either_adult(a_day: int) -> Case:
    """One skill that Ann and Ben can check, so two probes."""
    adults = {"ann": LONG, "ben": LONG}
    return monday_case({"wren": LONG}, adults, skill("a", "wren", "ann ben"), probes_per_target_per_day=a_day)


def wished_apart(*two: str) -> Case:
    """Two skills, a and b, with an hour for each, and two of a, b and c that are not to be on one day."""
    case = alone(180, "a-ann", "b-ben", "c-cas")
    return replace(
        case,
        targets={i: t for i, t in case.targets.items() if i != "c"},
        wishes=(PlannersWish(kind=WishKind.APART, two=two),),
    )


def around_anns_ten_minutes(bens: int) -> Case:
    """Ann can from ten past nine to twenty past, Ben from nine on: before Ann there are 10 minutes and no rest."""
    adults = {"ann": monday(10, after_nine=10), "ben": monday(bens)}
    return monday_case({"wren": LONG}, adults, skill("a", "wren", "ann"), skill("b", "wren", "ben"))


def two_places(minutes: int) -> Case:
    """Wren with Ann at home and with Ben in the park, 20 minutes away."""
    skills = (skill("a", "wren", "ann"), skill("b", "wren", "ben", "park"))
    return monday_case({"wren": monday(minutes)}, {"ann": LONG, "ben": LONG}, *skills, way=20)


def uneven(case: Case) -> Case:
    """The same where probes need not be spread: the fullest day would say once more how many probes a day has."""
    return replace(
        case, policy=replace(case.policy, prefer=Preferences(fair_shares=False, spread_over_days=False))
    )


def taught_and_checked(bens_start: int) -> Case:
    """One skill that was not met with Ann, who can teach it in twenty minutes from half past nine on; Ben, with whom it
    was never tried, comes so many minutes after nine."""
    adults = {"ann": monday(20, after_nine=30), "ben": monday(10, after_nine=bens_start)}
    ours = skill("a", "wren", "ann ben", sets="x")
    case = monday_case({"wren": LONG}, adults, ours, plan_teaching=True, teaching_first=True)
    return replace(case, adults={**case.adults, "ben": replace(case.adults["ben"], teaches=frozenset())})


def missing_until(minutes: int) -> Case:
    """Fifteen minutes, which one sitting of both probes takes whole; set-a comes so many minutes after nine."""
    case = monday_case({"wren": monday(15)}, {"ann": LONG}, skill("a", "wren"), skill("b", "wren"))
    comes = datetime(2026, 11, 30, 9, minutes)
    gone = replace(case.material_sets["set-a"], missing=(Absence(datetime(2026, 11, 1), comes, "missing"),))
    return replace(case, material_sets={**case.material_sets, "set-a": gone})


def two_learners(minutes: int, adults: str, place: str = "home", sets: str = "") -> Case:
    """Wren at home and Robin at a place that is 20 minutes from there if it is another."""
    first, second = adults.split()
    skills = (skill("a", "wren", first, sets=sets), skill("b", "robin", second, place, sets=sets))
    free = {"robin": monday(minutes), "wren": monday(minutes)}
    return monday_case(free, dict.fromkeys((first, second), LONG), *skills, way=20)


def log_of(*rows: tuple[str, str, int | None]) -> Log:
    """Rows (target, set, correct of 5) with Ann at home, one a day; None is teaching."""
    kinds = {True: ResultKind.TEACHING, False: ResultKind.PROBE}
    return Log.of(
        Result(
            line=n,
            date=date(2026, 11, n),
            time=None,
            target=t,
            kind=kinds[correct is None],
            combination=("ann", "home", m),
            trials=correct and 5,
            correct=correct,
        )
        for n, (t, m, correct) in enumerate(rows, 2)
    )


def due(*names: str) -> Case:
    """Skills whose maintenance probe is due on Tuesday, a week after mastery; sets x and y were taught."""
    taught = tuple({"adult": "ann", "location": "home", "material_set": m} for m in ("x", "y"))
    lasting = {"mastered_on": date(2026, 11, 24), "maintenance_days": (7,), "taught": taught}
    skills = [skill(n, "wren", sets="x y", **lasting) for n in names]
    return monday_case({"wren": LONG}, {"ann": LONG}, *skills, probes_per_target_per_day=2)


FAILED_ONE = log_of(("a", "x", 1), ("a", "x", None), ("a", "y", 5))
FAILED_BOTH = log_of(("a", "x", 1), ("a", "x", None), ("a", "y", 1), ("a", "y", None))
FAILED_WITH_ANN = log_of(("a", "x", 1))
TWICE_A_DAY = {"probes_per_target_per_day": 2}

BINDINGS = {
    "a sitting holds one probe of a target": Binding(
        # both in one sitting: 15 minutes; in two with a rest between: 10 + 5 + 10
        rules.probes_only_in_held_sittings,
        same_skill(24, **TWICE_A_DAY),
        same_skill(25, **TWICE_A_DAY),
        counted=False,
    ),
    "a set that is not there": Binding(rules.sets_are_there, missing_until(5), missing_until(0)),
    "probes in a sitting": Binding(
        # 24 minutes hold one sitting: a second would end after 10 + 5 + 10
        rules.probes_only_in_held_sittings,
        limited(alone(24, "a-ann", "b-ann"), "wren", probes_per_sitting=1),
        limited(alone(24, "a-ann", "b-ann"), "wren", probes_per_sitting=2),
        counted=False,
    ),
    "minutes of a sitting": Binding(
        # two probes: 5 + 2 x 5; the size of a sitting is bounded by the same number
        rules.sitting_minutes_hold,
        limited(alone(24, "a-ann", "b-ann"), "wren", sitting_minutes=14),
        limited(alone(24, "a-ann", "b-ann"), "wren", sitting_minutes=15),
        once=False,
    ),
    "sittings in the same hours": Binding(
        # 10 + 5 + 10; that the first comes first costs no week anything, and the rest is said for all sittings
        rules.copies_in_order,
        limited(alone(24, "a-ann", "b-ann"), "wren", probes_per_sitting=1),
        limited(alone(25, "a-ann", "b-ann"), "wren", probes_per_sitting=1),
        once=False,
    ),
    "rest": Binding(
        # Ben after Ann: 9:25 to 9:35
        rules.learner_rests_between_sittings,
        around_anns_ten_minutes(34),
        around_anns_ten_minutes(35),
    ),
    "rest in a stretch": Binding(
        # 10 + 5 + 10; it follows from the rest
        rules.stretches_hold_their_minutes,
        alone(24, "a-ann", "b-ben"),
        alone(25, "a-ann", "b-ben"),
        once=False,
    ),
    "what a day holds": Binding(
        # the same, found by solving the day by itself
        rules.days_hold_their_probes,
        alone(24, "a-ann", "b-ben"),
        alone(25, "a-ann", "b-ben"),
        once=False,
    ),
    "learner's way": Binding(rules.learner_travels, two_places(39), two_places(40)),  # 10 + 20 + 10
    "adult in one sitting": Binding(
        rules.adult_is_in_one_place, two_learners(19, "ann ann"), two_learners(20, "ann ann")
    ),
    "adult's way": Binding(
        # 10 + 20 + 10
        rules.adult_is_in_one_place,
        two_learners(39, "ann ann", "park"),
        two_learners(40, "ann ann", "park"),
    ),
    "capacity": Binding(
        rules.location_holds_its_capacity,
        holding(two_learners(19, "ann ben"), "home", 1),
        holding(two_learners(19, "ann ben"), "home", 2),
    ),
    "capacity, a minute more": Binding(
        rules.location_holds_its_capacity,
        holding(two_learners(19, "ann ben"), "home", 1),
        holding(two_learners(20, "ann ben"), "home", 1),
    ),
    "copies": Binding(
        rules.material_sets_are_not_in_two_places,
        two_learners(19, "ann ben", sets="x"),
        with_copies(two_learners(19, "ann ben", sets="x"), "x", 2),
    ),
    "a single copy's way": Binding(
        # 10 + 20 + 10
        rules.material_sets_are_not_in_two_places,
        two_learners(39, "ann ben", "park", sets="x"),
        two_learners(40, "ann ben", "park", sets="x"),
    ),
    "two copies need no way": Binding(
        rules.material_sets_are_not_in_two_places,
        two_learners(39, "ann ben", "park", sets="x"),
        with_copies(two_learners(39, "ann ben", "park", sets="x"), "x", 2),
    ),
    "sittings of a learner a day": Binding(
        rules.learner_amounts_hold,
        limited(alone(180, "a-ann", "b-ben"), "wren", sittings_per_day=1),
        limited(alone(180, "a-ann", "b-ben"), "wren", sittings_per_day=2),
    ),
    "probes of a learner a day": Binding(
        rules.learner_amounts_hold,
        uneven(limited(alone(180, "a-ann", "b-ann"), "wren", probes_per_day=1)),
        uneven(limited(alone(180, "a-ann", "b-ann"), "wren", probes_per_day=2)),
    ),
    "sittings of an adult a day": Binding(
        rules.adult_amounts_hold,
        limited(two_learners(180, "ann ann"), "ann", sittings_per_day=1),
        limited(two_learners(180, "ann ann"), "ann", sittings_per_day=2),
    ),
    "minutes of an adult a week": Binding(
        rules.adult_amounts_hold,
        limited(alone(180, "a-ann", "b-ann"), "ann", minutes_per_week=14),
        limited(alone(180, "a-ann", "b-ann"), "ann", minutes_per_week=15),
    ),
    "probes of a target a day": Binding(rules.target_limits_hold, either_adult(1), either_adult(2)),
    "probes of a target a week": Binding(
        rules.target_limits_hold,
        same_skill(180, probes_per_target_per_week=1, **TWICE_A_DAY),
        same_skill(180, probes_per_target_per_week=2, **TWICE_A_DAY),
    ),
    "a combination twice": Binding(
        # one combination to probe again, or two
        rules.nothing_is_probed_twice,
        uneven(same_skill(180, **TWICE_A_DAY)),
        uneven(same_skill(180, **TWICE_A_DAY)),
        objective="due",
        bound_log=FAILED_ONE,
        free_log=FAILED_BOTH,
    ),
    "maintenance twice": Binding(
        rules.nothing_is_probed_twice,
        due("a"),
        due("a", "b"),
        objective="due",
    ),
    "a probe after teaching": Binding(
        # Ben comes after Ann's teaching, or before it
        rules.nothing_is_probed_after_teaching,
        taught_and_checked(60),
        taught_and_checked(0),
        least=0,
        most=1,
        bound_log=FAILED_WITH_ANN,
        free_log=FAILED_WITH_ANN,
    ),
    "two skills that are wished apart": Binding(
        # all hours are on Monday
        rules.things_apart_keep_apart,
        wished_apart("a", "b"),
        wished_apart("a", "c"),
    ),
}


def value(case: Case, log: Log, objective: str) -> tuple[float, tuple[str, ...]]:
    """The objective's value, and what the auditor says."""
    plan = plan_one(case, log)
    return next(o.value for o in plan.objectives if o.name == objective), audit(case, log, plan, {})


def ids(bindings: Iterable[str]) -> list[str]:
    return [name.replace(" ", "-") for name in bindings]


FOLLOWING = (rules.copies_in_order, rules.stretches_hold_their_minutes, rules.days_hold_their_probes)
"""Rules that say in a line what others imply, so that the solver sees it."""


OF_TOLD_WEEKS = (rules.new_probes_show_something, rules.held_sittings_stay)
"""Rules that only weeks of which people were told have: `test_told.py` and `test_fewest_told.py` show them at work."""


def work_without(rule: Rule, monkeypatch: pytest.MonkeyPatch) -> None:
    """Limits decide how many sittings of an opening there are, too: here there are some more."""
    monkeypatch.setattr("genplan.planning.solver.meetings._most_sittings", lambda *_: 4)
    others = tuple(r for r in RULES if r is not rule)
    for module in ("stages", "daily_capacity"):
        monkeypatch.setattr(f"genplan.planning.solver.{module}.RULES", others)


@pytest.mark.parametrize("it", BINDINGS.values(), ids=ids(BINDINGS))
def test_the_rule_binds_and_just_does_not(it: Binding, monkeypatch: pytest.MonkeyPatch) -> None:
    assert value(it.bound, it.bound_log, it.objective) == (it.least, ())
    assert value(it.free, it.free_log, it.objective) == (it.most, ())
    work_without(it.rule, monkeypatch)
    without, complaints = value(it.bound, it.bound_log, it.objective)
    # what the rule kept back is what is lost by it, and the auditor sees that it is broken
    assert bool(complaints) == it.once
    assert (without >= it.most) == (it.once and it.counted)


def test_every_rule_is_shown_to_bind() -> None:
    assert {it.rule for it in BINDINGS.values()} | {*OF_TOLD_WEEKS} == set(RULES)


@pytest.mark.parametrize("rule", FOLLOWING)
def test_a_rule_that_follows_from_others_costs_nothing(rule: Rule, monkeypatch: pytest.MonkeyPatch) -> None:
    case = limited(alone(60, "a-ann", "b-ben", "c-ann"), "wren", probes_per_sitting=1)
    # four quarters of an hour, and three sittings of 10 minutes with a rest of 5 behind each
    assert value(case, NOBODY_RAN, "new tuples") == (3, ())
    work_without(rule, monkeypatch)
    assert value(case, NOBODY_RAN, "new tuples") == (3, ())
