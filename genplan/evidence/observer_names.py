"""One second person under one name, however the rows write it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache

from genplan.case import Case
from genplan.casefile.invisible_characters import alike
from genplan.evidence.log import Result


def one_name_each(case: Case, results: Iterable[Result]) -> list[Result]:
    """An adult of the case, by id or by a name that no other adult has, is the id; anybody else is written as in the
    first row that names that person."""
    known = _adults(case)

    @cache
    def one_name(written: str) -> str:
        return known.setdefault(alike(written), written)

    return [
        replace(r, observer=name) if r.observer and (name := one_name(r.observer)) != r.observer else r
        for r in results
    ]


def _adults(case: Case) -> dict[str, str]:
    """An id goes before a name. A name that several have stays as it is written."""
    names: dict[str, list[str]] = {}
    for adult in case.adults.values():
        names.setdefault(alike(adult.name), []).append(adult.id)
    own = {name: ids[0] for name, ids in names.items() if len(ids) == 1}
    return own | {alike(id_): id_ for id_ in case.adults}
