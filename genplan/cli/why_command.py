"""The command about what a plan leaves out: its words, its help page and its call."""

from __future__ import annotations

from argparse import Namespace
from typing import Any

from genplan.cli import output
from genplan.cli.common import add_now, add_week, command_of_case
from genplan.cli.interrupts import NO_ANSWER, ends_with
from genplan.cli.pages import Page
from genplan.cli.warnings_shown import warn_of_case
from genplan.cli.workers_option import add_workers
from genplan.language import N_, _

WHY = Page(
    "why",
    N_("tell why not, and what would help most"),
    """\
genplan why CASE [--week WEEK] [--learner ID] [--target ID] [--details]
                 [--now MOMENT] [--workers ADDRESS [--workers-config FILE]
                 [--workers-unencrypted]]""",
    N_("""\
Plans a week and answers two questions about it.

What would help most? Small changes are tried, each by planning again with
everything else as it is: half an hour more of an adult or a child on a day, be
it a day on which they have no hours so far; a place open an hour longer, a
limit one higher, one copy more of a set, an adult briefed on a skill. For each
person, place or thing that would let the week show more the best change is
told, who brings most first. Whether a change is right for the child is for
people to say.

Why not? For everything that is owed and not in the plan one true reason: a
limit or hours that stand in every way of running it; or, where it depends on
what else is planned, what the week would lose if it were run, found by planning
again with it. Of several children the causes are told, and how much each keeps
out; --learner, --target or --details name everything.

Nothing is written, and nobody is told anything.
"""),
    N_("""\
examples:
  genplan why my-case
  genplan why my-case --learner ines
  genplan why my-case --learner ines --target greets-back

words:
  combination   an adult, a place and a material set (or what else is varied),
                or as many of them as the policy wants to see together
  with it       what the week would show more, at the least: the other learners
                stay as they are

Of five learners or more only what comes first is looked at, and it is said how
much was not; --learner, --target and --details look at the rest, which takes
minutes. Ctrl+C stops it, and nothing is lost.
"""),
)


def add_commands(listed: Any) -> None:
    parser = command_of_case(listed, WHY, why)
    add_week(parser, _("the week; default: the week after now"))
    parser.add_argument("--learner", metavar="ID", help=_("answer only for this learner; all are planned"))
    parser.add_argument(
        "--target", metavar="ID", help=_("name everything that is left out of this target, one by one")
    )
    parser.add_argument(
        "--details", action="store_true", help=_("every change that would help, and all that is left out")
    )
    add_workers(parser)
    add_now(parser)


def why(words: Namespace) -> int:
    from genplan import workflow
    from genplan.report.why_lines import why_lines

    with ends_with(NO_ANSWER):
        view = workflow.why(
            words.folder,
            words.week,
            words.now,
            output.progress,
            learner=words.learner,
            target=words.target,
            at_length=words.details,
        )
    warn_of_case(words.folder, view.findings, view.about_week)
    lines = why_lines(
        view.case, view.plan, view.why, view.learners, view.target, output.width(), words.details, view.again
    )
    output.show_lines(lines)
    return 0
