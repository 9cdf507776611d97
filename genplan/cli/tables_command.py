"""The command for tables in and out: its words, its help pages and its calls."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import Any

from genplan.cli import output
from genplan.cli.common import add_now, command
from genplan.cli.pages import Page
from genplan.cli.warnings_shown import warn

TABLES = Page(
    "tables",
    "a case from a workbook, and a case as one",
    "genplan tables (empty FILE | read FILE CASE [--write] | write CASE FILE)",
    """\
People, hours, places, ways, things, skills and results as sheets of a workbook
(.xlsx, or .ods to read) or as the CSV files of a folder. 'empty' makes one with
the headings explained, 'read' reads a filled one into a case, 'write' makes one
of a case. To read or write workbooks: pip install 'genplan[excel]'.
""",
    """\
examples:
  genplan tables empty people.xlsx
  genplan tables read people.xlsx my-case
  genplan tables read people.xlsx my-case --write
  genplan tables write my-case people.xlsx
""",
)
EMPTY = Page(
    "empty",
    "make a workbook with the headings explained",
    "genplan tables empty FILE",
    """\
Makes FILE, a workbook if it ends in .xlsx, else a folder of CSV files: a sheet
each for children, adults, hours, places, ways, things, skills, results, changes
and the case itself. The second row explains each heading. Fill in what you
have; sheets and columns may be left out, and stand in any order.
""",
    """\
example:
  genplan tables empty people.xlsx
""",
)
READ = Page(
    "read",
    "read a filled workbook into a case",
    "genplan tables read FILE CASE [--write] [--now MOMENT]",
    """\
Shows what FILE, a workbook or a folder of CSV files, would change in the case,
and changes nothing. With --write it is written: all of it, or nothing with every
fault by sheet and cell. A case folder that is not there yet is made.

An empty cell leaves what the case says, a hyphen alone takes it out. What has
no row stays. Files of a case keep their remarks.
""",
    """\
examples:
  genplan tables read people.xlsx my-case
  genplan tables read people.xlsx my-case --write
""",
)
WRITE = Page(
    "write",
    "write a case as a workbook",
    "genplan tables write CASE FILE",
    """\
Writes the case into FILE, a workbook if it ends in .xlsx, else a folder of CSV
files. Calendars in busy and weeks that people were told of are not in it. It
holds names and hours of children: keep it as you keep the case.
""",
    """\
example:
  genplan tables write my-case people.xlsx
""",
)


def add_commands(listed: Any) -> None:
    parser = command(listed, TABLES, lambda words: 2)
    below = parser.add_subparsers(title="what to do", metavar="WHAT", required=True, dest="what")
    empty_ = command(below, EMPTY, empty)
    _add_file(empty_, "the workbook or folder to make")
    read_ = command(below, READ, read)
    _add_file(read_, "the filled workbook, or the folder of CSV files")
    read_.add_argument("folder", metavar="CASE", type=Path, help="the case folder, or one to make")
    read_.add_argument("--write", action="store_true", help="write what is shown")
    add_now(read_)
    write_ = command(below, WRITE, write)
    write_.add_argument("folder", metavar="CASE", type=Path, help="the case folder")
    _add_file(write_, "the workbook or folder to write")


def _add_file(parser: Any, words: str) -> None:
    parser.add_argument("file", metavar="FILE", type=Path, help=words)


def empty(words: Namespace) -> int:
    from genplan import workflow

    workflow.empty_tables(words.file)
    output.show(f"Made {words.file}.")
    output.show(f"Next: fill it in, and run 'genplan tables read {words.file} my-case'.")
    return 0


def write(words: Namespace) -> int:
    from genplan import workflow

    files = workflow.write_tables(words.folder, words.file)
    what = "" if len(files) == 1 else f": {', '.join(files)}"
    output.show(f"Written to {words.file}{what}.")
    return 0


def read(words: Namespace) -> int:
    from genplan import workflow
    from genplan.report.tabled_lines import tabled_lines

    done = workflow.read_tables(words.folder, words.file, words.now, write=words.write)
    warn(done.findings)
    output.show_lines(list(tabled_lines(done.differences)))
    if done.made:
        output.show(f"{len(done.made)} of these ids were made of names; they stay, whatever a name becomes.")
    if done.rows or done.known:
        output.show(f"Results: {done.rows} new, {done.known} there already.")
    output.show_lines(list(done.said))
    if done.untouched:
        output.show(f"Of {done.untouched} things of the case no row speaks; they stay as they are.")
    output.show(_end(words, done))
    return 0


def _end(words: Namespace, done: Any) -> str:
    if not done.differences and not done.rows:
        return f"{words.folder} says all this already; nothing to write."
    if done.written:
        return f"Written to {words.folder}. Next: genplan check {words.folder}"
    made = "would be made" if done.is_new else "was not changed"
    return f"{words.folder} {made}. Add --write to write this."
