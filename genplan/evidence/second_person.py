"""What looks wrong of what a second person is said to have seen."""

from __future__ import annotations

from collections.abc import Iterator

from genplan.case import Target
from genplan.evidence.log import Result
from genplan.evidence.procedure import STEPS_KEPT, as_written
from genplan.language import _


def about_the_second_person(target: Target, result: Result) -> Iterator[tuple[str, ...]]:
    """Key, what was found, what was expected and perhaps a hint, for each thing that is odd in a row."""
    if (result.steps_kept or result.observer_marks) and not result.observer:
        yield "observer", _("an empty cell"), _("who marked the steps or counted too")
    if result.is_watched_by_itself:
        found = _("'{observer}', who ran it", observer=result.observer)
        hint = _("nobody else is taken to have counted; if somebody did, write who")
        yield "observer", found, _("a second person, or an empty cell"), hint
    if result.steps_kept and result.steps_kept[1] > len(target.steps):
        has = _("{number} 'steps'", number=len(target.steps)) if target.steps else _("no 'steps'")
        hint = _("look whether it is the right target; if its steps were others then, all is well")
        yield (
            STEPS_KEPT,
            _(
                "{kept}, and '{target}' has {has}",
                kept=as_written(result.steps_kept),
                target=target.id,
                has=has,
            ),
            _("no more than it has"),
            hint,
        )
