"""A target that a child is too young for on the day of asking: nothing of it is planned, and nothing else says so."""

from __future__ import annotations

from datetime import date

from genplan.case import Case, Target
from genplan.case.possible import age_that_settles, is_any_possible
from genplan.casefile.at_any_age import possible_at_any_age
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.loading import Loaded
from genplan.findings import Finding
from genplan.language import _


def about_ages(loaded: Loaded, case: Case, today: date) -> tuple[Finding, ...]:
    """A warning for each target of which nothing is possible today. One of which nothing is possible at any age is
    warned of as the case is read."""
    from genplan.text.nothing_possible import why_nothing_is_possible

    notes = Diagnostics(str(loaded.folder), dict(loaded.marks))
    for target in case.planned:
        why = why_nothing_is_possible(case, target, today)
        if not why or not any(possible_at_any_age(case, target, c) for c in target.combinations()):
            continue
        notes.warning(
            ("targets", target.id),
            _("nothing is possible yet, so nothing is planned: {why}", why=why),
            "",
            _hint(case, target, today),
        )
    _about_wishes(case, today, notes)
    return tuple(notes.findings)


def _about_wishes(case: Case, today: date, notes: Diagnostics) -> None:
    """A warning for each wish of which nothing is possible today. One of which nothing is possible at any age is warned
    of as the case is read, and a target of which nothing is possible above."""
    from genplan.coverage.tally import tally
    from genplan.coverage.wishes_not_possible import wishes_not_possible
    from genplan.evidence.log import Log
    from genplan.text.wishes_not_possible import wish_not_possible_text

    for target in case.mastered:
        if not target.first or not is_any_possible(case, target, today):
            continue
        for found in wishes_not_possible(case, tally(case, target, Log(), today), today):
            holding = target.holding(found.wish.pattern)
            if not any(possible_at_any_age(case, target, c) for c in holding):
                continue
            hint = _("leave it if that is in time; else wish for another value, or for a later day")
            if found.possible_from is None:
                hint = _("wish for another value, or correct what is said of the thing or of the child")
            values = ", ".join(found.wish.pattern.values())
            why = wish_not_possible_text(case, found)
            at = ("targets", target.id, "first", str(found.place + 1))
            notes.warning(at, _("a wish for {values}, {why}", values=values, why=why), "", hint)


def _hint(case: Case, target: Target, today: date) -> str:
    if (day := _possible_from(case, target, today)) is None:
        return _("add an adult, a location or a material set with which it is possible, or pause the target")
    return _(
        "add a material set that fits the age, or pause the target until {month}, when it becomes possible",
        month=f"{day.year}-{day.month:02d}",
    )


def _possible_from(case: Case, target: Target, today: date) -> date | None:
    """The first day of the month from which something is possible by the child's age alone."""
    born = case.learners[target.learner].born
    if born is None:
        return None
    months = today.year * 12 + today.month
    for month in range(months, months + 1 + age_that_settles(case)):
        day = date(month // 12, month % 12 + 1, 1)  # months from 0, so this is the one after
        if is_any_possible(case, target, day):
            return day
    return None
