"""What is asked of whom at the end of a review, in sentences: people decide and plan, the program does not."""

from __future__ import annotations

from collections.abc import Iterator

from genplan.case.possible import Obstacle
from genplan.coverage.asked import Asked, AskedKind
from genplan.coverage.briefing import BriefingWanted
from genplan.coverage.dates_ahead import DateAhead
from genplan.coverage.review import Review
from genplan.evidence.failed_again import FailedAgain
from genplan.evidence.mastery import CriterionMet, Lapse
from genplan.language import N_, _, said
from genplan.report.names_and_words import Names, clean, day_short
from genplan.text.failed_again import failed_again_text
from genplan.text.obstacles import obstacle_text

DECIDERS = N_("The practitioner in charge and the family")

PLANNERS = N_("Whoever plans the weeks")


def asked_by_person(names: Names, review: Review) -> Iterator[tuple[str, tuple[str, ...]]]:
    """A name or a role, and what is asked of it: first those who decide, then adults in the case's order."""
    asked = [a for t in review.targets for a in t.asked]
    deciding = [a for a in asked if not a.adults and a.kind is not AskedKind.DATE]
    groups = [(said(DECIDERS), deciding)]
    adults = dict.fromkeys((*names.case.adults, *(a for x in asked for a in x.adults)))
    groups += [(names.adult(a), [x for x in asked if a in x.adults]) for a in adults]
    groups.append((said(PLANNERS), [a for a in asked if a.kind is AskedKind.DATE]))
    for who, things in groups:
        if things:
            yield who, tuple(asked_sentence(names, one) for one in things)


def asked_sentence(names: Names, one: Asked) -> str:
    """`Coat on: waits for teaching or a decision, Theo, Home, A fleece.`"""
    if isinstance(one.about, FailedAgain):
        return clean(failed_again_text(names.case, one.about))
    target = names.case.targets[one.target]
    where = f": {names.combination(target, one.combination)}" if one.combination else ""
    shared = _(" (one of those who may)") if len(one.adults) > 1 else ""
    return f"{names.target(one.target)}: {_asked(one, names)}{where}{shared}."


def _asked(one: Asked, names: Names) -> str:
    about = one.about
    if isinstance(about, Lapse):
        return _(
            "was not met on {on} where it was taught, to be decided what follows", on=day_short(about.on)
        )
    if isinstance(about, CriterionMet):
        return _(
            "meets its criterion since {since}, to be decided whether it is mastered",
            since=day_short(about.since),
        )
    if isinstance(about, BriefingWanted):
        return _("a briefing of {adult}, or a decision that it is not wanted", adult=names.adult(about.adult))
    if isinstance(about, DateAhead):
        return _(
            "the date {by} ({pattern})", by=day_short(about.by), pattern=names.pattern(about.wish.pattern)
        )
    if isinstance(about, Obstacle):
        return _("held back for now, not to be taught ({why})", why=obstacle_text(names.case, about))
    since = _(" since {since}", since=day_short(one.since)) if one.since else ""
    return {
        AskedKind.WAITING: _("waits for teaching or a decision") + _so_far(one),
        AskedKind.RETEST: _("may be probed again{since}", since=since),
        AskedKind.MAINTENANCE: _("a maintenance probe, due{since}", since=since)
        if one.adults
        else _(
            "a maintenance probe is due{since}, and nothing that it could repeat is possible", since=since
        ),
    }[one.kind]


def _so_far(one: Asked) -> str:
    """How much of the teaching was run, where one teaching is not enough."""
    if one.to_teach < 2:
        return ""
    return _(" ({done} of {n} teachings run)", done=one.taught, n=one.to_teach)
