"""What each objective counts, in words."""

from __future__ import annotations

from collections.abc import Mapping

from genplan.language import N_, _, ngettext, said
from genplan.language.numbers import number_words
from genplan.plan import Objective, ObjectiveName

BY_TERM = N_("wished {tuples} whose turn is this week by the term")
LOOKING_BACK = (ObjectiveName.SHARES, ObjectiveName.LOADS)
"""What counts the weeks before as well, where fairness looks back."""


def objective_words(
    objective: Objective, tuples: str = "", *, by_term: bool = False, weeks_before: int = 0
) -> str:
    """Without a capital and a full stop; `tuples` is what these are called, if not tuples. `by_term`: the week follows
    a term; `weeks_before`: as far as fairness looks back."""
    of_term = by_term and objective.name == ObjectiveName.DATED
    words = said(BY_TERM if of_term else _WORDS[objective.name], tuples=tuples or _("tuples"))
    if not weeks_before or objective.name not in LOOKING_BACK:
        return words
    return f"{words}, {looking_back_words(weeks_before)}"


def objective_figure(objective: Objective, figure: float) -> str:
    """Its value or bound; a share as a percentage: of a bare 1 nobody knows what it is one of."""
    if objective.name != ObjectiveName.SHARES:
        return number_words(figure)
    return _("{percent} %", percent=number_words(round(100 * figure, 1)))


def looking_back_words(weeks_before: int) -> str:
    return ngettext("with what the week before gave", "with what the {n} weeks before gave", weeks_before)


def waited_words(more: int) -> str:
    """Of a week beside another: how much longer what it teaches has waited; less than 0: less long."""
    if more < 0:
        return ngettext(
            "{n} week of waiting less is made up for",
            "{n} weeks of waiting less are made up for",
            -more,
        )
    return ngettext(
        "{n} week of waiting more is made up for",
        "{n} weeks of waiting more are made up for",
        more,
    )


_WORDS: Mapping[str, str] = {
    "people told": N_("people who have to be told of a sitting that is new, cancelled or changed"),
    "otherwise": N_(
        "sittings that people were told of and that are cancelled or changed, second observers aside"
    ),
    "told": N_(
        "of what people were told: sittings that stay, twice, probes that stay, sittings in which all stays, twice"
    ),
    "rather": N_("sittings that somebody would rather have, with that adult in those hours"),
    "due": N_("maintenance probes and retests that are due, an overdue one counted twice"),
    "dated": N_("wished {tuples} whose last chance before their date is this week"),
    "teaching": N_("teachings that are owed; one after which a combination may be probed again counts twice"),
    "waited": N_("whole weeks that what is taught has waited for it, added up"),
    "wished": N_("{tuples} shown that are wanted before the rest"),
    "shares": N_("share of its possible new {tuples}, for the learner worst off"),
    "new tuples": N_("{tuples} shown for the first time, weighted by needs"),
    "changes": N_("changes beyond one from what was met, over the new probes"),
    "further probes": N_("further probes that later weeks need to finish"),
    "fell through": N_("of what was planned before and not run, what could be run and is not planned"),
    "sittings": N_("sittings, and each person's places on a day beyond the first"),
    "probes": N_("probes, none that shows nothing"),
    "catch up": (
        N_(
            "wished {tuples} with their last chance this week that are not shown while another day is left for them"
        )
    ),
    "loads": N_("tenths of their time that the most burdened adult is asked for"),
    "spread": N_("probes of each learner's fullest day, added up"),
    "waiting": N_("days after Monday on which something due is run"),
    "early": N_("steps of the time grid after midnight, over all that is held"),
}
"""By the objective's name, with a gap for what tuples are called."""

WORDS: Mapping[str, str] = {name: words.format(tuples="tuples") for name, words in _WORDS.items()}
