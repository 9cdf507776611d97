"""What a plan tells of the wishes of whoever plans the weeks, held against its sittings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from hashlib import sha256

from genplan.audit.context import DAY, AuditContext, name
from genplan.case.wishes_of_planners import PlannersWish
from genplan.evidence.log import ResultKind
from genplan.plan import Sitting, WishAnswer

NAMES = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def wishes_are_answered(matter: AuditContext) -> Iterator[str]:
    """Each wish for the week is answered once, and no other."""
    asked = Counter(_key(w) for w in matter.case.wishes if _is_for(matter, w))
    told = Counter(_key(a.wish) for a in matter.plan.wishes)
    for key in sorted((asked - told).keys() | (told - asked).keys()):
        yield f"Wish {key}: it is there {asked[key]} times, and answered {told[key]} times."


def what_is_kept_is_kept(matter: AuditContext) -> Iterator[str]:
    for answer in matter.plan.wishes:
        if answer.kept and (wrong := _missing(matter, answer)):
            yield f"Wish {_key(answer.wish)}: it is told as kept, and {wrong}."


def what_is_apart_is_apart(matter: AuditContext) -> Iterator[str]:
    """Of two things that are told as kept apart no day has both."""
    for answer in matter.plan.wishes:
        if not answer.kept or answer.wish.kind.value != "apart":
            continue
        one, other = answer.wish.two
        days: dict[date, list[list[Sitting]]] = {}
        for s in matter.by_time:
            if _covers(answer.wish, s.start.date()):
                both = days.setdefault(s.start.date(), [[], []])
                both[0] += [s] if _is_of(matter, one, s) else []
                both[1] += [s] if _is_of(matter, other, s) else []
        for first, second in days.values():
            same = _pair(matter, one) == _pair(matter, other) is not None
            together = len(first) > 1 if same else bool(first and second)
            if together and not all(s.begun for s in (*first, *second)):
                yield f"{name(first[-1])}: it is wished apart from {second[0].id}."


def rather_held(matter: AuditContext) -> float:
    """Wishes for another adult that a sitting of the search keeps, of those that no other sitting does."""
    settled = [s for s in matter.by_time if s.begun]
    asked = [a.wish for a in matter.plan.wishes if a.wish.kind.value == "rather"]
    return sum(
        any(_is_rather(w, s) for s in matter.new) for w in asked if not any(_is_rather(w, s) for s in settled)
    )


def unwished(matter: AuditContext, learner: str, adult: str) -> bytearray:
    """One byte for each minute of the week: 0 where a kept wish has no sitting of the two."""
    free = bytearray(b"\x01" * (7 * DAY))
    for answer in matter.plan.wishes:
        named = _meant(answer.wish.sitting)
        if not answer.kept or answer.wish.kind.value not in ("not", "move") or named is None:
            continue
        if _pair(matter, answer.wish.sitting) != (adult, learner):
            continue
        told = _family(matter, answer.wish.sitting, matter.kept)
        if answer.wish in _came(matter)[0]:
            continue
        others = [s for s in told if not _is_meant(matter, answer.wish, s)]
        _close(matter, free, NAMES.index(named[1]), others)
    for off in _written_off(matter):
        if (off.adult, off.learner) == (adult, learner):
            _close(matter, free, int(matter.minute(off.start)) // DAY, _beside(matter, off))
    return free


def _close(matter: AuditContext, free: bytearray, day: int, others: list[Sitting]) -> None:
    """0 for each minute of the day of the week in which none of the others is."""
    spans = [(int(matter.minute(s.start)), int(matter.minute(s.end))) for s in others]
    for minute in range(day * DAY, (day + 1) * DAY):
        if not any(start <= minute < end for start, end in spans):
            free[minute] = 0


def what_was_written_off_is_not_held(matter: AuditContext) -> Iterator[str]:
    """Where a told sitting is written down as not run beforehand, the two meet that day only as else told, or as
    somebody decided."""
    for off in _written_off(matter):
        told = _beside(matter, off)
        for s in matter.new:
            same = (s.learner, s.adult, s.start.date()) == (off.learner, off.adult, off.start.date())
            as_told = any(o.start <= s.start and s.end <= o.end for o in told)
            if same and not as_told and s.id not in matter.plan.decided:
                yield f"{name(s)}: {off.id} of that day was written down as not run."


def _written_off(matter: AuditContext) -> tuple[Sitting, ...]:
    """Told sittings ahead of which rows say that none of it is run: it is asked of each pair of people."""
    key = "written off"
    if key not in matter.found:
        matter.found[key] = tuple(_find_written_off(matter))
    found: tuple[Sitting, ...] = matter.found[key]
    return found


def _find_written_off(matter: AuditContext) -> Iterator[Sitting]:
    for s in matter.kept:
        if s.start < matter.plan.now:
            continue
        runs, off = 0, 0
        for p in s.probes:
            this = False
            for r in matter.log.of_target(p.target):
                if r.date != s.start.date() or r.combination != p.combination or r.planned:
                    continue
                if r.kind is not ResultKind.NOT_RUN:
                    runs += 1
                elif r.time is None or s.start.time() <= r.time <= (s.end - timedelta(minutes=1)).time():
                    this = True
            off += this
        if not runs and off == len(s.probes):
            yield s


def _beside(matter: AuditContext, off: Sitting) -> list[Sitting]:
    """What else the two were told of that day."""
    day = off.learner, off.adult, off.start.date()
    return [s for s in matter.kept if s != off and (s.learner, s.adult, s.start.date()) == day]


def _missing(matter: AuditContext, answer: WishAnswer) -> str:
    """What a kept wish lacks; empty if nothing."""
    wish, kind = answer.wish, answer.wish.kind.value
    by = next((s for s in matter.by_time if s.id == answer.sitting), None)
    if kind in ("hold", "move", "add", "rather") and by is None:
        return f"there is no sitting '{answer.sitting}'"
    if kind == "hold" and by:
        told = [s for s in _family(matter, wish.sitting, matter.kept) if _is_meant(matter, wish, s)]
        return "" if any(_content(s) == _content(by) for s in told) else f"{by.id} is not as it was told"
    if kind == "move" and by:
        adult = wish.adult or (_meant(wish.sitting) or ("", "", "", ""))[2]
        at = by.adult == adult and by.start.replace(tzinfo=None) == wish.start
        left = [
            s
            for s in _family(matter, wish.sitting, matter.new)
            if s.id != by.id and _is_barred(matter, wish, s)
        ]
        if not at or (wish.location and by.location != wish.location):
            return f"{by.id} is not where it was moved to"
        return f"{left[0].id} is there too" if left and wish not in _came(matter)[0] else ""
    if kind == "add" and by:
        return "" if _has_added(wish, by) else f"{by.id} is another sitting"
    if kind == "rather" and by:
        return "" if _is_rather(wish, by) else f"{by.id} is another sitting"
    if kind == "not":
        there = [s for s in _family(matter, wish.sitting, matter.new) if _is_barred(matter, wish, s)]
        return f"{there[0].id} is there" if there else ""
    return ""


def _is_barred(matter: AuditContext, wish: PlannersWish, s: Sitting) -> bool:
    """Whether a sitting of the day lies outside what else was told of that day, learner and adult; what somebody
    decided only where it is in the very place of the one that is not to be; where that moves away, one that moves there
    may be."""
    if s.id in matter.plan.decided:
        if wish.kind.value == "move" and s.id in {
            a.sitting for a in matter.plan.wishes if a.kept and a.wish.kind.value == "move"
        }:
            return False
        return any(_is_meant(matter, wish, o) and _place(o) == _place(s) for o in matter.kept)
    others = [o for o in _family(matter, wish.sitting, matter.kept) if not _is_meant(matter, wish, o)]
    return not any(o.start <= s.start and s.end <= o.end for o in others)


def _place(s: Sitting) -> tuple[object, ...]:
    return s.learner, s.adult, s.location, s.start


def _is_meant(matter: AuditContext, wish: PlannersWish, s: Sitting) -> bool:
    """Not what was moved there before and told so, unless it is to stay."""
    return _is_named(wish, s) and (wish.kind.value == "hold" or s not in _came(matter)[1])


def _came(matter: AuditContext) -> tuple[list[PlannersWish], list[Sitting]]:
    """Moves that people were told of before, and where these led: something was told there, and where it came from
    nothing was, or only what had moved there itself, or was put in there by hand."""
    done: list[PlannersWish] = []
    by_hand = [a.wish for a in matter.plan.wishes if a.wish.kind.value == "add"]
    came = [s for s in matter.kept if any(_has_added(w, s) for w in by_hand)]
    left = [a.wish for a in matter.plan.wishes if a.wish.kind.value == "move"]
    for _ in range(len(left)):
        for wish in left:
            named = _meant(wish.sitting) or ("", "", "", "")
            before = [s for s in _family(matter, wish.sitting, matter.kept) if _is_named(wish, s)]
            place = named[3], wish.adult or named[2], wish.start
            there = [
                s
                for s in matter.kept
                if (_sign(s.learner), s.adult, s.start.replace(tzinfo=None)) == place
                and wish.location in ("", s.location)
            ]
            led = (
                bool(there)
                and there != before
                and (_is_known(wish, there[0]) or all(s in came for s in before))
            )
            if wish not in done and led:
                done.append(wish)
                came.append(there[0])
    return done, came


def _is_known(wish: PlannersWish, there: Sitting) -> bool:
    """Whether the sitting is written down as the one that moved from there."""
    if not there.moved_from:
        return False
    id_, start = there.moved_from
    return start.replace(tzinfo=None) == wish.at if wish.at else id_ == wish.sitting


def _is_named(wish: PlannersWish, s: Sitting) -> bool:
    return s.start.replace(tzinfo=None) == wish.at if wish.at else s.id == wish.sitting


def _has_added(wish: PlannersWish, s: Sitting) -> bool:
    """The values of a combination stand in the order adult, location, set and further ones."""
    if (s.learner, s.adult, s.location) != (wish.learner, wish.adult, wish.location):
        return False
    wanted = set(dict(wish.values).values())
    held = any(p.target == wish.target and wanted <= set(p.combination) for p in s.probes)
    return held and s.start.replace(tzinfo=None) == wish.start


def _is_rather(wish: PlannersWish, s: Sitting) -> bool:
    start, end = s.start.replace(tzinfo=None), s.end.replace(tzinfo=None)
    if wish.start is None or wish.end is None or (s.learner, s.adult) != (wish.learner, wish.adult):
        return False
    return wish.start <= start and end <= wish.end


def _content(s: Sitting) -> tuple[object, ...]:
    probes = frozenset((p.target, p.combination, p.kind.is_probe) for p in s.probes)
    return s.learner, s.adult, s.location, s.start, probes


def _meant(text: str) -> tuple[str, str, str, str] | None:
    """Week, day, adult and sign of a sitting's id, or None for another text."""
    parts = text.split("-")
    if len(parts) > 4 and len(parts[-1]) == 1:
        parts = parts[:-1]
    if len(parts) < 5 or parts[2] not in NAMES:
        return None
    return "-".join(parts[:2]), parts[2], "-".join(parts[3:-1]), parts[-1]


