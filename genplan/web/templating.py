"""Drawing a screen: escaping always on, every user's text cleaned, our own stylesheet and script alone."""

from __future__ import annotations

import re
import secrets
from functools import lru_cache
from pathlib import Path

from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined, Template
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from genplan.language import N_
from genplan.language.templates import speak_in
from genplan.report.compiled_templates import CompiledTemplates
from genplan.report.names_and_words import clean
from genplan.report.plain_characters import ended
from genplan.web.app_state import AppState

HERE = Path(__file__).parent
REPORT_STYLE = HERE.parent / "report" / "templates" / "style.css"

PLACES = (
    ("/", N_("Today")),
    ("/week", N_("Week")),
    ("/record", N_("Write down")),
    ("/matrix", N_("Matrix")),
    ("/plan", N_("Plan")),
    ("/review", N_("Review")),
    ("/case", N_("Case")),
    ("/check", N_("Check")),
    ("/help", N_("Help")),
)
PHONES = ("/phones", N_("Phones"))
"""Where they are switched on."""


KINDS = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}
"""Of the page's own files."""
OWN_ADDRESS = re.compile(r'(\s(?:href|src|action|formaction|data-state)=")/(?!/)')
"""An address of the page itself, in a tag. No user's text is taken for one: its quotation marks are escaped."""


@lru_cache(maxsize=1)
def _environment() -> Environment:
    environment = Environment(
        loader=ChoiceLoader(
            [PackageLoader("genplan.web", "templates"), PackageLoader("genplan.report", "templates")]
        ),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=lambda value: _kept_lines(value) if type(value) is str else value,
        trim_blocks=True,
        lstrip_blocks=True,
        bytecode_cache=CompiledTemplates("screen"),
    )
    speak_in(environment)
    environment.globals.update(ended=ended)
    return environment


def _kept_lines(text: str) -> str:
    """Clean, but a text of several lines stays one: it goes into a text area."""
    return "\n".join(map(clean, text.split("\n")))


def screen(site: AppState, request: Request, template: str, status: int = 200, **context: object) -> Response:
    """The page as a response; `notes` are sentences that a change before left for it."""
    notes = site.noted(request.query_params.get("said", ""))
    text = drawn(template, **{**_everywhere(site, request, notes), **context})
    return HTMLResponse(OWN_ADDRESS.sub(rf"\g<1>/{site.way}/", text), status)


def drawn(template: str, **context: object) -> str:
    """A template whose addresses stay as they are."""
    return drawn_by(template).render(context)


def drawn_by(template: str) -> Template:
    return _environment().get_template(template)


def _everywhere(site: AppState, request: Request, notes: tuple[str, ...]) -> dict[str, object]:
    """What every screen has; `here` is the place that it belongs to."""
    on_phone = site.reachable is not None
    return {
        "places": [p for p in (*PLACES, *([PHONES] if site.phones else [])) if site.leads_to(p[0])],
        "phones_on": site.phones is not None and not on_phone,
        "leads_to": site.leads_to,
        "storage": "local" if on_phone else "session",
        "here": "/" + request.url.path.split("/")[1],
        "token": site.token,
        "once": secrets.token_urlsafe(9),
        "case_name": "" if on_phone else site.folder.resolve().name,
        "notes": notes,
        "problems": (),
        "refresh": False,
    }


def redirect(site: AppState, where: str, *sentences: str) -> Response:
    """After a change: on to a page that says what was done."""
    if sentences:
        where += ("&" if "?" in where else "?") + f"said={site.note(sentences)}"
    return RedirectResponse(f"/{site.way}{where}", 303)


@lru_cache
def ours(name: str) -> bytes:
    """A file of the page's own, such as page.js; page.css begins with what the reports have too."""
    before = REPORT_STYLE.read_bytes() + b"\n" if name == "page.css" else b""
    return before + (HERE / "templates" / name).read_bytes()


def own_file(name: str) -> Route:
    """Where a browser gets it."""
    return Route(f"/{name}", lambda request: Response(ours(name), media_type=KINDS[Path(name).suffix]))
