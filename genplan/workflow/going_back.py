"""The case as it was before a change."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Week
from genplan.errors import CaseError, UsageError
from genplan.language import _, and_list, ngettext
from genplan.workflow.opened_case import kept_ahead, wall_clock
from genplan.workflow.whole_change import all_locked, write_whole

if TYPE_CHECKING:
    from genplan.casefile.earlier import Renaming, State, Was


def earlier_states(folder: Path) -> tuple[State, ...]:
    """The latest first."""
    from genplan.casefile.earlier import states

    return states(folder)


@dataclass(frozen=True)
class WentBack:
    """`state`: the change that the case is before now. `planned`: the kept weeks that are not over and were planned
    with what is undone; `maybe`: those of which the minute leaves it open. `others`: what the changes were that came
    after it and went, too, the latest first."""

    state: State
    planned: tuple[Week, ...]
    maybe: tuple[Week, ...] = ()
    others: tuple[str, ...] = ()

    @property
    def sentences(self) -> tuple[str, ...]:
        return (*self._gone_too(), *self._of_planned(), *self._of_maybe())

    def _gone_too(self) -> Iterator[str]:
        if self.others:
            yield _("This went, too: {changes}.", changes="; ".join(self.others))

    def _of_planned(self) -> Iterator[str]:
        if self.planned:
            yield ngettext(
                "The week {weeks} was planned with what is undone now, and stays as it is: plan it again, so that "
                "people are told.",
                "The weeks {weeks} were planned with what is undone now, and stay as they are: plan them again, so "
                "that people are told.",
                len(self.planned),
                weeks=and_list([str(week) for week in self.planned]),
            )

    def _of_maybe(self) -> Iterator[str]:
        if self.maybe:
            yield ngettext(
                "The week {weeks} may have been planned with what is undone now, and stays as it is: if so, plan it "
                "again.",
                "The weeks {weeks} may have been planned with what is undone now, and stay as they are: if so, plan "
                "them again.",
                len(self.maybe),
                weeks=and_list([str(week) for week in self.maybe]),
            )


def go_back(folder: Path, number: int, now: datetime | None, *, cautions_too: bool = False) -> WentBack:
    """Makes the case what it was before a change; that can be undone, too. Results that were
    written down since stay. Raises UsageError for a state that is not kept any more, CautionsWouldGo where an allergy
    or another caution came since, unless those are to go, CaseError if results or kept weeks
    need what the case has now, FileError; everything is as it was then."""
    from genplan.casefile import load
    from genplan.casefile.earlier import as_it_was, states, undoable
    from genplan.workflow.cautions_lost import refuse_lost

    with all_locked(folder):
        state, files, back = as_it_was(folder, number)
        # before anything is written: what cannot be read is told while all is as it was
        otherwise = tuple(_planned_otherwise(folder, number, wall_clock(now)))
        others = tuple(later.words for later in states(folder) if later.number > number)
        before = load(folder).case

        def look() -> None:
            refuse_lost(before, load(folder).case, lambda lost: cautions_too, back, others=others)

        with undoable(folder, gone_back_words(state.words), wall_clock(now), back, locked=True):
            wanted = {**_with_ids_of_then(folder, back), **files}
            if not wanted:
                raise UsageError(_("The case is what it was then. Nothing was changed."))
            write_whole(folder, wanted, now, look)
    planned, maybe = (tuple(week for week, is_sure in otherwise if is_sure is sure) for sure in (True, False))
    return WentBack(state, planned, maybe, others)


def gone_back_words(words: str) -> str:
    """Of going back once more only what was gone back from first, however often."""
    before, after = _("went back to before “{words}”", words="\0").split("\0")
    first = words.removeprefix(before).removesuffix(after) if words.startswith(before) else words
    return _("went back to before “{words}”", words=first)


def _planned_otherwise(folder: Path, number: int, now: datetime) -> Iterator[tuple[Week, bool]]:
    """Kept weeks that are not over, for which the case was what it has been since the change of that number and will
    not be again, and whether that is sure: a change and a plan may be of one minute. What cannot be understood is told
    by whoever reads it next. Raises FileError."""
    from genplan.casefile import load
    from genplan.casefile.earlier import course
    from genplan.keeping.store import read_kept

    if not (case := load(folder).case):
        return
    times = course(folder)
    then = next(at for at, was in enumerate(times) if was.number == number)
    since = [was.files for was in times[:then]]
    for week in kept_ahead(folder, now):
        with suppress(CaseError):
            if kept := read_kept(folder, week, case):
                planned = [was.files for was in times if _holds(was, kept.kept.replace(tzinfo=None))]
                if any(files in since for files in planned):
                    yield week, times[then].files not in planned


def _holds(was: Was, moment: datetime) -> bool:
    """Whether the case was so at that moment, as far as its minute tells."""
    return (was.since is None or was.since <= moment) and (was.until is None or moment <= was.until)


def _with_ids_of_then(folder: Path, back: tuple[Renaming, ...]) -> dict[str, bytes | None]:
    """Results and kept weeks with the ids that the case has then; their rows stay."""
    from genplan.casefile import edit
    from genplan.casefile.renaming import Renaming
    from genplan.keeping.renaming import renamed_beside

    there = edit.things(folder).get("learners")
    learners = list(there) if isinstance(there, dict) else []
    held: dict[str, bytes] = {}
    for section, old, new in back:
        held |= renamed_beside(folder, Renaming(section, old, new, tuple(learners)), held)
        learners = [new if section == "learners" and i == old else i for i in learners]
    return dict(held)
