"""Recording by questions: one planned probe after the other, or any other, until an empty answer."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from genplan.case import Target
from genplan.cli import output
from genplan.cli.added_rows import rows_added
from genplan.cli.given_answers import GivenAnswers
from genplan.cli.recorded_answers import (
    Refused,
    Row,
    count_of,
    counts_or_marks,
    is_nothing,
    observer_of,
    one_of,
    row_words,
    seen_by_observer,
    some_of,
    steps_of,
    text_of,
    time_of,
    yes_or_no,
)
from genplan.cli.start_prompts import Back, none_of_them
from genplan.errors import CaseError
from genplan.evidence.log import ResultKind
from genplan.evidence.planned_probes import PlannedProbe
from genplan.evidence.sittings_written import CHILDS_REASONS, REASONS, childs_reason, is_known_reason
from genplan.language import N_, _, said
from genplan.language.sentences import capital
from genplan.language.typed import is_word
from genplan.report.names_and_words import Names, long_date
from genplan.start.questions import Options
from genplan.text.dimension_words import dimension_word
from genplan.workflow import Proposed, record_rows, to_ask

COUNTS = ("correct", "trials", "marks")
SEEN = ("observer_correct", "observer_marks")
KINDS = (N_("probe"), N_("maintenance"), N_("teaching"), N_("baseline"))
HELP = N_("""\
Answer in your own words or with a number; of a name its beginning is enough. Enter alone leaves open what may be left
open. 'back' asks the question before once more. Nothing is written down before you have said yes to the whole row.""")

Found = TypeVar("Found")


class _OnceMore(Exception):
    """A row was refused, and is asked for once more."""


@dataclass
class Questions:
    """`ask` shows a question and gives back the answer; it raises EOFError where no more answers come."""

    proposed: Proposed
    ask: Callable[[str], str]

    @cached_property
    def given(self) -> GivenAnswers:
        return GivenAnswers(self.ask)

    @property
    def names(self) -> Names:
        return Names(self.proposed.opened.case)

    def run(self) -> int:
        """Asks until an empty answer or the end of the answers. Returns how many rows were added."""
        added, left = 0, list(self.proposed.probes)
        try:
            while (done := self._row(left)) is not None:
                added += done
        except EOFError:
            output.show("")
        output.show(rows_added(added))
        return added

    def _row(self, left: list[PlannedProbe]) -> int | None:
        """Asks for one row; the probe that it answers is taken out of those that are left. None at the end."""
        self.given.begin()
        while True:
            try:
                if (chosen := self._next(left)) is None:
                    return None
                row, probe = chosen
                done = self._add(row)
            except Back:
                if not self.given.back():
                    output.show(_("There is no question before this one."))
                continue
            except _OnceMore:
                continue
            if done and probe:
                left.remove(probe)
            return done

    def _next(self, left: Sequence[PlannedProbe]) -> tuple[Row, PlannedProbe | None] | None:
        """The cells of the next result, and the planned probe that it answers."""
        if not self.given.are_repeated:
            for number, probe in enumerate(left, 1):
                output.show(f"{number}. {probe.start:%H:%M} {self._words(probe)}")
        question = (
            _("Which one? Its number, 'other', or Enter alone to end: ")
            if left
            else _("'other', or Enter alone to end: ")
        )

        def read(answer: str) -> PlannedProbe | str:
            if answer.isdecimal() and 1 <= int(answer) <= len(left):
                return left[int(answer) - 1]
            if not is_nothing(answer) and not is_word(answer, "other"):
                raise Refused(none_of_them(answer))
            return "other" if is_word(answer, "other") else ""

        found = self._answer(question, read)
        if isinstance(found, PlannedProbe):
            return self._rest(_cells(self.proposed, found), found), found
        return (self._rest(self._other(), None), None) if found else None

    def _words(self, probe: PlannedProbe) -> str:
        target = self.proposed.opened.case.targets[probe.target]
        kind = "" if probe.kind is ResultKind.PROBE else f" ({said(probe.kind.value)})"
        return f"{self.names.target(target.id)}: {self.names.combination(target, probe.combination)}{kind}"

    def _other(self) -> Row:
        case, names = self.proposed.opened.case, self.names
        known = tuple(t.id for t in case.planned) or tuple(case.targets)
        target = case.targets[self._one_of(_("Target"), tuple((id_, names.target(id_)) for id_ in known))]
        kind = self._one_of(_("What was it"), tuple((kind, said(kind)) for kind in KINDS))
        values = {
            d.name: self._one_of(
                capital(dimension_word(d.name)),
                tuple((value, names.value(d.name, value)) for value in d.values),
            )
            for d in target.dimensions
        }
        cells = {"date": self.proposed.day.isoformat(), "target": target.id, "kind": kind, **values}
        asked = _("When did it begin, such as 16:30? Enter alone if not known: ")
        return cells | {
            "time": self._answer(asked, time_of, fills=("time", "date")),
            "trials": str(target.trials),
        }

    def _rest(self, cells: Row, planned: PlannedProbe | None) -> Row:
        """Whether it was run, the counts, the observer, the note. A lesson has no observer, and needs no count."""
        target = self.proposed.opened.case.targets[cells["target"]]
        lesson = cells["kind"] == ResultKind.TEACHING
        # who chose teaching as what it was has said that it was taught
        asked = planned or not lesson
        if asked and (reason := self._reason(target, _("Was it taught?") if lesson else _("Was it run?"))):
            return cells | {"kind": ResultKind.NOT_RUN.value, "trials": "", "note": reason}
        return self._taught(cells) if lesson else self._tested(cells, planned.observer if planned else "")

    def _taught(self, cells: Row) -> Row:
        trials = int(cells["trials"])
        asked = _(
            "Correct without help, of {trials} trials ('3 of 4' if it "
            "was another number), Enter alone if not counted: ",
            trials=trials,
        )
        found = self._answer(asked, lambda answer: count_of(answer, trials), fills=COUNTS)
        counts = {"trials": ""}
        if found:
            counts = {
                "correct": str(found[0]),
                "trials": str(found[1]),
                "prompted": self._prompted(found[1]),
            }
        return (
            cells
            | counts
            | {"note": self._answer(_("A word on it? Enter alone if none: "), text_of, fills=("note",))}
        )

    def _tested(self, cells: Row, planned: str) -> Row:
        """`planned` is who was to observe."""
        trials = int(cells["trials"])
        asked = _(
            "Correct without help, of {trials} trials ('3 of 4' if it was "
            "another number), or a sign a trial such as ++-p+: ",
            trials=trials,
        )
        cells = cells | self._answer(asked, lambda answer: counts_or_marks(answer, trials), fills=COUNTS)
        run = int(cells["trials"])
        if "marks" not in cells:
            cells["prompted"] = self._prompted(run)
        if observer := self._observer(planned):
            asked = _("And counted as correct, or a sign a trial such as ++-p+: ")
            seen = self._answer(asked, lambda answer: seen_by_observer(answer, run), fills=SEEN)
            cells |= {"observer": observer, **seen}
            if self.proposed.opened.case.targets[cells["target"]].steps:
                asked = _("Steps kept, such as 7/8? Enter alone if not marked: ")
                cells["steps_kept"] = self._answer(asked, steps_of, fills=("steps_kept",))
        return cells | {"note": self._answer(_("A note? Enter alone if none: "), text_of, fills=("note",))}

    def _prompted(self, most: int) -> str:
        asked = _("Correct with help? Enter alone if not counted: ")
        return self._answer(asked, lambda answer: some_of(answer, most), fills=("prompted",))

    def _observer(self, planned: str) -> str:
        adults = tuple((id_, self.names.adult(id_)) for id_ in self.proposed.opened.case.adults)
        question = (
            _(
                "Did {name} count too? 'yes', who else did, or Enter alone if nobody: ",
                name=self.names.adult(planned),
            )
            if planned
            else _("Who else counted? Enter alone if nobody: ")
        )

        def read(answer: str) -> str:
            if planned and is_word(answer, "yes"):
                return planned
            if is_word(answer, "yes"):
                raise Refused(_("Who was it? Type the name."))
            named = text_of(answer)
            return observer_of(named, adults) if named else ""

        return self._answer(question, read, fills=("observer",))

    def _reason(self, target: Target, asked: str) -> str:
        """Why it was not run; empty if it was."""
        listed = _numbered(map(said, REASONS))
        question = _("{asked} 'yes', or why not: {listed}, or your own words: ", asked=asked, listed=listed)
        once_more = _(
            "Why was it not run? {listed}, or your own words; 'yes' if it was. ({learner} has not failed.) ",
            listed=listed,
            learner=self.names.learner(target.learner),
        )

        def read(answer: str) -> str:
            if is_word(answer, "yes"):
                return ""
            if answer.isdecimal() and 1 <= int(answer) <= len(REASONS):
                return REASONS[int(answer) - 1]
            if is_nothing(answer) or is_word(answer, "no") or answer.isdecimal():
                raise Refused
            return answer

        reason = self._answer(question, read, once_more)
        return reason if not reason or is_known_reason(reason) else self._whose(target, reason)

    def _whose(self, target: Target, reason: str) -> str:
        """The reason, marked as the child's own if it was: of words nobody can tell."""
        listed = _numbered(map(said, CHILDS_REASONS))
        learner = self.names.learner(target.learner)
        question = _(
            "Did it lie with {learner}? {listed}, or Enter alone if not: ", learner=learner, listed=listed
        )

        def read(answer: str) -> str:
            if not text_of(answer):
                return reason
            one = CHILDS_REASONS[int(answer) - 1] if answer in ("1", "2") else childs_reason(answer)
            if one:
                return f"{one}: {reason}"
            raise Refused(none_of_them(answer))

        return self._answer(question, read)

    def _one_of(self, what: str, choices: Options) -> str:
        if len(choices) == 1:
            return choices[0][0]
        return self._answer(f"{what}? {_numbered(words for _key, words in choices)}: ", one_of(choices))

    def _add(self, row: Row) -> int:
        """Adds one row, if it is confirmed and can be read. Returns how many were added."""
        for sentence in to_ask(self.proposed.opened, [row]).sentences:
            output.show(sentence)
        told = row_words(self.names, row)
        if not self._answer(_("Add this? {told}. Enter alone for yes, or 'no': ", told=told), yes_or_no):
            output.show(_("Not added."))
            return 0
        try:
            added = record_rows(self.proposed.opened, [row])
        except CaseError as error:
            output.show(_("Not added. {error}", error=error))
            if self.given.once_more({finding.key for finding in error.findings}):
                raise _OnceMore from None
            return 0
        for finding in added.findings:
            output.tell(finding.sentence())
        output.show(" ".join((_("Added as line {line}.", line=added.results[0].line), *added.said)))
        return 1

    def _answer(
        self, question: str, read: Callable[[str], Found], once_more: str = "", fills: tuple[str, ...] = ()
    ) -> Found:
        """Asked until `read` takes the answer; `once_more` is the question after one that was refused, `fills` are the
        columns that the answer is for. Raises Back."""
        first = question
        while True:
            answer = self.given.typed(first, question)
            if is_word(answer, "back"):
                raise Back
            if is_word(answer, "help"):
                output.show(said(HELP))
                continue
            try:
                found = read(answer)
            except Refused as refused:
                if str(refused):
                    output.show(str(refused))
                question = once_more or question
                continue
            self.given.take(first, answer, fills)
            return found


def _numbered(words: Iterable[str]) -> str:
    return ", ".join(f"{number} {word}" for number, word in enumerate(words, 1))


def _cells(proposed: Proposed, probe: PlannedProbe) -> Row:
    target = proposed.opened.case.targets[probe.target]
    return {
        "date": probe.start.date().isoformat(),
        "time": f"{probe.start:%H:%M}",
        "target": target.id,
        "kind": probe.kind.value,
        **dict(zip(target.dimension_names, probe.combination, strict=True)),
        "trials": str(probe.trials),
    }


def heading(proposed: Proposed) -> str:
    """What the questions are about."""
    day = long_date(proposed.day)
    if proposed.source is None:
        return _("{day}: no plan of this week is kept, so nothing is proposed.", day=day)
    if not proposed.probes:
        return _("{day}: nothing is planned that is not written down already.", day=day)
    return _("{day}: planned and not written down yet.", day=day)
