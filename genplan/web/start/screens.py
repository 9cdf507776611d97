"""The guided start: its screens one after the other, saved as they are filled in, and the case at the end."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from datetime import date

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from genplan import workflow
from genplan.casefile.diagnostics import InvalidValue
from genplan.errors import UsageError
from genplan.language import _, said, speaking
from genplan.language.dates import day_name, day_name_short
from genplan.start.answers import MOST_ENTRIES, Answers, as_json
from genplan.start.asked_about_places import OF_ITS_NAME
from genplan.start.asked_about_skills import SKILLS
from genplan.start.first_week import remarks
from genplan.start.hours_text import hours_text, read_hours
from genplan.start.problems import Problem, lacking, left_out_of_all, problems
from genplan.start.questions import Screen
from genplan.start.reading import sentence_of
from genplan.start.screens import REVIEW, SCREENS, screen_of
from genplan.start.summary import THINGS_WORDS, hours_words, lines_of
from genplan.start.things_named import with_things_named
from genplan.start.what_is_eaten import with_nothing_to_eat
from genplan.web import plan
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers as Typed
from genplan.web.plain_findings import said_in_page
from genplan.web.spoken import speeches
from genplan.web.start.form import context, taken
from genplan.web.templating import redirect, screen

PLACE = "/start"
NEXT, MORE, OUT, SAME, NOT_EATEN = "next", "more", "out", "same", "not-eaten"
"""What a button of a screen asks for; behind colons the group, of what is taken out or said of all the key, and of the
latter the question; of what is nothing to eat the keys of the things that the button names."""


def begin(site: AppState, request: Request) -> Response:
    """The first screen that was not answered, or a look at all that was."""
    if site.sees_case():
        return _made_already(site)
    answers = workflow.answers_so_far(site.folder, site.now)
    left = [s for s in _asked(answers) if s.key not in answers.done]
    return redirect(site, f"{PLACE}/{left[0].key if left else REVIEW}")


def _made_already(site: AppState) -> Response:
    return redirect(site, "/case", _("The case is there already. Here it can be changed."))


def show(site: AppState, request: Request) -> Response:
    asked = _found(request)
    if site.sees_case():
        return _made_already(site)
    answers = workflow.answers_so_far(site.folder, site.now)
    # what was answered later may speak against what stands here; what is not answered yet is not refused
    wrong = problems(asked, answers, _today(site)) if asked.key in answers.done else ()
    return _screen(site, request, asked, answers, wrong)


def save(site: AppState, request: Request, typed: Typed) -> Response:
    """Keeps what was typed, whatever it is, then goes on, or says what is missing."""
    asked = _found(request)
    _refuse_once_made(site)
    what, _, about = typed.one("then").partition(":")
    apart_from_all: tuple[Problem, ...] = ()
    with site.lock:  # the page's script keeps what is typed at the same time
        before = workflow.answers_so_far(site.folder, site.now)
        answers = taken(asked, before, typed)
        if _is_stale(site, asked, before, answers, typed):
            return _screen(site, request, asked, answers, status=409, there=before)
        if what == OUT:
            answers = _without(asked, answers, *about.partition(":")[::2])
        if what == SAME:
            answers, apart_from_all = _said_of_all(asked, answers, *about.split(":"))
        if what == NOT_EATEN and any(g.key == "things" for g in asked.groups):
            answers = with_nothing_to_eat(answers, about.split("+"))
        apart = _with_names_apart(asked, answers)
        stays = what in (MORE, OUT, SAME, NOT_EATEN) or apart != answers
        answers = apart
        wrong = problems(asked, answers, _today(site))
        answers = answers.with_done(asked.key, not wrong and not stays)
        _keep(site, asked, answers, typed)
    if stays:  # what came of a list of names has its own questions
        return _screen(site, request, asked, answers, apart_from_all, more=about if what == MORE else "")
    if wrong:
        return _screen(site, request, asked, answers, wrong, 422)
    return redirect(site, f"{PLACE}/{_after(asked, answers)}")


def keep(site: AppState, request: Request, typed: Typed) -> Response:
    """What is on the screen at the moment, for the page's script: a browser that is closed loses nothing."""
    asked = _found(request)
    _refuse_once_made(site)
    with site.lock:
        before = workflow.answers_so_far(site.folder, site.now)
        answers = taken(asked, before, typed)
        if _is_stale(site, asked, before, answers, typed):
            return Response(status_code=409)
        _keep(site, asked, answers, typed)
    return Response(status_code=204)


def hours(site: AppState, request: Request) -> Response:
    """Typed hours as the page's script paints them: minutes of each day, and in words."""
    try:
        week = read_hours(request.query_params.get("text", ""))
    except InvalidValue as problem:
        return JSONResponse({"problem": sentence_of(problem)})
    windows = [[[w.start, w.end] for w in day] for day in week]
    return JSONResponse({"week": windows, "text": hours_text(week), "said": hours_words(week)})


def ready(site: AppState, request: Request) -> Response:
    if site.sees_case():
        return _made_already(site)
    return _ready(site, request, workflow.answers_so_far(site.folder, site.now))


