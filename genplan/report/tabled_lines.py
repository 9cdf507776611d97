"""What tables would change in a case, or have changed, as lines for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from genplan.casefile.tree import Node
from genplan.casefile.yaml_writing import written
from genplan.language import _
from genplan.tables.changed import Difference
from genplan.tables.meaning import OF_THINGS

LONGEST = 160


def tabled_lines(differences: tuple[Difference, ...]) -> Iterator[str]:
    """A line for each new thing and each key that changes."""
    for one in differences:
        name = ".".join(one.path)
        if one.before is None and len(one.path) == 2 and one.path[0] in OF_THINGS:
            yield _("  new      {name}: {value}", name=name, value=_short(one.after))
        elif one.after is None:
            yield _("  goes     {name}: {value}", name=name, value=_short(one.before))
        elif one.before is None:
            yield _("  new      {name}: {value}", name=name, value=_short(one.after))
        else:
            yield _(
                "  changes  {name}: {before} -> {after}",
                name=name,
                before=_short(one.before),
                after=_short(one.after),
            )


def _short(node: Node | None) -> str:
    text = "" if node is None else written(node)
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"
