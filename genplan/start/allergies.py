"""Names of allergies as they are typed: one word for each, so that what a child avoids and what a thing holds agree."""

from __future__ import annotations

import re

from genplan.case.safety import ALLERGENS
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.ids_from_names import id_from
from genplan.casefile.references import ALSO_CALLED
from genplan.findings import nearest
from genplan.language import _
from genplan.start.answers import Answers

NONE = frozenset({"none", "no", "nothing", "-"})


def read_allergies(text: str) -> tuple[str, ...]:
    """`Eggs, kiwi` -> egg, kiwi. Raises InvalidValue for a word that is nearly a known one."""
    words = (" ".join(part.split()) for part in re.split(r"[,;\n]| and ", text.lower()))
    return tuple(dict.fromkeys(_name(word) for word in words if word and word not in NONE))


def _name(word: str) -> str:
    name = id_from(word, (), "allergy")
    also = next((ALSO_CALLED[n] for n in (name, f"{name}s", name[:-1]) if n in ALSO_CALLED), name)
    if also in ALLERGENS:
        return also
    if also != name:
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
