"""Rules of the second adult of a sitting, and the share of each learner's probes that have an observer."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from fractions import Fraction
from math import ceil

from genplan.audit.context import AuditContext, name
from genplan.audit.who_may_teach import is_kept_away, may_teach
from genplan.case import Target
from genplan.evidence.log import Result, ResultKind
from genplan.plan import Sitting

WEEKS_BEFORE = 4


def second_adult_has_a_part(matter: AuditContext) -> Iterator[str]:
    """Nobody sits beside without a part, and nobody beside themselves."""
    for s in matter.new:
        if bool(s.beside) != bool(s.beside_as.value):
            yield f"{name(s)}: '{s.beside}' is beside as '{s.beside_as.value}'."
        elif s.beside == s.adult:
            yield f"{name(s)}: adult {s.adult} runs it and is beside too."


def second_adult_may_be_there(matter: AuditContext) -> Iterator[str]:
    for s in matter.new:
        if not s.beside:
            continue
        adult = matter.case.adults[s.beside]
        if adult.learners is not None and s.learner not in adult.learners:
            yield f"{name(s)}: {s.beside}, who is beside, does not work with the learner."
        if adult.locations is not None and s.location not in adult.locations:
            yield f"{name(s)}: {s.beside}, who is beside, does not go to the location."
        for probe in s.probes:
            target = matter.case.targets[probe.target]
            if is_kept_away(target, probe.combination, s.beside):
                yield f"{name(s)}: {s.beside} is beside a probe of {target.id}, where that adult is never to be."


def observers_know_the_targets(matter: AuditContext) -> Iterator[str]:
    for s in matter.new:
        if s.beside_as.value != "observer":
            continue
        if not matter.case.policy.observed_share:
            yield f"{name(s)}: it has an observer, and the policy asks for none."
        if not any(probe.kind.is_test for probe in s.probes):
            yield f"{name(s)}: it has an observer, and no probe to observe."
        briefed = matter.case.adults[s.beside].briefed_on
        for probe in s.probes:
            if briefed is not None and probe.target not in briefed:
                yield f"{name(s)}: its observer {s.beside} is not briefed on {probe.target}."


def new_adults_have_company(matter: AuditContext) -> Iterator[str]:
    """An adult without a result with the learner has a companion, and a companion has results."""
    asked = matter.case.policy.accompany_new_adults
    for s in matter.new:
        accompanied = s.beside_as.value == "companion"
        if asked and not has_worked_with(matter, s.adult, s.learner) and not accompanied:
            yield f"{name(s)}: {s.adult} has not worked with the learner yet, and nobody who has is beside."
        if not accompanied:
            continue
        if not asked or has_worked_with(matter, s.adult, s.learner):
            yield f"{name(s)}: it has a companion, and needs none."
        if not has_worked_with(matter, s.beside, s.learner):
            yield f"{name(s)}: its companion {s.beside} has not worked with the learner."


def teachers_may_teach(matter: AuditContext) -> Iterator[str]:
    """Where the adult of the sitting may not teach what is taught in it, somebody beside may, as its teacher or its
    companion; nobody is a teacher beside for nothing."""
    for s in matter.new:
        adult, needed = matter.case.adults[s.adult], False
        for probe in s.probes:
            target = matter.case.targets[probe.target]
            if probe.kind.is_probe or may_teach(adult, target):
                continue
            needed = True
            if s.beside_as.value not in ("teacher", "companion"):
                yield f"{name(s)}: {s.adult} may not teach {target.id}, and nobody who may is beside."
            elif not may_teach(matter.case.adults[s.beside], target):
                yield f"{name(s)}: neither {s.adult} nor {s.beside} may teach {target.id}."
        if s.beside_as.value == "teacher" and not needed:
            yield f"{name(s)}: it has a teacher beside, and needs none."


def has_worked_with(matter: AuditContext, adult: str, learner: str) -> bool:
    for target in matter.case.targets.values():
        if target.learner != learner:
            continue
        if any(pattern.get("adult") == adult for pattern in target.taught):
            return True
        for row in matter.rows.get(target.id, []):
            if row.combination[0] == adult and row.kind is not ResultKind.NOT_RUN:
                return True
    return False


def observed_shares(matter: AuditContext) -> Iterator[str]:
    """The figures of each learner, counted once more from the rows and the sittings. Teaching is not observed, and a
    baseline probe counts neither when it is planned nor when it was run."""
    share = matter.case.policy.observed_share
    rows = {row.learner: row for row in matter.plan.observed}
    if len(rows) != len(matter.plan.observed) or not rows.keys() <= matter.case.learners.keys():
        yield "The shares that are observed: a learner is there twice, or is not known."
    for learner in matter.case.learners:
        probes, observed, new = _observed(matter, learner)
        row = rows.get(learner)
        if not share or not probes:
            if row is not None:
                yield f"Learner {learner}: a share is told, and there is nothing to observe."
            continue
        wanted = ceil(Fraction(str(share)) * probes)
        if row is None:
            yield f"Learner {learner}: the share that is observed is not told."
        elif (row.probes, row.observed, row.new, row.wanted) != (probes, observed, new, wanted):
            said = f"{row.observed} of {row.probes} observed, {row.new} of them new, {row.wanted} wanted"
            yield f"Learner {learner}: {said}; counted {observed} of {probes}, {new}, {wanted}."


def _observed(matter: AuditContext, learner: str) -> tuple[int, int, int]:
    """Probes run in the weeks before or planned in this one, those with an observer, and those of them still ahead."""
    probes = observed = new = 0
    own = [t for t in matter.case.targets.values() if t.learner == learner]
    for target in own:
        for row in _that_count(matter, target):
            probes += 1
            observed += row.is_observed
    for s in matter.by_learner.get(learner, []):
        for probe in s.probes:
            if not probe.kind.is_test:
                continue
            if not _is_written_down(matter, s, probe.target, probe.combination):
                probes += 1
                observed += s.beside_as.value == "observer"
            if not s.begun:
                new += s.beside_as.value == "observer"
    return probes, observed, new


def _that_count(matter: AuditContext, target: Target) -> list[Result]:
    """Tests since four weeks before the week until its end; of several of one probe the last line."""
    first = matter.monday.date() - timedelta(weeks=WEEKS_BEFORE)
    last = matter.monday.date() + timedelta(days=6)
    found: dict[object, Result] = {}
    for row in matter.rows.get(target.id, []):
        if first <= row.date <= last and row.kind.value in ("probe", "maintenance"):
            key = (row.combination, row.date, row.time)
            if key not in found or found[key].line < row.line:
                found[key] = row
    return [row for row in found.values() if row.trials]


def _is_written_down(matter: AuditContext, s: Sitting, target: str, combination: tuple[str, ...]) -> bool:
    return any(
        row.combination == combination and row.date == s.start.date() and row.kind.value != "teaching"
        for row in matter.rows.get(target, [])
    )


BESIDE_RULES = (
    second_adult_may_be_there,
    observers_know_the_targets,
    new_adults_have_company,
    teachers_may_teach,
)
BESIDE_FIGURES = (observed_shares,)
