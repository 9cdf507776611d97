"""Rows that are added to the results, typed, from a sheet or by questions: what is asked before, and what is told."""

from __future__ import annotations

import sys
from dataclasses import replace

from genplan.cli import output
from genplan.errors import UsageError
from genplan.language import _, ngettext
from genplan.language.typed import is_word
from genplan.workflow import Doubts


def sure(doubts: Doubts, *, ahead: bool, long_ago: bool) -> bool:
    """Asks whether rows are to be added: they count in the place of others, or speak of what is still ahead or of long
    ago, which `ahead` and `long_ago` have answered. Where nobody can answer, what is ahead or has the wrong year in all
    likelihood is not added, and the rest is and is told."""
    if ahead:
        doubts = replace(doubts, ahead=())
    if long_ago:
        doubts = replace(doubts, long_ago=(), is_year_doubted=False)
    if not doubts.sentences:
        return True
    if sys.stdin is None or not sys.stdin.isatty():
        if doubts.is_year_doubted:
            raise UsageError(
                _(
                    "{what} Nothing was added: with --long-ago it is added all the same.",
                    what=" ".join(doubts.long_ago),
                )
            )
        if not doubts.ahead:
            for sentence in (*doubts.held_back, *doubts.fewer, *doubts.long_ago):
                output.tell(sentence)
            return True
        raise UsageError(
            _("{what} Nothing was added: with --ahead it is added all the same.", what=" ".join(doubts.ahead))
        )
    for sentence in doubts.sentences:
        output.show(sentence)
    try:
        return is_word(input(_("Add it all the same? 'yes', or nothing to leave it: ")).strip(), "yes")
    except EOFError:
        output.show("")
        return False


def rows_added(number: int) -> str:
    return ngettext("{n} row added to results.csv.", "{n} rows added to results.csv.", number)
