"""A problem with only what decides its answer has the answer of the whole one."""

from __future__ import annotations

import pickle
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

import pytest

from genplan.case import Case, Policy, Preferences, SolverLimits
from genplan.planning.caseload import _whole_job
from genplan.planning.construction import Caseload
from genplan.planning.jobs import SolveJob, run_solve
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem
from genplan.planning.reduction import DROPPED, reduced
from genplan.planning.week_context import WeekContext, week_context_of
from genplan.plan import COMFORT, COVERAGE, ObjectiveName
from genplan.rules.placed_sittings import PlacedSitting
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.random_cases import WEEK, now_of, random_case, random_log

SEEDS = range(40)
