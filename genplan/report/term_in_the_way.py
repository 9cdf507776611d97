"""What stands in the way of a date that a term does not keep, in whole sentences."""

from __future__ import annotations

from collections.abc import Iterator

from genplan.language import _, and_list_of, ngettext
from genplan.plan.term import NoWay, Promise, Shortage, Term, TermDate, Unit, Whose
from genplan.report.names_and_words import Names
from genplan.text.week_words import week_named

WEEKS_NAMED = 4
WAYS_NAMED = 3


def in_the_way_sentences(names: Names, term: Term, found: TermDate) -> Iterator[str]:
    """Of a date that is not kept; at least one."""
    if found.is_kept:
        return
    if found.promise is Promise.CANNOT:
        yield _("It cannot be kept even if nothing else were wanted: that is proven.")
    elif found.promise is Promise.GIVES_WAY:
        yield _("There might be room for it if nothing else were wanted.")
    elif found.promise is Promise.GIVES_WAY_TO_DUE:
        yield _(
            "What is due comes first, and beside it no room was found, even if no other date were wanted."
        )
    elif found.promise is Promise.UNKNOWN:
        yield _("The search ended before it was known whether there is room for it.")
    for why in NoWay:
        # each is a list by itself, so commas between them would make one long list of all
        shown = [names.pattern(dict(t), joined=_(" and ")) for t, r in found.no_way.items() if r is why]
        if shown:
            more = len(shown) - WAYS_NAMED
            rest = [ngettext("{n} more", "{n} more", more)] if more > 0 else []
            yield no_way_sentence(names, found, why, "; ".join([*shown[:WAYS_NAMED], *rest]))
    for short in found.short:
        yield shortage_sentence(names, term, short)


def no_way_sentence(names: Names, found: TermDate, why: NoWay, what: str) -> str:
    case, learner = names.case, names.learner(found.learner)
    minutes = case.targets[found.target].minutes + case.policy.settle_minutes
    match why:
        case NoWay.WAITS:
            return _(
                "This waits for teaching or a retest, and after that there is no time for it before the date: {what}.",
                what=what,
            )
        case NoWay.TOO_LONG:
            return _(
                "One probe of it with settling in takes {minutes} minutes, more than a sitting of {learner} may last:"
                " {what}.",
                minutes=minutes,
                learner=learner,
                what=what,
            )
        case NoWay.NO_COMPANION:
            return _(
                "Who may run it has not worked with {learner} yet, and nobody who has can sit beside before the date:"
                " {what}.",
                learner=learner,
                what=what,
            )
        case NoWay.NOT_WISHED:
            return _(
                "In the hours that there are for it before the date somebody wished no sitting of {learner} with the"
                " adult: {what}.",
                learner=learner,
                what=what,
            )
        case NoWay.TOLD:
            return _(
                "Before the date there is time for this only in weeks that people were told of, and it is in none of"
                " them: {what}.",
                what=what,
            )
        case NoWay.NO_HOURS:
            return _(
                "Before the date there are no {minutes} minutes in which {learner}, an adult who may run it, a place"
                " and the things for it come together: {what}.",
                minutes=minutes,
                learner=learner,
                what=what,
            )


def shortage_sentence(names: Names, term: Term, short: Shortage) -> str:
    weeks = and_list_of([week_named(term.weeks[i]) for i in short.weeks], WEEKS_NAMED)
    whose = whose_words(names, short)
    match short.unit:
        case Unit.MINUTES:
            return _(
                "For {whose} no start is left from which one more probe of it has room in {weeks}.",
                whose=whose,
                weeks=weeks,
            )
        case Unit.SITTINGS:
            return _(
                "For {whose} there can be no further sitting for it in {weeks}.", whose=whose, weeks=weeks
            )
        case Unit.PROBES:
            return _("For {whose} there can be no further probe of it in {weeks}.", whose=whose, weeks=weeks)


def whose_words(names: Names, short: Shortage) -> str:
    first = short.names[0]
    match short.whose:
        case Whose.LEARNER:
            return names.learner(first)
        case Whose.TARGET:
            return _("'{skill}', by what the policy allows of one target", skill=names.target(first))
        case Whose.ADULT:
            return names.adult(first)
        case Whose.LOCATION:
            return names.location(first)
        case Whose.MATERIAL_SET:
            return names.material_set(first)
        case Whose.PAIR:
            return _("{adult} at {place}", adult=names.adult(first), place=names.location(short.names[1]))
        case Whose.MEETING:
            return _(
                "{learner} with {adult} at {place}",
                learner=names.learner(first),
                adult=names.adult(short.names[1]),
                place=names.location(short.names[2]),
            )
