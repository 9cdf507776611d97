"""The command about answers of earlier runs: its words, its help page and its call."""

from __future__ import annotations

from argparse import Namespace
from typing import Any

from genplan.cli import output
from genplan.cli.common import command
from genplan.cli.pages import Page
from genplan.language import N_, _, ngettext
from genplan.language.numbers import decimals

FORGET = Page(
    "forget",
    N_("delete what earlier searches found"),
    "genplan forget",
    N_("""\
Searching takes long, so what a search found is kept on this machine: the same
question is not searched twice, and after a change only what it touches is. It
lies in your own cache folder, where no other user of the machine can read it,
sealed so that it says nothing without the case it was found for. 100 MB are
kept at the most.

This deletes all of it. Cases, results and plans stay as they are; the next plan
takes as long as the first.
"""),
    N_("""\
example:
  genplan forget

With GENPLAN_STORE=off in the environment nothing is kept, and nothing that was
kept is read.
"""),
)


def add_commands(listed: Any) -> None:
    command(listed, FORGET, forget)


def forget(words: Namespace) -> int:
    from genplan import workflow

    count, held = workflow.forget()
    if count:
        size = f"{decimals(held / 1e6, 1)} MB" if held >= 1e5 else f"{decimals(held / 1e3, 1)} kB"
        output.show(
            ngettext(
                "Deleted what was kept of earlier searches: {n} answer, {size}.",
                "Deleted what was kept of earlier searches: {n} answers, {size}.",
                count,
                size=size,
            )
        )
    else:
        output.show(_("There was nothing to delete."))
    return 0
