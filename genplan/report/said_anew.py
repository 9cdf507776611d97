"""What `plan.json` says in sentences, said anew in the language of whoever reads it.

The file holds each sentence in the language of the files, and beside it the values of which it was made. What the
case does not know any more is told as it was written.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from genplan.case import Case, Combination, Week
from genplan.case.people import AbsenceKind, Reason
from genplan.evidence.mastery import CriterionMet, Lapse
from genplan.plan import Note, NoteKind, ObservedShare, Unkept, Unwritten, WishAnswer
from genplan.plan.observers import Hindered, Hindrance, Unwatched
from genplan.report.document import wish_document
from genplan.rules.limits import Limit
from genplan.text.notes import note_text
from genplan.text.observers import share_text
from genplan.text.wishes import answer_text

Document = Mapping[str, Any]


def notes_anew(case: Case, document: Document) -> list[str]:
    """The remarks on the week as a whole."""
    return [_anew(lambda one: note_text(case, note_of(one)), one) for one in document["remarks"]]


def wishes_anew(case: Case, document: Document) -> list[str]:
    """What became of each wish."""
    return [
        _anew(lambda one: answer_text(case, answer_of(one, case)), one) for one in document.get("wishes", ())
    ]


def observed_anew(case: Case, document: Document) -> list[str]:
    """How far second observers are there."""
    return [_anew(lambda one: share_text(case, share_of(one)), one) for one in document["observed"]]


def _anew(say: Callable[[Document], str], one: Document) -> str:
    try:
        return say(one)
    except (KeyError, ValueError, TypeError):  # of a case that was changed since, or of an older version
        return str(one["sentence"])


def note_of(item: Document) -> Note:
    """What an entry of `remarks` says."""
    kind = NoteKind(item["kind"])
    why, on, limit = item["why"], item.get("on"), item.get("limit")
    fell = kind in (NoteKind.FELL_THROUGH, NoteKind.FELL_AND_WAITS)
    if fell and not item["days"] and "limit" not in item:
        raise KeyError("limit")  # an older version left it out
    return Note(
        kind=kind,
        learner=item["learner"],
        target=item["target"],
        location=item["location"],
        adult=item.get("adult", ""),
        days=tuple(item["days"]),
        why=Reason(AbsenceKind(why["kind"]), why["note"]) if why else None,
        weeks=tuple(map(Week.parse, item["weeks"])),
        seen=_seen_of(kind, item["seen"]) if "seen" in item else None,
        on=date.fromisoformat(on) if on else None,
        kept=item.get("kept", 0),
        most=item.get("most", 0),
        early=item.get("early", 0),
        of=item.get("of", 0),
        combination=_combination(item.get("combination", {})),
        instead_of=tuple(map(_combination, item.get("instead_of", ()))),
        unwritten=tuple(map(_unwritten_of, item.get("unwritten", ()))),
        limit=Limit.of_document(limit) if limit else None,
    )


def answer_of(item: Document, case: Case) -> WishAnswer:
    """What an entry of `wishes` says of a wish that the case still has; ValueError of another."""
    if item["why"] == Unkept.UNKNOWN:
        raise ValueError("the hint at what may be meant is in the sentence alone")
    wishes = [(wish_document(wish), wish) for wish in case.wishes]

    def of(line: Any) -> Any:
        found = [wish for written, wish in wishes if written == line]
        if not found:
            raise ValueError(line)
        return found[0]

    return WishAnswer(
        wish=of(item["wish"]),
        kept=item["kept"],
        sitting=item["sitting"],
        why=Unkept(item["why"]) if item["why"] else None,
        limits=tuple(map(Limit.of_document, item["limits"])),
        against=tuple(map(of, item["against"])),
        proven=item["proven"],
        stay=tuple(item.get("stay", ())),
        broken_on=tuple(map(date.fromisoformat, item.get("broken_on", ()))),
    )


def share_of(item: Document) -> ObservedShare:
    """What an entry of `observed` says."""
    return ObservedShare(
        **{name: item[name] for name in ("learner", "probes", "observed", "new", "wanted", "without")},
        unwatched=Unwatched(item["unwatched"]) if item["unwatched"] else None,
        hindered=tuple(
            (Hindered(one["adult"], Hindrance(one["by"]), one["subject"]), one["sittings"])
            for one in item["hindered"]
        ),
    )


def _combination(named: Mapping[str, str]) -> Combination:
    return tuple(named.values())


def _seen_of(kind: NoteKind, item: Document) -> CriterionMet | Lapse:
    if kind is NoteKind.CRITERION_MET:
        return CriterionMet(**{**item, "since": date.fromisoformat(item["since"])})
    return Lapse(**{**item, "combination": tuple(item["combination"]), "on": date.fromisoformat(item["on"])})


def _unwritten_of(item: Document) -> Unwritten:
    return Unwritten(
        learner=item["learner"],
        adult=item["adult"],
        on=date.fromisoformat(item["on"]),
        targets=tuple(item["targets"]),
    )
