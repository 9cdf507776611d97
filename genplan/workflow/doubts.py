"""What somebody is asked before rows are added: what is still ahead, what has other trials than were planned, and what
would count in the place of others."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import TYPE_CHECKING

from genplan.case.possible import kept_from
from genplan.case.targets import MATERIAL_SET
from genplan.errors import UsageError
from genplan.language import _, ngettext
from genplan.language.dates import date_words
from genplan.workflow.doubts_of_people import unlikely
from genplan.workflow.doubts_of_rows_there import denied, in_the_place_of, there_but_for_the_time
from genplan.workflow.doubts_of_trials import other_trials
from genplan.workflow.opened_case import Opened
from genplan.workflow.planned_sittings import sitting_of

if TYPE_CHECKING:
    from genplan.case import Case
    from genplan.evidence.log import Log, Result


@dataclass(frozen=True, kw_only=True)
class Doubts:
    """What somebody is asked before rows are added: sentences on those that speak of what is still `ahead`, on those by
    which something was not run that is `not_over`, on those with a thing that is `held_back` by a caution, on those
    with other `trials` than were planned, of days `long_ago`, on those that would count in the place of others
    (`replaced`), on those that may be there, with a time or without (`again`), on those
    that say otherwise than one that is there whether it was run (`denied`), and on people who were away or not
    planned, or refused (`unlikely`)."""

    ahead: tuple[str, ...] = ()
    not_over: tuple[str, ...] = ()
    held_back: tuple[str, ...] = ()
    trials: tuple[str, ...] = ()
    long_ago: tuple[str, ...] = ()
    replaced: tuple[str, ...] = ()
    again: tuple[str, ...] = ()
    denied: tuple[str, ...] = ()
    unlikely: tuple[str, ...] = ()
    told: str = ""
    """Of what is not over: the id of the sitting of the kept week that it is of, if it is one."""
    is_year_doubted: bool = False
    """Whether all that is of long ago would be of these weeks in another year."""

    @property
    def each(self) -> tuple[str, ...]:
        """The doubts one by one, each to be answered for itself: what is said of it, as one text."""
        return tuple(" ".join(said) for said in self._all if said)

    @property
    def sentences(self) -> tuple[str, ...]:
        return tuple(sentence for said in self._all for sentence in said)

    @property
    def _all(self) -> tuple[tuple[str, ...], ...]:
        return (
            self.ahead,
            self.not_over,
            self.held_back,
            self.trials,
            self.long_ago,
            self.replaced,
            self.again,
            self.denied,
            self.unlikely,
        )


FEW = 3
"""Rows still ahead, or of days long ago, that are told one by one; of more there is one sentence."""
LONG_AGO = timedelta(days=183)
"""A year that is typed wrongly lies further back; our choice, no source."""
YEAR = 365.2425
LATELY = timedelta(days=45)
"""Results are handed in within it; our choice, no source."""

Say = Callable[["Result"], str]
Sure = Callable[[Doubts], bool]
"""Whether rows about which there are doubts are to be added all the same."""


def unasked(doubts: Doubts) -> bool:
    """Where nobody can be asked: of two rows a warning says which counts, and nothing is lost; what is still ahead was
    not run, nor did it fall through, and is not written down, and neither is what has the year of another one in all
    likelihood."""
    return not doubts.ahead and not doubts.not_over and not doubts.is_year_doubted


class NotAdded(UsageError):
    """Somebody was asked and did not want it; `doubts` say what was asked, one by one."""

    def __init__(self, doubts: Sequence[str]) -> None:
        self.doubts = tuple(doubts)
        super().__init__(_("Nothing was added."))


def to_ask(opened: Opened, rows: Sequence[Mapping[str, str]], places: Sequence[str] = ()) -> Doubts:
    """`places`: the file and line from which each of the rows was read."""
    from genplan.evidence.results import read_results

    log, _findings = read_results(opened.folder, opened.case)
    after = max((r.line for r in log.results), default=1)
    read, say = as_read(opened, rows, after), named(opened.case, places, after)
    return Doubts(
        ahead=still_ahead(opened, read, say),
        not_over=not_over_yet(opened, read, say),
        held_back=held_back(opened, read),
        trials=other_trials(opened, read),
        long_ago=of_long_ago(opened, read, places, after),
        replaced=in_the_place_of(opened.case, log, read),
        again=there_but_for_the_time(opened.case, log, read),
        denied=denied(opened.case, log, read),
        unlikely=unlikely(opened, read),
        told=_sitting_not_over(opened, read),
        is_year_doubted=is_year_doubted(opened, log, read),
    )


def as_read(opened: Opened, rows: Sequence[Mapping[str, str]], after: int = 0) -> tuple[Result, ...]:
    """Those of the rows that can be read, as lines after this one."""
    from genplan.evidence.delimited_text import Row
    from genplan.evidence.results import read_row

    read = (read_row(opened.case, Row(n, row))[0] for n, row in enumerate(rows, after + 1))
    return tuple(row for row in read if row is not None)


def named(case: Case, places: Sequence[str], after: int = 0) -> Say:
    """How a row is called that was read as a line after this one: with the file and line where it stands, if it stands
    in a file, and what it says."""
    from genplan.evidence.row_identity import in_names

    return lambda row: _at(places, row.line - after, in_names(case, row))


def _at(places: Sequence[str], number: int, said: str) -> str:
    return f"{places[number - 1]}: {said}" if places else said


def of_long_ago(
    opened: Opened, rows: Sequence[Result], places: Sequence[str] = (), after: int = 0
) -> tuple[str, ...]:
    """A year typed wrongly would change what is planned without a word. Of many rows, such as those of years before
    the case, it is asked once."""
    old = [row for row in rows if row.date < opened.wall.date() - LONG_AGO]
    if len(old) > FEW:
        first, last = (date_words(pick(row.date for row in old)) for pick in (min, max))
        return (
            _(
                "{n} rows are of more than half a year ago, from {first} to {last}. Look once more at the year.",
                n=len(old),
                first=first,
                last=last,
            ),
        )
    return tuple(
        _at(
            places,
            row.line - after,
            _(
                "{day} is more than half a year ago ({target}). Look once more at the year.",
                day=date_words(row.date),
                target=opened.case.targets[row.target].name,
            ),
        )
        for row in old
    )


def is_year_doubted(opened: Opened, log: Log, rows: Sequence[Result]) -> bool:
    """Whether each row of long ago would be of the last weeks in another year, and no row of then is there: so looks a
    sheet with last year's date, and old records look otherwise."""
    today = opened.wall.date()
    old = [row.date for row in rows if row.date < today - LONG_AGO]
    if not old or any((today - day).days % YEAR > LATELY.days for day in old):
        return False
    return not any(abs(row.date - day) <= LATELY for row in log.results for day in (min(old), max(old)))


