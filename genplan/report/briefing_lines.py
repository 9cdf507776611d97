"""Who is not briefed on what, a line for each adult."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from operator import attrgetter

from genplan.case import Case
from genplan.coverage.briefing import BriefingWanted
from genplan.language import N_
from genplan.report.names_and_words import Names
from genplan.text.tuple_words import counted_tuples

NOT_BRIEFED = N_("Not briefed on these skills, and how much a briefing would open:")


def briefing_lines(case: Case, wanted: Sequence[BriefingWanted]) -> Iterator[str]:
    """In the adults' order; each with the skills in that of the case, and the learner of each."""
    names, by_adult = Names(case), attrgetter("adult")
    for adult, those in groupby(sorted(wanted, key=by_adult), by_adult):
        skills = (
            f"{names.learner((target := case.targets[one.target]).learner)}, {names.target(one.target)}"
            f" ({counted_tuples(target, one.tuples)})"
            for one in those
        )
        yield f"{names.adult(adult)}: {'; '.join(skills)}"
