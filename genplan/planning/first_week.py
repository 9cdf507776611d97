"""A week without a search: what people were told of, and probes inserted one by one, within a second or a few. It is
what is shown while the search begins, and what there is at the least where that ends before it found anything."""

from __future__ import annotations

from collections.abc import Mapping
from threading import Lock
from typing import TYPE_CHECKING

from genplan.planning.budget import Budget
from genplan.rules.placed_sittings import PlacedSitting

if TYPE_CHECKING:
    from genplan.planning.caseload_problem import Caseload


class FirstWeek:
    """Found once, for whoever asks first; others wait for it, in other threads too."""

    def __init__(self, load: Caseload) -> None:
        self._load, self._lock = load, Lock()
        self._found: Mapping[str, tuple[PlacedSitting, ...]] | None = None

    def seats(self, budget: Budget) -> Mapping[str, tuple[PlacedSitting, ...]]:
        """Each learner's. Once the budget is over no more is inserted, but for a first probe of everybody."""
        from genplan.planning.probe_insertion import insert_probes

        with self._lock:
            if self._found is None:
                self._found = insert_probes(self._load, _as_told(self._load), budget, {})
            return self._found


def _as_told(load: Caseload) -> dict[str, tuple[PlacedSitting, ...]]:
    """What of the sittings told can still be held, each learner's, without its observer: those are put in at the end of
    a search."""
    from genplan.planning.search.best_so_far import by_learner
    from genplan.planning.still_possible import held_together
    from genplan.planning.told_anew import as_run

    stay, _ = held_together(load)
    return dict(by_learner(load.learners, [as_run(s) for s in stay]))
