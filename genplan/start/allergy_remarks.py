"""What stands in the name of an allergy and is part of no name: an exception, a remark, a year. An allergen of the
case's own that was called so would keep nothing away, since no thing is said to hold `but-strawberries`."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence, Set

from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.ids_from_names import id_from, ids_in_every_language, whole_id
from genplan.language import _, pgettext

LONG_STEM = 4
"""Letters that two names have to share, so that they may be one word in two forms."""
FORMS = ("ies", "es", "s", "en", "e", "n", "y", "")
"""Endings of one word in two forms: `strawberry`, `strawberries`, `Erdbeere`, `Erdbeeren`."""


def _remarks() -> str:
    return pgettext(
        "typed, several words with blanks between them",
        "but except excepting excluding only just unless besides unlike apart-from apart aside-from aside other-than "
        "other others else since until from-age outgrown outgrew formerly previously sometimes maybe perhaps possibly "
        "possible suspected probably traces trace raw cooked baked epipen epipens epi-pen epi-pens pen pens "
        "auto-injector autoinjector adrenaline adrenalin antihistamine antihistamines inhaler medicine medication "
        "emergency anaphylaxis anaphylactic anaphylactically reaction reacts rash hives swelling carries "
        "parents mum dad",
    )


def refuse_remark(typed: str, none: Set[str], against: Set[str]) -> None:
    """Raises InvalidValue for a name that nothing is called by; `none` are words that say that there is no allergy,
    `against` those that may stand before what is not to be met."""
    name = f"-{whole_id(typed)}-"
    others = ids_in_every_language(_remarks) | none
    if not any(f"-{word}-" in name for word in others) and not re.search(r"\d", name):
        return
    left = name
    for word in sorted(others | against, key=len, reverse=True):
        while f"-{word}-" in left:
            left = left.replace(f"-{word}-", "-|-")
    parts = [part.replace("-", " ").strip() for part in re.sub(r"(?<=-)\d+(?=-)", "|", left).split("|")]
    alone, *more = [part for part in parts if part] or [""]
    if alone and not more and not re.search(r"\d", alone):  # of two it cannot be told which
        hint = _(
            "Is it '{name}' that is not to be met? Then write that alone, with a comma between several. If there is "
            'no allergy, write none and nothing else. If one is called so, write it in quotation marks: "{typed}".',
            name=" ".join(alone.split()),
            typed=typed,
        )
    else:
        hint = _(
            "Write only what is not to be met, such as egg, strawberries; a remark belongs elsewhere. If an allergen "
            'is called so, write it in quotation marks: "{typed}".',
            typed=typed,
        )
    raise InvalidValue(f"'{typed}'", "", hint)


def refuse_none_beside(names: Mapping[str, Sequence[str]]) -> None:
    """Raises InvalidValue where one word says that there is no allergy and another names one."""
    if not all(names.values()) and any(names.values()):
        none = next(word for word, called in names.items() if not called)
        hint = _(
            "Is there an allergy? Then write its name alone. If there is none, write none and nothing else."
        )
        first = next(word for word, called in names.items() if called)
        raise InvalidValue(_("'{none}' beside '{name}'", none=none, name=first), "", hint)


def of_one_word(own: str, others: Collection[str]) -> str:
    """The other name that stands in this one, or is the same word in another form: a thing that holds the one would be
    planned for a child that must not meet the other."""
    words = [*map(_stem, own.split("-"))]
    for other in others:
        wanted = [*map(_stem, other.split("-"))]
        if other != own and any(words[n : n + len(wanted)] == wanted for n in range(len(words))):
            return other
    return ""


def is_it_the_other(own: str, other: str) -> InvalidValue:
    hint = _(
        "Is it '{other}'? Then write that. If it is something else, write it in quotation marks: \"{name}\".",
        other=other.replace("-", " "),
        name=own.replace("-", " "),
    )
    found = _(
        "'{name}' and '{other}', which would be two allergens",
        name=own.replace("-", " "),
        other=other.replace("-", " "),
    )
    return InvalidValue(found, "", hint)


def in_quotation_marks(text: str) -> Iterator[str]:
    """The ids of what is written so: it is called so, whatever it looks like."""
    for quoted in re.findall(r"[\"„“»«]([^\"„“”»«]+)[\"“”»«]", text):
        yield id_from(quoted, (), "allergy")


def _stem(word: str) -> str:
    return next(
        word.removesuffix(end)
        for end in FORMS
        if word.endswith(end) and (not end or len(word) - len(end) >= LONG_STEM)
    )
