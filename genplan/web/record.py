"""Writing down what was run: of what was planned with a few taps, or anything else."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping, Sequence, Set
from datetime import date, timedelta
from typing import Any
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Case, Target
from genplan.case.possible import things_kept_away
from genplan.case.targets import MATERIAL_SET
from genplan.errors import GenplanError, UsageError
from genplan.evidence.effective_rows import corrected_by
from genplan.evidence.log import Log, ResultKind
from genplan.evidence.planned_probes import PlannedProbe
from genplan.evidence.taken_back import last_taken_back
from genplan.language import N_, _, said
from genplan.report.names_and_words import SPOKEN_DIMENSION, Names, clean, day_words, long_date
from genplan.report.sheets import NO_HOW
from genplan.report.value_words import value_word
from genplan.text.cautions import assent_caution
from genplan.text.held_back import held_back_text
from genplan.text.short_checks import short_text
from genplan.web import doubts_ticked, fell_through, params, reasons, sitting_cards
from genplan.web.app_state import AppState
from genplan.web.dimension_words import dimension_label
from genplan.web.endpoints import Answers, sentences_of, status_of
from genplan.web.history import FIELDS
from genplan.web.rows_told import told
from genplan.web.templating import redirect, screen
from genplan.workflow import Opened

MOST_BUTTONS = 20
"""Up to so many trials get a button for each count; more are typed."""

LATEST, MOST_ROWS = 5, 20
"""So many rows are shown wherever they are of, and so many of one day with them."""

COUNTS = ("correct", "prompted", "observer_correct", "marks", "observer_marks", "steps_kept")
"""What a row that was not run has not got."""
BY_OBSERVER = ("observer_correct", "observer_marks", "steps_kept")
NO_COUNTS = N_(
    "It was not run, so there is nothing to count. Nothing was added yet, and the counts "
    "are taken out below: add it once more if it was not run; if it was run, say what it "
    "was and count again."
)
MEANWHILE = N_("Somebody wrote down this target in this combination on this day while the form was open.")
KINDS: Mapping[str, str] = {
    "probe": N_("Probe: test trials without teaching. A maintenance probe, if it was planned as one"),
    "maintenance": N_("Maintenance probe: does it last?"),
    "baseline": N_("Baseline probe: what is there before it is taught. It counts for nothing else"),
    "teaching": N_("Teaching in this combination"),
    "not run": N_("Not run"),
}


def day(
    site: AppState,
    request: Request,
    problems: tuple[str, ...] = (),
    ticks: tuple[doubts_ticked.Tick, ...] = (),
) -> Response:
    """The probes of one day that are planned and not written down yet, and ways to write down others."""
    named = request.query_params.get("day", "")
    found = workflow.propose(site.folder, params.day(named) if named else None, None, site.now)
    case, names = found.opened.case, Names(found.opened.case)
    whose = [case.targets[p.target].learner for p in found.probes]
    chosen = request.query_params.get("learner", "")
    wanted = [p for p, i in zip(found.probes, whose, strict=True) if chosen not in whose or i == chosen]
    sittings = workflow.sittings_told(found.opened, found.day)
    visits = _visits(found.opened, sittings, wanted)
    of_whom = [s for s in sittings if chosen in ("", case.targets[s.probes[0].target].learner)]
    return screen(
        site,
        request,
        "record-day.html",
        422 if problems else 200,
        title=_("Write down"),
        problems=problems,
        ticks=ticks,
        day=found.day.isoformat(),
        words=long_date(found.day),
        visits=visits,
        off=fell_through.written_off(found.opened, of_whom),
        learners=[(i, names.learner(i), whose.count(i)) for i in dict.fromkeys(whose)],
        chosen=chosen,
        planned=found.source is not None,
        earlier=_days_unwritten(found),
        targets=[(t.id, names.target(t.id), names.learner(t.learner)) for t in case.targets.values()],
        last=_last_rows(found.opened, found.day),
    )


def _days_unwritten(found: workflow.Proposed) -> list[tuple[str, str, int]]:
    """The other days, since the one from which on Today asks, of which a planned thing is not written down: date, words
    and how many."""
    opened, today = found.opened, found.opened.now.date()
    since = workflow.asked_since(today)
    days = [since + timedelta(n) for n in range((today - since).days + 1)]
    counts = workflow.begun_and_unwritten(opened, [d for d in days if d != found.day])
    return [(d.isoformat(), day_words(d), number) for d, number in counts.items()]


def _visits(
    opened: Opened, sittings: Sequence[workflow.PlannedSitting], wanted: Sequence[PlannedProbe]
) -> list[dict[str, Any]]:
    """What is left of each sitting, with the way to say that all of it fell through."""
    names = Names(opened.case)
    visits = []
    for sitting in sittings:
        if rows := [_tile(opened, names, p) for p in wanted if p.sitting == sitting.id]:
            words = workflow.sitting_words(opened, sitting)
            visits.append({"rows": rows, "whole": fell_through.way_to(opened, sitting), "words": words})
    return visits


def _tile(opened: Opened, names: Names, planned: PlannedProbe) -> dict[str, Any]:
    """What is planned, with the way to its form; a teaching is done with one tap, too."""
    target = opened.case.targets[planned.target]
    asked = sitting_cards.record_fields(
        target, planned.combination, planned.start, planned.kind, planned.trials, planned.observer
    )
    return {
        "when": f"{planned.start:%H:%M}",
        "target": names.target(target.id),
        "combination": names.combination(target, planned.combination),
        "learner": names.learner(target.learner),
        "kind": value_word(planned.kind) if planned.kind is ResultKind.TEACHING else "",
        "address": sitting_cards.record_address(asked),
        "tap": sitting_cards.one_tap(opened.log, asked, target, planned.start > opened.now),
    }


def row(site: AppState, request: Request) -> Response:
    """The form of one row, filled in with what the address says."""
    opened = workflow.open_case(site.folder, site.now)
    return _form(
        site, request, opened, Answers({k: request.query_params.getlist(k) for k in request.query_params})
    )


def add(site: AppState, request: Request, answers: Answers) -> Response:
    """Adds the row. A second tap adds nothing; a row that another page added meanwhile is asked about, and one in whose
    place this would count. What was typed is shown again with a sentence if it cannot be added."""
    opened = workflow.open_case(site.folder, site.now)
    _target(opened.case, answers.one("target"))
    if reasons.chosen(answers) and not any(answers.one(name) for name in COUNTS):
        answers = answers.but("kind", ResultKind.NOT_RUN)  # what the form came with was nobody's choice
    if answers.one("kind") == ResultKind.NOT_RUN and (counted := [c for c in COUNTS if answers.one(c)]):
        return _form(site, request, opened, answers.without(*counted), (said(NO_COUNTS),), 422)
    try:
        entry = _entry(opened, answers)
        with site.once(answers.one("once")) as fresh:
            if not fresh:
                words = _("It was added already; a second tap adds nothing.")
                return redirect(site, f"/record?day={answers.one('date')}", words)

            def ask(log: Log, _new: object = ()) -> None:
                meanwhile = _came_meanwhile(opened.case, log, entry, answers.one("rows"))
                if meanwhile and not doubts_ticked.all_of((said(MEANWHILE),), answers):
                    raise workflow.NotAdded((said(MEANWHILE),))

            ask(opened.log)  # before what else is asked, and again where nothing more can come
            outcome = workflow.record(
                site.folder, entry, site.now, lambda doubts: doubts_ticked.all_of(doubts.each, answers), ask
            )
    except workflow.NotAdded as error:
        ticks = doubts_ticked.asked(error.doubts, answers)
        return _form(site, request, opened, answers, status=409, ticks=ticks)
    except GenplanError as error:
        return _form(
            site, request, opened, answers, sentences_of(error, site.folder, FIELDS), status_of(error)
        )
    return redirect(
        site, f"/record?day={answers.one('date')}", clean(outcome.named), *told(site.folder, outcome.findings)
    )


def _target(case: Case, id_: str) -> Target:
    target = case.targets.get(id_)
    if target is None:
        raise UsageError(_("The case has no target '{id}'. Choose one from the list.", id=id_[:60]))
    return target


def _form(
    site: AppState,
    request: Request,
    opened: Opened,
    given: Answers,
    problems: tuple[str, ...] = (),
    status: int = 200,
    ticks: tuple[doubts_ticked.Tick, ...] = (),
) -> Response:
    case, names = opened.case, Names(opened.case)
    target = _target(case, given.one("target"))
    trials = _trials(given.one("trials"), target)
    values = {d.name: given.one(f"with-{d.name}") for d in target.dimensions}
    combination = tuple(values.values())
    whole, today = all(combination), opened.now.date()
    held = things_kept_away(case, target, today).keys()
    on = given.one("date") or today.isoformat()
    kind = given.one("kind") if given.one("kind") in KINDS else "probe"
    learner = case.learners[target.learner]
    return screen(
        site,
        request,
        "record-row.html",
        status,
        title=_("Write down: {target}", target=names.target(target.id)),
        problems=problems,
        ticks=ticks,
        target=target,
        name=names.target(target.id),
        learner=names.learner(target.learner),
        say=clean(values.get(SPOKEN_DIMENSION) or target.instruction),
        is_spoken=SPOKEN_DIMENSION in values or target.spoken,
        correct_when=clean(target.correct_when),
        dimensions=_dimensions(names, target, values, held),
        whole=whole,
        combination=names.combination(target, combination) if whole else "",
        held=held_back_text(case, target, combination, today) if values.get(MATERIAL_SET) in held else "",
        trials=trials,
        needed=target.pass_mark.needed(trials),
        to_count=target.taught_when.needed(trials) if target.taught_when else None,
        buttons=trials <= MOST_BUTTONS,
        most_buttons=MOST_BUTTONS,
        kinds={kind: said(words) for kind, words in KINDS.items()},
        kind=kind,
        reasons=reasons.choices(),
        reason=reasons.chosen(given),
        how=target.how_taught,
        steps=[clean(step) for step in target.steps],
        no_how=said(NO_HOW),
        on=on,
        at=given.one("time"),
        given=given,
        sitting=fell_through.way_from_a_row(opened, target, combination, on, given.one("time"))
        if whole
        else None,
        rows=given.one("rows") or len(opened.log.all_of_target(target.id)),
        stop=assent_caution(learner.alias),
        refused=request.method == "POST",
        form_key=_form_key(given, values, on, kind),
        others=[(a.id, names.adult(a.id)) for a in case.adults.values()],
    )


def _form_key(given: Answers, values: Mapping[str, str], on: str, kind: str) -> str:
    """What a browser keeps a half-filled form under: short, and without a word of the case; through every refusal that
    of the form as it was opened, whatever was typed."""
    if re.fullmatch("[0-9a-f]{24}", opened_as := given.one("form")):
        return opened_as
    named = [given.one(field) for field in ("target", "time", "trials")] + [on, kind]
    named += values.values()
    return hashlib.sha256("\0".join(named).encode()).hexdigest()[:24]


def _trials(typed: str, target: Target) -> int:
    """What the form counts up to: the target's own trials where what was typed is no number of them."""
    try:
        return params.count(typed, _("the trials")) or target.trials
    except UsageError:
        return target.trials


