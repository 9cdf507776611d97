"""What people were told of and is called off, in the words of the telling. Why is nobody else's matter."""

from __future__ import annotations

from genplan.language import _
from genplan.plan import Sitting
from genplan.report.names_and_words import Names, day_words, hours


def called_off_words(names: Names, sitting: Sitting, adult: str = "") -> str:
    """`Thursday 3 December, 15:00 to 15:20, with L.`, said to an adult who was to be there; without one with whom the
    child was to meet."""
    if adult == sitting.adult:
        whom = _("with {learner}", learner=names.learner(sitting.learner))
    elif adult:
        learner = names.learner(sitting.learner)
        whom = _("beside {adult} with {learner}", adult=names.adult(sitting.adult), learner=learner)
    else:
        whom = _("with {adult}", adult=names.adult(sitting.adult))
    return f"{day_words(sitting.start.date())}, {hours(sitting)}, {whom}"
