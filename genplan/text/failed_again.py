"""What was taught and was not met again, in words: what the program does with it, and whom to ask."""

from __future__ import annotations

from datetime import date

from genplan.case import Case
from genplan.evidence.failed_again import FailedAgain
from genplan.language import _, ngettext
from genplan.language.dates import date_words
from genplan.text.held_back import held_back_text
from genplan.text.target_names import target_named
from genplan.text.tuple_words import combination_words


def failed_again_text(case: Case, found: FailedAgain, on: date | None = None) -> str:
    """What was run and what follows, as of the day `on`; without one it is known not to be held back. The program
    prescribes nothing: the next probe comes as after any failure."""
    target = case.targets[found.target]
    what = ngettext(
        "{skill} was taught, and was not met again on {day} ({where}: {correct} of {trials}).",
        "{skill} was taught, and was not met again {n} times in a row, the last on {day} ({where}: {correct} of"
        " {trials}).",
        found.times,
        skill=target_named(case, target.id),
        day=date_words(found.on),
        where=combination_words(case, target, found.combination),
        correct=found.correct,
        trials=found.trials,
    )
    return f"{what} {what_follows(case, found, on)}"


def what_follows(case: Case, found: FailedAgain, on: date | None) -> str:
    """What the program does with it, and whom to ask."""
    if on and (held := held_back_text(case, case.targets[found.target], found.combination, on)):
        then = held
    elif found.taught_since:
        then = _("It was taught once more, so it is probed again.")
    else:
        then = _("It is probed again once it has been taught again.")
    ask = _("Ask the practitioner in charge whether to go on like this.")
    return f"{then} {ask}"
