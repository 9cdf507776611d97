"""The guided start: the answers so far, and the first case made of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from genplan.case import Week
from genplan.errors import CaseError, UsageError
from genplan.findings import Finding
from genplan.language import speaking, speech
from genplan.workflow.opened_case import errors_of, local, wall_clock

if TYPE_CHECKING:
    from genplan.start.answers import Answers

LAST_DAY_TO_BEGIN = 3
"""Thursday: from Friday on a first week is the one that follows."""


@dataclass(frozen=True)
class Started:
    """The files that were made, what is odd in them, and the week to plan first."""

    files: tuple[Path, ...]
    findings: tuple[Finding, ...]
    week: Week


def answers_so_far(folder: Path, now: datetime | None = None) -> Answers:
    """As of today. Raises FileError if they are there and cannot be read."""
    from genplan.start.answers import Answers
    from genplan.start.draft import read_draft

    return replace(read_draft(folder) or Answers(), today=wall_clock(now).date())


def keep_answers(folder: Path, answers: Answers) -> None:
    """Raises FileError."""
    from genplan.start.draft import write_draft

    write_draft(folder, answers)


def case_of_answers(folder: Path, answers: Answers, now: datetime | None) -> Started:
    """Writes the case that the answers say. Raises UsageError while answers are missing, CaseError if the case would
    have errors, FileError if the folder holds anything or cannot be written; nothing was made then."""
    from genplan.casefile import load
    from genplan.casefile.identity import drawn
    from genplan.casefile.speech import speech_of
    from genplan.casefile.starter import CASE_FILE, write_first_case
    from genplan.start.case_text import case_text
    from genplan.start.draft import FILE, remove_draft
    from genplan.start.problems import lacking
    from genplan.start.screens import SCREENS

    for screen in (s for s in SCREENS if s.asked(answers)):
        for problem in lacking(screen, answers, wall_clock(now).date()):
            raise UsageError(f"{screen.title} {problem.sentence}")
    text = case_text(answers, drawn())
    with TemporaryDirectory() as room:
        Path(room, CASE_FILE).write_text(text, encoding="utf-8")
        # a parent reads what is odd in it in plain words
        with speaking(speech_of(Path(room), speech().language)):
            loaded = load(Path(room))
    if loaded.case is None:
        raise CaseError(errors_of(loaded.findings))
    files = write_first_case(folder, text, FILE)
    remove_draft(folder)
    return Started(tuple(files), loaded.findings, first_week(local(loaded.case, now)))


def first_week(now: datetime) -> Week:
    """This week as long as enough of it is left, else the next."""
    running = Week.of(now.date())
    return running if now.weekday() <= LAST_DAY_TO_BEGIN else running.next()
