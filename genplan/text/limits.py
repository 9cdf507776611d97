"""What stands in the way, in words: the end of "it is not planned, since …", without a full stop."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date

from genplan.case import Case
from genplan.language import N_, _, ngettext, said
from genplan.language.dates import day_name_short
from genplan.language.pieces import said_of
from genplan.rules.amounts import ADULT_AMOUNTS, LEARNER_AMOUNTS
from genplan.rules.limits import Kind, Limit
from genplan.text.amount_words import used_up_text
from genplan.text.limit_words import THIS_WEEK, Said, WhichWeek


def limit_sentence(
    case: Case,
    limit: Limit,
    week: WhichWeek = THIS_WEEK,
    day: Callable[[date], str] = date.isoformat,
    target: str = "",
) -> str:
    """What the limit says; `day` writes a date. `target` is the one that it stands against, where nothing beside the
    sentence says which."""
    if limit.as_high:
        return _(
            "{limit}; and what takes it ({children}) is due or has its last chance, too",
            limit=limit_sentence(case, replace(limit, as_high=()), week, day, target),
            children=", ".join(case.learners[i].alias for i in limit.as_high),
        )
    pieces = Said(case, limit, week, day, target)
    made = (_WAITED_LESS if limit.goal == "waited" else _SENTENCES).get(limit.kind)
    if made is None:
        return used_up_text(pieces.child if limit.learner else pieces.person, _AMOUNTS[limit.kind])
    return said_of(pieces, made) if isinstance(made, str) else made(pieces)


def _parts(s: Said) -> list[str]:
    return [limit_sentence(s.case, part, s.week, s.day, s.target) for part in s.limit.parts]


def _together(s: Said) -> str:
    return _(", and ").join(_parts(s))


def _apart(s: Said) -> str:
    return _("; or ").join(_parts(s))


def _days(s: Said) -> str:
    used, unused = (", ".join(day_name_short(d) for d in some) for some in (s.case.policy.days, s.limit.days))
    return _("the policy plans on {used} only, and it could be run on {unused}", used=used, unused=unused)


def _teaching(s: Said) -> str:
    if s.figure:
        return ngettext(
            "not met{since} and taught once since, which is not enough{short}: it waits for more teaching",
            "not met{since} and taught {n} times since, which is not enough{short}: it waits for more teaching",
            s.figure,
            since=s.since,
            short=f" ({s.uncounted})" if s.uncounted else "",
        )
    if s.uncounted:
        return _(
            "not met{since} and no teaching since that counts ({short}): it waits for teaching",
            since=s.since,
            short=s.uncounted,
        )
    return _("not met{since} and not taught since: it waits for teaching", since=s.since)


_AMOUNTS = {amount.kind: amount for amount in (*LEARNER_AMOUNTS, *ADULT_AMOUNTS)}
_SENTENCES: Mapping[Kind, str | Callable[[Said], str]] = {
    Kind.DAYS: _days,
    Kind.HOURS: lambda s: "; ".join((*_parts(s), *((_("and so on"),) if s.limit.more else ()))),
    Kind.TEACHING: _teaching,
    Kind.NOTHING_TO_REPEAT: N_("nothing counts as taught or met yet, so there is nothing to repeat"),
    Kind.NO_LONGER_MET: N_(
        "what was met or taught was not met any more{since}, and nothing else that can be run is met: there is nothing"
        " to repeat until something is met again"
    ),
    Kind.NOTHING_IS_MET: N_("nothing that can be run is met, so there is nothing to repeat"),
    Kind.TAUGHT_NOT_POSSIBLE: N_(
        "what was taught is not possible as the case stands ('genplan check' says why), and nothing else that can be"
        " run is met, so there is nothing to repeat"
    ),
    Kind.TOO_SOON: N_("a maintenance probe before {weekday} would not count for this date"),
    Kind.TEACHING_PLANNED: N_(
        "not met{since}: it is taught {within} and probed again once it was taught often enough"
    ),
    Kind.TAUGHT_ELSEWHERE: N_(
        "not met{since}: what in it was met nowhere yet is taught {within} in other combinations, and then it"
        " is probed again"
    ),
    Kind.NOBODY_TEACHES: N_(
        "not met{since}, and nobody may teach it, there or in any other combination that would do: say who may "
        "teach it"
    ),
    Kind.HELD_OUT: N_(
        "not met{since}, and it is held out: what only failed in it is in nothing that is not, so it can be taught"
        " nowhere. It is probed again once it is taken out of 'hold_out' and was taught"
    ),
    Kind.RETEST_TOO_SOON: N_("after the teaching it may be probed again from {weekday} on"),
    Kind.RETEST_LATER: N_("after the teaching it may be probed again from {on} on"),
    Kind.LAPSED: N_(
        "the target was not met any more where it was taught, and new combinations wait until it is"
    ),
    Kind.BREAKS: N_(
        "targets are met less often with {value}, and new combinations with it wait until one"
        " retest with it is met"
    ),
    Kind.TAUGHT_FIRST: N_("the combination that would show it is to be taught first"),
    Kind.TEACHINGS_WEEK: N_("the target already has its {teachings} {within}, and the policy allows no more"),
    Kind.TEACHINGS_DAY: N_(
        "on every day when it could be taught the target already has its {teachings},"
        " and the policy allows no more a day"
    ),
    Kind.AFTER_TEACHING: N_(
        "once a target was taught it is not probed any more on that day, and in those hours the probe would come later"
    ),
    Kind.TEACHER: N_(
        "{person} does not teach this target, and nobody who does can sit beside in those hours"
    ),
    Kind.TEACHER_TAKEN: lambda s: _(
        "{person} does not teach this target, and whoever does and could sit beside is taken: {together}",
        person=s.person,
        together=_together(s),
    ),
    Kind.SET_MISSING: N_("{set} is missing in those hours"),
    Kind.TARGET_WEEK: N_("{skill} has its {probes} {within}, held or planned, and the policy allows no more"),
    Kind.TARGET_DAY: N_(
        "on every day when it could be run {skill} already has its {probes},"
        " and the policy allows no more a day"
    ),
    Kind.ADULT_MINUTES_PER_WEEK: N_("{person}'s {figure} minutes of the week are used up"),
    Kind.PROBES_PER_DAY: N_("{child} has all the probes a day that the limits allow ({figure})"),
    Kind.SITTING_MINUTES: N_("{child}'s sittings are as long as they may be"),
    Kind.PROBES_PER_SITTING: N_("{child}'s sittings are full"),
    Kind.TARGET_SITTING: N_(
        "a sitting holds only one probe of a target, and the planned sittings already hold theirs"
    ),
    Kind.END_OF_HOURS: N_("the hours end when the planned sitting ends"),
    Kind.COMPANION: N_(
        "{person} has not worked with {child} yet, and nobody who has can sit beside in those hours"
    ),
    Kind.COMPANION_TAKEN: lambda s: _(
        "{person} has not worked with {child} yet, and whoever has and could sit beside is taken: {together}",
        person=s.person,
        child=s.child,
        together=_together(s),
    ),
    Kind.COPIES: N_("{set} is in use elsewhere in those hours"),
    Kind.LEARNER_TIME: N_("{child} is in another sitting in those hours, or resting, or on the way"),
    Kind.PAST: N_("that was before now"),
    Kind.OFF_GRID: N_("a sitting begins every {figure} minutes, counted from midnight, and not then"),
    Kind.DAY_UNUSED: N_("the policy plans no checks on {weekday}"),
    Kind.LEARNER_THEN: N_("{child} is not free then"),
    Kind.ADULT_THEN: N_("{person} is not free then"),
    Kind.LOCATION_THEN: N_("{place} is not open then"),
    Kind.NOWHERE_THEN: N_(
        "at no place that is open then are {child} and {person}, with whoever has to sit beside, free together for"
        " long enough"
    ),
    Kind.PAST_MIDNIGHT: N_("it would go on past midnight"),
    Kind.IMPOSSIBLE: lambda s: s.impossible,
    Kind.NOT_OWED: N_("there is nothing more to check in that way this week"),
    Kind.NOT_WISHED: N_("somebody wishes no sitting of {child} with {person} on {weekday}"),
    Kind.DECIDED: N_("somebody decided that the planned sitting stays as it is"),
    Kind.WISHED_APART: lambda s: s.apart,
    Kind.ROOM: N_("{place} is taken in those hours"),
    Kind.ADULT_TIME: N_("{person} is with another learner, or on the way, in those hours"),
    Kind.SEVERAL: lambda s: (
        _("one thing less in the way would not be enough: {together}", together=_together(s))
        if s.limit.some
        else _("each way is blocked by one limit or another, most often: {parts}", parts=_apart(s))
    ),
    Kind.LESS_URGENT: N_("other probes were worth more in the same hours"),
    Kind.SEARCH_STOPPED: N_(
        "nothing stands against it: the time for the search was over before it got there"
    ),
    Kind.SEARCH_ENDED: N_(
        "nothing stands against it: the search had used up the work that the policy gives it before it got there"
    ),
    Kind.AS_TOLD: N_(
        "it could only be added to a sitting that people were told of as it is, and that is kept"
    ),
    Kind.TOLD_ANEW: N_(
        "it could be run, but then more people would have to be told of a change, or more sittings would differ from"
        " what people were told"
    ),
    Kind.SHORTEST_WAY: N_(
        "it could be run, but this week keeps to a way that needs fewer probes in all, and it is not on it"
    ),
    Kind.NO_TIME: N_("the run ended, by its time or by hand, before a reason was looked for"),
    Kind.NO_ROOM: N_(
        "no plan of this week can hold it beside what the other learners have, whatever else were left out"
    ),
    Kind.WORTH_LESS: N_(
        "{it} could be run if it were planned first, but the week would then show {lost} fewer"
    ),
    Kind.WORTH_LESS_BESIDE: N_(
        "{it} could be run if it were planned first, but beside what the other learners have the week would then show"
        " {lost} fewer"
    ),
    Kind.WORTH_LESS_AS_FOUND: N_(
        "{it} could be run if it were planned first, but the best week with it that was found shows {lost} fewer"
    ),
    Kind.AS_GOOD: N_(
        "{it} could be run in the place of another of the same worth; the plan chose between equals"
    ),
    Kind.WISHED_BEFORE: N_(
        "{child} is with {person} on {weekday} as somebody wishes, and a wish comes before what is due: without this"
        " one it could be run"
    ),
    Kind.LEARNER_NOT_FREE: N_("{child} is not free {when} {takes}{other_days}"),
    Kind.ADULT_NOT_FREE: N_("{person} is not free {when} {takes}{other_days}"),
    Kind.LOCATION_SHUT: N_("{place} is not open {when} {takes}{shut}{other_days}"),
    Kind.PEOPLE_APART: N_("{child} and {person} are never free at the same time {when}{enough}{other_days}"),
    Kind.LOCATION_AND_LEARNER: N_(
        "{place} is never open {when}{enough} while {child} is free{shut}{other_days}"
    ),
    Kind.LOCATION_AND_ADULT: N_(
        "{place} is never open {when}{enough} while {person} is free{shut}{other_days}"
    ),
    Kind.NOBODY_KNOWN: N_(
        "nobody has worked with {child} yet who could sit beside an adult who has not{other_days}"
    ),
    Kind.NO_COMPANION: N_(
        "{person} has not worked with {child} yet, and nobody who has can sit beside at {place} {when}"
        "{other_days}"
    ),
    Kind.NEVER_ALL: N_(
        "{child} and {person} are never free together for {figure} minutes {when} while {place} is"
        " open{other_days}"
    ),
}


_WAITED_LESS: Mapping[Kind, str] = {
    Kind.WORTH_LESS: N_(
        "{it} could be run if it were planned first, but what the week would then teach has waited {weeks} less"
    ),
    Kind.WORTH_LESS_BESIDE: N_(
        "{it} could be run if it were planned first, but beside what the other learners have what the week would then"
        " teach has waited {weeks} less"
    ),
    Kind.WORTH_LESS_AS_FOUND: N_(
        "{it} could be run if it were planned first, but what the best week with it that was found teaches has waited"
        " {weeks} less"
    ),
}
"""Where all that would be lost is how long something has waited."""


def cause_sentence(limit: Limit) -> str:
    """What a limit has in common with others of its kind, of which only children, dates, hours or figures differ; empty
    for kinds that have nothing in common but their name."""
    amount = _AMOUNTS.get(limit.kind)
    if limit.kind is Kind.TEACHING and limit.figure:
        return _("not met and not taught often enough since: it waits for more teaching")
    if limit.kind is Kind.TEACHING and limit.uncounted:
        return _("not met and no teaching since that counts: it waits for teaching")
    if limit.kind in _CAUSES or amount is None or not limit.learner:
        return said(_CAUSES.get(limit.kind, ""))
    return used_up_text(_("the child"), amount)


_CAUSES = {
    Kind.HOURS: N_("the people and the place are never free at the same time for long enough"),
    Kind.TEACHING: N_("not met and not taught since: it waits for teaching"),
    Kind.SEVERAL: N_("each way is blocked by one limit or another"),
    Kind.SITTING_MINUTES: N_("the child's sittings are as long as they may be"),
    Kind.PROBES_PER_SITTING: N_("the child's sittings are full"),
    Kind.LEARNER_TIME: N_("the child is in another sitting in those hours, or resting, or on the way"),
    Kind.WORTH_LESS: N_(
        "it could be run if it were planned first, but the week would then show less of something else"
    ),
    Kind.WORTH_LESS_BESIDE: N_(
        "it could be run if it were planned first, but beside what the other learners have the week would then show"
        " less of something else"
    ),
    Kind.WORTH_LESS_AS_FOUND: (
        N_(
            "it could be run if it were planned first, but the best week with it that was found shows less of something"
            " else"
        )
    ),
}
