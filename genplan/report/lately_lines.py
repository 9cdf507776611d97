"""The last weeks as lines for the terminal."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from genplan.case import Case, Week
from genplan.evidence.sittings_written import SittingsCount
from genplan.keeping.loads_lately import AdultsLoad, Amount, Load
from genplan.keeping.not_held import NotHeld
from genplan.language import _
from genplan.report.lately_words import (
    count_sentences,
    how_counted,
    not_held_sentences,
    span_words,
    unwritten_sentence,
)
from genplan.report.names_and_words import Names
from genplan.report.textgrid import laid_out
from genplan.text.week_words import week_head


def lately_lines(
    case: Case,
    weeks: Sequence[Week],
    loads: Sequence[AdultsLoad],
    missed: Sequence[NotHeld],
    counts: Mapping[str, SittingsCount],
    unwritten: int = 0,
) -> Iterator[str]:
    names = Names(case)
    yield span_words(weeks)
    yield ""
    yield _("Minutes, and sittings in brackets")
    head = ["", _("told"), _("held"), _("not held"), _("open")]
    yield from laid_out([head, *([names.adult(one.adult), *_cells(one.sum)] for one in loads)])
    yield ""
    yield _("Minutes told / held / not held, week by week")
    head = ["", *map(week_head, weeks)]
    yield from laid_out([head, *([names.adult(one.adult), *map(_short, one.weeks)] for one in loads)])
    yield ""
    yield how_counted()
    yield ""
    if missed or not unwritten:
        yield from _missed(names, missed, counts)
    if unwritten:
        yield unwritten_sentence(unwritten)


def _missed(names: Names, missed: Sequence[NotHeld], counts: Mapping[str, SittingsCount]) -> Iterator[str]:
    if not missed:
        yield _("No sitting fell through.")
        return
    yield _("Not held")
    yield from (f"  {sentence}" for sentence in not_held_sentences(names, missed))
    if sentences := count_sentences(names, counts):
        yield ""
        yield from sentences


def _cells(load: Load) -> list[str]:
    return [_amount(a) for a in (load.told, load.held, load.not_held, load.open)]


def _amount(amount: Amount) -> str:
    return f"{amount.minutes} ({amount.sittings})" if amount.sittings else "–"


def _short(load: Load) -> str:
    figures = [a.minutes for a in (load.told, load.held, load.not_held)]
    return "/".join(map(str, figures)) if any(figures) else "–"
