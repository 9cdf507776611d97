"""The case as frozen values: people, places, material sets, targets, policy. No file format, no clock, no solver."""

from genplan.case.model import Case
from genplan.case.people import Absence, Adult, AdultLimits, Birth, Learner, LearnerLimits
from genplan.case.places import Location, Travel
from genplan.case.policy import Policy, Preferences, SolverLimits
from genplan.case.safety import MaterialSet
from genplan.case.targets import (
    STRENGTHS,
    Combination,
    Dimension,
    PassMark,
    Pattern,
    Target,
    TargetState,
    Wish,
)
from genplan.case.week import Week
from genplan.case.windows import WeeklyHours, Window, Windows

__all__ = [
    "STRENGTHS",
    "Absence",
    "Adult",
    "AdultLimits",
    "Birth",
    "Case",
    "Combination",
    "Dimension",
    "Learner",
    "LearnerLimits",
    "Location",
    "MaterialSet",
    "PassMark",
    "Pattern",
    "Policy",
    "Preferences",
    "SolverLimits",
    "Target",
    "TargetState",
    "Travel",
    "Week",
    "WeeklyHours",
    "Window",
    "Windows",
    "Wish",
]
