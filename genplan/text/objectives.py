"""What each objective counts, in English."""

from __future__ import annotations

from collections.abc import Mapping

from genplan.language import ngettext
from genplan.plan import Objective, ObjectiveName

LOOKING_BACK = (ObjectiveName.SHARES, ObjectiveName.LOADS)
"""What counts the weeks before as well, where fairness looks back."""


def objective_words(objective: Objective, tuples: str = "tuples", weeks_before: int = 0) -> str:
    """Without a capital and a full stop; `tuples` is what these are called, `weeks_before` as far as fairness looks
    back."""
    words = _WORDS[objective.name].format(tuples=tuples)
    if not weeks_before or objective.name not in LOOKING_BACK:
        return words
    return f"{words}, {looking_back_words(weeks_before)}"


def looking_back_words(weeks_before: int) -> str:
    return ngettext("with what the week before gave", "with what the {n} weeks before gave", weeks_before)


_WORDS: Mapping[str, str] = {
    "people told": "people who have to be told of a sitting that is new, cancelled or changed",
    "otherwise": "sittings that people were told of and that are cancelled or changed",
    "told": "of what people were told: sittings that stay, twice, probes that stay, sittings in which all stays, twice",
    "rather": "sittings that somebody would rather have, with that adult in those hours",
    "due": "maintenance probes and retests that are due, an overdue one counted twice",
    "dated": "wished {tuples} whose last chance before their date is this week",
    "teaching": "teachings that are owed; one after which a combination may be probed again counts twice",
    "wished": "{tuples} shown that are wanted before the rest",
    "shares": "share of its possible new {tuples}, for the learner worst off",
    "new tuples": "{tuples} shown for the first time, weighted by needs",
    "changes": "changes beyond one from what was met, over the new probes",
    "further probes": "further probes that later weeks need to finish",
    "fell through": "of what was planned before and not run, what could be run and is not planned",
    "sittings": "sittings, and each person's places on a day beyond the first",
    "probes": "probes, none that shows nothing",
    "catch up": (
        "wished {tuples} with their last chance this week that are not shown while another day is left for them"
    ),
    "loads": "tenths of their time that the most burdened adult is asked for",
    "spread": "probes of each learner's fullest day, added up",
    "waiting": "days after Monday on which something due is run",
    "early": "steps of the time grid after midnight, over all that is held",
}
"""By the objective's name, with a gap for what tuples are called."""

WORDS: Mapping[str, str] = {name: words.format(tuples="tuples") for name, words in _WORDS.items()}
