"""How far a search is, in English: one line for who waits."""

from __future__ import annotations

from collections.abc import Mapping

from genplan.plan import ObjectiveName
from genplan.planning.progress import Phase, PhaseProgress, StageProgress


def step_text(step: PhaseProgress) -> str:
    """`planning child after child: 38 of 60 children`."""
    words, things = _PHASES[step.phase]
    if step.phase is Phase.BETTERING and step.done:
        tries = "1 try" if step.done == 1 else f"{step.done:,} tries"
        return f"{words}: {step.better:,} in {tries}"
    return f"{words}: {step.done:,} of {step.of:,}{things}" if step.of else words


def stage_text(stage: StageProgress, noun: str, *, weighted: bool) -> str:
    """`fewer sittings and ways: 15, at least 13`. `noun` is 'pairs' or what tuples are called; `weighted`: those
    of some children count more."""
    words = _STAGES[stage.objective]
    if stage.objective is ObjectiveName.NEW_TUPLES:
        words = f"new {noun}, weighted by needs" if weighted else f"new {noun}"
    if stage.value is None or stage.bound is None or stage.objective in _OF_NO_UNIT:
        return words
    if not stage.most and stage.bound <= 0 < stage.value:  # a bound that says nothing
        return f"{words}: {stage.value:,g}"
    return f"{words}: {stage.value:,g}{' of at most ' if stage.most else ', at least '}{stage.bound:,g}"


def shown_text(shown: float, at_most: float, noun: str) -> str:
    """`2,431 of at most 2,480 new pairs`."""
    return f"{shown:,g} of at most {at_most:,g} new {noun}"


_CHILDREN = " children"
_PHASES: Mapping[Phase, tuple[str, str]] = {
    Phase.SEARCHING: ("looking for the best week", ""),
    Phase.TOGETHER: ("all children together", ""),
    Phase.SHORTEST_WAY: ("once more, for fewer probes in all", ""),
    Phase.ALONE: ("each alone", _CHILDREN),
    Phase.SCARCE: ("what each could have without the fullest hours", ""),
    Phase.IN_TURN: ("planning child after child", _CHILDREN),
    Phase.BETTERING: ("better weeks", ""),
    Phase.INSERTING: ("adding what still fits", ""),
    Phase.FINISHING: ("tidying up", _CHILDREN),
    Phase.BOUND: ("what all can have at most", ""),
    Phase.OBSERVERS: ("looking for who can observe", ""),
    Phase.REASONS: ("looking for why the rest is left out", ""),
    Phase.CHECKING: ("checking the plan against every rule once more", ""),
    Phase.WRITING: ("writing the files", ""),
}
"""What is done, and the things that are counted."""

_STAGES: Mapping[ObjectiveName, str] = {
    ObjectiveName.ASKED: "what was asked for",
    ObjectiveName.RATHER: "what people would rather have",
    ObjectiveName.PEOPLE: "fewer people who have to be told",
    ObjectiveName.OTHERWISE: "fewer sittings that differ from what people were told",
    ObjectiveName.TOLD: "keeping what people were told",
    ObjectiveName.DUE: "what is due",
    ObjectiveName.DATED: "what has its last chance",
    ObjectiveName.TEACHING: "what is to be taught",
    ObjectiveName.WISHED: "what is wanted first",
    ObjectiveName.SHARES: "fair shares",
    ObjectiveName.NEW_TUPLES: "",
    ObjectiveName.WORTH: "what it is worth",
    ObjectiveName.CHANGES: "steps from what was met",
    ObjectiveName.FURTHER_PROBES: "probes left for later weeks",
    ObjectiveName.FELL_THROUGH: "what fell through before",
    ObjectiveName.SITTINGS: "fewer sittings and ways",
    ObjectiveName.PROBES: "probes",
    ObjectiveName.CATCH_UP: "days left to catch up on",
    ObjectiveName.LOADS: "less for the busiest adult",
    ObjectiveName.SPREAD: "days that are evenly full",
    ObjectiveName.WAITING: "what is due on earlier days",
    ObjectiveName.EARLY: "earlier times of day",
    ObjectiveName.LEFT_TO_OTHERS: "leaving room for others",
}

_OF_NO_UNIT = (ObjectiveName.LOADS, ObjectiveName.SPREAD, ObjectiveName.WAITING, ObjectiveName.EARLY)
"""Whose figures order weeks and say nothing to a person."""
