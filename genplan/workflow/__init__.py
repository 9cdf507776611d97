"""The verbs as functions: each reads what it needs, calls one room after the other, and gives back plain values.

The command line, the local page and every other front call these; none of them prints. A module is loaded once one of
its verbs is asked for, and heavy imports come later still, inside the functions. A name that stands twice in the list
is one for the fronts.
"""

from __future__ import annotations

from importlib import import_module

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from genplan.workflow.cautions_lost import CautionsWouldGo as CautionsWouldGo
    from genplan.workflow.changing import ChangeRequest as ChangeRequest
    from genplan.workflow.changing import change as change
    from genplan.workflow.changing import fact_in_words as fact_in_words
    from genplan.workflow.checking import Checked as Checked
    from genplan.workflow.checking import check as check
    from genplan.workflow.checking import checked as checked
    from genplan.workflow.checking import new as new
    from genplan.workflow.choosing import ExemplarsView as ExemplarsView
    from genplan.workflow.choosing import exemplars as exemplars
    from genplan.workflow.choosing import exemplars_of as exemplars_of
    from genplan.workflow.comparing import ComparedView as ComparedView
    from genplan.workflow.comparing import compare as compare
    from genplan.workflow.correcting import correct as correct
    from genplan.workflow.doubts import Doubts as Doubts
    from genplan.workflow.doubts import NotAdded as NotAdded
    from genplan.workflow.doubts import to_ask as to_ask
    from genplan.workflow.editing import put_thing as put_thing
    from genplan.workflow.explaining import WhyView as WhyView
    from genplan.workflow.explaining import why as why
    from genplan.workflow.falling_through import fell_through as fell_through
    from genplan.workflow.falling_through import held_after_all as held_after_all
    from genplan.workflow.forecasting import ForecastView as ForecastView
    from genplan.workflow.forecasting import forecast as forecast
    from genplan.workflow.going_back import earlier_states as earlier_states
    from genplan.workflow.going_back import go_back as go_back
    from genplan.workflow.keeping import Kept as Kept
    from genplan.workflow.keeping import keep as keep
    from genplan.workflow.keeping import keep_sittings as keep_sittings
    from genplan.workflow.keeping import replan as replan
    from genplan.workflow.looking_back import LatelyView as LatelyView
    from genplan.workflow.looking_back import loads as loads
    from genplan.workflow.notes_of_plan import asked_since as asked_since
    from genplan.workflow.opened_case import Opened as Opened
    from genplan.workflow.opened_case import open_case as open_case
    from genplan.workflow.opened_case import refuse_past as refuse_past
    from genplan.workflow.opened_case import wall_clock as wall_clock
    from genplan.workflow.planned_sittings import PlannedSitting as PlannedSitting
    from genplan.workflow.planned_sittings import sitting_of as sitting_of
    from genplan.workflow.planned_sittings import sitting_told as sitting_told
    from genplan.workflow.planned_sittings import sitting_words as sitting_words
    from genplan.workflow.planned_sittings import sittings_told as sittings_told
    from genplan.workflow.planning import PlanOutcome as PlanOutcome
    from genplan.workflow.planning import plan as plan
    from genplan.workflow.planning import plan_opened as plan_opened
    from genplan.workflow.planning import plan_weeks as plan_weeks
    from genplan.workflow.pricing import PricedWeek as PricedWeek
    from genplan.workflow.pricing import price_of_wish as price_of_wish
    from genplan.workflow.publishing import Published as Published
    from genplan.workflow.publishing import publish as publish
    from genplan.workflow.putting_right import in_the_way_of as in_the_way_of
    from genplan.workflow.putting_right import put_right as put_right
    from genplan.workflow.putting_right import put_row_back as put_row_back
    from genplan.workflow.putting_right import take_row_back as take_row_back
    from genplan.workflow.reading import HistoryView as HistoryView
    from genplan.workflow.reading import MatrixView as MatrixView
    from genplan.workflow.reading import Reviews as Reviews
    from genplan.workflow.reading import history_of as history_of
    from genplan.workflow.reading import matrix as matrix
    from genplan.workflow.reading import matrix_of as matrix_of
    from genplan.workflow.reading import names_in_files as names_in_files
    from genplan.workflow.reading import progress as progress
    from genplan.workflow.reading import progress_of as progress_of
    from genplan.workflow.reading import review as review
    from genplan.workflow.reading import review_files as review_files
    from genplan.workflow.reading import written_span as written_span
    from genplan.workflow.recording import Added as Added
    from genplan.workflow.recording import Proposed as Proposed
    from genplan.workflow.recording import RecordOutcome as RecordOutcome
    from genplan.workflow.recording import RecordRequest as RecordRequest
    from genplan.workflow.recording import begun_and_unwritten as begun_and_unwritten
    from genplan.workflow.recording import propose as propose
    from genplan.workflow.recording import record as record
    from genplan.workflow.recording import record_rows as record_rows
    from genplan.workflow.recording import record_sheet as record_sheet
    from genplan.workflow.renaming import Renamed as Renamed
    from genplan.workflow.renaming import Uses as Uses
    from genplan.workflow.renaming import rename as rename
    from genplan.workflow.renaming import section_of as section_of
    from genplan.workflow.renaming import uses as uses
    from genplan.workflow.sharing import Shared as Shared
    from genplan.workflow.sharing import share_copy as share_copy
    from genplan.workflow.sharing import share_part as share_part
    from genplan.workflow.sharing import weeks_to_share as weeks_to_share
    from genplan.workflow.solving import forget as forget
    from genplan.workflow.solving import searching_at as searching_at
    from genplan.workflow.starting import Started as Started
    from genplan.workflow.starting import answers_so_far as answers_so_far
    from genplan.workflow.starting import case_of_answers as case_of_answers
    from genplan.workflow.starting import first_week as first_week
    from genplan.workflow.starting import keep_answers as keep_answers
    from genplan.workflow.tabling import Tabled as Tabled
    from genplan.workflow.tabling import read_tables as read_tables
    from genplan.workflow.taking_alternatives import AlternativesView as AlternativesView
    from genplan.workflow.taking_alternatives import alternatives as alternatives
    from genplan.workflow.taking_alternatives import rows_of_run as rows_of_run
    from genplan.workflow.taking_alternatives import take as take
    from genplan.workflow.telling import called as called
    from genplan.workflow.telling import mark_not_told as mark_not_told
    from genplan.workflow.telling import mark_told as mark_told
    from genplan.workflow.telling import texts_to_send as texts_to_send
    from genplan.workflow.term_ahead import TermView as TermView
    from genplan.workflow.term_ahead import term as term
    from genplan.workflow.timetabling import TimetableView as TimetableView
    from genplan.workflow.timetabling import timetable as timetable
    from genplan.workflow.timetabling import timetable_of as timetable_of
    from genplan.workflow.told_sittings import ToldSitting as ToldSitting
    from genplan.workflow.trying import Tried as Tried
    from genplan.workflow.trying import TriedWeek as TriedWeek
    from genplan.workflow.trying import try_change as try_change
    from genplan.workflow.week_as_told import ToldWeek as ToldWeek
    from genplan.workflow.week_as_told import told_week as told_week
    from genplan.workflow.week_as_told import told_weeks as told_weeks
    from genplan.workflow.wish_answers import answers_in as answers_in
    from genplan.workflow.wishing import Wished as Wished
    from genplan.workflow.wishing import take_back as take_back
    from genplan.workflow.wishing import try_wish as try_wish
    from genplan.workflow.wishing import wish as wish
    from genplan.workflow.writing import write_plan as write_plan
    from genplan.workflow.writing_tables import empty_tables as empty_tables
    from genplan.workflow.writing_tables import write_tables as write_tables

