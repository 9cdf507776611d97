"""Names of allergies as they are typed: one word for each, so that what a child avoids and what a thing holds agree."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import get_close_matches
from functools import lru_cache
from itertools import chain

from genplan.case.safety import ALLERGENS, IN_DOUBT, MaterialSet, allergens_met, are_in_doubt
from genplan.casefile.allergen_words import Found, allergens_called, filling, found_in, may_be_in, named_in
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.ids_from_names import id_from, ids_in_every_language, whole_id
from genplan.findings import nearest_word
from genplan.language import N_, _, or_list, pgettext, said
from genplan.language.every_language import in_every_language
from genplan.language.typed import words_in_every_language
from genplan.start.allergy_remarks import (
    in_quotation_marks,
    is_it_the_other,
    of_one_word,
    refuse_none_beside,
    refuse_remark,
)
from genplan.start.answers import Answers, Entry
from genplan.text.obstacles import allergens_text

ALMOST = 0.9
"""How alike (by `difflib`) a slip of a letter is to a word of eight letters; a size of our own."""
LOOKED = "-looked:"
"""Begins, among the ids of what a thing holds, the one of: no more than was chosen, I have looked. What was looked for
follows it: an allergen that is named later was not, and the answer does not hold for it."""
NO_MORE = N_("I have looked: none of these, or only what I chose")
QUOTES = "\"'\u2018\u2019\u201a\u201c\u201d\u201e\u00ab\u00bb"


def _words_for_none() -> str:
    return pgettext("typed, several words with blanks between them", "none no nothing nil nka nkda n/a -")


def _words_against() -> str:
    return pgettext("typed, several words with blanks between them", "no not without avoid avoids never")


def _words_unsaid() -> str:
    return pgettext(
        "typed, several words with blanks between them",
        "unknown unclear unsure sure ask see file tbc tbd tba pending not-known dont-know do-not-know idea clue nobody "
        "information info tested checked vegan vegetarian halal kosher diet",
    )


def read_allergies(text: str) -> tuple[str, ...]:
    """`Eggs, kiwi` -> egg, kiwi; `egg allergy` -> egg. Raises InvalidValue for a word that is nearly a known one, and
    where the word for a known one stands among others: what is meant must not be guessed."""
    names = names_of_allergies(text)
    refuse_none_beside(names)
    found = dict.fromkeys(chain.from_iterable(names.values()))
    if are_in_doubt(found):
        word = next(word for word in names if "nuts" in names[word])
        hint = _("Peanuts, too? Then write 'nuts, peanut'; if not, write 'tree nuts'.")
        raise InvalidValue(f"'{word}'", "", hint)
    return tuple(dict.fromkeys("tree-nuts" if name == "nuts" else name for name in found))


def names_of_allergies(text: str) -> dict[str, tuple[str, ...]]:
    """Each word typed, or several that stand together, and the names that it stands for. Raises InvalidValue."""
    between = "|".join(
        re.escape(word) for m in (N_(" and "), N_(" or ")) for word in sorted(in_every_language(m))
    )
    parts = re.split(rf"[,;\n/&+]|{between}", text, flags=re.IGNORECASE)
    return {word: _names(word) for part in parts if (word := " ".join(part.split()))}


def _names(typed: str) -> tuple[str, ...]:
    none = words_in_every_language(_words_for_none)
    if typed.lower() in none:
        return ()
    quoted = len(typed) > 2 and typed[0] in QUOTES and typed[-1] in QUOTES
    name = whole_id(typed, "allergy")
    if not quoted and leaves_unsaid(typed):
        raise InvalidValue(
            f"'{typed}'",
            "",
            _(
                "Nobody has said yet which: ask whoever knows, and write each, such as egg, milk, or 'none'. If it is "
                'called so, write it in quotation marks: "{typed}".',
                typed=typed,
            ),
        )
    against = _against()
    said = [word for word in name.split("-") if word not in against]
    found = found_in("-".join(said))
    others = tuple(word for word in found.others if word)
    if len(said) < len(name.split("-")):
        if not found.known and not others:  # no allergies, none known
            return ()
        if any(word in filling() for word in said):  # no egg allergy
            raise InvalidValue(f"'{typed}'", "", _("Write only what is not to be met, such as egg, peanut."))
    elif not found.known and not others:
        raise InvalidValue(f"'{typed}'", "", _("Write what is not to be met, such as egg, peanut."))
    if found.known and not others:
        return found.known
    if quoted:
        return (id_from(name, (), "allergy"),)
    if both := allergens_called("-".join(others)):
        also = or_list([f"'{allergens_text((word,))}'" for word in both])
        raise InvalidValue(f"'{typed}'", "", _("Write {also}, whichever is meant.", also=also))
    if not found.known:
        refuse_remark(typed, _only_none(), against)
    own = "-".join(others)
    if meant := _mistyped("-".join(said)) or _near(own, found):
        raise InvalidValue(f"'{typed}'", "", _is_it(typed, meant))
    return (id_from(own, (), "allergy"),)


@lru_cache
def _only_none() -> frozenset[str]:
    """Words that there is no allergy, and that do not stand before what is not to be met, as `no eggs`."""
    none = words_in_every_language(_words_for_none) - words_in_every_language(_words_against)
    return frozenset(whole_id(word).removesuffix("-2") for word in none)  # `none` is no id


def leaves_unsaid(typed: str) -> bool:
    """`unknown`, `see file`, `vegan`, `?`: not which allergens are meant, or whether any are."""
    name = f"-{whole_id(typed)}-"
    return not re.search(r"[^\W_]", typed) or any(
        f"-{word}-" in name for word in ids_in_every_language(_words_unsaid)
    )


def denies(typed: str) -> bool:
    """`no egg`."""
    return not _against().isdisjoint(whole_id(typed).split("-"))


@lru_cache
def _against() -> frozenset[str]:
    return ids_in_every_language(_words_against) | words_in_every_language(_words_for_none)


def _mistyped(name: str) -> tuple[str, ...]:
    """`hasel-nuss`, `tre-nuts`: a letter or a blank away from the word for a known one, whose parts may mean others."""
    if called := allergens_called(name.replace("-", "")):
        return called
    near = get_close_matches(name, ALLERGENS, n=1, cutoff=ALMOST)
    return tuple(near)


def _near(own: str, found: Found) -> tuple[str, ...]:
    near = "" if found.known else nearest_word(own, ALLERGENS)
    return tuple(dict.fromkeys((*found.known, *found.maybe, *filter(None, [near]))))


def _is_it(typed: str, meant: Sequence[str]) -> str:
    """Food that holds the known one would else be planned for the child."""
    meant = tuple(dict.fromkeys(m for name in meant for m in sorted(IN_DOUBT.get(name, (name,)))))
    return _(
        "Is it {meant}? Then write that, with a comma between several. If it is something else, write it "
        'in quotation marks: "{typed}".',
        meant=or_list([f"'{allergens_text((word,))}'" for word in meant]),
        typed=typed,
    )


def read_of_child(text: str, answers: Answers) -> tuple[str, ...]:
    """The same, of one child among others. Raises InvalidValue where another child has it by another name."""
    found, others = read_allergies(text), allergies_of(answers)
    for own in set(found) - ALLERGENS - {*in_quotation_marks(text)}:
        if other := of_one_word(own, [name for name in others if name not in ALLERGENS]):
            raise is_it_the_other(own, other)
    return found


def allergies_of(answers: Answers) -> tuple[str, ...]:
    """Of all children, each once; what cannot be read is told where it was typed."""
    found: dict[str, None] = {}
    for child in answers.entries("children"):
        try:
            found |= dict.fromkeys(read_allergies(child.get("allergies")))
        except InvalidValue:
            continue
    return tuple(found)


def looked(answers: Answers) -> str:
    """The id of having looked for all that is avoided now."""
    return LOOKED + "+".join(sorted(allergies_of(answers)))


def not_looked_for(thing: Entry, answers: Answers) -> tuple[str, ...]:
    """What is avoided now and was not yet when somebody looked; nothing where nobody said so."""
    earlier = [part for part in thing.get("holds").split("\n") if part.startswith(LOOKED.rstrip(":"))]
    then = {name for part in earlier for name in part.removeprefix(LOOKED).split("+")}
    return tuple(a for a in allergies_of(answers) if earlier and a not in then)


def named_and_not_chosen(thing: Entry, answers: Answers, held: Sequence[str]) -> str:
    """What to say of a thing whose name says that it holds what a child must not have, and that is said to hold none;
    nothing where no such name is. A slip there would bring it to the child. What usually holds it, or may by a part of
    its name, can be said to hold none by whoever looked."""
    avoided = frozenset(allergies_of(answers))
    unsaid = MaterialSet(id=thing.key, name=thing.get("name"), allergens=frozenset(held)).left_unsaid
    left = allergens_met(avoided, unsaid(named_in(thing.get("name"))))
    if left:
        offered = [a for a in allergies_of(answers) if allergens_met(frozenset((a,)), left)]
        return _(
            "The name says {allergens}: choose '{offered}' here. If there is none in it, give the thing another name "
            "in the skill.",
            allergens=or_list([allergens_text((a,)) for a in left]),
            offered=or_list([allergens_text((a,)) for a in offered]),
        )
    maybe = allergens_met(avoided, unsaid(may_be_in(thing.get("name"))))
    if looked(answers) in held:
        return ""
    if left := allergens_met(avoided, unsaid(not_looked_for(thing, answers))):
        return _(
            "'{looked}' was chosen before {allergens} was asked about here: choose it again if it is so, else what it "
            "holds.",
            looked=said(NO_MORE),
            allergens=or_list([allergens_text((a,)) for a in left]),
        )
    if not maybe:
        return ""
    return _(
        "What is called so may hold {allergens}: choose what it holds. If you have looked and there is none in it, "
        "choose '{looked}'.",
        allergens=or_list([allergens_text((a,)) for a in maybe]),
        looked=said(NO_MORE),
    )
