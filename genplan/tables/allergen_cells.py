"""What a cell says of allergens: everyday words for known ones, and the case's own."""

from __future__ import annotations

import re
from functools import partial
from itertools import chain

from genplan.case.safety import ALLERGENS, NAMED_HAZARDS
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.small_words import hazards_named
from genplan.casefile.tree import Leaf, Node
from genplan.evidence.sheet_faults import quoted
from genplan.findings import Finding
from genplan.language import _
from genplan.start.allergies import denies, names_of_allergies
from genplan.start.allergy_remarks import (
    in_quotation_marks,
    is_it_the_other,
    of_one_word,
    refuse_none_beside,
)
from genplan.tables.cells import Form, node_of
from genplan.tables.filled import TAKEN_OUT, Filled
from genplan.tables.headings import plain, words_for_having_looked, words_for_none
from genplan.tables.naming import each

OWN = ("other_allergens",)
OF_ALLERGENS = (("allergens",), ("free_of",))


def allergens_in(text: str, filled: Filled, *, of_a_thing: bool, holds: bool = False) -> Node:
    """`Ei, Milch` -> egg, milk. Who writes that a thing holds none has looked; `n/a` says nothing of that. A name that
    is nearly no known one is the case's own, and `filled.own_allergens` keeps it to be told. Raises InvalidValue."""
    if of_a_thing and plain(text) in words_for_having_looked():
        return []
    if of_a_thing and holds and (plain(text) in words_for_none() or denies(text)):
        hint = _(
            "has somebody looked, and there is none of them in it? Then write 'none', or what was looked for into "
            "the column free_of. If nobody has looked, leave it empty"
        )
        raise InvalidValue(quoted(text), _("what it holds, such as egg, milk"), hint)
    if plain(text) in words_for_none():
        return [] if of_a_thing else TAKEN_OUT
    node = node_of(Form.WORDS, text)
    names = [part.text for part in node if isinstance(part, Leaf)] if isinstance(node, list) else []
    known = ALLERGENS.union(own_allergens(filled), () if holds or not of_a_thing else NAMED_HAZARDS)
    if not names or known.issuperset(names):
        return node
    if figures := next(
        (part for part in names if part not in known and re.fullmatch(r"[\W\d]*\d[\W\d]*", part)), ""
    ):
        raise InvalidValue(f"'{figures}'", _("what is not to be met, such as egg, peanut"))
    found = dict.fromkeys(each(names, partial(_called, known)))
    refuse_none_beside({name: _called(known, name) for name in names})
    if not found:  # none so far
        return [] if of_a_thing else TAKEN_OUT
    filled.own_allergens |= dict.fromkeys(name for name in found if name not in known)
    filled.quoted_allergens.update(in_quotation_marks(text))
    return [Leaf(name, True) for name in found]


def _called(known: frozenset[str], name: str) -> list[str]:
    if name in known:
        return [name]
    return sorted(hazards_named(name) & known) or [*chain.from_iterable(names_of_allergies(name).values())]


def own_allergens(filled: Filled) -> tuple[str, ...]:
    """Those that the case, or its sheet, has beyond the known ones."""
    said = filled.values.get(OWN, filled.tree.get(OWN[0]))
    parts = said if isinstance(said, list) else [said]
    return tuple(part.text for part in parts if isinstance(part, Leaf) and part is not TAKEN_OUT)


def add_own_allergens(filled: Filled) -> None:
    """To the case. One that is another in other words is told at each cell that names it."""
    there = own_allergens(filled)
    for path, node in [*filled.values.items()]:
        if path[2:] not in OF_ALLERGENS or not isinstance(node, list):
            continue
        for own in (part.text for part in node if isinstance(part, Leaf)):
            others = [n for n in (*there, *filled.own_allergens) if n != own]
            if own not in filled.own_allergens or own in filled.quoted_allergens:
                continue
            if other := of_one_word(own, others):
                place, problem = filled.marks[path], is_it_the_other(own, other)
                filled.findings.append(
                    Finding(place.file, place.line, place.written[0], problem.found, "", problem.hint)
                )
    if filled.own_allergens:
        filled.values[OWN] = [
            Leaf(n, True) for n in dict.fromkeys((*own_allergens(filled), *filled.own_allergens))
        ]
