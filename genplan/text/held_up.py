"""What holds a target up, in English: the end of "what holds it up most: …", without a full stop."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from genplan.case import Case, Combination, Target
from genplan.case.targets import ADULT
from genplan.forecast import BottleneckKind, HeldUp
from genplan.forecast.values import Values
from genplan.rules.limits import Kind
from genplan.text.limit_words import THAT_WEEK, THOSE_WEEKS, UNTIL_THEN
from genplan.text.limits import limit_sentence
from genplan.text.tuple_words import combination_words

NAMED_AT_MOST = 2


def held_up_text(case: Case, target: Target, held_up: HeldUp) -> str:
    """The one thing, without in how many weeks it stood in the way."""
    return _TEXTS.get(held_up.by, _limit)(case, target, held_up)


def _limit(case: Case, target: Target, held_up: HeldUp) -> str:
    assert held_up.limit is not None, held_up.by
    most = held_up.limit.figure
    probes = "1 probe" if most == 1 else f"{most} probes"
    if held_up.limit.kind is Kind.TARGET_WEEK:
        return f"the policy allows {probes} of a skill a week, and {held_up.needed} are still to be run"
    if held_up.limit.kind is Kind.TARGET_DAY:
        return f"the policy allows {probes} of a skill a day, and there are few days when what is left can be run"
    week = UNTIL_THEN if held_up.dated else THAT_WEEK if held_up.weeks == 1 else THOSE_WEEKS
    text = limit_sentence(case, held_up.limit, week)
    if not held_up.others:
        return text
    verb = "is" if held_up.others == 1 else "are"
    return f"{text}; {held_up.others} of the {held_up.probes} probes of these weeks {verb} of other skills"


def _teaching(case: Case, target: Target, held_up: HeldUp) -> str:
    what = _combinations(case, target, held_up.waiting)
    return f"teaching: {what} was not met, and waits for it before it is probed again"


def _nobody_teaches(case: Case, target: Target, held_up: HeldUp) -> str:
    if held_up.waiting:
        what = _combinations(case, target, held_up.waiting)
        return f"nobody may teach it: {what} was not met, and is not probed again before it is taught"
    return "nobody may teach it: what is not met is never taught, and so it is not probed again"


def _combinations(case: Case, target: Target, combinations: Sequence[Combination]) -> str:
    """The first few by name, and how many more."""
    named = [combination_words(case, target, c, " + ") for c in combinations[:NAMED_AT_MOST]]
    rest = len(combinations) - NAMED_AT_MOST
    more = f", and {rest} more" if rest > 0 else ""
    return "; ".join(named) + more


def _not_planned(case: Case, target: Target, held_up: HeldUp) -> str:
    return (
        f"nothing more is planned: all that has to be seen together will have been seen, but the criterion lacks"
        f" {_lacking(case, held_up)} whose probe is met, since a combination that was taught is not probed as new"
    )


def _briefing(case: Case, target: Target, held_up: HeldUp) -> str:
    who = " and ".join(case.called(ADULT, adult) for adult in held_up.adults)
    be = "is" if len(held_up.adults) == 1 else "are"
    wanted = _lacking(case, held_up)
    return f"{who} {be} not briefed on it, and without that the criterion's {wanted} are out of reach"


def _out_of_reach(case: Case, target: Target, held_up: HeldUp) -> str:
    untaught = target.generalised_untaught
    how = " met without teaching" if untaught else ""
    if not held_up.lacking:
        left = "none of it can still be met so" if untaught else "no combination that is possible holds it"
        return f"the criterion asks for {_lacking(case, held_up)}{how}, and {left}"
    left = f"only {held_up.in_reach} can still be" if untaught else ""
    left = left or f"the case leaves only {held_up.in_reach} possible"
    return f"the criterion asks for {_values(held_up.lacking)}{how}, and {left}"


def _lacking(case: Case, held_up: HeldUp) -> str:
    """Counts of values, and values that are asked for by name."""
    named = [" with ".join(case.called(*value) for value in values) for values in held_up.asked]
    return " and ".join(filter(None, (_values(held_up.lacking), *named)))


def _values(lacking: Iterable[Values]) -> str:
    return " and ".join(
        f"{v.count} {v.dimension.replace('_', ' ')}" + ("" if v.count == 1 else "s") for v in lacking
    )


_TEXTS: Mapping[BottleneckKind, Callable[[Case, Target, HeldUp], str]] = {
    BottleneckKind.NOTHING: lambda case, target, held_up: (
        "nothing: it only takes the probes that are planned"
    ),
    BottleneckKind.RETESTS: lambda case, target, held_up: (
        "retests: what is not met comes again, before what is new"
    ),
    BottleneckKind.TEACHING: _teaching,
    BottleneckKind.NOBODY_TEACHES: _nobody_teaches,
    BottleneckKind.NOT_PLANNED: _not_planned,
    BottleneckKind.BRIEFING: _briefing,
    BottleneckKind.OUT_OF_REACH: _out_of_reach,
}
