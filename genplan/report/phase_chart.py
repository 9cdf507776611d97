"""All probes of a skill over time as an inline drawing: what lies where; the template draws it.

Days along, in true distances, in strips of eight weeks that stand side by side where there is room and are as wide as a
telephone: nobody has to push the picture aside to see its end. Upwards the share of trials that were correct
without help. As graphs of a single learner have it, what was run is a point, a change of phase an upright line, a path
does not cross such a line, and what was asked for is a level one (What Works Clearinghouse, Single-case designs
technical documentation, 2010, and common practice; both from memory). A path joins tests of one combination only: two
combinations are two conditions. Kinds are told apart by shape and by word, met and not met by a full and an empty one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from genplan.case import PassMark, Target
from genplan.evidence.phases import Course, Phase, PhaseChange, PhasePoint, PointKind
from genplan.language import N_, _, said
from genplan.report.figure_words import interval_words, percent
from genplan.report.names_and_words import Names, day_short
from genplan.report.value_words import value_word

WIDTH, HEIGHT = 340, 214
LEFT, RIGHT, TOP, BOTTOM = 44, 12, 34, 46
STRIP_DAYS = 8 * 7
BELOW = HEIGHT - BOTTOM + 7.5
"""The height of what was run without counts, or not run."""
_BESIDE, _LETTER = 11.0, 6.2
"""Distance of two points of one day and one height, and the width of a letter, in units of the drawing."""

MARK, CRITERION = "mark", "criterion"
"""How the level lines are drawn."""
LINE = "M-8 0H8"
SHAPES = {
    PointKind.FIRST: "M-5 0A5 5 0 1 0 5 0A5 5 0 1 0-5 0Z",
    PointKind.AGAIN: "M0-6L6 5H-6Z",
    PointKind.MAINTENANCE: "M0-6.5L6.5 0L0 6.5L-6.5 0Z",
    PointKind.TEACHING: "M-5 0H5M0-5V5",
    PointKind.BASELINE: "M-5-5H5V5H-5Z",
    PointKind.NOT_RUN: "M0-4.5V4.5",
}


@dataclass(frozen=True)
class Sign:
    """A shape at a place; `full` for what was met."""

    x: float
    y: float
    shape: str
    full: bool


@dataclass(frozen=True)
class Upright:
    """A change of phase: its number, and the word where there is room for it."""

    x: float
    text: str


@dataclass(frozen=True)
class Level:
    """A mark that was asked for, from one place to another. What it is stands below the picture: in it the words lay on
    the signs, since what is taught is often run at that height."""

    x: float
    until: float
    y: float
    style: str


@dataclass(frozen=True)
class Strip:
    """Eight weeks at the most. `ticks` are Mondays, `months` places and words under the axis; `seen` is the part of
    the axis that lies in the days of the review."""

    title: str
    signs: tuple[Sign, ...]
    paths: tuple[str, ...]
    uprights: tuple[Upright, ...]
    levels: tuple[Level, ...]
    ticks: tuple[float, ...]
    months: tuple[tuple[float, str], ...]
    seen: tuple[float, float] | None


@dataclass(frozen=True)
class PhaseRow:
    """A point as texts, for those who cannot see it."""

    day: str
    what: str
    where: str
    correct: str
    share: str
    interval: str
    met: str
    phase: str


@dataclass(frozen=True)
class LegendEntry:
    """`style` is how the shape is drawn."""

    shape: str
    style: str
    words: str


@dataclass(frozen=True)
class PhaseChart:
    title: str
    words: str
    phases: tuple[str, ...]
    legend: tuple[LegendEntry, ...]
    strips: tuple[Strip, ...]
    rows: tuple[PhaseRow, ...]
    width: int = WIDTH
    height: int = HEIGHT
    left: int = LEFT
    right: int = WIDTH - RIGHT
    floor: int = HEIGHT - BOTTOM
    top: int = TOP


def phase_chart(names: Names, target: Target, course: Course, first: date, last: date) -> PhaseChart | None:
    """The picture of everything up to `last`; `first` is the day on which the review begins. None without a point."""
    if not course.points:
        return None
    begin, end = _begin(course), max(last, course.points[-1].result.date)
    strips = []
    while begin <= end:
        until = min(begin + timedelta(days=STRIP_DAYS - 1), end)
        strips.append(_Strip(target, course, begin, until, first, last).drawn())
        begin += timedelta(days=STRIP_DAYS)
    return PhaseChart(
        _("Everything that was run, by day: {target}", target=names.target(target.id)),
        _words(target, course),
        tuple(_phase_words(names, target, c, n) for n, c in enumerate(course.changes, 1)),
        (*_legend(course), *_levels_told(target, strips)),
        tuple(strips),
        tuple(_row(names, target, p) for p in course.points),
    )


def _begin(course: Course) -> date:
    """The Monday before the first point, or before the first phase if that is not much earlier."""
    ran, until = course.points[0].result.date, course.points[-1].result.date
    start = course.changes[0].on
    near = timedelta(days=max(28, (until - ran).days // 2))
    day = start if start <= ran and ran - start <= near else ran
    return day - timedelta(days=day.weekday())


@dataclass(frozen=True)
class _Strip:
    """What is drawn of the days from `begin` to `until`."""

    target: Target
    course: Course
    begin: date
    until: date
    first: date
    last: date

    def drawn(self) -> Strip:
        points = [p for p in self.course.points if self.begin <= p.result.date <= self.until]
        places = _places(points, self.along)
        seen = max(self.first, self.begin), min(self.last, self.until)
        days = [self.begin + timedelta(days=n) for n in range((self.until - self.begin).days + 1)]
        months = [d for d in days if d == self.begin or (d.day == 1 and self.along(d) > LEFT + 85)]
        return Strip(
            _("{begin} to {until}", begin=day_short(self.begin), until=day_short(self.until)),
            tuple(Sign(*places[n], SHAPES[p.kind], p.met is True) for n, p in enumerate(points)),
            tuple(self._paths(points, places)),
            tuple(self._uprights()),
            tuple(self._levels()),
            tuple(self.along(d) for d in days if d.weekday() == 0),
            tuple((self.along(d), day_short(d)) for d in months),
            (self.along(seen[0]), self.along(seen[1])) if seen[0] <= seen[1] else None,
        )

    def along(self, day: date) -> float:
        """A strip that is not full is drawn at the same scale; a course of one strip fills it, down to four weeks."""
        days = STRIP_DAYS if self._is_long else max((self.until - self.begin).days + 1, 28)
        return round(LEFT + 8 + (WIDTH - LEFT - RIGHT - 16) * (day - self.begin).days / days, 1)

    @property
    def _is_long(self) -> bool:
        whole = (self.course.points[-1].result.date - _begin(self.course)).days
        return max(whole, (self.last - _begin(self.course)).days) >= STRIP_DAYS

    def _paths(self, points: Sequence[PhasePoint], places: Sequence[tuple[float, float]]) -> Iterator[str]:
        """A line between two tests of a combination that follow each other within one phase."""
        seen = [n for n, p in enumerate(points) if p.met is not None]
        for combination in dict.fromkeys(points[n].result.combination for n in seen):
            own = [n for n in seen if points[n].result.combination == combination]
            for a, b in pairwise(own):
                between = (points[a].result.date, points[b].result.date)
                if not any(between[0] < c.on <= between[1] for c in self.course.changes):
                    yield f"M{places[a][0]} {places[a][1]}L{places[b][0]} {places[b][1]}"

    def _uprights(self) -> Iterator[Upright]:
        """Half a day before the first day of the phase, so that no point stands on the line."""
        half = (self.along(self.begin + timedelta(days=1)) - self.along(self.begin)) / 2
        here = [(n, c) for n, c in enumerate(self.course.changes, 1) if self.begin <= c.on <= self.until]
        ends = [self.along(c.on) for __, c in here[1:]] + [float(WIDTH)]
        for (number, change), end in zip(here, ends, strict=False):
            x, text = self.along(change.on) - half, f"{number} {value_word(change.phase)}"
            yield Upright(round(x, 1), text if x + _LETTER * len(text) + 6 < end else str(number))

    def _levels(self) -> Iterator[Level]:
        left, right = float(LEFT), float(WIDTH - RIGHT)
        mark = self.target.pass_mark
        yield Level(left, right, up(_share(mark)), MARK)
        criterion, taught = self.target.criterion, self._taught()
        if criterion and taught is not None:
            yield Level(*taught, up(_share(criterion)), CRITERION)

    def _taught(self) -> tuple[float, float] | None:
        """From where to where the phase of teaching lies in the strip."""
        changes = self.course.changes
        number = next((n for n, c in enumerate(changes) if c.phase is Phase.TAUGHT), None)
        if number is None or changes[number].on > self.until:
            return None
        start = changes[number].on
        left = self.along(start) if number and start > self.begin else float(LEFT)
        ends = [c.on for c in changes[number + 1 :]]
        if not ends or ends[0] > self.until:
            return left, float(WIDTH - RIGHT)
        return (left, self.along(ends[0])) if ends[0] > self.begin else None


def up(share: float) -> float:
    """The height of a share from 0 to 1."""
    return round(HEIGHT - BOTTOM - (HEIGHT - BOTTOM - TOP) * share, 1)


def _share(mark: PassMark) -> float:
    return mark.correct / mark.trials


def _places(points: Sequence[PhasePoint], along: Callable[[date], float]) -> list[tuple[float, float]]:
    """Points of one day and one height stand side by side; what was not counted stands below the axis: it is not
    0 %."""
    heights = [(p.result.date, BELOW if p.share is None else up(p.share)) for p in points]
    many, seen = Counter(heights), Counter[tuple[date, float]]()
    places = []
    for one in heights:
        off = (seen[one] - (many[one] - 1) / 2) * _BESIDE
        seen[one] += 1
        places.append((round(along(one[0]) + off, 1), one[1]))
    return places


def _words(target: Target, course: Course) -> str:
    """What the picture says, in a sentence for each kind."""
    days = _(
        "{first} to {last}",
        first=day_short(course.points[0].result.date),
        last=day_short(course.points[-1].result.date),
    )
    sentences = [_("From {span}.", span=days)]
    for kind in PointKind:
        own = course.of_kind(kind)
        tested = [p for p in own if p.met is not None]
        if tested:
            sentences.append(
                _(
                    "{kind}: {met} of {tested} met.",
                    kind=said(_KINDS[kind]),
                    met=sum(p.met is True for p in tested),
                    tested=len(tested),
                )
            )
        elif own:
            sentences.append(f"{said(_KINDS[kind])}: {len(own)}.")
    return " ".join([*sentences, _("Level line: the pass mark of {pass_mark}.", pass_mark=target.pass_mark)])


_KINDS = {
    PointKind.FIRST: N_("First probes of a combination"),
    PointKind.AGAIN: N_("Probes again"),
    PointKind.MAINTENANCE: N_("Maintenance probes"),
    PointKind.TEACHING: N_("Teachings"),
    PointKind.BASELINE: N_("Baseline probes"),
    PointKind.NOT_RUN: N_("Not run"),
}


def _phase_words(names: Names, target: Target, change: PhaseChange, number: int) -> str:
    if change.phase is Phase.MASTERED and target.mastered_on is None:
        return _(
            "{number}: mastered; the case does not say on which day, this is that of the first probe.",
            number=number,
        )
    if change.after:
        taught = dict.fromkeys(
            f"{day_short(r.date)}, {names.combination(target, r.combination)}" for r in change.after
        )
        return _(
            "{number}: from {on}, after teaching ({taught}).",
            number=number,
            on=day_short(change.on),
            taught="; ".join(taught),
        )
    return _(
        "{number}: {phase}, from {on}.",
        number=number,
        phase=value_word(change.phase),
        on=day_short(change.on),
    )


def _legend(course: Course) -> Iterator[LegendEntry]:
    """Full ones first; a kind that was not run is left out."""
    for kind in PointKind:
        for met in (True, False, None):
            number = sum(p.met is met for p in course.of_kind(kind))
            if number:
                result = {True: _(", met"), False: _(", not met"), None: ""}[met]
                style = "full" if met else "hollow"
                yield LegendEntry(SHAPES[kind], style, f"{value_word(kind)}{result}: {number}")


def _levels_told(target: Target, strips: Iterable[Strip]) -> Iterator[LegendEntry]:
    """What the level lines are that are drawn."""
    drawn = {level.style for strip in strips for level in strip.levels}
    if MARK in drawn:
        yield LegendEntry(LINE, MARK, _("pass mark {mark}", mark=target.pass_mark))
    if CRITERION in drawn:
        yield LegendEntry(LINE, CRITERION, _("criterion of mastery {criterion}", criterion=target.criterion))


def _row(names: Names, target: Target, point: PhasePoint) -> PhaseRow:
    row = point.result
    correct, trials = row.correct or 0, row.trials or 0
    return PhaseRow(
        day_short(row.date),
        value_word(point.kind),
        names.combination(target, row.combination),
        _("{correct} of {trials}", correct=correct, trials=trials) if trials else "",
        percent(correct / trials) if trials else "",
        interval_words(correct, trials) if trials else "",
        {True: _("met"), False: _("not met"), None: ""}[point.met],
        value_word(point.phase),
    )
