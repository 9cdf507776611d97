"""Names of allergies as they are typed: one word for each, so that what a child avoids and what a thing holds agree."""

from __future__ import annotations

import re

from genplan.case.safety import ALLERGENS
from genplan.casefile.allergen_words import allergens_called
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.ids_from_names import id_from
from genplan.findings import nearest
from genplan.language import N_, _, pgettext
from genplan.language.every_language import in_every_language
from genplan.language.typed import words_in_every_language
from genplan.start.answers import Answers


def _words_for_none() -> str:
    return pgettext("typed, several words with blanks between them", "none no nothing -")


def read_allergies(text: str) -> tuple[str, ...]:
    """`Eggs, kiwi` -> egg, kiwi. Raises InvalidValue for a word that is nearly a known one."""
    between = "|".join(map(re.escape, sorted(in_every_language(N_(" and ")))))
    words = (" ".join(part.split()) for part in re.split(rf"[,;\n]|{between}", text.lower()))
    none = words_in_every_language(_words_for_none)
    return tuple(dict.fromkeys(_name(word) for word in words if word and word not in none))


def _name(word: str) -> str:
    name = id_from(word, (), "allergy")
    meant = allergens_called(name)
    if len(meant) == 1:
        return meant[0]
    if meant:
        also = "' or '".join(meant)
        raise InvalidValue(f"'{word}'", "", _("Write '{also}', whichever is meant.", also=also))
    if hint := nearest(name, ALLERGENS):
        raise InvalidValue(f"'{word}'", "", hint)
    return name


def allergies_of(answers: Answers) -> tuple[str, ...]:
    """Of all children, each once; what cannot be read is told where it was typed."""
    found: dict[str, None] = {}
    for child in answers.entries("children"):
        try:
            found |= dict.fromkeys(read_allergies(child.get("allergies")))
        except InvalidValue:
            continue
    return tuple(found)
