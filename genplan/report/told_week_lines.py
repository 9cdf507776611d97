"""The kept week as it stands, as lines for the terminal: what can no longer be held is marked with a sign and words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from itertools import groupby

from genplan.case import Case, Week
from genplan.evidence.log import Log
from genplan.keeping.past_of_week import without_not_run
from genplan.language import N_, _, ngettext, said
from genplan.plan import Probe, Sitting
from genplan.planning.still_held import OF_THE_SITTING, Against, AgainstKind
from genplan.report.names_and_words import (
    Names,
    amount_words,
    begun_words,
    clean,
    day_words,
    kind_words,
    long_date,
    meeting_words,
)
from genplan.text.no_longer_held import against_text

NOT_HELD, IN_PART = "✗", "±"
"""The signs of a sitting that can no longer be held, and of one that can be held without some of it."""
CAN_NOT, PARTLY = N_("can no longer be held"), N_("can be held, but not as people were told")
CALLED_OFF = N_("called off")
BRIEFLY = {CAN_NOT: N_("not possible"), PARTLY: N_("not as told"), CALLED_OFF: N_("called off")}


def is_called_off(against: Iterable[Against]) -> bool:
    """Somebody said that it is not to be: nothing stands in its way."""
    return any(a.kind in OF_THE_SITTING for a in against)


def mark_of(left: object | None, against: Sequence[Against], *, briefly: bool = False) -> tuple[str, str]:
    """The sign and the words of a sitting that is otherwise than people were told; `left` is what of it can be held."""
    words = CALLED_OFF if is_called_off(against) else CAN_NOT if left is None else PARTLY
    return IN_PART if words is PARTLY else NOT_HELD, said(BRIEFLY[words] if briefly else words)


def why_more(case: Case, against: Iterable[Against]) -> str:
    """What is to be said behind the words of the mark: that it was called off says all."""
    return why_words(case, (a for a in against if a.kind is not AgainstKind.LEFT_OUT))


def why_words(case: Case, against: Iterable[Against]) -> str:
    """Each reason once; clean."""
    return "; ".join(dict.fromkeys(clean(against_text(case, a)) for a in against))


Standing = tuple[Sitting, bool, object | None, tuple[Against, ...]]
"""A told sitting, whether it has begun, what of it can still be held, what stands against the rest."""


def told_amount(case: Case, log: Log, now: datetime, sittings: Sequence[Sitting]) -> str:
    """How much a told week holds, counted as a new plan of it counts; what was not run is told beside it."""
    left = tuple(without_not_run(sittings, case, log, now))
    gone = len(not_run_in(case, log, now, sittings))
    amount = amount_words(left)
    if not gone:
        return amount
    return ngettext("{amount}; {n} more was not run", "{amount}; {n} more were not run", gone, amount=amount)


NotRun = frozenset[tuple[str, Probe]]
"""Ids of sittings, and what in them was not run."""


def not_run_in(case: Case, log: Log, now: datetime, sittings: Sequence[Sitting]) -> NotRun:
    """What was written down as not run."""
    left = {(s.id, p) for s in without_not_run(sittings, case, log, now) for p in s.probes}
    return frozenset((s.id, p) for s in sittings for p in s.probes) - left


def told_week_lines(
    case: Case,
    week: Week,
    sittings: Sequence[Standing],
    folder: str,
    amount: str,
    now: datetime,
    not_run: NotRun = frozenset(),
) -> Iterator[str]:
    """`now` is the aware moment that is looked from. `folder` is the case's, as it is typed in the commands that help;
    `amount` is how much the week holds, in words."""
    names = Names(case)
    yield _(
        "Week {week}: {monday} to {sunday}, as people were told of it",
        week=week,
        monday=day_words(week.monday),
        sunday=long_date(week.sunday),
    )
    yield _("{amount}; times of {timezone}.", amount=amount, timezone=case.timezone)
    otherwise = [one for one in sittings if one[3]]
    if otherwise:
        yield ""
        yield from otherwise_lines(otherwise)
        again = again_words(week, now.date())
        yield f"{again}: genplan replan {folder} --week {week}"
        if not all(a.is_for_its_thing for one in otherwise for a in one[3]):
            yield _("Or one by itself: genplan alternatives {folder} SITTING", folder=folder)
    for day, of_day in groupby(sittings, key=lambda one: one[0].start.date()):
        yield ""
        yield day_words(day)
        for sitting, begun, left, against in of_day:
            yield from _sitting(names, sitting, begun, left, against, now)
            yield from _probes(names, sitting, not_run)


def again_words(week: Week, today: date) -> str:
    """How a week of which people were told is planned once more; one that lies wholly ahead has no rest."""
    if today < week.monday:
        return _("Plan week {number} again", number=week.number)
    return _("Plan the rest of this week")


def otherwise_lines(otherwise: Sequence[Standing]) -> Iterator[str]:
    """How many can no longer be held as people were told, in a sentence."""
    told = otherwise_sentences([(left, against) for _sitting, _begun, left, against in otherwise])
    yield from (f"{sign} {sentence}" for sign, sentence in told)


def otherwise_sentences(
    otherwise: Sequence[tuple[object | None, Sequence[Against]]],
) -> Iterator[tuple[str, str]]:
    """The same, each with its sign, of what can be held of each sitting and what stands against it."""
    off = sum(is_called_off(against) for _left, against in otherwise)
    gone = sum(left is None for left, _against in otherwise) - off
    return otherwise_counted(off, gone, len(otherwise) - gone - off)


def otherwise_counted(off: int, gone: int, partly: int) -> Iterator[tuple[str, str]]:
    """The same of so many that are called off, that can no longer be held, and that can in part."""
    if off:
        yield NOT_HELD, off_words(off)
    if gone:
        lost = ngettext("{n} sitting can no longer be held.", "{n} sittings can no longer be held.", gone)
        yield NOT_HELD, lost
    if partly:
        some = ngettext(
            "{n} sitting can be held, but not as people were told.",
            "{n} sittings can be held, but not as people were told.",
            partly,
        )
        yield IN_PART, some


def off_words(number: int) -> str:
    return ngettext("{n} sitting is called off.", "{n} sittings are called off.", number)


def _sitting(
    names: Names,
    sitting: Sitting,
    begun: bool,
    left: object | None,
    against: tuple[Against, ...],
    now: datetime,
) -> Iterator[str]:
    sign, words = mark_of(left, against) if against else (" ", "")
    tail = begun_words(sitting, now) if begun else f"  {words.upper()}" if against else ""
    yield f"{sign} {meeting_words(names, sitting)}{tail}"
    yield f"      {sitting.id}"
    if against:
        yield _("      Why: {why}.", why=why_words(names.case, against))
    if sitting.beside:
        yield f"      {names.beside(sitting)}"


def _probes(names: Names, sitting: Sitting, not_run: NotRun) -> Iterator[str]:
    for probe in sitting.probes:
        known = probe.target in names.case.targets
        what = (
            f"{names.target_and_used(probe)} ({kind_words(probe.kind)})"
            if known
            else names.target(probe.target)
        )
        tail = f"  {_('was not run').upper()}" if (sitting.id, probe) in not_run else ""
        yield f"      {what}{tail}"
