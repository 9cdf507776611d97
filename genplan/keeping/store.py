"""`told.json` in `weeks/WEEK/`: what was told, for the program; the same week gives the same bytes."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import AbstractContextManager
from datetime import datetime
from pathlib import Path
from typing import Any

from genplan.case import Case, Week
from genplan.case.cautions import EVERY_SITTING, CautionKind
from genplan.errors import CaseError, unreadable
from genplan.files import held, read_file
from genplan.findings import Finding
from genplan.keeping.json_fields import (
    FormatError,
    as_written,
    boolean,
    document_of,
    field_of,
    fields_of,
    integer,
    items_of,
    moment_in,
    shown,
    text,
)
from genplan.keeping.shelf import FILE as FILE
from genplan.keeping.shelf import FOLDER as FOLDER
from genplan.keeping.shelf import kept_weeks as kept_weeks
from genplan.keeping.strange import strange_things
from genplan.keeping.told import CautionTold, HandedOut, Heard, KeptWeek, Person, Telling, Told, Withdrawn
from genplan.language import N_, _, said
from genplan.plan import Beside, Probe, ProbeKind, Sitting

FORMAT = 1
MOST_BYTES = 10_000_000
HANDED_OUT = ("sequence", "use_sequence", "says")
PEOPLE = ("adult", "learner")
USE = ("start", "end", "until", "sequence", "changed")
AS_WRITTEN = N_("the file as 'genplan keep' wrote it")
RESTORE = N_(
    "put the file back from a copy, or take the week's folder away: then it is as if nobody had been told of it"
)


def folder_of(case_folder: Path, week: Week) -> Path:
    return case_folder / FOLDER / str(week)


def week_locked(case_folder: Path, week: Week) -> AbstractContextManager[None]:
    """One run at a time changes what people were told of a week, whose shelf is there. Raises FileError."""
    target = folder_of(case_folder, week)
    return held(target.parent / f".{target.name}.lock", str(target))


def events_told(case_folder: Path) -> Iterator[tuple[str, tuple[str, ...]]]:
    """The name of each event that people were told of in any kept week, with the second adults it was ever told with. A
    week that cannot be understood is passed over: who needs it says so. Raises FileError."""
    for week in kept_weeks(case_folder):
        path = folder_of(case_folder, week) / FILE
        try:
            document = document_of(read_file(path, MOST_BYTES))
            yield from items_of(document, "sittings", _event_told)
        except FormatError:
            continue
        except OSError as error:
            raise unreadable(path, error) from error


def _event_told(document: Any) -> tuple[str, tuple[str, ...]]:
    released = items_of({"released": [], **document}, "released", lambda d: field_of(d, "adult", text))
    return field_of(document, "event", text), (*released, str(document.get("beside") or ""))


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
        raise unreadable(path, error) from error
    try:
        kept = _kept_week(document_of(data), case)
    except FormatError as problem:
        raise CaseError([problem.finding(name, said(AS_WRITTEN), said(RESTORE))]) from None
    if kept.week != week:
        raise CaseError(
            [
                Finding(
                    name,
                    0,
                    "week",
                    _("the week {week}", week=kept.week),
                    _("{week}, as its folder", week=week),
                    said(RESTORE),
                )
            ]
        )
    return kept


def unknown_ids(kept: KeptWeek, case: Case) -> Iterator[tuple[Sitting, str]]:
    """Sittings that hold something the case does not have any more, each with the first such thing in words."""
    for sitting in kept.sittings:
        strange = next(strange_things(sitting, case), None)
        if strange is not None:
            yield sitting, strange


def kept_bytes(kept: KeptWeek, case: Case) -> bytes:
    document = {
        "format": FORMAT,
        "week": str(kept.week),
        "kept": kept.kept.isoformat(),
        "sittings": [_told_document(t, case) for t in kept.told],
        **({"earlier": [_telling_document(e, case) for e in kept.earlier]} if kept.earlier else {}),
        **({"heard": [_heard_document(h, case) for h in kept.heard]} if kept.heard else {}),
    }
    return as_bytes(document)


def as_bytes(document: object) -> bytes:
    """As the file of a kept week is written."""
    return (json.dumps(document, ensure_ascii=False, indent=2) + "\n").encode("utf-8")


def _telling_document(telling: Telling, case: Case) -> dict[str, Any]:
    return {
        "kept": telling.kept.isoformat(),
        "sittings": [_told_document(t, case) for t in telling.told],
    }


def _heard_document(heard: Heard, case: Case) -> dict[str, Any]:
    sittings = [_told_document(t, case) for t in heard.telling.told]
    return {heard.person.kind: heard.person.id, "at": heard.telling.kept.isoformat(), "sittings": sittings}


def _told_document(told: Told, case: Case) -> dict[str, Any]:
    of_event = ("event", "sequence", "changed", "use_sequence", "use_changed", "until", "cancelled")
    of_sitting = ("learner", "adult", "location", "start", "end", "beside", "beside_as")
    return {
        "id": told.sitting.id,
        **as_written(told, *of_event),
        **as_written(told.sitting, *of_sitting),
        "probes": [probe_document(p, case) for p in told.sitting.probes],
        **_way(told.sitting),
        "left": [{"location": x.id, **as_written(x, *USE)} for x in told.left],
        "released": [{"adult": x.id, **as_written(x, *USE)} for x in told.released],
        **({"handed_out": as_written(told.handed_out, *HANDED_OUT)} if told.handed_out else {}),
        **({} if told.cautions is None else {"cautions": [_caution_document(c) for c in told.cautions]}),
        **({"banned": [_caution_document(c) for c in told.banned]} if told.banned else {}),
    }


def _caution_document(caution: CautionTold) -> dict[str, Any]:
    months = {"months": caution.months} if caution.months else {}
    return {**as_written(caution, "kind", "material_set"), "found": list(caution.found), **months}


def _way(sitting: Sitting) -> dict[str, Any]:
    if sitting.moved_from is None:
        return {}
    id_, start = sitting.moved_from
    return {"moved_from": {"id": id_, "start": start.isoformat()}}


def probe_document(probe: Probe, case: Case) -> dict[str, Any]:
    """As this file and `plan.json` have it."""
    target = case.targets.get(probe.target)
    names = target.dimension_names if target else tuple(str(i) for i in range(len(probe.combination)))
    return {
        **as_written(probe, "target", "kind"),
        "combination": dict(zip(names, probe.combination, strict=False)),
        **as_written(probe, "trials", "new_tuples"),
        **(
            {"instead_of": [dict(zip(names, c, strict=False)) for c in probe.instead_of]}
            if probe.instead_of
            else {}
        ),
    }


def _kept_week(document: Mapping[str, Any], case: Case) -> KeptWeek:
    """Raises FormatError with the key of the first thing that is not as it was written."""
    version = field_of(document, "format", integer)
    if version != FORMAT:
        hint = _("a newer version of the program wrote it: install that one") if version > FORMAT else ""
        raise FormatError(
            _("the format {version}, which this version does not know", version=version), "format", hint=hint
        )
    told = _told_in(document, case)
    first: dict[str, int] = {}
    for i, one in enumerate(told, 1):
        if first.setdefault(one.event, i) != i:
            raise FormatError(
                _("the event of sitting {first} a second time", first=first[one.event]),
                f"sittings.{i}.event",
            )
    week = field_of(document, "week", lambda value: Week.parse(text(value)))
    # a week that an earlier version of the program kept has none
    earlier = items_of({"earlier": [], **document}, "earlier", lambda d: _telling(d, case))
    heard = items_of({"heard": [], **document}, "heard", lambda d: _heard(d, case))
    return KeptWeek(week, _kept_at(document, case), told, earlier, heard)


def _telling(document: Any, case: Case) -> Telling:
    return Telling(_kept_at(document, case), _told_in(document, case))


def _heard(document: Any, case: Case) -> Heard:
    kind = next((k for k in PEOPLE if isinstance(document, dict) and k in document), PEOPLE[0])
    at = field_of(document, "at", moment_in(case.timezone))
    return Heard(Person(kind, field_of(document, kind, text)), Telling(at, _told_in(document, case)))


def _kept_at(document: Any, case: Case) -> datetime:
    return field_of(document, "kept", moment_in(case.timezone))


def _told_in(document: Any, case: Case) -> tuple[Told, ...]:
    return items_of(document, "sittings", lambda d: _told(d, case))


def _told(document: Any, case: Case) -> Told:
    moment = moment_in(case.timezone)
    return Told(
        sitting_from(document, case),
        **fields_of(document, event=text, sequence=integer, changed=moment),
        **fields_of(document, use_sequence=integer, use_changed=moment, until=moment, cancelled=boolean),
        settled=True,
        left=items_of(document, "left", lambda d: _withdrawn(d, "location", case)),
        released=items_of({"released": [], **document}, "released", lambda d: _withdrawn(d, "adult", case)),
        handed_out=field_of({"handed_out": None, **document}, "handed_out", _handed_out),
        cautions=items_of(document, "cautions", _caution) if "cautions" in document else None,
        banned=items_of(document, "banned", _caution) if "banned" in document else (),
    )


def _caution(document: Any) -> CautionTold:
    found = items_of(document, "found", text)
    months = field_of({"months": 0, **document}, "months", integer)
    return CautionTold(
        **fields_of(document, kind=_special_kind, material_set=text), found=found, months=months
    )


def _special_kind(value: Any) -> str:
    kind = CautionKind(text(value))
    if kind in EVERY_SITTING:
        raise ValueError
    return kind.value


def _handed_out(document: Any) -> HandedOut | None:
    if document is None:
        return None
    return HandedOut(**fields_of(document, sequence=integer, use_sequence=integer, says=text))


def _withdrawn(document: Any, key: str, case: Case) -> Withdrawn:
    moment = moment_in(case.timezone)
    id_ = field_of(document, key, text)
    times = fields_of(document, start=moment, end=moment, until=moment)
    return Withdrawn(id_, **times, **fields_of(document, sequence=integer, changed=moment))


def sitting_from(document: Any, case: Case) -> Sitting:
    """A sitting as this file and `plan.json` write it, with a second adult or, from an earlier version of the program,
    without the keys of one. Raises FormatError, which is a ValueError, for another form."""
    moment = moment_in(case.timezone)
    times = fields_of(document, start=moment, end=moment)
    if times["end"] <= times["start"]:
        raise FormatError(_("{shown}, which is not after the start", shown=shown(document["end"])), "end")
    who_and_where = fields_of(document, id=text, learner=text, adult=text, location=text)
    probes = items_of(document, "probes", lambda d: _probe(d, case))
    with_both = {"beside": "", "beside_as": "", **document}
    beside = fields_of(with_both, beside=text, beside_as=lambda value: Beside(text(value)))
    if bool(beside["beside"]) != bool(beside["beside_as"]):
        raise FormatError(_("a second adult without a part, or a part without an adult"), "beside")
    came = field_of({"moved_from": None, **document}, "moved_from", lambda d: d and _moved_from(d, case))
    return Sitting(**times, **who_and_where, **beside, probes=probes, moved_from=came)


def _moved_from(document: Any, case: Case) -> tuple[str, datetime]:
    return field_of(document, "id", text), field_of(document, "start", moment_in(case.timezone))


def _probe(document: Any, case: Case) -> Probe:
    id_ = field_of(document, "target", text)
    target = case.targets.get(id_)
    values = field_of(document, "combination", _texts)
    names = target.dimension_names if target and set(target.dimension_names) == set(values) else tuple(values)
    instead = items_of({"instead_of": [], **document}, "instead_of", _texts)
    return Probe(
        target=id_,
        combination=tuple(values[name] for name in names),
        instead_of=tuple(
            tuple(failed[name] for name in names) for failed in instead if names == tuple(failed)
        ),
        **fields_of(document, kind=lambda value: ProbeKind(text(value)), trials=integer, new_tuples=integer),
    )


def _texts(value: Any) -> dict[str, str]:
    if not isinstance(value, dict):
        raise TypeError
    return {name: text(part) for name, part in value.items()}
