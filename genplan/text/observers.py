"""How far second observers are there, and why not further."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction

from genplan.case import Case
from genplan.case.targets import ADULT, LOCATION
from genplan.language import _, ngettext
from genplan.language.numbers import number_words
from genplan.plan import Hindered, Hindrance, ObservedShare, Unwatched
from genplan.planning.observers import RECENT_WEEKS

TOLD_AT_MOST = 4


def share_text(case: Case, share: ObservedShare) -> str:
    """The figures of one learner, and why they are fewer than was asked for."""
    percent = float(100 * Fraction(str(case.policy.observed_share)))
    figures = _(
        "{alias}: a second observer for {observed} of the {probes} probes of"
        " the last {weeks} weeks and this one; {percent} % asks for {wanted}.",
        alias=case.learners[share.learner].alias,
        observed=share.observed,
        probes=share.probes,
        weeks=RECENT_WEEKS,
        percent=number_words(percent),
        wanted=share.wanted,
    )
    return figures if share.unwatched is None else f"{figures} {_WHY[share.unwatched](case, share)}"


def observed_texts(case: Case, shares: Sequence[ObservedShare]) -> tuple[str, ...]:
    """The figures of each, and where somebody is lacking what is not done about it, said once."""
    texts = [share_text(case, share) for share in shares]
    if any(share.unwatched is Unwatched.HINDERED for share in shares):
        texts.append(not_moved())
    return tuple(texts)


def not_moved() -> str:
    return _(
        "A second observer is added where one is free at the time of a sitting: no probe is moved for it. To have one"
        " at another sitting, move that by a wish, or give an adult hours then."
    )


def hindrance_text(case: Case, found: Hindered) -> str:
    """Who cannot observe, and why, as a sentence without its full stop."""
    return _HINDRANCES[found.by](case, case.called(ADULT, found.adult), found.subject)


def _hindered(case: Case, share: ObservedShare) -> str:
    found = ((hindrance_text(case, one), number) for one, number in share.hindered)
    often = sorted(found, key=lambda item: (-item[1], item[0]))[:TOLD_AT_MOST]
    told = "; ".join(
        _("{why} ({number} of them)", why=why, number=number) if share.without > 1 else why
        for why, number in often
    )
    return _("Nobody can observe in {unwatched}: {told}.", unwatched=_unwatched(share), told=told)


def _unwatched(share: ObservedShare) -> str:
    """The sittings without an observer: others there are only beside some that have one."""
    if share.new:
        return ngettext("the other sitting", "the other {n} sittings", share.without)
    return ngettext("the one sitting with probes", "any of the {n} sittings with probes", share.without)


_WHY: Mapping[Unwatched, Callable[[Case, ObservedShare], str]] = {
    Unwatched.STOPPED: lambda case, share: _(
        "The run ended, by its time or by hand, before all who could observe were looked for."
    ),
    Unwatched.NO_SITTING: lambda case, share: _("No sitting is ahead in which somebody could observe."),
    Unwatched.ALL_OBSERVED: lambda case, share: _(
        "Every sitting that is ahead has one: too few were observed before."
    ),
    Unwatched.NO_SECOND_ADULT: lambda case, share: _("No second adult works with the learner."),
    Unwatched.HINDERED: _hindered,
    Unwatched.AS_TOLD: lambda case, share: _(
        "Others could observe, but they or the sitting's people would have to be told of a change."
    ),
}
_HINDRANCES: Mapping[Hindrance, Callable[[Case, str, str], str]] = {
    Hindrance.LEARNER: lambda case, who, learner: _(
        "{who} does not work with {alias}", who=who, alias=case.learners[learner].alias
    ),
    Hindrance.LOCATION: lambda case, who, place: _(
        "{who} does not go to {place}", who=who, place=case.called(LOCATION, place)
    ),
    Hindrance.NEVER: lambda case, who, __: _("{who} is never to be there, the case says", who=who),
    Hindrance.BRIEFING: lambda case, who, target: _(
        "{who} is not briefed on '{name}'", who=who, name=case.targets[target].name
    ),
    Hindrance.HOURS: lambda case, who, __: _("{who} is not free then", who=who),
    Hindrance.ELSEWHERE: lambda case, who, __: _("{who} is in another sitting then, or on the way", who=who),
    Hindrance.USED_UP: lambda case, who, __: _(
        "{who} has as many sittings or minutes as the limits allow", who=who
    ),
    Hindrance.COMPANION: lambda case, who, __: _("{who} is there as a companion", who=who),
    Hindrance.TEACHER: lambda case, who, __: _("{who} is there to teach", who=who),
}
