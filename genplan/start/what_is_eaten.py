"""What has to be said of each thing of a child with an allergy, and what may be said of several at once.

The words below only decide what is asked for by itself. Common practice, no source; nothing is cleared by them."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from functools import lru_cache

from genplan.case.safety import allergens_met
from genplan.casefile.allergen_words import may_be_in, named_in
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.ids_from_names import ids_in_every_language, whole_id
from genplan.language import _, or_list, pgettext, said
from genplan.start.allergies import NO_MORE, allergies_of, looked, read_allergies
from genplan.start.answers import Answers, Entry
from genplan.start.things_named import folded, things_in
from genplan.text.obstacles import allergens_text

LONG = 4
"""Letters of a word that counts at either end of a longer one, too: `Apfelschnitze`."""


def _food_words() -> str:
    return pgettext(
        "typed, several words with blanks between them",
        "eat eats eating food feed feeds drink drinks drinking snack snacks meal lunch dinner breakfast supper taste "
        "tastes chew chews bite bites hungry thirsty apple pear banana orange grape berry fruit vegetable carrot "
        "cucumber tomato potato rice pasta noodle soup bread toast roll sandwich cracker biscuit cookie cake muffin "
        "pudding yoghurt yogurt cheese butter chocolate sweet candy crisps chips raisin honey jam juice milk tea water "
        "sausage meat chicken ham fish egg cereal muesli porridge ice-cream lolly bar dough cream paint soap",
    )


def left_open(thing: Entry, answers: Answers, held: Sequence[str]) -> str:
    """What to say of a thing of which nobody said whether it holds what a child of its skills must not have: no name
    tells that it is nothing to eat."""
    if looked(answers) in held or not (unsaid := _unsaid(thing, answers, held)):
        return ""
    return _(
        "Say of {name} whether there is any {allergens} in it, or on it: choose what there is. If it is nothing to eat "
        "and has none on it, or you have looked and there is none, choose '{looked}'.",
        name=thing.get("name"),
        allergens=or_list([allergens_text((a,)) for a in unsaid]),
        looked=said(NO_MORE),
    )


def said_at_once(answers: Answers) -> tuple[Entry, ...]:
    """Those of which one answer may say that they are nothing to eat: each has none yet, and neither it nor what is
    used for the same skill looks like food."""
    food = {
        folded(name)
        for skill in answers.entries("skills")
        if _is_of_eating(skill)
        for name in things_in(skill.get("things"))
    }
    return tuple(
        thing
        for thing in answers.entries("things")
        if not thing.get("holds")
        and _unsaid(thing, answers, ())
        and folded(thing.get("name")) not in food
        and not looks_like_food(thing.get("name"))
    )


def with_nothing_to_eat(answers: Answers, keys: Collection[str]) -> Answers:
    """With that answer of the things that were named in it, as far as it may be given of them."""
    meant = {thing.key for thing in said_at_once(answers)} & {*keys}
    things = answers.entries("things")
    said_of = [t.with_text("holds", looked(answers)) if t.key in meant else t for t in things]
    return answers.with_entries("things", said_of)


def looks_like_food(text: str) -> bool:
    """By a word in it, or by what it may hold by its name."""
    if named_in(text) or may_be_in(text):
        return True
    words = [whole_id(word) for word in re.findall(r"[^\W\d_]+", text)]
    return any(
        word == food or (len(food) >= LONG and (word.startswith(food) or word.endswith(food)))
        for word in words
        for food in _foods()
    )


@lru_cache
def _foods() -> frozenset[str]:
    return ids_in_every_language(_food_words)


def _is_of_eating(skill: Entry) -> bool:
    """Also where one of its things is food: a name that nobody knows is then most likely food, too."""
    texts = (*(skill.get(key) for key in ("name", "correct", "says")), *things_in(skill.get("things")))
    return any(map(looks_like_food, texts))


def _unsaid(thing: Entry, answers: Answers, held: Sequence[str]) -> tuple[str, ...]:
    """What the children of its skills must not have, but of those who are kept from it by what it is said to hold."""
    found = dict.fromkeys(
        allergen
        for avoided in _avoided_by(thing, answers)
        if not allergens_met(frozenset(avoided), held)
        for allergen in avoided
    )
    return tuple(found)


def _avoided_by(thing: Entry, answers: Answers) -> Iterator[tuple[str, ...]]:
    children = answers.entries("children")
    for skill in answers.entries("skills"):
        child = next((c for c in children if c.key == skill.get("child")), children[0] if children else None)
        if child is None or folded(thing.get("name")) not in map(folded, things_in(skill.get("things"))):
            continue
        try:
            yield read_allergies(child.get("allergies"))
        except InvalidValue:  # told where it was typed; until then each that can be read counts
            yield allergies_of(answers)
