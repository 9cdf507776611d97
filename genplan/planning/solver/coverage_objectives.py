"""Objectives of what a week shows: what is due, dated or asked for, new tuples, and what is left for later."""

from __future__ import annotations

from genplan.case.people import NEEDS_SCALE
from genplan.evidence.standing import Status
from genplan.plan import ProbeKind
from genplan.planning.problem import asked_teachings
from genplan.planning.solver.covering import further_probes_of, shown_in_time
from genplan.planning.solver.slots import Bool, Linear, Whole, total
from genplan.planning.solver.variables import Variables, teachings_of
from genplan.planning.teaching_due import TeachingDue

SHARE_SCALE = 1000
TOLLS_A_TUPLE = 100


def due_probes(v: Variables) -> Linear | None:
    """Maintenance probes and retests; a maintenance probe whose date is before this week counts twice. And baseline
    probes: once it is taught there, it is too late for one."""
    monday = v.problem.week.monday
    terms = []
    for need in v.problem.needs:
        overdue = need.maintenance is not None and need.maintenance.due < monday
        terms += [(2 if overdue else 1) * p for p in v.probes_of(need.id, ProbeKind.MAINTENANCE)]
        terms += v.probes_of(need.id, ProbeKind.RETEST)
        terms += v.probes_of(need.id, ProbeKind.BASELINE)
    return sum(terms) if terms else None


def dated_tuples(v: Variables) -> Linear | None:
    terms = [term for n in v.problem.needs for term in shown_in_time(v, n, n.dated)]
    return sum(terms) if terms else None


def wished_tuples(v: Variables) -> Linear | None:
    terms = [term for n in v.problem.needs for term in shown_in_time(v, n, n.wished)]
    return sum(terms) if terms else None


def teachings(v: Variables) -> Linear | None:
    """Each teaching that is owed counts 1, and 1 more where a probe waits for the last of them."""
    terms: list[Linear] = []
    for due, count in v.taught:
        terms.append(count)
        if due.unlocks:
            terms.append(_reaches(v, due, count, due.times))
    return total(terms) if terms else None


def weeks_waited(v: Variables) -> Linear | None:
    """The whole weeks that what is taught has waited, once for all teachings that one combination is owed."""
    terms = [due.waited * _reaches(v, due, count, 1) for due, count in v.taught if due.waited]
    return total(terms) if terms else None


def _reaches(v: Variables, due: TeachingDue, count: Whole, times: int) -> Linear:
    """Whether what is owed is taught so many times."""
    if due.times == 1:
        return count
    enough = v.model.new_bool_var(f"{count.name} reach {times}")
    v.model.add(times * enough <= count)
    return enough


def smallest_share(v: Variables) -> Linear | None:
    """The new tuples of the learner who is worst off, as a share of the most that this learner could have alone; what
    the weeks before gave is added to both."""
    alone = {learner: most for learner, most in sorted(v.problem.alone.items()) if most > 0}
    if len(v.problem.learners) < 2 or not alone:
        return None
    share = v.model.new_int_var(0, SHARE_SCALE, "smallest share")
    for learner in v.problem.learners:
        if learner in alone:
            had = v.problem.before.tuples.get(learner, 0)
            v.model.add(share * (had + alone[learner]) <= SHARE_SCALE * (had + sum(_new_of(v, learner))))
    return share


def new_tuples(v: Variables) -> Linear | None:
    """Tuples shown for the first time, weighted by what each learner needs."""
    terms = []
    for learner in v.problem.learners:
        weight = v.problem.case.learners[learner].weight
        terms += [weight * covered for covered in _new_of(v, learner)]
    return sum(terms) if terms else None


def asked_tuples(v: Variables) -> Linear | None:
    """Each tuple that is asked for, and each teaching."""
    terms = [v.covered[key] for key in sorted(v.problem.asked)]
    for need, due in asked_teachings(v.problem):
        terms += teachings_of(v, need.id, due)
    return sum(terms) if terms else None


def worth(v: Variables) -> Linear | None:
    """New tuples, weighted, less the toll of each sitting with an adult or at a place that has one."""
    tuples, tolls = new_tuples(v), v.problem.tolls
    if tuples is None:
        return None
    due = [tolls.get(("adult", s.adult), 0) + tolls.get(("location", s.location), 0) for s in v.slots]
    whole = NEEDS_SCALE // TOLLS_A_TUPLE
    return tuples - sum(whole * toll * s.present for toll, s in zip(due, v.slots, strict=True) if toll)


def changes_at_once(v: Variables) -> Linear | None:
    """Where the policy asks for one change at a time: for each new probe the dimensions, beyond one, in which it
    differs from the nearest combination that was met or taught."""
    if not v.problem.case.policy.prefer.one_change_at_a_time:
        return None
    terms = []
    for need in v.problem.needs:
        known = [c for c, s in need.tally.standings.items() if s.status in (Status.MET, Status.TAUGHT)]
        for _, choice, var in v.by_target[need.id] if known else ():
            if choice.kind is ProbeKind.NEW:
                changes = min(sum(a != b for a, b in zip(choice.combination, c, strict=True)) for c in known)
                terms.append((changes - 1) * var)
    return sum(terms) if terms else None


def further_probes(v: Variables) -> Linear | None:
    """Probes that would finish all targets after this week, at the least."""
    columns = further_probes_of(v)
    return sum(columns) if columns else None


def _new_of(v: Variables, learner: str) -> list[Bool]:
    return [v.covered[n.id, t] for n in v.problem.needs_of(learner) for t in sorted(n.open)]
