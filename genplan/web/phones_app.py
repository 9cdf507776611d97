"""What phones of the home's own network are answered: today, the day's list, the form of a row, putting one right, and
nothing else."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.types import ASGIApp

from genplan.language import N_, said
from genplan.web import after_a_form, fell_through, history, record, today
from genplan.web.app import build_app
from genplan.web.app_state import AppState
from genplan.web.endpoints import Changing, Shown
from genplan.web.gate import Enter, build_gate, let_in
from genplan.web.guard import Door, Guard
from genplan.web.phones import NotLetIn, Phones
from genplan.web.spoken import Spoken
from genplan.web.templating import drawn, own_file

ROW = "/history/{target}/{line}"
PAGES: dict[str, Shown] = {
    "/": today.show,
    "/record": record.day,
    "/record/choose": record.choose,
    "/record/row": record.row,
    "/record/fell-through": fell_through.show,
    ROW: history.row,
    after_a_form.PLACE: after_a_form.show,
}
CHANGES: dict[str, Changing] = {
    "/record/add": record.add,
    "/record/fell-through": fell_through.add,
    "/record/held-after-all": fell_through.take_back,
    ROW: history.correct,
}
GATE = "phone-gate.html"
TAKEN_BACK = N_(
    "This phone was taken back on the computer, so it is not let in any more, and nothing was written down just now. "
    "To be let in again it needs a new invitation: on the computer, under Phones."
)


def build_for_phones(site: AppState, phones: Phones) -> ASGIApp:
    """The app behind its guard. `site` is the owner's."""
    own = site.for_phones(frozenset({*PAGES, *CHANGES}))
    port = phones.host.rpartition(":")[2]
    door = Door(
        (phones.host,),
        own.way,
        f"genplan-phone-{port}",
        phones.is_let_in,
        phones.scheme,
        language=site.language,
    )

    def taken_back(request: Request) -> str:
        return said(TAKEN_BACK) if phones.was_taken_back(request.cookies.get(door.cookie, "")) else ""

    gate = build_gate(GATE, _by_invitation(phones, door), own_file("gate.js"), why_not=taken_back)
    return Guard(Spoken(build_app(own, PAGES, CHANGES), own), gate, door)


def _by_invitation(phones: Phones, door: Door) -> Enter:
    async def enter(request: Request) -> Response:
        async with request.form(max_files=0) as form:
            word, name = (str(form.get(field) or "") for field in ("word", "name"))
        try:
            return let_in(door, GATE, phones.let_in(word, name))
        except NotLetIn as problem:
            return HTMLResponse(drawn(GATE, problem=str(problem), way=""), 403)

    return enter
