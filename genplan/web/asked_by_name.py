"""What the form of a material set asks, where what it is called says more than its keys do."""

from __future__ import annotations

from collections.abc import Iterator

from genplan.case.safety import NEVER_PLANNED, SMALL_PARTS_MONTHS
from genplan.casefile.said_once import with_what_is_said_elsewhere
from genplan.casefile.small_words import hazards_named, usually_small
from genplan.casefile.tree import Leaf, Node
from genplan.language import _, said
from genplan.text.obstacles import HAZARDS, chosen_word
from genplan.web.forms import FORMS, Tree, value_at

SECTION = "material_sets"


def asked_by_name(tree: Tree, section: str, node: Node | None) -> tuple[str, ...]:
    """In sentences; nothing for what is no set."""
    if section != SECTION or not isinstance(node, dict):
        return ()
    return tuple(_asked(with_what_is_said_elsewhere(tree, section, node)))


def _asked(record: Node) -> Iterator[str]:
    name = " ".join(_words(record, "name"))
    labels = {field.key: field.label for field in FORMS[SECTION].fields}
    hazards = {*_words(record, "hazards")}
    known = any(_words(record, key) for key in ("small_parts", "dimensions_mm")) or "small-ball" in hazards
    if usually_small(name) and not known:
        yield _(
            "By its name it may have pieces small enough to be swallowed. Look, and say it at '{label}': until then no "
            "child gets it who is under {months} months or puts everything into the mouth.",
            label=labels[("small_parts",)],
            months=SMALL_PARTS_MONTHS,
        )
    for hazard in sorted(hazards_named(name) - hazards - {*_words(record, "free_of")}):
        asked = _(
            "By its name it may hold {hazard}. Look, and choose '{id}' at '{label}' if it does, at '{free}' if it does "
            "not.",
            hazard=said(HAZARDS[hazard]),
            id=chosen_word(hazard),
            label=labels[("hazards",)],
            free=labels[("free_of",)],
        )
        until = _("Until then it is planned for nobody.") if hazard in NEVER_PLANNED else ""
        yield f"{asked} {until}".rstrip()


def _words(record: Node, key: str) -> list[str]:
    found = value_at(record, (key,))
    parts = found if isinstance(found, list) else [found]
    return [part.text for part in parts if isinstance(part, Leaf) and not part.is_empty]
