"""The words of the commands about a week that people are told of."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from genplan.cli import argument_types
from genplan.cli import week_commands as commands
from genplan.cli import week_pages as pages
from genplan.cli.common import add_now, add_source, add_week, command_of_case
from genplan.cli.interrupts import add_interrupt
from genplan.cli.workers_option import add_workers
from genplan.language import _


def add_commands(listed: Any) -> None:
    for add in (_keep, _change, _replan, _publish):
        add_now(add(listed))


def _keep(listed: Any) -> Any:
    parser = command_of_case(listed, pages.KEEP, commands.keep)
    add_week(parser, _("the week to keep; default: that of OUT, or the week after now"))
    add_source(parser, _("the folder with the plan to keep"))
    add_workers(parser)
    return parser


def _change(listed: Any) -> Any:
    parser = command_of_case(listed, pages.CHANGE, commands.change)
    parser.set_defaults(one_a_command=True)
    what = parser.add_mutually_exclusive_group(required=True)
    what.add_argument("--away", metavar="ID", help=_("the adult or learner who is away"))
    what.add_argument("--closed", metavar="ID", help=_("the location that is closed"))
    what.add_argument("--missing-set", metavar="ID", help=_("the material set that is not there"))
    what.add_argument(
        "--extra-hour",
        nargs=2,
        metavar=("ADULT", "HOURS"),
        help=_('more time, such as mum "tue 16:00-17:00"'),
    )
    what.add_argument("--hold", metavar="SITTING", help=_("a wish: this sitting stays as it is"))
    what.add_argument("--not", dest="not_", metavar="SITTING", help=_("a wish: this sitting is not to be"))
    what.add_argument(
        "--move", metavar="SITTING", help=_("a wish: this sitting begins at the moment of --to")
    )
    what.add_argument(
        "--rather", metavar="ADULT", help=_("a wish: a sitting with this adult between --from and --to")
    )
    what.add_argument(
        "--apart", nargs=2, metavar="ID", help=_("a wish: two sittings or targets not on one day")
    )
    what.add_argument(
        "--add",
        nargs="+",
        metavar="KEY=VALUE",
        type=argument_types.value_of_dimension,
        help=_(
            "a wish: a sitting of your own, with learner, adult, location, start, target and material_set"
        ),
    )
    parser.add_argument("--learner", metavar="ID", default="", help=_("of --rather: whose sitting"))
    parser.add_argument("--adult", metavar="ID", default="", help=_("of --move: who runs it then"))
    parser.add_argument("--location", metavar="ID", default="", help=_("of --move: where it is then"))
    parser.add_argument("--take-back", action="store_true", help=_("take the wish out again"))
    parser.add_argument(
        "--from",
        dest="start",
        metavar="WHEN",
        type=argument_types.start,
        help=_(
            "a day such as 2026-12-01, Thursday or 3 December, or with a time, 2026-12-01T16:00; default: now"
        ),
    )
    parser.add_argument(
        "--to",
        dest="end",
        metavar="WHEN",
        type=argument_types.end,
        help=_("the last day, or a moment; default: the same day"),
    )
    add_week(parser, _("the week that a day of --extra-hour is of; default: the week of now"))
    parser.add_argument("--note", default="", help=_("why, in your words"))
    parser.add_argument(
        "--try", dest="tried", action="store_true", help=_("write nothing, and tell what the change would do")
    )
    return parser


def _replan(listed: Any) -> Any:
    parser = command_of_case(listed, pages.REPLAN, commands.replan)
    add_week(parser, _("the week; default: the first kept one that is not over"))
    parser.add_argument("--out", metavar="OUT", type=Path, help=_("the folder to write the results into"))
    parser.add_argument("--keep", action="store_true", help=_("keep the new plan at once"))
    parser.add_argument(
        "--deeper", action="store_true", help=_("search further, though more people may have to be told")
    )
    add_interrupt(parser)
    add_workers(parser)
    return parser


def _publish(listed: Any) -> Any:
    parser = command_of_case(listed, pages.PUBLISH, commands.publish)
    parser.add_argument("--url", help=_("the address of the CalDAV server; default: GENPLAN_CALDAV_URL"))
    parser.add_argument("--user", metavar="NAME", help=_("your name there; default: GENPLAN_CALDAV_USER"))
    beside = parser.add_mutually_exclusive_group()
    beside.add_argument("--put-back", action="store_true", help=_("put back what somebody deleted there"))
    beside.add_argument(
        "--withdraw", action="store_true", help=_("take off everything that this case put there")
    )
    return parser