_VERBS = {
    "taking_alternatives": "AlternativesView alternatives rows_of_run take",
    "cautions_lost": "CautionsWouldGo",
    "changing": "ChangeRequest change fact_in_words",
    "checking": "Checked check checked new",
    "choosing": "ExemplarsView exemplars exemplars_of",
    "comparing": "ComparedView compare",
    "correcting": "correct",
    "doubts": "Doubts NotAdded to_ask",
    "editing": "put_thing",
    "explaining": "WhyView why",
    "falling_through": "fell_through held_after_all",
    "forecasting": "ForecastView forecast",
    "going_back": "earlier_states go_back",
    "keeping": "Kept keep keep_sittings replan",
    "looking_back": "LatelyView loads",
    "notes_of_plan": "asked_since",
    "opened_case": "Opened open_case refuse_past wall_clock",
    "planned_sittings": "PlannedSitting sitting_of sitting_told sitting_words sittings_told",
    "planning": "PlanOutcome plan plan_opened plan_weeks",
    "pricing": "PricedWeek price_of_wish",
    "publishing": "Published publish",
    "putting_right": "in_the_way_of put_right put_row_back take_row_back",
    "reading": "HistoryView MatrixView Reviews history_of matrix matrix_of names_in_files progress progress_of review "
    "review_files written_span",
    "recording": "Added Proposed RecordOutcome RecordRequest begun_and_unwritten propose record record_rows "
    "record_sheet",
    "renaming": "Renamed Uses rename section_of uses",
    "sharing": "Shared share_copy share_part weeks_to_share",
    "solving": "forget searching_at",
    "starting": "Started answers_so_far case_of_answers first_week keep_answers",
    "tabling": "Tabled read_tables",
    "term_ahead": "TermView term",
    "timetabling": "TimetableView timetable timetable_of",
    "telling": "called mark_not_told mark_told texts_to_send",
    "told_sittings": "ToldSitting",
    "week_as_told": "ToldWeek told_week told_weeks",
    "trying": "Tried TriedWeek try_change",
    "wish_answers": "answers_in",
    "wishing": "Wished take_back try_wish wish",
    "writing": "write_plan",
    "writing_tables": "empty_tables write_tables",
}
"""The same for whoever runs it, by module; `tests/workflow` holds the two against each other."""
_HOME = {name: module for module, names in _VERBS.items() for name in names.split()}


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module '{__name__}' has no attribute '{name}'")
    found = globals()[name] = getattr(import_module(f"{__name__}.{_HOME[name]}"), name)
    return found


def __dir__() -> list[str]:
    return sorted({*globals(), *_HOME})
