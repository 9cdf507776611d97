"""What is handed on: one adult's part of the kept weeks, or a copy of the case in which nobody can be known."""

from __future__ import annotations

import secrets
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Absence, Week
from genplan.errors import CaseError, FileError, UsageError
from genplan.findings import Finding
from genplan.language import _
from genplan.workflow.meant_by_name import known_id
from genplan.workflow.opened_case import Opened, Progress, errors_of, kept_ahead, known_busy, open_case

if TYPE_CHECKING:
    from genplan.casefile.tree import Node
    from genplan.sharing.pseudonyms import Pseudonyms

ZIP = ".zip"
BUSY_WEEKS = 14
"""So many weeks of busy times go into a copy, from the week of now on."""


@dataclass(frozen=True)
class Shared:
    """`files` are the names of what was written, `sentence` says what it is."""

    files: tuple[str, ...]
    sentence: str
    findings: tuple[Finding, ...] = ()


def weeks_to_share(opened: Opened) -> list[Week]:
    """The kept weeks that are not over."""
    return kept_ahead(opened.folder, opened.now)


def share_part(folder: Path, adult: str, out: Path, now: datetime | None) -> Shared:
    """Writes one adult's part of the kept weeks that are not over into a folder, or into a file that ends in .zip.
    Raises UsageError for an adult that the case does not have, or if no week was kept; FileError."""
    from genplan.report.names_and_words import Names
    from genplan.sharing.adult_part import part_of
    from genplan.workflow.week_as_told import open_to_tell, told_week_in_force

    opened, unread = open_to_tell(folder, now)
    adult = known_id(opened.case, "adults", adult)
    weeks = weeks_to_share(opened)
    if not weeks:
        raise UsageError(
            _("No kept week is still ahead, so there is nothing to share yet. 'genplan keep' keeps one.")
        )
    told = [told_week_in_force(opened, week, unread) for week in weeks]
    parts = (part_of(opened.case, t.hand_out(), adult, off=t.off) for t in told)
    files = {name: data for part in parts for name, data in part.items()}
    _write(out, files, folder)
    spans = ", ".join(map(str, weeks))
    words = _(
        "The part of {adult} in {spans}: children by alias, nobody else's sittings.",
        adult=Names(opened.case).adult(adult),
        spans=spans,
    )
    not_known = dict.fromkeys(sentence for t in told for sentence in t.unread)
    return Shared(tuple(files), " ".join((words, *not_known)), opened.findings)


def share_copy(
    folder: Path,
    out: Path,
    now: datetime | None,
    progress: Progress,
    shift_weeks: int | None = None,
    secret: int | None = None,
) -> Shared:
    """Writes a copy of the case in other words, with all dates moved by a secret number of weeks and all ids numbered
    by a secret lot unless they are given. A case with errors is copied without its results, busy times and kept weeks.
    Raises CaseError if its files cannot be read, FileError with nothing changed."""
    from genplan.casefile import load
    from genplan.casefile.diagnostics import Diagnostics
    from genplan.casefile.folder import read_folder
    from genplan.casefile.said_once import written_out
    from genplan.sharing.anonymous_copy import about_text, case_text, holidays_of
    from genplan.sharing.pseudonyms import pseudonyms_of

    notes = Diagnostics(str(folder))
    tree = _with_own_policy(folder, read_folder(folder, notes))
    if errors := errors_of(tuple(notes.findings)):
        raise CaseError(errors)
    # what is wrong in it is told of the case itself
    tree = written_out(tree, Diagnostics(str(folder)))
    loaded = load(folder)
    if unread := [f for f in errors_of(loaded.findings) if not f.key]:
        raise CaseError(unread)
    opened = _opened(folder, now) if loaded.case else None
    moment = opened.wall if opened else (now or datetime.now()).replace(tzinfo=None)
    shift = timedelta(weeks=shift_weeks if shift_weeks is not None else _secret_shift(opened, moment))
    disguise = pseudonyms_of(tree, shift, secrets.randbits(128) if secret is None else secret)
    week = Week.of(moment.date()).next()
    sets = loaded.case.material_sets.values() if loaded.case else ()
    by_name = {m.id: m for m in sets if m.by_name or m.hazards_by_name or m.is_small_by_name}
    case = case_text(tree, disguise, holidays_of(opened.case) if opened else {}, by_name)
    files = {"case.yaml": case, "ABOUT.txt": about_text(moment + shift, disguise.week(week))}
    if opened:
        files |= dict(_beside(opened, disguise, progress))
    _write(out, files, folder)
    words = _(
        "A copy in other words. Your week {week} is {other_week} "
        "in it; ABOUT.txt says what can still be read.",
        week=week,
        other_week=disguise.week(week),
    )
    if not opened:
        words += _(" The case has errors, so its results, busy times and kept weeks are not in it.")
    return Shared(tuple(files), words, loaded.findings)


