"""`told.json` in `weeks/WEEK/`: what was told, for the program; the same week gives the same bytes."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from genplan.case import Case, Week
from genplan.errors import CaseError, FileError
from genplan.findings import Finding
from genplan.keeping.told import KeptWeek, Left, Told
from genplan.plan import Probe, ProbeKind, Sitting

FOLDER = "weeks"
FILE = "told.json"
FORMAT = 1
RESTORE = "put the file back from a copy, or take the week's folder away: then nobody counts as told"


def folder_of(case_folder: Path, week: Week) -> Path:
    return case_folder / FOLDER / str(week)


def kept_weeks(case_folder: Path) -> tuple[Week, ...]:
    """The weeks that were kept, in order of time; folders of other names are not the program's."""
    found = []
    for path in sorted((case_folder / FOLDER).glob(f"*/{FILE}")):
        try:
            found.append(Week.parse(path.parent.name))
        except ValueError:
            continue
    return tuple(sorted(found))


def read_kept(case_folder: Path, week: Week, case: Case) -> KeptWeek | None:
    """What was told of a week, or None. Raises FileError if the file cannot be opened, CaseError if it cannot be
    understood or names what the case does not have any more in a sitting that is not cancelled."""
    path = folder_of(case_folder, week) / FILE
    name = f"{FOLDER}/{week}/{FILE}"
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise FileError(f"{path} could not be read: {error.strerror}.") from error
    try:
        kept = _kept_week(json.loads(data), case)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        finding = Finding(
            name, 0, "", "a file that cannot be understood", "what 'genplan keep' wrote", RESTORE
        )
        raise CaseError([finding]) from None
    if kept.week != week:
        raise CaseError(
            [Finding(name, 0, "week", f"the week {kept.week}", f"{week}, as its folder", RESTORE)]
        )
    return kept


def unknown_ids(kept: KeptWeek, case: Case) -> Iterator[tuple[Sitting, str]]:
    """Sittings that hold something the case does not have any more, each with the first such thing in words."""
    for sitting in kept.sittings:
        strange = next(_strange(sitting, case), None)
        if strange is not None:
            yield sitting, strange


def _strange(sitting: Sitting, case: Case) -> Iterator[str]:
    for thing, id_, known in (
        ("learner", sitting.learner, case.learners),
        ("adult", sitting.adult, case.adults),
        ("location", sitting.location, case.locations),
    ):
        if id_ not in known:
            yield f"the {thing} '{id_}'"
    for probe in sitting.probes:
        target = case.targets.get(probe.target)
        if target is None:
            yield f"the target '{probe.target}'"
        elif len(probe.combination) != len(target.dimensions):
            yield f"a combination of '{target.id}' with other dimensions"
        else:
            for dimension, value in zip(target.dimensions, probe.combination, strict=True):
                if value not in dimension.values:
                    yield f"'{value}', which '{target.id}' does not vary"


def kept_bytes(kept: KeptWeek, case: Case) -> bytes:
    document = {
        "format": FORMAT,
        "week": str(kept.week),
        "kept": kept.kept.isoformat(),
        "sittings": [_told_document(t, case) for t in kept.told],
    }
    return (json.dumps(document, ensure_ascii=False, indent=2) + "\n").encode("utf-8")


def _told_document(told: Told, case: Case) -> dict[str, Any]:
    s = told.sitting
    return {
        "id": s.id,
        "event": told.event,
        "sequence": told.sequence,
        "changed": told.changed.isoformat(),
        "use_sequence": told.use_sequence,
        "use_changed": told.use_changed.isoformat(),
        "until": told.until.isoformat(),
        "cancelled": told.cancelled,
        "learner": s.learner,
        "adult": s.adult,
        "location": s.location,
        "start": s.start.isoformat(),
        "end": s.end.isoformat(),
        "probes": [_probe_document(p, case) for p in s.probes],
        "left": [
            {
                "location": x.location,
                "start": x.start.isoformat(),
                "end": x.end.isoformat(),
                "until": x.until.isoformat(),
                "sequence": x.sequence,
                "changed": x.changed.isoformat(),
            }
            for x in told.left
        ],
    }


def _probe_document(probe: Probe, case: Case) -> dict[str, Any]:
    target = case.targets.get(probe.target)
    names = target.dimension_names if target else tuple(str(i) for i in range(len(probe.combination)))
    return {
        "target": probe.target,
        "kind": probe.kind.value,
        "combination": dict(zip(names, probe.combination, strict=False)),
        "trials": probe.trials,
        "new_tuples": probe.new_tuples,
    }


def _kept_week(document: Any, case: Case) -> KeptWeek:
    if document["format"] != FORMAT:
        raise ValueError("another format")
    told = tuple(_told(d, case) for d in document["sittings"])
    if len({t.event for t in told}) != len(told):
        raise ValueError("an event twice")
    return KeptWeek(Week.parse(document["week"]), _moment(document["kept"], case), told)


def _told(document: Mapping[str, Any], case: Case) -> Told:
    return Told(
        sitting_from(document, case),
        str(document["event"]),
        int(document["sequence"]),
        _moment(document["changed"], case),
        int(document["use_sequence"]),
        _moment(document["use_changed"], case),
        _moment(document["until"], case),
        settled=True,
        cancelled=bool(document["cancelled"]),
        left=tuple(_left(d, case) for d in document["left"]),
    )


def _left(document: Mapping[str, Any], case: Case) -> Left:
    start, end, until = (_moment(document[key], case) for key in ("start", "end", "until"))
    changed = _moment(document["changed"], case)
    return Left(str(document["location"]), start, end, until, int(document["sequence"]), changed)


def sitting_from(document: Mapping[str, Any], case: Case) -> Sitting:
    """A sitting as this file and `plan.json` write it. Raises KeyError, ValueError or TypeError for another form."""
    start, end = _moment(document["start"], case), _moment(document["end"], case)
    if end <= start:
        raise ValueError("a sitting without length")
    id_, learner, adult, location = (str(document[key]) for key in ("id", "learner", "adult", "location"))
    probes = tuple(_probe(d, case) for d in document["probes"])
    return Sitting(id_, learner, adult, location, start, end, probes)


def _probe(document: Mapping[str, Any], case: Case) -> Probe:
    target = case.targets.get(document["target"])
    given = document["combination"]
    names = target.dimension_names if target and set(target.dimension_names) == set(given) else tuple(given)
    combination = tuple(str(given[name]) for name in names)
    kind = ProbeKind(document["kind"])
    return Probe(
        str(document["target"]), combination, kind, int(document["trials"]), int(document["new_tuples"])
    )


def _moment(text: str, case: Case) -> datetime:
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise ValueError("a moment without an offset")
    return moment.astimezone(case.timezone)
