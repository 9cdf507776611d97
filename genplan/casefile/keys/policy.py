"""The keys of a policy, and the kinds that a target's keys share with them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from genplan.case import STRENGTHS
from genplan.case.policy import Preferences, SolverLimits
from genplan.case.targets import Teach
from genplan.casefile.composite_types import ascending, days_of_week
from genplan.casefile.domain_types import criterion, grid_minutes
from genplan.casefile.privacy import AS_IS, COUNTS, GROUP, POLICY_NAME, InCopy
from genplan.casefile.record_types import BY_HAND, Key, NoField, Shape, as_read, shape
from genplan.casefile.scalar_types import (
    ANY,
    FieldType,
    choice,
    clean,
    decimal,
    fraction,
    integer,
    pass_mark,
    scalar,
    texts,
    yes_no,
)
from genplan.language import N_, Words

COVER = choice(STRENGTHS, {"1": "each-value", "2": "pairs", "3": "triples"})
LADDER = ascending(integer(1, 3650), N_("days after mastery, such as [7, 14, 28, 56]"))
MINUTES = integer(1, 240)
AMOUNT = integer(1, 10_080)
TIMES = integer(1, 100, N_("what was not met is taught at least once before it is probed again"))
IN_A_ROW = integer(1, 100)
A_WEEK = integer(0, 100)
AFTER_DAYS = integer(0, 365)
WHICH_TO_TEACH = choice([t.value for t in Teach])
TAUGHT_MARK = pass_mark(or_any=True)
FILE = NoField(N_("a policy is a file of its own, with its reasons beside each line; the case only names it"))
OF_TARGETS = N_("for targets that do not say")


def _row(
    kind: FieldType, default: str, words: str, copy: InCopy = AS_IS, to: Callable[[Any], Any] = as_read
) -> Key:
    return Key(kind, words, copy=copy, form=FILE, default=default, to=to)


PREFER: Shape = {
    "one_change_at_a_time": _row(
        yes_no(),
        "no",
        N_("of weeks that show as many new tuples, the one whose probes differ least from what was met"),
    ),
    "fair_shares": _row(yes_no(), "yes", N_("minutes in proportion to what each adult can give")),
    "spread_over_days": _row(yes_no(), "yes", N_("no crowded days")),
    "catch_up": _row(
        yes_no(),
        "no",
        N_(
            "what has its last chance before a date of `first` comes so early in the week "
            "that another day is left for it, if its sitting falls through"
        ),
    ),
}
SOLVER: Shape = {
    "work_per_stage": _row(
        decimal(0, 100_000, "12"),
        "12",
        N_("how much the search may work, about a second a unit; the same on every run"),
    ),
    "seconds": _row(decimal(0, 100_000, "600"), "600", N_("a limit on the clock for the whole run")),
}
LIKE, NO_OTHER = "like", "none"
POLICY: Shape = {
    LIKE: Key(
        scalar(
            N_("family, school-transfer, caseload, none, or the path of a file in the case folder"),
            lambda leaf: clean(leaf, 200),
            texts(),
        ),
        N_("the policy that says all keys that are left out here; with `none` their defaults are meant"),
        copy=POLICY_NAME,
        form=FILE,
        default=N_("none: of so few keys that others may be forgotten `check` asks"),
        lands=BY_HAND,
    ),
    "start_every_minutes": _row(grid_minutes(), "15", N_("the grid of starting times")),
    "settle_minutes": _row(integer(0, 240), "5", N_("at the start of each sitting")),
    "rest_minutes": _row(integer(0, 1440), "30", N_("between two sittings of one learner")),
    "probes_per_target_per_day": _row(AMOUNT, "1", N_("most probes of a target on one day")),
    "probes_per_target_per_week": _row(AMOUNT, "4", N_("most probes of a target in one week")),
    "days": _row(days_of_week(), "daily", N_("the days that may be used")),
    "cover": _row(COVER, "pairs", OF_TARGETS),
    "trials": _row(integer(1, 1000), "5", OF_TARGETS),
    "pass_mark": _row(pass_mark(), "4/5", OF_TARGETS),
    "minutes": _row(MINUTES, "5", OF_TARGETS),
    "generalised_when": Key(
        criterion(of_target=False), OF_TARGETS, copy=COUNTS, form=FILE, default=N_("none"), lands=BY_HAND
    ),
    "maintenance_days": _row(LADDER, N_("none"), OF_TARGETS),
    "maintenance_tolerance_days": _row(
        integer(0, 60),
        "0",
        N_(
            "so many days before or after its date a maintenance probe is on time, and one run "
            "that early answers the date, if that is sooner than the Monday of its week"
        ),
    ),
    "maintenance_after_lapse_days": _row(
        integer(0, 365),
        N_("0: as `maintenance_days` say"),
        N_(
            "so many days after a maintenance probe that was not met the next is due, if "
            "that is sooner. These intervals are common practice, no source"
        ),
    ),
    "plan_teaching": _row(yes_no(), "no", N_("whether the week holds the teaching that is owed as well")),
    "teach": _row(WHICH_TO_TEACH, "each", OF_TARGETS, to=Teach),
    "teaching_minutes": _row(MINUTES, "10", OF_TARGETS),
    "teachings_before_retest": _row(TIMES, "1", OF_TARGETS),
    "retest_after_days": _row(AFTER_DAYS, "0", OF_TARGETS),
    "teaching_per_week": _row(A_WEEK, "0", OF_TARGETS),
    "taught_when": _row(TAUGHT_MARK, ANY, OF_TARGETS),
    "criterion_days": _row(IN_A_ROW, "1", OF_TARGETS),
    "teachings_per_target_per_day": _row(AMOUNT, "1", N_("most teachings of a target on one day")),
    "teachings_per_target_per_week": _row(AMOUNT, "3", N_("most teachings of a target in one week")),
    "teaching_first": _row(
        yes_no(), "no", N_("a teaching comes before new tuples where the hours are too short for both")
    ),
    "probe_after_teaching": _row(
        yes_no(),
        "no",
        N_(
            "a target may be probed later on a day on which it was taught. Such "
            "a probe shows what the teaching did, not what stays"
        ),
    ),
    "new_wait_where_it_breaks": _row(
        yes_no(),
        "no",
        N_(
            "new probes with a value that the targets are met less "
            "often with wait until one retest with it is met"
        ),
    ),
    "new_wait_after_lapse": _row(
        yes_no(), "no", N_("new probes of a target wait while a combination that it was taught in is not met")
    ),
    "alarm_minutes": _row(
        integer(0, 10_080), N_("no reminder"), N_("minutes before a sitting at which a calendar reminds")
    ),
    "baseline_per_target": _row(
        integer(0, 100),
        "0",
        N_(
            "so many combinations of a target that nobody has taught are probed while its state is "
            "teaching, so that a later 'met' can be told from what was always there"
        ),
    ),
    "observed_share": _row(
        fraction("0.2"),
        N_("0: nobody is asked"),
        N_("of each learner's probes so many are to have a second observer"),
    ),
    "follow_term": _row(
        yes_no(),
        "no",
        N_(
            "each week is planned by a term of twelve weeks, made anew each time, so that as many dates of `first`"
            " as can be hold for all learners together"
        ),
    ),
    "accompany_new_adults": _row(
        yes_no(),
        "no",
        N_("an adult without a result with a learner yet sits with it beside one who has worked with it"),
    ),
    "words": _row(
        choice([w.value for w in Words]),
        "trade",
        N_("for cases that do not say: plain words (skill, check, visit) or those of the trade"),
        to=Words,
    ),
    "fair_over_weeks": _row(
        integer(1, 26),
        N_("1: this week alone"),
        N_(
            "over so many weeks, this one the last of them, shares between learners and loads of adults are fair:"
            " what they had in the weeks before counts as well"
        ),
    ),
    "prefer": Key(
        shape(N_("what to prefer"), PREFER),
        N_("what decides between plans that are equally good"),
        copy=GROUP,
        form=FILE,
        default=N_("as told there"),
        to=lambda given: Preferences(**given),
    ),
    "solver": Key(
        shape(N_("the solver's limits"), SOLVER),
        N_("how hard to search"),
        copy=GROUP,
        form=FILE,
        default=N_("as told there"),
        to=lambda given: SolverLimits(**given),
    ),
}
