"""What is seen of a search while it runs: a line that says how far it is, and drafts of the week.

A draft is the best week so far. It is looked at and no more: it is never written, kept or told, and one that breaks a
rule is not shown.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from threading import RLock, Thread
from time import monotonic
from typing import TYPE_CHECKING

from genplan.case import Week
from genplan.language import speaking, speech
from genplan.workflow.opened_case import Progress

if TYPE_CHECKING:
    from genplan.plan import Sitting
    from genplan.planning.first_week import FirstWeek
    from genplan.planning.progress import Said, StageProgress, WeekSoFar
    from genplan.planning.week_context import WeekContext
    from genplan.rules.placed_sittings import PlacedSitting

DRAWING_SHARE = 0.2
"""Of the time may go into drawing drafts, at the most."""
FIRST_SECONDS = 5.0
"""For the first draft, which is found without a search."""

WORTH = ("due", "dated", "wished", "new tuples")


@dataclass(frozen=True)
class Draft:
    """The best week so far. `shown` are its new tuples, `at_most` what is proven of them, and `noun` what they are
    called; `worth` is what two weeks are compared by, as counts of `WORTH`."""

    week: Week
    sittings: tuple[Sitting, ...]
    shown: int
    at_most: int
    noun: str
    worth: tuple[int, ...]


Show = Callable[[Draft], None]


class Watch:
    """Hears what a search says, from all its threads, and tells it as lines and drafts. Nothing of it is heard by the
    search: with and without one it finds the same. `meanwhile` is called in a thread of its own once a search is under
    way, while this process waits for it."""

    def __init__(
        self, tell: Progress, show: Show | None = None, meanwhile: Callable[[], None] | None = None
    ) -> None:
        self._tell, self._show, self._lock = tell, show, RLock()
        self._meanwhile = meanwhile
        self._speech = speech()  # the threads of a search have none of their own
        self._context: WeekContext | None = None
        self._noun, self._weighted, self._whole = "", False, True
        self._said, self._counts = "", False
        self._best: tuple[int, ...] = ()
        self._shown: int | None = None
        self._at_most = 0
        self._again = 0.0
        self._fault: Exception | None = None

    def __call__(self, said: Said) -> None:
        with self._lock, speaking(self._speech):
            if self._fault is not None:
                raise self._fault
            line = self._line(said)
            if line:
                self._tell(line)

    def _line(self, said: Said) -> str:
        from genplan.plan import ObjectiveName
        from genplan.planning.progress import (
            InWeek,
            Phase,
            PhaseProgress,
            SearchBegun,
            StageProgress,
            WeekSoFar,
        )
        from genplan.text.progress import shown_text, stage_text, step_text

        match said:
            case InWeek():
                line = self._line(said.said)
                return f"{said.week}: {line}" if line else ""
            case SearchBegun():
                self._begin(said.context, said.first)
                return ""
            case WeekSoFar():
                self._hear(said)
            case StageProgress():
                self._begin_meanwhile()
                self._said, self._counts = stage_text(said, self._noun, weighted=self._weighted), False
                if said.objective is ObjectiveName.NEW_TUPLES and not self._weighted:
                    self._count(said)
            case PhaseProgress():
                self._said, self._counts = step_text(said), False
                self._whole = self._whole and said.phase is not Phase.SHORTEST_WAY
            case _:
                self._said = said
                return said
        known = self._best and not self._counts
        shown = shown_text(self._best, self._at_most, self._noun) if known else ""
        return "; ".join(filter(None, (self._said, shown)))

    def _begin(self, context: WeekContext, first: FirstWeek) -> None:
        from genplan.case.people import NEEDS_SCALE
        from genplan.text.tuple_words import common_words

        self._context, self._whole, self._best, self._shown = context, True, (), None
        _, self._noun = common_words(n.target for n in context.needs)
        self._weighted = any(
            context.case.learners[n.target.learner].weight != NEEDS_SCALE for n in context.needs
        )
        self._at_most = sum(len(n.open) for n in context.needs)
        if self._show is not None:
            Thread(target=self._without_a_search, args=(context, first), daemon=True).start()

    def _begin_meanwhile(self) -> None:
        meanwhile, self._meanwhile = self._meanwhile, None
        if meanwhile is not None:
            Thread(target=meanwhile, daemon=True).start()

    def _without_a_search(self, context: WeekContext, first: FirstWeek) -> None:
        """The first draft, while the solver's processes are still starting."""
        from genplan.planning.budget import Budget
        from genplan.planning.progress import WeekSoFar

        try:
            seats = first.seats(Budget.of(FIRST_SECONDS))
            with self._lock:
                if context is self._context and self._shown is None:
                    self(WeekSoFar(tuple(s for own in seats.values() for s in own)))
        except Exception as fault:  # raised where it is heard: the next time that the search says something
            self._fault = fault

    def _count(self, stage: StageProgress) -> None:
        """A stage that counts new tuples says what the line says after all others. It may be behind a draft that is as
        good in what weighs more: of another that is proven to be none."""
        from genplan.text.progress import new_text

        if stage.bound is not None and self._whole:
            self._at_most = min(self._at_most, int(stage.bound))
        if stage.value is not None:
            own, drawn = int(stage.value), self._shown or 0
            shown = drawn if own < drawn <= self._at_most else own
            self._said, self._counts = new_text(shown, self._at_most, self._noun), True

    def _hear(self, best: WeekSoFar) -> None:
        from genplan.planning.figures import coverage_counts

        context = self._context
        if context is None:
            return
        found = coverage_counts(context.needs, best.seats)
        worth = tuple(found[name] for name in WORTH)
        if best.at_most is not None:
            self._at_most = min(self._at_most, best.at_most)
        if worth < self._best:
            return
        self._best, self._shown = worth, found["new tuples"]
        if self._show is not None and monotonic() >= self._again:
            began = monotonic()
            draft = self._draft(context, best.seats)
            if draft is not None:
                self._show(draft)
            self._again = monotonic() + (monotonic() - began) * (1 - DRAWING_SHARE) / DRAWING_SHARE

    def _draft(self, context: WeekContext, seats: Iterable[PlacedSitting]) -> Draft | None:
        """None for one that breaks a rule: it is a fault of the program, and the auditor says so at the end."""
        from genplan.audit import broken_rules
        from genplan.plan import Plan
        from genplan.planning.assemble import sittings_of

        begun = tuple(replace(s, begun=True) for s in context.begun)
        sittings = sittings_of(context.case, context.week, context.needs, seats, begun, context.decided.seats)
        plan = Plan.of_sittings(context.week, context.now, sittings)
        if broken_rules(context.case, plan, context.busy, context.log):
            return None
        assert self._shown is not None
        return Draft(context.week, sittings, self._shown, self._at_most, self._noun, self._best)
