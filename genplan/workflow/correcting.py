"""A correction: a new row that counts in the place of one in results.csv."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.errors import UsageError
from genplan.language import N_, _, and_list, said
from genplan.workflow.doubts import Doubts, NotAdded, Sure, as_read
from genplan.workflow.doubts_of_trials import other_trials
from genplan.workflow.opened_case import Opened, open_case
from genplan.workflow.recording import COUNTS, Added, add_rows

if TYPE_CHECKING:
    from genplan.evidence.log import Log, Result

_KEPT = {
    "prompted": N_("correct with help (prompted)"),
    "observer_correct": N_("correct by the observer"),
    "steps_kept": N_("steps kept"),
}
"""Counts that a correction may leave out, with their words."""
_MARKS = {"marks": N_("marks"), "observer_marks": N_("observer's marks")}


def correct(
    folder: Path,
    line: int,
    changes: Mapping[str, str],
    now: datetime | None,
    says: Mapping[str, str] | None = None,
    digest: str = "",
    sure: Sure = lambda _: True,
) -> Added:
    """Adds a row that counts in place of one in results.csv: the same probe or teaching with other counts, or that the
    teaching was not run. What `changes` leaves out stays as it was, and that is said.

    A file may be sorted between a look at its lines and this, so the row is named by what it says too: by cells of it,
    `says`, that no other row has, or by the digest of all of them. Raises UsageError for a row that is not there or is
    not the only one so named, holds no probe, or is corrected already, NotAdded if it would have other trials than the
    target, or a form leaves counts as they were for another number of trials, and that is not wanted."""
    from genplan.evidence.effective_rows import corrected_by
    from genplan.evidence.log import ResultKind
    from genplan.evidence.marks import MARKS
    from genplan.evidence.row_identity import cells_of, in_names

    opened = open_case(folder, now)
    old = with_digest(opened, opened.log, digest) if digest else _that_says(opened, line, says or {})
    _refuse_to_correct(old, changes)
    if later := corrected_by(opened.log.results).get(old.line):
        raise UsageError(counts_no_more(opened, old, later, on_a_screen=bool(digest)))
    cells = cells_of(opened.case.targets[old.target], old)
    if digest:  # a form shows all cells: what was left as it was is not said anew
        changes = {name: cell for name, cell in changes.items() if cell != cells[name]}
        if not changes:
            raise UsageError(_("Nothing was changed, so nothing was written: the row stays as it is."))
        if cells["trials"] and any(changes.get(name) for name in MARKS):  # which are held against it
            changes = {"trials": cells["trials"], **changes}
    if changes.get("kind") == ResultKind.NOT_RUN:
        changes = dict.fromkeys(("trials", *_KEPT, "correct", "observer", *MARKS, "steps_kept"), "") | dict(
            changes
        )
    changes, gone = _with_marks(cells, changes)
    kept = {name: cells[name] for name in _KEPT if name not in changes and cells[name]}
    stale = _not_of_these_trials(cells, changes, in_a_form=bool(digest))
    if stale and not digest:
        raise UsageError(" ".join((*stale, _("Nothing was written: say these counts anew, too."))))
    meant = {**cells, **_marks_that_say_no_more(cells, changes), **changes}
    if meant["kind"] == ResultKind.TEACHING and not meant["trials"] and any(meant[name] for name in COUNTS):
        meant["trials"] = str(opened.case.targets[old.target].trials)
    counts = [meant[n] for n in ("correct", "prompted", "trials")]
    if "prompted" in kept and all(map(str.isdecimal, counts)):
        right, helped, trials = map(int, counts)
        if right + helped > trials >= right:
            raise UsageError(
                _(
                    "Line {line} has {helped} correct with help (prompted), too many beside {right} of {trials} "
                    "correct without. Nothing was written: say how many are correct with help, too.",
                    line=old.line,
                    helped=helped,
                    right=right,
                    trials=trials,
                )
            )
    rows = [r for r in as_read(opened, [meant], old.line) if r.trials != old.trials]
    doubts = Doubts(trials=(*other_trials(opened, rows), *stale))
    if doubts.sentences and not sure(doubts):
        raise NotAdded(doubts.each)
    added = add_rows(opened, [meant], corrects=True)
    if kept and not digest:
        stays = ", ".join(f"{value} {said(_KEPT[name])}" for name, value in kept.items())
        gone = (
            _("What was not said anew stays as on line {line}: {counts}.", line=old.line, counts=stays),
            *gone,
        )
    named = in_names(opened.case, old)
    return replace(added, corrected=old, corrected_named=named, said=(*added.said, *gone))


def _with_marks(
    cells: Mapping[str, str], changes: Mapping[str, str]
) -> tuple[Mapping[str, str], tuple[str, ...]]:
    """The changes with the counts that new marks say, and without old marks that new counts contradict, which is told:
    marks of another count are of no use to anybody."""
    from genplan.evidence.marks import MARKS, against_counts, filled_by_marks

    new = {name: changes[name] for name in MARKS if changes.get(name)}
    counted = filled_by_marks({**dict.fromkeys(COUNTS, ""), **new})
    meant = {**{n: c for n, c in counted.items() if c}, **changes}
    numbers = {n: int(c) for n in ("trials", *COUNTS) if (c := {**cells, **meant}.get(n, "")).isdecimal()}
    gone = {
        name: ""
        for name in MARKS
        if name not in changes and cells[name] and any(against_counts(name, cells[name], numbers))
    }
    if not gone:
        return meant, ()
    words = and_list([said(_MARKS[name]) for name in gone])
    return {**meant, **gone}, (
        _("The {words} of the row do not fit these counts and are left out.", words=words),
    )


def _not_of_these_trials(
    cells: Mapping[str, str], changes: Mapping[str, str], *, in_a_form: bool
) -> tuple[str, ...]:
    """A sentence on counts of another number of trials, which are none of the new one's, but for a 0 that a form shows
    beside it."""
    if not changes.get("trials") or changes["trials"] == cells["trials"] or not cells["trials"]:
        return ()
    words = {"correct": _("correct without help"), **_KEPT}
    stale = [
        f"{cells[name]} {said(what)}"
        for name, what in words.items()
        if cells[name] and name not in changes and not (in_a_form and cells[name] == "0")
    ]
    if not stale:
        return ()
    return (
        _(
            "The row has {counts}, of {trials} trials and not of {trials_now}.",
            counts=", ".join(stale),
            trials=cells["trials"],
            trials_now=changes["trials"],
        ),
    )


def _marks_that_say_no_more(cells: Mapping[str, str], changes: Mapping[str, str]) -> dict[str, str]:
    """Signs try by try are not taken over where the counts that they make are others: they are left empty."""
    made_of = {"marks": ("trials", "correct", "prompted"), "observer_marks": ("trials", "observer_correct")}
    return {
        marks: ""
        for marks, counts in made_of.items()
        if cells.get(marks) and any(changes.get(name, cells[name]) != cells[name] for name in counts)
    }


def _refuse_to_correct(old: Result, changes: Mapping[str, str]) -> None:
    """What no later row can speak of for certain."""
    from genplan.evidence.log import ResultKind
    from genplan.evidence.taken_back import TAKEN_BACK

    not_run = changes.get("kind") == ResultKind.NOT_RUN
    by_hand = _(
        "If it never happened, take it back on the page, or write '{kind}' there as its kind and the reason as its "
        "note.",
        kind=f"{TAKEN_BACK}{old.kind.value}",
    )
    if old.kind is ResultKind.NOT_RUN:
        raise UsageError(
            _(
                "Line {line} is 'not run', which no later row can correct. Add what was run as a row of its own.",
                line=old.line,
            )
        )
    if old.kind.is_probe and not_run:
        raise UsageError(
            _(
                "Line {line} is a probe, and only its counts can be corrected. {by_hand}",
                line=old.line,
                by_hand=by_hand,
            )
        )
    if not old.kind.is_probe and old.time is None:
        raise UsageError(
            _(
                "Line {line} is a teaching without a time: a later row could be a second one of that day. "
                "{by_hand} If its counts are wrong, correct them there.",
                line=old.line,
                by_hand=by_hand,
            )
        )
    if not_run and not changes.get("note"):
        raise UsageError(_("Why was it not run? Nothing was added: give the reason as the note."))


def counts_no_more(opened: Opened, old: Result, later: int, *, on_a_screen: bool) -> str:
    """That another row counts in the place of one already. Lines are said where they are typed."""
    from genplan.evidence.row_identity import in_names

    now = in_names(opened.case, next(r for r in opened.log.results if r.line == later))
    if on_a_screen:
        return _(
            "Somebody put this row right meanwhile, and another counts in its place: {now}. Nothing was changed:"
            " put that one right, if need be.",
            now=now,
        )
    return _(
        "Line {line} counts no more: line {later} counts in its place: {now}. Nothing was added: correct that one, if"
        " need be.",
        line=old.line,
        later=later,
        now=now,
    )


def with_digest(opened: Opened, log: Log, digest: str) -> Result:
    """The row that was looked at, wherever it stands now; of two that say the same, the one that counts."""
    from genplan.evidence.row_identity import digest_of

    found = [r for r in log.results if digest_of(opened.case.targets[r.target], r) == digest]
    if not found:
        raise UsageError(
            _(
                "The row that was to be corrected is not in results.csv any more, or says "
                "something else now. Nothing was written: look at the rows again."
            )
        )
    return max(found, key=lambda r: r.line)


def _that_says(opened: Opened, line: int, says: Mapping[str, str]) -> Result:
    """The row on a line, if it and no other probe says so."""
    from genplan.evidence.effective_rows import corrected_by, probe_of
    from genplan.evidence.row_identity import in_words, rows_that_say

    old = next((r for r in opened.log.results if r.line == line), None)
    if old is None:
        raise UsageError(
            _(
                "results.csv has no row that starts on line {line}. 'genplan history' shows the lines.",
                line=line,
            )
        )
    now = _("Line {line} says: {old}.", line=line, old=in_words(old))
    gone = corrected_by(opened.log.results)
    found = [
        r for r in rows_that_say(opened.log, opened.case.targets, says) if r.line not in gone or r == old
    ]
    if old not in found:
        there = _(" What you say is on line {line}.", line=found[0].line) if len(found) == 1 else ""
        raise UsageError(
            _("{now} That is not what you say of it, so nothing was written.{there}", now=now, there=there)
        )
    if not {"target", "date"} <= says.keys():
        raise UsageError(
            _(
                "{now} Lines move when the file is sorted: if that is the row you mean, "
                "say so with its target and its date too. Nothing was written.",
                now=now,
            )
        )
    others = [
        r
        for r in found
        if (r.kind.is_test, r.kind.is_probe) == (old.kind.is_test, old.kind.is_probe)
        and probe_of(r) != probe_of(old)
    ]
    if others:
        raise UsageError(
            _(
                "{now} Line {line} fits what you say of it too: {other}. Say more of the row that you "
                "mean: its adult, location, material set or time. Nothing was written.",
                now=now,
                line=others[0].line,
                other=in_words(others[0]),
            )
        )
    return old
