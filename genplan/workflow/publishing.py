"""Each person's calendar put on a server."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from genplan.errors import UsageError
from genplan.findings import Finding
from genplan.workflow.opened_case import Progress, kept_ahead, open_case


@dataclass(frozen=True)
class Published:
    """`lines` tell for each calendar what was done."""

    lines: tuple[str, ...]
    findings: tuple[Finding, ...]


def publish(
    folder: Path,
    url: str | None,
    user: str | None,
    now: datetime | None,
    progress: Progress,
    password: str | None = None,
) -> Published:
    """Puts each person's calendar of the kept weeks that are not over on a CalDAV server. Without a password, that of
    the environment or the keyring is used. Raises UsageError where the address, the name, the password or the library
    is lacking, FileError where the server will not have it."""
    from genplan.keeping.store import read_kept
    from genplan.publishing.access import access_from
    from genplan.publishing.calendar_content import calendar_contents
    from genplan.publishing.server import library, publish_all

    library()
    opened = open_case(folder, now, with_results=False)
    weeks = kept_ahead(folder, opened.now)
    if not weeks:
        raise UsageError(
            "No week was kept that is not over, so there is nothing to publish. 'genplan keep' keeps one."
        )
    access = access_from(url, user, password)
    kept = [k for w in weeks if (k := read_kept(folder, w, opened.case))]
    progress(f"publishing to {access.host}")
    lines = publish_all(access, calendar_contents(opened.case, kept, opened.now), opened.now)
    return Published(lines, opened.findings)