def _sign(learner: str) -> str:
    return sha256(learner.encode()).hexdigest()[:3]


def _pair(matter: AuditContext, text: str) -> tuple[str, str] | None:
    """The adult and the learner of a sitting's id, or None for a target. Of learners with one sign it is the one who
    was told that sitting, or else one of that day and adult."""
    named = _meant(text) if text not in matter.case.targets else None
    if named is None:
        return None
    learners = [i for i in matter.case.learners if _sign(i) == named[3]]
    told = [s for s in matter.kept if s.learner in learners and _meant(s.id) == named]
    told.sort(key=lambda s: s.id != text)
    return named[2], told[0].learner if told else learners[0]


def _family(matter: AuditContext, text: str, sittings: tuple[Sitting, ...]) -> list[Sitting]:
    """The sittings of the day, adult and learner of an id."""
    named = _meant(text)
    pair = _pair(matter, text)
    if named is None or pair is None:
        return []
    return [s for s in sittings if (NAMES[s.start.weekday()], s.adult, s.learner) == (named[1], *pair)]


def _is_of(matter: AuditContext, text: str, s: Sitting) -> bool:
    pair = _pair(matter, text)
    if pair is None:
        return any(p.target == text for p in s.probes)
    return (s.adult, s.learner) == pair


def _covers(wish: PlannersWish, day: date) -> bool:
    if wish.start is None or wish.end is None:
        return True
    return (
        wish.start < datetime.combine(day, time()) + timedelta(days=1)
        and datetime.combine(day, time()) < wish.end
    )


def _is_for(matter: AuditContext, wish: PlannersWish) -> bool:
    """Whether a wish is for the week of the plan."""
    week = str(matter.plan.week)
    named = [
        m for text in (wish.sitting, *wish.two) if (m := _meant(text)) and text not in matter.case.targets
    ]
    if named:
        return all(m[0] == week for m in named)
    if wish.start is None:
        return True
    days = [matter.monday.date() + timedelta(days=n) for n in range(7)]
    if wish.end is None:
        return wish.start.date() in days
    return any(_covers(wish, day) for day in days)


def _key(wish: PlannersWish) -> str:
    said = [wish.sitting, wish.learner, wish.adult, wish.location, wish.target, *wish.two]
    moments = [m.isoformat() for m in (wish.at, wish.start, wish.end) if m]
    values = [f"{n}={v}" for n, v in wish.values]
    return " ".join((wish.kind.value, *filter(None, said), *values, *moments, wish.note)).strip()


WISHES = (
    wishes_are_answered,
    what_is_kept_is_kept,
    what_is_apart_is_apart,
    what_was_written_off_is_not_held,
)
