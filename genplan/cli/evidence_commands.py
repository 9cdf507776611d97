"""The commands about what was run: other ways to record it, its history, what it says."""

from __future__ import annotations

from argparse import Namespace
from datetime import date
from functools import partial

from genplan.cli import output
from genplan.cli.as_typed import command_of
from genplan.cli.warnings_shown import warn, warn_of_case
from genplan.errors import UsageError
from genplan.language import _, said
from genplan.language.dates import date_words


def history(words: Namespace) -> int:
    from genplan import workflow
    from genplan.report.evidence_lines import history_lines

    chosen = {"adult": words.adult, "location": words.location, "material_set": words.material_set}
    chosen = {name: value for name, value in chosen.items() if value is not None} | dict(words.extra)
    view = workflow.history_of(words.folder, words.target, chosen, words.now)
    warn_of_case(words.folder, view.findings)
    told = history_lines(view.case, view.target, view.entries, view.taken_back, view.unread, view.on)
    output.show_lines(told)
    return 0


def progress(words: Namespace) -> int:
    from genplan import workflow
    from genplan.report.evidence_lines import progress_lines

    found = workflow.progress(words.folder, words.learner, words.now, words.csv)
    warn_of_case(words.folder, found.findings)
    output.show_lines(progress_lines(found.case, found.reviews))
    if words.csv is not None:
        output.show(
            _(
                "Written to {file}: progress-targets.csv, progress-values.csv, "
                "progress-observers.csv and progress-sittings.csv.",
                file=words.csv,
            )
        )
    return 0


def loads(words: Namespace) -> int:
    from genplan import workflow
    from genplan.report.lately_lines import lately_lines

    view = workflow.loads(words.folder, words.weeks, words.now, words.out)
    warn_of_case(words.folder, view.findings)
    output.show_lines(
        lately_lines(view.case, view.weeks, view.loads, view.not_held, view.counts, view.unwritten)
    )
    if words.out is not None:
        output.show(_("Written to {out}: loads.html, loads.csv and not-held.csv.", out=words.out))
    return 0


def review(words: Namespace) -> int:
    from genplan import workflow
    from genplan.report.evidence_lines import review_lines

    if words.pdf and words.out is None:
        raise UsageError(_("--pdf needs --out: it names the folder for the pages."))
    first, last = _span(words)
    found = workflow.review(
        words.folder, first, last, words.learner, words.out, words.now, words.names, words.pdf
    )
    warn_of_case(words.folder, found.findings)
    output.show_lines(review_lines(found.case, found.reviews))
    if words.out is not None:
        output.show(
            _(
                "Written to {out}: a page for each learner, as HTML and PDF, and the tables review-*.csv.",
                out=words.out,
            )
            if words.pdf
            else _("Written to {out}: a page for each learner, and the tables review-*.csv.", out=words.out)
        )
        if not words.names:
            for sentence in workflow.names_in_files(found.case, [r.learner for r in found.reviews]):
                output.tell(sentence)
    return 0


def _span(words: Namespace) -> tuple[date, date]:
    """From which day to which. Raises UsageError with what to type, where one was left out."""
    from genplan import workflow
    from genplan.cli.argument_types import NearDay

    today = workflow.wall_clock(words.now).date()
    typed = (words.first, words.last)
    first, last = (day.until(today) if isinstance(day, NearDay) else day for day in typed)
    if first and last:
        return first, last
    begin, end = workflow.written_span(words.folder, words.now)
    last = last or max(end, first or end)
    span = ("--from", first or min(begin, last), "--to", last)
    raise UsageError(
        _(
            "From which day to which? For instance: {command}",
            command=command_of("review", words.folder, *span),
        )
    )


def chance(words: Namespace) -> int:
    from genplan.report.evidence_lines import chance_lines

    trials = words.mark.trials if words.trials is None else words.trials
    if not 1 <= trials <= 200:
        raise UsageError(_("A probe of {trials} trials cannot be shown; it has 1 to 200.", trials=trials))
    output.show_lines(chance_lines(words.mark, trials))
    return 0


def record_otherwise(words: Namespace) -> int | None:
    """`record` with --ask, --from, --corrects or --fell-through; None if none of them was typed."""
    typed = {
        "--ask": words.ask,
        "--from": words.sheet,
        "--corrects": words.corrects,
        "--fell-through": words.fell_through,
    }
    ways = [word for word, value in typed.items() if value is not None and value is not False]
    if not ways:
        return None
    if len(ways) > 1:
        raise UsageError(
            _("{option} and {other} do not go together: choose one.", option=ways[0], other=ways[1])
        )
    _refuse_beside(words, ways[0])
    how = {"--ask": _ask, "--from": _sheet, "--corrects": _correct, "--fell-through": _fell_through}
    return how[ways[0]](words)


_WHAT = ("target", "adult", "location", "material_set", "extra", "time", "kind")
_SEEN = ("marks", "observer_marks", "steps_kept")
_COUNTS = ("correct", "trials", "prompted", "observer", "observer_correct", "note", *_SEEN)