def _opened(folder: Path, now: datetime | None) -> Opened | None:
    """None if the results have errors: they are a part of what is wrong, and no reason to hand on nothing."""
    try:
        return open_case(folder, now)
    except CaseError:
        return None


def _with_own_policy(folder: Path, tree: Mapping[str, Node]) -> dict[str, Node]:
    """The tree with the keys of policy files in place of their paths."""
    from genplan.casefile.diagnostics import Diagnostics
    from genplan.casefile.keys.policy import LIKE
    from genplan.casefile.policies import is_path, whole_policy
    from genplan.casefile.tree import Leaf

    policy = tree.get("policy")
    named = policy.get(LIKE) if isinstance(policy, dict) else policy
    if policy is None or not isinstance(named, Leaf) or not is_path(named.text):
        return dict(tree)
    return {**tree, "policy": whole_policy(policy, folder, Diagnostics("")) or policy}


def _secret_shift(opened: Opened | None, now: datetime) -> int:
    from genplan.sharing.anonymous_copy import SHIFTS, possible_shifts

    return secrets.choice((opened and possible_shifts(opened.case, now.date())) or list(SHIFTS))


def _beside(opened: Opened, disguise: Pseudonyms, progress: Progress) -> Iterator[tuple[str, bytes]]:
    """Results, busy times and kept weeks."""
    from genplan.keeping.store import kept_weeks, read_kept
    from genplan.sharing.anonymous_copy import busy_text, results_text, week_files

    yield "results.csv", results_text(opened.case, opened.log, disguise)
    if any(a.busy for a in opened.case.adults.values()):
        progress(_("reading busy times"))
        for name, stretches in _busy(opened).items():
            yield f"{disguise.text('busy/adult-', name)}.ics", busy_text(stretches, disguise)
    kept = [k for w in kept_weeks(opened.folder) if (k := read_kept(opened.folder, w, opened.case))]
    yield from week_files(opened.case, kept, disguise)


def _busy(opened: Opened) -> dict[str, list[Absence]]:
    """The busy times of each calendar in the weeks ahead."""
    found: dict[str, list[Absence]] = {a.busy: [] for a in opened.case.adults.values() if a.busy}
    weeks = Week.of(opened.now.date()).run(BUSY_WEEKS)
    absences, _findings = known_busy(opened.loaded, opened.case, weeks[0], weeks[-1])
    for id_, stretches in absences.items():
        if name := opened.case.adults[id_].busy:
            found[name] += stretches
    return found


def _write(out: Path, files: Mapping[str, bytes], case: Path) -> None:
    from genplan.folders import write_file, write_folder, zipped

    if out.resolve().is_relative_to(case.resolve()):
        raise FileError(
            _(
                "{out} lies in the case folder. Name a place beside it, so that it is not taken for a part of it.",
                out=out,
            )
        )
    if out.suffix.lower() == ZIP:
        write_file(out, zipped(files))
    else:
        write_folder(out, files)
