"""pages/adult-ID.html: the week of one adult, with nobody else's sittings on it: when and where, what comes along,
what to say and what counts. One file that loads nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from genplan.case import Case
from genplan.language import _, ngettext
from genplan.plan import Plan, Probe, Sitting
from genplan.report.called_off import called_off_words
from genplan.report.day_cards import ProbeLine, cautions_of, day_cards, probe_line
from genplan.report.names_and_words import Names, amount_words, clean, long_date, week_words
from genplan.report.plain_characters import ended
from genplan.report.render import render
from genplan.text.cautions import standing_cautions


@dataclass(frozen=True)
class OwnProbe(ProbeLine):
    """With what to say or do, and what counts as correct: sentences, or empty where the case has nothing."""

    cue: str
    correct_when: str


def _own_probe(names: Names, sitting: Sitting, probe: Probe) -> OwnProbe:
    line = probe_line(names, sitting, probe)
    cue, counts = names.cue(probe), clean(names.case.targets[probe.target].correct_when)
    return OwnProbe(**vars(line), cue=cue and ended(cue), correct_when=counts and ended(counts))


def adult_page(
    case: Case, plan: Plan, adult: str, names: bool = False, *, off: Sequence[Sitting] = ()
) -> str:
    """The page as HTML. Learners are called by their aliases; with `names` by name, for the family alone. `off` is what
    was called off since people were told of it."""
    called = Names(case, names)
    own = tuple(s for s in plan.sittings if s.adult == adult)
    there = tuple(s for s in plan.sittings if adult in s.adults)
    return render(
        "adult.html",
        name=called.adult(adult),
        **week_words(plan.week),
        planned_at=f"{long_date(plan.now.date())}, {plan.now:%H:%M}",
        zone=str(case.timezone),
        totals=_totals(own, len(there) - len(own)),
        runs=bool(own),
        comes=tuple(dict.fromkeys(thing for s in own for thing in called.comes_along(s))),
        days=day_cards(called, there, lambda s: _whom(called, s, adult), _own_probe),
        off=tuple(called_off_words(called, s, adult) for s in off if adult in s.adults),
        addresses=_addresses(called, there),
        cautions=cautions_of(called, there),
        standing=standing_cautions(case),
    )


def _addresses(names: Names, sittings: tuple[Sitting, ...]) -> tuple[tuple[str, str], ...]:
    """Where the places are, of those of which the case says it."""
    places = dict.fromkeys(s.location for s in sittings)
    known = ((names.location(i), clean(names.case.locations[i].address)) for i in places)
    return tuple((name, address) for name, address in known if address)


def _totals(own: tuple[Sitting, ...], beside: int) -> str:
    """How many sittings the adult runs, and how many there are beside another; none of one kind are not spoken of."""
    sits = _("{sittings} beside another adult", sittings=ngettext("{n} sitting", "{n} sittings", beside))
    return _(", and ").join(
        [*([amount_words(own)] if own or not beside else []), *([sits] if beside else [])]
    )


def _whom(names: Names, sitting: Sitting, adult: str) -> str:
    """The learner, and the adult who runs the sitting where this one only sits beside."""
    learner = names.learner(sitting.learner)
    return (
        learner
        if sitting.adult == adult
        else _("{learner} and {adult}", learner=learner, adult=names.adult(sitting.adult))
    )


def adult_pages(case: Case, plan: Plan) -> dict[str, bytes]:
    """A page for each adult of the case, by file name; one without a sitting says so."""
    return {f"pages/adult-{a}.html": adult_page(case, plan, a).encode("utf-8") for a in case.adults}
