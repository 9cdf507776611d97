"""How one adult's busy calendar is to be read: whose it is, what takes time, and where its events are.

A calendar export does not say who owns it. Whose answer to an invitation counts is settled by the adult's `email`, else
by the calendar's own name where that is an address, else only where a single person was invited.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any

from genplan.case import Adult, Case
from genplan.language import N_


class UtcSeries(StrEnum):
    """How a series whose times are in UTC is read in a calendar that names a zone of its own (X-WR-TIMEZONE)."""

    BOTH = "both"
    UTC = "utc"
    LOCAL = "local"


@dataclass(frozen=True, order=True)
class BusyReading:
    """What the keys of an adult, and the places of the case, say of a calendar.

    emails      the adult's addresses, in small letters
    tentative   whether what is not settled takes time
    margin      minutes before and after an event at a place that the case does not have
    utc_series  one of UtcSeries
    places      (text, id of a location): names and ids; `addresses` the same of whole addresses; all in the form that
                `plain` gives
    """

    emails: tuple[str, ...] = ()
    tentative: bool = True
    margin: int = 0
    utc_series: str = UtcSeries.BOTH
    places: tuple[tuple[str, str], ...] = ()
    addresses: tuple[tuple[str, str], ...] = ()


AS_BEFORE = BusyReading()


def reading_for(case: Case, adult: Adult) -> BusyReading:
    named = [(text, p.id) for p in case.locations.values() for text in {plain(p.name), plain(p.id)}]
    addresses = [(plain(p.address), p.id) for p in case.locations.values() if p.address]
    return BusyReading(
        tuple(sorted(e.casefold() for e in adult.emails)),
        adult.tentative_busy,
        adult.busy_margin_minutes,
        adult.utc_series,
        _of_one_place(named),
        _of_one_place(addresses),
    )


def reading_from(document: Mapping[str, Any]) -> BusyReading:
    """As another process was told of it: lists stand for tuples."""
    pairs = {key: tuple((text, id_) for text, id_ in document[key]) for key in ("places", "addresses")}
    return BusyReading(**{**document, **pairs, "emails": tuple(document["emails"])})


def _of_one_place(named: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """Those texts that mean one location alone."""
    held = sorted({(text, id_) for text, id_ in named if text})
    return tuple((text, id_) for text, id_ in held if sum(text == other for other, _ in held) == 1)


def plain(text: str) -> str:
    """Letters and figures alone, in one form, with single blanks between the words."""
    return " ".join(re.findall(r"\w+", text.casefold()))


class Doubt(StrEnum):
    """What a calendar leaves open of an invitation that was declined."""

    ONE_OF_SEVERAL = N_("an invitation of several people, one of whom declined")
    THE_ONLY_ONE = N_("an invitation of one person, who declined")


READ_AS = {
    Doubt.ONE_OF_SEVERAL: N_(
        "it counts as busy, since the calendar does not say whose it is: give the adult's 'email'"
    ),
    Doubt.THE_ONLY_ONE: N_(
        "it is read as this adult's own answer and takes no time: the adult's 'email' makes it certain"
    ),
}


def owners(calendar: Any, reading: BusyReading) -> tuple[str, ...]:
    """The addresses of the person whose calendar it is; none if nobody says."""
    name = str(calendar.get("X-WR-CALNAME", "")).strip().casefold()
    return reading.emails or ((name,) if re.fullmatch(r"\S+@\S+", name) else ())


def takes_time(
    event: Any, reading: BusyReading, whose: tuple[str, ...], doubts: list[Doubt] | None = None
) -> bool:
    """Whether an event keeps its owner busy: not one that is marked as free, was cancelled, was declined by the owner,
    or is only tentative where such ones do not count. What is left open is added to `doubts`."""
    status = str(event.get("STATUS", "")).upper()
    if str(event.get("TRANSP", "")).upper() == "TRANSPARENT" or status == "CANCELLED":
        return False
    answers = list(_answers(event, whose))
    if "DECLINED" in answers:
        certain = bool(whose)
        if not certain and doubts is not None:
            doubts.append(Doubt.THE_ONLY_ONE if len(answers) == 1 else Doubt.ONE_OF_SEVERAL)
        if len(answers) == 1 or certain:
            return False
    tentative = status == "TENTATIVE" or (answers == ["TENTATIVE"])
    return reading.tentative or not tentative


def _answers(event: Any, whose: tuple[str, ...]) -> Iterator[str]:
    """What the owner answered; what everybody did, where nobody knows who that is."""
    given = event.get("ATTENDEE", [])
    for attendee in given if isinstance(given, list) else [given]:
        params = getattr(attendee, "params", {})
        # behind the scheme of an address such as mailto:mum@example.org
        named = {str(attendee).casefold().rpartition(":")[2], str(params.get("EMAIL", "")).casefold()}
        if not whose or not named.isdisjoint(whose):
            yield str(params.get("PARTSTAT", "")).upper()


def whereabouts(event: Any, reading: BusyReading) -> tuple[str, timedelta]:
    """The location of the case at which an event is, or none; and the margin before and after it, for one that is
    somewhere else. A whole day has neither: nobody knows when in it somebody is on the way."""
    given = event.get("LOCATION", "")
    text = str(given[0] if isinstance(given, list) and given else given).strip()
    if not text or not isinstance(event["DTSTART"].dt, datetime) or re.match(r"\w+://", text):
        return "", timedelta()
    whole, first = plain(text), plain(re.split(r"[,;\n]", text)[0])
    known = [(t, id_) for t, id_ in reading.places if t in (whole, first)]
    known += [(t, id_) for t, id_ in reading.addresses if f" {t} " in f" {whole} "]
    if known:
        return max(known, key=lambda place: len(place[0]))[1], timedelta()
    return "", timedelta(minutes=reading.margin)
