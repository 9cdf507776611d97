"""Every row of a target, and the correction of one: other counts in a later row that counts in its place, all else
where the row stands, with a note of what it said."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Target
from genplan.errors import GenplanError, UsageError
from genplan.evidence.history import Entry
from genplan.evidence.log import Result, ResultKind
from genplan.evidence.procedure import as_written
from genplan.evidence.row_identity import cells_of, digest_of, in_names
from genplan.language import N_, _, ngettext, said
from genplan.report.names_and_words import STATUS_MARKS, Names, clean, day_short
from genplan.report.value_words import value_word
from genplan.text.short_checks import short_text
from genplan.web import params
from genplan.web.app_state import AppState
from genplan.web.dimension_words import dimension_label
from genplan.web.endpoints import Answers, sentences_of, status_of, told
from genplan.web.templating import redirect, screen

CHOSEN = "with-"
"""Before the name of a dimension in an address: an extra dimension may be called as anything else is."""
SEEN = {
    "marks": N_("A sign for each trial: + correct without help, p with help, - not correct"),
    "observer_marks": N_("The observer's signs"),
    "steps_kept": N_("Steps kept, such as 7/8"),
}
COUNTS = {
    "correct": N_("Correct without help"),
    "trials": N_("Trials"),
    "prompted": N_("Correct with help"),
    "observer_correct": N_("Correct, by the observer's count"),
}


def show(site: AppState, request: Request) -> Response:
    """The rows of a target by combination, in order of time; all, or those that hold what the address chooses."""
    given = request.query_params
    chosen = {
        name.removeprefix(CHOSEN): given[name] for name in given if name.startswith(CHOSEN) and given[name]
    }
    view = workflow.history_of(site.folder, request.path_params["target"], chosen, site.now)
    names = Names(view.case)
    groups = [
        (
            names.combination(view.target, combination),
            [_row(view.target, e) for e in view.entries if e.result.combination == combination],
        )
        for combination in dict.fromkeys(e.result.combination for e in view.entries)
    ]
    return screen(
        site,
        request,
        "history-screen.html",
        title=_("What was run: {target}", target=names.target(view.target.id)),
        here="/matrix",
        target=view.target.id,
        groups=groups,
        amount=ngettext("{n} row", "{n} rows", len(view.entries)),
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
) -> Response:
    """What the row holds, or what was `typed` in its place."""
    target, line = request.path_params["target"], request.path_params["line"]
    view = workflow.history_of(site.folder, target, {}, site.now)
    entry = next((e for e in view.entries if str(e.result.line) == line), None)
    if entry is None or not _may_correct(entry):
        raise HTTPException(404)
    names = Names(view.case)
    holds = cells_of(view.target, entry.result)
    lesson = entry.result.kind is ResultKind.TEACHING
    places = {f"{CHOSEN}{d.name}": d for d in view.target.dimensions}
    seen = {} if lesson else SEEN
    shown = {name: holds[name] for name in (*COUNTS, *seen, "note", "date", "time")}
    shown |= {field: holds[d.name] for field, d in places.items()}
    if typed:
        shown |= {name: typed.one(name) for name in shown if typed.has(name)}
    return screen(
        site,
        request,
        "correct-screen.html",
        status,
        problems=problems,
        title=_("Correct line {line}: {target}", line=line, target=names.target(target)),
        here="/matrix",
        combination=names.combination(view.target, entry.result.combination),
        day=day_short(entry.result.date),
        fields=[(name, said(words), shown[name], "numeric") for name, words in COUNTS.items()]
        + [(name, said(words), shown[name], "text") for name, words in seen.items()],
        on=shown["date"],
        at=shown["time"],
        varied=[
            (field, dimension_label(d.name), [(v, names.value(d.name, v)) for v in d.values], shown[field])
            for field, d in places.items()
        ],
        note=shown["note"],
        not_held=bool(typed and typed.one("not_run") == "yes"),
        row=digest_of(view.target, entry.result),
        shown_for=typed.one("trials") if typed and problems else "",
    )


def correct(site: AppState, request: Request, answers: Answers) -> Response:
    """Corrects the row that the form was opened for, wherever it stands by now. What was typed is shown again with a
    sentence if it cannot be."""
    try:
        return _correct(site, request, answers)
    except GenplanError as error:
        if not _is_still_there(site, request, answers.one("row")):
            raise
        return _form(site, request, answers, sentences_of(error), status_of(error))


def _is_still_there(site: AppState, request: Request, digest: str) -> bool:
    """Whether the line in the address is the row that the form was opened for, and may be corrected."""
    view = workflow.history_of(site.folder, request.path_params["target"], {}, site.now)
    rows = [e for e in view.entries if str(e.result.line) == request.path_params["line"]]
    return any(_may_correct(e) and digest_of(view.target, e.result) == digest for e in rows)


def _correct(site: AppState, request: Request, answers: Answers) -> Response:
    target, line = request.path_params["target"], params.count(request.path_params["line"], _("a line")) or 0
    for name, words in COUNTS.items():
        params.count(answers.one(name), said(words))
    if not answers.one("row"):
        raise UsageError(
            _("The form does not say which row it is for. Nothing was written: look at the rows again.")
        )
    changes = {name: answers.one(name) for name in (*COUNTS, "note")}
    changes |= {name: answers.one(name) for name in SEEN if answers.has(name)}
    if is_off := answers.one("not_run") == "yes":
        changes |= {"kind": ResultKind.NOT_RUN.value, **dict.fromkeys((*COUNTS, *SEEN), "")}
    view = workflow.history_of(site.folder, target, {}, site.now)
    rows = (e.result for e in view.entries)
    row = next((r for r in rows if digest_of(view.target, r) == answers.one("row")), None)
    place = _place(answers, cells_of(view.target, row)) if row else {}
    with site.once(answers.one("once")) as fresh:
        if not fresh:
            return redirect(
                site, f"/history/{target}", _("It was corrected already; a second tap adds nothing.")
            )
        if row and (place or (is_off and not _can_take_back(row))):
            done = workflow.put_right(site.folder, answers.one("row"), changes | place, site.now)
            return redirect(site, f"/history/{target}", _words_of(done), *done.said, *told(done.findings))
        done = workflow.correct(
            site.folder,
            line,
            changes,
            site.now,
            digest=answers.one("row"),
            as_shown=answers.one("shown_for") == answers.one("trials") != "",
        )
    (added,), old = done.results, done.corrected
    assert old is not None
    words = _(
        "Line {line} now counts in place of line {old}: {counts}.",
        line=added.line,
        old=old.line,
        counts=in_names(view.case, added),
    )
    return redirect(site, f"/history/{target}", words, *done.said, *told(done.findings))


def _place(answers: Answers, holds: Mapping[str, str]) -> dict[str, str]:
    """What was typed otherwise of when and where a row was run, with whom and with what."""
    typed = {name: answers.one(f"{CHOSEN}{name}") for name in holds if answers.has(f"{CHOSEN}{name}")}
    if answers.has("date"):
        typed["date"] = day.isoformat() if (day := params.day(answers.one("date"))) else ""
    if answers.has("time"):
        typed["time"] = f"{at:%H:%M}" if (at := params.clock(answers.one("time"))) else ""
    return {name: cell for name, cell in typed.items() if cell != holds[name]}


def _can_take_back(row: Result) -> bool:
    """Whether a later row can say that it was not run."""
    return row.kind is ResultKind.TEACHING and row.time is not None


def _words_of(done: workflow.Added) -> str:
    (row,) = done.results
    if row.kind is ResultKind.NOT_RUN:
        return _(
            "Line {line} is taken back: it counts as not run. What it said stands in its note.", line=row.line
        )
    return _("Line {line} is put right. What it said before stands in its note.", line=row.line)


def _may_correct(entry: Entry) -> bool:
    return entry.result.kind is not ResultKind.NOT_RUN and not entry.corrected_by


def _seen(row: Result) -> Iterator[str]:
    """What was written down of the single trials, and by whoever watched."""
    if row.marks:
        yield row.marks
    if row.observer_correct is not None:
        yield _("observer {counted}", counted=row.observer_marks or row.observer_correct)
    if row.steps_kept:
        yield _("steps kept {steps}", steps=as_written(row.steps_kept))


def _row(target: Target, entry: Entry) -> dict[str, object]:
    found = entry.result
    outcome = STATUS_MARKS[entry.after.status.value].word if found.kind.is_test else ""
    if entry.corrected_by:
        outcome = _("does not count: corrected by line {line}", line=entry.corrected_by)
    elif entry.undoes:
        outcome = _("not met; it was met before")
    return {
        "line": found.line,
        "day": day_short(found.date),
        "time": f"{found.time:%H:%M}" if found.time else "",
        "kind": value_word(found.kind),
        "counts": _("{correct} of {trials}", correct=found.correct or 0, trials=found.trials)
        + short_text(target, found)
        if found.trials
        else "",
        "seen": "; ".join(_seen(found)),
        "outcome": outcome,
        "note": clean(found.note),
        "may_correct": _may_correct(entry),
    }
