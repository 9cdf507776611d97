"""A filled sheet, taken from a file of the user's."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import PurePosixPath

from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.errors import CaseError, UsageError
from genplan.language import N_, _, ngettext, said
from genplan.web import doubts_ticked, record
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers, Uploaded
from genplan.web.templating import redirect

CHOOSE_AGAIN = N_(
    "Nothing was added yet. Answer what stands beside the sheet below, and choose the file again."
)


def sheet(site: AppState, request: Request, answers: Answers, file: Uploaded | None) -> Response:
    """Adds all that is filled in, or nothing with every line that cannot be read."""
    if file is None:
        raise UsageError(_("No file was chosen. Nothing was added."))
    with site.once(answers.one("once")) as fresh:
        if not fresh:
            return redirect(site, "/record", _("The sheet was taken already; a second tap adds nothing."))
        try:
            added = _take(site, file, lambda doubts: doubts_ticked.all_of(doubts.each, answers))
        except workflow.NotAdded as error:
            ticks = doubts_ticked.asked(error.doubts, answers)
            return record.day(site, request, (said(CHOOSE_AGAIN),), ticks)
        except CaseError as error:
            workflow.open_case(site.folder, site.now)  # what is wrong with the case itself is told as such
            return record.day(site, request, tuple(f.sentence() for f in error.findings))
    rows = ngettext("{n} row added to results.csv.", "{n} rows added to results.csv.", len(added.results))
    return redirect(
        site, "/record", rows, *added.skipped, *added.said, *(f.sentence() for f in added.findings)
    )


def _take(site: AppState, file: Uploaded, sure: Callable[[workflow.Doubts], bool]) -> workflow.Added:
    room = site.room_for("sheet")
    try:
        path = room / plain_name(file.name)
        path.write_bytes(file.data)
        return workflow.record_sheet(site.folder, path, site.now, sure)
    finally:
        shutil.rmtree(room, ignore_errors=True)


def plain_name(name: str) -> str:
    """The last part of a name without anything that a file system or a sentence could stumble on; its ending says how
    the file is read."""
    last = PurePosixPath(name.replace("\\", "/")).name
    return re.sub(r"[^\w .()-]", "_", last)[-80:].lstrip(". ") or "sheet"
