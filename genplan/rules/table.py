"""The table of rules: each plain rule with the solver's encoding of it and the auditor's check, by name.

The auditor shares no code with anything here, and the solver speaks of variables; so three hands write each rule, and
`tests/rules/test_rules_agree.py` holds that none is missing and that all three say the same of small weeks.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from genplan.rules import amounts, clashes, teaching, together, wishes
from genplan.rules.limits import Kind


@dataclass(frozen=True, kw_only=True)
class Rule:
    """`kinds` are the limits that `plain` may give; `encodings` stand in `planning/solver`, `checks` in
    `genplan/audit`."""

    kinds: tuple[Kind, ...]
    plain: Callable[..., Any]
    encodings: tuple[str, ...]
    checks: tuple[str, ...]


RULES = (
    Rule(
        kinds=(Kind.LEARNER_TIME,),
        plain=clashes.learner_time,
        encodings=("learner_rests_between_sittings", "learner_travels"),
        checks=("learner_in_one_sitting",),
    ),
    Rule(
        kinds=(Kind.ADULT_TIME,),
        plain=clashes.adult_time,
        encodings=("adult_is_in_one_place",),
        checks=("adult_in_one_sitting",),
    ),
    Rule(
        kinds=(Kind.ROOM,),
        plain=clashes.room,
        encodings=("location_holds_its_capacity",),
        checks=("location_holds_them",),
    ),
    Rule(
        kinds=(Kind.COPIES,),
        plain=clashes.set_in_use,
        encodings=("material_sets_are_not_in_two_places",),
        checks=("sets_are_enough", "single_copies_travel"),
    ),
    Rule(
        kinds=(Kind.SET_MISSING,),
        plain=clashes.set_missing,
        encodings=("sets_are_there",),
        checks=("sets_are_there",),
    ),
    Rule(
        kinds=tuple(a.kind for a in amounts.LEARNER_AMOUNTS),
        plain=amounts.learner_amounts,
        encodings=("learner_amounts_hold", "probes_only_in_held_sittings", "sitting_minutes_hold"),
        checks=("learner_limits", "one_sitting_holds"),
    ),
    Rule(
        kinds=tuple(a.kind for a in amounts.ADULT_AMOUNTS),
        plain=amounts.adult_amounts,
        encodings=("adult_amounts_hold",),
        checks=("adult_limits",),
    ),
    Rule(
        kinds=(
            Kind.TARGET_SITTING,
            Kind.TARGET_DAY,
            Kind.TARGET_WEEK,
            Kind.TEACHINGS_DAY,
            Kind.TEACHINGS_WEEK,
        ),
        plain=amounts.target_amounts,
        encodings=("probes_only_in_held_sittings", "target_limits_hold"),
        checks=("one_sitting_holds", "target_limits"),
    ),
    Rule(
        kinds=(Kind.COMPANION,),
        plain=together.can_sit_beside,
        encodings=("_companion",),
        checks=("new_adults_have_company", "second_adult_may_be_there"),
    ),
    Rule(
        kinds=(Kind.AFTER_TEACHING,),
        plain=teaching.taught_before,
        encodings=("nothing_is_probed_after_teaching",),
        checks=("nothing_is_probed_after_teaching",),
    ),
    Rule(
        kinds=(Kind.TEACHER, Kind.TEACHER_TAKEN),
        plain=teaching.may_all_be_taught,
        encodings=("_teachers_for",),
        checks=("teachers_may_teach",),
    ),
    Rule(
        kinds=(Kind.WISHED_APART,),
        plain=wishes.wished_apart,
        encodings=("things_apart_keep_apart",),
        checks=("what_is_apart_is_apart",),
    ),
)
