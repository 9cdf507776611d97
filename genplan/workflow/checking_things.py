"""What a child is kept from, and what may be too small for it, on the day of asking."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from genplan.case import Case, Learner, MaterialSet, Target
from genplan.case.possible import (
    Rule,
    is_kept_from_small_parts,
    kept_away,
    kept_from,
    possible_combinations,
)
from genplan.case.safety import NEVER_PLANNED, SMALL_PARTS_MONTHS
from genplan.case.targets import MATERIAL_SET
from genplan.case.unsaid import things_of, unsaid_allergens
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.lint_allergens import may_hold
from genplan.casefile.loading import Loaded
from genplan.findings import Finding
from genplan.language import _, and_list, or_list, said
from genplan.text.obstacles import HAZARDS, allergens_text, at_risk_text, obstacle_text


def about_things_kept_away(loaded: Loaded, case: Case, today: date) -> tuple[Finding, ...]:
    """A warning for each thing that a target names and that its learner is kept from: nobody is to wait for it."""
    notes = Diagnostics(str(loaded.folder), dict(loaded.marks))
    for target in case.planned:
        path = ("targets", target.id, "material_sets")
        varied = target.values_of(MATERIAL_SET)
        for thing in varied if path in notes.marks else ():
            against = kept_from(case, target, thing, today)
            if against and not against.by_name:  # that is told of the thing
                found = _(
                    "'{thing}', which is not planned: {why}", thing=thing, why=obstacle_text(case, against)
                )
                notes.warning(
                    path, found, "", _("take it out, or correct what the case says of it, if that is wrong")
                )
    return tuple(notes.findings)


def about_names_of_things(loaded: Loaded, case: Case, today: date) -> tuple[Finding, ...]:
    """A warning for each thing whose name says that it may have small pieces, a magnet or a button cell, or is a
    balloon, and of which nobody said so: whom it is kept from, or whom it may be planned for. Each once, of the first
    child."""
    notes = Diagnostics(str(loaded.folder), dict(loaded.marks))
    told: set[tuple[str, str]] = set()
    for target in case.planned:
        learner = case.learners[target.learner]
        varied = target.values_of(MATERIAL_SET)
        for thing in (case.material_sets[i] for i in sorted(varied)):
            for about, found, hint in _by_its_name(case, target, learner, thing, today):
                if (thing.id, about) not in told:
                    told.add((thing.id, about))
                    notes.warning(("material_sets", thing.id), found, "", hint)
    return tuple(notes.findings)


def about_unanswered_things(loaded: Loaded, case: Case, today: date) -> tuple[Finding, ...]:
    """One warning of all things of which nobody said whether a piece could be swallowed, where a child is known to be
    at risk; a thing that is in no skill yet may be in one tomorrow. What a name says is told of the thing."""
    at_risk = [
        at_risk_text(learner, learner.alias)
        for learner in case.learners.values()
        if is_kept_from_small_parts(learner, today)
    ]
    open_ = [
        thing
        for thing in case.material_sets.values()
        if thing.may_be_small_part is None and not thing.small_by_name and not thing.watched & NEVER_PLANNED
    ]
    if not at_risk or not open_:
        return ()
    notes = Diagnostics(str(loaded.folder), dict(loaded.marks))
    found = _(
        "nobody said whether a piece could be swallowed of: {things}; {at_risk}",
        things=and_list([thing.name for thing in open_]),
        at_risk=and_list(at_risk),
    )
    hint = _("look at each, and add 'small_parts: yes' or 'small_parts: no' to it")
    notes.warning(("material_sets", open_[0].id), found, "", hint)
    return tuple(notes.findings)


def about_unasked_allergens(loaded: Loaded, case: Case, today: date) -> tuple[Finding, ...]:
    """A warning for each child of the things of its skills of which nobody said whether they hold what it must not
    have. What a name says is told of the thing; with what the child is kept from for another reason nothing is planned.
    """
    notes = Diagnostics(str(loaded.folder), dict(loaded.marks))
    for learner in case.learners.values():
        alike: dict[tuple[str, ...], list[MaterialSet]] = {}
        for thing in things_of(case, learner) if learner.allergens else ():
            unsaid = {*unsaid_allergens(case, learner, thing, today)} - may_hold(thing)
            if unsaid:
                alike.setdefault(tuple(sorted(unsaid)), []).append(thing)
        for unsaid_of, things in alike.items():
            found = _(
                "nobody said whether there is any {allergens} in: {things}; it may be planned for {learner} all the "
                "same",
                allergens=or_list([allergens_text((a,)) for a in unsaid_of]),
                things=and_list([thing.name for thing in things]),
                learner=learner.alias,
            )
            hint = _(
                "look at each, and add what it holds to 'allergens', and what it does not to 'free_of'; of what holds "
                "no allergen at all 'allergens: []' says so"
            )
            notes.warning(("material_sets", things[0].id), found, "", hint)
    return tuple(notes.findings)


def _by_its_name(
    case: Case, target: Target, learner: Learner, thing: MaterialSet, today: date
) -> Iterator[tuple[str, str, str]]:
    """What it is about, what was found and what to do."""
    for hazard in sorted(thing.hazards_by_name):
        yield hazard, _of_hazard(thing, hazard), _look_for(hazard)
    old_enough = learner.born is not None and learner.born.age_months(today) >= SMALL_PARTS_MONTHS
    if not thing.is_small_by_name or (old_enough and not learner.mouths):
        return
    why = kept_away(learner, thing, today)
    if why is not None and why.rule is Rule.SMALL_PART:
        found = _(
            "'{name}', which by its name may have pieces small enough to be swallowed: it is not planned for "
            "{learner}, for {at_risk}",
            name=thing.name,
            learner=learner.alias,
            at_risk=at_risk_text(learner, learner.alias),
        )
    elif why is None and _is_possible_anywhere(case, target, thing, today):
        found = _(
            "'{name}', which by its name may have pieces small enough to be swallowed, and may be planned for "
            "{learner}, who is or may be under {months} months",
            name=thing.name,
            learner=learner.alias,
            months=SMALL_PARTS_MONTHS,
        )
    else:
        return
    hint = _("add 'small_parts: yes', or 'small_parts: no' once you have looked at each piece")
    yield "small and kept" if why else "small", found, hint


def _of_hazard(thing: MaterialSet, hazard: str) -> str:
    if hazard in NEVER_PLANNED:
        return _(
            "'{name}', which by its name may hold {hazard}: it is planned for nobody",
            name=thing.name,
            hazard=said(HAZARDS[hazard]),
        )
    return _("'{name}', which by its name may hold {hazard}", name=thing.name, hazard=said(HAZARDS[hazard]))


def _look_for(hazard: str) -> str:
    return _(
        "add '{hazard}' to 'hazards'; once somebody has looked and there is none in it, to 'free_of'",
        hazard=hazard,
    )


def _is_possible_anywhere(case: Case, target: Target, thing: MaterialSet, today: date) -> bool:
    possible = possible_combinations(case, target, today)
    return any(target.value(c, MATERIAL_SET) == thing.id for c in possible)
