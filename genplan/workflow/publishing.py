"""Each person's calendar put on a server."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from genplan.errors import UsageError
from genplan.findings import Finding
from genplan.language import _
from genplan.workflow.opened_case import Progress, kept_ahead
from genplan.workflow.week_as_told import open_to_tell, told_week_in_force


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
    *,
    put_back: bool = False,
    withdraw: bool = False,
) -> Published:
    """Puts each person's calendar of the kept weeks that are not over on a CalDAV server. What somebody deleted there
    stays away unless it is to be `put_back`; `withdraw` takes off everything that this case put there. Without a
    password, that of the environment or the keyring is used. Raises UsageError where the address, the name, the
    password or the library is lacking, FileError where the server will not have it."""
    from genplan.keeping.store import events_told
    from genplan.publishing.access import access_from
    from genplan.publishing.caldav_requests import library
    from genplan.publishing.calendar_content import calendar_contents, has_its_own_calendars, marks_of
    from genplan.publishing.remembered import remember, what_was_published
    from genplan.publishing.server import Wish, publish_all

    library()
    opened, unread = open_to_tell(folder, now)
    weeks = kept_ahead(folder, opened.now)
    if not weeks and not withdraw:
        raise UsageError(
            _(
                "No week was kept that is not over, so there is nothing to publish. 'genplan keep' keeps "
                "one; 'genplan publish --withdraw' takes off the server what was published."
            )
        )
    access = access_from(url, user, password)
    standing = [told_week_in_force(opened, week, unread) for week in weeks]
    kept = [one.hand_out() for one in standing]
    told = list(events_told(folder))
    own = has_its_own_calendars(opened.case, (event for event, _ in told))
    marks = marks_of(opened.case, told, (t.sitting.learner for k in kept for t in k.told))
    before, not_read = what_was_published(folder, access)
    progress(
        _("taking off {host}", host=access.host) if withdraw else _("publishing to {host}", host=access.host)
    )
    contents = calendar_contents(opened.case, kept, opened.now, own)
    done = publish_all(access, contents, marks, before, opened.now, Wish(put_back, withdraw))
    not_written = remember(folder, access, done.published)
    not_known = dict.fromkeys(sentence for one in standing for sentence in one.unread)
    return Published(tuple(filter(None, (*done.lines, *not_known, not_read, not_written))), opened.findings)
