"""`told.json` in `weeks/WEEK/`: what was told, for the program; the same week gives the same bytes."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from genplan.case import Case, Week
from genplan.errors import CaseError, FileError
from genplan.files import read_file
from genplan.findings import Finding
from genplan.keeping.json_fields import (
    FormatError,
    boolean,
    document_of,
    field_of,
    integer,
    items_of,
    moment_in,
    shown,
    text,
)
from genplan.keeping.told import KeptWeek, Left, Released, Told
from genplan.plan import Beside, Probe, ProbeKind, Sitting

FOLDER = "weeks"
FILE = "told.json"
FORMAT = 1
MOST_BYTES = 10_000_000
AS_WRITTEN = "the file as 'genplan keep' wrote it"
RESTORE = "put the file back from a copy, or take the week's folder away: then nobody counts as told"


def folder_of(case_folder: Path, week: Week) -> Path:
    return case_folder / FOLDER / str(week)


def kept_weeks(case_folder: Path) -> tuple[Week, ...]:
    """The weeks that were kept, in order of time; folders of other names are not the program's. Raises FileError if
    nobody can tell."""
    found = []
    shelf = case_folder / FOLDER
    try:
        names = [p.name for p in shelf.iterdir() if (p / FILE).is_file()]
    except FileNotFoundError:
        return ()
    except OSError as error:
        raise FileError(
            f"{shelf} could not be read ({error.strerror}), so nobody can tell what people were told."
        ) from error
    for name in names:
        try:
            found.append(Week.parse(name))
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
        kept = _kept_week(document_of(data), case)
    except FormatError as problem:
        raise CaseError(
            [Finding(name, problem.line, problem.key, problem.found, AS_WRITTEN, problem.hint or RESTORE)]
        ) from None
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
    """Raises Unwritten with the key of the first thing that is not as it was written."""
    version = field_of(document, "format", integer)
    if version != FORMAT:
        hint = "a newer version of the program wrote it: install that one" if version > FORMAT else ""
        raise FormatError(f"the format {version}, which this version does not know", "format", hint=hint)
    told = items_of(document, "sittings", lambda d: _told(d, case))
    first: dict[str, int] = {}
    for i, one in enumerate(told, 1):
        if first.setdefault(one.event, i) != i:
            raise FormatError(f"the event of sitting {first[one.event]} a second time", f"sittings.{i}.event")
    week = field_of(document, "week", lambda value: Week.parse(text(value)))
    return KeptWeek(week, field_of(document, "kept", moment_in(case.timezone)), told)


def _told(document: Any, case: Case) -> Told:
    moment = moment_in(case.timezone)
    return Told(
        sitting_from(document, case),
        field_of(document, "event", text),
        field_of(document, "sequence", integer),
        field_of(document, "changed", moment),
        field_of(document, "use_sequence", integer),
        field_of(document, "use_changed", moment),
        field_of(document, "until", moment),
        settled=True,
        cancelled=field_of(document, "cancelled", boolean),
        left=items_of(document, "left", lambda d: Left(field_of(d, "location", text), *_use(d, case))),
        released=items_of(
            {"released": [], **document},
            "released",
            lambda d: Released(field_of(d, "adult", text), *_use(d, case)),
        ),
    )


def _use(document: Any, case: Case) -> tuple[datetime, datetime, datetime, int, datetime]:
    """When somebody or something was taken up: start, end, until, sequence, changed."""
    moment = moment_in(case.timezone)
    start, end, until = (field_of(document, key, moment) for key in ("start", "end", "until"))
    return start, end, until, field_of(document, "sequence", integer), field_of(document, "changed", moment)


def sitting_from(document: Any, case: Case) -> Sitting:
    """A sitting as this file and `plan.json` write it, with a second adult or, from an earlier version of the program,
    without the keys of one. Raises Unwritten, which is a ValueError, for another form."""
    start, end = (field_of(document, key, moment_in(case.timezone)) for key in ("start", "end"))
    if end <= start:
        raise FormatError(f"{shown(document['end'])}, which is not after the start", "end")
    id_, learner, adult, location = (
        field_of(document, k, text) for k in ("id", "learner", "adult", "location")
    )
    probes = items_of(document, "probes", lambda d: _probe(d, case))
    with_both = {"beside": "", "beside_as": "", **document}
    beside = field_of(with_both, "beside", text)
    beside_as = field_of(with_both, "beside_as", lambda value: Beside(text(value)))
    if bool(beside) != bool(beside_as):
        raise FormatError("a second adult without a part, or a part without an adult", "beside")
    return Sitting(
        id=id_,
        learner=learner,
        adult=adult,
        location=location,
        start=start,
        end=end,
        probes=probes,
        beside=beside,
        beside_as=beside_as,
    )


def _probe(document: Any, case: Case) -> Probe:
    id_ = field_of(document, "target", text)
    target = case.targets.get(id_)
    values = field_of(document, "combination", _texts)
    names = target.dimension_names if target and set(target.dimension_names) == set(values) else tuple(values)
    return Probe(
        target=id_,
        combination=tuple(values[name] for name in names),
        kind=field_of(document, "kind", lambda value: ProbeKind(text(value))),
        trials=field_of(document, "trials", integer),
        new_tuples=field_of(document, "new_tuples", integer),
    )


def _texts(value: Any) -> dict[str, str]:
    if not isinstance(value, dict):
        raise TypeError
    return {name: text(part) for name, part in value.items()}
