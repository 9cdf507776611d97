"""What a child is too young for on the day of asking: a target of which nothing is planned, and a thing that may be
small. Nothing else says so."""

from __future__ import annotations

from datetime import date

from genplan.case import Case, Target
from genplan.case.possible import Possible, age_that_settles
from genplan.case.safety import SMALL_PARTS_MONTHS
from genplan.case.targets import MATERIAL_SET
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.lint import possible_at_any_age
from genplan.casefile.loading import Loaded
from genplan.casefile.small_words import usually_small
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
    return tuple(notes.findings)


def about_small_things(loaded: Loaded, case: Case, today: date) -> tuple[Finding, ...]:
    """A warning for each thing that is called as what is usually small, of whose size nobody said anything, and that a
    child may get who is, or may be, too young for small parts: once, of the first of them."""
    notes = Diagnostics(str(loaded.folder), dict(loaded.marks))
    told: set[str] = set()
    for target in case.planned:
        learner = case.learners[target.learner]
        if learner.born and learner.born.age_months(today) >= SMALL_PARTS_MONTHS:
            continue
        combinations = filter(Possible(case, target, today), target.combinations())
        possible = {target.value(c, MATERIAL_SET) for c in combinations}
        for thing in (case.material_sets[i] for i in sorted(possible - told)):
            if thing.may_be_small_part is None and usually_small(thing.name):
                told.add(thing.id)
                found = _(
                    "'{name}', which by its name is usually small enough to be swallowed, and may be planned for "
                    "{learner}, who is or may be under {months} months",
                    name=thing.name,
                    learner=learner.id,
                    months=SMALL_PARTS_MONTHS,
                )
                hint = _("add 'small_parts: yes', or 'small_parts: no' once you have looked at each piece")
                notes.warning(("material_sets", thing.id), found, "", hint)
    return tuple(notes.findings)


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
        if any(map(Possible(case, target, day), target.combinations())):
            return day
    return None
