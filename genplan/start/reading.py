"""What an answer means."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from genplan.casefile import time_texts
from genplan.casefile.diagnostics import InvalidValue
from genplan.findings import nearest
from genplan.language import _, pgettext, said
from genplan.language.countries import country_name, known_zones, zone_of, zones_called
from genplan.language.sentences import capital
from genplan.language.typed import month_of
from genplan.language.typed_days import UnclearDate, date_of
from genplan.language.typed_numbers import amount_of, number_of
from genplan.start.allergies import read_of_child
from genplan.start.answers import LONGEST, Answers, Entry
from genplan.start.asked_about_places import CONTRADICTIONS
from genplan.start.hours_text import read_hours
from genplan.start.questions import NOBODY, Kind, Question
from genplan.start.things_named import folded, things_in
from genplan.start.time_zone import country

LONGEST_LINE = 120
MONTHS_OF_A_YEAR = 12


def value_of(question: Question, entry: Entry, answers: Answers) -> Any:
    """What the answer says, or else what holds without one. Raises InvalidValue."""
    text = entry.get(question.key).strip() or question.otherwise(answers, entry)
    if question.kind is Kind.SOME_OF:
        return _some_of(question, text, answers, entry)
    return READERS[question.kind](question, text, answers)


def sentence_of(problem: InvalidValue) -> str:
    found = capital(problem.found)
    expected = _("; expected {expected}", expected=problem.expected) if problem.expected else ""
    if not problem.hint:
        return f"{found}{expected}."
    hint = capital(problem.hint)
    return f"{found}{expected}. {hint}{'' if hint.endswith(('.', '?')) else '.'}"


def worded(words: str, entry: Entry) -> str:
    """A question's words, about this entry."""
    return words.replace("{name}", entry.get("name") or pgettext("for a name", "this one"))


def _line(question: Question, text: str, answers: Answers) -> str:
    most = question.most or LONGEST_LINE
    if len(text) > most:
        raise InvalidValue(
            _("a text of {number} letters", number=len(text)), "", _("at most {most} fit", most=most)
        )
    return " ".join(text.split())


def _long(question: Question, text: str, answers: Answers) -> str:
    if len(text) > LONGEST:
        raise InvalidValue(
            _("a text of {number} letters", number=len(text)), "", _("at most {longest} fit", longest=LONGEST)
        )
    return " ".join(text.split())


def _number(question: Question, text: str, answers: Answers) -> int | None:
    if not text:
        return None
    least = 0 if question.key == "minutes" and not question.default else 1
    found = amount_of(text, in_minutes=question.key == "minutes")
    if found is None or not least <= found <= question.most:
        raise InvalidValue(
            f"'{text[:30]}'", _("a whole number from {least} to {most}", least=least, most=question.most)
        )
    return found


def _month(question: Question, text: str, answers: Answers) -> str:
    """`2020-04`, `04/2020`, `April 2020`; empty if it is not known."""
    if not text:
        return ""
    if found := _date(text):  # the whole birthday
        return f"{found.year}-{found.month:02d}"
    year = re.search(r"\b[12][0-9]{3}\b", text)
    rest = text[: year.start()] + text[year.end() :] if year else ""
    word, numbers = re.search(r"[^\W\d_]+", rest), re.findall(r"[0-9]+", rest)
    named = month_of(word[0]) if word else None
    one = len(numbers) == 1 or bool(re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text))
    month = named or (int(numbers[0]) if one else _month_beside_a_day(numbers))
    if not year or not 1 <= month <= 12:
        expected = _("a year and a month, such as 2020-04 or April 2020")
        hint = _("If that is the age, write when the birthday was.") if number_of(text) else ""
        if re.fullmatch(r"[0-9]{1,2}[-/. ]+[0-9]{2}", text):
            hint = _("Write the year with four figures.")
        raise InvalidValue(f"'{text[:30]}'", expected, hint)
    return f"{year[0]}-{month:02d}"


def _month_beside_a_day(numbers: Sequence[str]) -> int:
    """Of a day and a month in either order, where only one can be the month; else 0."""
    months = {int(n) for n in numbers if int(n) <= MONTHS_OF_A_YEAR}
    return months.pop() if len(numbers) == 2 and len(months) == 1 else 0


