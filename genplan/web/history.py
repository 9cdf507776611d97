"""Every row of a target, and the correction of one: other counts in a later row that counts in its place, all else
where the row stands, with a note of what it said. A row that never happened is taken back, and put back in a tap."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Combination, Target
from genplan.errors import GenplanError, UsageError
from genplan.evidence.delimited_text import Row
from genplan.evidence.history import Entry
from genplan.evidence.log import Result, ResultKind
from genplan.evidence.procedure import as_written
from genplan.evidence.row_identity import cells_of, digest_of, in_names
from genplan.evidence.sittings_written import reason_of
from genplan.evidence.taken_back import last_taken_back, note_and_reason
from genplan.language import N_, _, ngettext, said
from genplan.report.names_and_words import STATUS_MARKS, Names, clean, day_short
from genplan.report.value_words import value_word
from genplan.text.short_checks import short_text
from genplan.web import doubts_ticked, params, reasons
from genplan.web.app_state import AppState
from genplan.web.dimension_words import dimension_label
from genplan.web.endpoints import Answers, sentences_of, status_of
from genplan.web.rows_told import told
from genplan.web.templating import redirect, screen

CHOSEN = "with-"
"""Before the name of a dimension in an address: an extra dimension may be called as anything else is."""
BACK = "back"
"""What the button asks for that puts back a row that was taken back."""
SEEN = {
    "marks": N_("A sign for each trial: + correct without help, p with help, - not correct"),
    "observer_marks": N_("The observer's signs"),
    "steps_kept": N_("Steps kept, such as 7/8"),
}
BY_OTHERS = ("observer_correct", "observer_marks", "steps_kept")
"""What whoever watched counted, folded away where nobody did."""
COUNTS = {
    "correct": N_("Correct without help"),
    "trials": N_("Trials"),
    "prompted": N_("Correct with help"),
    "observer_correct": N_("Correct, by the observer's count"),
}
FIELDS = {**COUNTS, **SEEN}


def show(site: AppState, request: Request) -> Response:
    """The rows of a target by combination, in order of time; all, or those that hold what the address chooses."""
    given = request.query_params
    chosen = {
        name.removeprefix(CHOSEN): given[name] for name in given if name.startswith(CHOSEN) and given[name]
    }
    view = workflow.history_of(site.folder, request.path_params["target"], chosen, site.now)
    names = Names(view.case)
    rows: dict[Combination, list[dict[str, object]]] = {}
    by_line = {e.result.line: e.result for e in view.entries}
    for entry in view.entries:
        later = by_line.get(entry.corrected_by)
        rows.setdefault(entry.result.combination, []).append(_row(view.target, entry, later))
    may_come = last_taken_back(view.taken_back)
    for gone in view.taken_back:
        rows.setdefault(gone.combination, []).append(_row_taken_back(gone, leads=gone in may_come))
    groups = [(names.combination(view.target, combination), own) for combination, own in rows.items()]
    if view.unread:
        groups.append((_("Taken back, and cannot be read"), list(map(_row_unread, view.unread))))
    return screen(
        site,
        request,
        "history-screen.html",
        title=_("What was run: {target}", target=names.target(view.target.id)),
        here="/matrix",
        target=view.target.id,
        groups=groups,
        amount=ngettext("{n} row", "{n} rows", len(view.entries) + len(view.taken_back) + len(view.unread)),
        filtered=bool(chosen),
        choices=[
            (
                f"{CHOSEN}{name}",
                dimension_label(name),
                [(v, names.value(name, v)) for v in values],
                chosen.get(name, ""),
            )
            for name, values in view.values.items()
        ],
    )


def row(site: AppState, request: Request) -> Response:
    """The form to correct one row."""
    return _form(site, request)


def _form(
    site: AppState,
    request: Request,
    typed: Answers | None = None,
    problems: tuple[str, ...] = (),
    status: int = 200,
    ticks: tuple[doubts_ticked.Tick, ...] = (),
) -> Response:
    """What the row holds, or what was `typed` in its place."""
    target, line = request.path_params["target"], request.path_params["line"]
    view = workflow.history_of(site.folder, target, {}, site.now)
    found = next((r for r in _to_correct(view) if str(r.line) == line), None)
    if found is None:
        raise HTTPException(404)
    names = Names(view.case)
    holds = cells_of(view.target, found)
    lesson, not_run = found.kind is ResultKind.TEACHING, found.kind is ResultKind.NOT_RUN
    places = {f"{CHOSEN}{d.name}": d for d in view.target.dimensions}
    seen, counts = {} if lesson else SEEN, COUNTS
    if not_run:
        seen, counts = {}, {}
    shown = {name: holds[name] for name in (*counts, *seen, "note", "date", "time")}
    shown |= {field: holds[d.name] for field, d in places.items()}
    if typed:
        shown |= {name: typed.one(name) for name in shown if typed.has(name)}
    return screen(
        site,
        request,
        "correct-screen.html",
        status,
        problems=problems,
        ticks=ticks,
        place=f"/history/{target}/{line}",
        taken_back=found in view.taken_back,
        in_the_way=_in_the_way(view, found),
        not_run=not_run,
        reasons=reasons.choices(),
        reason=reasons.chosen(typed) if typed else reason_of(holds["note"]),
        counted=in_names(view.case, found),
        title=_("Put right: {target}", target=names.target(target)),
        here="/matrix",
        combination=names.combination(view.target, found.combination),
        day=day_short(found.date),
        now_says=in_names(view.case, found),
        fields=[(name, said(words), shown[name], "numeric") for name, words in counts.items()]
        + [(name, said(words), shown[name], "text") for name, words in seen.items()],
        seen_by_others=BY_OTHERS,
        others_saw=any(shown.get(name) for name in BY_OTHERS),
        on=shown["date"],
        at=shown["time"],
        varied=[
            (field, dimension_label(d.name), [(v, names.value(d.name, v)) for v in d.values], shown[field])
            for field, d in places.items()
        ],
        note=shown["note"],
        not_held=bool(typed and typed.one("never") == "yes"),
        row=digest_of(view.target, found),
    )


def correct(site: AppState, request: Request, answers: Answers) -> Response:
    """Corrects the row that the form was opened for, wherever it stands by now. What was typed is shown again with a
    sentence if it cannot be."""
    try:
        return _correct(site, request, answers)
    except GenplanError as error:
        if not _is_still_there(site, request, answers.one("row")):
            raise
        if isinstance(error, workflow.NotAdded):
            ticks = doubts_ticked.asked(error.doubts, answers)
            return _form(site, request, answers, status=409, ticks=ticks)
        return _form(site, request, answers, sentences_of(error, site.folder, FIELDS), status_of(error))


def _is_still_there(site: AppState, request: Request, digest: str) -> bool:
    """Whether the line in the address is the row that the form was opened for, and may be corrected."""
    view = workflow.history_of(site.folder, request.path_params["target"], {}, site.now)
    rows = [r for r in _to_correct(view) if str(r.line) == request.path_params["line"]]
    return any(digest_of(view.target, r) == digest for r in rows)


def _to_correct(view: workflow.HistoryView) -> list[Result]:
    """Those that count, and those that were taken back, of such as come back together the one that will count."""
    return [
        *(e.result for e in view.entries if _may_correct(e)),
        *last_taken_back(view.taken_back),
    ]


def _correct(site: AppState, request: Request, answers: Answers) -> Response:
    target, line = request.path_params["target"], params.count(request.path_params["line"], _("a line")) or 0
    for name, words in COUNTS.items():
        params.count(answers.one(name), said(words))
    row = answers.one("row")
    if not row:
        raise UsageError(
            _("The form does not say which row it is for. Nothing was written: look at the rows again.")
        )
    back = f"/history/{target}" if site.leads_to("/history/{target}") else "/record"
    with site.once(answers.one("once")) as fresh:
        if not fresh:
            return redirect(site, back, _("It was corrected already; a second tap adds nothing."))
        if answers.one("then") == BACK:
            done = workflow.put_row_back(site.folder, row, site.now)
            words = N_("Put back as it was, and it counts: {counts}.")
        elif answers.one("never") == "yes":
            done = workflow.take_row_back(site.folder, row, answers.one("note"), site.now)
            words = N_(
                "Taken back: {counts}. It counts for nothing, as if it had never been written down. If it was "
                "planned, it is asked for again. It can be put back from here."
            )
        else:
            done, words = _changed(site, target, line, answers)
    (now,), old = done.results, done.corrected
    assert old is not None
    view = workflow.history_of(site.folder, target, {}, site.now)
    sentence = said(words, old=in_names(view.case, old), counts=in_names(view.case, now))
    return redirect(site, back, sentence, *done.said, *told(site.folder, done.findings))


def _changed(site: AppState, target: str, line: int, answers: Answers) -> tuple[workflow.Added, str]:
    """What was done with other cells, and the sentence on it."""
    changes = {name: answers.one(name) for name in (*COUNTS, "note")}
    changes |= {name: answers.one(name) for name in SEEN if answers.has(name)}
    view = workflow.history_of(site.folder, target, {}, site.now)
    rows = (e.result for e in view.entries)
    row = next((r for r in rows if digest_of(view.target, r) == answers.one("row")), None)

    def sure(doubts: workflow.Doubts) -> bool:
        return doubts_ticked.all_of(doubts.each, answers)

    place = _place(answers, cells_of(view.target, row)) if row else {}
    if row and row.kind is ResultKind.NOT_RUN:
        changes = {"note": reasons.note_with(answers)}
    if row and (place or not _is_corrected_later(row)):
        done = workflow.put_right(site.folder, answers.one("row"), changes | place, site.now, sure)
        return done, N_("Put right: {counts}. What it said before stands in its note.")
    done = workflow.correct(
        site.folder,
        line,
        changes,
        site.now,
        digest=answers.one("row"),
        sure=sure,
    )
    return done, N_("This counts now: {counts}. It counts in the place of: {old}.")


def _is_corrected_later(row: Result) -> bool:
    """Whether a later row can speak of it for certain: else it is changed where it stands."""
    return row.kind is not ResultKind.NOT_RUN and (row.kind.is_probe or row.time is not None)


def _in_the_way(view: workflow.HistoryView, found: Result) -> tuple[str, str]:
    """What counts for the same check by now, beside which a row that was taken back is not put back: its words, and
    where it is put right; empty if there is none."""
    if found not in view.taken_back:
        return "", ""
    other = workflow.in_the_way_of([e.result for e in view.entries], view.taken_back, found)
    if other is None:
        return "", ""
    return in_names(view.case, other), f"/history/{view.target.id}/{other.line}"


def _place(answers: Answers, holds: Mapping[str, str]) -> dict[str, str]:
    """What was typed otherwise of when and where a row was run, with whom and with what."""
    typed = {name: answers.one(f"{CHOSEN}{name}") for name in holds if answers.has(f"{CHOSEN}{name}")}
    if answers.has("date"):
        typed["date"] = day.isoformat() if (day := params.day(answers.one("date"))) else ""
    if answers.has("time"):
        typed["time"] = f"{at:%H:%M}" if (at := params.clock(answers.one("time"))) else ""
    return {name: cell for name, cell in typed.items() if cell != holds[name]}


def _may_correct(entry: Entry) -> bool:
    return not entry.corrected_by


def _seen(row: Result) -> Iterator[str]:
    """What was written down of the single trials, and by whoever watched."""
    if row.marks:
        yield row.marks
    if row.observer_correct is not None:
        yield _("observer {counted}", counted=row.observer_marks or row.observer_correct)
    if row.steps_kept:
        yield _("steps kept {steps}", steps=as_written(row.steps_kept))


def _as_recorded(found: Result, short: str = "") -> dict[str, object]:
    """What was run and how it went; `short` is said of counts that are fewer than were asked for."""
    return {
        "line": found.line,
        "day": day_short(found.date),
        "time": f"{found.time:%H:%M}" if found.time else "",
        "kind": value_word(found.kind),
        "counts": f"{_counts(found)}{short}" if found.trials else "",
    }


def _counts(found: Result) -> str:
    return _("{correct} of {trials}", correct=found.correct or 0, trials=found.trials)


def _row(target: Target, entry: Entry, later: Result | None) -> dict[str, object]:
    found = entry.result
    outcome = STATUS_MARKS[entry.after.status.value].word if found.kind.is_test else ""
    if later:
        counts = _counts(later) if later.trials else value_word(later.kind)
        outcome = _("does not count: put right later, to {counts}", counts=counts)
    elif entry.undoes:
        outcome = _("not met; it was met before")
    return {
        **_as_recorded(found, short_text(target, found)),
        "seen": "; ".join(_seen(found)),
        "outcome": outcome,
        "note": clean(found.note),
        "may_correct": _may_correct(entry),
    }


def _row_unread(row: Row) -> dict[str, object]:
    """As it is written."""
    cell = row.cells.get
    counts = "; ".join(filter(None, (cell("correct", ""), cell("trials", ""))))
    return {
        "line": row.line,
        "day": clean(cell("date", "")),
        "time": clean(cell("time", "")),
        "kind": clean(cell("kind", "")),
        "counts": clean(counts),
        "seen": "",
        "outcome": _("taken back: counts for nothing"),
        "note": clean(cell("note", "")),
        "may_correct": False,
    }


def _row_taken_back(found: Result, *, leads: bool) -> dict[str, object]:
    return {
        **_as_recorded(found),
        "seen": "",
        "outcome": _("taken back: counts for nothing"),
        "note": "; ".join(map(clean, filter(None, note_and_reason(found.note)))),
        "may_correct": leads,
    }
