"""How many sittings are written down, and how many of them were not run: of each adult, and of each learner.

Counted are sittings and not rows: one sitting that falls through makes a row 'not run' for each thing that was planned
in it. Teaching without a time is left out, since nobody can tell whether it was a sitting of its own.

Of a reason the file holds only words. Those that `genplan record` offers for what lies with the child are taken as the
child's; whose any other is cannot be told, and nobody is rated by it.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from datetime import date, time
from functools import lru_cache
from operator import attrgetter

from genplan.case import Case
from genplan.case.targets import ADULT
from genplan.evidence.intervals import Interval, clopper_pearson
from genplan.evidence.log import Log, Result, ResultKind
from genplan.language import N_, pgettext, said
from genplan.language.every_language import in_every_language, meant_in_any
from genplan.language.typed import phrases_in_every_language

CHILDS_REASONS = (N_("ill"), N_("refused"))
ADULTS_REASON = N_("adult away")
REASONS = (*CHILDS_REASONS, ADULTS_REASON, N_("no time"))
"""What `genplan record` and the page offer where something was not run."""


@dataclass(frozen=True)
class SittingsCount:
    """Sittings that are written down; how many of them were not run since the child was ill or refused, and how many
    for another reason, whosever that was."""

    written: int = 0
    childs: int = 0
    others: int = 0

    def __add__(self, more: SittingsCount) -> SittingsCount:
        return _sum_of([self, more])

    @property
    def not_run(self) -> int:
        return self.childs + self.others

    @property
    def asked(self) -> int:
        """Without those that the child's reason ended: whether the adult would have come is not known of them."""
        return self.written - self.childs

    @property
    def interval(self) -> Interval | None:
        """How often one falls through that the child's reason does not end: exact, 95 %. None: nothing is known."""
        return clopper_pearson(self.others, self.asked) if self.asked else None


_RUN = SittingsCount(1)


@dataclass(frozen=True)
class WrittenSitting:
    """One sitting of which rows tell; `childs`: one of what was not run gives a reason that is the child's."""

    day: date
    time: time | None
    adult: str
    learner: str
    rows: tuple[Result, ...]
    childs: bool

    @property
    def count(self) -> SittingsCount:
        """Run as soon as one row says so."""
        if any(r.kind is not ResultKind.NOT_RUN for r in self.rows):
            return _RUN
        return SittingsCount(1, int(self.childs), int(not self.childs))


def childs_reason(note: str) -> str:
    """The one of those that are the child's that a reason is, or begins with, in any language: `ill`, `Refused: he
    hid`, `krank`, `wollte nicht`; or empty."""
    first = re.split(r"[,;:.!]", note.replace("’", "'"), maxsplit=1)[0]
    return meant_in_any(first, CHILDS_REASONS) or _in_other_words().get(
        " ".join(first.casefold().split()), ""
    )


def childs_own(case: Case, row: Result) -> str:
    """The same of the note of a row, which may begin with the child's name: `I. was ill`. Of one that names an adult it
    is the child's only then: `ill: Mum` may be hers."""
    if not row.note:
        return ""
    named = childs_reason(_after_own_name(case, row))
    return named or ("" if _names_an_adult(case, row.note) else childs_reason(row.note))


def _names_an_adult(case: Case, note: str) -> bool:
    """Anywhere beside an illness, and first of all after another reason: `refused: wanted Mum` is the child's."""
    words = re.findall(r"\w+", note.casefold())
    if childs_reason(note) != CHILDS_REASONS[0]:
        words = re.findall(r"\w+", re.split(r"[,;:.!]", note.casefold(), maxsplit=1)[-1])[:1]
    return not _names_in_words(_names_of_adults(case)).isdisjoint(words)


def _names_of_adults(case: Case) -> tuple[str, ...]:
    return tuple(adult.name for adult in case.adults.values())


@lru_cache(maxsize=4)
def _names_in_words(names: tuple[str, ...]) -> frozenset[str]:
    """The words of names by which somebody may be meant, in small letters."""
    return frozenset(
        part.casefold()
        for name in names
        for word in name.split()
        if word[:1].isupper() or word == name
        for part in re.findall(r"\w\w+", word)
    )


@lru_cache(maxsize=4)
def _names_and_parts(names: tuple[str, ...]) -> frozenset[str]:
    return frozenset(part for name in names for part in (name, *name.split()))


def _after_own_name(case: Case, row: Result) -> str:
    """The note without the name, first name or alias of its child, where it begins with that and no adult has it. An I
    without a full stop is who writes."""
    if row.target not in case.targets:
        return ""
    child = case.learners[case.targets[row.target].learner]
    names = {child.name, child.alias, child.alias.rstrip("."), *child.name.split()[:1]}
    names -= {*_names_and_parts(_names_of_adults(case)), "", "i", "I"}
    for name in sorted(names, key=lambda n: (-len(n), n)):
        if found := re.match(rf"{re.escape(name)}[\s:,]+(?=\S)", row.note, re.IGNORECASE):
            return row.note[found.end() :]
    return ""


