"""Which ids a text may be meant for that is no id of the case: by a name, or by how an id begins."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from genplan.casefile.invisible_characters import alike
from genplan.casefile.scalar_types import as_id
from genplan.language import _

MOST_NAMED = 6


def ids_called(text: str, names: Mapping[str, str]) -> list[str]:
    """The ids of what is called so, and those that go on behind it: `zips` for `zips-ada` and `zips-ben`."""
    wanted, stem = alike(text), as_id(text)
    return [i for i, name in names.items() if alike(name) == wanted or (stem and i.startswith(f"{stem}-"))]


def which_of(ids: Sequence[str], children: Mapping[str, str]) -> str:
    """A question where a text may stand for more than one; `children` say whose each is, if it is a child's."""
    of = {
        i: _("'{id}' for {child}", id=i, child=children[i]) if i in children else f"'{i}'"
        for i in ids[:MOST_NAMED]
    }
    named = ", ".join(of.values())
    if len(ids) > MOST_NAMED:
        named = _("{named} and {number} more", named=named, number=len(ids) - MOST_NAMED)
    if ids[0] in children:
        return _("for which child? There is {named}", named=named)
    return _("which of them? There is {named}", named=named)
