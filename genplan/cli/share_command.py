"""The command that makes something to hand on: its words, its help page and its call."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import Any

from genplan.cli import output
from genplan.cli.common import add_now, command_of_case
from genplan.cli.pages import Page
from genplan.cli.told_week_commands import show_otherwise
from genplan.cli.warnings_shown import warn_of_case
from genplan.language import N_, _

SHARE = Page(
    "share",
    N_("make something to hand on: one adult's part, or a copy without names"),
    "genplan share CASE (--adult ID | --for-help) --out OUT [--now MOMENT]",
    N_("""\
Makes a folder to hand on, or one file of it if OUT ends in .zip. The case stays
as it is, and nothing is sent.

With --adult, that adult's part of the kept weeks that are not over, a folder
for each week: the calendar, the page of the week, and the sheets of the
sittings that the adult runs. Children are called by their aliases. Sittings
of others, and children whom the adult does not see, are not in it.

With --for-help, a copy of the whole case for somebody who is to find out why it
is planned as it is. Every id, name, alias, text and note is replaced by another
one, numbered by lot, and a day of birth by a month near it. All dates are moved
by one secret number of whole weeks: days of the week and the time between two
dates stay. 'genplan check' says of the copy what it says of the case, and
'genplan plan' finds a week of the same worth.
"""),
    N_("""\
examples:
  genplan share my-case --adult pop --out for-pop
  genplan share my-case --adult pop --out for-pop.zip
  genplan share my-case --for-help --out copy.zip

Look at a copy before you hand it on: ABOUT.txt in it says what can still be
read, such as hours, counts and roughly how old a child is. A case with errors
is copied too, without its results, busy times and kept weeks.
"""),
)


def add_commands(listed: Any) -> None:
    parser = command_of_case(listed, SHARE, share)
    what = parser.add_mutually_exclusive_group(required=True)
    what.add_argument("--adult", metavar="ID", help=_("the part of this adult in the kept weeks"))
    what.add_argument("--for-help", action="store_true", help=_("a copy in which nobody is named"))
    parser.add_argument(
        "--out",
        metavar="OUT",
        type=Path,
        required=True,
        help=_("the folder to write, or a file that ends in .zip"),
    )
    add_now(parser)


def share(words: Namespace) -> int:
    from genplan import workflow

    if words.adult is not None:
        done = workflow.share_part(words.folder, words.adult, words.out, words.now)
    else:
        done = workflow.share_copy(words.folder, words.out, words.now, output.tell)
    warn_of_case(words.folder, done.findings)
    output.show(done.sentence)
    if words.adult is not None:
        show_otherwise(words.folder, words.now)
    output.show(_("Written to {out}: {files}.", out=words.out, files=", ".join(done.files)))
    return 0
