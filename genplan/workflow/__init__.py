"""The verbs as functions: each reads what it needs, calls one room after the other, and gives back plain values.

The command line, the local page and every other front call these; none of them prints. Heavy imports come late, inside
the functions, so that the list below costs nothing.
"""

from genplan.workflow.changing import ChangeRequest, change
from genplan.workflow.checking import check, new
from genplan.workflow.editing import put_thing
from genplan.workflow.explaining import WhyView, why
from genplan.workflow.forecasting import ForecastView, forecast
from genplan.workflow.keeping import Kept, keep, keep_sittings, replan
from genplan.workflow.opened_case import Opened, open_case, refuse_past
from genplan.workflow.planning import PlanOutcome, plan, plan_opened, plan_weeks, write_plan
from genplan.workflow.publishing import Published, publish
from genplan.workflow.reading import (
    HistoryView,
    MatrixView,
    Reviews,
    history_of,
    matrix,
    progress,
    review,
    review_files,
)
from genplan.workflow.recording import (
    Added,
    NotAdded,
    Proposed,
    RecordOutcome,
    RecordRequest,
    correct,
    in_the_place_of,
    propose,
    record,
    record_rows,
    record_sheet,
)
from genplan.workflow.sharing import Shared, share_copy, share_part, weeks_to_share

__all__ = [
    "Added",
    "ChangeRequest",
    "ForecastView",
    "HistoryView",
    "Kept",
    "MatrixView",
    "NotAdded",
    "Opened",
    "PlanOutcome",
    "Proposed",
    "Published",
    "RecordOutcome",
    "RecordRequest",
    "Reviews",
    "Shared",
    "WhyView",
    "change",
    "check",
    "correct",
    "forecast",
    "history_of",
    "in_the_place_of",
    "keep",
    "keep_sittings",
    "matrix",
    "new",
    "open_case",
    "plan",
    "plan_opened",
    "plan_weeks",
    "progress",
    "propose",
    "publish",
    "put_thing",
    "record",
    "record_rows",
    "record_sheet",
    "refuse_past",
    "replan",
    "review",
    "review_files",
    "share_copy",
    "share_part",
    "weeks_to_share",
    "why",
    "write_plan",
]
