"""Dates that no calendar forbids and that nobody means: a birth that is still to come, a wish for a day long past."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from genplan.case import Absence, Case, Learner, Target
from genplan.case.people import AbsenceKind
from genplan.casefile.diagnostics import Diagnostics, in_order
from genplan.casefile.loading import Loaded
from genplan.findings import Finding
from genplan.language import _

OLDEST = 120
"""Years of age that nobody has: common knowledge, no source."""
FAR = 10
"""Years ahead from which on a date is taken for a slip of the pen: our choice."""


def about_dates(loaded: Loaded, case: Case, today: date) -> tuple[Finding, ...]:
    """Warnings about dates of the case as they look today, each at the line where it stands."""
    notes = Diagnostics(str(loaded.folder), dict(loaded.marks))
    far = today + timedelta(days=365 * FAR)
    for learner in case.learners.values():
        _birth(learner, today, notes)
    for target in case.targets.values():
        _mastery(target, case.learners[target.learner], today, notes)
        for i, wish in enumerate(target.first, 1):
            if wish.by and wish.by > far:
                _far(("targets", target.id, "first", str(i), "by"), _("a wish by {day}", day=wish.by), notes)
    _wishes_that_are_over(case, today, notes)
    for path, end in _absences(case):
        if end > far:
            _far(path, _("days off up to {end}", end=end), notes)
    return in_order(notes.findings)


def _birth(learner: Learner, today: date, notes: Diagnostics) -> None:
    born = learner.born
    if born is None:
        return
    written = f"{born.year:04d}-{born.month:02d}" + (f"-{born.day:02d}" if born.day else "")
    path = ("learners", learner.id, "born")
    if (born.year, born.month, born.day or 1) > (today.year, today.month, today.day):
        hint = _("correct it: until then every age counts as 0 months, for small parts and minimum ages")
        notes.warning(
            path,
            _("a birth in {written}, which is after today, {today}", written=written, today=today),
            "",
            hint,
        )
    elif today.year - born.year > OLDEST:
        hint = _("correct it: small parts and minimum ages are judged by it")
        notes.warning(
            path,
            _("a birth in {written}, {years} years ago", written=written, years=today.year - born.year),
            "",
            hint,
        )


def _mastery(target: Target, learner: Learner, today: date, notes: Diagnostics) -> None:
    on, born = target.mastered_on, learner.born
    path = ("targets", target.id, "mastered_on")
    if on is None:
        return
    if on > today:
        hint = _("correct it, or give the target 'state: teaching' until then")
        notes.warning(path, _("mastery on {on}, which is after today, {today}", on=on, today=today), "", hint)
    elif born and (on.year, on.month) < (born.year, born.month) <= (today.year, today.month):
        hint = _("correct one of the two")
        notes.warning(
            path, _("mastery on {on}, before {learner} was born", on=on, learner=learner.alias), "", hint
        )


def _wishes_that_are_over(case: Case, today: date, notes: Diagnostics) -> None:
    """In one warning: a wish that came true is over one day, too."""
    over = [
        (wish.by, ("targets", target.id, "first", str(i), "by"))
        for target in case.targets.values()
        for i, wish in enumerate(target.first, 1)
        if wish.by and wish.by < today
    ]
    if over:
        by, path = over[0]
        hint = _("give it another date, or take it out: what is open of it still comes before what can wait")
        found = _("a wish by {by}, which is over", by=by)
        if len(over) > 1:
            found = _("a wish by {by}, which is over (and {number} more)", by=by, number=len(over) - 1)
        notes.warning(path, found, "", hint)


def _absences(case: Case) -> Iterator[tuple[tuple[str, ...], date]]:
    """Where days off stand that somebody typed as such, and their last day. Terms leave out years, and are meant to."""
    people = (("learners", case.learners), ("adults", case.adults))
    for section, listed in people:
        for person in listed.values():
            yield from (((section, person.id, "away"), _last_day(x)) for x in person.away)
    for place in case.locations.values():
        closed = (x for x in place.closed if x.kind is not AbsenceKind.OUTSIDE_TERM)
        yield from ((("locations", place.id, "closed"), _last_day(x)) for x in closed)
    for kept in case.material_sets.values():
        yield from ((("material_sets", kept.id), _last_day(x)) for x in kept.missing)


def _last_day(stretch: Absence) -> date:
    return (stretch.end - timedelta(minutes=1)).date()


def _far(path: tuple[str, ...], what: str, notes: Diagnostics) -> None:
    notes.warning(
        path,
        _("{what}, more than {years} years ahead", what=what, years=FAR),
        "",
        _("look whether the year is meant"),
    )
