"""What results say of teaching, as warnings: it is owed and cannot come, it was run and does not count, or it has
reached its end."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from genplan.case import Case, Combination, Target
from genplan.case.second_adults import can_be_taught
from genplan.casefile.at_any_age import possible_at_any_age
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.lint_teaching import who_is_to_teach
from genplan.casefile.loading import Loaded
from genplan.evidence.effective_rows import log_until
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.mastery import criterion_met
from genplan.evidence.results import FILE_NAME
from genplan.evidence.standing import Standing, standings
from genplan.findings import Finding, Severity
from genplan.language import _, ngettext


def about_teaching(loaded: Loaded, case: Case, log: Log) -> tuple[Finding, ...]:
    """What failed and nobody may teach, at its target; and rows of teaching without the counts that would make them
    count, at their lines, where something still waits for them."""
    notes = Diagnostics(str(loaded.folder), dict(loaded.marks))
    if case.policy.plan_teaching:
        for target in case.mastered:
            if waiting := _waiting(case, target, log):
                _nobody_may_teach(case, target, sorted(waiting), notes)
    elif not says_whether_to_plan_it(loaded):
        _no_week_holds_it(sum(len(_waiting(case, target, log)) for target in case.mastered), notes)
    return (*notes.findings, *rows_that_pay_nothing(case, log))


def says_whether_to_plan_it(loaded: Loaded) -> bool:
    """Whether the case, or a policy file of its own, decided on 'plan_teaching'."""
    return ("policy", "plan_teaching") in loaded.marks


def rows_that_pay_nothing(case: Case, log: Log) -> tuple[Finding, ...]:
    """Rows of teaching without the counts that would make them count, where something still waits for them."""
    return tuple(
        _not_counted(target, row)
        for target in case.mastered
        if target.taught_when is not None
        for combination, standing in _waiting(case, target, log).items()
        for row in _uncounted(target, log, combination, standing)
    )


def _waiting(case: Case, target: Target, log: Log) -> dict[Combination, Standing]:
    return {
        c: s
        for c, s in standings(target, log).items()
        if s.waits_for_teaching and possible_at_any_age(case, target, c)
    }


def _no_week_holds_it(number: int, notes: Diagnostics) -> None:
    if not number:
        return
    found = ngettext(
        "{n} combination that was not met waits for teaching, and no week of this case holds teaching",
        "{n} combinations that were not met wait for teaching, and no week of this case holds teaching",
        number,
    )
    hint = _(
        "write 'policy: caseload', 'policy: family' or, in a policy of your own, 'plan_teaching: yes'; or teach it"
        " beside the plan and write it down"
    )
    notes.warning(("policy",), found, "", hint)


def _nobody_may_teach(case: Case, target: Target, waiting: Sequence[Combination], notes: Diagnostics) -> None:
    """What is held out, or is to be answered by the fewest combinations, is taught in others: of that it is enough if
    one can be."""
    elsewhere = [c for c in waiting if target.is_taught_elsewhere(c)]
    stuck = [c for c in waiting if c not in elsewhere and not can_be_taught(case, target, c)]
    if elsewhere and not _any_can_be_taught(case, target):
        stuck += elsewhere
    if stuck:
        found = _(
            "{combination}, not met and to be taught, and nobody may teach it there",
            combination=", ".join(stuck[0]),
        )
        if len(stuck) > 1:
            found = _(
                "{combination} (and {number} more), not met and to be taught, and nobody may teach it there",
                combination=", ".join(stuck[0]),
                number=len(stuck) - 1,
            )
        notes.warning(("targets", target.id), found, "", who_is_to_teach(target))


def _any_can_be_taught(case: Case, target: Target) -> bool:
    """A target that no adult may teach at all is answered without a look at each combination."""
    if not any(a.may_teach(target.id) for a in case.adults.values()):
        return False
    return any(
        can_be_taught(case, target, c) for c in target.combinations() if possible_at_any_age(case, target, c)
    )


def _uncounted(target: Target, log: Log, combination: Combination, standing: Standing) -> Iterable[Result]:
    """Rows of teaching since the failure that have no counts, where a mark is asked for."""
    if standing.last_date is None:
        return
    rows = [r for r in log.of_target(target.id) if r.combination == combination]
    failed = max(i for i, r in enumerate(rows) if r.kind.is_test and r.trials)
    yield from (r for r in rows[failed:] if r.kind is ResultKind.TEACHING and not r.trials)


def about_mastery(loaded: Loaded, case: Case, log: Log, today: date) -> tuple[Finding, ...]:
    """A target in teaching that meets its criterion today, at its state: people decide on it."""
    known = log_until(log, today)
    notes = Diagnostics(str(loaded.folder), dict(loaded.marks))
    for target in case.targets.values():
        if met := criterion_met(target, known):
            found = _(
                "'teaching', and its criterion of {criterion} is met since {day}",
                criterion=target.criterion,
                day=met.since,
            )
            hint = _("ask the practitioner, then set 'state: mastered'")
            notes.warning(("targets", target.id, "state"), found, "", hint)
    return tuple(notes.findings)


def _not_counted(target: Target, row: Result) -> Finding:
    found = _(
        "teaching without trials, which does not count: 'taught_when' of {target} asks for {mark}",
        target=target.id,
        mark=target.taught_when,
    )
    hint = _("write down how many trials there were and how many of them were correct without help")
    return Finding(FILE_NAME, row.line, "trials", found, "", hint, Severity.WARNING)
