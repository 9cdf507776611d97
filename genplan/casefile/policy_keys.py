"""The keys of a policy, and the kinds that a target's keys share with them."""

from __future__ import annotations

from genplan.case import STRENGTHS
from genplan.case.policy import Preferences, SolverLimits
from genplan.casefile.domain import counted_dimension, grid_minutes
from genplan.casefile.groups import ascending, days_of_week, table_of
from genplan.casefile.kinds import choice, decimal, pass_mark, share, whole, yes_no
from genplan.casefile.privacy import AS_IS, COUNTS, GROUP
from genplan.casefile.shapes import Key, NoField, Shape, shape

COVER = choice(STRENGTHS, {"1": "each-value", "2": "pairs", "3": "triples"})
COUNTED = table_of(
    whole(1, 999), "how many, such as {adults: 3, locations: 2, material_sets: 3}", counted_dimension
)
LADDER = ascending(whole(1, 3650), "days after mastery, such as [7, 14, 28, 56]")
MINUTES = whole(1, 240)
AMOUNT = whole(1, 10_080)
FILE = NoField("a policy is a file of its own, with its reasons beside each line; the case only names it")

PREFER: Shape = {
    "one_change_at_a_time": Key(
        yes_no(), "combinations nearer to one that was met come first", AS_IS, FILE, "no"
    ),
    "fair_shares": Key(yes_no(), "adults' minutes in proportion to what they can give", AS_IS, FILE, "yes"),
    "spread_over_days": Key(yes_no(), "no crowded days", AS_IS, FILE, "yes"),
}
SOLVER: Shape = {
    "work_per_stage": Key(
        decimal(0, 100_000, "12"), "the same work on every run, about a second a unit", AS_IS, FILE, "12"
    ),
    "seconds": Key(decimal(0, 100_000, "600"), "a limit on the clock for the whole run", AS_IS, FILE, "600"),
}
POLICY: Shape = {
    "start_every_minutes": Key(grid_minutes(), "the grid of starting times", AS_IS, FILE, "15"),
    "settle_minutes": Key(whole(0, 240), "at the start of a sitting", AS_IS, FILE, "5"),
    "rest_minutes": Key(whole(0, 1440), "between two sittings of one learner", AS_IS, FILE, "30"),
    "probes_per_target_per_day": Key(AMOUNT, "most probes of a target on one day", AS_IS, FILE, "1"),
    "probes_per_target_per_week": Key(AMOUNT, "most probes of a target in one week", AS_IS, FILE, "4"),
    "days": Key(days_of_week(), "the days that may be used", AS_IS, FILE, "all seven"),
    "cover": Key(COVER, "for targets that do not say", AS_IS, FILE, "pairs"),
    "trials": Key(whole(1, 1000), "for targets that do not say", AS_IS, FILE, "5"),
    "pass_mark": Key(pass_mark(), "for targets that do not say", AS_IS, FILE, "4/5"),
    "minutes": Key(MINUTES, "for targets that do not say", AS_IS, FILE, "5"),
    "generalised_when": Key(COUNTED, "for targets that do not say", COUNTS, FILE),
    "maintenance_days": Key(LADDER, "for targets that do not say", AS_IS, FILE),
    "maintenance_tolerance_days": Key(
        whole(0, 60),
        "days before or after its date at which a maintenance probe is on time",
        AS_IS,
        FILE,
        "0",
    ),
    "maintenance_after_lapse_days": Key(
        whole(0, 365),
        "days after a maintenance probe that was not met at which one is due again",
        AS_IS,
        FILE,
        "0: the ladder",
    ),
    "alarm_minutes": Key(
        whole(0, 10_080), "minutes before a sitting at which a calendar reminds", AS_IS, FILE, "no reminder"
    ),
    "observed_share": Key(
        share("0.2"),
        "of a learner's probes so many get a second observer",
        AS_IS,
        FILE,
        "0: nobody is asked",
    ),
    "accompany_new_adults": Key(
        yes_no(),
        "an adult without a result with a learner sits beside one who has worked with it",
        AS_IS,
        FILE,
        "no",
    ),
    "prefer": Key(
        shape("what to prefer", PREFER),
        "what decides between equally good plans",
        GROUP,
        FILE,
        to=lambda given: Preferences(**given),
    ),
    "solver": Key(
        shape("the solver's limits", SOLVER),
        "how hard to search",
        GROUP,
        FILE,
        to=lambda given: SolverLimits(**given),
    ),
}
