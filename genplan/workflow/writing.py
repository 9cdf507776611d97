"""Every file that a plan leaves in a folder."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from genplan.language import for_files

if TYPE_CHECKING:
    from genplan.workflow.planning import PlanOutcome


def write_plan(out: Path, outcome: PlanOutcome) -> None:
    """Every file that a plan leaves, written into the folder as a whole or not at all."""
    from genplan.folders import write_folder

    write_folder(out, _files_of(outcome))


def load_what_writes() -> None:
    """For whoever has the time before there is a plan."""
    import genplan.folders
    import genplan.report.compiled_templates
    import genplan.workflow.files_of_plan  # noqa: F401


def write_plans(out: Path, outcomes: Mapping[str, PlanOutcome]) -> None:
    """The same for several plans, each in the folder of its name below `out`: all of them or none."""
    from genplan.folders import write_folder

    write_folder(
        out,
        {f"{folder}/{name}": data for folder, o in outcomes.items() for name, data in _files_of(o).items()},
    )


@for_files()
def _files_of(outcome: PlanOutcome) -> dict[str, bytes]:
    from genplan.workflow.files_of_plan import files_of_plan

    return files_of_plan(outcome)
