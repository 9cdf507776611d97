"""Whom or what a typed text stands for: an id, a name, or the first name that one alone has, as in tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from genplan.case import Adult, Case, Learner, Location, MaterialSet, Target
from genplan.errors import UsageError
from genplan.language import _, or_list


def id_meant(case: Case, sections: Sequence[str], typed: str) -> str:
    """The id in one of these sections. A text that nobody is called by stays as it was typed: what is wrong with it is
    told elsewhere. Raises UsageError for a name that several have: it says who they are."""
    from genplan.tables.naming import Names

    things: dict[str, Mapping[str, Adult | Learner | Location | MaterialSet | Target]] = {
        "adults": case.adults,
        "learners": case.learners,
        "locations": case.locations,
        "material_sets": case.material_sets,
        "targets": case.targets,
    }
    if any(typed in things[s] for s in sections):
        return typed
    names = Names()
    for section in sections:
        for id_, thing in things[section].items():
            names.add(section, id_, thing.name)
    # a whole name goes before a first name, whosever it is
    found = [(s, i) for s in sections for i in names.ids_called(s, typed)]
    found = found or [(s, i) for s in sections for i in names.ids_meant(s, typed)]
    if len(found) < 2:
        return found[0][1] if found else typed
    called = [f"{case.learners[i].alias if s == 'learners' else things[s][i].name} ({i})" for s, i in found]
    raise UsageError(
        _("'{text}' may be {names}. Write the id that stands in brackets.", text=typed, names=or_list(called))
    )
