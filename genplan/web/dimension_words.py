"""What a dimension of a target is called on a screen."""

from __future__ import annotations

from collections.abc import Mapping

from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.language import N_, said
from genplan.report.names_and_words import clean

OURS: Mapping[str, str] = {ADULT: N_("Adult"), LOCATION: N_("Location"), MATERIAL_SET: N_("Material set")}


def dimension_word(name: str) -> str:
    """Ours is said, the user's own is shown as it was written."""
    return said(OURS[name]) if name in OURS else clean(name.replace("_", " ").capitalize())