def make(site: AppState, request: Request, typed: Typed) -> Response:
    """Makes the case, and begins to plan its first week."""
    if site.sees_case():  # a second tap
        return redirect(site, "/")
    answers = workflow.answers_so_far(site.folder, site.now)
    if any(lacking(s, answers, _today(site)) for s in _asked(answers)):
        return _ready(site, request, answers, 422)
    if typed.one("drawn") != _digest(answers):
        return _ready(site, request, answers, 409)
    started = workflow.case_of_answers(site.folder, answers, site.now)
    site.sees_case()
    with speaking(*speeches(site, request.headers)):  # when this was asked for there was no case to say how
        plan.begin(site, started.week)
        odd = said_in_page(started.findings, workflow.open_case(site.folder, site.now).case, site.folder)
    return redirect(site, f"/plan/{started.week}", _("The case is made. This is its first week."), *odd)


def _refuse_once_made(site: AppState) -> None:
    if site.sees_case():
        raise UsageError(_("There is a case in this folder already, so no more answers are taken."))


def _keep(site: AppState, asked: Screen, answers: Answers, typed: Typed) -> None:
    workflow.keep_answers(site.folder, answers)
    site.kept_by(typed.one("form"), _digest(answers, (asked,)))


def _is_stale(site: AppState, asked: Screen, before: Answers, answers: Answers, typed: Typed) -> bool:
    """Whether a form would put what was typed over what came from elsewhere since it was drawn: what is there is
    neither what it was drawn from, nor what the form itself sent before, nor what it sends now."""
    there = _digest(before, (asked,))
    return there not in (typed.one("drawn"), site.last_kept_by(typed.one("form")), _digest(answers, (asked,)))


def _digest(answers: Answers, screens: Sequence[Screen] = SCREENS) -> str:
    """Of what these screens ask about."""
    own = Answers({g.key: answers.entries(g.key) for s in screens for g in s.groups})
    return hashlib.sha256(as_json(own).encode()).hexdigest()


def _today(site: AppState) -> date:
    return workflow.wall_clock(site.now).date()


def _asked(answers: Answers) -> list[Screen]:
    return [s for s in SCREENS if s.asked(answers)]


def _found(request: Request) -> Screen:
    found = screen_of(request.path_params["screen"])
    if found is None:
        raise HTTPException(404)
    return found


def _after(asked: Screen, answers: Answers) -> str:
    """The screen that follows; once all were answered the look at them, from wherever one came back."""
    screens = _asked(answers)
    if all(s.key in answers.done for s in screens):
        return REVIEW
    number = SCREENS.index(asked)
    return next((s.key for s in screens if SCREENS.index(s) > number), REVIEW)


def _without(asked: Screen, answers: Answers, group: str, key: str) -> Answers:
    if all(g.key != group for g in asked.groups):
        return answers
    left = answers.with_entries(group, [e for e in answers.entries(group) if e.key != key])
    return with_things_named(left) if group == SKILLS.key else left


def _said_of_all(
    asked: Screen, answers: Answers, group: str, key: str = "", question: str = ""
) -> tuple[Answers, tuple[Problem, ...]]:
    """The answers, and what has to be said by itself."""
    found = next((g for g in asked.groups for q in g.questions if (g.key, q.key) == (group, question)), None)
    if found is None or not found.question(question).alike:
        return answers, ()
    apart = tuple(p for p in left_out_of_all(found, question, answers) if p.entry != key)
    return answers.with_said_of_all(group, key, question, OF_ITS_NAME, {p.entry for p in apart}), apart


def _with_names_apart(asked: Screen, answers: Answers) -> Answers:
    for group in asked.asked(answers):
        if group.listed:
            answers = answers.with_names_apart(group.key, group.letter)
    return answers


def _screen(
    site: AppState,
    request: Request,
    asked: Screen,
    answers: Answers,
    wrong: tuple[Problem, ...] = (),
    status: int = 200,
    more: str = "",
    there: Answers | None = None,
) -> Response:
    """`there` are the answers that came from elsewhere while these were typed: these are not kept then."""
    screens = _asked(answers)
    number = screens.index(asked) + 1 if asked in screens else 1
    all_known = "skills" in answers.done  # whether ways and things are asked about is known by then
    return screen(
        site,
        request,
        "start-screen.html",
        status,
        title=said(asked.title),
        days=[day_name(n) for n in range(7)],
        short_days=[day_name_short(n) for n in range(7)],
        things_words=THINGS_WORDS,
        most=MOST_ENTRIES,
        asked=asked,
        number=number,
        count=len(screens) if all_known else len(SCREENS),
        at_most=not all_known,
        back=screens[number - 2].key if number > 1 else "",
        places=(),
        general=[p.sentence for p in wrong if not p.entry],
        wrong=[p for p in wrong if p.entry],
        more=more,
        drawn=_digest(answers if there is None else there, (asked,)),
        elsewhere=there is not None,
        there=lines_of(asked, there) if there is not None else (),
        **context(asked, answers, wrong),
    )


def _ready(site: AppState, request: Request, answers: Answers, status: int = 200) -> Response:
    parts = [
        (s, said(s.title), lines_of(s, answers), lacking(s, answers, _today(site))) for s in _asked(answers)
    ]
    return screen(
        site,
        request,
        "start-ready.html",
        status,
        title=_("This is what you said"),
        parts=parts,
        missing=[(s, heading) for s, heading, _lines, wrong in parts if wrong],
        elsewhere=status == 409,
        drawn=_digest(answers),
        remarks=remarks(answers),
        places=(),
    )
