"""What was answered about one row, so that 'back' and a row that was refused ask for no answer twice."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, field, replace


@dataclass(frozen=True)
class _Given:
    """`fills` are the columns that the answer is for; `answer` is None for what is to be asked again."""

    question: str
    answer: str | None
    fills: tuple[str, ...]


@dataclass
class GivenAnswers:
    """`ask` shows a question and gives back the answer; it raises EOFError where no more answers come."""

    ask: Callable[[str], str]
    _given: list[_Given] = field(default_factory=list, init=False)
    _again: list[_Given] = field(default_factory=list, init=False)
    """Answers that are taken once more."""

    @property
    def are_repeated(self) -> bool:
        return bool(self._again)

    def begin(self) -> None:
        """The next row."""
        self._given = []

    def take(self, question: str, answer: str, fills: tuple[str, ...]) -> None:
        self._given.append(_Given(question, answer, fills))

    def back(self) -> bool:
        """The last question is asked once more; False where there was none."""
        had_any, self._again = bool(self._given), self._given[:-1]
        self.begin()
        return had_any

    def once_more(self, columns: Collection[str]) -> bool:
        """The row is asked for again, and of it only what fills one of these columns; False where nothing that was
        asked does. The last answer said yes to the row, and is asked for again."""
        answers = self._given[:-1]
        for number, one in enumerate(answers):
            if {*columns} & {*one.fills}:
                self._again = [*answers[:number], replace(one, answer=None), *answers[number + 1 :]]
                self.begin()
                return True
        return False

    def typed(self, first: str, question: str) -> str:
        """What was answered before, as long as the same is asked; else what is answered now. `first` is the question as
        it was asked before anything was refused."""
        if self._again:
            before = self._again.pop(0)
            if before.question != first:
                self._again = []
            elif before.answer is not None:
                return before.answer
        return self.ask(question).strip()
