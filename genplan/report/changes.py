"""What a new plan changes for people, person by person in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from genplan.case import Case
from genplan.keeping.differences import Change, Difference
from genplan.plan import Sitting
from genplan.report.text import clock, counted
from genplan.report.wording import Names, day_words, hours

NOTHING = "Nothing changes for anybody."


def changes_summary(case: Case, differences: Sequence[Difference]) -> str:
    """A heading for each person who has to be told something, adults first, and a line for each change."""
    return "\n".join(change_lines(case, differences)) + "\n"


def change_lines(case: Case, differences: Sequence[Difference]) -> tuple[str, ...]:
    """The lines of it, an empty one between two people. Learners are called by their aliases."""
    if not differences:
        return (NOTHING,)
    names, lines = Names(case), list[str]()
    for adult in sorted({d.sitting.adult for d in differences}):
        own = [d for d in differences if d.sitting.adult == adult]
        lines += _person(
            names.adult(adult), [_line(names, d, f"with {names.learner(d.sitting.learner)}") for d in own]
        )
    for learner in sorted({d.sitting.learner for d in differences}):
        own = [d for d in differences if d.sitting.learner == learner]
        lines += _person(
            names.learner(learner), [_line(names, d, f"with {names.adult(d.sitting.adult)}") for d in own]
        )
    return tuple(lines[:-1])


def _person(name: str, lines: Sequence[str]) -> list[str]:
    return [name, *(f"  {line}" for line in lines), ""]


def _line(names: Names, difference: Difference, whom: str) -> str:
    before, after = difference.before, difference.after
    if before is None and after is not None:
        return f"- New: {_when(after)}, {whom} at {names.location(after.location)}: {_probes(names, after)}."
    if after is None and before is not None:
        return f"- Dropped: {_when(before)}, {whom} at {names.location(before.location)}."
    assert before is not None
    assert after is not None
    if difference.change is Change.CONTENT:
        return (
            f"- Other probes: {_when(after)}, {whom} at {names.location(after.location)}:"
            f" now {_probes(names, after)}."
        )
    return f"- Moved: {whom}, {'; '.join(_moves(names, before, after))}."


def _moves(names: Names, before: Sitting, after: Sitting) -> Iterator[str]:
    if before.start == after.start and before.end != after.end:
        times = f"until {clock(after.end)} rather than {clock(before.end)}"
        yield f"{day_words(after.start.date())} from {clock(after.start)}, {times}"
    elif before.start != after.start:
        yield f"from {_when(before)} to {_when(after)}"
    else:
        yield f"{_when(after)} as before"
    if before.location != after.location:
        yield f"now at {names.location(after.location)}, not at {names.location(before.location)}"
    if [(p.target, p.combination) for p in before.probes] != [
        (p.target, p.combination) for p in after.probes
    ]:
        yield f"now {_probes(names, after)}"


def _when(sitting: Sitting) -> str:
    return f"{day_words(sitting.start.date())}, {hours(sitting)}"


def _probes(names: Names, sitting: Sitting) -> str:
    told = ", ".join(names.target(p.target) for p in sitting.probes)
    return f"{counted(len(sitting.probes), 'probe')} ({told})"
