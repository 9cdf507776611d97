"""What dimensions are called: the three that every target has in words of their own, others as the case names them."""

from __future__ import annotations

from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.language import _, ngettext


def dimension_word(dimension: str) -> str:
    """`adult`, `material set`, `wording`."""
    words = {ADULT: _("adult"), LOCATION: _("location"), MATERIAL_SET: _("material set")}
    return words.get(dimension, dimension.replace("_", " "))


def dimension_words(dimension: str) -> str:
    """`adults`, `material sets`, `wordings`."""
    words = {ADULT: _("adults"), LOCATION: _("locations"), MATERIAL_SET: _("material sets")}
    return words.get(dimension, f"{dimension.replace('_', ' ')}s")


def counted_values(n: int, dimension: str) -> str:
    """`1 adult`, `2 material sets`, `3 wordings`."""
    match dimension:
        case "adult":
            return ngettext("{n} adult", "{n} adults", n)
        case "location":
            return ngettext("{n} location", "{n} locations", n)
        case "material_set":
            return ngettext("{n} material set", "{n} material sets", n)
    return f"{n} {dimension_word(dimension) if n == 1 else dimension_words(dimension)}"
