"""Rows that are added to the results, typed, from a sheet or by questions: what is asked before, and what is told."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

from genplan.cli import output
from genplan.cli.as_typed import command_of
from genplan.errors import UsageError
from genplan.language import _, ngettext
from genplan.language.typed import is_word
from genplan.workflow import Doubts, RecordOutcome


def sure(doubts: Doubts, *, folder: Path, ahead: bool, long_ago: bool) -> bool:
    """Asks whether rows are to be added: they count in the place of others, or speak of what is still ahead or of long
    ago, which `ahead` and `long_ago` have answered. Where nobody can answer, what is ahead or has the wrong year in all
    likelihood is not added, and the rest is and is told. What is not over is called off and not written down."""
    if ahead:
        doubts = replace(doubts, ahead=(), not_over=())
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
        if doubts.not_over and not doubts.ahead:
            raise UsageError(_call_it_off(folder, doubts))
        if not doubts.ahead:
            for sentence in (*doubts.held_back, *doubts.trials, *doubts.long_ago, *doubts.unlikely):
                output.tell(sentence)
            return True
        raise UsageError(
            _("{what} Nothing was added: with --ahead it is added all the same.", what=" ".join(doubts.ahead))
        )
    for sentence in doubts.sentences:
        output.show(sentence)
    if doubts.not_over:
        output.show(_how_to_call_it_off(folder, doubts))
    try:
        return is_word(input(_("Add it all the same? 'yes', or nothing to leave it: ")).strip(), "yes")
    except EOFError:
        output.show("")
        return False


def _call_it_off(folder: Path, doubts: Doubts) -> str:
    refused = _(
        "{what} Nothing was added: with --ahead it is added all the same.", what=" ".join(doubts.not_over)
    )
    return f"{refused} {_how_to_call_it_off(folder, doubts)}"


def _how_to_call_it_off(folder: Path, doubts: Doubts) -> str:
    command = command_of("change", folder, "--not", doubts.told or "SITTING")
    return _("What is still ahead is called off, so that everybody is told: {command}", command=command)


def show_who_may_be_away(folder: Path, outcome: RecordOutcome) -> None:
    """How to keep a child free who cannot be there that day; `outcome` has said that it is not."""
    for learner, day in outcome.maybe_away:
        days = ("--from", day.isoformat(), "--to", day.isoformat())
        output.show(command_of("change", folder, "--away", learner, *days))


def rows_added(number: int) -> str:
    return ngettext("{n} row added to results.csv.", "{n} rows added to results.csv.", number)
