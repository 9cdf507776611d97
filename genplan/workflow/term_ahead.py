"""Several weeks planned ahead for the dates that lie in them: the term of a case folder."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.errors import AuditError
from genplan.findings import Finding
from genplan.language import ngettext
from genplan.workflow.days_ill import kept_free
from genplan.workflow.facts_to_plan_by import TERM_WEEKS, FactsToPlanBy, facts_of
from genplan.workflow.opened_case import Opened, Progress, open_case, wanted_week
from genplan.workflow.solving import solvers
from genplan.workflow.watching import Watch

if TYPE_CHECKING:
    from concurrent.futures import Executor
    from datetime import datetime

    from genplan.plan import Note
    from genplan.plan.term import Term
    from genplan.planning.budget import Budget
    from genplan.planning.progress import Say
    from genplan.planning.term.wanted import ToldProbe

FOLLOWED_SHARE = 0.3
"""Of the time of a run; the plan of a week that follows the term has the rest, and what the term leaves."""


@dataclass(frozen=True)
class TermView:
    """The term of a case, made at `now`, and the warnings on the way. `begun`: its first week has begun, and only what
    is still ahead of that is counted. `not_counted`: what is over and not written down, and what people were told of
    before it and cannot be held any more."""

    case: Case
    term: Term
    now: datetime
    begun: bool
    findings: tuple[Finding, ...]
    about_week: tuple[Finding, ...] = ()
    not_counted: tuple[Note, ...] = ()


def term(
    folder: Path,
    week: Week | None,
    now: datetime | None,
    weeks: int,
    progress: Progress,
    out: Path | None = None,
) -> TermView:
    """So many weeks from `week` on (the one after now if left out) planned for the dates in them. With `out` it is
    written into that folder as term.html, term.csv and term.json. Raises as `plan` does."""
    from genplan.workflow.notes_of_plan import unwritten_notes, with_what_is_written
    from genplan.workflow.planning import budget_of

    opened = open_case(folder, now)
    budget = budget_of(opened)
    first = wanted_week(week, opened.now)
    ahead = first.run(weeks)
    facts = facts_of(opened, first, until=ahead[-1])
    facts = replace(facts, kept=tuple(with_what_is_written(facts.kept, opened.log, opened.now)))
    watch = Watch(progress)
    with solvers(watch) as executor:
        told = _told_in(opened, facts, ahead)
        found = term_of_facts(opened, facts, ahead, executor, watch, budget, told)
    begun = first.monday <= opened.now.date()
    findings = (*opened.findings, *facts.findings)
    lost = (*unwritten_notes(opened, first.next()), *facts.told_before.not_counted)
    view = TermView(opened.case, found, opened.now, begun, findings, facts.findings, lost)
    if out is not None:
        _write(out, view)
    return view


def _told_in(
    opened: Opened, facts: FactsToPlanBy, weeks: Sequence[Week]
) -> Mapping[int, frozenset[ToldProbe]]:
    """Of each of the weeks that people were told of its number and its probes that are ahead. Raises CaseError."""
    from genplan.keeping.past_of_week import to_plan_from
    from genplan.keeping.store import read_kept

    found = {}
    for number, week in enumerate(weeks):
        if kept := read_kept(opened.folder, week, opened.case):
            ahead = facts.kept if not number else to_plan_from(kept, opened.case, facts.log, opened.now)
            found[number] = frozenset(
                (p.target, p.combination, s.start.weekday())
                for s in ahead
                if s.start >= opened.now
                for p in s.probes
                if p.kind.is_probe
            )
    return found


def term_of_facts(
    opened: Opened,
    facts: FactsToPlanBy,
    weeks: Sequence[Week],
    executor: Executor,
    progress: Say,
    budget: Budget,
    told: Mapping[int, frozenset[ToldProbe]] | None = None,
) -> Term:
    """The term of these weeks, of which `facts` are those of the first; the auditor has counted it once more. `told`
    are the weeks that stay as they are: none in a term by which a week is planned again."""
    from genplan.audit.term import audit_term
    from genplan.planning.jobs import Workers
    from genplan.planning.term.compose import term_of
    from genplan.planning.term.wanted import TermFacts
    from genplan.planning.week_context import week_context_of

    opened = kept_free(opened)
    progress(ngettext("planning {n} week ahead", "planning {n} weeks ahead", len(weeks)))
    ground = week_context_of(opened.case, facts.log, weeks[0], opened.now, facts.busy, facts.kept)
    given = TermFacts(case=opened.case, ground=ground, weeks=tuple(weeks), busy=facts.busy, told=told or {})
    found = term_of(given, Workers(executor, progress, budget))
    if complaints := audit_term(opened.case, facts.log, found, opened.now, facts.busy, facts.kept):
        raise AuditError(complaints)
    return found


def term_to_follow(
    opened: Opened, facts: FactsToPlanBy, week: Week, executor: Executor, progress: Say, budget: Budget
) -> Term | None:
    """The term that begins with the week, where the policy has weeks follow one."""
    if not opened.case.policy.follow_term:
        return None
    return term_of_facts(opened, facts, week.run(TERM_WEEKS), executor, progress, budget.part(FOLLOWED_SHARE))


def _write(out: Path, view: TermView) -> None:
    from genplan.folders import write_folder
    from genplan.report.tables import csv_bytes
    from genplan.report.term_document import term_json
    from genplan.report.term_page import term_page
    from genplan.report.term_table import term_table

    files = {
        "term.csv": csv_bytes(term_table(view.case, view.term)),
        "term.html": term_page(
            view.case, view.term, view.now, begun=view.begun, not_counted=view.not_counted
        ).encode(),
        "term.json": term_json(view.case, view.term, view.now),
    }
    write_folder(out, files)
