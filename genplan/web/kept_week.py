"""The week that people were told of."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from functools import partial

from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Case, Week
from genplan.errors import UsageError
from genplan.keeping.heard import may_be_told, to_be_sent_the_week
from genplan.keeping.store import kept_weeks, read_kept
from genplan.keeping.told import KeptWeek, Person
from genplan.language import CALLED, _, speech, speech_of_files
from genplan.plan import Sitting
from genplan.report.change_texts import seen_as
from genplan.report.names_and_words import Names, day_words
from genplan.report.plain_characters import clock
from genplan.report.told_week_lines import again_words, mark_of, told_amount
from genplan.report.week_changes import file_of
from genplan.report.week_picture import week_picture
from genplan.report.week_table import NOTHING, State
from genplan.start.screens import SCREENS
from genplan.web import alternatives, params, sitting_cards, wishes
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers
from genplan.web.files_listed import listed
from genplan.web.plan_files import can_print
from genplan.web.rows_told import told_of
from genplan.web.shelf import FileListing, known_sittings, shelf_of_kept
from genplan.web.templating import redirect, screen
from genplan.web.todays_work import FRIDAY
from genplan.web.week_choice import week_choice
from genplan.workflow.week_as_told import open_to_tell

NOTHING_TYPED = Answers({})


def first(site: AppState, request: Request) -> Response:
    """The week to look at first: the present one if it was kept, else the next that was; before one is kept that of
    which a plan was found, else the one that is to be planned."""
    if not site.sees_case():
        return offer_a_case(site, request)
    opened = workflow.open_case(site.folder, site.now)
    present = Week.of(opened.now.date())
    kept = [w for w in kept_weeks(site.folder) if w >= present]
    found = [w for w in (present, present.next()) if site.draft(w) is not None]
    to_plan = present if opened.now.weekday() < FRIDAY else present.next()
    return redirect(site, f"/week/{min(kept or found, default=to_plan)}")


def offer_a_case(site: AppState, request: Request) -> Response:
    """What a folder without a case gets on the screens to begin at; one that is there no more, that it is gone."""
    if site.had_case and not site.folder.exists():
        gone = _(
            "The folder {folder} is gone: there was a case in it a while ago. If it was renamed or moved, end the "
            "program with Ctrl+C in the terminal, and open the folder where it is now: genplan open FOLDER",
            folder=site.folder,
        )
        return screen(
            site, request, "gone.html", 404, title=_("The folder is gone"), sentence=gone, places=()
        )
    begun = bool(workflow.answers_so_far(site.folder).groups)
    return screen(
        site,
        request,
        "empty.html",
        title=_("No case yet"),
        folder=str(site.folder),
        begun=begun,
        screens=len(SCREENS),
        places=(),
    )


def make_case(site: AppState, request: Request, answers: Answers) -> Response:
    workflow.new(site.folder)
    site.sees_case()
    return redirect(
        site, "/case", _("A small invented case was made. Put your own in its place, a thing at a time.")
    )


def show(site: AppState, request: Request) -> Response:
    return shown(site, request)


def wish(site: AppState, request: Request, answers: Answers) -> Response:
    """Writes a wish down. What cannot be wished is told above the week, with what was typed in its place."""
    try:
        return wishes.add(site, request, answers)
    except UsageError as error:
        return shown(site, request, answers, (str(error),), 422)


def shown(
    site: AppState,
    request: Request,
    given: Answers = NOTHING_TYPED,
    refused: tuple[str, ...] = (),
    status: int = 200,
) -> Response:
    opened, unread = open_to_tell(site.folder, site.now, partial(told_of, site.folder))
    week = params.week_of(request, opened)
    kept = read_kept(site.folder, week, opened.case)
    sittings = kept.sittings if kept else ()
    case = opened.case
    known = known_sittings(case, sittings)
    over = week.sunday < opened.now.date()
    names, today = Names(case), opened.now.date()
    asked = (request.query_params.get(word, "") for word in ("by", "of"))
    told, problems = alternatives.as_it_stands(opened, week, unread) if kept and not over else (None, unread)
    state, counted = _state(told), known_sittings(case, told.counted) if told else known
    off = [s for s in known if s not in counted]
    choice = week_choice(names, week, known, today, *asked, off=off, state=state)
    shelf = shelf_of_kept(opened, week, kept, told, unread)
    changes = _changes(case, kept, shelf) if kept and not over else ()
    # who has a text of changes says of that one that it was sent
    sent = {one.who for one in changes}
    untold = [p for p in to_be_sent_the_week(kept, opened.now) if ":".join(p) not in sent] if kept else []
    return screen(
        site,
        request,
        "week-screen.html",
        status,
        problems=refused,
        given=given,
        title=_("Week {number}", number=week.number),
        **params.turning(week),
        plan_words=params.plan_words(week, today),
        again_words=again_words(week, today),
        days=sitting_cards.days(
            case, opened.log, told.as_held(choice.sittings) if told else choice.sittings, opened.now
        ),
        whole=sitting_cards.whole_sittings(opened.log, choice.sittings, opened.now),
        choice=choice,
        picture=None if choice.by or not known else week_picture(names, week, known, today, state=state),
        **wishes.about(opened, week, known, told),
        amount=told_amount(case, opened.log, opened.now, counted),
        kept=kept,
        over=over,
        marked=alternatives.marked(told, problems),
        off=bool(told and told.struck),
        draft=site.draft(week) is not None,
        files=listed(shelf.names, case) if kept else (),
        changes=changes,
        told=_told(case, kept) if kept and not over else (),
        messages=_messages(case, shelf, untold) if kept and not over else (),
        pdf=can_print(),
        sent_in=CALLED[in_] if (in_ := speech_of_files().language) != speech().language else "",
    )


def _state(told: workflow.ToldWeek | None) -> Callable[[Sitting], State]:
    """What picture and table say of a sitting that is not held as people were told."""
    known = {s.sitting.id: s for s in told.sittings} if told else {}

    def state(sitting: Sitting) -> State:
        one = known.get(sitting.id)
        if one is None or not (one.is_otherwise or one.because):
            return NOTHING
        if one.begun and one.is_written_off:
            return State(_("✗ not held"), is_struck=True, brief=_("✗ not held"))
        whole, brief = (
            " ".join(mark_of(one.left, one.against or one.because, briefly=b)) for b in (False, True)
        )
        return State(whole, is_struck=one.left is None, brief=brief)

    return state


@dataclass(frozen=True)
class ToSend:
    """What somebody is to be told, to copy; `who` and `seen` are what is sent back by whoever told it."""

    name: str
    text: str
    who: str
    seen: str


def _changes(case: Case, kept: KeptWeek, shelf: FileListing) -> tuple[ToSend, ...]:
    """What is to be told of changes to each: also who has no sitting any more, or is not in the case any more."""
    texts = {file: text.decode("utf-8") for file, text in shelf.to_send().items()}
    return tuple(
        ToSend(workflow.called(case, person), text, ":".join(person), seen_as(text))
        for person in may_be_told(case, kept)
        if (text := texts.get(file_of(*person), ""))
    )


def _told(case: Case, kept: KeptWeek) -> tuple[tuple[str, str], ...]:
    """Who was told, as is written down, in a sentence, each with the word to take that back."""
    return tuple(
        (
            _(
                "{name}, on {day} at {time}",
                name=workflow.called(case, person),
                day=day_words(telling.kept.date()),
                time=clock(telling.kept),
            ),
            ":".join(person),
        )
        for person, telling in kept.last_heard.items()
    )


def tell(site: AppState, request: Request, answers: Answers) -> Response:
    """Somebody was told what changes; a second tap adds nothing."""
    week = params.week_of(request, workflow.open_case(site.folder, site.now, with_results=False))
    with site.once(answers.one("once")) as fresh:
        if not fresh:
            words = _("It was written down already; a second tap adds nothing.")
        else:
            with site.plans_stay():
                words = workflow.mark_told(
                    site.folder, week, answers.one("who"), site.now, answers.one("seen")
                )
    return redirect(site, f"/week/{week}", words)


def take_told_back(site: AppState, request: Request, answers: Answers) -> Response:
    week = params.week_of(request, workflow.open_case(site.folder, site.now, with_results=False))
    with site.once(answers.one("once")) as fresh:
        if not fresh:
            words = _("It was taken back already; a second tap changes nothing.")
        else:
            with site.plans_stay():
                words = workflow.mark_not_told(site.folder, week, answers.one("who"), site.now)
    return redirect(site, f"/week/{week}", words)


def _messages(case: Case, shelf: FileListing, untold: Collection[Person]) -> tuple[ToSend, ...]:
    """The week for each adult as a text to copy; of those who are `untold` it can be said that they were told."""
    names, there, nothing_else = Names(case), set(shelf.names), seen_as("")
    return tuple(
        ToSend(
            names.adult(person.id),
            shelf.read(name).decode("utf-8"),
            ":".join(person) if person in untold else "",
            nothing_else,
        )
        for person in (Person("adult", i) for i in case.adults)
        if (name := f"messages/adult-{person.id}.txt") in there
    )