def still_ahead(opened: Opened, rows: Sequence[Result], say: Say) -> tuple[str, ...]:
    """That something was run cannot be known before."""
    from genplan.evidence.log import ResultKind

    ahead = [
        say(row)
        for row in rows
        if row.kind is not ResultKind.NOT_RUN and datetime.combine(row.date, row.time or time()) > opened.wall
    ]
    if len(ahead) <= FEW:
        return tuple(
            _(
                "This is still ahead: {row}. Written down now, it counts "
                "as run, and what follows is planned on it.",
                row=row,
            )
            for row in ahead
        )
    return (
        _(
            "{number} rows are still ahead, such as {rows}. Written down now, they count as run, and what follows is"
            " planned on them.",
            number=len(ahead),
            rows="; ".join(ahead[:FEW]),
        ),
    )


def not_over_yet(opened: Opened, rows: Sequence[Result], say: Say) -> tuple[str, ...]:
    """That something will not be run may be known before; it may as well be a slip of the day. Without a time, today is
    not asked about."""
    ahead = _not_run_ahead(opened, rows)
    if not ahead:
        return ()
    return (
        ngettext(
            "It is not over yet: {rows}. Written down as not run, it is called off from now on. Is it sure already "
            "that it will not be held?",
            "{n} of these are not over yet, such as {rows}. Written down as not run, they are called off from now on. "
            "Is it sure already that they will not be held?",
            len(ahead),
            rows=say(ahead[0]),
        ),
    )


def held_back(opened: Opened, rows: Sequence[Result]) -> tuple[str, ...]:
    """Of a thing from which the child is kept: it may be another that was meant, or a caution that is wrong."""
    from genplan.evidence.log import ResultKind
    from genplan.text.obstacles import obstacle_text

    found: dict[str, None] = {}
    for row in (r for r in rows if r.kind is not ResultKind.NOT_RUN):
        target = opened.case.targets[row.target]
        why = kept_from(opened.case, target, target.value(row.combination, MATERIAL_SET), row.date)
        if why:
            sentence = _(
                "It is held back by a caution: {why}. Was it really this thing? Keep it away from the child, and write "
                "this down only if it was run.",
                why=obstacle_text(opened.case, why),
            )
            found[sentence] = None
    return tuple(found)


def _not_run_ahead(opened: Opened, rows: Sequence[Result]) -> list[Result]:
    from genplan.evidence.log import ResultKind

    return [
        row
        for row in rows
        if row.kind is ResultKind.NOT_RUN and datetime.combine(row.date, row.time or time()) > opened.wall
    ]


def _sitting_not_over(opened: Opened, rows: Sequence[Result]) -> str:
    ahead = _not_run_ahead(opened, rows)
    told = {sitting_of(opened, r.target, r.combination, r.date, r.time) for r in ahead[:FEW]}
    only = told.pop() if len(told) == 1 else None
    return only.id if only else ""
