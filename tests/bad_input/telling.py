"""What the program says of an entry of the corpus: its sentences, each with the mark of its severity."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from corpus import BASES, SMALL, Entry

from genplan.case import Case, Week
from genplan.casefile import load
from genplan.casefile.busy import busy_times
from genplan.errors import CaseError, GenplanError
from genplan.evidence.filled import read_filled
from genplan.evidence.log import Log
from genplan.evidence.results import read_results
from genplan.findings import Finding, Severity
from genplan.keeping.store import read_kept

NOW = datetime(2026, 11, 29, 12)
WEEK = Week.parse("2026-W49")
LIST = re.compile(r"(?:[\w-]+, ?){7,}[\w-]+")


def sentences(entry: Entry, folder: Path) -> tuple[str, ...]:
    """`folder` is empty; its name is told as CASE."""
    in_folder = {"case.yaml": SMALL.encode(), _place(entry.reads): entry.data, **entry.others}
    for name, data in in_folder.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    try:
        findings = _read(entry.reads, folder)
    except CaseError as error:
        findings = error.findings
    except GenplanError as error:
        return (f"= {error}".replace(str(folder), "CASE"),)
    return tuple(line.replace(str(folder), "CASE") for line in lines(findings))


def lines(findings: Iterable[Finding]) -> Iterable[str]:
    """Lists of eight known words and more, which grow with the program, are told as …; tests of their own hold them."""
    for finding in findings:
        found = replace(finding, expected=LIST.sub("…", finding.expected))
        yield f"{'=' if finding.severity is Severity.ERROR else '~'} {found.sentence()}"


def _place(reads: str) -> str:
    return f"weeks/{WEEK}/told.json" if reads == "kept" else BASES[reads]


def _read(reads: str, folder: Path) -> Sequence[Finding]:
    loaded = load(folder)
    if reads in ("case", "changes"):
        return loaded.findings
    case = _whole(loaded.case)
    if reads == "results":
        return (*loaded.findings, *read_results(folder, case, NOW)[1])
    if reads == "filled":
        return read_filled(folder / "filled.csv", case, Log()).warnings
    assert reads == "kept"
    read_kept(folder, WEEK, case)
    return ()


def _whole(case: Case | None) -> Case:
    assert case is not None
    return case


def whole_case(folder: Path) -> Case:
    """The small case, written into a folder and read."""
    (folder / "case.yaml").write_text(SMALL, encoding="utf-8")
    return _whole(load(folder).case)


def of_calendars(entries: Sequence[Entry], folder: Path) -> Mapping[str, tuple[str, ...]]:
    """Title -> sentences, of all calendars in one case: each is that of an adult of its own."""
    (folder / "busy").mkdir()
    adults = [
        f'  adult-{i}: {{free: {{daily: "08:00-20:00"}}, busy: busy/{i}.ics}}\n'
        for i, _ in enumerate(entries)
    ]
    for i, entry in enumerate(entries):
        (folder / "busy" / f"{i}.ics").write_bytes(entry.data)
    (folder / "case.yaml").write_text(SMALL.replace("adults:\n", "adults:\n" + "".join(adults)))
    loaded = load(folder)
    told: dict[str, tuple[str, ...]] = {e.title: () for e in entries}
    for finding in busy_times(loaded, _whole(loaded.case), WEEK).findings:
        number = int(Path(finding.file).stem)
        line = next(iter(lines([finding]))).replace(f"busy/{number}.ics", "busy/mum.ics")
        told[entries[number].title] += (line,)
    return told
