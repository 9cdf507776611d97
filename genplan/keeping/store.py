"""`told.json` in `weeks/WEEK/`: what was told, for the program; the same week gives the same bytes."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from genplan.case import Case, Week
from genplan.casefile.visible import cut
from genplan.errors import CaseError, FileError
from genplan.files import read_file
from genplan.findings import Finding
from genplan.keeping.told import KeptWeek, Left, Released, Told
from genplan.plan import Beside, Probe, ProbeKind, Sitting

FOLDER = "weeks"
FILE = "told.json"
FORMAT = 1
MOST_BYTES = 20_000_000
AS_WRITTEN = "the file as 'genplan keep' wrote it"
T = TypeVar("T")
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
        data = read_file(path, MOST_BYTES)
    except FileNotFoundError:
        return None
    except OSError as error:
        raise FileError(f"{path} could not be read: {error.strerror}.") from error
    try:
        kept = _kept_week(_document(data), case)
    except _Unfit as problem:
        raise CaseError(
            [Finding(name, problem.line, problem.key, problem.found, AS_WRITTEN, RESTORE)]
        ) from None
    if kept.week != week:
        raise CaseError(
            [Finding(name, 0, "week", f"the week {kept.week}", f"{week}, as its folder", RESTORE)]
        )
    return kept


class _Unfit(Exception):
    """What is wrong with the file, and where."""

    def __init__(self, found: str, key: str = "", line: int = 0) -> None:
        self.found, self.key, self.line = found, key, line
        super().__init__(found)


def _document(data: bytes) -> dict[str, Any]:
    """The document of a file in the format that is known. Raises _Unfit for any other."""
    try:
        document = json.loads(data)
    except json.JSONDecodeError as problem:
        raise _Unfit("text that breaks off or is changed here", "", problem.lineno) from None
    except (ValueError, RecursionError):
        raise _Unfit("something else than UTF-8 text with a week in it") from None
    if not isinstance(document, dict) or "format" not in document:
        raise _Unfit("no 'format'", "format")
    if document["format"] != FORMAT or document["format"] is True:
        newer = type(document["format"]) is int and document["format"] > FORMAT
        which = "; a newer version of the program wrote it, so use that one" if newer else ""
        raise _Unfit(f"the format {cut(json.dumps(document['format']))}{which}", "format")
    return document


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
        ("adult", sitting.beside or sitting.adult, case.adults),
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
        "beside": s.beside,
        "beside_as": s.beside_as.value,
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
        "released": [
            {
                "adult": x.adult,
                "start": x.start.isoformat(),
                "end": x.end.isoformat(),
                "until": x.until.isoformat(),
                "sequence": x.sequence,
                "changed": x.changed.isoformat(),
            }
            for x in told.released
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


def _kept_week(document: Mapping[str, Any], case: Case) -> KeptWeek:
    """Raises _Unfit with the key of the first thing that is not as it was written."""
    given = document.get("sittings")
    if not isinstance(given, list):
        raise _Unfit("no list of sittings", "sittings")
    told = tuple(_fit(partial(_told, d, case), f"sittings.{i}") for i, d in enumerate(given, 1))
    first: dict[str, int] = {}
    for i, one in enumerate(told, 1):
        if first.setdefault(one.event, i) != i:
            raise _Unfit(f"the event of sitting {first[one.event]} a second time", f"sittings.{i}.event")
    week = _fit(lambda: Week.parse(document["week"]), "week")
    return KeptWeek(week, _fit(lambda: _moment(document["kept"], case), "kept"), told)


def _fit(read: Callable[[], T], key: str) -> T:
    """What `read` returns. Raises _Unfit with the key for what it raises."""
    try:
        return read()
    except KeyError as problem:
        raise _Unfit(f"no {cut(str(problem))}", key) from None
    except (ValueError, TypeError, AttributeError) as problem:
        raise _Unfit(f"a value that was not written so ({cut(str(problem))})", key) from None


def _told(document: Mapping[str, Any], case: Case) -> Told:
    return Told(
        sitting_from(document, case),
        str(document["event"]),
        _whole(document["sequence"]),
        _moment(document["changed"], case),
        _whole(document["use_sequence"]),
        _moment(document["use_changed"], case),
        _moment(document["until"], case),
        settled=True,
        cancelled=bool(document["cancelled"]),
        left=tuple(_left(d, case) for d in document["left"]),
        released=tuple(_released(d, case) for d in document.get("released", ())),
    )


def _left(document: Mapping[str, Any], case: Case) -> Left:
    start, end, until = (_moment(document[key], case) for key in ("start", "end", "until"))
    changed = _moment(document["changed"], case)
    return Left(str(document["location"]), start, end, until, _whole(document["sequence"]), changed)


def _released(document: Mapping[str, Any], case: Case) -> Released:
    start, end, until = (_moment(document[key], case) for key in ("start", "end", "until"))
    changed = _moment(document["changed"], case)
    return Released(str(document["adult"]), start, end, until, _whole(document["sequence"]), changed)


def sitting_from(document: Mapping[str, Any], case: Case) -> Sitting:
    """A sitting as this file and `plan.json` write it, with a second adult or, from an earlier version of the program,
    without the keys of one. Raises KeyError, ValueError or TypeError for another form."""
    start, end = _moment(document["start"], case), _moment(document["end"], case)
    if end <= start:
        raise ValueError("a sitting without length")
    id_, learner, adult, location = (str(document[key]) for key in ("id", "learner", "adult", "location"))
    probes = tuple(_probe(d, case) for d in document["probes"])
    beside, beside_as = str(document.get("beside", "")), Beside(document.get("beside_as", ""))
    if bool(beside) != bool(beside_as):
        raise ValueError("a second adult without a part, or a part without an adult")
    return Sitting(id_, learner, adult, location, start, end, probes, beside=beside, beside_as=beside_as)


def _probe(document: Mapping[str, Any], case: Case) -> Probe:
    target = case.targets.get(document["target"])
    given = document["combination"]
    names = target.dimension_names if target and set(target.dimension_names) == set(given) else tuple(given)
    combination = tuple(str(given[name]) for name in names)
    kind = ProbeKind(document["kind"])
    return Probe(
        str(document["target"]), combination, kind, _whole(document["trials"]), _whole(document["new_tuples"])
    )


def _whole(value: Any) -> int:
    if type(value) is not int or not 0 <= value < 10**9:
        raise ValueError("a number from 0 on is wanted")
    return value


def _moment(text: str, case: Case) -> datetime:
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise ValueError("a moment without an offset")
    try:
        return moment.astimezone(case.timezone)
    except OverflowError:
        raise ValueError("a moment beyond all calendars") from None
