"""The owner's screen of the phones: who was let in, an invitation as a code to scan, taking one back."""

from __future__ import annotations

from functools import lru_cache

from starlette.requests import Request
from starlette.responses import Response

from genplan.errors import UsageError
from genplan.language import N_, _, ngettext, said
from genplan.web import params
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers
from genplan.web.phones import CAN_BE_READ, LASTS, SECRET, Phone, Phones
from genplan.web.templating import redirect, screen

NOT_ON = N_("Phones are not let in. Close the page and start it with: genplan open CASE --phones")


def show(site: AppState, request: Request) -> Response:
    phones = site.phones
    if phones is None:
        return screen(site, request, "phones-screen.html", title=_("Phones"), on=False, not_on=said(NOT_ON))
    invitation = phones.invitation
    code = _code(f"{phones.address}/#{invitation.word}") if invitation else ""
    return screen(
        site,
        request,
        "phones-screen.html",
        title=_("Phones"),
        on=True,
        address=phones.address,
        caution=said(SECRET if phones.is_secret else CAN_BE_READ),
        word=invitation.word if invitation else "",
        code=code,
        minutes=int(LASTS // 60),
        phones=[(p.number, p.name, _seen(phones, p)) for p in phones.known],
        wrong=phones.wrong_tries,
    )


def invite(site: AppState, request: Request, answers: Answers) -> Response:
    _switched_on(site).invite()
    return redirect(site, "/phones")


def take_back(site: AppState, request: Request, answers: Answers) -> Response:
    number = params.number_of(request)
    name = _switched_on(site).take_back(number)
    said = _("{name} gets no further answer.", name=name) if name else _("That phone was taken back already.")
    return redirect(site, "/phones", said)


def _switched_on(site: AppState) -> Phones:
    if site.phones is None:
        raise UsageError(said(NOT_ON))
    return site.phones


def _seen(phones: Phones, phone: Phone) -> str:
    return _(
        "let in {since}, last seen {seen}", since=_ago(phones, phone.since), seen=_ago(phones, phone.seen)
    )


def _ago(phones: Phones, moment: float) -> str:
    minutes = phones.minutes_since(moment)
    if minutes < 1:
        return _("just now")
    if minutes < 120:
        return ngettext("{n} minute ago", "{n} minutes ago", minutes)
    return ngettext("{n} hour ago", "{n} hours ago", minutes // 60)


@lru_cache(maxsize=4)
def _code(address: str) -> str:
    """The address as a picture, dark on light however the page is shown, since not every phone reads the opposite."""
    import segno

    return str(segno.make(address, error="m", micro=False).svg_inline(omitsize=True, light="#fff"))
