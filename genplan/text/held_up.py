"""What holds a target up, in words: the end of "what holds it up most: …", without a full stop."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from genplan.case import Case, Combination, Target
from genplan.case.targets import ADULT
from genplan.forecast import BottleneckKind, HeldUp
from genplan.forecast.values import Values
from genplan.language import _, ngettext
from genplan.rules.limits import Kind
from genplan.text.dimension_words import counted_values
from genplan.text.limit_words import (
    THAT_WEEK,
    THAT_WEEK_UNTIL_THEN,
    THOSE_WEEKS,
    THOSE_WEEKS_UNTIL_THEN,
    UNTIL_THEN,
    WhichWeek,
)
from genplan.text.limits import limit_sentence
from genplan.text.tuple_words import combination_words
from genplan.text.wishes_not_possible import wish_not_possible_text

NAMED_AT_MOST = 2


def held_up_text(case: Case, target: Target, held_up: HeldUp) -> str:
    """The one thing, without in how many weeks it stood in the way."""
    return _TEXTS.get(held_up.by, _limit)(case, target, held_up)


def _limit(case: Case, target: Target, held_up: HeldUp) -> str:
    assert held_up.limit is not None, held_up.by
    most = held_up.limit.figure
    probes = ngettext("{n} probe", "{n} probes", most)
    if held_up.limit.kind is Kind.TARGET_WEEK and held_up.dated:
        needed = _(
            "the policy allows {probes} of a skill a week, and this alone takes at least {needed}",
            probes=probes,
            needed=held_up.needed,
        )
        others = ngettext(
            "{n} more of the skill until then is due or wanted by another date",
            "{n} more of the skill until then are due or wanted by another date",
            held_up.others,
        )
        return f"{needed}; {others}" if held_up.others else needed
    if held_up.limit.kind is Kind.TARGET_WEEK and held_up.at_least:
        return _(
            "the policy allows {probes} of a skill a week, and at least {needed} are still to be run",
            probes=probes,
            needed=held_up.needed,
        )
    if held_up.limit.kind is Kind.TARGET_WEEK:
        return _(
            "the policy allows {probes} of a target a week, and {needed} are still to be run",
            probes=probes,
            needed=held_up.needed,
        )
    if held_up.limit.kind is Kind.TARGET_DAY:
        return _(
            "the policy allows {probes} of a target a day, and there are few days when what is left can be run",
            probes=probes,
        )
    text = limit_sentence(case, held_up.limit, _which(held_up))
    if not held_up.others:
        return text
    if held_up.dated:
        others = ngettext(
            "{n} of the {probes} probes until then that are due or wanted by a date is of other skills",
            "{n} of the {probes} probes until then that are due or wanted by a date are of other skills",
            held_up.others,
            probes=held_up.probes,
        )
        return f"{text}; {others}"
    others = ngettext(
        "{n} of the {probes} probes of these weeks is of other targets",
        "{n} of the {probes} probes of these weeks are of other targets",
        held_up.others,
        probes=held_up.probes,
    )
    return f"{text}; {others}"


def _which(held_up: HeldUp) -> WhichWeek:
    """Until a date only where it stood in the way in each week until then: in the others it did not."""
    if not held_up.dated:
        return THAT_WEEK if held_up.weeks == 1 else THOSE_WEEKS
    if held_up.weeks == held_up.of:
        return UNTIL_THEN
    return THAT_WEEK_UNTIL_THEN if held_up.weeks == 1 else THOSE_WEEKS_UNTIL_THEN


def _teaching(case: Case, target: Target, held_up: HeldUp) -> str:
    what = _combinations(case, target, held_up.waiting)
    return _("teaching: {what} was not met, and waits for it before it is probed again", what=what)


def _nobody_teaches(case: Case, target: Target, held_up: HeldUp) -> str:
    if held_up.waiting:
        what = _combinations(case, target, held_up.waiting)
        return _(
            "nobody may teach it: {what} was not met, and is not probed again before it is taught", what=what
        )
    return _("nobody may teach it: what is not met is never taught, and so it is not probed again")


def _combinations(case: Case, target: Target, combinations: Sequence[Combination]) -> str:
    """The first few by name, and how many more."""
    named = [combination_words(case, target, c, " + ") for c in combinations[:NAMED_AT_MOST]]
    rest = len(combinations) - NAMED_AT_MOST
    said = "; ".join(named)
    return _("{said}, and {rest} more", said=said, rest=rest) if rest > 0 else said


def _not_planned(case: Case, target: Target, held_up: HeldUp) -> str:
    return _(
        "nothing more is planned: all that has to be seen together will have been seen, but the criterion lacks"
        " {lacking} whose probe is met, since a combination that was taught is not probed as new",
        lacking=_lacking(case, held_up),
    )


def _briefing(case: Case, target: Target, held_up: HeldUp) -> str:
    return ngettext(
        "{who} is not briefed on it, and without that the criterion's {wanted} are out of reach",
        "{who} are not briefed on it, and without that the criterion's {wanted} are out of reach",
        len(held_up.adults),
        who=_(" and ").join(case.called(ADULT, adult) for adult in held_up.adults),
        wanted=_lacking(case, held_up),
    )


def _out_of_reach(case: Case, target: Target, held_up: HeldUp) -> str:
    untaught = target.generalised_untaught
    how = _(" met without teaching") if untaught else ""
    if not held_up.lacking:
        left = (
            _("none of it can still be met so") if untaught else _("no combination that is possible holds it")
        )
        return _(
            "the criterion asks for {lacking}{how}, and {left}",
            lacking=_lacking(case, held_up),
            how=how,
            left=left,
        )
    left = _("only {in_reach} can still be", in_reach=held_up.in_reach) if untaught else ""
    left = left or _("the case leaves only {in_reach} possible", in_reach=held_up.in_reach)
    return _(
        "the criterion asks for {values}{how}, and {left}",
        values=_values(held_up.lacking),
        how=how,
        left=left,
    )


def _wish_not_possible(case: Case, target: Target, held_up: HeldUp) -> str:
    assert held_up.not_possible is not None
    return wish_not_possible_text(case, held_up.not_possible)


def _lacking(case: Case, held_up: HeldUp) -> str:
    """Counts of values, and values that are asked for by name."""
    named = [_(" with ").join(case.called(*value) for value in values) for values in held_up.asked]
    return _(" and ").join(filter(None, (_values(held_up.lacking), *named)))


def _values(lacking: Iterable[Values]) -> str:
    return _(" and ").join(counted_values(v.count, v.dimension) for v in lacking)


_TEXTS: Mapping[BottleneckKind, Callable[[Case, Target, HeldUp], str]] = {
    BottleneckKind.NOTHING: lambda case, target, held_up: _(
        "nothing: it only takes the probes that are planned"
    ),
    BottleneckKind.RETESTS: lambda case, target, held_up: _(
        "retests: what is not met comes again, before what is new"
    ),
    BottleneckKind.TEACHING: _teaching,
    BottleneckKind.NOBODY_TEACHES: _nobody_teaches,
    BottleneckKind.NOT_PLANNED: _not_planned,
    BottleneckKind.BRIEFING: _briefing,
    BottleneckKind.OUT_OF_REACH: _out_of_reach,
    BottleneckKind.TOO_YOUNG: lambda case, target, held_up: _(
        "{child} is too young yet for {lacking}",
        child=case.learners[target.learner].alias,
        lacking=_lacking(case, held_up),
    ),
    BottleneckKind.WISH_NOT_POSSIBLE: _wish_not_possible,
}
