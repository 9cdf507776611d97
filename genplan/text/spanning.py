"""What is wanted of teaching, and why some of it cannot be had, in English, without a full stop."""

from __future__ import annotations

from collections.abc import Mapping

from genplan.case import Case
from genplan.planning.spanning import Lack, Unspanned
from genplan.text.obstacles import obstacle_text

SPAN_WORDS: Mapping[str, str] = {
    "each-value": "each value",
    "pairs": "each pair of values",
    "triples": "each triple of values",
    "all": "each combination",
}

TOLD_AT_MOST = 2

_LACKS: Mapping[Lack, str] = {
    Lack.HELD_OUT: "only in combinations that the case holds out",
    Lack.NOBODY_TEACHES: "nobody who may teach it can be there",
    Lack.ALL_TAUGHT: "only in combinations that are taught",
    Lack.NOT_HELD_OUT: "in no combination that the case holds out",
}


def lack_text(case: Case, found: Unspanned) -> str:
    if found.lack is not Lack.NOT_POSSIBLE:
        return _LACKS[found.lack]
    said = list(dict.fromkeys(obstacle_text(case, o) for o in found.obstacles))
    more = len(said) - TOLD_AT_MOST
    return "; ".join(said[:TOLD_AT_MOST]) + (f"; and {more} more" if more > 0 else "")