def child_was_ill(case: Case, row: Result) -> bool:
    """Whether it says that something was not run for that."""
    return row.kind is ResultKind.NOT_RUN and childs_own(case, row) == CHILDS_REASONS[0]


def begins_with_childs_reason(note: str) -> bool:
    """Whether one of the child's reasons is the first of it, whatever follows: `refused after the second try`."""
    begins = tuple(word.casefold() for reason in CHILDS_REASONS for word in in_every_language(reason))
    text = " ".join(note.casefold().split())
    return bool(childs_reason(note)) or any(re.match(rf"{re.escape(word)}\b", text) for word in begins)


def reason_of(note: str) -> str:
    """The one of `REASONS` that a note is, or begins with, in any language; or empty."""
    return childs_reason(note) or (ADULTS_REASON if is_adults_reason(note) else meant_in_any(note, REASONS))


def with_reason(reason: str, note: str) -> str:
    """The note so that it says this one of `REASONS` first; as it is where it does, or none was chosen."""
    if not reason or reason_of(note) == reason:
        return note
    first, between, rest = note.partition(":")
    own = rest.strip() if meant_in_any(first, REASONS) and (between or not rest) else note
    return f"{said(reason)}: {own}" if own else said(reason)


def is_known_reason(note: str) -> bool:
    """Whether it can be told whose reason it was, or that it was nobody's."""
    return bool(childs_reason(note)) or is_adults_reason(note) or bool(meant_in_any(note, REASONS))


@lru_cache
def _in_other_words() -> dict[str, str]:
    """How people say the child's reasons, of all languages together. Who is meant has to be plain without a name: of
    'she would not' it is not."""
    said = {
        CHILDS_REASONS[0]: lambda: pgettext(
            "typed, several phrases with / between them",
            "sick / unwell / poorly / not well / was ill / was sick / had a fever / fever / feverish / is ill / is sick"
            " / is unwell / is not well / has a fever",
        ),
        CHILDS_REASONS[1]: lambda: pgettext(
            "typed, several phrases with / between them",
            "did not want to / didn't want to / did not want / didn't want / would not / wouldn't / no mood"
            " / not in the mood / said no / walked away / ran away / distressed / upset / cried / crying / tantrum",
        ),
    }
    return {phrase: one for one, phrases in said.items() for phrase in phrases_in_every_language(phrases)}


def is_adults_reason(note: str) -> bool:
    """Whether a reason begins with that of an adult, in any language."""
    return note.strip().casefold().startswith(tuple(map(str.casefold, in_every_language(ADULTS_REASON))))


def sittings_written(case: Case, log: Log) -> tuple[WrittenSitting, ...]:
    """In order of day. Rows of one learner and adult at one time are one sitting; a row without a time is of the day's
    first one with a time, or of one with the others without."""
    by_day: dict[tuple[date, str, str], list[Result]] = defaultdict(list)
    for target in case.targets.values():
        for row in log.of_target(target.id):
            if row.planned or (row.kind is ResultKind.TEACHING and row.time is None):
                continue
            by_day[row.date, target.value(row.combination, ADULT), target.learner].append(row)
    return tuple(
        WrittenSitting(
            day,
            at,
            adult,
            learner,
            rows,
            any(childs_own(case, r) for r in rows if r.kind is ResultKind.NOT_RUN),
        )
        for (day, adult, learner), own in sorted(by_day.items(), key=lambda pair: pair[0])
        for at, rows in _by_time(own)
    )


def _by_time(rows: Iterable[Result]) -> Iterable[tuple[time | None, tuple[Result, ...]]]:
    rows = list(rows)
    times: list[time | None] = [*sorted({r.time for r in rows if r.time is not None})] or [None]
    at_time: dict[time | None, list[Result]] = {at: [] for at in times}
    for row in rows:
        at_time[row.time or times[0]].append(row)
    for at, of_one in at_time.items():
        yield at, tuple(of_one)


Counts = Mapping[str, SittingsCount]


def sittings_of_adults(written: Iterable[WrittenSitting]) -> Counts:
    """Adult id -> the count."""
    return _summed((s.adult, s.count) for s in written)


def sittings_of_learners(written: Iterable[WrittenSitting]) -> Counts:
    """Learner id -> the count."""
    return _summed((s.learner, s.count) for s in written)


def together(counts: Iterable[Counts]) -> Counts:
    """The counts of several learners, adult by adult."""
    return _summed(pair for one in counts for pair in one.items())


def _summed(pairs: Iterable[tuple[str, SittingsCount]]) -> dict[str, SittingsCount]:
    found: dict[str, list[SittingsCount]] = defaultdict(list)
    for key, count in pairs:
        found[key].append(count)
    return {key: _sum_of(counts) for key, counts in found.items()}


def _sum_of(counts: list[SittingsCount]) -> SittingsCount:
    return SittingsCount(*(sum(map(attrgetter(f.name), counts)) for f in fields(SittingsCount)))
