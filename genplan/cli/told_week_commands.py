"""The commands about the kept week as it stands, and about other places for a sitting: words, help pages, calls."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from genplan.cli import argument_types, output
from genplan.cli.as_typed import as_typed, command_of
from genplan.cli.common import add_now, add_source, add_week, command_of_case
from genplan.cli.pages import Page
from genplan.cli.warnings_shown import warn_of_case
from genplan.errors import CaseError, FileError
from genplan.language import N_, _

if TYPE_CHECKING:
    from genplan import workflow
    from genplan.case.wishes_of_planners import PlannersWish

WEEK = Page(
    "week",
    N_("show a week as people were told of it, and what of it can no longer be held"),
    """\
genplan week CASE [--week WEEK] [--now MOMENT]
       genplan week CASE (--told WHO | --not-told WHO) [--week WEEK] [--now MOMENT]""",
    N_("""\
Shows a kept week day by day, each sitting with its id. What can no longer be
held as people were told is marked, with the reason: somebody is away, a place
is shut, a set is missing, a skill was run meanwhile.

  ✗   the sitting can no longer be held
  ±   it can be held without some of it, or without its observer

Without --week, the first kept week that is not over.

--told writes down that somebody was told all that is different in the week: a
later change is told against that. --not-told takes it back. Else nothing is
written.
"""),
    N_("""\
examples:
  genplan change my-case --away pop
  genplan week my-case
  genplan replan my-case
  genplan week my-case --told pop
"""),
)

ALTERNATIVES = Page(
    "alternatives",
    N_("tell where else, when or with whom a sitting could be"),
    """\
genplan alternatives CASE SITTING [--from OUT] [--take N] [--now MOMENT]""",
    N_("""\
Lists the best other places for one sitting of a kept week: another time, adult
or location, everything else as people were told. For one that fell through it
says who could stand in on that day. Each place holds as much of what the child
is owed as it can, and the list says what the week gains or loses with it, and
who would have to be told. Each can be held beside all other sittings, by every
rule.

With --take, that place is written into changes.yaml as a wish, by which
'genplan replan' plans. With --from, the sitting is one of a plan that is not
kept yet. Without --take nothing is written.
"""),
    N_("""\
examples:
  genplan week my-case
  genplan alternatives my-case 2026-W49-thu-pop-3fa
  genplan alternatives my-case 2026-W49-thu-pop-3fa --take 1
  genplan replan my-case

words:
  due probe   one that is to be run again after teaching, or to see if a skill
              lasts

