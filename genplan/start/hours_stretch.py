"""From one time to another: what is sure is read, and what may be the morning or the afternoon is asked about."""

from __future__ import annotations

from genplan.case import Window
from genplan.case.week import MINUTES_PER_DAY
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.time_texts import time_text
from genplan.language import _
from genplan.start.hours_times import EARLIEST, HOUR, NOON, Time

TWO_FIGURES = 10 * HOUR
"""From here on the clock of 24 hours shows no 0 in front."""
LATE = 18 * 60
"""What begins from here on and ends in the morning goes over midnight."""


def stretch(start: Time, end: Time, after: int = 0) -> Window:
    """`3-5pm` and `3pm-5` are in the afternoon, `11-1pm` begins in the morning, `9-5` ends in the afternoon; of `3-5`
    nobody can tell, unless it comes behind 9-12: `after` is the end of what was said before it. Raises
    InvalidValue."""
    first, last = start.minute, _end(end)
    is_afternoon = end.half and start.is_plain and first + NOON < last
    is_morning = end.half == "a" and start.is_plain and first < last
    if is_afternoon or (start.is_plain and first < min(after, EARLIEST) and first + NOON >= after):
        first += NOON
    in_words = not end.typed[0].isdigit()
    if not start.half and end.is_plain and not in_words and EARLIEST <= last < first and first >= NOON + HOUR:
        raise _may_be_swapped(start, end)
    said = start.half or is_afternoon or NOON <= first < NOON + HOUR or (first >= NOON and in_words)
    if end.is_plain and last <= first < last + NOON and (said or start.is_plain or first >= NOON):
        last += NOON  # 3pm-5.30, 12-2, 15-5, 9-5
    if first < EARLIEST and not is_morning and (start.is_plain or _is_half_said(start, end)):
        raise _may_be_either(start, end, first, last)
    if last <= first:
        hint = _("Write 3-5pm or 15:00-17:00.")
        if first >= LATE and last < NOON:
            hint = _("Over midnight write two: 22:00-24:00, and on the day after 00:00-06:00.")
        raise InvalidValue(_("'{typed}', which ends before it begins", typed=_typed(start, end)), "", hint)
    return Window(first, min(last, MINUTES_PER_DAY))


def _end(end: Time) -> int:
    """12am at an end is the end of the day."""
    return end.minute or (MINUTES_PER_DAY if end.half else 0)


def _is_half_said(start: Time, end: Time) -> bool:
    """`03:30 to 5`: one of the two as the clock of 24 hours shows it, the other as people say it."""
    return not start.half and end.is_plain and end.minute < TWO_FIGURES


def _may_be_either(start: Time, end: Time, first: int, last: int) -> InvalidValue:
    later = last + (NOON if last < NOON else 0)
    found = _("'{typed}', which may be before noon or after it", typed=_typed(start, end))
    if later <= first + NOON:  # such as 3-3pm
        return InvalidValue(found, "", _("Write am or pm behind both, or hours such as 15:00-17:00."))
    afternoon = f"{time_text(first + NOON)}-{time_text(later)}"
    if not first < last <= NOON:
        return InvalidValue(
            found, "", _("Is it the afternoon? Then write {afternoon}, or with pm.", afternoon=afternoon)
        )
    before = f"{time_text(first)}-{time_text(last)}"
    hint = _(
        "Is it the afternoon? Then write {afternoon}, or with pm; else {before}.",
        afternoon=afternoon,
        before=before,
    )
    return InvalidValue(found, "", hint)


def _may_be_swapped(start: Time, end: Time) -> InvalidValue:
    """`17:00-9:00` and `14-8`: hardly the evening."""
    swapped, later = (
        f"{time_text(first)}-{time_text(last)}"
        for first, last in ((_end(end), start.minute), (start.minute, _end(end) + NOON))
    )
    hint = _("Write {swapped}, or {later} if that is meant.", swapped=swapped, later=later)
    return InvalidValue(_("'{typed}', which ends before it begins", typed=_typed(start, end)), "", hint)


def _typed(start: Time, end: Time) -> str:
    return f"{start.typed}-{end.typed}"
