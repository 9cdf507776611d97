"""What stands in the way, in English: the end of "it is not planned, since …", without a full stop."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

from genplan.case import Case
from genplan.case.week import DAY_NAMES, DAYS
from genplan.rules.amounts import ADULT_AMOUNTS, LEARNER_AMOUNTS, Amount
from genplan.rules.limits import Kind, Limit
from genplan.text.limit_words import THIS_WEEK, Said, WhichWeek


def limit_sentence(
    case: Case, limit: Limit, week: WhichWeek = THIS_WEEK, day: Callable[[date], str] = date.isoformat
) -> str:
    """What the limit says; `day` writes a date."""
    said = Said(case, limit, week, day)
    return _SENTENCES[limit.kind](said) if limit.kind in _SENTENCES else _used_up(said, _AMOUNTS[limit.kind])


def _parts(s: Said) -> list[str]:
    return [limit_sentence(s.case, part, s.week, s.day) for part in s.limit.parts]


def _days(s: Said) -> str:
    used, unused = (
        ", ".join(DAY_NAMES[d].capitalize() for d in some) for some in (s.case.policy.days, s.limit.days)
    )
    return f"the policy plans on {used} only, and it could be run on {unused}"


def _teaching(s: Said) -> str:
    if not s.figure:
        return f"not met{s.since} and not taught since: it waits for teaching"
    times = "once" if s.figure == 1 else f"{s.figure} times"
    return f"not met{s.since} and taught {times} since, which is not enough: it waits for more teaching"


def _used_up(s: Said, amount: Amount) -> str:
    who = s.child if s.limit.learner else s.person
    return f"{who} has all the {amount.unit.value} a {amount.span.value} that the limits allow"


_AMOUNTS = {amount.kind: amount for amount in (*LEARNER_AMOUNTS, *ADULT_AMOUNTS)}
_SENTENCES: Mapping[Kind, Callable[[Said], str]] = {
    Kind.DAYS: _days,
    Kind.HOURS: lambda s: "; ".join(_parts(s)) + ("; and so on" if s.limit.more else ""),
    Kind.TEACHING: _teaching,
    Kind.NOTHING_TO_REPEAT: lambda s: "nothing counts as taught or met yet, so there is nothing to repeat",
    Kind.TOO_SOON: lambda s: f"a maintenance probe before {DAYS[s.figure]} would not count for this date",
    Kind.TEACHING_PLANNED: lambda s: (
        f"not met{s.since}: it is taught {s.week.within} and probed again once it was taught often enough"
    ),
    Kind.TAUGHT_ELSEWHERE: lambda s: (
        f"not met{s.since}: what in it was met nowhere yet is taught {s.week.within} in other combinations, and then it"
        " is probed again"
    ),
    Kind.NOBODY_TEACHES: lambda s: (
        f"not met{s.since}, and nobody may teach it, there or in any other combination that would do: name somebody"
        " under 'teaches', or take something out of 'hold_out'"
    ),
    Kind.RETEST_TOO_SOON: lambda s: f"after the teaching it may be probed again from {DAYS[s.figure]} on",
    Kind.RETEST_LATER: lambda s: (
        f"after the teaching it may be probed again from{s.since.removeprefix(' on')} on"
    ),
    Kind.LAPSED: lambda s: (
        "the skill was not met any more where it was taught, and new combinations wait until it is"
    ),
    Kind.BREAKS: lambda s: (
        f"skills are met less often with {s.value}, and new combinations with it wait until one"
        " retest with it is met"
    ),
    Kind.TAUGHT_FIRST: lambda s: "the combination that would show it is to be taught first",
    Kind.TEACHINGS_WEEK: lambda s: (
        f"the skill already has its {s.teachings} {s.week.within}, and the policy allows no more"
    ),
    Kind.TEACHINGS_DAY: lambda s: (
        f"on every day when it could be taught the skill already has its {s.teachings},"
        " and the policy allows no more a day"
    ),
    Kind.AFTER_TEACHING: lambda s: (
        "once a skill was taught it is not probed any more on that day, and in those hours the probe would come later"
    ),
    Kind.TEACHER: lambda s: (
        f"{s.person} does not teach this skill, and nobody who does can sit beside in those hours"
    ),
    Kind.TEACHER_TAKEN: lambda s: (
        f"{s.person} does not teach this skill, and whoever does and could sit beside is taken:"
        f" {', and '.join(_parts(s))}"
    ),
    Kind.SET_MISSING: lambda s: f"{s.set} is missing in those hours",
    Kind.TARGET_WEEK: lambda s: (
        f"the skill already has its {s.probes} {s.week.within}, and the policy allows no more"
    ),
    Kind.TARGET_DAY: lambda s: (
        f"on every day when it could be run the skill already has its {s.probes},"
        " and the policy allows no more a day"
    ),
    Kind.ADULT_MINUTES_PER_WEEK: lambda s: f"{s.person}'s {s.figure} minutes of the week are used up",
    Kind.PROBES_PER_DAY: lambda s: f"{s.child} has all the probes a day that the limits allow ({s.figure})",
    Kind.SITTING_MINUTES: lambda s: f"{s.child}'s sittings are as long as they may be",
    Kind.PROBES_PER_SITTING: lambda s: f"{s.child}'s sittings are full",
    Kind.TARGET_SITTING: lambda s: (
        "a sitting holds only one probe of a skill, and the planned sittings already hold theirs"
    ),
    Kind.END_OF_HOURS: lambda s: "the hours end when the planned sitting ends",
    Kind.COMPANION: lambda s: (
        f"{s.person} has not worked with {s.child} yet, and nobody who has can sit beside in those hours"
    ),
    Kind.COMPANION_TAKEN: lambda s: (
        f"{s.person} has not worked with {s.child} yet, and whoever has and could sit beside is taken:"
        f" {', and '.join(_parts(s))}"
    ),
    Kind.COPIES: lambda s: f"{s.set} is in use elsewhere in those hours",
    Kind.LEARNER_TIME: lambda s: f"{s.child} is in another sitting in those hours, or resting, or on the way",
    Kind.PAST: lambda s: "that was before now",
    Kind.OFF_GRID: lambda s: (
        f"a sitting begins every {s.figure} minutes, counted from midnight, and not then"
    ),
    Kind.DAY_UNUSED: lambda s: f"the policy plans no checks on {DAYS[s.figure]}",
    Kind.LEARNER_THEN: lambda s: f"{s.child} is not free then",
    Kind.ADULT_THEN: lambda s: f"{s.person} is not free then",
    Kind.LOCATION_THEN: lambda s: f"{s.place} is not open then",
    Kind.PAST_MIDNIGHT: lambda s: "it would go on past midnight",
    Kind.IMPOSSIBLE: lambda s: s.impossible,
    Kind.NOT_OWED: lambda s: "there is nothing more to check in that way this week",
    Kind.NOT_WISHED: lambda s: f"somebody wishes no sitting of {s.child} with {s.person} on {DAYS[s.figure]}",
    Kind.DECIDED: lambda s: "somebody decided that the planned sitting stays as it is",
    Kind.WISHED_APART: lambda s: s.apart,
    Kind.ROOM: lambda s: f"{s.place} is taken in those hours",
    Kind.ADULT_TIME: lambda s: f"{s.person} is with another learner, or on the way, in those hours",
    Kind.SEVERAL: lambda s: (
        f"each way is blocked by one limit or another, most often: {'; or '.join(_parts(s))}"
    ),
    Kind.LESS_URGENT: lambda s: "other probes were worth more in the same hours",
    Kind.SEARCH_STOPPED: lambda s: (
        "nothing stands against it: the time for the search was over before it got there"
    ),
    Kind.SEARCH_ENDED: lambda s: (
        "nothing stands against it: the search had used up the work that the policy gives it before it got there"
    ),
    Kind.AS_TOLD: lambda s: (
        "it could only be added to a sitting that people were told of as it is, and that is kept"
    ),
    Kind.TOLD_ANEW: lambda s: (
        "it could be run, but then more people would have to be told of a change, or more sittings would differ from"
        " what people were told"
    ),
    Kind.SHORTEST_WAY: lambda s: (
        "it could be run, but this week keeps to a way that needs fewer probes in all, and it is not on it"
    ),
    Kind.NO_TIME: lambda s: "the run ended, by its time or by hand, before a reason was looked for",
    Kind.NO_ROOM: lambda s: (
        "no plan of this week can hold it beside what the other learners have, whatever else were left out"
    ),
    Kind.WORTH_LESS: lambda s: f"{s.it} could be run, but the week would then show {s.lost} fewer",
    Kind.WORTH_LESS_AS_FOUND: lambda s: (
        f"{s.it} could be run, but the best week with it that was found shows {s.lost} fewer"
    ),
    Kind.AS_GOOD: lambda s: (
        f"{s.it} could be run in the place of another of the same worth; the plan chose between equals"
    ),
    Kind.LEARNER_NOT_FREE: lambda s: f"{s.child} is not free {s.when} {s.takes}{s.other_days}",
    Kind.ADULT_NOT_FREE: lambda s: f"{s.person} is not free {s.when} {s.takes}{s.other_days}",
    Kind.LOCATION_SHUT: lambda s: f"{s.place} is not open {s.when} {s.takes}{s.shut}{s.other_days}",
    Kind.PEOPLE_APART: lambda s: (
        f"{s.child} and {s.person} are never free at the same time {s.when}{s.enough}{s.other_days}"
    ),
    Kind.LOCATION_AND_LEARNER: lambda s: (
        f"{s.place} is never open {s.when}{s.enough} while {s.child} is free{s.shut}{s.other_days}"
    ),
    Kind.LOCATION_AND_ADULT: lambda s: (
        f"{s.place} is never open {s.when}{s.enough} while {s.person} is free{s.shut}{s.other_days}"
    ),
    Kind.NOBODY_KNOWN: lambda s: (
        f"nobody has worked with {s.child} yet who could sit beside an adult who has not{s.other_days}"
    ),
    Kind.NO_COMPANION: lambda s: (
        f"{s.person} has not worked with {s.child} yet, and nobody who has can sit beside at {s.place} {s.when}"
        f"{s.other_days}"
    ),
    Kind.NEVER_ALL: lambda s: (
        f"{s.child} and {s.person} are never free together for {s.figure} minutes {s.when} while {s.place} is"
        f" open{s.other_days}"
    ),
}


def cause_sentence(limit: Limit) -> str:
    """What a limit has in common with others of its kind, of which only children, dates, hours or figures differ; empty
    for kinds that have nothing in common but their name."""
    amount = _AMOUNTS.get(limit.kind)
    if limit.kind is Kind.TEACHING and limit.figure:
        return "not met and not taught often enough since: it waits for more teaching"
    if limit.kind in _CAUSES or amount is None or not limit.learner:
        return _CAUSES.get(limit.kind, "")
    return f"the child has all the {amount.unit.value} a {amount.span.value} that the limits allow"


_CAUSES = {
    Kind.HOURS: "the people and the place are never free at the same time for long enough",
    Kind.TEACHING: "not met and not taught since: it waits for teaching",
    Kind.SEVERAL: "each way is blocked by one limit or another",
    Kind.SITTING_MINUTES: "the child's sittings are as long as they may be",
    Kind.PROBES_PER_SITTING: "the child's sittings are full",
    Kind.LEARNER_TIME: "the child is in another sitting in those hours, or resting, or on the way",
    Kind.WORTH_LESS: "it could be run, but the week would then show less of something else",
    Kind.WORTH_LESS_AS_FOUND: (
        "it could be run, but the best week with it that was found shows less of something else"
    ),
}
