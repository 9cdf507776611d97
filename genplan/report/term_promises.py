"""What a term says of a date in a few words, and what a date hangs on for which there is room."""

from __future__ import annotations

from collections.abc import Iterator

from genplan.language import _, and_list_of
from genplan.plan.term import Promise, TermDate
from genplan.report.names_and_words import Names
from genplan.text.limit_words import THAT_WEEK
from genplan.text.limits import limit_sentence
from genplan.text.tuple_words import combination_words


def promise_words(promise: Promise) -> str:
    return {
        Promise.KEPT: _("there is room"),
        Promise.GIVES_WAY: _("gives way"),
        Promise.GIVES_WAY_TO_DUE: _("gives way to what is due"),
        Promise.CANNOT: _("cannot be kept"),
        Promise.UNKNOWN: _("no room was found"),
    }[promise]


def verdict_words(found: TermDate) -> str:
    """What the term says of a date, with the condition on which it is kept."""
    if found.is_kept and found.hangs_on:
        return _("there is room, if what it waits for is met again in time")
    return promise_words(found.promise)


def hanging_sentences(names: Names, found: TermDate) -> Iterator[str]:
    """What the probes of a date wait for."""
    for one in found.hangs_on:
        if not one.lapsed:
            what = limit_sentence(names.case, one.limit, THAT_WEEK)
            yield _("It hangs on this: {what}.", what=what)
            continue
        target = names.case.targets[found.target]
        named = and_list_of([combination_words(names.case, target, c, " + ") for c in one.lapsed], 3)
        yield (
            _(
                "It hangs on {what}, which was taught and is not met any more: new combinations wait until that is"
                " taught again, and met when it is probed after that.",
                what=named,
            )
            if one.to_teach
            else _(
                "It hangs on {what}, which was taught and is not met any more: new combinations wait until that is"
                " probed again and met.",
                what=named,
            )
        )
