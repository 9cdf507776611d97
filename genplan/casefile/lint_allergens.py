"""Warnings of a thing whose name says what a child must not have, and that is not said to hold it."""

from __future__ import annotations

from collections.abc import Mapping

from genplan.case import Case
from genplan.case.safety import MaterialSet, avoided_allergens
from genplan.case.targets import MATERIAL_SET
from genplan.casefile.allergen_words import may_be_in, named_in
from genplan.casefile.diagnostics import Diagnostics, Path, SourceLocation
from genplan.language import _, and_list, or_list


def names_say_what_things_hold(case: Case, notes: Diagnostics) -> None:
    """`Egg sandwich` without `allergens: [egg]` would be planned for a child who must not have any. Of `Pancakes` it is
    enough that `allergens` is written at all."""
    avoiding = [
        (learner.id, avoided_allergens(learner.allergens), _things_of(case, learner.id))
        for learner in case.learners.values()
        if learner.allergens
    ]
    for thing in case.material_sets.values():
        meeting = [(learner, avoided) for learner, avoided, things in avoiding if thing.id in things]
        if not meeting:
            continue
        named, maybe = not_said_to_hold(thing, notes.marks)
        for learner, avoided in meeting:
            kept, asked = sorted(named & avoided), sorted(maybe & avoided)
            if asked:
                found = _(
                    "'{name}', which by its name may hold {allergens}, and may be planned for {learner}, who must "
                    "not have any",
                    name=thing.name,
                    allergens=or_list([f"'{a}'" for a in asked]),
                    learner=learner,
                )
                hint = _(
                    "add 'allergens: [{allergens}]', or 'allergens: []' once you have looked and there "
                    "is none in it",
                    allergens=", ".join(asked),
                )
                notes.warning(("material_sets", thing.id), found, "", hint)
            if kept:
                found = _(
                    "'{name}', which is not said to hold {allergens} and may be planned for {learner}, who must "
                    "not have any",
                    name=thing.name,
                    allergens=and_list([f"'{a}'" for a in kept]),
                    learner=learner,
                )
                hint = _(
                    "add 'allergens: [{allergens}]'; if there is none in it, give it another 'name'",
                    allergens=", ".join(kept),
                )
                notes.warning(("material_sets", thing.id), found, "", hint)
                break


def not_said_to_hold(
    thing: MaterialSet, marks: Mapping[Path, SourceLocation]
) -> tuple[frozenset[str], frozenset[str]]:
    """The allergens that its name says it holds, and those that it may hold by its name, which its `allergens` does not
    say. Of the second nothing is asked where that key is written."""
    was_looked_at = ("material_sets", thing.id, "allergens") in marks
    maybe = () if was_looked_at else may_be_in(thing.name)
    return frozenset(named_in(thing.name)) - thing.allergens, frozenset(maybe) - thing.allergens


def _things_of(case: Case, learner: str) -> frozenset[str]:
    """All that may be planned for the learner."""
    dimensions = (d for target in case.targets_of(learner) for d in target.dimensions)
    return frozenset(thing for d in dimensions if d.name == MATERIAL_SET for thing in d.values)
