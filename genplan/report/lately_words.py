"""What is said of the last weeks: which they are, and of what was not held with what reason, naming nobody at fault."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from genplan.case import Week
from genplan.evidence.sittings_written import ADULTS_REASON, CHILDS_REASONS, SittingsCount
from genplan.keeping.lately import Became
from genplan.keeping.not_held import NotHeld, Whose
from genplan.language import _, ngettext, said
from genplan.report.names_and_words import Names, clean, day_words
from genplan.report.plain_characters import ended
from genplan.report.sittings_words import sittings_sentences
from genplan.text.week_words import first_and_last


def span_words(weeks: Sequence[Week]) -> str:
    first, last = first_and_last(weeks[0], weeks[-1])
    if len(weeks) == 1:
        return _("This week, {last}", last=weeks[-1])
    return _("The last {n} weeks: {first} to {last}", n=len(weeks), first=first, last=last)


def how_counted() -> str:
    return _(
        "Told: what people were told of, as kept weeks have it. Held and not held: what the results say, also of"
        " sittings that nobody was told of, and what people were told is cancelled. Open: told, and no row tells of"
        " it, be it that it is still ahead. A sitting with two adults counts for both."
    )


def not_held_sentences(names: Names, missed: Sequence[NotHeld]) -> Iterator[str]:
    """A sentence for each sitting that was not held."""
    for one in missed:
        when = f"{day_words(one.day)}, {one.at:%H:%M}" if one.at else day_words(one.day)
        what = names.meeting(one.learner, one.adult)
        if one.released:
            what = _(
                "{adult} beside {other} with {learner}",
                adult=names.adult(one.released),
                other=names.adult(one.adult),
                learner=names.learner(one.learner),
            )
        became = _("cancelled") if one.became is Became.CANCELLED else _("not run")
        yield f"{when}: {what}, {became}. {why_words(names, one)}"


def why_words(names: Names, one: NotHeld) -> str:
    """Whose absence it was, and the reason as it is written down; else how it came about."""
    whose = _whose(names, one)
    reason = clean(one.reason)
    if not reason:
        return whose or _no_reason(one)
    written = _("Written down: {reason}", reason=ended(reason))
    return f"{whose} {written}" if whose else written


def _no_reason(one: NotHeld) -> str:
    """Of what nobody was away for: a week that is planned again leaves out what does not fit beside the rest of it."""
    if one.called_off:
        return _("Somebody called it off.")
    if one.became is Became.CANCELLED:
        return _("The week was planned again without it.")
    ill, refused = map(said, CHILDS_REASONS)
    return _(
        "No reason is written down. One in the note of its row is told here: '{ill}' or '{refused}' if it was the"
        " child's, '{away}' if it was the adult's.",
        ill=ill,
        refused=refused,
        away=said(ADULTS_REASON),
    )


def _whose(names: Names, one: NotHeld) -> str:
    if one.whose is Whose.LEARNER:
        return _("{learner} could not.", learner=names.learner(one.id))
    if one.whose is Whose.ADULT:
        return _("{adult} was away.", adult=names.adult(one.id))
    if one.whose is Whose.LOCATION:
        return _("{location} was closed.", location=names.location(one.id))
    if one.whose is Whose.MATERIAL_SET:
        return _("{material_set} was not there.", material_set=names.material_set(one.id))
    return ""


def count_sentences(names: Names, counts: Mapping[str, SittingsCount]) -> tuple[str, ...]:
    """How many of the sittings that are written down were not run, as `progress` says it."""
    return tuple(sittings_sentences(names, counts))


def unwritten_sentence(count: int) -> str:
    """Said in the place of "no sitting fell through", which nobody knows where nothing is written down."""
    return ngettext(
        "Of {n} sitting that has begun nothing is written down: whether it was held is not known.",
        "Of {n} sittings that have begun nothing is written down: whether they were held is not known.",
        count,
    )
