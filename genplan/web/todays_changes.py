"""Something changed: somebody is away, a place is shut, a set is missing, there is an extra hour."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Week
from genplan.casefile import edit
from genplan.errors import GenplanError, UsageError
from genplan.keeping.store import kept_weeks
from genplan.language import N_, _, said
from genplan.report.names_and_words import clean
from genplan.web import params
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers, sentences_of, status_of
from genplan.web.forms import names_of
from genplan.web.templating import redirect, screen

WHAT = {
    "away": (N_("Somebody is away"), ("adults", "learners")),
    "closed": (N_("A location is closed"), ("locations",)),
    "missing": (N_("A material set is not there"), ("material_sets",)),
    "extra": (N_("An adult has an extra hour"), ("adults",)),
}


def show(site: AppState, request: Request) -> Response:
    return _form(site, request, Answers({"what": [request.query_params.get("what", "away")]}))


def add(site: AppState, request: Request, answers: Answers) -> Response:
    """Writes a dated fact. Whole days unless hours are given. What was typed is shown again with a sentence if it makes
    no sense."""
    opened = workflow.open_case(site.folder, site.now, with_results=False)
    if other := _meant_otherwise(site, request, answers):
        return other
    try:
        wanted, first, last = _request(answers)
        with site.once(answers.one("once")) as fresh:
            if fresh:
                workflow.change(site.folder, wanted, site.now)
                fact = workflow.fact_in_words(opened.case, wanted, opened.now)
                done = _("Written down: {fact}.", fact=clean(fact))
            else:
                done = _("It was written down already; a second tap adds nothing.")
    except GenplanError as error:
        return _form(site, request, answers, sentences_of(error, site.folder), status_of(error))
    today = opened.now.date()
    told = _told_weeks(site, max(first, today), last)
    # what can no longer be held is marked there, with 'Plan the rest of this week' at the top
    place = f"/week/{told[0]}" if told else f"/plan/{Week.of(max(first, today))}"
    return redirect(site, place, done, *_what_next(told))


def tried(site: AppState, request: Request, answers: Answers) -> Response:
    """What the change would do to the weeks that people were told of; nothing is written, and the form stays."""
    if other := _meant_otherwise(site, request, answers):
        return other
    try:
        wanted = _request(answers)[0]
        found = workflow.try_change(site.folder, wanted, site.now)
    except GenplanError as error:
        return _form(site, request, answers, sentences_of(error, site.folder), status_of(error))
    return _form(site, request, answers, effect=[tuple(one.lines()) for one in found.weeks])


def _meant_otherwise(site: AppState, request: Request, answers: Answers) -> Response | None:
    """The form once more, where a line was filled in beside the one that is chosen."""
    what, meant = answers.one("what"), _meant(answers)
    if what in WHAT and len(meant) == 1 and meant != [what]:
        return _form(site, request, answers, (_other_line(what, meant[0]),), what=meant[0])
    return None


def _meant(answers: Answers) -> list[str]:
    return [w for w in WHAT if answers.one(f"id-{w}")]


def _form(
    site: AppState,
    request: Request,
    given: Answers,
    problems: tuple[str, ...] = (),
    status: int = 422,
    what: str = "",
    effect: list[tuple[str, ...]] | None = None,
) -> Response:
    opened = workflow.open_case(site.folder, site.now, with_results=False)
    tree = edit.things(site.folder)
    nothing = {("material_sets", i) for i, thing in opened.case.material_sets.items() if thing.is_nothing}
    groups = [
        (
            kind,
            said(words),
            [
                (id_, name)
                for section in sections
                for id_, name in names_of(tree, section)
                if (section, id_) not in nothing
            ],
            given.one(f"id-{kind}"),
        )
        for kind, (words, sections) in WHAT.items()
    ]
    return screen(
        site,
        request,
        "change-screen.html",
        status if problems else 200,
        title=_("Something changed"),
        problems=problems,
        effect=effect,
        groups=groups,
        chosen=what or given.one("what"),
        given=given,
        first=given.one("first") or opened.now.date().isoformat(),
    )


def _other_line(what: str, meant: str) -> str:
    return _(
        "Nothing was written yet: '{chosen}' was chosen, but the name was picked beside "
        "'{beside}'. That line is chosen below now: send it once more if it is meant.",
        chosen=said(WHAT[what][0]),
        beside=said(WHAT[meant][0]),
    )


def _request(answers: Answers) -> tuple[workflow.ChangeRequest, date, date]:
    """What is to be written, and its first and last day."""
    what, meant = answers.one("what"), _meant(answers)
    if what not in WHAT:
        raise UsageError(_("What changed? Nothing was written."))
    if not meant:
        raise UsageError(_("Who or what is it about? Nothing was written: choose from the list."))
    if len(meant) > 1:
        raise UsageError(
            _(
                "A name was chosen in more than one list. Nothing was written: keep the one that is meant, and "
                "write the other down afterwards."
            )
        )
    id_, note = answers.one(f"id-{what}"), answers.one("note")
    first = params.day(answers.one("first"))
    last = params.day(answers.one("last")) if answers.one("last") else first
    since, until = params.clock(answers.one("since")), params.clock(answers.one("until"))
    if what == "extra":
        if since is None or until is None:
            raise UsageError(_("From when to when is the extra hour? Nothing was written: say both times."))
        if last != first:
            raise UsageError(
                _(
                    "An extra hour is for one day only. Nothing was written: leave the last day empty, and "
                    "write each day down by itself."
                )
            )
        hours = f"{first} {since:%H:%M}-{until:%H:%M}"
        return workflow.ChangeRequest(what, id_, hours=hours, note=note), first, last
    start = datetime.combine(first, since or time())
    end = datetime.combine(last, until) if until else datetime.combine(last, time()) + timedelta(days=1)
    return workflow.ChangeRequest(what, id_, start, end, note=note), first, last


def _told_weeks(site: AppState, first: date, last: date) -> tuple[Week, ...]:
    """The weeks of these days that people were told of."""
    return tuple(w for w in kept_weeks(site.folder) if w.sunday >= first and w.monday <= last)


def _what_next(told: tuple[Week, ...]) -> tuple[str, ...]:
    if not told:
        return (_("Nobody was told of a week with it yet: the next plan goes by it."),)
    first = _("Plan what is left of week {week} again, and tell people what changes for them.", week=told[0])
    if len(told) == 1:
        return (first,)
    more = ", ".join(map(str, told[1:]))
    return (first, _("Then plan again what people were told of after it: {more}.", more=more))
