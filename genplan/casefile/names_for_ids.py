"""Names that were written where ids stand: the hint is the id that the case has."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any

from genplan.casefile.changes import CHANGE
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.domain_types import SECTION_OF
from genplan.casefile.near_ids import ids_called, which_of
from genplan.casefile.privacy import How
from genplan.casefile.references import LINKS
from genplan.casefile.scalar_types import as_id
from genplan.findings import nearest
from genplan.language import _

NAMED_BY: Mapping[str, tuple[str, ...]] = {
    **{key: (other,) for _section, key, other in LINKS},
    **{dimension: (section,) for dimension, section in SECTION_OF.items()},
    **{key: kind.copy.of for key, kind in CHANGE.items() if kind.copy.how is How.IDS},
}
"""The sections that the ids under a key are of."""


def name_what_is_there(
    top: Mapping[str, Any], known: Mapping[str, Collection[str]], notes: Diagnostics
) -> None:
    """Where a name was written for an id, the hint is the id that the case has, not one that would be unknown."""
    for number, finding in enumerate(notes.findings):
        text = notes.names.get(finding, "")
        made = as_id(text)
        key = next((k for k in reversed(finding.key.split(".")) if not k.isdecimal()), "")
        sections = NAMED_BY.get(key, ()) if made else ()
        names = {i: str(top.get(s, {}).get(i, {}).get("name", i)) for s in sections for i in known.get(s, ())}
        if names and made not in names:
            notes.findings[number] = replace(finding, hint=_hint(text, made, names) or finding.hint)


def _hint(text: str, made: str, names: Mapping[str, str]) -> str:
    """`made` is the id that could be made of the text, `names` are those of the ids that the case has."""
    called = ids_called(text, names)
    if len(called) > 1:
        return which_of(called, {})
    return _("did you mean '{word}'?", word=called[0]) if called else nearest(made, names)
