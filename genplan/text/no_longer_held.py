"""Why a sitting that people were told of cannot be held any more, in English, without a full stop."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from genplan.case import Case
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
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
    return f"beside the other sittings it does not fit any more: {limit_sentence(case, against.limit)}"


def _combination(case: Case, against: Against) -> str:
    assert against.obstacle is not None
    return f"{_skill(case, against)} cannot be run as planned: {obstacle_text(case, against.obstacle)}"


_TEXTS: Mapping[AgainstKind, Callable[[Case, Against], str]] = {
    AgainstKind.GONE: lambda case, a: f"the case does not have {a.id} any more",
    AgainstKind.LEARNER: lambda case, a: f"{case.learners[a.id].alias} is not free then",
    AgainstKind.ADULT: lambda case, a: f"{_adult(case, a)} is not free then",
    AgainstKind.LOCATION: lambda case, a: f"{case.called(LOCATION, a.id)} is not open then",
    AgainstKind.SECOND_ADULT: lambda case, a: f"{_adult(case, a)}, who was to sit beside, cannot be there",
    AgainstKind.NO_SECOND_ADULT: lambda case, a: (
        f"{_adult(case, a)} has not worked with the child yet, and nobody is to sit beside"
    ),
    AgainstKind.TIMES: lambda case, a: "by the case as it is now it would begin or end at another time",
    AgainstKind.OTHERS: _beside_others,
    AgainstKind.SET: lambda case, a: f"'{case.called(MATERIAL_SET, a.id)}' is not there then",
    AgainstKind.TARGET: lambda case, a: f"{_skill(case, a)} is not planned any more",
    AgainstKind.COMBINATION: _combination,
    AgainstKind.NOT_OWED: lambda case, a: (
        f"by what was written down since, {_skill(case, a)} is not to be run so any more"
    ),
    AgainstKind.OBSERVER: lambda case, a: f"{_adult(case, a)}, who was to observe, cannot be there",
}