def _refuse_beside(words: Namespace, way: str) -> None:
    """What says what was run comes from the questions or the sheet; beside --corrects it names the row."""
    beside = {"--corrects": (*_WHAT, *_COUNTS), "--fell-through": ("note",)}.get(way, ())
    barred = [name for name in (*_WHAT, *_COUNTS) if name not in beside]
    typed = [name for name in barred if getattr(words, name) not in (None, "", [])]
    if typed:
        word = "--with" if typed[0] == "extra" else f"--{typed[0].replace('_', '-')}"
        raise UsageError(_("{word} does not go with {way}: that is where it comes from.", word=word, way=way))
    if way != "--ask" and words.plan is not None:
        raise UsageError(_("--plan goes with --ask only: it names the plan whose probes are proposed."))
    for option, is_typed in (("--ahead", words.ahead), ("--long-ago", words.long_ago)):
        if way != "--from" and is_typed and (way, option) != ("--fell-through", "--ahead"):
            raise UsageError(
                _(
                    "{option} does not go with {way}: it is for a row that is typed, or a sheet.",
                    option=option,
                    way=way,
                )
            )
    if words.fell_through and words.date is not None:
        raise UsageError(_("--date does not go with the id of a sitting, which says its day: leave one out."))
    if way == "--from" and words.date is not None:
        raise UsageError(_("--date does not go with {way}: that is where it comes from.", way=way))


def _ask(words: Namespace) -> int:
    from genplan import workflow
    from genplan.cli.asking import Questions, heading

    proposed = workflow.propose(words.folder, words.date, words.plan, words.now)
    warn_of_case(words.folder, proposed.opened.findings)
    output.show(heading(proposed))
    Questions(proposed, input).run()
    return 0


def _sheet(words: Namespace) -> int:
    from genplan import workflow
    from genplan.cli.added_rows import rows_added, sure

    are_sure = partial(sure, folder=words.folder, ahead=words.ahead, long_ago=words.long_ago)
    added = workflow.record_sheet(words.folder, words.sheet, words.now, are_sure)
    warn(added.findings)
    for sentence in (*added.skipped, *added.said):
        output.show(sentence)
    output.show(rows_added(len(added.results)))
    return 0


def _fell_through(words: Namespace) -> int:
    from genplan import workflow
    from genplan.cli.added_rows import show_who_may_be_away, sure

    named = words.fell_through or _the_one_of_a_day(words)
    are_sure = partial(sure, folder=words.folder, ahead=words.ahead, long_ago=False)
    outcome = workflow.fell_through(words.folder, named, words.note, words.now, are_sure)
    warn(outcome.findings)
    output.show(outcome.sentence)
    show_who_may_be_away(words.folder, outcome)
    return 0


def _the_one_of_a_day(words: Namespace) -> str:
    """The id of the only sitting of a day of which something is left to write down."""
    from genplan import workflow

    opened = workflow.open_case(words.folder, words.now)
    day = words.date or opened.now.date()
    left = [s for s in workflow.sittings_told(opened, day) if s.left]
    if len(left) == 1:
        return left[0].id
    if not left:
        raise UsageError(
            _(
                "No sitting of {day} is left to be written down: no week that was kept has one, or all of it is "
                "written down already. Nothing was added.",
                day=date_words(day),
            )
        )
    listed = "\n".join(f"  {s.id}  {workflow.sitting_words(opened, s)}" for s in left)
    raise UsageError(
        _(
            "Which sitting of {day} fell through? Nothing was added: name one of these behind --fell-through.",
            day=date_words(day),
        )
        + f"\n{listed}"
    )


def _correct(words: Namespace) -> int:
    from genplan import workflow

    changes = {n: str(v) for n in _COUNTS if (v := getattr(words, n)) not in (None, "")}
    if words.kind == "not-run":
        changes["kind"] = "not run"
    if not changes:
        raise UsageError(
            _("What is right? Give --correct, --trials, --prompted, --observer-correct or --note.")
        )
    added = workflow.correct(words.folder, words.corrects, changes, words.now, _says(words))
    warn(added.findings)
    (row,) = added.results
    assert added.corrected is not None
    what = (
        said(row.kind.value)
        if row.correct is None
        else _("{correct} of {trials} correct", correct=row.correct, trials=row.trials)
    )
    output.show(
        _(
            "Added to results.csv as line {line}: {what}. It counts in place of line {old_line}: {old}.",
            line=row.line,
            what=what,
            old_line=added.corrected.line,
            old=added.corrected_named,
        )
    )
    for sentence in added.said:
        output.show(sentence)
    return 0


def _says(words: Namespace) -> dict[str, str]:
    """What was typed of the row that is corrected, by column."""
    from genplan.cli.argument_types import each_once

    named = {name: getattr(words, name) for name in ("target", "adult", "location", "material_set")}
    if words.date is not None:
        named["date"] = words.date.isoformat()
    if words.time is not None:
        named["time"] = f"{words.time:%H:%M}"
    return {name: value for name, value in named.items() if value} | each_once(words.extra)
