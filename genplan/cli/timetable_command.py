"""`genplan timetable`: its words, its help page, its call."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import Any

from genplan.cli import output
from genplan.cli.common import add_now, add_source, add_week, command_of_case
from genplan.cli.pages import Page
from genplan.cli.warnings_shown import warn_of_case
from genplan.language import N_, _

TIMETABLE = Page(
    "timetable",
    N_("the week to hang up as a workbook, and minutes used and left"),
    """\
genplan timetable CASE [--week WEEK] [--from OUT] [--xlsx FILE]
                      [--now MOMENT]""",
    N_("""\
Tells of each adult, place and child how many minutes of a kept week are used of
those available, and how many hours and limits leave. With --xlsx it writes the
timetable as a workbook: a sheet by adult, one by place and one by child, to
print across, one page wide.

Without --week, the first kept week that is not over. With --from, a plan that
is not kept yet. To write workbooks: pip install 'genplan[excel]'.
"""),
    N_("""\
examples:
  genplan timetable my-case
  genplan timetable my-case --xlsx week.xlsx
  genplan timetable my-case --from out --xlsx week.xlsx
"""),
)


def add_commands(listed: Any) -> None:
    parser = command_of_case(listed, TIMETABLE, timetable)
    add_week(parser, _("the week; default: that of OUT, or the first kept one that is not over"))
    add_source(parser, _("the folder with a plan that is not kept yet"))
    parser.add_argument("--xlsx", metavar="FILE", type=Path, help=_("the workbook to write"))
    add_now(parser)


def timetable(words: Namespace) -> int:
    from genplan import workflow
    from genplan.report.timetable_lines import timetable_lines

    view = workflow.timetable(words.folder, words.week, words.source, words.now, words.xlsx)
    warn_of_case(words.folder, view.findings)
    output.show_lines(timetable_lines(view.case, view.week, view.sittings, view.used))
    output.show_lines(view.remarks)
    if words.xlsx is not None:
        output.show(_("Written to {file}.", file=words.xlsx))
    return 0
