"""The forecast as lines of plain text for a terminal: dates, then each learner, then what is taken for granted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from genplan.case import Case
from genplan.forecast import Forecast, TargetForecast, Verdict
from genplan.language import N_, _, ngettext, said
from genplan.language.sentences import capital
from genplan.report.folded_lines import folded, section
from genplan.report.forecast_assumptions import assumption_sentences
from genplan.report.forecast_words import (
    nothing_to_try,
    target_sentences,
    verdict_words,
    wish_sentence,
)
from genplan.report.names_and_words import Names, clean, day_words, long_date
from genplan.report.plain_characters import as_read, in_order
from genplan.report.term_words import still_taught_sentence

DATES = N_(
    "'Tried in time': all that is wanted was tried by the date, met or not, in at least 9 of 10 simulated courses; 'not"
    " tried in time': in fewer than 1 of 10; 'at risk': between the two. 'All met' is the share of the courses in which"
    " all of it was met too."
)


def forecast_lines(case: Case, forecast: Forecast, width: int | None = None) -> Iterator[str]:
    """All of it. `width` is the terminal's; None: lines are as long as they are."""
    names = Names(case)
    first, last = forecast.weeks[0], forecast.weeks[-1]
    yield from folded(
        _(
            "Forecast for the {weeks} from {monday} ({first}) to {sunday} ({last}), as of {now}.",
            weeks=ngettext("{n} week", "{n} weeks", len(forecast.weeks)),
            monday=day_words(first.monday),
            first=first,
            sunday=long_date(last.sunday),
            last=last,
            now=long_date(forecast.now.date()),
        ),
        width,
    )
    if not forecast.targets:
        yield from section(_("Will the dates hold?"), _dates(names, forecast, width))
        yield _("Nothing to tell: no target is marked mastered, and only mastered targets are probed.")
        return
    learners = in_order({t.learner for t in forecast.targets})
    if len(learners) > 1:
        lines = (line for i in learners for line in folded(_at_a_glance(names, forecast, i), width, "  "))
        yield from section(_("At a glance, if every probe is met"), lines)
    yield from section(_("Will the dates hold?"), _dates(names, forecast, width))
    for learner in learners:
        own = [t for t in as_told(forecast.targets) if t.learner == learner]
        yield from section(names.learner(learner), _learner(names, forecast, own, width))
    sentences = (f"- {s}" for s in assumption_sentences(case, forecast))
    yield from section(
        _("What this takes for granted"), (line for s in sentences for line in folded(s, width, "  "))
    )


def _at_a_glance(names: Names, forecast: Forecast, learner: str) -> str:
    """How many skills of a learner are tried whole within the weeks looked at, and which dates may not hold."""
    own = [t for t in forecast.targets if t.learner == learner]
    tried = sum(
        (t.coverage.done or t.coverage.line is not None) and not nothing_to_try(names.case, forecast, t)
        for t in own
    )
    shaky = sum(w.verdict in (Verdict.AT_RISK, Verdict.NO, Verdict.EARLIER) for t in own for w in t.wishes)
    dates = (
        _("; {dates} at risk or not in time", dates=ngettext("{n} date", "{n} dates", shaky)) if shaky else ""
    )
    return _(
        "{learner}: {tried} of {skills} tried in full{dates}.",
        learner=names.learner(learner),
        tried=tried,
        skills=ngettext("{n} target", "{n} targets", len(own)),
        dates=dates,
    )


def as_told(targets: Iterable[TargetForecast]) -> list[TargetForecast]:
    return sorted(targets, key=lambda t: (as_read(t.learner), as_read(t.target)))


def _dates(names: Names, forecast: Forecast, width: int | None) -> Iterator[str]:
    found = [(t, w) for t in as_told(forecast.targets) for w in t.wishes]
    for target, wish in found:
        sentence = wish_sentence(names, names.case.targets[target.target], wish)
        words = verdict_words(wish)
        yield from folded(f"{capital(words)}: {sentence}", width, "  ")
    if found:
        yield from folded(said(DATES), width)
    for place in forecast.still_taught:
        yield from folded(still_taught_sentence(names, *place), width, "  ")


def _learner(
    names: Names, forecast: Forecast, own: Iterable[TargetForecast], width: int | None
) -> Iterator[str]:
    for number, found in enumerate(own):
        if number:
            yield ""
        yield f"{names.target(found.target)} ({clean(found.target)})"
        for label, sentence in target_sentences(names.case, forecast, found):
            yield from folded(f"  {label}: {sentence}", width, "    ")
