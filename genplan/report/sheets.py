"""sheets.html: a sheet for each sitting, to print and to fill in by pen. One file that loads nothing."""

from __future__ import annotations

from dataclasses import dataclass

from genplan.case import Case
from genplan.case.cautions import cautions_for
from genplan.plan import Plan, Probe, Sitting
from genplan.report.names_and_words import (
    KIND_WORDS,
    SPOKEN_DIMENSION,
    Names,
    clean,
    hours,
    long_date,
    probe_number,
    set_of,
    week_words,
)
from genplan.report.plain_characters import counted
from genplan.report.reasons import why_empty
from genplan.report.render import render
from genplan.text.cautions import caution_text, standing_cautions

BOXES_IN_A_ROW = 12
"""More trials than this go on in a second table, so that a box stays wide enough for a pen."""

TRIAL_ROWS = ("Correct, without help", "After a prompt", "Not correct")
OBSERVER_ROW = "Observer: correct"


@dataclass(frozen=True)
class ProbeBlock:
    """One probe on a sheet. `runs` are the trials' numbers, a row of boxes at a time."""

    number: str
    target: str
    kind: str
    material_set: str
    extras: tuple[tuple[str, str], ...]
    say: str
    correct_when: str
    met_when: str
    runs: tuple[range, ...]


@dataclass(frozen=True)
class SittingSheet:
    sitting: str
    day: str
    hours: str
    learner: str
    adult: str
    beside: str
    observer: str
    place: str
    bring: tuple[str, ...]
    probes: tuple[ProbeBlock, ...]
    cautions: tuple[str, ...]


def sheets_page(case: Case, plan: Plan, names: bool = False) -> str:
    """All sheets of the week in the order of the plan, each on a new page. Learners are called by their
    aliases; with `names` by name, for the family alone."""
    called = Names(case, names)
    return render(
        "sheets.html",
        **week_words(plan.week),
        sheets=tuple(_sheet(called, s) for s in plan.sittings),
        empty=() if plan.sittings else why_empty(case, plan),
        rows=TRIAL_ROWS,
        observer_row=OBSERVER_ROW,
        standing=standing_cautions(case),
    )


def _sheet(names: Names, sitting: Sitting) -> SittingSheet:
    case, called = names.case, names.learner(sitting.learner)
    sets = tuple(set_of(case, p) for p in sitting.probes)
    learner, day = case.learners[sitting.learner], sitting.start.date()
    return SittingSheet(
        sitting.id,
        long_date(day),
        hours(sitting),
        called,
        names.adult(sitting.adult),
        names.beside(sitting),
        names.adult(sitting.observer) if sitting.observer else "",
        names.location(sitting.location),
        names.sets_of(sitting),
        tuple(_block(names, sitting, i, p) for i, p in enumerate(sitting.probes)),
        tuple(
            caution_text(case, c, called) for c in cautions_for(case, learner, sets, sitting.location, day)
        ),
    )


def _block(names: Names, sitting: Sitting, index: int, probe: Probe) -> ProbeBlock:
    target = names.case.targets[probe.target]
    needed = target.pass_mark.needed(probe.trials)
    extras = names.extras(target, probe.combination)
    return ProbeBlock(
        probe_number(sitting, index),
        names.target(probe.target),
        KIND_WORDS[probe.kind],
        names.material_set(set_of(names.case, probe)),
        tuple((name, value) for name, value in extras if name != SPOKEN_DIMENSION),
        names.say(probe),
        clean(target.correct_when),
        f"at least {needed} of {counted(probe.trials, 'trial')} correct without help",
        _runs(probe.trials),
    )


def _runs(trials: int) -> tuple[range, ...]:
    """The numbers of the trials from 1, at most `BOXES_IN_A_ROW` at a time."""
    starts = range(1, trials + 1, BOXES_IN_A_ROW)
    return tuple(range(start, min(start + BOXES_IN_A_ROW, trials + 1)) for start in starts)
