"""Plans that `plan` wrote, read again."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from genplan.case import Case, Week
from genplan.errors import CaseError, FileError, UsageError, reason_of
from genplan.files import read_file
from genplan.language import N_, _, said

if TYPE_CHECKING:
    from genplan.keeping.saved_plan import SavedPlan

PLAN_DOCUMENT = "plan.json"
MOST_BYTES = 100_000_000
"""A plan of sixty children was 22 MB: what is written here must be read here."""
WRITTEN = N_("what 'genplan plan' wrote")
PLAN_AGAIN = N_("plan the week again with --out")


def plan_in(source: Path, case: Case, week: Week | None = None) -> SavedPlan:
    """The sittings of the plan in a folder that `plan` wrote; of `week`, where one is named. Raises UsageError for
    another week, and as `read_saved`."""
    plan = read_saved(source / PLAN_DOCUMENT, case, with_objectives=False)
    if week is not None and week != plan.week:
        raise UsageError(
            _(
                "The plan in {source} is of the week {planned}, not of {week}.",
                source=source,
                planned=plan.week,
                week=week,
            )
        )
    return plan


def read_saved(path: Path, case: Case, *, with_objectives: bool = True) -> SavedPlan:
    """The plan in a `plan.json`. Raises FileError, CaseError."""
    from genplan.keeping.json_fields import FormatError
    from genplan.keeping.saved_plan import saved_plan

    try:
        data = read_file(path, MOST_BYTES)
    except OSError as error:
        raise FileError(
            _(
                "{path} could not be read ({why}). Name the folder that 'genplan plan --out' wrote.",
                path=path,
                why=reason_of(error),
            )
        ) from error
    try:
        return saved_plan(data, case, with_objectives=with_objectives)
    except FormatError as problem:
        raise CaseError([problem.finding(str(path), said(WRITTEN), said(PLAN_AGAIN))]) from None
