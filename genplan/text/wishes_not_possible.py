"""Why nothing of what is wanted before the rest is possible, and from which day it is, without a full stop."""

from __future__ import annotations

from genplan.case import Case
from genplan.coverage.wishes_not_possible import WishNotPossible
from genplan.language import _
from genplan.language.dates import date_words
from genplan.text.obstacles import obstacle_text


def wish_not_possible_text(case: Case, found: WishNotPossible) -> str:
    why = obstacle_text(case, found.why)
    if found.possible_from is None:
        return _("not possible as the case stands: {why}", why=why)
    day = date_words(found.possible_from)
    return _("not possible before {day}, by the child's age: {why}", day=day, why=why)
