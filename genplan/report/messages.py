"""messages/adult-ID.txt: the week of one adult as a text to copy and send, in the tone in which one writes to a
relative. Plain text, and nobody else's sittings in it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import datetime

from genplan.case import Case
from genplan.case.cautions import Caution, together
from genplan.folders import LAST_OF_MESSAGES
from genplan.keeping.cautions_told import special_cautions
from genplan.keeping.told import CautionTold
from genplan.language import _, and_list, ngettext, said
from genplan.language.sentences import capital
from genplan.plan import Beside, Plan, Probe, Sitting
from genplan.report.called_off import called_off_words
from genplan.report.names_and_words import HOW_IS_NOT_SAID, Names, clean, day_words, hours
from genplan.report.plain_characters import ended
from genplan.report.things_left_out import things_left_out
from genplan.text.cautions import caution_text

FOLDER = "messages"


def messages(case: Case, plan: Plan) -> dict[str, bytes]:
    """A file for each adult who has a sitting, by its name. Learners are called by their aliases."""
    return {
        f"{FOLDER}/adult-{adult}.txt": message(case, plan, adult, plan.now).encode("utf-8")
        for adult in case.adults
        if any(adult in s.adults for s in plan.sittings)
    }


def message(
    case: Case,
    plan: Plan,
    adult: str,
    now: datetime,
    *,
    off: Sequence[Sitting] = (),
    told: Sequence[Sitting] = (),
) -> str:
    """What is asked of the adult from `now` on. `off` is what was called off since people were told of it, `told` the
    sittings as they ever were told. Whoever is asked for nothing has no time to change."""
    names = Names(case)
    own = [s for s in plan.sittings if adult in s.adults and s.end > now]
    out: dict[str, dict[str, None]] = {}
    for s in (s for s in told if adult in s.adults):
        out.setdefault(s.id, {}).update(dict.fromkeys(things_left_out(names, s)))
    gone = [
        " ".join((ended(called_off_words(names, s, adult)), *things_left_out(names, s)))
        for s in off
        if adult in s.adults
    ]
    said_there = {line for s in own for line in out.get(s.id, ())}
    every = dict.fromkeys(line for lines in out.values() for line in lines)
    away = [line for line in every if line not in said_there and not any(line in one for one in gone)]
    first, *rest = (
        (*_lines(names, plan, adult, own, out), said(LAST_OF_MESSAGES))
        if own
        else _nothing_left(plan, bool(gone))
    )
    return "\n".join(
        (
            _("Hello {adult},", adult=names.adult(adult)),
            "",
            *(_of_called_off(gone) if gone else ()),
            *((*away, "") if away else ()),  # of a visit that is another adult's by now, or over
            capital(first) if gone or away else first,  # behind a list a sentence begins anew
            *rest,
            "",
        )
    )


def _of_called_off(gone: Sequence[str]) -> Iterator[str]:
    yield ngettext(
        "this is called off, you need not come:", "these are called off, you need not come:", len(gone)
    )
    yield from (f"  - {one}" for one in gone)
    yield ""


def _nothing_left(plan: Plan, below: bool) -> Iterator[str]:
    """`below` what is called off."""
    first, last = day_words(plan.week.monday), day_words(plan.week.sunday)
    yield (
        _("in the week from {first} to {last} nothing else is asked of you.", first=first, last=last)
        if below
        else _(
            "from now on nothing is asked of you in the week from {first} to {last}.", first=first, last=last
        )
    )


def _lines(
    names: Names, plan: Plan, adult: str, own: list[Sitting], out: Mapping[str, Iterable[str]]
) -> Iterator[str]:
    first, last = day_words(plan.week.monday), day_words(plan.week.sunday)
    sittings = ngettext("one sitting", "{n} sittings", len(own))
    yield _(
        "in the week from {first} to {last} you are asked to be at {sittings}:",
        first=first,
        last=last,
        sittings=sittings,
    )
    for sitting in own:
        yield ""
        yield from _sitting(names, sitting, adult)
        yield from (f"  {line}" for line in out.get(sitting.id, ()))
    yield ""
    if any(p.kind.is_probe for s in own for p in s.probes):
        yield _("These are checks: please do not help or teach in them, but where it says that it is taught.")
    yield _(
        "Please write down on the same day how it went, and send it to whoever sent you this. If it was not held, "
        "say why."
    )
    children = list(dict.fromkeys(s.learner for s in own))
    called = names.learner(children[0]) if len(children) == 1 else _("a child")
    yield _("If {called} says no, walks away or is distressed, stop. Nobody has failed then.", called=called)
    them = called if len(children) == 1 else _("the child")
    yield _("Somebody who is responsible for {them} stays within sight and reach all the time.", them=them)
    yield ""


def _sitting(names: Names, sitting: Sitting, adult: str) -> Iterator[str]:
    yield _(
        "{day}, {hours}, with {learner}",
        day=day_words(sitting.start.date()),
        hours=hours(sitting),
        learner=names.learner(sitting.learner),
    )
    yield _("  Where: {place}", place=place_words(names, sitting.location))
    if sitting.adult != adult:
        yield _(
            "  You are beside {adult}: {own_part}.",
            adult=names.adult(sitting.adult),
            own_part=_own_part(names, sitting),
        )
    else:
        if sitting.beside:
            yield f"  {names.beside(sitting)}."
        if things := names.comes_along(sitting):
            called = names.learner(sitting.learner)
            yield _("  Comes with {learner}: {things}", learner=called, things="; ".join(things))
        if there := names.there_already(sitting):
            yield _("  There already: {things}", things="; ".join(there))
    beside = names.taught_beside(sitting)
    for probe in sitting.probes:
        if sitting.adult == adult or not beside or probe.target in beside:
            yield f"  - {' '.join(_probe(names, probe))}"
    yield from (_("  Mind: {line}", line=line) for line in cautions_to_mind(names, sitting))


def _own_part(names: Names, sitting: Sitting) -> str:
    """What whoever sits beside is there for, said to that adult."""
    if sitting.beside_as is Beside.OBSERVER:
        return _("you observe and count too")
    if taught := and_list([f"'{names.target(t)}'" for t in names.taught_beside(sitting)]):
        return _("you teach {taught}", taught=taught)
    return names.beside(sitting)


def _probe(names: Names, probe: Probe) -> Iterator[str]:
    """What is done, what to say and what counts, in sentences."""
    target = names.case.targets[probe.target]
    with_ = [*names.things_of(probe)]
    with_ += [value for __, value in names.extras(target, probe.combination) if value != names.say(probe)]
    things, trials = ", ".join(with_), ngettext("{n} trial", "{n} trials", probe.trials)
    called = names.target(target.id)
    if things:
        yield _("{target}, with {things}: {trials}.", target=called, things=things, trials=trials)
    else:
        yield f"{called}: {trials}."
    if cue := names.cue(probe):
        yield ended(cue)
    if not probe.kind.is_probe:
        yield _("This one is taught, not tested.")
        if not target.how_taught.strip():
            yield capital(ended(said(HOW_IS_NOT_SAID)))
    elif target.correct_when:
        yield ended(_("It counts when: {correct_when}", correct_when=clean(target.correct_when)))


def place_words(names: Names, location: str) -> str:
    """With the address, where the case has one."""
    place = names.case.locations.get(location)
    return ", ".join(filter(None, (names.location(location), clean(place.address) if place else "")))


def cautions_to_mind(names: Names, sitting: Sitting, new: Collection[CautionTold] = ()) -> tuple[str, ...]:
    """What to look out for with this child and these things, what is `new` first; what holds of every sitting is said
    elsewhere once."""
    case, called = names.case, names.learner(sitting.learner)
    found = sorted(special_cautions(case, sitting), key=lambda c: not any(_is_about(c, one) for one in new))
    return tuple(clean(caution_text(case, c, called)) for c in together(found))


def _is_about(caution: Caution, told: CautionTold) -> bool:
    same = (caution.kind, caution.material_set) == (told.kind, told.material_set)
    return same and set(told.found) <= set(caution.found)
