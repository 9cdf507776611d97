"""Something changed: somebody is away, a place is shut, a set is missing, there is an extra hour."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.casefile import edit
from genplan.errors import UsageError
from genplan.web import asked
from genplan.web.draw import go, screen
from genplan.web.forms import names_of
from genplan.web.handling import Answers
from genplan.web.site import Site

WHAT = {
    "away": ("Somebody is away", ("adults", "learners")),
    "closed": ("A location is closed", ("locations",)),
    "missing": ("A material set is not there", ("material_sets",)),
    "extra": ("An adult has an extra hour", ("adults",)),
}


def show(site: Site, request: Request) -> Response:
    opened = workflow.open_case(site.folder, site.now, with_results=False)
    tree = edit.things(site.folder)
    groups = [
        (what, words, [pair for section in sections for pair in names_of(tree, section)])
        for what, (words, sections) in WHAT.items()
    ]
    return screen(
        site,
        request,
        "change-screen.html",
        title="Something changed",
        groups=groups,
        chosen=request.query_params.get("what", "away"),
        today=opened.now.date().isoformat(),
    )


def add(site: Site, request: Request, answers: Answers) -> Response:
    """Writes a dated fact. Whole days unless hours are given."""
    what = answers.one("what")
    if what not in WHAT:
        raise UsageError("What changed? Nothing was written.")
    id_ = answers.one(f"id-{what}")
    if not id_:
        raise UsageError("Who or what is it about? Nothing was written: go back and choose.")
    with site.once(answers.one("once")) as fresh:
        if not fresh:
            return go(site, "/plan", "It was written down already; a second tap adds nothing.")
        sentence = workflow.change(site.folder, _request(what, id_, answers), site.now)
    return go(site, "/plan", sentence, "Plan the week again, and tell people what changes for them.")


def _request(what: str, id_: str, answers: Answers) -> workflow.ChangeRequest:
    first = asked.day(answers.one("first"))
    last = asked.day(answers.one("last")) if answers.one("last") else first
    since, until = asked.clock(answers.one("since")), asked.clock(answers.one("until"))
    if what == "extra":
        if since is None or until is None:
            raise UsageError("From when to when is the extra hour? Nothing was written: go back and say.")
        hours = f"{first} {since:%H:%M}-{until:%H:%M}"
        return workflow.ChangeRequest(what, id_, hours=hours, note=answers.one("note"))
    start = datetime.combine(first, since or time())
    end = datetime.combine(last, until) if until else datetime.combine(last, time()) + timedelta(days=1)
    return workflow.ChangeRequest(what, id_, start, end, note=answers.one("note"))
