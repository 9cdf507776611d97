"""The command for tables in and out: its words, its help pages and its calls."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import Any

from genplan.cli import output
from genplan.cli.as_typed import command_of
from genplan.cli.common import add_now, command
from genplan.cli.pages import Page
from genplan.cli.told_week_commands import show_otherwise
from genplan.cli.warnings_shown import warn
from genplan.errors import UsageError
from genplan.language import N_, _

TABLES = Page(
    "tables",
    N_("a case from a workbook, and a case as one"),
    "genplan tables (empty FILE | read FILE… CASE [--write] | write CASE FILE)",
    N_("""\
People, hours, places, ways, things, skills and results as sheets of a workbook
(.xlsx, or .ods to read) or as the CSV files of a folder. 'empty' makes one with
the headings explained, 'read' reads a filled one into a case, 'write' makes one
of a case. To read or write workbooks: pip install 'genplan[excel]'.
"""),
    N_("""\
examples:
  genplan tables empty people.xlsx
  genplan tables read people.xlsx my-case
  genplan tables read people.xlsx my-case --write
  genplan tables write my-case people.xlsx
"""),
)
EMPTY = Page(
    "empty",
    N_("make a workbook with the headings explained"),
    "genplan tables empty FILE",
    N_("""\
Makes FILE, a workbook if it ends in .xlsx, else a folder of CSV files: a sheet
each for children, adults, hours, places, ways, things, skills, results, changes
and the case itself. The second row explains each heading. Fill in what you
have; sheets and columns may be left out, and stand in any order.
"""),
    N_("""\
example:
  genplan tables empty people.xlsx
"""),
)
READ = Page(
    "read",
    N_("read filled workbooks into a case"),
    "genplan tables read FILE… CASE [--write [--cautions-too]] [--timezone ZONE] [--policy NAME] [--now MOMENT]",
    N_("""\
Shows what each FILE, a workbook, a CSV file or a folder of them, would change in
the case, and changes nothing. With --write it is written: all of it, or nothing
with every fault by sheet and cell. A case folder that is not there yet is made;
for that the files together have to say all that a case needs.

An empty cell leaves what the case says, a hyphen alone takes it out. What has
no row stays. Files of a case keep their remarks. Where an allergy, an age, a
small part or another caution of the case would go, as by an older sheet,
nothing is written without --cautions-too.
"""),
    N_("""\
examples:
  genplan tables read people.xlsx my-case
  genplan tables read staff.xlsx rooms.xlsx children.xlsx my-case --write
"""),
)
WRITE = Page(
    "write",
    N_("write a case as a workbook"),
    "genplan tables write CASE FILE [--now MOMENT]",
    N_("""\
Writes the case into FILE, a workbook if it ends in .xlsx, else a folder of CSV
files. Calendars in busy and weeks that people were told of are not in it. It
holds names and hours of children: keep it as you keep the case.
"""),
    N_("""\
example:
  genplan tables write my-case people.xlsx
"""),
)


def add_commands(listed: Any) -> None:
    parser = command(listed, TABLES, lambda words: 2)
    below = parser.add_subparsers(
        title=_("what to do"), metavar="WHAT", required=True, dest="what", prog="genplan tables"
    )
    empty_ = command(below, EMPTY, empty)
    _add_file(empty_, _("the workbook or folder to make"))
    read_ = command(below, READ, read)
    read_.set_defaults(anywhere=True)
    read_.add_argument(
        "files",
        metavar="FILE",
        type=Path,
        nargs="+",
        help=_("filled workbooks, CSV files or folders of them; several as well"),
    )
    read_.add_argument("folder", metavar="CASE", type=Path, help=_("the case folder, or one to make"))
    read_.add_argument(
        "--timezone",
        metavar="ZONE",
        default="",
        help=_("of a new case, such as Europe/Dublin; else that of a sheet 'case' or of this computer"),
    )
    read_.add_argument(
        "--policy",
        metavar="NAME",
        default="",
        help=_(
            "of a new case, such as family; else that of a sheet 'case', or one by the number of children"
        ),
    )
    read_.add_argument("--write", action="store_true", help=_("write what is shown"))
    read_.add_argument(
        "--cautions-too",
        action="store_true",
        help=_(
            "let an allergy or another caution that the tables do not have go, too; without it that is refused"
        ),
    )
    add_now(read_)
    write_ = command(below, WRITE, write)
    write_.add_argument("folder", metavar="CASE", type=Path, help=_("the case folder"))
    _add_file(write_, _("the workbook or folder to write"))
    add_now(write_)


def _add_file(parser: Any, words: str) -> None:
    parser.add_argument("file", metavar="FILE", type=Path, help=words)


def empty(words: Namespace) -> int:
    from genplan import workflow

    workflow.empty_tables(words.file)
    output.show(_("Made {file}.", file=words.file))
    output.show(_("Next: fill it in, and run 'genplan tables read {file} my-case'.", file=words.file))
    return 0


def write(words: Namespace) -> int:
    from genplan import workflow

    files = workflow.write_tables(words.folder, words.file, words.now)
    if len(files) == 1:
        output.show(_("Written to {file}.", file=words.file))
    else:
        output.show(_("Written to {file}: {files}.", file=words.file, files=", ".join(files)))
    return 0


def read(words: Namespace) -> int:
    from genplan import workflow
    from genplan.report.tabled_lines import tabled_lines

    try:
        done = workflow.read_tables(
            words.folder,
            words.files,
            words.now,
            write=words.write,
            timezone=words.timezone,
            policy=words.policy,
            cautions_too=words.cautions_too,
        )
    except workflow.CautionsWouldGo as refused:
        raise UsageError(
            _(
                "{refused} The tables may be older than the case: if so, mend them. If the caution is to go, add "
                "--cautions-too.",
                refused=refused,
            )
        ) from None
    warn(done.findings)
    output.show_lines(list(tabled_lines(done.differences)))
    if done.made:
        output.show(
            _(
                "{number} of these ids were made of names; they stay, whatever a name becomes.",
                number=len(done.made),
            )
        )
    output.show_lines(list(done.assumed))
    if done.rows or done.known:
        output.show(_("Results: {rows} new, {known} there already.", rows=done.rows, known=done.known))
    output.show_lines(list(done.said))
    if done.untouched:
        output.show(
            _(
                "Of {untouched} things of the case no row speaks; they stay as they are.",
                untouched=done.untouched,
            )
        )
    if done.cautions and not done.written:
        output.show(
            _(
                "A caution would go, and --write refuses that without --cautions-too: {cautions}.",
                cautions="; ".join(done.cautions),
            )
        )
    if done.written:
        show_otherwise(words.folder, words.now)
    output.show(_end(words, done))
    return 0


def _end(words: Namespace, done: Any) -> str:
    if not done.differences and not done.rows:
        return _("{folder} says all this already; nothing to write.", folder=words.folder)
    if done.written:
        return _(
            "Written to {folder}. Next: {command}",
            folder=words.folder,
            command=command_of("check", words.folder),
        )
    if done.is_new:
        return _("{folder} would be made. Add --write to write this.", folder=words.folder)
    return _("{folder} was not changed. Add --write to write this.", folder=words.folder)
