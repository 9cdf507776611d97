"""sheets.html: a sheet for each sitting, to print and to fill in by pen, person by person, and one apart for each
observer, since a second count is independent only where nobody sees the other's. One file that loads nothing."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from genplan.case import Case
from genplan.case.cautions import together
from genplan.keeping.cautions_told import sitting_cautions
from genplan.language import N_, _, ngettext, said
from genplan.plan import Plan, Probe, Sitting
from genplan.report.called_off import called_off_words
from genplan.report.names_and_words import (
    SPOKEN_DIMENSION,
    Names,
    clean,
    hours,
    kind_words,
    long_date,
    probe_number,
    week_words,
)
from genplan.report.reasons import why_empty
from genplan.report.render import render
from genplan.text.cautions import caution_text, standing_cautions
from genplan.text.matrix_rows import stand_in_text

BOXES_IN_A_ROW = 12
"""More trials than this go on in a second table, so that a box stays wide enough for a pen."""

TRIAL_ROWS = (N_("Correct, without help (+)"), N_("After a prompt (p)"), N_("Not correct (-)"))
"""With the sign of each, as `marks` of results.csv has it."""
NO_HOW = N_(
    "The case does not say how. Ask the practitioner in charge, or whoever else advises you, before you begin. What "
    "they say can be written under the skill, and then stands here."
)
"""Where `how_taught` is empty: nothing of our own stands in its place."""


@dataclass(frozen=True)
class ProbeBlock:
    """One probe or teaching on a sheet. `place` is its number among those like it. `runs` are the trials' numbers, a
    row of boxes at a time. A teaching has none: it has the practitioner's own lines on how it is taught, and `teacher`
    if not the adult of the sitting teaches. `why` says why something is taught that never failed."""

    number: str
    place: str
    target: str
    kind: str
    material_set: str
    extras: tuple[tuple[str, str], ...]
    say: str
    correct_when: str
    met_when: str
    runs: tuple[range, ...]
    is_teaching: bool = False
    trials: str = ""
    to_count: str = ""
    how: tuple[str, ...] = ()
    teacher: str = ""
    why: str = ""
    steps: tuple[str, ...] = ()
    is_spoken: bool = True


@dataclass(frozen=True)
class SittingSheet:
    """`counts` is the observer whose sheet it is; empty for whoever runs the sitting."""

    sitting: str
    day: str
    hours: str
    learner: str
    adult: str
    beside: str
    place: str
    comes: tuple[str, ...]
    there: tuple[str, ...]
    probes: tuple[ProbeBlock, ...]
    tested: bool
    cautions: tuple[str, ...]
    counts: str = ""


@dataclass(frozen=True)
class PersonsSheets:
    """All that one person fills in, in order of time; what holds for all of it is said once. `tests`: some of it are
    probes that the person runs."""

    name: str
    sheets: tuple[SittingSheet, ...]
    tests: bool


Probed = Collection[tuple[str, str]]
"""Adults with the targets of which they have run a probe."""


def sheets_page(
    case: Case,
    plan: Plan,
    names: bool = False,
    *,
    adult: str = "",
    probed: Probed = frozenset(),
    off: Sequence[Sitting] = (),
) -> str:
    """All sheets of the week person by person, each person's on a new page and as many on one as it holds: what an
    observer counts is handed to the observer, and lies on no page with the sheet of the sitting. Learners are called by
    their aliases; with `names` by name, for the family alone. With `adult` only what that adult fills in. The steps
    of a probe are left out for who has `probed` the target already. `off` is what was called off: there is no sheet of
    it."""
    called = Names(case, names)
    sheets = [(s, _of_sitting(called, s, probed)) for s in plan.sittings]
    who = [adult] if adult else dict.fromkeys(a for _, of in sheets for a in of)
    people = [_of_person(called, one, sheets, alone=bool(adult)) for one in who]
    return render(
        "sheets.html",
        **week_words(plan.week),
        people=people,
        off=[called_off_words(called, s) for s in off],
        sheets=sum(len(p.sheets) for p in people),
        blank=case.policy.observed_share > 0
        and any(p.kind.is_probe for s in plan.sittings if not s.observer for p in s.probes),
        blank_runs=(range(1, BOXES_IN_A_ROW + 1),),
        empty=() if plan.sittings else why_empty(case, plan),
        rows=tuple(map(said, TRIAL_ROWS)),
        standing=standing_cautions(case),
    )


def _of_person(
    names: Names, adult: str, sheets: Sequence[tuple[Sitting, Mapping[str, SittingSheet]]], *, alone: bool
) -> PersonsSheets:
    """What the adult fills in; who is handed the own part `alone` has the sheet of a sitting beside another, too."""
    own = [
        sheet
        for sitting, of in sheets
        if (sheet := of.get(adult))
        or (alone and adult in sitting.adults and (sheet := of.get(sitting.adult)))
    ]
    return PersonsSheets(names.adult(adult), tuple(own), any(s.tested and not s.counts for s in own))


def _of_sitting(names: Names, sitting: Sitting, probed: Probed) -> dict[str, SittingSheet]:
    """By who fills it in. Who runs it needs the steps where they are new; who observes marks whether they were kept;
    who sits beside and teaches has the sheet of what is taught, and nobody else has it."""
    whole = sheet_of(names, sitting)
    beside = names.taught_beside(sitting)
    own, taught = [], []
    for block, probe in zip(whole.probes, sitting.probes, strict=True):
        if block.is_teaching and probe.target in beside:
            taught.append(block)
        else:
            own.append(replace(block, steps=()) if (sitting.adult, probe.target) in probed else block)
    found = {}
    if own:
        found[sitting.adult] = replace(whole, probes=tuple(own))
    if taught:
        found[sitting.beside] = replace(whole, probes=tuple(taught), tested=False)
    if sitting.observer and whole.tested:
        tests = tuple(block for block in whole.probes if not block.is_teaching)
        found[sitting.observer] = replace(
            whole, probes=tests, counts=names.adult(sitting.observer), beside=""
        )
    return found


def sheet_of(names: Names, sitting: Sitting) -> SittingSheet:
    case, called = names.case, names.learner(sitting.learner)
    return SittingSheet(
        sitting.id,
        long_date(sitting.start.date()),
        hours(sitting),
        called,
        names.adult(sitting.adult),
        names.beside(sitting),
        names.location(sitting.location),
        names.comes_along(sitting),
        names.there_already(sitting),
        tuple(_block(names, sitting, i, p) for i, p in enumerate(sitting.probes)),
        any(p.kind.is_probe for p in sitting.probes),
        tuple(caution_text(case, c, called) for c in together(sitting_cautions(case, sitting))),
    )


def _block(names: Names, sitting: Sitting, index: int, probe: Probe) -> ProbeBlock:
    target = names.case.targets[probe.target]
    needed = target.pass_mark.needed(probe.trials)
    extras = names.extras(target, probe.combination)
    block = ProbeBlock(
        probe_number(sitting, index),
        _place(sitting, index),
        names.target(probe.target),
        kind_words(probe.kind),
        names.with_what(sitting, probe),
        tuple((name, value) for name, value in extras if name != SPOKEN_DIMENSION),
        names.say(probe),
        clean(target.correct_when),
        ngettext(
            "at least {needed} of {n} trial correct without help",
            "at least {needed} of {n} trials correct without help",
            probe.trials,
            needed=needed,
        ),
        _runs(probe.trials),
        steps=tuple(map(clean, target.steps)),
        is_spoken=names.is_spoken(probe),
    )
    return block if probe.kind.is_probe else _of_teaching(names, sitting, probe, block)


def _of_teaching(names: Names, sitting: Sitting, probe: Probe, block: ProbeBlock) -> ProbeBlock:
    """The short form: nothing is tested, so nothing has to be met and no trial has a box. Where the target asks for a
    mark, `to_count` says how many correct make it count."""
    target = names.case.targets[probe.target]
    mark = target.taught_when
    lines = tuple(line for text in target.how_taught.splitlines() if (line := clean(text)))
    return replace(
        block,
        met_when="",
        runs=(),
        steps=(),
        is_teaching=True,
        trials=ngettext("{n} trial", "{n} trials", probe.trials),
        to_count=_(
            "{needed} of {trials} without help for it to count",
            needed=mark.needed(probe.trials),
            trials=probe.trials,
        )
        if mark
        else "",
        how=lines or (said(NO_HOW),),
        why=stand_in_text(target, probe.combination, probe.instead_of, names.value),
        teacher=names.adult(sitting.beside) if probe.target in names.taught_beside(sitting) else "",
    )


def _place(sitting: Sitting, index: int) -> str:
    """`Probe 1 of 2`, `Teaching 1 of 1`."""
    alike = [p.kind.is_probe for p in sitting.probes]
    number, of = alike[: index + 1].count(alike[index]), alike.count(alike[index])
    if alike[index]:
        return _("Probe {number} of {of}", number=number, of=of)
    return _("Teaching {number} of {of}", number=number, of=of)


def _runs(trials: int) -> tuple[range, ...]:
    """The numbers of the trials from 1, at most `BOXES_IN_A_ROW` at a time."""
    starts = range(1, trials + 1, BOXES_IN_A_ROW)
    return tuple(range(start, min(start + BOXES_IN_A_ROW, trials + 1)) for start in starts)
