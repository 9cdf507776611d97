"""The plan of a week as plain values: what the solver's answer becomes, and all that the report draws from.

Every text and number a page shows is here; output code only arranges it.
"""

from genplan.case.second_adults import Beside
from genplan.plan.left_out import LeftOut, MissedDate, Note, NoteKind, Unwritten
from genplan.plan.objectives import (
    AS_TOLD,
    COMFORT,
    COVERAGE,
    FEWEST,
    TAUGHT,
    WHOLE_WEEK,
    Objective,
    ObjectiveName,
    StageStatus,
    in_order,
)
from genplan.plan.observers import Hindered, Hindrance, ObservedShare, Unwatched
from genplan.plan.sittings import Probe, ProbeKind, Sitting, ids_of, minutes_of, sitting_minutes
from genplan.plan.week import DatedTuple, Plan, RunReport, TargetCoverage
from genplan.plan.weeks_before import ToldLately, WeeksBefore
from genplan.plan.wishes import DECIDING, Unkept, WishAnswer

__all__ = [
    "AS_TOLD",
    "COMFORT",
    "COVERAGE",
    "DECIDING",
    "FEWEST",
    "TAUGHT",
    "WHOLE_WEEK",
    "Beside",
    "DatedTuple",
    "Hindered",
    "Hindrance",
    "LeftOut",
    "MissedDate",
    "Note",
    "NoteKind",
    "Objective",
    "ObjectiveName",
    "ObservedShare",
    "Plan",
    "Probe",
    "ProbeKind",
    "RunReport",
    "Sitting",
    "StageStatus",
    "TargetCoverage",
    "ToldLately",
    "Unkept",
    "Unwatched",
    "Unwritten",
    "WeeksBefore",
    "WishAnswer",
    "ids_of",
    "in_order",
    "minutes_of",
    "sitting_minutes",
]
