"""The verbs as functions: each reads what it needs, calls one room after the other, and gives back plain values.

The command line, the local page and every other front call these; none of them prints. Heavy imports come late, inside
the functions, so that the list below costs nothing. A name that stands twice in it is one for the fronts.
"""

from genplan.workflow.changing import ChangeRequest as ChangeRequest
from genplan.workflow.changing import change as change
from genplan.workflow.checking import check as check
from genplan.workflow.checking import new as new
from genplan.workflow.choosing import ExemplarsView as ExemplarsView
from genplan.workflow.choosing import exemplars as exemplars
from genplan.workflow.choosing import exemplars_of as exemplars_of
from genplan.workflow.editing import put_thing as put_thing
from genplan.workflow.explaining import WhyView as WhyView
from genplan.workflow.explaining import why as why
from genplan.workflow.forecasting import ForecastView as ForecastView
from genplan.workflow.forecasting import forecast as forecast
from genplan.workflow.keeping import Kept as Kept
from genplan.workflow.keeping import keep as keep
from genplan.workflow.keeping import keep_sittings as keep_sittings
from genplan.workflow.keeping import replan as replan
from genplan.workflow.opened_case import Opened as Opened
from genplan.workflow.opened_case import open_case as open_case
from genplan.workflow.opened_case import refuse_past as refuse_past
from genplan.workflow.planning import PlanOutcome as PlanOutcome
from genplan.workflow.planning import plan as plan
from genplan.workflow.planning import plan_opened as plan_opened
from genplan.workflow.planning import plan_weeks as plan_weeks
from genplan.workflow.planning import write_plan as write_plan
from genplan.workflow.publishing import Published as Published
from genplan.workflow.publishing import publish as publish
from genplan.workflow.reading import HistoryView as HistoryView
from genplan.workflow.reading import MatrixView as MatrixView
from genplan.workflow.reading import Reviews as Reviews
from genplan.workflow.reading import history_of as history_of
from genplan.workflow.reading import matrix as matrix
from genplan.workflow.reading import names_in_files as names_in_files
from genplan.workflow.reading import progress as progress
from genplan.workflow.reading import review as review
from genplan.workflow.reading import review_files as review_files
from genplan.workflow.recording import Added as Added
from genplan.workflow.recording import Doubts as Doubts
from genplan.workflow.recording import NotAdded as NotAdded
from genplan.workflow.recording import Proposed as Proposed
from genplan.workflow.recording import RecordOutcome as RecordOutcome
from genplan.workflow.recording import RecordRequest as RecordRequest
from genplan.workflow.recording import correct as correct
from genplan.workflow.recording import in_the_place_of as in_the_place_of
from genplan.workflow.recording import propose as propose
from genplan.workflow.recording import record as record
from genplan.workflow.recording import record_rows as record_rows
from genplan.workflow.recording import record_sheet as record_sheet
from genplan.workflow.recording import to_ask as to_ask
from genplan.workflow.sharing import Shared as Shared
from genplan.workflow.sharing import share_copy as share_copy
from genplan.workflow.sharing import share_part as share_part
from genplan.workflow.sharing import weeks_to_share as weeks_to_share
from genplan.workflow.solving import forget as forget
