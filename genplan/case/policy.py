"""What a policy sets: the rules' numbers, a target's defaults, what to prefer, how hard to search."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from genplan.case.targets import PassMark, Target, Teach
from genplan.language import Words


@dataclass(frozen=True)
class Preferences:
    """What decides between plans that are equally good for coverage.

    `one_change_at_a_time`: combinations nearer to one that was met come first.
    `fair_shares`: adults' minutes in proportion to what they can give. `spread_over_days`: no crowded
    days. `catch_up`: what has its last chance before a date comes on a day after which one is left."""

    one_change_at_a_time: bool = False
    fair_shares: bool = True
    spread_over_days: bool = True
    catch_up: bool = False


@dataclass(frozen=True)
class SolverLimits:
    """`work_per_stage` is deterministic solver work (about a second a unit), the same on every run; `seconds`
    limits the whole run on the clock: a plan that it cut short is marked as not repeatable."""

    work_per_stage: float = 12.0
    seconds: float = 600.0


@dataclass(frozen=True, kw_only=True)
class Policy:
    """How to plan.

    name                          as the case names it
    start_every_minutes           the grid of starts
    settle_minutes                at the start of each sitting
    rest_minutes                  between two sittings of one learner
    probes_per_target_per_day     the most
    probes_per_target_per_week    the most
    days                          that may be used; Monday is 0
    cover                         for targets that do not say, like the next five
    maintenance_tolerance_days    days before or after its date at which a maintenance probe is on time
    maintenance_after_lapse_days  days after one that was not met at which the next is due; 0: by the ladder
    plan_teaching                 whether teachings that are owed are planned
    teach                         for targets that do not say, like the next six
    teachings_per_target_per_day  the most
    teachings_per_target_per_week the most
    teaching_first                whether a teaching comes before new tuples, where there is no room for both
    probe_after_teaching          whether a target may be probed later on a day on which it was taught
    new_wait_where_it_breaks      whether new probes with a value that breaks wait until one retest with it is met
    new_wait_after_lapse          whether new probes wait while the skill has lapsed where it was taught
    baseline_per_target           untaught combinations of a target to be probed while it is still taught
    alarm_minutes                 before a sitting at which a calendar reminds; None: not at all
    observed_share                of a learner's probes, 0 to 1, that are to have a second observer
    follow_term                   whether each week is planned by a term of twelve: dates of all of it are shared out
    accompany_new_adults          who has not worked with a learner yet sits only beside somebody who has
    words                         for cases that do not say
    fair_over_weeks               weeks over which shares and loads are fair, the planned one the last of them
    prefer                        what decides between equally good plans
    solver                        how hard to search
    """

    name: str = "default"
    start_every_minutes: int = 15
    settle_minutes: int = 5
    rest_minutes: int = 30
    probes_per_target_per_day: int = 1
    probes_per_target_per_week: int = 4
    days: tuple[int, ...] = (0, 1, 2, 3, 4, 5, 6)
    cover: str = Target.cover
    trials: int = Target.trials
    pass_mark: PassMark = Target.pass_mark
    minutes: int = Target.minutes
    generalised_when: Mapping[str, int] = field(default_factory=dict)
    generalised_untaught: bool = False
    maintenance_days: tuple[int, ...] = ()
    maintenance_tolerance_days: int = 0
    maintenance_after_lapse_days: int = 0
    plan_teaching: bool = False
    teach: Teach = Target.teach
    teaching_minutes: int = Target.teaching_minutes
    teachings_before_retest: int = Target.teachings_before_retest
    retest_after_days: int = Target.retest_after_days
    teaching_per_week: int = Target.teaching_per_week
    taught_when: PassMark | None = Target.taught_when
    criterion_days: int = Target.criterion_days
    teachings_per_target_per_day: int = 1
    teachings_per_target_per_week: int = 3
    teaching_first: bool = False
    probe_after_teaching: bool = False
    new_wait_where_it_breaks: bool = False
    new_wait_after_lapse: bool = False
    baseline_per_target: int = 0
    alarm_minutes: int | None = None
    observed_share: float = 0.0
    follow_term: bool = False
    accompany_new_adults: bool = False
    words: Words = Words.TRADE
    fair_over_weeks: int = 1
    prefer: Preferences = field(default_factory=Preferences)
    solver: SolverLimits = field(default_factory=SolverLimits)
