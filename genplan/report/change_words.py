"""How one change of a week is said to one person."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from genplan.keeping.differences import Change, Difference
from genplan.keeping.strange import is_known
from genplan.language import N_, _, ngettext, pgettext, said
from genplan.plan import Probe, Sitting
from genplan.report.messages import cautions_to_mind
from genplan.report.names_and_words import Names, clean, day_words, hours, kind_words, probes_words
from genplan.report.plain_characters import clock, ended
from genplan.report.things_left_out import things_left_out
from genplan.text.cautions import no_longer_text

_ABOUT_CAUTIONS = {
    Change.CAUTIONS: N_("More to look out for"),
    Change.ALL_CLEAR: N_("Less to look out for"),
}


@dataclass(frozen=True)
class ChangeTold:
    """One change as one person is told it, in sentences.

    - `away`: what is to be put away, which nobody may miss: it stands first
    - `parts`: what is different, and all that goes with it
    - `asks`: somebody is asked to be somewhere, so it may not suit"""

    away: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    asks: bool = False

    @property
    def line(self) -> str:
        return " ".join((*self.away, *self.parts))


def change_for_adult(names: Names, difference: Difference, adult: str) -> ChangeTold:
    """To somebody who runs the sitting, or sits, sat or was to sit beside."""
    if difference.change is Change.PUT_AWAY:
        return _put_away(names, difference)
    if difference.past:
        return ChangeTold(parts=_what_was(names, difference, lambda s: _whom(names, s, adult), adult))
    return _with_cautions(names, difference, _line_of_adult(names, difference, adult), adult)


def change_for_family(names: Names, difference: Difference) -> ChangeTold:
    """To whoever brings the learner."""
    if difference.change is Change.PUT_AWAY:
        return _put_away(names, difference)
    if difference.past:
        return ChangeTold(parts=_what_was(names, difference, lambda s: _by_whom(names, s)))
    return _with_cautions(names, difference, _line_of_learner(names, difference))


def _what_was(
    names: Names, difference: Difference, whom: Callable[[Sitting], str], adult: str = ""
) -> tuple[str, ...]:
    """To somebody who may have been there for nothing, or would go: what was, and what became of it. Nothing is asked
    for what is over."""
    before, after = difference.before, difference.after or (None if adult else difference.instead)
    assert before is not None
    so = after if after and (not adult or adult in after.adults) else None
    meeting = _meeting(names, so or before, whom(so or before))
    if so is None:
        return (_("Was cancelled: {meeting}.", meeting=meeting),)
    moved = before.start != so.start
    what = (
        _("Was moved: {meeting}", meeting=meeting)
        if moved
        else _("Was elsewhere: {meeting}", meeting=meeting)
    )
    return _sentences(what, *_before(names, before, so, difference.first))


def _sentences(*parts: str) -> tuple[str, ...]:
    return tuple(map(ended, parts))


def _meeting(names: Names, sitting: Sitting, whom: str) -> str:
    place = names.location(sitting.location)
    return _("{when}, {whom} at {location}", when=_when(sitting), whom=whom, location=place)


def _by_whom(names: Names, sitting: Sitting) -> str:
    return _("with {adult}", adult=names.adult(sitting.adult))


def _whom(names: Names, sitting: Sitting, adult: str) -> str:
    """Whom an adult meets there, as the one who runs it or as the one beside."""
    learner = names.learner(sitting.learner)
    if sitting.adult == adult:
        return _("with {learner}", learner=learner)
    return _("beside {adult} with {learner}", adult=names.adult(sitting.adult), learner=learner)


def _line_of_learner(names: Names, difference: Difference) -> tuple[str, ...]:
    before, after = difference.before, difference.after
    if before is None or after is None or before.adult == after.adult:
        return _line(names, difference, _by_whom(names, difference.sitting))
    instead = _(
        "{adult} in place of {other}: {when} at {location}",
        adult=names.adult(after.adult),
        other=names.adult(before.adult),
        when=_when(after),
        location=names.location(after.location),
    )
    parts = [instead, *_before(names, before, after, difference.first)]
    return _sentences(*parts, *_other_probes(names, before, after), *_beside(names, before, after))


def _with_cautions(
    names: Names, difference: Difference, parts: tuple[str, ...], adult: str = ""
) -> ChangeTold:
    """With what is to be left out of what people were told, what is to be looked out for no more, and all that is, by
    the adult or without one for the family: who reads of a change may have nothing else at hand."""
    before, after = difference.before, difference.after
    out = things_left_out(names, before) if before and is_known(before, names.case) else ()
    there = after if after and (not adult or adult in after.adults) else None
    told = cautions_to_mind(names, there, difference.more) if there else ()
    mind = [_("Mind: {line}", line=ended(c)) for c in told]
    called = names.learner(difference.sitting.learner)
    gone = [clean(no_longer_text(names.case, c, called)) for c in difference.gone] if there else ()
    parts = (*parts, *_things(names, difference, adult), *gone, *mind)
    return ChangeTold(tuple(out), parts, asks=there is not None)


def _put_away(names: Names, difference: Difference) -> ChangeTold:
    """To whoever may have it at home since it was there, or was to be."""
    things = {c.material_set for c in difference.more}
    keep = _(
        "Keep it away from {learner} if it is still with you.",
        learner=names.learner(difference.sitting.learner),
    )
    return ChangeTold((" ".join((*things_left_out(names, difference.sitting, things), keep)),))


def _things(names: Names, difference: Difference, adult: str) -> Iterator[str]:
    """All that comes with the child as it is now: a list that is sometimes whole and sometimes what is new would leave
    something at home. The family sends it along, whoever runs it looks for it, and no one else is told."""
    after = difference.after
    if after is None or adult not in ("", after.adult) or not (things := names.comes_along(after)):
        return
    listed = "; ".join(things)
    if adult:
        yield _("Comes with {learner}: {things}.", learner=names.learner(after.learner), things=listed)
    else:
        yield _("Please send along: {things}.", things=listed)


def _line_of_adult(names: Names, difference: Difference, adult: str) -> tuple[str, ...]:
    before, after = difference.before, difference.after
    whom = _whom(names, difference.sitting, adult)
    if difference.sitting.adult == adult:
        return _line(names, difference, whom)
    was = before is not None and before.beside == adult
    is_now = after is not None and after.beside == adult
    if was and is_now:
        return _line(names, difference, whom)
    side = before if was else after
    assert side is not None
    what = _meeting(names, side, whom)
    if was:
        return (_("Cancelled: {what}.", what=what),)
    return (_("New: {what}: {beside}.", what=what, beside=names.beside(side)),)


def _line(names: Names, difference: Difference, whom: str) -> tuple[str, ...]:
    before, after = difference.before, difference.after
    now = difference.sitting
    meeting = _meeting(names, now, whom)
    if before is None:
        return _sentences(
            _("New: {meeting}", meeting=meeting), _probes(names, now), *_beside(names, None, now)
        )
    if after is None:
        return (_("Cancelled: {meeting}.", meeting=meeting),)
    about_cautions = _ABOUT_CAUTIONS.get(difference.change)
    what = said(about_cautions) if about_cautions else _what(names, before, after)
    parts = [f"{what}: {meeting}", *_before(names, before, after, difference.first)]
    return _sentences(*parts, *_other_probes(names, before, after), *_beside(names, before, after))


def _what(names: Names, before: Sitting, after: Sitting) -> str:
    if before.start != after.start:
        return _("Moved")
    if before.location != after.location:
        return pgettext("of a change", "Another place")
    if before.end != after.end:
        return _("Longer") if before.end < after.end else _("Shorter")
    return _other(before, after) if before.probes != after.probes else _other_beside(names, before, after)


def _other_beside(names: Names, before: Sitting, after: Sitting) -> str:
    if not after.beside:
        return _("Without {adult} now", adult=names.adult(before.beside))
    if not before.beside:
        return _("Somebody beside now")
    return _("Another beside") if before.beside != after.beside else _("Another task beside")


def _other(before: Sitting, after: Sitting) -> str:
    """Which of the things in it are others now."""
    old, new = (Counter(replace(p, new_tuples=0) for p in s.probes) for s in (before, after))
    changed = {p.kind.is_probe for p in (old - new) + (new - old)}
    both = changed == {True, False}
    return (
        _("Other probes and teachings")
        if both
        else _("Other teachings")
        if changed == {False}
        else _("Other probes")
    )


def _before(names: Names, before: Sitting, after: Sitting, first: Sitting | None) -> Iterator[str]:
    """How it was until now, as far as it is otherwise."""
    was = []
    if before.start != after.start:
        was.append(_when(before))
    elif before.end != after.end:
        was.append(_("until {end}", end=clock(before.end)))
    if before.location != after.location:
        was.append(_("at {location}", location=names.location(before.location)))
    if was:
        yield _("Before: {was}", was=", ".join(was))
    if first:
        at_first = _("{when} at {location}", when=_when(first), location=names.location(first.location))
        yield _("Told at first: {was}", was=at_first)


def _other_probes(names: Names, before: Sitting, after: Sitting) -> Iterator[str]:
    """What is run besides, and what no more; a material set is part of it, since somebody has to bring it."""
    if (old := _named(names, before)) == (new := _named(names, after)):
        old, new = _named(names, before, fully=True), _named(names, after, fully=True)
    more, less = [p for p in new if p not in old], [p for p in old if p not in new]
    if old != new and not (more or less):
        yield _("In this order now: {new}", new=_listed(new))
    times = [Counter(skill for skill, __ in some) for some in (more, less)]
    changed = [skill for skill in times[0] if all(of[skill] == 1 for of in times)]
    for skill in changed:
        now, was = (dict(some)[skill] for some in (more, less))
        yield _("{skill}: {now} in place of {before}", skill=skill, now=now, before=was)
    if more := [p for p in more if p[0] not in changed]:
        yield _("Now also: {more}", more=_listed(more))
    if less := [p for p in less if p[0] not in changed]:
        yield _("No longer: {less}", less=_listed(less))


def _beside(names: Names, before: Sitting | None, after: Sitting) -> Iterator[str]:
    """Who sits beside now, and who no more."""
    old, new = names.beside(before) if before else "", names.beside(after)
    if new != old and new:
        yield new
    gone = before is not None and bool(before.beside) and before.beside not in after.adults
    if before and gone and not _is_left_alone(before, after):
        yield _("{adult} is no longer there", adult=names.adult(before.beside))


def _is_left_alone(before: Sitting, after: Sitting) -> bool:
    """Nothing is otherwise but that somebody is beside no more, as the heading says."""
    was, now = ((s.adult, s.start, s.end, s.location, s.probes) for s in (before, after))
    return not after.beside and was == now


Named = tuple[str, str]
"""A skill, and with what: the material set, and what else is varied."""


def _listed(probes: Iterable[Named]) -> str:
    return "; ".join(f"{skill} ({with_})" if with_ else skill for skill, with_ in probes)


def _named(names: Names, sitting: Sitting, fully: bool = False) -> list[Named]:
    return [_probe(names, p, fully) for p in sitting.probes]


def _probe(names: Names, probe: Probe, fully: bool) -> Named:
    target = names.case.targets.get(probe.target)
    if target is None:
        return names.target(probe.target), ""
    with_ = [*names.things_of(probe)]
    with_ += [value for __, value in names.extras(target, probe.combination)]
    if fully or not probe.kind.is_probe:
        with_.append(kind_words(probe.kind))
    if fully:
        with_.append(ngettext("{n} trial", "{n} trials", probe.trials))
    return names.target(target.id), ", ".join(with_)


def _when(sitting: Sitting) -> str:
    return f"{day_words(sitting.start.date())}, {hours(sitting)}"


def _probes(names: Names, sitting: Sitting) -> str:
    """With their things, which somebody has to bring, and how many trials are asked for."""
    counts = (ngettext("{n} trial", "{n} trials", p.trials) for p in sitting.probes)
    named = zip(_named(names, sitting), counts, strict=True)
    return f"{probes_words(sitting.probes)}: {_listed((skill, _joined(with_, n)) for (skill, with_), n in named)}"


def _joined(*parts: str) -> str:
    return ", ".join(filter(None, parts))
