"""What tables would change in a case, or have changed, as lines for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from genplan.casefile.tree import Node
from genplan.casefile.yaml_writing import written
from genplan.tables.changed import OF_THINGS, Difference

LONGEST = 160


def tabled_lines(differences: tuple[Difference, ...]) -> Iterator[str]:
    """A line for each new thing and each key that changes."""
    for one in differences:
        name = ".".join(one.path)
        if one.before is None and len(one.path) == 2 and one.path[0] in OF_THINGS:
            yield f"  new      {name}: {_short(one.after)}"
        elif one.after is None:
            yield f"  goes     {name}: {_short(one.before)}"
        elif one.before is None:
            yield f"  new      {name}: {_short(one.after)}"
        else:
            yield f"  changes  {name}: {_short(one.before)} -> {_short(one.after)}"


def _short(node: Node | None) -> str:
    text = "" if node is None else written(node)
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"