def _dimensions(
    names: Names, target: Target, values: Mapping[str, str], held: Set[str]
) -> list[dict[str, Any]]:
    return [
        {
            "name": d.name,
            "label": dimension_label(d.name),
            "value": values[d.name],
            "options": [(v, _option(names, d.name, v, held)) for v in d.values],
        }
        for d in target.dimensions
    ]


def _option(names: Names, dimension: str, value: str, held: Set[str]) -> str:
    called = names.value(dimension, value)
    if dimension == MATERIAL_SET and value in held:
        return _("Held back: {thing}", thing=called)  # first, for a phone cuts the end off
    return called


def _entry(opened: Opened, answers: Answers) -> workflow.RecordRequest:
    target = _target(opened.case, answers.one("target"))
    values = {d.name: answers.one(f"with-{d.name}") for d in target.dimensions}
    missing = [dimension_label(name) for name, value in values.items() if not value]
    if missing:
        raise UsageError(
            _("{missing}: nothing was chosen, so nothing was added. Choose one.", missing=missing[0])
        )
    kind = answers.one("kind")
    if kind not in KINDS:
        raise UsageError(_("What kind of row is it? Nothing was added."))
    if kind != ResultKind.NOT_RUN and reasons.chosen(answers):
        raise UsageError(
            _(
                "Something was counted, and a reason was chosen why it was not run. Nothing was added: choose "
                "'Not run', or take the reason away."
            )
        )
    note = reasons.note_with(answers)
    if kind == ResultKind.NOT_RUN and not note:
        raise UsageError(_("Why was it not run? Nothing was added: write the reason as the note."))
    if any(answers.one(name) for name in BY_OBSERVER) and not answers.one("observer"):
        raise UsageError(_("Who was the second person who counted? Nothing was added: choose who."))
    # the form fills the trials in; without a count they say nothing of a lesson
    counts = ResultKind(kind).is_probe or any(answers.one(name) for name in COUNTS)
    base = {name: values.pop(name) for name in ("adult", "location", "material_set")}
    return workflow.RecordRequest(
        target=target.id,
        **base,
        extra=values,
        kind=kind,
        date=params.day(answers.one("date")),
        time=params.clock(answers.one("time")),
        trials=params.count(answers.one("trials"), _("the trials")) if counts else None,
        correct=params.count(answers.one("correct"), _("what was correct")),
        prompted=params.count(answers.one("prompted"), _("what was prompted")),
        observer=answers.one("observer") or None,
        observer_correct=params.count(answers.one("observer_correct"), _("the observer's count")),
        note=note or None,
        marks=answers.one("marks") or None,
        observer_marks=answers.one("observer_marks") or None,
        steps_kept=answers.one("steps_kept") or None,
    )


