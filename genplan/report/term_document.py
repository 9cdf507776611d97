"""term.json: the plan of a term for programs. The form is that of plan.json."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from genplan.case import Case
from genplan.coverage.tuples import Tuple
from genplan.plan import StageStatus
from genplan.plan.term import Term, TermCheck, TermDate, TermLoad, TermProbe
from genplan.report.document import FORMAT, encoded
from genplan.report.names_and_words import Names
from genplan.report.term_in_the_way import shortage_sentence
from genplan.report.term_promises import hanging_sentences
from genplan.report.term_words import bound_sentence, not_possible_sentence, tried_sentence

STATUS = {
    StageStatus.OPTIMAL: "bound reached",
    StageStatus.BEST_SO_FAR: "bound not reached",
    StageStatus.STOPPED: "stopped",
}
"""Of the dates for which there is room, counted by day and week. No week of it is planned, so none of these says
'optimal'."""


def term_json(case: Case, term: Term, now: datetime) -> bytes:
    return encoded(
        {
            "format": FORMAT,
            "now": now.isoformat(),
            "timezone": case.timezone.key,
            "repeatable": term.repeatable,
            "weeks": [str(week) for week in term.weeks],
            "told": [str(week) for week in term.told],
            "kept": term.kept,
            "bound": term.bound,
            "bound_beside_due": term.bound_beside_due,
            "status": STATUS[term.status],
            "words": bound_sentence(term) if term.dates else None,
            "dates": [_date(case, term, d) for d in term.dates],
            "probes": [_probe(case, term, p) for p in term.probes],
            "due": [_check(case, term, c) for c in term.checks],
            "loads": [_load(x) for x in term.loads],
            "over": [_outside(case, *place) for place in term.over],
            "later": [_outside(case, *place) for place in term.later],
            "still_taught": [_outside(case, *place) for place in term.still_taught],
            "not_met": [
                {
                    "learner": t.learner,
                    **_outside(case, t.target, t.place),
                    "to_teach": t.to_teach,
                    "retests": t.retests,
                    "held_back": t.held_back,
                    "retest_from": t.retest_from.isoformat() if t.retest_from else None,
                    "words": tried_sentence(Names(case), t),
                }
                for t in term.tried
            ],
            "not_possible": [
                {
                    **_outside(case, n.target, n.place),
                    "possible_from": n.possible_from.isoformat() if n.possible_from else None,
                    "words": not_possible_sentence(Names(case), n),
                }
                for n in term.not_possible
            ],
        }
    )


def _outside(case: Case, target: str, place: int) -> dict[str, Any]:
    wish = case.targets[target].first[place]
    return {"target": target, "pattern": dict(wish.pattern), "by": wish.by.isoformat() if wish.by else None}


def _date(case: Case, term: Term, found: TermDate) -> dict[str, Any]:
    names = Names(case)
    return {
        "learner": found.learner,
        **_outside(case, found.target, found.place),
        "promise": found.promise.value,
        "tuples": _tuples(found.tuples),
        "shown": _tuples(found.shown),
        "no_way": _tuples(frozenset(found.no_way)),
        "hangs_on": [one.limit.kind.value for one in found.hangs_on],
        "hangs_on_words": list(hanging_sentences(names, found)),
        "no_way_why": [why.value for _, why in sorted(found.no_way.items())],
        "short": [
            {
                "whose": s.whose.value,
                "names": list(s.names),
                "unit": s.unit.value,
                "weeks": [str(term.weeks[i]) for i in s.weeks],
                "words": shortage_sentence(names, term, s),
            }
            for s in found.short
        ],
    }


def _tuples(some: frozenset[Tuple]) -> list[dict[str, str]]:
    return [dict(t) for t in sorted(some)]


def _check(case: Case, term: Term, check: TermCheck) -> dict[str, Any]:
    return {
        "learner": check.learner,
        "target": check.target,
        "kind": check.kind.value,
        "due": check.due.isoformat(),
        "probe": _probe(case, term, check.probe) if check.probe else None,
    }


def _probe(case: Case, term: Term, probe: TermProbe) -> dict[str, Any]:
    days = term.weeks[probe.week].days
    values = zip(case.targets[probe.target].dimension_names, probe.combination, strict=True)
    return {
        "week": str(term.weeks[probe.week]),
        "from": days[probe.first].isoformat(),
        "until": days[probe.last].isoformat(),
        "learner": probe.learner,
        "target": probe.target,
        "values": dict(values),
    }


def _load(load: TermLoad) -> dict[str, Any]:
    return {
        "whose": load.whose.value,
        "id": load.name,
        "used": list(load.used),
        "free": list(load.free),
        "sittings": list(load.sittings),
        "most_sittings": list(load.most_sittings),
    }
