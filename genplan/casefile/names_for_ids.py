"""Names that were written where ids stand: the hint is the id that the case has."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any

from genplan.casefile.changes import CHANGE
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.domain_types import SECTION_OF
from genplan.casefile.near_ids import ids_called, which_of
from genplan.casefile.privacy import How
from genplan.casefile.references import LINKS
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
    hinted = re.escape(_("write '{slug}'", slug="@")).replace("@", "([a-z0-9-]+)")
    for number, finding in enumerate(notes.findings):
        written = re.fullmatch(hinted, finding.hint)
        key = next((k for k in reversed(finding.key.split(".")) if not k.isdecimal()), "")
        sections = NAMED_BY.get(key, ()) if written and finding.found.startswith("'") else ()
        names = {i: str(top.get(s, {}).get(i, {}).get("name", i)) for s in sections for i in known.get(s, ())}
        if written and names and written[1] not in names:
            called = ids_called(finding.found.strip("'"), names)
            hint = (
                _("did you mean '{word}'?", word=called[0])
                if len(called) == 1
                else nearest(written[1], names)
            )
            if len(called) > 1:
                hint = which_of(called, {})
            notes.findings[number] = replace(finding, hint=hint or finding.hint)