Of each adult, location and day the best start is listed. Of several places that
are as good the one with the fewest people to tell comes first, then the one
that is nearest in time.
"""),
)


def add_commands(listed: Any) -> None:
    parser = command_of_case(listed, WEEK, week)
    add_week(parser, _("the week; default: the first kept one that is not over"))
    who = parser.add_mutually_exclusive_group()
    who.add_argument("--told", metavar="WHO", help=_("this adult, or this learner's family, was told"))
    who.add_argument("--not-told", metavar="WHO", help=_("was not told after all"))
    add_now(parser)
    parser = command_of_case(listed, ALTERNATIVES, alternatives)
    parser.add_argument(
        "sitting", metavar="SITTING", help=_("the id of the sitting, as 'genplan week' shows it")
    )
    add_source(parser, _("the folder with a plan that is not kept yet"))
    parser.add_argument(
        "--take", metavar="N", type=argument_types.count, help=_("write place number N down as a wish")
    )
    add_now(parser)


def week(words: Namespace) -> int:
    from genplan import workflow
    from genplan.report.told_week_lines import not_run_in, told_amount, told_week_lines

    if words.told is not None:
        output.show(workflow.mark_told(words.folder, words.week, words.told, words.now))
        return 0
    if words.not_told is not None:
        output.show(workflow.mark_not_told(words.folder, words.week, words.not_told, words.now))
        return 0
    view = workflow.told_week(words.folder, words.week, words.now)
    warn_of_case(words.folder, view.opened.findings, view.about_week)
    sittings = [(s.as_held, s.begun, s.left, s.against) for s in view.sittings]
    opened = view.opened
    told = [s.sitting for s in view.sittings]
    amount = told_amount(view.case, opened.log, opened.now, view.counted)
    not_run = not_run_in(view.case, opened.log, opened.now, told)
    output.show_lines(
        told_week_lines(view.case, view.week, sittings, as_typed(words.folder), amount, opened.now, not_run)
    )
    if view.struck:
        output.show_lines(["", *_as_told_on_disk(view)])
    return 0


def _as_told_on_disk(view: workflow.ToldWeek) -> tuple[str, ...]:
    """Which files still speak of the week as it was told, and where there are newer ones."""
    return (
        _(
            "What is called off is still in the calendars and the table in {place}: they are of the week as it was "
            "told.",
            place=f"weeks/{view.week}",
        ),
        _(
            "'genplan share' and 'genplan publish' give new ones, and so does planning the week again and keeping it."
        ),
    )


def alternatives(words: Namespace) -> int:
    from genplan import workflow

    view = workflow.alternatives(words.folder, words.sitting, words.now, words.source)
    warn_of_case(words.folder, view.findings, view.about_week)
    if words.take is not None:
        output.show(workflow.take(view, view.numbered(words.take), words.folder))
        output.show(
            _(
                "The week is planned by it with: {command}",
                command=command_of("replan", words.folder),
            )
        )
        return 0
    source = ("--from", words.source) if words.source else ()
    _list(view, command_of("alternatives", words.folder, words.sitting, *source, "--take", "N"))
    return 0


def _list(view: workflow.AlternativesView, take: str) -> None:
    from genplan.report.alternative_lines import alternative_lines
    from genplan.workflow.wishing import in_words

    def in_their_words(wishes: Iterable[PlannersWish]) -> list[str]:
        return [in_words(view.case, w) for w in wishes]

    same, other = (
        [(a, view.sitting(a), in_their_words(view.against(a))) for a in some]
        for some in (view.same_day, view.other_days)
    )
    asked = view.asked
    lines = alternative_lines(
        view.case,
        asked.sitting,
        asked.against,
        asked.left,
        same,
        other,
        give_way=in_their_words(view.give_way),
        begun=asked.begun,
        told=view.told,
        stand_in=asked.begun or asked.lacks_an_adult,
        ill=view.ill,
    )
    output.show_lines(lines)
    if view.all:
        output.show_lines(["", _("To take one: {take}", take=take)])


def told_next(folder: Path, out: Path) -> str:
    """What comes after a plan was written there."""
    return _("To tell people of it: {command}", command=command_of("keep", folder, "--from", out))


def show_otherwise(folder: Path, now: Any) -> None:
    """After a change: the same. It is written down by then, and a fact waits for no file that it does not need: where
    one of them cannot be read, that is said."""
    try:
        show_no_longer_held(folder, now)
    except (CaseError, FileError) as error:
        output.tell(_("It is written down. Whether the kept weeks can still be held cannot be told:"))
        output.tell(str(error))


def show_no_longer_held(folder: Path, now: Any) -> None:
    """What of the kept weeks can no longer be held. Raises CaseError and FileError where one of them cannot be read."""
    from genplan import workflow

    for view in workflow.told_weeks(folder, now):
        otherwise = [(s.sitting, s.begun, s.left, s.against) for s in view.otherwise]
        if otherwise:
            from genplan.report.told_week_lines import (
                otherwise_lines,  # a tenth of a second, mostly for nothing
            )

            output.show(_("Week {week}, as people were told of it:", week=view.week))
            output.show_lines(f"  {line}" for line in otherwise_lines(otherwise))
            output.show(
                "  "
                + _(
                    "Which, and why: {command}",
                    command=command_of("week", folder, "--week", view.week),
                )
            )
            if view.struck:
                output.show_lines(f"  {line}" for line in _as_told_on_disk(view))


def show_tried(folder: Path, request: Any, now: Any) -> None:
    """What a change would do, nothing written."""
    from genplan import workflow

    tried = workflow.try_change(folder, request, now)
    warn_of_case(folder, tried.findings)
    output.show(_("Nothing was written. If it is so: {fact}.", fact=tried.line))
    if not tried.weeks:
        output.show(
            _(
                "No kept week is still ahead, so nobody has to be told "
                "anything; the next plan will take it into account."
            )
        )
    for one in tried.weeks:
        output.show_lines(["", *one.lines()])
