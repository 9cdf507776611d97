"""How far a search is, in words: one line for who waits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from genplan.language import N_, _, ngettext, said
from genplan.plan import ObjectiveName
from genplan.planning.progress import Phase, PhaseProgress, StageProgress


def step_text(step: PhaseProgress) -> str:
    """`planning child after child: 38 of 60 children`."""
    words = said(_PHASES[step.phase])
    if step.phase is Phase.BETTERING and step.done:
        tries = ngettext("{n:,} try", "{n:,} tries", step.done)
        return _("{words}: {better:,} in {tries}", words=words, better=step.better, tries=tries)
    if not step.of:
        return words
    if step.phase in _OF_CHILDREN:
        return _("{words}: {done:,} of {of:,} children", words=words, done=step.done, of=step.of)
    return _("{words}: {done:,} of {of:,}", words=words, done=step.done, of=step.of)


def stage_text(stage: StageProgress, noun: str, *, weighted: bool) -> str:
    """`fewer sittings and ways: 15, at least 13`. `noun` is 'pairs' or what tuples are called; `weighted`: those
    of some children count more."""
    words = said(_STAGES[stage.objective])
    if stage.objective is ObjectiveName.NEW_TUPLES:
        words = _("new {noun}, weighted by needs", noun=noun) if weighted else _("new {noun}", noun=noun)
    if stage.value is None or stage.bound is None or stage.objective in _OF_NO_UNIT:
        return words
    if not stage.most and stage.bound <= 0 < stage.value:  # a bound that says nothing
        return f"{words}: {stage.value:,g}"
    if stage.most:
        return _(
            "{words}: {value:,g} of at most {bound:,g}", words=words, value=stage.value, bound=stage.bound
        )
    return _("{words}: {value:,g}, at least {bound:,g}", words=words, value=stage.value, bound=stage.bound)


def shown_text(worth: Sequence[int], at_most: float, noun: str) -> str:
    """`5 due probes, 2,431 of at most 2,480 new pairs`. `worth` counts what is due, what is wanted at its last chance,
    what is wanted and what is new. Weeks are compared by these in their order, so a better one may have fewer new: with
    what weighs more in front nobody takes it for a worse one. What is proven may be proven of such weeks alone."""
    due, dated, wished, new = worth
    parts = [ngettext("{n} due probe", "{n} due probes", due)] if due else []
    parts += [_("{n:,} of the {noun} with their last chance", n=dated, noun=noun)] if dated else []
    parts += [_("{n:,} of the wished {noun}", n=wished, noun=noun)] if wished else []
    parts += [new_text(new, at_most, noun)]
    return ", ".join(parts)


def new_text(new: float, at_most: float, noun: str) -> str:
    """`2,431 of at most 2,480 new pairs`; more than what is proven of better weeks stands without that."""
    if new > at_most:
        return _("{new:,g} new {noun}", new=new, noun=noun)
    return _("{shown:,g} of at most {at_most:,g} new {noun}", shown=new, at_most=at_most, noun=noun)


_PHASES: Mapping[Phase, str] = {
    Phase.SEARCHING: N_("looking for the best week"),
    Phase.TOGETHER: N_("all children together"),
    Phase.SHORTEST_WAY: N_("once more, for fewer probes in all"),
    Phase.ALONE: N_("each alone"),
    Phase.SCARCE: N_("what each could have without the fullest hours"),
    Phase.IN_TURN: N_("planning child after child"),
    Phase.BETTERING: N_("better weeks"),
    Phase.INSERTING: N_("adding what still fits"),
    Phase.FINISHING: N_("tidying up"),
    Phase.BOUND: N_("what all can have at most"),
    Phase.OBSERVERS: N_("looking for who can observe"),
    Phase.REASONS: N_("looking for why the rest is left out"),
    Phase.CHECKING: N_("checking the plan against every rule once more"),
    Phase.WRITING: N_("writing the files"),
}
_OF_CHILDREN = (Phase.ALONE, Phase.IN_TURN, Phase.FINISHING)
"""Which are counted in children."""

_STAGES: Mapping[ObjectiveName, str] = {
    ObjectiveName.ASKED: N_("what was asked for"),
    ObjectiveName.RATHER: N_("what people would rather have"),
    ObjectiveName.PEOPLE: N_("fewer people who have to be told"),
    ObjectiveName.OTHERWISE: N_("fewer sittings that differ from what people were told"),
    ObjectiveName.TOLD: N_("keeping what people were told"),
    ObjectiveName.DUE: N_("what is due"),
    ObjectiveName.DATED: N_("what has its last chance"),
    ObjectiveName.TEACHING: N_("what is to be taught"),
    ObjectiveName.WAITED: N_("what waits longest to be taught"),
    ObjectiveName.WISHED: N_("what is wanted first"),
    ObjectiveName.SHARES: N_("fair shares"),
    ObjectiveName.NEW_TUPLES: "",
    ObjectiveName.WORTH: N_("what it is worth"),
    ObjectiveName.CHANGES: N_("steps from what was met"),
    ObjectiveName.FURTHER_PROBES: N_("probes left for later weeks"),
    ObjectiveName.FELL_THROUGH: N_("what fell through before"),
    ObjectiveName.SITTINGS: N_("fewer sittings and ways"),
    ObjectiveName.PROBES: N_("probes"),
    ObjectiveName.CATCH_UP: N_("days left to catch up on"),
    ObjectiveName.LOADS: N_("less for the busiest adult"),
    ObjectiveName.SPREAD: N_("days that are evenly full"),
    ObjectiveName.WAITING: N_("what is due on earlier days"),
    ObjectiveName.EARLY: N_("earlier times of day"),
    ObjectiveName.LEFT_TO_OTHERS: N_("leaving room for others"),
}

_OF_NO_UNIT = (ObjectiveName.LOADS, ObjectiveName.SPREAD, ObjectiveName.WAITING, ObjectiveName.EARLY)
"""Whose figures order weeks and say nothing to a person."""
