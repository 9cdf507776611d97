"""A week that people are told of: kept, and planned again from now on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.errors import FileError, UsageError, reason_of
from genplan.files import make_folders
from genplan.findings import Finding
from genplan.language import _, for_files
from genplan.workflow.days_ill import kept_free
from genplan.workflow.facts_to_plan_by import facts_of
from genplan.workflow.opened_case import (
    Opened,
    Progress,
    kept_ahead,
    known_busy,
    open_case,
    refuse_past,
    wanted_week,
)
from genplan.workflow.planning import PlanOutcome, budget_of, plan_opened
from genplan.workflow.saved_plans import plan_in
from genplan.workflow.solving import solvers
from genplan.workflow.watching import Watch
from genplan.workflow.week_as_told import first_told
from genplan.workflow.writing import write_plan

if TYPE_CHECKING:
    from genplan.keeping.differences import Difference
    from genplan.keeping.saved_plan import SavedPlan
    from genplan.keeping.to_tell import ToTell
    from genplan.keeping.told import KeptWeek, Told
    from genplan.plan import Sitting


MOST_TOLD = 3


@dataclass(frozen=True)
class Kept:
    """`differences` are what people have to be told, against what they were told before; `again` is what was to be told
    then, and may not have been sent; `first`: they were told nothing. `folder` holds the week's files. `named`: the
    case got an id of its own with it."""

    case: Case
    week: Week
    folder: Path
    first: bool
    differences: tuple[Difference, ...]
    findings: tuple[Finding, ...]
    named: bool = False
    again: tuple[Difference, ...] = ()


def keep(
    folder: Path, week: Week | None, source: Path | None, now: datetime | None, progress: Progress
) -> Kept:
    """Makes a plan what people are told: the one in the folder `source`, or else a new one of the week.

    Raises UsageError for a week that is over, or a plan that was made before what is kept; as `plan` does else."""
    if source is None:
        return _keep_new(open_case(folder, now), week, progress)
    opened = open_case(folder, now)
    plan = plan_in(source, opened.case, week)
    _refuse_broken(opened, plan)
    return keep_sittings(opened, plan.week, plan.sittings, plan.made)


def _keep_new(opened: Opened, week: Week | None, progress: Progress) -> Kept:
    budget, wanted, watch = budget_of(opened), wanted_week(week, opened.now), Watch(progress)
    with solvers(watch) as executor:
        outcome = plan_opened(opened, wanted, executor, watch, budget)
    return keep_sittings(opened, wanted, outcome.plan.sittings, opened.now)


def _refuse_broken(opened: Opened, plan: SavedPlan) -> None:
    """A plan is of the case as it was then: somebody may be away by now, or ill. Raises UsageError."""
    from genplan.audit import broken_rules
    from genplan.case.dated_facts import in_week
    from genplan.plan import Plan

    refuse_past(plan.week, opened.now)
    opened = kept_free(opened)
    case = in_week(opened.case, plan.week)
    busy, _findings = known_busy(opened.loaded, case, plan.week)
    # what had begun when it was planned is held already
    ahead = tuple(s for s in plan.sittings if s.start >= plan.made)
    if broken := broken_rules(case, Plan.of_sittings(plan.week, plan.made, ahead), busy):
        why = _why_not_held(opened, plan.week, ahead) or broken
        raise UsageError(
            _(
                "That plan cannot be held any more, since the case was changed after it was planned: {broken} "
                "Plan the week again, and keep that plan.",
                broken=" ".join(why[:MOST_TOLD]),
            )
        )


def _why_not_held(opened: Opened, week: Week, sittings: Sequence[Sitting]) -> tuple[str, ...]:
    """A sentence for each sitting that cannot be held by itself or beside the ones before it, with names."""
    from genplan.keeping.strange import strange_things
    from genplan.report.names_and_words import Names, day_words, meeting_words
    from genplan.report.told_week_lines import why_words
    from genplan.workflow.told_sittings import as_it_stands, context_of_told

    facts = facts_of(opened, week)
    context = context_of_told(opened, week, facts.log, facts.busy)
    strange = {s: next(strange_things(s, facts.case), None) for s in sittings}
    standing = as_it_stands(context, sittings, {s: what for s, what in strange.items() if what})
    names = Names(facts.case)
    return tuple(
        f"{day_words(t.sitting.start.date())}, {meeting_words(names, t.sitting)}: "
        f"{why_words(facts.case, t.against)}."
        for t in sorted(standing, key=lambda t: t.sitting.start)
        if t.against
    )


def keep_sittings(opened: Opened, week: Week, sittings: Sequence[Sitting], made: datetime) -> Kept:
    """Puts these sittings, planned at the moment `made`, under `weeks/`; all files of the week or none."""
    from genplan.folders import settle_folder, write_folder
    from genplan.keeping.banned import with_bans
    from genplan.keeping.cautions_told import with_cautions
    from genplan.keeping.differences import differences
    from genplan.keeping.revision import revise
    from genplan.keeping.store import folder_of, read_kept, unknown_ids, week_locked
    from genplan.keeping.to_tell import ToTell, to_tell
    from genplan.keeping.told import KeptWeek

    refuse_past(week, opened.now)
    had_none = not opened.case.case_id
    opened = _with_case_id(opened)
    case, now = opened.case, opened.now
    target = folder_of(opened.folder, week)
    try:
        make_folders(target.parent)
    except OSError as error:
        raise FileError(
            _(
                "{folder} cannot be made ({problem}). Nothing was kept.",
                folder=target.parent,
                problem=reason_of(error),
            )
        ) from error
    with week_locked(opened.folder, week):
        settle_folder(target)
        before = read_kept(opened.folder, week, case)
        told_before = before.told if before else ()
        changed = differences(told_before, sittings, now, case.wishes, case)
        _refuse_outdated(before, made, changed)
        _refuse_moved_begun(told_before, sittings, now)
        told = revise(told_before, sittings, now, settled=True, case_id=case.case_id, wishes=case.wishes)
        tellings = before.tellings if before else ()
        ever = [t for telling in tellings for t in telling.told]
        told = with_bans(case, with_cautions(case, told, now), now, told_before, ever, past=False)
        heard = before.heard if before else ()
        kept = before if before and told == told_before else KeptWeek(week, now, told, tellings, heard)
        tell = to_tell(tellings, kept.sittings, now, case.wishes, case) if changed else ToTell((), ())
        if strange := next(unknown_ids(kept, case), None):
            raise UsageError(
                _(
                    "The sitting {sitting} of that plan holds {what}: the case has "
                    "changed since. Plan the week again, and keep that plan.",
                    sitting=strange[0].id,
                    what=strange[1],
                )
            )
        write_folder(target, {**_change_files(case, target, before, kept, tell, now), **_files(case, kept)})
    named = had_none and bool(case.case_id)
    return Kept(case, week, target, before is None, changed, opened.findings, named, tell.again)


def _with_case_id(opened: Opened) -> Opened:
    """The case with an id of its own, written now if it had none; with a warning where the file has no place for it."""
    from genplan.casefile.identity import NoPlaceForALine, drawn, not_written, write_case_id

    if opened.case.case_id:
        return opened
    fresh = drawn()
    try:
        return replace(opened, case=replace(opened.case, case_id=write_case_id(opened.folder, fresh)))
    except NoPlaceForALine as problem:
        return replace(opened, findings=(*opened.findings, not_written(fresh, problem)))


def _refuse_moved_begun(before: Sequence[Told], sittings: Sequence[Sitting], now: datetime) -> None:
    """What a plan moves may have begun meanwhile, where people were told that it is: it would be held twice."""
    begun = {t.sitting.id: t.sitting for t in before if not t.cancelled and t.sitting.start < now}
    for s in sittings:
        if (told := begun.get(s.id)) and told.start != s.start:
            raise UsageError(
                _(
                    "That plan moves the sitting {sitting}, which has begun since. Plan the week again: then it "
                    "starts from what was held.",
                    sitting=s.id,
                )
            )


def _refuse_outdated(before: KeptWeek | None, made: datetime, changed: Sequence[Difference]) -> None:
    if before is not None and changed and made < before.kept:
        raise UsageError(
            _(
                "That plan was made at {made:%Y-%m-%d %H:%M}, before what people were told at "
                "{kept:%Y-%m-%d %H:%M}. Plan the week again: then it starts from what they know.",
                made=made,
                kept=before.kept,
            )
        )


@for_files()
def _change_files(
    case: Case, target: Path, before: KeptWeek | None, kept: KeptWeek, tell: ToTell, now: datetime
) -> dict[str, bytes]:
    """What changes for each person, ready to send; of a week that is kept again as it is what was to be sent before.
    Who is told of the week for the first time gets a calendar."""
    from genplan.keeping.heard import since_heard, to_put_away
    from genplan.report.change_texts import change_texts
    from genplan.report.week_changes import FOLDER

    if before is None:
        return {}
    if tell.new:
        heard = since_heard(before, kept.sittings, now, case, case.wishes)
        put_away = to_put_away(kept, now, case)
        return change_texts(case, before.week, now, tell.new, tell.again, heard, put_away)
    sent = target / FOLDER
    texts = sorted(p for p in sent.iterdir() if p.suffix == ".txt") if sent.is_dir() else []
    return {f"{FOLDER}/{p.name}": p.read_bytes() for p in texts}


@for_files()
def _files(case: Case, kept: KeptWeek) -> dict[str, bytes]:
    from genplan.keeping.store import FILE, kept_bytes
    from genplan.plan import Plan
    from genplan.report.calendars import calendar_files
    from genplan.report.tables import csv_bytes, plan_table

    bare = Plan.of_sittings(kept.week, kept.kept, kept.sittings)
    # what the program knows by comes last: a run that is killed before it has told nothing
    return {
        **calendar_files(case, bare, kept.told),
        "plan.csv": csv_bytes(plan_table(case, bare)),
        FILE: kept_bytes(kept, case),
    }


def the_deeper(settled: PlanOutcome, further: PlanOutcome) -> PlanOutcome:
    """The week that shows more, with what the deeper search brought; of equals the one that tells fewer."""
    from genplan.keeping.deeper import deeper_of

    price = deeper_of(settled.plan, further.plan)
    return replace(further if price.taken else settled, deeper=price)


def replan(
    folder: Path,
    week: Week | None,
    now: datetime | None,
    out: Path | None,
    keeping: bool,
    progress: Progress,
    *,
    deeper: bool = False,
) -> tuple[PlanOutcome, Kept | None]:
    """Plans a kept week again from now on, with the fewest people told; `keeping`: and tells it, unless it was
    interrupted: what was not searched to its end is looked at first. `deeper`: then once more with what the week shows
    before what people were told, and that week is taken if it shows more. Without a week, the first kept one that is
    not over. Raises UsageError if none was kept, and as `plan` does."""
    from genplan.planning.interruption import interrupted, interruptible
    from genplan.planning.progress import Phase, PhaseProgress

    opened = open_case(folder, now)
    budget = budget_of(opened)
    wanted = week or first_told(opened)
    refuse_past(wanted, opened.now)
    if wanted not in kept_ahead(folder, opened.now):
        raise UsageError(
            _(
                "The week {wanted} was not kept, so nobody was told of it. 'genplan plan' plans it.",
                wanted=wanted,
            )
        )
    watch = Watch(progress)
    with interruptible():
        with solvers(watch) as executor:
            facts = facts_of(opened, wanted)
            outcome = plan_opened(opened, wanted, executor, watch, budget, facts=facts, fewest_told=True)
            if deeper and not interrupted():
                facts = replace(facts, term=outcome.term)
                further = plan_opened(opened, wanted, executor, watch, budget, facts=facts, fewest_told=False)
                outcome = the_deeper(outcome, further)
        if out is not None:
            watch(PhaseProgress(Phase.WRITING))
            write_plan(out, outcome)
    if not keeping or outcome.plan.interrupted:
        return outcome, None
    try:
        return outcome, keep_sittings(opened, wanted, outcome.plan.sittings, opened.now)
    except FileError as error:
        written = (
            _(" The new plan is in {out}; what people were told before still stands.", out=out) if out else ""
        )
        raise FileError(f"{error}{written}") from error
