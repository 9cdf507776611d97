"""plan.json and run.json: the plan, and how the run went, for programs.

`format` is 1 and rises only if the meaning of a key changes; new keys may be added. Keys stand in a fixed
order. Moments are ISO 8601 with offset. A number that is not finite (a bound that nobody proved) is null.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Sequence
from dataclasses import asdict, replace
from datetime import date
from functools import cache
from typing import Any

from genplan.case import Case, Combination
from genplan.case.possible import Obstacle
from genplan.case.wishes_of_planners import PlannersWish
from genplan.casefile.change_entries import WishEntry
from genplan.casefile.tree import Leaf, Node
from genplan.coverage.matrix import MatrixRow
from genplan.evidence.mastery import CriterionMet, Lapse
from genplan.keeping.json_fields import as_written
from genplan.keeping.store import probe_document
from genplan.plan import (
    LeftOut,
    MissedDate,
    Note,
    NoteKind,
    Objective,
    ObservedShare,
    Plan,
    ProbeKind,
    RunReport,
    Sitting,
    Unwritten,
    WishAnswer,
    ids_of,
)
from genplan.rules.limits import Limit
from genplan.text.left_out import what_text
from genplan.text.limits import limit_sentence
from genplan.text.matrix_rows import row_text
from genplan.text.notes import note_text, remarks
from genplan.text.objectives import objective_words
from genplan.text.observers import share_text
from genplan.text.wishes import answer_text, reason_text, wish_text

FORMAT = 1


def plan_document(case: Case, plan: Plan) -> dict[str, Any]:
    """Everything of the plan as plain lists, mappings, texts and numbers."""
    planned = {key: ids_of(sittings) for key, sittings in plan.planned().items()}
    return {
        "format": FORMAT,
        "week": str(plan.week),
        "now": plan.now.isoformat(),
        "timezone": case.timezone.key,
        "repeatable": plan.repeatable,
        "objectives": [_objective(plan, o) for o in plan.objectives],
        **(_people_told(plan.people_told) if plan.people_told is not None else {}),
        "alone": {learner: _number(most) for learner, most in plan.alone.items()},
        **({"before": asdict(plan.before)} if plan.before.weeks else {}),
        "dated": plan.dated,
        **({"missed": [_missed(case, m) for m in plan.missed]} if plan.missed else {}),
        "last_chances": [_wish(case, target, at) for target, at in sorted(plan.last_chances)],
        **({} if plan.turns is None else {"turns": [_catch_up(plan, *one) for one in plan.turns]}),
        **({"catch_up": [_catch_up(plan, *one) for one in plan.catch_up]} if plan.catch_up else {}),
        **({"wishes": [_answer(case, a) for a in plan.wishes]} if plan.wishes else {}),
        **({"staying": [s.id for s in plan.staying]} if plan.staying else {}),
        "sittings": [_sitting(case, s) for s in plan.sittings],
        "coverage": [asdict(c) for c in plan.coverage],
        "left_out": _left_out(case, plan.left_out),
        "matrix": [_matrix_row(case, r, planned.get((r.target, r.combination))) for r in plan.matrix],
        "observed": [_observed(case, o) for o in plan.observed],
        "notes": list(remarks(case, plan)),
        "remarks": [_note(case, n) for n in plan.notes],
    }


def _people_told(people: Sequence[tuple[str, str]]) -> dict[str, Any]:
    return {"people_told": len(people), "told_people": [id_ for _, id_ in people]}


def plan_json(case: Case, plan: Plan) -> bytes:
    return encoded(plan_document(case, plan))


def run_json(run: RunReport) -> bytes:
    """The one file that may differ between two runs of the same input."""
    parts = {"seconds": run.seconds, "steps": list(run.steps), "sizes": run.sizes, "versions": run.versions}
    return encoded({"format": FORMAT, **parts, "answers": run.answers})


def _objective(plan: Plan, objective: Objective) -> dict[str, Any]:
    return {
        "name": objective.name,
        "words": objective_words(objective, by_term=plan.turns is not None, weeks_before=plan.before.weeks),
        "sense": objective.sense,
        "value": _number(objective.value),
        "bound": _number(objective.bound),
        "status": objective.status.value,
    }


def _sitting(case: Case, sitting: Sitting) -> dict[str, Any]:
    names = ("id", "learner", "adult", "location", "start", "end", "begun", "beside", "beside_as")
    return {**as_written(sitting, *names), "probes": [probe_document(p, case) for p in sitting.probes]}


def _wish(case: Case, target: str, at: int) -> dict[str, Any]:
    wish = case.targets[target].first[at]
    return {"target": target, "pattern": dict(wish.pattern), **as_written(wish, "by")}


def _catch_up(plan: Plan, target: str, values: Iterable[tuple[str, str]], until: int) -> dict[str, Any]:
    return {"target": target, "values": dict(values), "until": plan.week.days[until].isoformat()}


def _answer(case: Case, answer: WishAnswer) -> dict[str, Any]:
    """A wish as its line says it, and what became of it."""
    return {
        "wish": wish_document(answer.wish),
        "words": wish_text(case, answer.wish),
        "sentence": answer_text(case, answer),
        **as_written(answer, "kept", "sitting"),
        "why": answer.why.value if answer.why else None,
        "reason": reason_text(case, answer) if answer.why else None,
        "limits": [limit.document() for limit in answer.limits],
        "against": [wish_document(w) for w in answer.against],
        **as_written(answer, "proven"),
        **({"stay": list(answer.stay)} if answer.stay else {}),
        **({"broken_on": [day.isoformat() for day in answer.broken_on]} if answer.broken_on else {}),
    }


def wish_document(wish: PlannersWish) -> Any:
    """As it stands in the file, without the note: why somebody wishes it is for the family alone."""
    return _texts(WishEntry(replace(wish, note="")).node())


def _texts(node: Node) -> Any:
    if isinstance(node, Leaf):
        return node.text
    return (
        [_texts(n) for n in node] if isinstance(node, list) else {key: _texts(n) for key, n in node.items()}
    )


def _observed(case: Case, observed: ObservedShare) -> dict[str, Any]:
    return {
        **as_written(observed, "learner", "probes", "observed", "new", "wanted"),
        "sentence": share_text(case, observed),
        **as_written(observed, "unwatched", "without"),
        "hindered": [
            {"adult": one.adult, "by": one.by.value, "subject": one.subject, "sittings": number}
            for one, number in observed.hindered
        ],
    }


def _note(case: Case, note: Note) -> dict[str, Any]:
    return {
        **as_written(note, "kind", "learner", "target", "location"),
        "days": list(note.days),
        "why": {"kind": note.why.kind.value, "note": note.why.note} if note.why else None,
        "weeks": list(map(str, note.weeks)),
        "sentence": note_text(case, note),
        **({"adult": note.adult} if note.adult else {}),
        **({"seen": _seen(note.seen)} if note.seen else {}),
        **(_in_place(case, note) if note.instead_of else {}),
        **(_not_run(case, note) if note.on else {}),
        **(_unplanned(case, note) if note.kind is NoteKind.UNPLANNED else {}),
        **({"kept": note.kept, "most": note.most} if note.kind is NoteKind.TERM else {}),
        **({"early": note.early} if note.kind is NoteKind.CATCH_UP else {}),
        **({"of": note.of} if note.of else {}),
        **({"unwritten": [_unwritten(one) for one in note.unwritten]} if note.unwritten else {}),
    }


def _unwritten(one: Unwritten) -> dict[str, Any]:
    return {**as_written(one, "learner", "adult", "on"), "targets": list(one.targets)}


def _not_run(case: Case, note: Note) -> dict[str, Any]:
    assert note.on is not None
    return {
        "combination": _named(case, note.target, note.combination),
        "on": note.on.isoformat(),
        **({} if note.days else {"limit": note.limit.document() if note.limit else None}),
    }


def _unplanned(case: Case, note: Note) -> dict[str, Any]:
    return {"combination": _named(case, note.target, note.combination)}


def _in_place(case: Case, note: Note) -> dict[str, Any]:
    return {
        "combination": _named(case, note.target, note.combination),
        "instead_of": [_named(case, note.target, c) for c in note.instead_of],
    }


def _seen(seen: CriterionMet | Lapse) -> dict[str, Any]:
    """Dates as ISO 8601 writes them."""
    return {k: v.isoformat() if isinstance(v, date) else v for k, v in asdict(seen).items()}


def _left_out(case: Case, left_out: Iterable[LeftOut]) -> list[dict[str, Any]]:
    """Thousands may be left out for the same few limits, each of which is said once."""

    @cache
    def said(limit: Limit) -> tuple[str, dict[str, Any]]:
        return limit_sentence(case, limit), limit.document()

    return [_one_left_out(case, x, *said(x.limit)) for x in left_out]


def _one_left_out(case: Case, left_out: LeftOut, reason: str, limit: dict[str, Any]) -> dict[str, Any]:
    return {
        **as_written(left_out, "learner", "target", "kind"),
        "what": what_text(case, left_out),
        "rule": left_out.rule,
        "reason": reason,
        "tuples": left_out.tuples,
        "limit": limit,
        "values": dict(left_out.values),
        **as_written(left_out, "due"),
        **(as_written(left_out, "teachings") if left_out.teachings else {}),
        **_instead(case, left_out),
    }


def _missed(case: Case, missed: MissedDate) -> dict[str, Any]:
    item = missed.item
    return {
        **as_written(item, "learner", "target"),
        "values": dict(item.values),
        **as_written(missed, "by", "shown", "told"),
        "reason": limit_sentence(case, item.limit),
        "limit": item.limit.document(),
    }


def missed_of(item: dict[str, Any]) -> MissedDate:
    """What an entry of `missed` says."""
    left_out = LeftOut(
        learner=item["learner"],
        target=item["target"],
        kind=ProbeKind.NEW,
        values=tuple(item["values"].items()),
        limit=Limit.of_document(item["limit"]),
    )
    shown = date.fromisoformat(item["shown"]) if item["shown"] else None
    return MissedDate(item=left_out, by=date.fromisoformat(item["by"]), shown=shown, told=item["told"])


def _instead(case: Case, of: LeftOut | MatrixRow) -> dict[str, Any]:
    """The failures in whose place something is taught, if it is."""
    return {"instead_of": [_named(case, of.target, c) for c in of.instead_of]} if of.instead_of else {}


def left_out_of(item: dict[str, Any]) -> LeftOut:
    """What an entry of `left_out` says."""
    return LeftOut(
        learner=item["learner"],
        target=item["target"],
        kind=ProbeKind(item["kind"]),
        values=tuple(item["values"].items()),
        limit=Limit.of_document(item["limit"]),
        tuples=item["tuples"],
        due=date.fromisoformat(item["due"]) if item["due"] else None,
        teachings=item.get("teachings", 0),
        instead_of=tuple(tuple(failed.values()) for failed in item.get("instead_of", ())),
    )


def _matrix_row(case: Case, row: MatrixRow, planned: str | None) -> dict[str, Any]:
    return {
        "learner": row.learner,
        "target": row.target,
        "combination": _named(case, row.target, row.combination),
        "status": row.status,
        **as_written(row.standing, "tested", "retest_due", "last_date", "correct", "trials"),
        **(as_written(row.standing, "teachings", "retest_from") if case.policy.plan_teaching else {}),
        "planned": planned,
        "why": row_text(case, row),
        "obstacle": _obstacle(row.obstacle) if row.obstacle else None,
        **_instead(case, row),
    }


def _obstacle(against: Obstacle) -> dict[str, Any]:
    return {"rule": against.rule.value, "values": dict(against.values), "found": list(against.found)}


def _named(case: Case, target: str, combination: Combination) -> dict[str, str]:
    return dict(zip(case.targets[target].dimension_names, combination, strict=True))


def _number(value: float) -> int | float | None:
    """A whole number without a point, nothing for what is not finite."""
    if not math.isfinite(value):
        return None
    return int(value) if value == int(value) else value


def encoded(document: dict[str, Any]) -> bytes:
    """UTF-8, each key on a line of its own and each item of a list; a lone surrogate, which UTF-8 cannot hold, is
    written as JSON's own escape. What is written with all its levels apart takes Python ten times as long, and half as
    much room again."""
    lines = (f"  {_compact(key)}: {_items(value)}" for key, value in document.items())
    return "{{\n{}\n}}\n".format(",\n".join(lines)).encode("utf-8", "backslashreplace")


def _items(value: Any) -> str:
    if not isinstance(value, list) or not value:
        return _compact(value)
    items = ",\n".join(f"    {_compact(item)}" for item in value)
    return f"[\n{items}\n  ]"


_compact = json.JSONEncoder(ensure_ascii=False, allow_nan=False).encode
"""`json.dumps` makes such an encoder for each value that it writes."""
