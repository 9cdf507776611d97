"""What is odd in the case after it was changed and was not before: whoever changed it is told at once."""

from __future__ import annotations

from urllib.parse import parse_qs, urlsplit

from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.errors import GenplanError
from genplan.findings import Finding, Severity
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers, Changing


def telling(change: Changing) -> Changing:
    """The same change, and beside what it says itself the warnings that came with it, as `check` words them."""

    def changed(site: AppState, request: Request, answers: Answers) -> Response:
        before = {_what(f) for f in _warnings(site)}
        response = change(site, request, answers)
        address = urlsplit(response.headers.get("location", ""))
        for word in parse_qs(address.query).get("said", ()):
            site.note_too(word, [f.sentence() for f in _warnings(site) if _what(f) not in before])
        return response

    return changed


def _warnings(site: AppState) -> list[Finding]:
    """None of a folder that cannot be read at the moment, which the change itself tells."""
    try:
        found = workflow.check(site.folder, site.now)
    except GenplanError:
        return []
    return [f for f in found if f.severity is Severity.WARNING]


def _what(finding: Finding) -> tuple[str, str, str]:
    """Without the line, which a change above it moves."""
    return finding.key, finding.found, finding.hint
