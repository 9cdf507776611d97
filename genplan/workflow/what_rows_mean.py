"""What rows that were just added mean: what they pay, whether they are met, whose a reason is, and who may be away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time
from typing import TYPE_CHECKING

from genplan.language import _, and_list
from genplan.workflow.opened_case import Opened
from genplan.workflow.planned_sittings import sittings_told

if TYPE_CHECKING:
    from genplan.evidence.log import Result


def with_rows(opened: Opened, added: Sequence[Result]) -> Opened:
    """The case as it is with them, which all below is asked of."""
    from genplan.evidence.log import Log

    return replace(opened, log=Log.of((*opened.log.results, *added)))


def what_they_pay(after: Opened, added: Sequence[Result]) -> tuple[str, ...]:
    """Of rows of teaching: whether they count and what is still owed; with its line where it is one of several."""
    from genplan.text.teaching_rows import teaching_row_text

    if not any(r.kind.tells_of_lessons for r in added):
        return ()
    on = after.now.date()
    said = [(r.line, text) for r in added if (text := teaching_row_text(after.case, after.log, r, on))]
    return tuple(
        text if len(added) == 1 else _("Line {line}: {text}", line=line, text=text) for line, text in said
    )


def what_it_means(after: Opened, added: Result) -> tuple[str, ...]:
    """Of a probe: whether it is met, and what it waits for."""
    from genplan.text.probe_rows import probe_row_text

    text = probe_row_text(after.case, after.log, added, after.now.date())
    return (text,) if text else ()


def whose_reasons(after: Opened, added: Sequence[Result]) -> tuple[str, ...]:
    """Of what was not run: whether the reason counts as the child's, each said once."""
    from genplan.text.not_run_rows import not_run_row_text

    return tuple(dict.fromkeys(filter(None, (not_run_row_text(after.case, r) for r in added))))


def away_that_day(after: Opened, added: Sequence[Result]) -> tuple[tuple[str, date], ...]:
    """Learners, with the day, of whom something was not run today or later because they were ill, which may hold all
    day; but for those who are away by the case, and kept free."""
    from genplan.evidence.sittings_written import child_was_ill

    found = dict.fromkeys(
        (after.case.targets[r.target].learner, r.date)
        for r in added
        if r.date >= after.wall.date() and child_was_ill(after.case, r)
    )
    return tuple((who, day) for who, day in found if not _is_away(after, who, day))


def _is_away(after: Opened, learner: str, day: date) -> bool:
    end = datetime.combine(day, time.max)
    return any(
        a.start <= max(after.wall, datetime.combine(day, time())) and end <= a.end
        for a in after.case.learners[learner].away
    )


def still_planned(after: Opened, maybe_away: Sequence[tuple[str, date]]) -> tuple[str, ...]:
    """What is planned on the day still, which a row of one visit calls off for nobody, and that a new plan will not
    have it."""
    from genplan.language.dates import day_words

    told = []
    for who, day in maybe_away:
        learner = after.case.learners[who].alias
        times = [
            f"{s.start:%H:%M}"
            for s in sittings_told(after, day)
            if s.left and s.start > after.now and after.case.targets[s.probes[0].target].learner == who
        ]
        if times:
            told.append(
                _(
                    "{learner} stays planned on {day} at {times}.",
                    learner=learner,
                    day=day_words(day),
                    times=and_list(times),
                )
            )
        told.append(
            _(
                "A new plan has no visit with {learner} on {day}. To call off at once what people were told of that "
                "day, say so as a change of the week.",
                learner=learner,
                day=day_words(day),
            )
        )
    return tuple(told)
