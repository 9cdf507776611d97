"""What is odd in the case after it was changed and was not before: whoever changed it is told at once."""

from __future__ import annotations

from urllib.parse import parse_qs, urlsplit

from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.errors import GenplanError
from genplan.findings import Finding, Severity
from genplan.language import speech
from genplan.web.app_state import AppState, case_digest
from genplan.web.endpoints import Answers, Changing
from genplan.web.plain_findings import said_in_page


def telling(change: Changing) -> Changing:
    """The same change, and beside what it says itself the warnings that came with it, as `check` words them."""

    def changed(site: AppState, request: Request, answers: Answers) -> Response:
        before = {_what(f) for f in _warnings(site)}
        response = change(site, request, answers)
        address = urlsplit(response.headers.get("location", ""))
        if words := parse_qs(address.query).get("said", ()):
            new = [f for f in _warnings(site) if _what(f) not in before]
            case = workflow.open_case(site.folder, site.now).case if new else None
            for word in words:
                site.note_too(word, said_in_page(new, case, site.folder))
        return response

    return changed


def _warnings(site: AppState) -> list[Finding]:
    """None of a folder that cannot be read at the moment, which the change itself tells. After one change they are
    those before the next: what was found last is kept, by all that it was found in, the day among it."""
    made_of = case_digest(site.folder), workflow.wall_clock(site.now).date(), speech()
    if site.warned is None or site.warned[0] != made_of:
        try:
            found = workflow.check(site.folder, site.now)
        except GenplanError:
            return []
        site.warned = made_of, [f for f in found if f.severity is Severity.WARNING]
    return site.warned[1]


def _what(finding: Finding) -> tuple[str, str, str]:
    """Without the line, which a change above it moves."""
    return finding.key, finding.found, finding.hint
