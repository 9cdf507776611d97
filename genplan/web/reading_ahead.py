"""What the first screen is made of is read while the browser still opens: whoever asks sooner waits for the rest."""

from __future__ import annotations

from contextlib import suppress
from threading import Thread

from starlette.datastructures import Headers

from genplan.language import speaking
from genplan.web.app_state import AppState
from genplan.web.spoken import speeches
from genplan.web.templating import drawn_by
from genplan.web.today import SCREEN, facts_of
from genplan.web.todays_work import today_of


def read_ahead(site: AppState) -> None:
    """Begins to read. A browser that asks for another language than the case's reads some of it anew."""
    site.ahead = Thread(target=_read, args=(site,), daemon=True)
    site.ahead.start()


def _read(site: AppState) -> None:
    # whatever is wrong is met again, and told, by whoever asks for the screen
    with suppress(Exception), speaking(*speeches(site, Headers())):
        drawn_by(SCREEN)
        if site.sees_case():
            today_of(facts_of(site))
