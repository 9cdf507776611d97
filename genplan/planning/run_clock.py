"""How long each step of a run took, for run.json: the one thing of a run that may differ from that of the next."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from genplan.planning.outcome import Outcome


@dataclass
class Step:
    """What was done in one step.

    - `seconds`: how long it took, whatever the number of processes
    - `searches`, `cpu`: how many searches, and their CPU seconds, models and cuts among them
    - `tried`, `accepted`: moves of an operator, and those after which the week was better
    - `stages`: objective -> seconds, and the solver's deterministic work"""

    seconds: float = 0.0
    searches: int = 0
    cpu: float = 0.0
    tried: int = 0
    accepted: int = 0
    stages: dict[str, tuple[float, float]] = field(default_factory=dict)

    def add(self, outcome: Outcome) -> None:
        self.searches += 1
        self.cpu += outcome.cpu
        for name, more in outcome.seconds.items():
            seconds, work = self.stages.get(name, (0.0, 0.0))
            self.stages[str(name)] = seconds + more, work + outcome.work.get(name, 0.0)

    def document(self, name: str) -> dict[str, object]:
        stages = {n: {"seconds": round(s, 3), "work": round(w, 3)} for n, (s, w) in self.stages.items()}
        moves = {"tried": self.tried, "accepted": self.accepted} if self.tried else {}
        searches = {"searches": self.searches, "cpu": round(self.cpu, 3)} if self.searches else {}
        return {"step": name, "seconds": round(self.seconds, 3)} | searches | moves | {"stages": stages}


@dataclass
class Clock:
    """The steps by name, in the order in which they began. What is done in a step within another counts in both."""

    steps: dict[str, Step] = field(default_factory=dict)
    _running: list[str] = field(default_factory=list)
    _outermost: dict[str, Step] = field(default_factory=dict)

    @contextmanager
    def step(self, name: str) -> Iterator[Step]:
        step = self.steps.setdefault(name, Step())
        if not self._running:
            self._outermost[name] = step
        began = time.perf_counter()
        self._running.append(name)
        try:
            yield step
        finally:
            self._running.pop()
            step.seconds += time.perf_counter() - began

    def add(self, outcome: Outcome) -> None:
        """A search that was made for the steps that are running."""
        for name in self._running:
            self.steps[name].add(outcome)

    def seconds(self) -> dict[str, float]:
        """Those of the outermost steps, which add up to the whole, and of each stage of all searches together."""
        stages: Counter[str] = Counter()
        for step in self._outermost.values():
            stages.update({f"stage {name}": seconds for name, (seconds, _) in step.stages.items()})
        return {name: step.seconds for name, step in self._outermost.items()} | dict(stages)

    def documents(self) -> tuple[dict[str, object], ...]:
        return tuple(step.document(name) for name, step in self.steps.items())