def _came_meanwhile(case: Case, log: Log, entry: workflow.RecordRequest, known: str) -> bool:
    """Whether a row of the day and combination that were typed came since the form was opened, when its target had so
    many rows: new ones stand at the end."""
    target = case.targets[entry.target]
    values = {
        "adult": entry.adult,
        "location": entry.location,
        "material_set": entry.material_set,
        **entry.extra,
    }
    combination = tuple(values[n] for n in target.dimension_names)
    rows = sorted(log.all_of_target(target.id), key=lambda r: r.line)
    told = known.isascii() and known.isdecimal() and len(known) < 8
    since = rows[int(known) if told else 0 :]
    return any((r.date, r.combination) == (entry.date, combination) for r in since)


def _last_rows(opened: Opened, day: date) -> list[tuple[str, str, str]]:
    """What is written down of a day and the latest rows of the file, the last one first, as a reader wants to see what
    was just added; and where and in which words each can be put right, or put back."""
    names, log = Names(opened.case), opened.log
    gone, away = corrected_by(log.results), {r.line for r in log.taken_back}
    may_come = {r.line for r in last_taken_back(log.taken_back)}
    rows = sorted((*log.results, *log.taken_back), key=lambda r: -r.line)
    latest = {r.line for r in rows[:LATEST]}
    lines = []
    for r in [r for r in rows if r.date == day or r.line in latest][:MOST_ROWS]:
        target = opened.case.targets[r.target]
        counts = (
            value_word(r.kind)
            if r.kind in (ResultKind.NOT_RUN, ResultKind.TEACHING)
            else _("{correct} of {trials}", correct=r.correct, trials=r.trials) + short_text(target, r)
        )
        if r.kind is ResultKind.NOT_RUN and r.line not in away:
            counts += f": {clean(r.note)}"
        counts += f" ({_('taken back: counts for nothing')})" if r.line in away else ""
        counts += f" ({_('was put right: counts no more')})" if r.line in gone else ""
        words = f"{day_words(r.date)}: {names.target(r.target)}, {names.combination(target, r.combination)}"
        leads = r.line not in gone
        if r.line in away:
            own = log.all_of_target(r.target)
            leads = r.line in may_come and not workflow.in_the_way_of(own, log.taken_back, r)
        what = _("Put it back") if r.line in away else _("Put it right")
        lines.append((f"{words}: {counts}", f"/history/{r.target}/{r.line}" if leads else "", what))
    return lines


def choose(site: AppState, request: Request) -> Response:
    """From the list of targets to the form of one."""
    wanted = {"target": request.query_params.get("target", ""), "date": request.query_params.get("day", "")}
    return redirect(site, f"/record/row?{urlencode(wanted)}")
