"""What an answer to the questions of `record --ask` stands for: a time, a count, marks, somebody's name; and a row in
words, as it is asked about before it is added."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date

from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.time_texts import time_text
from genplan.cli.start_prompts import begun, none_of_them, picked
from genplan.evidence.log import ResultKind
from genplan.evidence.marks import filled_by_marks, read_marks
from genplan.evidence.procedure import as_written, read_steps_kept
from genplan.evidence.sittings_written import REASONS
from genplan.language import N_, _, said
from genplan.language.typed import is_word, meant_by
from genplan.language.typed_numbers import share_of
from genplan.report.names_and_words import Names, long_date
from genplan.start.hours_times import minute_of
from genplan.start.questions import Options
from genplan.start.reading import sentence_of
from genplan.text.dimension_words import dimension_word

Row = dict[str, str]

COUNTED = {
    "correct": N_("Correct without help"),
    "marks": N_("One sign a trial"),
    "prompted": N_("Correct with help"),
    "observer": N_("Observer"),
    "observer_correct": N_("Correct, by the observer's count"),
    "observer_marks": N_("One sign a trial, by the observer"),
    "steps_kept": N_("Steps kept"),
    "note": N_("Note"),
}


class Refused(Exception):
    """An answer that is not understood, with the sentence that says so; empty where the question says it again."""


def is_nothing(answer: str) -> bool:
    return not answer or is_word(answer, "nothing")


def text_of(answer: str) -> str:
    """A note; `no` and `nothing` are none."""
    return "" if is_nothing(answer) or is_word(answer, "no") else answer


def yes_or_no(answer: str) -> bool:
    """Enter alone is yes."""
    if answer and meant_by(answer) not in ("yes", "no"):
        raise Refused(_("'{typed}' is neither yes nor no.", typed=answer))
    return not is_word(answer, "no")


def time_of(answer: str) -> str:
    """`9:30`, `9.30`, `half past 9`, `9.30am` as `09:30`; empty if it is not known."""
    if is_nothing(answer):
        return ""
    try:
        return time_text(minute_of(answer))
    except InvalidValue as problem:
        raise Refused(sentence_of(problem)) from None


def one_of(choices: Options) -> Callable[[str], str]:
    """Reads the number, the name, the id or the beginning of a name of one of them."""

    def read(answer: str) -> str:
        ids = {key.casefold(): key for key, _words in choices}
        if found := ids.get(answer.casefold()) or picked(answer, choices):
            return found
        raise Refused(none_of_them(answer, choices))

    return read


def observer_of(answer: str, adults: Options) -> str:
    """Whom the case does not know may observe too. `Oma` is Oma Gürtel, if no other name begins with that word."""
    found = begun(answer, adults, whole_words=True)
    known = any(answer.casefold() in (key.casefold(), words.casefold()) for key, words in adults)
    return found[0] if len(found) == 1 and not known else answer


def share(answer: str, trials: int) -> tuple[int, int] | None:
    """`3`, `3/4` and `3 of 4` as a count and the trials it is of."""
    return share_of(f"{answer}/{trials}" if re.fullmatch("[0-9]{1,4}", answer) else answer)


def signs_of(answer: str, trials: int) -> str:
    """The marks that were typed, one for each of the trials or of those named behind them (`++-p of 4`); empty for
    anything else."""
    found = re.fullmatch(r"(.+?)(?:\s*(?:/|[^\W\d_]+)\s*(\d{1,4}))?", answer, re.ASCII)
    try:
        signs = read_marks(found[1]) if found else ""
    except InvalidValue:
        return ""
    return signs if found and len(signs) == int(found[2] or trials) else ""


def some_of(answer: str, most: int) -> str:
    if is_nothing(answer):
        return ""
    if not _is_count(answer, most):
        raise Refused(_("'{answer}' is not a number from 0 to {most}.", answer=answer, most=most))
    return answer


def count_of(answer: str, trials: int) -> tuple[int, int] | None:
    """How many were correct, of how many; None if they were not counted."""
    if is_nothing(answer):
        return None
    if found := share(answer, trials):
        return found
    raise Refused(
        _(
            "'{answer}' is not a number from 0 to {trials}, nor one such as '3 of 4'.",
            answer=answer,
            trials=trials,
        )
    )


def counts_or_marks(answer: str, trials: int) -> Row:
    if signs := signs_of(answer, trials):
        return filled_by_marks({"marks": signs})
    if found := share(answer, trials):
        return {"correct": str(found[0]), "trials": str(found[1])}
    raise Refused(
        _(
            "'{answer}' is not a number from 0 to {trials}, nor one such as '3 of 4', nor {trials} "
            "signs. If it was another number of trials, say of how many: '++-p of 4'.",
            answer=answer,
            trials=trials,
        )
    )


def seen_by_observer(answer: str, trials: int) -> Row:
    """The observer's count, or marks of as many trials."""
    if is_nothing(answer):
        return {"observer_correct": ""}
    signs = signs_of(answer, trials)
    if len(signs) == trials:
        filled = filled_by_marks({"observer_marks": signs})
        return {name: filled[name] for name in ("observer_marks", "observer_correct")}
    if _is_count(answer, trials):
        return {"observer_correct": answer}
    raise Refused(
        _(
            "'{answer}' is not a number from 0 to {trials}, nor {trials} signs.",
            answer=answer,
            trials=trials,
        )
    )


def steps_of(answer: str) -> str:
    try:
        return "" if is_nothing(answer) else as_written(read_steps_kept(answer))
    except InvalidValue as problem:
        raise Refused(sentence_of(problem)) from None


def _is_count(answer: str, most: int) -> bool:
    return bool(re.fullmatch(r"\d{1,4}", answer, re.ASCII)) and int(answer) <= most


def row_words(names: Names, row: Mapping[str, str]) -> str:
    """`Sunday 29 November 2026, 10:00; Puts on a coat: not run; adult: Theo; note: refused`."""
    target = names.case.targets[row["target"]]
    when = ", ".join(filter(None, (long_date(date.fromisoformat(row["date"])), row.get("time", ""))))
    called = [f"{dimension_word(d)}: {names.value(d, row[d])}" for d in target.dimension_names]
    return "; ".join(
        [
            when,
            f"{names.target(target.id)}: {said(row['kind'])}",
            *called,
            *(
                f"{said(words)}: {_cell(names, row, name)}"
                for name, words in COUNTED.items()
                if row.get(name)
            ),
        ]
    )


def _cell(names: Names, row: Mapping[str, str], name: str) -> str:
    cell = row[name]
    if name == "correct":
        return _("{correct} of {trials}", correct=cell, trials=row["trials"])
    if name == "observer":
        return names.adult(cell)
    if name == "note" and row["kind"] == ResultKind.NOT_RUN:
        reason, colon, rest = cell.partition(":")
        return f"{said(reason)}{colon}{rest}" if reason in REASONS else cell
    return cell
