"""What a change would do to the weeks that people were told of, as lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from genplan.case import Case, Week
from genplan.language import _, ngettext
from genplan.language.sentences import capital
from genplan.plan import Sitting
from genplan.planning.alternatives import Alternative
from genplan.planning.still_held import Against
from genplan.report.alternative_lines import (
    ask_words,
    counts_words,
    held_lines,
    home_question,
    to_be_told,
    told_words,
    where_words,
)
from genplan.report.names_and_words import Names, day_words, meeting_words
from genplan.report.told_week_lines import mark_of, why_words

FallenSitting = tuple[Sitting, object | None, tuple[Against, ...], tuple[Alternative, Sitting] | None]
"""A sitting that could not be held as told, what of it still could, what would stand against the rest, and the best
other place for it."""


def tried_lines(
    case: Case,
    week: Week,
    fallen: Sequence[FallenSitting],
    lost: Mapping[str, int],
    won_back: Mapping[str, int],
    with_nobody_else: Mapping[str, int],
    others: Sequence[str],
    adults: Sequence[str],
    learners: Sequence[str],
) -> Iterator[str]:
    """Of one week; what was lost and is won back as in `loss_sentence`."""
    names = Names(case)
    if not fallen:
        yield _("Week {week}: all that people were told of could still be held.", week=week)
        return
    yield ngettext(
        "Week {week}: {n} sitting could not be held as people were told",
        "Week {week}: {n} sittings could not be held as people were told",
        len(fallen),
        week=week,
    )
    for sitting, left, against, offered in fallen:
        sign, words = mark_of(left, against)
        yield f"  {sign} {day_words(sitting.start.date())}, {meeting_words(names, sitting)}"
        yield f"      {capital(words)}: {why_words(case, against)}."
        if offered is not None:
            alternative, place = offered
            yield _(
                "      One way to hold it, with all else as it is: {where}",
                where=where_words(names, place, day=True),
            )
            yield from (f"        {line}" for line in held_lines(names, place))
            asked = ask_words(names, alternative, place.location)
            yield from (f"        {line}" for line in asked)
        elif left is None:
            yield _("      No other place for it was found this week.")
    yield loss_sentence(names, lost, won_back, with_nobody_else, others)
    yield to_be_told(names, adults, learners)


def asked_lines(case: Case, asked: Sequence[tuple[Sitting, str]]) -> Iterator[str]:
    """What could still be held at the home of an adult who would be away."""
    names = Names(case)
    for sitting, adult in asked:
        yield f"  ? {day_words(sitting.start.date())}, {meeting_words(names, sitting)}"
        yield f"      {home_question(names, adult, sitting.location)}"


def loss_sentence(
    names: Names,
    lost: Mapping[str, int],
    won_back: Mapping[str, int],
    with_nobody_else: Mapping[str, int],
    others: Sequence[str],
) -> str:
    """What would be lost, and what of it what is offered would win back. `with_nobody_else`: by that alone for which
    nobody is told beside the people of what fell through; `others` are the adults whom the rest would tell."""
    less, back, alone = (
        counts_words(names.case, "", counts) for counts in (lost, won_back, with_nobody_else)
    )
    if not less:
        return _("Nothing that counts would be lost.")
    if not back:
        more = _("what is offered would win nothing of it back")
    elif not others:
        more = _("what is offered would win back {back}, with nobody else told", back=back)
    elif alone:
        more = _(
            "what is offered would win back {back}, and {others} would be told too; with nobody else told {alone}",
            back=back,
            others=told_words(names, others, ()),
            alone=alone,
        )
    else:
        more = _(
            "what is offered would win back {back}, and {others} would be told too; without that it would win back"
            " nothing",
            back=back,
            others=told_words(names, others, ()),
        )
    return _(
        "Lost: {less}; {more}. Planning the week again ('genplan replan') may save more of it on another day, and"
        " changes something for as few people as possible. A longer search may find more, but then more people may have"
        " to be told.",
        less=less,
        more=more,
    )
