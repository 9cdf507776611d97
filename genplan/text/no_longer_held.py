"""Why a sitting that people were told of cannot be held any more, without a full stop."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from genplan.case import Case
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.language import _
from genplan.planning.still_held import Against, AgainstKind
from genplan.text.limits import limit_sentence
from genplan.text.obstacles import obstacle_text


def against_text(case: Case, against: Against) -> str:
    return _TEXTS[against.kind](case, against)


def _skill(case: Case, against: Against) -> str:
    return f"'{case.targets[against.target].name}'"


def _adult(case: Case, against: Against) -> str:
    return case.called(ADULT, against.id)


def _beside_others(case: Case, against: Against) -> str:
    assert against.limit is not None
    if against.target:
        return _(
            "{skill} does not fit beside the other sittings any more: {limit}",
            skill=_skill(case, against),
            limit=limit_sentence(case, against.limit),
        )
    return _(
        "beside the other sittings it does not fit any more: {limit}",
        limit=limit_sentence(case, against.limit),
    )


def _combination(case: Case, against: Against) -> str:
    assert against.obstacle is not None
    return _(
        "{skill} cannot be run as planned: {obstacle}",
        skill=_skill(case, against),
        obstacle=obstacle_text(case, against.obstacle),
    )


_TEXTS: Mapping[AgainstKind, Callable[[Case, Against], str]] = {
    AgainstKind.GONE: lambda case, a: _("the case does not have {id} any more", id=a.id),
    AgainstKind.LEARNER: lambda case, a: _("{alias} is not free then", alias=case.learners[a.id].alias),
    AgainstKind.ADULT: lambda case, a: _("{adult} is not free then", adult=_adult(case, a)),
    AgainstKind.LOCATION: lambda case, a: _("{place} is not open then", place=case.called(LOCATION, a.id)),
    AgainstKind.SECOND_ADULT: lambda case, a: _(
        "{adult}, who was to sit beside, cannot be there", adult=_adult(case, a)
    ),
    AgainstKind.NO_SECOND_ADULT: lambda case, a: _(
        "{adult} has not worked with the child yet, and nobody is to sit beside", adult=_adult(case, a)
    ),
    AgainstKind.TIMES: lambda case, a: _("by the case as it is now it would begin or end at another time"),
    AgainstKind.OTHERS: _beside_others,
    AgainstKind.SET: lambda case, a: _("'{set}' is not there then", set=case.called(MATERIAL_SET, a.id)),
    AgainstKind.TARGET: lambda case, a: _("{skill} is not planned any more", skill=_skill(case, a)),
    AgainstKind.COMBINATION: _combination,
    AgainstKind.NOT_OWED: lambda case, a: _(
        "by what was written down since, {skill} is not to be run so any more", skill=_skill(case, a)
    ),
    AgainstKind.OBSERVER: lambda case, a: _(
        "{adult}, who was to observe, cannot be there", adult=_adult(case, a)
    ),
    AgainstKind.LEFT_OUT: lambda case, a: _("it was called off"),
    AgainstKind.NOT_RUN: lambda case, a: _("it was written down that it is not run"),
    AgainstKind.NOT_NEEDED: lambda case, a: _("{adult} need not sit beside any more", adult=_adult(case, a)),
}
