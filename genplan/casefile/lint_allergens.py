"""Warnings of a thing whose name says what a child must not have, and that is not said to hold it."""

from __future__ import annotations

from collections.abc import Mapping

from genplan.case import Case, Target
from genplan.case.safety import MaterialSet, avoided_allergens
from genplan.case.targets import MATERIAL_SET
from genplan.casefile.allergen_words import may_be_in, named_in
from genplan.casefile.diagnostics import Diagnostics, Path, SourceLocation
from genplan.language import _, and_list, or_list


def names_say_what_things_hold(case: Case, notes: Diagnostics) -> None:
    """`Egg sandwich` without `allergens: [egg]` would be planned for a child who must not have any. Of `Pancakes` it is
    enough that `allergens` is written at all."""
    for thing in case.material_sets.values():
        named, maybe = not_said_to_hold(thing, notes.marks)
        if not (named or maybe):
            continue
        for learner in case.learners.values():
            avoided = avoided_allergens(learner.allergens)
            kept, asked = sorted(named & avoided), sorted(maybe & avoided)
            if asked and any(_may_use(t, thing.id) for t in case.targets_of(learner.id)):
                notes.warning(
                    ("material_sets", thing.id),
                    _(
                        "'{name}', which by its name may hold {allergens}, and may be planned for {learner}, who must "
                        "not have any",
                        name=thing.name,
                        allergens=or_list([f"'{a}'" for a in asked]),
                        learner=learner.id,
                    ),
                    "",
                    _(
                        "add 'allergens: [{allergens}]', or 'allergens: []' once you have looked and there "
                        "is none in it",
                        allergens=", ".join(asked),
                    ),
                )
            if kept and any(_may_use(t, thing.id) for t in case.targets_of(learner.id)):
                notes.warning(
                    ("material_sets", thing.id),
                    _(
                        "'{name}', which is not said to hold {allergens} and may be planned for {learner}, who must "
                        "not have any",
                        name=thing.name,
                        allergens=and_list([f"'{a}'" for a in kept]),
                        learner=learner.id,
                    ),
                    "",
                    _(
                        "add 'allergens: [{allergens}]'; if there is none in it, give it another 'name'",
                        allergens=", ".join(kept),
                    ),
                )
                break


def not_said_to_hold(
    thing: MaterialSet, marks: Mapping[Path, SourceLocation]
) -> tuple[frozenset[str], frozenset[str]]:
    """The allergens that its name says it holds, and those that it may hold by its name, which its `allergens` does not
    say. Of the second nothing is asked where that key is written."""
    was_looked_at = ("material_sets", thing.id, "allergens") in marks
    maybe = () if was_looked_at else may_be_in(thing.name)
    return frozenset(named_in(thing.name)) - thing.allergens, frozenset(maybe) - thing.allergens


def _may_use(target: Target, thing: str) -> bool:
    return any(thing in d.values for d in target.dimensions if d.name == MATERIAL_SET)
