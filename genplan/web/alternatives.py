"""Other places for a sitting of the kept week, taken with one tap; and what of the week can no longer be held."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Case, Week
from genplan.errors import GenplanError, UsageError
from genplan.language import _, said
from genplan.report.alternative_lines import (
    NO_PLACE,
    against_words,
    ask_words,
    gain_words,
    gives_way_words,
    held_lines,
    no_place,
    to_be_told,
    where_words,
)
from genplan.report.names_and_words import Names, clean, day_words, meeting_words
from genplan.report.told_week_lines import again_words, mark_of, otherwise_sentences, why_more
from genplan.text.notes import note_text
from genplan.web import params
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers, sentences_of
from genplan.web.templating import redirect, screen
from genplan.workflow.opened_case import kept_ahead
from genplan.workflow.taking_alternatives import alternatives_in, with_what_goes
from genplan.workflow.told_sittings import ToldSitting
from genplan.workflow.week_as_told import ToldWeek, told_week_in_force, told_week_of
from genplan.workflow.wishing import in_words


@dataclass(frozen=True)
class Mark:
    """A sitting that can no longer be held as people were told: a sign, words, and why."""

    sign: str
    words: str
    why: str


@dataclass(frozen=True)
class Marked:
    """What of a kept week can no longer be held.

    - `marks`: by the id of a sitting
    - `counted`: how many are called off, cannot be held at all, or in part: each a sign and a sentence
    - `asked`: for these sittings another place can be looked for
    - `stand_ins`: of these an adult alone is lacking
    - `problems`: why nothing of it can be told"""

    marks: Mapping[str, Mark]
    counted: tuple[tuple[str, str], ...]
    asked: frozenset[str]
    stand_ins: frozenset[str] = frozenset()
    problems: tuple[str, ...] = ()


def as_it_stands(
    opened: workflow.Opened, week: Week, unread: tuple[str, ...] = ()
) -> tuple[ToldWeek | None, tuple[str, ...]]:
    """A kept week as it stands, and what of that cannot be told. Results or a calendar that cannot be read keep nobody
    from seeing the week as far as the case says; with `unread` the case was opened without its results."""
    try:
        told = told_week_in_force(opened, week, unread)
        return told, told.unread
    except GenplanError as error:
        return None, sentences_of(error, opened.folder)


def marked(told: ToldWeek | None, problems: tuple[str, ...]) -> Marked:
    """What of a kept week can no longer be held."""
    if told is None:
        return Marked({}, (), frozenset(), problems=problems)
    marks = {s.sitting.id: mark(told.case, s) for s in told.otherwise}
    counted = tuple(otherwise_sentences([(s.left, s.against) for s in told.otherwise]))
    asked = (
        s.sitting
        for s in told.sittings
        if s.sitting.start.date() >= told.now.date()
        and not s.is_for_its_things
        and (not s.was_left_out or (s.begun and s.is_written_off))
        and not (s.begun and workflow.rows_of_run(told.opened.log, s.sitting))
    )
    stand_ins = frozenset(s.sitting.id for s in told.otherwise if s.lacks_an_adult)
    # no other place is found without the results
    ids = frozenset[str]() if told.unread else frozenset(s.id for s in asked)
    return Marked(marks, counted, ids, stand_ins, problems)


def mark(case: Case, told: ToldSitting) -> Mark:
    return Mark(*mark_of(told.left, told.against), why_more(case, told.against))


@dataclass(frozen=True)
class Offer:
    """A place as it is shown; `word` names it when it is taken, and one that is `against` a wish is not taken."""

    word: str
    where: str
    held: tuple[str, ...]
    gain: str
    ask: tuple[str, ...]
    told: str
    against: str


def show(site: AppState, request: Request) -> Response:
    return _screen(site, request, _view(site, request))


def _view(site: AppState, request: Request) -> workflow.AlternativesView:
    """Of a sitting of the week in the address. Raises HTTPException (404) for one that people were not told of."""
    week, sitting = params.week(request.path_params["week"]), request.path_params["sitting"]
    opened = workflow.open_case(site.folder, site.now)
    if week not in kept_ahead(opened.folder, opened.now):
        raise HTTPException(404)
    told = told_week_of(opened, week)
    if sitting not in {s.sitting.id for s in told.sittings}:
        raise HTTPException(404)
    return alternatives_in(told, sitting)


def _screen(
    site: AppState, request: Request, view: workflow.AlternativesView, problems: tuple[str, ...] = ()
) -> Response:
    names, asked = Names(view.case), view.asked
    return screen(
        site,
        request,
        "alternatives-screen.html",
        422 if problems else 200,
        title=_("Another place for a sitting"),
        week=view.week,
        sitting=asked.sitting.id,
        meeting=f"{day_words(asked.sitting.start.date())}, {meeting_words(names, asked.sitting)}",
        mark=mark(view.case, asked) if asked.is_otherwise else None,
        begun=asked.begun,
        unwritten=view.unwritten,
        give_way=gives_way_words([in_words(view.case, w) for w in view.give_way]) if view.give_way else "",
        groups=[
            (
                _("Who could stand in on that day")
                if asked.begun or asked.lacks_an_adult
                else _("On the same day"),
                _offers(view, names, same_day=True),
                no_place(names, view.ill, asked.sitting.start.weekday(), asked.sitting.learner),
            ),
            (_("On other days of this week"), _offers(view, names, same_day=False), said(NO_PLACE)),
        ],
        ill=[clean(note_text(view.case, note)) for note in view.ill],
        problems=problems,
    )


def _offers(view: workflow.AlternativesView, names: Names, *, same_day: bool) -> tuple[Offer, ...]:
    learner = view.asked.sitting.learner
    return tuple(
        Offer(
            _word(view, number),
            where_words(names, view.sitting(a), day=not same_day),
            tuple(held_lines(names, view.sitting(a))),
            f"{gain_words(view.case, learner, a)}.",
            ask_words(names, a, view.sitting(a).location),
            to_be_told(names, a.adults, [learner]),
            against_words([in_words(view.case, w) for w in stand]) if (stand := view.against(a)) else "",
        )
        for number, a in enumerate(view.all, 1)
        if (a in view.same_day) is same_day
    )


def _word(view: workflow.AlternativesView, number: int) -> str:
    """Adult, location and start of a place: what was looked at, whatever the list is by then."""
    seat = view.numbered(number).seat
    return f"{seat.adult} {seat.location} {seat.start}"


def take(site: AppState, request: Request, answers: Answers) -> Response:
    """Writes the wish down. A place that is not offered any more is not taken."""
    view = _view(site, request)
    wanted = answers.one("place")
    number = next((n for n in range(1, len(view.all) + 1) if _word(view, n) == wanted), None)
    if number is None:
        words = _("That place is not offered any more: something changed since. Nothing was written.")
        return _screen(site, request, view, (words,))
    try:
        with site.once(answers.one("once")) as fresh:
            done = _("It was written down already; a second tap adds nothing.")
            if fresh:
                place = view.numbered(number)
                workflow.take(view, place, site.folder)
                where = where_words(Names(view.case), view.sitting(place), day=True)
                done = with_what_goes(view, place, _("Written down as a wish: {where}", where=where))
    except UsageError as error:
        return _screen(site, request, view, sentences_of(error, site.folder))
    again = again_words(view.week, view.now.date())
    return redirect(site, f"/plan/{view.week}", done, _("{again}: then it is so.", again=again))
