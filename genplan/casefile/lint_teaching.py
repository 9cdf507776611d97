"""Warnings about teaching: what is asked for and can never be planned as it is asked for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping

from genplan.case import Case, Target, TargetState
from genplan.case.second_adults import can_be_taught
from genplan.casefile.at_any_age import possible_at_any_age
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.lint import tell
from genplan.language import _, ngettext


def most_in_a_week(case: Case, target: Target) -> int:
    """Teachings of a target that the days and limits of any week have room for; hours are not asked about."""
    policy, limits = case.policy, case.learners[target.learner].limits
    a_day = policy.teachings_per_target_per_day
    if limits.teachings_per_day is not None:
        a_day = min(a_day, limits.teachings_per_day)
    return min(policy.teachings_per_target_per_week, a_day * len(policy.days))


def _still_taught(case: Case) -> list[Target]:
    """The targets that are owed teaching by the week."""
    wanted = (t for t in case.targets.values() if t.state is TargetState.TEACHING and t.teaching_per_week)
    return list(wanted)


def _teaching_is_planned(case: Case, notes: Diagnostics) -> None:
    if case.policy.plan_teaching:
        return
    for target in _still_taught(case):
        if ("targets", target.id, "teaching_per_week") in notes.marks:
            found = ngettext(
                "{n} teaching a week, and none is planned in this case",
                "{n} teachings a week, and none is planned in this case",
                target.teaching_per_week,
            )
            hint = _("write 'plan_teaching: yes' in the policy")
            notes.warning(("targets", target.id, "teaching_per_week"), found, "", hint)


def _teaching_has_a_place(case: Case, notes: Diagnostics) -> None:
    lacking = [t for t in _still_taught(case) if not t.taught]
    found = _("nothing says in which combination it is to be taught, so no teaching is planned")
    hint = _(
        "add what teaching uses, such as 'taught: [{adult: mum, location: home, material_set: jackets}]'"
    )
    if case.policy.plan_teaching:
        tell(lacking, "teaching_per_week", "", found, hint, notes)


def _somebody_may_teach(case: Case, notes: Diagnostics) -> None:
    for target in _still_taught(case) if case.policy.plan_teaching else ():
        for i, pattern in enumerate(target.taught, 1):
            held = target.holding(pattern)
            possible = [c for c in held if possible_at_any_age(case, target, c)]
            if not held or any(can_be_taught(case, target, c) for c in possible):
                continue
            at = ("targets", target.id, "taught", str(i))
            where = ", ".join(pattern.values())
            if not possible:
                hint = _("check who works with whom and goes where, where sets are kept, and 'never'")
                notes.warning(
                    at, _("{where}, which is not possible, so it is not taught there", where=where), "", hint
                )
            else:
                found = _(
                    "{where}, where nobody may teach it: neither the adult nor anybody who may sit beside",
                    where=where,
                )
                notes.warning(at, found, "", who_is_to_teach(target))


def who_is_to_teach(target: Target) -> str:
    return _(
        "add '{target}' to the 'teaches' of an adult who works with {learner} and goes there",
        target=target.id,
        learner=target.learner,
    )


def _a_week_holds_the_teaching(case: Case, notes: Diagnostics) -> None:
    for (wanted, most), targets in _too_many(case, _still_taught(case), "teaching_per_week").items():
        found = _(
            "{wanted} teachings a week, and a week holds at most {most} of a target", wanted=wanted, most=most
        )
        hint = _(
            "lower it, or allow more: of a target a week and a day ('teachings_per_target_per_week' and '…_per_day' of "
            "the policy), or of the child a day ('teachings_per_day')"
        )
        tell(targets, "teaching_per_week", "", found, hint, notes)
    probed = [t for t in case.mastered if t.teachings_before_retest > 1]
    for (wanted, most), targets in _too_many(case, probed, "teachings_before_retest").items():
        weeks = -(-wanted // most)
        found = _(
            "{wanted} teachings before a retest, and a week holds at most {most} of a target",
            wanted=wanted,
            most=most,
        )
        hint = _(
            "a retest then comes after {weeks} weeks of teaching at "
            "the soonest: lower it, if that is not meant",
            weeks=weeks,
        )
        tell(targets, "teachings_before_retest", "", found, hint, notes)


def _too_many(case: Case, targets: Iterable[Target], key: str) -> Mapping[tuple[int, int], list[Target]]:
    """The targets that ask for more than a week holds, by what they ask for and what it holds."""
    found: dict[tuple[int, int], list[Target]] = defaultdict(list)
    for target in targets if case.policy.plan_teaching else ():
        most, wanted = most_in_a_week(case, target), getattr(target, key)
        if wanted > most:
            found[wanted, most].append(target)
    return found


def _a_teaching_fits(case: Case, notes: Diagnostics) -> None:
    for target in case.targets.values() if case.policy.plan_teaching else ():
        limit = case.learners[target.learner].limits.sitting_minutes
        needed = case.policy.settle_minutes + target.teaching_minutes
        if limit is not None and needed > limit and target.state is not TargetState.PAUSED:
            found = _(
                "a teaching of {minutes} minutes after {settle} to settle",
                minutes=target.teaching_minutes,
                settle=case.policy.settle_minutes,
            )
            expected = _(
                "no more than the {limit} minutes that a sitting of {learner} may last",
                limit=limit,
                learner=target.learner,
            )
            at = ("targets", target.id, "teaching_minutes")
            notes.warning(at, found, expected, _("it will never be planned as it is"))


def _held_out_can_be_probed(case: Case, notes: Diagnostics) -> None:
    for target in case.targets.values():
        for i, pattern in enumerate(target.hold_out, 1):
            if not any(possible_at_any_age(case, target, c) for c in target.holding(pattern)):
                found = _(
                    "{values} held out, which no possible combination holds",
                    values=", ".join(pattern.values()),
                )
                hint = _("check the target's values and 'never', and who goes where")
                notes.warning(("targets", target.id, "hold_out", str(i)), found, "", hint)


def _days_count_for_a_criterion(case: Case, notes: Diagnostics) -> None:
    for target in case.targets.values():
        at = ("targets", target.id, "criterion_days")
        if at in notes.marks and target.criterion is None:
            found = _("no criterion for mastery, so there is nothing to be met on so many days")
            notes.warning(at, found, "", _("add 'criterion: 9/10', or what the practitioner says"))


def _who_teaches_is_briefed(case: Case, notes: Diagnostics) -> None:
    """`teaches: all` is meant for whoever only sits beside; a list that goes beyond `briefed_on` may be a slip."""
    for adult in case.adults.values():
        named = ("adults", adult.id, "teaches", "1") in notes.marks
        beyond = [t for t in sorted(adult.teaches or ()) if not adult.is_briefed_on(t)] if named else []
        if beyond:
            found = _(
                "{targets}, on which {adult} is not briefed and so teaches it only beside another",
                targets=", ".join(beyond),
                adult=adult.id,
            )
            hint = _("add it to 'briefed_on', if sittings of it may be with this adult")
            notes.warning(("adults", adult.id, "teaches"), found, "", hint)


LONG_AFTER = 56
"""Days from teaching to retest beyond which a slip is likelier than a wish; common practice, no source."""


def _a_retest_comes_in_time(case: Case, notes: Diagnostics) -> None:
    late: dict[int, list[Target]] = defaultdict(list)
    for target in case.mastered:
        if target.retest_after_days > LONG_AFTER:
            late[target.retest_after_days].append(target)
    for days, targets in late.items():
        found = _("{days} days: what was not met and is taught again waits so long for its retest", days=days)
        hint = _(
            "these are days after the last teaching, and a few are the rule: lower it, if that is not meant"
        )
        tell(targets, "retest_after_days", "", found, hint, notes)


CHECKS: tuple[Callable[[Case, Diagnostics], None], ...] = (
    _teaching_is_planned,
    _teaching_has_a_place,
    _somebody_may_teach,
    _a_week_holds_the_teaching,
    _a_teaching_fits,
    _held_out_can_be_probed,
    _days_count_for_a_criterion,
    _who_teaches_is_briefed,
    _a_retest_comes_in_time,
)


def lint_teaching(case: Case, notes: Diagnostics) -> None:
    for check in CHECKS:
        check(case, notes)
