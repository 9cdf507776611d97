"""The case as it was before a change."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.errors import UsageError
from genplan.language import _
from genplan.workflow.opened_case import wall_clock
from genplan.workflow.whole_change import all_locked, write_whole

if TYPE_CHECKING:
    from genplan.casefile.earlier import Renaming, State


def earlier_states(folder: Path) -> tuple[State, ...]:
    """The latest first."""
    from genplan.casefile.earlier import states

    return states(folder)


def go_back(folder: Path, number: int, now: datetime | None) -> State:
    """Makes the case what it was before a change, which is returned; that can be undone, too. Results that were
    written down since stay. Raises UsageError for a state that is not kept any more, CaseError if results or kept weeks
    need what the case has now, FileError; everything is as it was then."""
    from genplan.casefile.earlier import as_it_was, undoable

    with all_locked(folder):
        state, files, back = as_it_was(folder, number)
        with undoable(
            folder, _("gone back to before: {words}", words=state.words), wall_clock(now), back, locked=True
        ):
            wanted = {**_with_ids_of_then(folder, back), **files}
            if not wanted:
                raise UsageError(_("The case is what it was then. Nothing was changed."))
            write_whole(folder, wanted, now)
    return state


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
