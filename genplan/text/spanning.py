"""What is wanted of teaching, and why some of it cannot be had, without a full stop."""

from __future__ import annotations

from collections.abc import Mapping

from genplan.case import Case
from genplan.language import N_, _, said
from genplan.planning.spanning import Lack, Unspanned
from genplan.text.obstacles import obstacle_text

SPAN_WORDS: Mapping[str, str] = {
    "each-value": N_("each value"),
    "pairs": N_("each pair of values"),
    "triples": N_("each triple of values"),
    "all": N_("each combination"),
}

TOLD_AT_MOST = 2

_LACKS: Mapping[Lack, str] = {
    Lack.HELD_OUT: N_("only in combinations that the case holds out"),
    Lack.NOBODY_TEACHES: N_("nobody who may teach it can be there"),
    Lack.ALL_TAUGHT: N_("only in combinations that are taught"),
    Lack.NOT_HELD_OUT: N_("in no combination that the case holds out"),
}


def lack_text(case: Case, found: Unspanned) -> str:
    if found.lack is not Lack.NOT_POSSIBLE:
        return said(_LACKS[found.lack])
    against = list(dict.fromkeys(obstacle_text(case, o) for o in found.obstacles))
    more = len(against) - TOLD_AT_MOST
    told = "; ".join(against[:TOLD_AT_MOST])
    return _("{told}; and {more} more", told=told, more=more) if more > 0 else told
