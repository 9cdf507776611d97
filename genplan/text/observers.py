"""How far second observers are there, in English, and why not further."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

from genplan.case import Case
from genplan.case.targets import ADULT, LOCATION
from genplan.plan import Hindered, Hindrance, ObservedShare, Unwatched
from genplan.planning.observers import RECENT_WEEKS

TOLD_AT_MOST = 4


def share_text(case: Case, share: ObservedShare) -> str:
    """The figures of one learner, and why they are fewer than was asked for."""
    percent = float(100 * Fraction(str(case.policy.observed_share)))
    figures = (
        f"{case.learners[share.learner].alias}: a second observer for {share.observed} of the {share.probes} probes of"
        f" the last {RECENT_WEEKS} weeks and this one; {percent:g} % asks for {share.wanted}."
    )
    return figures if share.unwatched is None else f"{figures} {_WHY[share.unwatched](case, share)}"


def hindrance_text(case: Case, found: Hindered) -> str:
    """Who cannot observe, and why, as a sentence without its full stop."""
    return f"{case.called(ADULT, found.adult)} {_HINDRANCES[found.by](case, found.subject)}"


def _hindered(case: Case, share: ObservedShare) -> str:
    found = ((hindrance_text(case, one), number) for one, number in share.hindered)
    often = sorted(found, key=lambda item: (-item[1], item[0]))[:TOLD_AT_MOST]
    told = "; ".join(f"{why} ({number} of them)" if share.without > 1 else why for why, number in often)
    return f"Nobody can observe in {_unwatched(share)}: {told}."


def _unwatched(share: ObservedShare) -> str:
    """The sittings without an observer: others there are only beside some that have one."""
    if share.new:
        return "the other sitting" if share.without == 1 else f"the other {share.without} sittings"
    return (
        "the one sitting with probes"
        if share.without == 1
        else f"any of the {share.without} sittings with probes"
    )


_WHY: Mapping[Unwatched, Callable[[Case, ObservedShare], str]] = {
    Unwatched.STOPPED: lambda case, share: (
        "The run ended, by its time or by hand, before all who could observe were looked for."
    ),
    Unwatched.NO_SITTING: lambda case, share: "No sitting is ahead in which somebody could observe.",
    Unwatched.ALL_OBSERVED: lambda case, share: (
        "Every sitting that is ahead has one: too few were observed before."
    ),
    Unwatched.NO_SECOND_ADULT: lambda case, share: "No second adult works with the learner.",
    Unwatched.HINDERED: _hindered,
    Unwatched.AS_TOLD: lambda case, share: (
        "Others could observe, but they or the sitting's people would have to be told of a change."
    ),
}
_HINDRANCES: Mapping[Hindrance, Callable[[Case, str], str]] = {
    Hindrance.LEARNER: lambda case, learner: f"does not work with {case.learners[learner].alias}",
    Hindrance.LOCATION: lambda case, place: f"does not go to {case.called(LOCATION, place)}",
    Hindrance.NEVER: lambda case, _: "is never to be there, the case says",
    Hindrance.BRIEFING: lambda case, target: f"is not briefed on '{case.targets[target].name}'",
    Hindrance.HOURS: lambda case, _: "is not free then",
    Hindrance.ELSEWHERE: lambda case, _: "is in another sitting then, or on the way",
    Hindrance.USED_UP: lambda case, _: "has no sitting or no minutes left",
    Hindrance.COMPANION: lambda case, _: "is there as a companion",
    Hindrance.TEACHER: lambda case, _: "is there to teach",
}
