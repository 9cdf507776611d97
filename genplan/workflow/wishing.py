"""Wishes of whoever plans the weeks: written down, taken back, and held against the rules at once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.case.possible import kept_from
from genplan.case.targets import MATERIAL_SET
from genplan.case.wishes_of_planners import PlannersWish, WishKind, sitting_id
from genplan.errors import CaseError, FileError, UsageError
from genplan.findings import Finding, Severity, nearest
from genplan.language import _
from genplan.language.dates import long_moment
from genplan.language.sentences import capital
from genplan.workflow.meant_by_name import known_id
from genplan.workflow.opened_case import Opened, kept_ahead, open_case
from genplan.workflow.wish_answers import answer_to, week_of

if TYPE_CHECKING:
    from genplan.keeping.told import KeptWeek
    from genplan.plan import Sitting, WishAnswer

OF_A_SITTING = (WishKind.HOLD, WishKind.NOT, WishKind.MOVE)


@dataclass(frozen=True)
class Wished:
    """What was written, in a sentence, and what becomes of the wish as far as the rules alone decide: None where only
    a plan tells, or where a file for it cannot be read, which `unknown` says then."""

    said: str
    words: str
    case: Case
    answer: WishAnswer | None = None
    unknown: str = ""


def try_wish(folder: Path, wanted: PlannersWish, now: datetime | None) -> Wished:
    """What would become of a wish; nothing is written. Raises as `wish`."""
    _before, after, wanted = as_if_wished(folder, wanted, now)
    words = in_words(after.case, wanted)
    tried = _("Nothing was written. With this wish: {wish}.", wish=words)
    return Wished(tried, words, after.case, answer_to(after, wanted))


def as_if_wished(
    folder: Path, wanted: PlannersWish, now: datetime | None
) -> tuple[Opened, Opened, PlannersWish]:
    """The case without the wish and with it, and the wish made whole."""
    from genplan.casefile.change_entries import file_with_wish

    opened = open_case(folder, now)
    wanted, before = _made_whole(opened, wanted)
    name, fresh = file_with_wish(folder, wanted, before)
    return opened, open_case(folder, now, instead={name: fresh}), wanted


def _made_whole(opened: Opened, wanted: PlannersWish) -> tuple[PlannersWish, list[PlannersWish]]:
    """The wish with what the kept weeks say of its sitting, and what else is wished of that one."""
    wanted = _ahead(opened, _by_ids(opened.case, wanted))
    _refuse_what_the_child_is_kept_from(opened.case, wanted)
    if wanted.kind not in OF_A_SITTING:
        return wanted, []
    wanted = _as_told(opened, wanted)
    return wanted, list(_of_the_same(opened, wanted))


def _by_ids(case: Case, wanted: PlannersWish) -> PlannersWish:
    """The wish of those who were typed by name. Raises UsageError for a name that several have."""
    return replace(
        wanted,
        learner=known_id(case, "learners", wanted.learner) if wanted.learner else "",
        adult=known_id(case, "adults", wanted.adult) if wanted.adult else "",
        location=known_id(case, "locations", wanted.location) if wanted.location else "",
        target=known_id(case, "targets", wanted.target) if wanted.target else "",
        values=tuple(
            (key, known_id(case, "material_sets", value) if key == MATERIAL_SET else value)
            for key, value in wanted.values
        ),
    )


def wish(folder: Path, wanted: PlannersWish, now: datetime | None) -> Wished:
    """Adds a wish to `changes.yaml`, or where `changes` stand; one about the same sitting goes. Raises CaseError,
    UsageError or FileError with the file as it was."""
    from genplan.casefile.change_entries import put_wish
    from genplan.casefile.earlier import undoable

    opened = open_case(folder, now)
    wanted, before = _made_whole(opened, wanted)
    words = in_words(opened.case, wanted)
    with undoable(folder, _("wished: {wish}", wish=words), opened.wall):
        file = put_wish(folder, wanted, instead_of=before)
    added = _("Added to {file}, as a wish: {wish}", file=file, wish=words)
    words = _("Wished: {wish}", wish=words)
    if before:
        instead = "; ".join(in_words(opened.case, w) for w in before)
        added, words = (
            _("{added}. It stands in the place of: {wishes}", added=told, wishes=instead)
            for told in (added, words)
        )
    if week_of(wanted) is None:
        added, words = (
            _("{added}. Without days it holds in every week until it is taken back", added=told)
            for told in (added, words)
        )
    try:
        after = open_case(folder, now)
        return Wished(added, words, after.case, answer_to(after, wanted))
    except (CaseError, FileError) as error:
        unknown = _("Whether it can be kept cannot be told:\n{error}", error=error)
        return Wished(added, words, opened.case, unknown=unknown)


def in_words(case: Case, wish: PlannersWish) -> str:
    """What is wished, by names; of what the case does not know the line that says it."""
    from genplan.text.wishes import wish_text

    try:
        return wish_text(case, wish)
    except KeyError:
        return _line(wish)


def take_back(folder: Path, wanted: PlannersWish, now: datetime | None) -> str:
    """Takes the line of a wish out again, for whatever children it is: of a sitting all that is wished of it in that
    way. Raises UsageError where nothing of the kind is wished."""
    from genplan.casefile.change_entries import take_back as take_out
    from genplan.casefile.earlier import undoable

    opened = open_case(folder, now, with_results=False)
    wanted = _by_ids(opened.case, wanted)
    found = list({w.number: w for w in opened.case.wishes if _is_meant(w, wanted)}.values())
    if not found:
        there = "; ".join(in_words(opened.case, w) for w in as_written(opened.case.wishes)) or _("nothing")
        raise UsageError(
            _("Nothing like that is wished, so nothing was taken back. What is wished: {there}.", there=there)
        )
    if len(found) > 1 and wanted.kind not in OF_A_SITTING:
        raise UsageError(
            _("That is said by several wishes. Say more of the one that is meant; nothing was taken back.")
        )
    numbers = {one.number for one in found}
    of_them = as_written([w for w in opened.case.wishes if w.number in numbers])
    wishes = "; ".join(in_words(opened.case, w) for w in of_them)
    with undoable(folder, _("taken back: {lines}", lines=wishes), opened.wall):
        for one in found:
            file = take_out(folder, one)
    return _("Taken out of {file}, no wish any more: {wishes}", file=file, wishes=wishes)


def as_written(wishes: Sequence[PlannersWish]) -> list[PlannersWish]:
    """One for each line: what a line wishes for all children of an adult is a wish of each once it is read."""
    by_line: dict[int, list[PlannersWish]] = {}
    for one in wishes:
        by_line.setdefault(one.number, []).append(one)
    return [w[0] if len(w) == 1 else replace(w[0], learner="") for w in by_line.values()]


def _line(one: PlannersWish) -> str:
    from genplan.casefile.change_entries import WishEntry

    return WishEntry(one).words


def _is_meant(there: PlannersWish, wanted: PlannersWish) -> bool:
    """Whether a wish is of the kind, and says all that was said of the one to take back."""
    if there.kind is not wanted.kind or set(there.two) != set(wanted.two or there.two):
        return False
    said = ("sitting", "at", "start", "end", "learner", "adult", "location", "target")
    values = all(pair in there.values for pair in wanted.values)
    return values and all(getattr(wanted, k) in ("", None, getattr(there, k)) for k in said)


def _refuse_what_the_child_is_kept_from(case: Case, wanted: PlannersWish) -> None:
    """Raises UsageError for a sitting of one's own with a set that its learner is kept from: no plan would hold it, and
    nobody is to believe that it would."""
    from genplan.text.obstacles import obstacle_text

    target, material_set = case.targets.get(wanted.target), dict(wanted.values).get(MATERIAL_SET, "")
    if target is None or wanted.start is None or material_set not in case.material_sets:
        return
    if against := kept_from(case, target, material_set, Week.of(wanted.start.date()).monday):
        raise UsageError(
            _(
                "{reason}. Nothing was added: choose something else.",
                reason=capital(obstacle_text(case, against)),
            )
        )


def _of_the_same(opened: Opened, wanted: PlannersWish) -> Iterator[PlannersWish]:
    """What else is wished of the sitting of a wish. Of one that moved as somebody wished, and of which people were told
    there, that is the move; and nothing that was wished of the one in whose place it came."""
    from genplan.keeping.store import read_kept
    from genplan.keeping.wished_moves import arrived

    (named,) = wanted.sittings
    told = _sittings(read_kept(opened.folder, named.week, opened.case))
    came = {w: s.id for w, s in arrived(opened.case.wishes, told).items()}
    for one in opened.case.wishes:
        led_here = one.kind is WishKind.MOVE and came.get(one) == wanted.sitting
        of_it = one.kind is WishKind.HOLD or wanted.sitting not in came.values()
        if led_here or (of_it and _same_sitting(one, wanted)):
            yield one


def _same_sitting(there: PlannersWish, wanted: PlannersWish) -> bool:
    if not (there.kind in OF_A_SITTING and wanted.kind in OF_A_SITTING):
        return False
    return there != wanted and (there.sitting, there.at or wanted.at) == (wanted.sitting, wanted.at)


def _as_told(opened: Opened, wanted: PlannersWish) -> PlannersWish:
    """The wish with when its sitting was to begin. Raises UsageError for a sitting that nobody was told of, or that has
    begun."""
    from genplan.keeping.store import read_kept

    named = sitting_id(wanted.sitting)
    weeks = kept_ahead(opened.folder, opened.now)
    ahead = [s for w in weeks for s in _sittings(read_kept(opened.folder, w, opened.case))]
    told = next((s for s in ahead if s.id == wanted.sitting), None)
    if told is None:
        like = ahead[0].id if ahead else "2026-W49-tue-mum-3fa"
        hint = nearest(wanted.sitting, [s.id for s in ahead])
        hint = capital(hint) or _(
            "An id has the week, the day, the adult and a sign for the child, such as {like}.", like=like
        )
        what = (
            _("the id of no sitting")
            if named is None
            else _("no sitting that people were told of and that is ahead")
        )
        raise UsageError(
            _(
                "'{sitting}' is {what}. {hint} Nothing was added.",
                sitting=wanted.sitting,
                what=what,
                hint=hint,
            )
        )
    if told.start < opened.now:
        raise UsageError(
            _(
                "{sitting} has begun, so nothing can be wished of it any more. Nothing was added.",
                sitting=told.id,
            )
        )
    if wanted.kind is WishKind.MOVE and _is_there_already(told, wanted):
        raise UsageError(
            _(
                "{sitting} is there at that time already, so there is nothing to move. Nothing was added: give another "
                "time, or wish that it stays as it is.",
                sitting=told.id,
            )
        )
    return replace(wanted, at=told.start.replace(tzinfo=None))


def _is_there_already(told: Sitting, wanted: PlannersWish) -> bool:
    same = (wanted.start, wanted.adult or told.adult, wanted.location or told.location)
    return same == (told.start.replace(tzinfo=None), told.adult, told.location)


def _ahead(opened: Opened, wanted: PlannersWish) -> PlannersWish:
    """The wish, if it is not over; else raises UsageError."""
    ends = wanted.end or wanted.start
    if ends and ends <= opened.wall:
        raise UsageError(
            _(
                "It would end on {end}, and that is over, so it would change nothing. Give a later day.",
                end=long_moment(ends, ends=True),
            )
        )
    return wanted


def _sittings(kept: KeptWeek | None) -> Sequence[Sitting]:
    return kept.sittings if kept else ()


def about_wishes(opened: Opened) -> Iterator[Finding]:
    """A warning for each wish about a sitting that nobody was told of."""
    if not opened.case.wishes:
        return
    from genplan.keeping.store import read_kept

    ahead = kept_ahead(opened.folder, opened.now)
    for one in opened.case.wishes:
        named = sitting_id(one.sitting)
        if (
            one.kind not in (WishKind.HOLD, WishKind.MOVE)
            or named is None
            or named.week.sunday < opened.now.date()
        ):
            continue
        kept = read_kept(opened.folder, named.week, opened.case) if named.week in ahead else None
        told = _sittings(kept)
        if any(_names(one, s) for s in told) or _was_moved(one, kept):
            continue
        path = ("changes", str(one.number), one.kind.value)
        mark = opened.loaded.marks.get(path) or opened.loaded.marks[path[:2]]
        expected = _("a sitting that people were told of in week {week}", week=named.week)
        hint = (
            nearest(one.sitting, [s.id for s in told if s.id != one.sitting])
            if told
            else _("keep the week first: 'genplan keep'")
        )
        found = (
            _("'{sitting}' at {at:%H:%M}, of which nobody was told", sitting=one.sitting, at=one.at)
            if one.at
            else _("'{sitting}', of which nobody was told", sitting=one.sitting)
        )
        yield Finding(mark.file, mark.line, ".".join(path), found, expected, hint, Severity.WARNING)


def _was_moved(one: PlannersWish, kept: KeptWeek | None) -> bool:
    """Whether people were told of the move, and since then that it is cancelled: the wish was met."""
    called_off = (t.sitting for t in (kept.told if kept else ()) if t.cancelled)
    return one.kind is WishKind.MOVE and any(
        s.start.replace(tzinfo=None) == one.start and _names(one, s) for s in called_off
    )


def _names(one: PlannersWish, told: Sitting) -> bool:
    """Whether a told sitting is the one of a wish, or what it was moved to."""
    start, named = told.start.replace(tzinfo=None), sitting_id(one.sitting)
    if one.kind is WishKind.MOVE and start == one.start:
        return named is not None and told.adult == (one.adult or named.adult)
    return told.id == one.sitting if one.at is None else start == one.at
