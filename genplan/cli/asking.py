"""Recording by questions: one planned probe after the other, or any other, until an empty answer."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from genplan.case import Target
from genplan.casefile.diagnostics import InvalidValue
from genplan.cli import output
from genplan.errors import CaseError, UsageError
from genplan.evidence.log import ResultKind
from genplan.evidence.marks import filled_by_marks, read_marks
from genplan.evidence.planned_probes import PlannedProbe
from genplan.evidence.procedure import as_written, read_steps_kept
from genplan.evidence.sittings_written import CHILDS_REASONS, REASONS, childs_reason, is_known_reason
from genplan.language import N_, _, ngettext, said
from genplan.language.sentences import capital
from genplan.language.typed import is_word
from genplan.language.typed_numbers import share_of
from genplan.report.names_and_words import Names, long_date
from genplan.workflow import Doubts, Proposed, record_rows, to_ask

KINDS = (N_("probe"), N_("maintenance"), N_("teaching"), N_("baseline"))

Row = dict[str, str]


def sure(doubts: Doubts, *, ahead: bool) -> bool:
    """Asks whether rows are to be added: they count in the place of others, or speak of what is still ahead, which
    `ahead` has answered. Where nobody can answer, what is ahead is not added, and the rest is and is told."""
    if ahead:
        doubts = Doubts(replaced=doubts.replaced)
    if not doubts.sentences:
        return True
    if sys.stdin is None or not sys.stdin.isatty():
        if not doubts.ahead:
            return True
        raise UsageError(
            _("{what} Nothing was added: with --ahead it is added all the same.", what=" ".join(doubts.ahead))
        )
    for sentence in doubts.sentences:
        output.show(sentence)
    try:
        return is_word(input(_("Add it all the same? 'yes', or nothing to leave it: ")).strip(), "yes")
    except EOFError:
        output.show("")
        return False


@dataclass(frozen=True)
class Questions:
    """`ask` shows a question and gives back the answer; it raises EOFError where no more answers come."""

    proposed: Proposed
    ask: Callable[[str], str]

    @property
    def names(self) -> Names:
        return Names(self.proposed.opened.case)

    def run(self) -> int:
        """Asks until an empty answer or the end of the answers. Returns how many rows were added."""
        added, left = 0, list(self.proposed.probes)
        try:
            while (chosen := self._next(left)) is not None:
                row, probe = chosen
                done = self._add(row)
                added += done
                if done and probe:
                    left.remove(probe)
        except EOFError:
            output.show("")
        output.show(rows_added(added))
        return added

    def _next(self, left: Sequence[PlannedProbe]) -> tuple[Row, PlannedProbe | None] | None:
        """The cells of the next result, and the planned probe that it answers."""
        for number, probe in enumerate(left, 1):
            output.show(f"{number}. {probe.start:%H:%M} {self._words(probe)}")
        question = (
            _("Which one? Its number, 'other', or nothing to end: ")
            if left
            else _("'other', or nothing to end: ")
        )
        while True:
            answer = self._answer(question)
            if not answer:
                return None
            if is_word(answer, "other"):
                return self._rest(self._other(), None), None
            if answer.isdecimal() and 1 <= int(answer) <= len(left):
                probe = left[int(answer) - 1]
                return self._rest(_cells(self.proposed, probe), probe), probe
            output.show(_("'{answer}' is none of them.", answer=answer))

    def _words(self, probe: PlannedProbe) -> str:
        target = self.proposed.opened.case.targets[probe.target]
        kind = "" if probe.kind is ResultKind.PROBE else f" ({said(probe.kind.value)})"
        return f"{self.names.target(target.id)}: {self.names.combination(target, probe.combination)}{kind}"

    def _other(self) -> Row:
        case = self.proposed.opened.case
        known = tuple(t.id for t in case.planned) or tuple(case.targets)
        target = case.targets[self._one_of(_("Target"), known)]
        kind = self._one_of(_("What was it"), KINDS, said)
        values = {
            d.name: self._one_of(capital(said(d.name.replace("_", " "))), d.values) for d in target.dimensions
        }
        cells = {"date": self.proposed.day.isoformat(), "target": target.id, "kind": kind, **values}
        return cells | {"time": self._time(), "trials": str(target.trials)}

    def _time(self) -> str:
        while True:
            answer = self._answer(_("When did it begin, such as 16:30? Nothing if not known: "))
            if not answer or re.fullmatch(r"([01]\d|2[0-3]):[0-5]\d", answer, re.ASCII):
                return answer
            output.show(_("'{answer}' is not a time such as 16:30.", answer=answer))

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
        found = self._count(int(cells["trials"]))
        counts = {"trials": ""}
        if found:
            prompted = self._some(_("Correct with help? Nothing if not counted: "), found[1])
            counts = {"correct": str(found[0]), "trials": str(found[1]), "prompted": prompted}
        return cells | counts | {"note": self._answer(_("A word on it? Nothing if none: "))}

    def _tested(self, cells: Row, planned: str) -> Row:
        """`planned` is who was to observe."""
        cells = cells | self._counted(int(cells["trials"]))
        trials = int(cells["trials"])
        if "marks" not in cells:
            cells["prompted"] = self._some(_("Correct with help? Nothing if not counted: "), trials)
        if observer := self._observer(planned):
            cells |= {"observer": observer, **self._seen(trials)}
            if self.proposed.opened.case.targets[cells["target"]].steps:
                cells["steps_kept"] = self._steps()
        return cells | {"note": self._answer(_("A note? Nothing if none: "))}

    def _counted(self, trials: int) -> Row:
        """The counts, or the marks and what they say."""
        while True:
            answer = self._answer(
                _(
                    "Correct without help, of {trials} trials ('3 of 4' if it was "
                    "another number), or a sign a trial such as ++-p+: ",
                    trials=trials,
                )
            )
            if signs := _signs(answer, trials):
                return filled_by_marks({"marks": signs})
            if found := _of(answer, trials):
                return {"correct": str(found[0]), "trials": str(found[1])}
            output.show(
                _(
                    "'{answer}' is not a number from 0 to {trials}, nor one such as '3 of 4', nor {trials} "
                    "signs. If it was another number of trials, say of how many: '++-p of 4'.",
                    answer=answer,
                    trials=trials,
                )
            )

    def _seen(self, trials: int) -> Row:
        """The observer's count, or marks of as many trials."""
        while True:
            answer = self._answer(_("And counted as correct, or a sign a trial such as ++-p+: "))
            signs = _signs(answer, trials)
            if len(signs) == trials:
                filled = filled_by_marks({"observer_marks": signs})
                return {name: filled[name] for name in ("observer_marks", "observer_correct")}
            if not answer or (re.fullmatch(r"\d{1,4}", answer, re.ASCII) and int(answer) <= trials):
                return {"observer_correct": answer}
            output.show(
                _(
                    "'{answer}' is not a number from 0 to {trials}, nor {trials} signs.",
                    answer=answer,
                    trials=trials,
                )
            )

    def _steps(self) -> str:
        while True:
            answer = self._answer(_("Steps kept, such as 7/8? Nothing if not marked: "))
            try:
                return as_written(read_steps_kept(answer)) if answer else ""
            except InvalidValue as problem:
                found = capital(problem.found)
                output.show(_("{found}; expected {expected}.", found=found, expected=problem.expected))

    def _observer(self, planned: str) -> str:
        if not planned:
            return self._answer(_("Who else counted? Nothing if nobody: "))
        name = self.names.adult(planned)
        answer = self._answer(
            _("Did {name} count too? 'yes', who else did, or nothing if nobody: ", name=name)
        )
        return planned if is_word(answer, "yes") else "" if is_word(answer, "no") else answer

    def _reason(self, target: Target, asked: str) -> str:
        """Why it was not run; empty if it was."""
        listed = ", ".join(f"{number} {said(reason)}" for number, reason in enumerate(REASONS, 1))
        question = _("{asked} 'yes', or why not: {listed}, or your own words: ", asked=asked, listed=listed)
        while True:
            answer = self._answer(question)
            if is_word(answer, "yes"):
                return ""
            if answer.isdecimal() and 1 <= int(answer) <= len(REASONS):
                return REASONS[int(answer) - 1]
            if answer and not is_word(answer, "no") and not answer.isdecimal():
                return answer if is_known_reason(answer) else self._whose(target, answer)
            learner = self.names.learner(target.learner)
            question = _(
                "Why was it not run? {listed}, or your own words; 'yes' if it was. ({learner} has not failed.) ",
                listed=listed,
                learner=learner,
            )

    def _whose(self, target: Target, reason: str) -> str:
        """The reason, marked as the child's own if it was: of words nobody can tell."""
        own = {said(one): one for one in CHILDS_REASONS}
        listed = ", ".join(f"{number} {word}" for number, word in enumerate(own, 1))
        learner = self.names.learner(target.learner)
        while True:
            answer = self._answer(
                _("Did it lie with {learner}? {listed}, or nothing if not: ", learner=learner, listed=listed)
            )
            if not answer or is_word(answer, "no"):
                return reason
            one = CHILDS_REASONS[int(answer) - 1] if answer in ("1", "2") else childs_reason(answer)
            if one:
                return f"{one}: {reason}"
            output.show(_("'{answer}' is none of them.", answer=answer))

    def _count(self, trials: int) -> tuple[int, int] | None:
        """How many were correct, of how many; None for no answer."""
        while True:
            answer = self._answer(
                _(
                    "Correct without help, of {trials} trials ('3 of 4' if it "
                    "was another number), nothing if not counted: ",
                    trials=trials,
                )
            )
            if not answer:
                return None
            if found := _of(answer, trials):
                return found
            output.show(
                _(
                    "'{answer}' is not a number from 0 to {trials}, nor one such as '3 of 4'.",
                    answer=answer,
                    trials=trials,
                )
            )

    def _some(self, question: str, most: int) -> str:
        while True:
            answer = self._answer(question)
            if not answer or (re.fullmatch(r"\d{1,4}", answer, re.ASCII) and int(answer) <= most):
                return answer
            output.show(_("'{answer}' is not a number from 0 to {most}.", answer=answer, most=most))

    def _one_of(self, what: str, values: Sequence[str], shown: Callable[[str], str] = str) -> str:
        if len(values) == 1:
            return values[0]
        listed = ", ".join(f"{number} {shown(value)}" for number, value in enumerate(values, 1))
        while True:
            answer = self._answer(f"{what}? {listed}: ")
            if answer in values:
                return answer
            if answer.isdecimal() and 1 <= int(answer) <= len(values):
                return values[int(answer) - 1]
            output.show(_("'{answer}' is none of them.", answer=answer))

    def _add(self, row: Row) -> int:
        """Adds one row, if it is confirmed and can be read. Returns how many were added."""
        told = ", ".join(f"{name} {value}" for name, value in row.items() if value)
        for sentence in to_ask(self.proposed.opened, [row]).sentences:
            output.show(sentence)
        if (answer := self._answer(_("Add: {told}? ", told=told))) and not is_word(answer, "yes"):
            output.show(_("Not added."))
            return 0
        try:
            added = record_rows(self.proposed.opened, [row])
        except CaseError as error:
            output.show(_("Not added. {error}", error=error))
            return 0
        for finding in added.findings:
            output.tell(finding.sentence())
        output.show(" ".join((_("Added as line {line}.", line=added.results[0].line), *added.said)))
        return 1

    def _answer(self, question: str) -> str:
        return self.ask(question).strip()


def _of(answer: str, trials: int) -> tuple[int, int] | None:
    """`3`, `3/4` and `3 of 4` as a count and the trials it is of."""
    return share_of(f"{answer}/{trials}" if re.fullmatch("[0-9]{1,4}", answer) else answer)


def _signs(answer: str, trials: int) -> str:
    """The marks that were typed, one for each of the trials or of those named behind them (`++-p of 4`); empty for
    anything else."""
    found = re.fullmatch(r"(.+?)(?:\s*(?:/|[^\W\d_]+)\s*(\d{1,4}))?", answer, re.ASCII)
    try:
        signs = read_marks(found[1]) if found else ""
    except InvalidValue:
        return ""
    return signs if found and len(signs) == int(found[2] or trials) else ""


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


def rows_added(number: int) -> str:
    return ngettext("{n} row added to results.csv.", "{n} rows added to results.csv.", number)


def heading(proposed: Proposed) -> str:
    """What the questions are about."""
    day = long_date(proposed.day)
    if proposed.source is None:
        return _("{day}: no plan of this week is kept, so nothing is proposed.", day=day)
    if not proposed.probes:
        return _("{day}: nothing is planned that is not written down already.", day=day)
    return _("{day}: planned and not written down yet.", day=day)
