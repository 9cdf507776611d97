"""A plan as `plan.json` holds it, what of it is compared or kept; what was not written so is a FormatError."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from math import inf, nan
from typing import Any

from genplan.case import Case, Week
from genplan.keeping.json_fields import (
    FormatError,
    boolean,
    document_of,
    field_of,
    fields_of,
    items_of,
    moment_in,
    shown,
    text,
)
from genplan.keeping.store import sitting_from
from genplan.language import _
from genplan.plan import Objective, ObjectiveName, Sitting, StageStatus

FORMAT = 1


@dataclass(frozen=True, kw_only=True)
class SavedPlan:
    """`made`: when; `objectives`: in their order, none of a week that was only kept; `wishes`: each wish of whoever
    plans, in words, with whether it was kept; `staying`: the ids of sittings that stayed as they were, beside which the
    objectives count."""

    week: Week
    made: datetime
    sittings: tuple[Sitting, ...]
    objectives: tuple[Objective, ...] = ()
    wishes: tuple[tuple[str, bool], ...] = ()
    staying: frozenset[str] = frozenset()


def saved_plan(data: bytes, case: Case, *, with_objectives: bool = True) -> SavedPlan:
    """The plan in the bytes of a `plan.json`. Raises FormatError. Who asks for its sittings alone reads no objectives:
    an older version may have had others."""
    document = document_of(data)
    if field_of(document, "format", lambda value: value) != FORMAT:
        hint = _("a newer version of the program wrote it: plan the week again with this one")
        raise FormatError(shown(document["format"]), "format", hint=hint)
    plan = SavedPlan(
        week=field_of(document, "week", lambda value: Week.parse(text(value))),
        made=field_of(document, "now", moment_in(case.timezone)),
        sittings=items_of(document, "sittings", lambda d: sitting_from(d, case)),
    )
    if not with_objectives:
        return plan
    return replace(
        plan,
        objectives=items_of(document, "objectives", _objective),
        wishes=items_of({"wishes": [], **document}, "wishes", _wish),
        staying=frozenset(items_of({"staying": [], **document}, "staying", text)),
    )


def _objective(document: Any) -> Objective:
    sense = field_of(document, "sense", text)
    return Objective(
        **fields_of(
            document,
            name=lambda value: ObjectiveName(text(value)),
            value=lambda value: _number(value, nan),
            bound=lambda value: _number(value, inf if sense == "most" else -inf),
            status=lambda value: StageStatus(text(value)),
        ),
        sense=sense,
    )


def _number(value: Any, nothing: float) -> float:
    """`nothing` is what stands for a number that is not finite."""
    if value is None:
        return nothing
    if type(value) not in (int, float):
        raise TypeError
    return float(value)


def _wish(document: Any) -> tuple[str, bool]:
    return field_of(document, "words", text), field_of(document, "kept", boolean)
