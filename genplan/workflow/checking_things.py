"""What a child is kept from, and what may be too small for it, on the day of asking."""

from __future__ import annotations

from datetime import date

from genplan.case import Case
from genplan.case.possible import kept_from, possible_combinations
from genplan.case.safety import SMALL_PARTS_MONTHS, MaterialSet
from genplan.case.targets import MATERIAL_SET
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.loading import Loaded
from genplan.casefile.small_words import usually_small
from genplan.findings import Finding
from genplan.language import _


def about_things_kept_away(loaded: Loaded, case: Case, today: date) -> tuple[Finding, ...]:
    """A warning for each thing that a target names and that its learner is kept from: nobody is to wait for it."""
    from genplan.text.obstacles import obstacle_text

    notes = Diagnostics(str(loaded.folder), dict(loaded.marks))
    for target in case.planned:
        path = ("targets", target.id, "material_sets")
        varied = next((d.values for d in target.dimensions if d.name == MATERIAL_SET), ())
        for thing in varied if path in notes.marks else ():
            if against := kept_from(case, target, thing, today):
                found = _(
                    "'{thing}', which is not planned: {why}", thing=thing, why=obstacle_text(case, against)
                )
                notes.warning(
                    path, found, "", _("take it out, or correct what the case says of it, if that is wrong")
                )
    return tuple(notes.findings)


def about_small_things(loaded: Loaded, case: Case, today: date) -> tuple[Finding, ...]:
    """A warning for each thing that is called as what is usually small, of whose size nobody said anything, and that a
    child may get who is, or may be, too young for small parts: once, of the first of them."""
    notes = Diagnostics(str(loaded.folder), dict(loaded.marks))
    told: set[str] = set()
    for target in case.planned:
        learner = case.learners[target.learner]
        if not learner.mouths and learner.born and learner.born.age_months(today) >= SMALL_PARTS_MONTHS:
            continue
        varied = next((d.values for d in target.dimensions if d.name == MATERIAL_SET), ())
        unsaid = {i for i in varied if i not in told and _may_be_small(case.material_sets[i])}
        if unsaid:
            possible = possible_combinations(case, target, today)
            unsaid &= {target.value(c, MATERIAL_SET) for c in possible}
        for thing in (case.material_sets[i] for i in sorted(unsaid)):
            told.add(thing.id)
            found = _(
                "'{name}', which by its name may have pieces small enough to be swallowed, and may be planned for "
                "{learner}, who is or may be under {months} months",
                name=thing.name,
                learner=learner.id,
                months=SMALL_PARTS_MONTHS,
            )
            hint = _("add 'small_parts: yes', or 'small_parts: no' once you have looked at each piece")
            notes.warning(("material_sets", thing.id), found, "", hint)
    return tuple(notes.findings)


def _may_be_small(thing: MaterialSet) -> bool:
    return thing.may_be_small_part is None and usually_small(thing.name)
