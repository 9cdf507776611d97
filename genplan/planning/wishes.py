"""Which wishes have their last chance this week: it takes the hours of the weeks after it to know."""

from __future__ import annotations

import sys
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date, timedelta

from genplan.case import Case, Week
from genplan.case.dated_facts import missing_in
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.coverage.tally import fewest_at_least
from genplan.planning.needs import TargetNeed, WishDue
from genplan.planning.openings import Opening, starts_beside, starts_in
from genplan.planning.search_settings import SETTINGS
from genplan.rules.amounts import ADULT_AMOUNTS, LEARNER_AMOUNTS, Span, Unit

OpeningsIn = Callable[[Week, str], tuple[Opening, ...]]
"""(week, learner) -> that learner's openings in the week, before anything is planned."""


def last_week_asked(case: Case, week: Week) -> Week:
    """The last week whose hours it takes to know which wishes have their last chance in this one."""
    dates = [w.by for t in case.mastered for w in t.first if w.by and is_near(w.by, week)]
    return max([week, *map(Week.of, dates)])


def with_last_chances(case: Case, need: TargetNeed, week: Week, openings_in: OpeningsIn) -> TargetNeed:
    """The same need, each wish marked whether this week is its last chance: later weeks before its date have room for
    fewer probes than it needs. A wish whose date has passed is at its last chance."""
    return replace(
        need,
        wishes=tuple(
            replace(w, last_chance=_is_last_chance(case, need, w, week, openings_in)) for w in need.wishes
        ),
    )


def is_near(by: date, week: Week) -> bool:
    return by <= week.sunday + timedelta(weeks=SETTINGS.look_ahead_weeks)


def _is_last_chance(case: Case, need: TargetNeed, wish: WishDue, week: Week, openings_in: OpeningsIn) -> bool:
    by = wish.wish.by
    if by is None or not is_near(by, week):
        return False
    wanted, later = fewest_at_least(wish.tuples), week.next()
    while later.monday <= by and wanted > 0:
        wanted -= _room_for(case, need, wish, later, by, openings_in(later, need.target.learner))
        later = later.next()
    return wanted > 0


def _room_for(
    case: Case, need: TargetNeed, wish: WishDue, week: Week, by: date, openings: Iterable[Opening]
) -> int:
    """The most probes that show something of the wish in the week and not after its date, as far as the limits of the
    target, the learner and each adult say: a sitting holds one probe of a target."""
    minutes = case.policy.settle_minutes + need.target.minutes
    choices = [c.combination for c in need.new_sooner_or_later if wish.tuples.intersection(c.shows)]
    starts: dict[int, set[int]] = defaultdict(set)
    adults = set()
    for opening in openings:
        if week.days[opening.day] <= by:
            for combination in choices:
                if found := starts_of(case, need, combination, week, opening, minutes):
                    starts[opening.day].update(found)
                    adults.add(opening.adult)
    gap = minutes + case.policy.rest_minutes
    a_day, a_week = (_most(case, need, adults, span, minutes) for span in (Span.DAY, Span.WEEK))
    return min(sum(min(a_day, most_apart(s, gap)) for s in starts.values()), a_week)


def _most(case: Case, need: TargetNeed, adults: Iterable[str], span: Span, minutes: int) -> int:
    """How many sittings with one probe, of so many minutes, the limits of a day or of the week leave."""
    policy, own = case.policy, case.learners[need.target.learner].limits
    of_target = policy.probes_per_target_per_day if span is Span.DAY else policy.probes_per_target_per_week
    amounts = [(a, [a.most(own)]) for a in LEARNER_AMOUNTS if a.unit not in (Unit.TEACHINGS, Unit.RETESTS)]
    amounts += [(a, [a.most(case.adults[i].limits) for i in adults]) for a in ADULT_AMOUNTS]
    return min(
        of_target,
        *(_together(most, minutes if a.unit is Unit.MINUTES else 1) for a, most in amounts if a.span is span),
    )


def _together(limits: Iterable[int | None], each: int) -> int:
    """What people can give together where each thing takes so much of one of them; endless if one has no limit."""
    known = list(limits)
    return sum(n // each for n in known if n is not None) if None not in known else sys.maxsize


def starts_of(
    case: Case,
    need: TargetNeed,
    combination: tuple[str, ...],
    week: Week,
    opening: Opening,
    minutes: int,
) -> list[int]:
    """The minutes at which a sitting with this probe alone can begin in the opening."""
    target = need.target
    adult, location, material_set = (target.value(combination, n) for n in (ADULT, LOCATION, MATERIAL_SET))
    longest = case.learners[target.learner].limits.sitting_minutes
    if (opening.adult, opening.location) != (adult, location) or minutes > (longest or minutes):
        return []
    gone = missing_in(case.material_sets[material_set], week)
    return starts_beside(gone, starts_in(opening, minutes, case.policy.start_every_minutes), minutes)


def most_apart(starts: Iterable[int], gap: int) -> int:
    """How many of these can be at least so many minutes apart."""
    count, free_from = 0, 0
    for start in sorted(starts):
        if start >= free_from:
            count, free_from = count + 1, start + gap
    return count
