"""Warnings of a word that leaves open which allergen is meant, of a thing that is said to hold what it is free of, and
of one whose name says what a child must not have, and that is not said to hold it."""

from __future__ import annotations

from genplan.case import Case
from genplan.case.safety import MaterialSet, allergens_met, are_in_doubt, avoided_allergens, with_meanings
from genplan.case.targets import MATERIAL_SET
from genplan.casefile.allergen_words import may_be_in
from genplan.casefile.diagnostics import Diagnostics
from genplan.language import _, and_list, or_list


def lint_allergens(case: Case, notes: Diagnostics) -> None:
    _which_nuts_are_meant(case, notes)
    _holds_and_is_free_of_it(case, notes)
    _names_say_what_things_hold(case, notes)


def _which_nuts_are_meant(case: Case, notes: Diagnostics) -> None:
    """Peanuts are none of the nuts of the law, and `nuts` are peanuts to many. Of a thing it is told where a child must
    not meet the one kind alone: it would be kept from no other by what is written."""
    for learner in case.learners.values():
        if are_in_doubt(learner.allergens):
            path = ("learners", learner.id, "allergens")
            found = _(
                "'nuts', which may mean peanuts, tree nuts or both: both are kept from {learner} until the case says "
                "which",
                learner=learner.alias,
            )
            hint = _(
                "write 'tree-nuts' if peanuts are no harm, 'peanut' if tree nuts are none, else [nuts, peanut]"
            )
            notes.warning(path, found, "", hint)
    for thing in (thing for thing in case.material_sets.values() if are_in_doubt(thing.allergens)):
        kept_from = [
            learner.alias
            for learner in case.learners.values()
            if "nuts" in allergens_met(learner.allergens, thing.allergens)
            and not avoided_allergens(learner.allergens) >= with_meanings(("nuts",)) - {"nuts"}
        ]
        if kept_from:
            found = _(
                "'nuts', which may mean peanuts, tree nuts or both: it is kept from {learners} until the case says "
                "which",
                learners=and_list(kept_from),
            )
            hint = _(
                "write 'tree-nuts' if there are no peanuts in it, 'peanut' if nothing else, else [nuts, peanut]"
            )
            notes.warning(("material_sets", thing.id, "allergens"), found, "", hint)


def _holds_and_is_free_of_it(case: Case, notes: Diagnostics) -> None:
    """One of the two is wrong, and nobody can tell which: what it is said to hold counts."""
    for thing in case.material_sets.values():
        if both := sorted((thing.allergens | thing.hazards) & thing.free_of):
            found = _(
                "'{name}', which is said to hold {found} and to be free of it: it counts as holding it",
                name=thing.name,
                found=and_list([f"'{one}'" for one in both]),
            )
            hint = _(
                "look once more, and take {found} out of what is wrong",
                found=and_list([f"'{o}'" for o in both]),
            )
            notes.warning(("material_sets", thing.id, "free_of"), found, "", hint)


def _names_say_what_things_hold(case: Case, notes: Diagnostics) -> None:
    """`Egg sandwich` is taken to hold egg, whatever `allergens` says, until somebody has looked. `Pancakes` may be
    planned, and are asked about. Each is told once, of the first child whom it is about."""
    avoiding = [
        (learner.alias, learner.allergens, _things_of(case, learner.id))
        for learner in case.learners.values()
        if learner.allergens
    ]
    for thing in case.material_sets.values():
        meeting = [(learner, avoided) for learner, avoided, things in avoiding if thing.id in things]
        if not meeting:
            continue
        named, maybe = thing.by_name, may_hold(thing)
        for learner, avoided in meeting:
            kept, asked = allergens_met(avoided, named), allergens_met(avoided, maybe)
            named, maybe = named.difference(kept), maybe.difference(asked)
            if asked:
                found = _(
                    "'{name}', which by its name may hold {allergens}, and {learner} must not have any",
                    name=thing.name,
                    allergens=or_list([f"'{a}'" for a in asked]),
                    learner=learner,
                )
                hint = _(
                    "add {allergens} to 'allergens', or to 'free_of' once you have looked and there is none in it",
                    allergens=and_list([f"'{a}'" for a in asked]),
                )
                notes.warning(("material_sets", thing.id), found, "", hint)
            if kept:
                found = _(
                    "'{name}', which by its name holds {allergens}: it is kept from {learner}, who must not have any",
                    name=thing.name,
                    allergens=and_list([f"'{a}'" for a in kept]),
                    learner=learner,
                )
                hint = _(
                    "add {allergens} to 'allergens'; once somebody has looked and there is none in it, to 'free_of'",
                    allergens=and_list([f"'{a}'" for a in kept]),
                )
                notes.warning(("material_sets", thing.id), found, "", hint)


def may_hold(thing: MaterialSet) -> frozenset[str]:
    """The allergens that it may hold by its name, of which the case says nothing. `allergens: []` answers for them: who
    wrote it has looked. A list that names one says nothing of another, which a child who comes later must not have."""
    return frozenset() if thing.holds_nothing else thing.left_unsaid(may_be_in(thing.name))


def _things_of(case: Case, learner: str) -> frozenset[str]:
    """All that may be planned for the learner."""
    return frozenset(i for target in case.targets_of(learner) for i in target.values_of(MATERIAL_SET))
