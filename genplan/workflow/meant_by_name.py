"""Whom or what a typed text stands for: an id, a name, an alias, or the first name that one alone has."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from genplan.case import Adult, Case, Learner, Location, MaterialSet, Target
from genplan.errors import UsageError
from genplan.findings import nearest
from genplan.language import _, or_list, said

Thing = Adult | Learner | Location | MaterialSet | Target


def known_id(case: Case, sections: str | Sequence[str], typed: str) -> str:
    """The id in one of these sections, or in the one. Raises UsageError for a text that nobody is called by, and for a
    name that several have."""
    from genplan.casefile.domain_types import one_of

    sections = (sections,) if isinstance(sections, str) else sections
    things = _things(case)
    ids = {i for s in sections for i in things[s]}
    if (meant := id_meant(case, sections, typed)) in ids:
        return meant
    hint = nearest(typed, ids) or _("it has {known}.", known=", ".join(sorted(ids)) or _("none"))
    kind = or_list([said(one_of(s)) for s in sections])
    raise UsageError(_("The case has no {kind} '{typed}'; {hint}", kind=kind, typed=typed, hint=hint))


def _things(case: Case) -> Mapping[str, Mapping[str, Thing]]:
    return {
        "adults": case.adults,
        "learners": case.learners,
        "locations": case.locations,
        "material_sets": case.material_sets,
        "targets": case.targets,
    }


def id_meant(case: Case, sections: Sequence[str], typed: str) -> str:
    """The id in one of these sections. A text that nobody is called by stays as it was typed: what is wrong with it is
    told elsewhere. Raises UsageError for a name that several have: it says who they are."""
    from genplan.tables.headings import plain
    from genplan.tables.naming import Names

    things = _things(case)
    if any(typed in things[s] for s in sections):
        return typed
    names = Names()
    for section in sections:
        for id_, thing in things[section].items():
            names.add(section, id_, thing.name)
    # a whole name or an alias, by which shared pages call a child, goes before a first name, whosever it is
    called = [(s, i) for s in sections for i in names.ids_called(s, typed)]
    aliases = {i: plain(x.alias) for i, x in case.learners.items()} if "learners" in sections else {}
    found = list(
        dict.fromkeys((*called, *(("learners", i) for i, a in aliases.items() if a and a == plain(typed))))
    )
    found = found or [(s, i) for s in sections for i in names.ids_meant(s, typed)]
    if len(found) < 2:
        return found[0][1] if found else typed
    words = [f"{case.learners[i].alias if s == 'learners' else things[s][i].name} ({i})" for s, i in found]
    raise UsageError(
        _("'{text}' may be {names}. Write the id that stands in brackets.", text=typed, names=or_list(words))
    )
