"""What a new plan changes for people, person by person in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from genplan.case import Case, Week
from genplan.keeping.deeper import Deeper
from genplan.keeping.differences import Difference
from genplan.plan import ObjectiveName, Plan, Probe, Sitting
from genplan.report.names_and_words import (
    KIND_WORDS,
    Names,
    day_words,
    hours,
    long_date,
    number_words,
    probes_words,
    set_of,
)
from genplan.report.plain_characters import clock, counted, listed
from genplan.text.tuple_words import common_words

NOTHING = "Nothing changes for anybody."
FOLDER = "changes"
ALL_ELSE = "All else that you were told of this week stays as it is."
"""The last line of each file; by it `folders.py` knows such a file as ours."""
NAMED = (
    "The case has an id of its own from now on ('case_id', beside its 'format'), so that no other case's events are"
    " taken for these. Whoever took over a calendar of this plan before it was kept takes those events out."
)
"""Said once, when `keep` gave the case its id."""


def changes_summary(case: Case, differences: Sequence[Difference]) -> str:
    """A heading for each person who has to be told something, adults first, and a line for each change."""
    return "\n".join(change_lines(case, differences)) + "\n"


def told_lines(case: Case, plan: Plan) -> tuple[str, ...]:
    """How many people have to be told something, and what is proven of that; nothing where nobody has to."""
    if not plan.people_told:
        return ()
    names = Names(case)
    called = [
        names.adult(i) if kind == "adult" else bringer(names.learner(i)) for kind, i in plan.people_told
    ]
    least = next((o.bound for o in plan.objectives if o.name is ObjectiveName.PEOPLE), None)
    return (told_sentence(called, least),)


def bringer(child: str) -> str:
    """Who is told what changes for a child: a child of five is told nothing."""
    return f"whoever brings {child}"


def told_sentence(called: Sequence[str], least: float | None) -> str:
    """Who has to be told, for each child whoever brings it; `least` is how many are proven to be the fewest, where that
    was looked for."""
    people = "1 person has" if len(called) == 1 else f"{len(called)} people have"
    fewest = ""
    if least is not None:
        bound = "Fewer" if len(called) <= least else f"Fewer than {number_words(least)}"
        fewest = f" {bound} cannot be, with all that is due."
    # an alias may end in a full stop
    return f"{people} to be told ({listed(called, len(called))}).{fewest}"


def deeper_lines(case: Case, deeper: Deeper | None) -> tuple[str, ...]:
    """What the deeper search costs and brings."""
    if deeper is None:
        return ()
    word, words = common_words(case.mastered)
    figures = [
        f"{abs(n)} {'more' if n > 0 else 'fewer'} {one if abs(n) == 1 else many}"
        for n, one, many in (
            (deeper.people, "person told", "people told"),
            (deeper.rather, "sitting that was wished for", "sittings that were wished for"),
            (deeper.due, "check that is due", "checks that are due"),
            (deeper.wished, f"{word} wanted before the rest", f"{words} wanted before the rest"),
            (deeper.new, word, words),
            (deeper.teachings, "teaching", "teachings"),
            (deeper.observed, "probe with a second observer", "probes with a second observer"),
        )
        if n
    ]
    if not deeper.taken:
        return (
            "The deeper search found no week that shows more: this is the one with the fewest people told.",
        )
    return (f"The deeper search, against the week with the fewest people told: {', '.join(figures)}.",)


def change_lines(case: Case, differences: Sequence[Difference]) -> tuple[str, ...]:
    """The lines of it, an empty one between two people."""
    if not differences:
        return (NOTHING,)
    people = changes_of_people(case, differences)
    return tuple(
        line for person in people for line in ("", person.name, *(f"  - {change}" for change in person.lines))
    )[1:]


@dataclass(frozen=True)
class PersonChanges:
    """What has to be told to an adult, or to a learner's family.

    - `kind`: adult or learner
    - `id`, `name`: whose, and how that person is called where others read
    - `lines`: each change in a sentence"""

    kind: str
    id: str
    name: str
    lines: tuple[str, ...]

    @property
    def whom(self) -> str:
        """Who is told it."""
        return self.name if self.kind == "adult" else bringer(self.name)

    @property
    def file(self) -> str:
        """The file with what changes for this person, below the folder of results."""
        return f"{FOLDER}/{self.kind}-{self.id}.txt"


def changes_of_people(case: Case, differences: Sequence[Difference]) -> tuple[PersonChanges, ...]:
    """Each person who has to be told something, adults first. Learners are called by their aliases."""
    names = Names(case)
    adults = sorted({a for d in differences for a in d.adults})
    learners = sorted({d.sitting.learner for d in differences})
    return (
        *(
            PersonChanges(
                "adult",
                a,
                names.adult(a),
                tuple(_line_of_adult(names, d, a) for d in differences if a in d.adults),
            )
            for a in adults
        ),
        *(
            PersonChanges(
                "learner",
                i,
                names.learner(i),
                tuple(
                    _line(names, d, f"with {names.adult(d.sitting.adult)}")
                    for d in differences
                    if d.sitting.learner == i
                ),
            )
            for i in learners
        ),
    )


def change_texts(
    case: Case, week: Week, now: datetime, differences: Sequence[Difference]
) -> dict[str, bytes]:
    """A file for each person who has to be told something, ready to send: plain text, and no word of what does not
    concern that person."""
    return {p.file: _text(case, week, now, p).encode() for p in changes_of_people(case, differences)}


def _text(case: Case, week: Week, now: datetime, person: PersonChanges) -> str:
    head = f"What changes in the week from {day_words(week.monday)} to {long_date(week.sunday)} for {person.name}"
    return "\n".join(
        (
            head,
            f"As of {day_words(now.date())}, {clock(now)}; times of {case.timezone}",
            "",
            *(f"- {line}" for line in person.lines),
            "",
            ALL_ELSE,
            "",
        )
    )


def _line_of_adult(names: Names, difference: Difference, adult: str) -> str:
    """What changes for one adult, who runs the sitting, or sits, sat or was to sit beside."""
    before, after, learner = difference.before, difference.after, names.learner(difference.sitting.learner)
    if difference.sitting.adult == adult:
        return _line(names, difference, f"with {learner}")
    whom = f"beside {names.adult(difference.sitting.adult)} with {learner}"
    was = before is not None and before.beside == adult
    is_now = after is not None and after.beside == adult
    if was and is_now:
        return _line(names, difference, whom)
    side = before if was else after
    assert side is not None
    what = f"{_when(side)}, {whom} at {names.location(side.location)}"
    return f"Cancelled: {what}." if was else f"New: {what}: {names.beside(side)}."


def _line(names: Names, difference: Difference, whom: str) -> str:
    before, after = difference.before, difference.after
    now = difference.sitting
    meeting = f"{_when(now)}, {whom} at {names.location(now.location)}"
    if before is None:
        return ". ".join([f"New: {meeting}: {_probes(names, now)}", *_beside(names, None, now)]) + "."
    if after is None:
        return f"Cancelled: {meeting}."
    parts = [f"{_what(before, after)}: {meeting}", *_before(names, before, after)]
    return ". ".join([*parts, *_other_probes(names, before, after), *_beside(names, before, after)]) + "."


def _what(before: Sitting, after: Sitting) -> str:
    if before.start != after.start:
        return "Moved"
    if before.location != after.location:
        return "Another place"
    if before.end != after.end:
        return "Longer" if before.end < after.end else "Shorter"
    return _other(before, after) if before.probes != after.probes else "Another beside"


def _other(before: Sitting, after: Sitting) -> str:
    """Which of the things in it are others now."""
    old, new = (Counter(replace(p, new_tuples=0) for p in s.probes) for s in (before, after))
    changed = {p.kind.is_probe for p in (old - new) + (new - old)}
    both = changed == {True, False}
    return (
        "Other probes and teachings" if both else "Other teachings" if changed == {False} else "Other probes"
    )


def _before(names: Names, before: Sitting, after: Sitting) -> Iterator[str]:
    """How it was until now, as far as it is otherwise."""
    was = []
    if before.start != after.start:
        was.append(_when(before))
    elif before.end != after.end:
        was.append(f"until {clock(before.end)}")
    if before.location != after.location:
        was.append(f"at {names.location(before.location)}")
    if was:
        yield f"Before: {', '.join(was)}"


def _other_probes(names: Names, before: Sitting, after: Sitting) -> Iterator[str]:
    """What is run besides, and what no more; a material set is part of it, since somebody has to bring it."""
    if (old := _named(names, before)) == (new := _named(names, after)):
        old, new = _named(names, before, fully=True), _named(names, after, fully=True)
    if more := [p for p in new if p not in old]:
        yield f"Now also: {'; '.join(more)}"
    if less := [p for p in old if p not in new]:
        yield f"No longer: {'; '.join(less)}"
    if old != new and not (more or less):
        yield f"In this order now: {'; '.join(new)}"


def _beside(names: Names, before: Sitting | None, after: Sitting) -> Iterator[str]:
    """Who sits beside now, and who no more."""
    old, new = names.beside(before) if before else "", names.beside(after)
    if new != old and new:
        yield new
    if new != old and before and before.beside and before.beside != after.beside:
        yield f"{names.adult(before.beside)} is not beside any more"


def _named(names: Names, sitting: Sitting, fully: bool = False) -> list[str]:
    return [_probe(names, p, fully) for p in sitting.probes]


def _probe(names: Names, probe: Probe, fully: bool) -> str:
    target = names.case.targets.get(probe.target)
    if target is None:
        return names.target(probe.target)
    with_ = [names.material_set(set_of(names.case, probe))]
    with_ += [value for _, value in names.extras(target, probe.combination)]
    if fully or not probe.kind.is_probe:
        with_.append(KIND_WORDS[probe.kind])
    if fully:
        with_.append(counted(probe.trials, "trial"))
    return f"{names.target(target.id)} ({', '.join(with_)})"


def _when(sitting: Sitting) -> str:
    return f"{day_words(sitting.start.date())}, {hours(sitting)}"


def _probes(names: Names, sitting: Sitting) -> str:
    told = ", ".join(names.target(p.target) for p in sitting.probes)
    return f"{probes_words(sitting.probes)} ({told})"