def _day(question: Question, text: str, answers: Answers) -> str:
    """As the file writes it, or as people do in the language spoken."""
    if not text:
        return ""
    found = _date(text)
    return time_texts.day(found.isoformat() if found else text).isoformat()


def _date(text: str) -> date | None:
    """None for what is no date with a year. Raises InvalidValue for one that is unclear or that no calendar has."""
    try:
        return date_of(text)
    except UnclearDate as unclear:
        raise InvalidValue(str(unclear)) from None
    except ValueError:
        raise InvalidValue(_("'{text}', which no calendar has", text=text[:30])) from None


def _zone(question: Question, text: str, answers: Answers) -> str:
    found = zones_called(text) if text else ()
    if len(found) == 1:
        return found[0]
    if found:
        several = _("Clocks differ there: write the nearest large city.")
        raise InvalidValue(f"'{text[:60]}'", "", several)
    near = nearest(text, known_zones()) if "/" in text else ""
    raise InvalidValue(
        f"'{text[:60]}'",
        _("a large city or a country, such as Dublin or Ireland"),
        near or _write_the_country(),
    )


def _write_the_country() -> str:
    """Most towns have no zone of their own; most are in the country whose language is spoken."""
    here = country()
    if not (name := country_name(here)) or not (zone := zone_of(here)):
        return _("Few towns have a time zone called after them: write the country instead.")
    return _(
        "Few towns have a time zone called after them: write the country instead. {country} is {zone}.",
        country=name,
        zone=zone,
    )


def _mark(question: Question, text: str, answers: Answers) -> str:
    """`4/5`, `4 of 5`, `four of five`."""
    found = re.fullmatch(r"([0-9]{1,4}|\w+(?= ))\s*[^0-9]{1,8}?\s*([0-9]{1,4}|(?<= )\w+)", text)
    correct, trials = (number_of(part) or 0 for part in (found.groups() if found else ("", "")))
    if not 1 <= correct <= trials:
        raise InvalidValue(f"'{text[:30]}'", _("correct of tries, such as 4/5"))
    return f"{correct}/{trials}"


def _choice(question: Question, text: str, answers: Answers) -> str:
    choices = question.choices(answers)
    if text not in dict(choices):
        raise InvalidValue(_("none of these"), _("one of them"))
    return text


def _ticks(question: Question, text: str, answers: Answers) -> tuple[str, ...]:
    if text == NOBODY:
        raise InvalidValue(_("none of these"), _("some of them, such as 1, 3"))
    words = dict(question.choices(answers))
    ticked = tuple(part for part in text.split("\n") if part in words)
    if both := next((pair for pair in CONTRADICTIONS if set(pair) <= set(ticked)), None):
        one, other = (words[key] for key in both)
        raise InvalidValue(
            _("two ticks contradict each other, '{one}' and '{other}'", one=one, other=other),
            "",
            _("take one of them away"),
        )
    return ticked


def _some_of(question: Question, text: str, answers: Answers, entry: Entry) -> tuple[str, ...]:
    """The keys that were chosen: all, where neither anybody nor a default says anything."""
    keys = [key for key, _words in question.choices(answers)]
    if not text:
        return tuple(keys)
    chosen = tuple(key for key in keys if key in text.split("\n"))
    if keys and not chosen:
        asked = worded(said(question.words), entry)
        raise InvalidValue(_("'{question}' has no tick", question=asked), _("one of them at least"))
    return chosen


def _names(question: Question, text: str, answers: Answers) -> tuple[str, ...]:
    """The keys of what is named, in the order in which it is. Raises InvalidValue for a name that is none."""
    keys = {folded(e.get("name")): e.key for e in answers.entries(question.of)}
    return tuple(keys[name] for name in map(folded, things_in(text)) if name in keys)


READERS: Mapping[Kind, Callable[[Question, str, Answers], Any]] = {
    Kind.LINE: _line,
    Kind.LONG: _long,
    Kind.NUMBER: _number,
    Kind.MONTH: _month,
    Kind.DAY: _day,
    Kind.ZONE: _zone,
    Kind.HOURS: lambda question, text, answers: read_hours(text),
    Kind.MARK: _mark,
    Kind.ALLERGIES: lambda question, text, answers: read_of_child(text, answers),
    Kind.CHOICE: _choice,
    Kind.TICKS: _ticks,
    Kind.ONE_OF: _choice,
    Kind.NAMES: _names,
}
