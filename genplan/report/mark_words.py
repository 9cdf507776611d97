"""What the marks of a page's targets can and cannot show, said once: `genplan chance` says it at length."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from genplan.case import PassMark, Target
from genplan.evidence.intervals import chance_of_meeting, clopper_pearson
from genplan.language import _, ngettext
from genplan.report.figure_words import percent
from genplan.report.names_and_words import Names


def mark_sentence(target: Target) -> str:
    """Beside a target: its own mark."""
    needed = target.pass_mark.needed(target.trials)
    return _(
        "A probe of {trials} is met with {needed} correct.",
        trials=ngettext("{n} trial", "{n} trials", target.trials),
        needed=needed,
    )


def mark_sentences(names: Names, targets: Iterable[Target]) -> Iterator[str]:
    """For each mark of a probe, and each criterion of mastery, what it is worth; each once, with the targets it is of.
    A trial is taken to be independent of the others."""
    probes: dict[tuple[int, int], list[str]] = defaultdict(list)
    criteria: dict[tuple[int, int], list[str]] = defaultdict(list)
    for target in targets:
        name = names.target(target.id)
        probes[target.pass_mark.needed(target.trials), target.trials].append(name)
        if target.criterion is not None:
            mark = target.criterion
            criteria[mark.needed(mark.trials), mark.trials].append(name)
    for (needed, trials), called in sorted(probes.items()):
        yield _(
            "A probe met with {needed} of {trials} ({called}): {worth}",
            needed=needed,
            trials=trials,
            called="; ".join(called),
            worth=_worth(needed, trials),
        )
    for (needed, trials), called in sorted(criteria.items()):
        yield _(
            "Mastery judged by {needed} of {trials} ({called}): {worth}",
            needed=needed,
            trials=trials,
            called="; ".join(called),
            worth=_worth(needed, trials),
        )


def _worth(needed: int, trials: int) -> str:
    mark = PassMark(needed, trials)
    passed, missed = chance_of_meeting(mark, 0.7), 1 - chance_of_meeting(mark, 0.9)
    least = percent(clopper_pearson(trials, trials).low)
    best = _("the one trial correct") if trials == 1 else _("all {trials} correct", trials=trials)
    never = _(" That every trial would be correct no number of trials can show.") if needed == trials else ""
    return _(
        "who is right in 70 % of trials reaches it {passed} of the time, who is right in 90 % misses it"
        " {missed} of the time. Even {best} goes with any true rate from {least} up (exact, 95 %).{never}",
        passed=percent(passed),
        missed=percent(missed),
        best=best,
        least=least,
        never=never,
    )
