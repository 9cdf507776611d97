"""What was answered, in lines to be read over before the case is made."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress

from genplan.case.safety import ALLERGENS
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.time_texts import time_text
from genplan.casefile.weekly_hours import runs
from genplan.language import N_, _, and_list, or_list, said
from genplan.language.dates import day_name, in_english
from genplan.start.allergies import allergies_of, looked
from genplan.start.answers import Answers, Entry
from genplan.start.hours_text import Week
from genplan.start.kept_from import kept_from
from genplan.start.questions import Group, Kind, Question, Screen
from genplan.start.reading import value_of
from genplan.start.screens import group_of
from genplan.start.things_named import things_in
from genplan.start.tried import tried
from genplan.text.obstacles import allergens_text


def hours_words(week: Week) -> str:
    """`Monday to Friday 15:00–17:00; Saturday 10:00–12:00`."""
    days = [and_list([f"{time_text(w.start)}–{time_text(w.end)}" for w in windows]) for windows in week]
    parts = []
    for first, last in runs(days):
        name = day_name(first)
        if last > first + 1:
            name = _("{first} to {last}", first=name, last=day_name(last))
        if last == first + 1:
            name = and_list([day_name(first), day_name(last)])
        parts.append(f"{name} {days[first]}")
    return "; ".join(parts)


def allergies_words(names: Sequence[str]) -> str:
    """What was understood: `egg; and kiwi, which this program does not know: …`."""
    known, own = ([n for n in names if (n in ALLERGENS) is is_known] for is_known in (True, False))
    if not own:
        return allergens_text(known) if known else _("no allergies")
    unknown = _(
        "{own}, which this program does not know: it asks of each thing whether it holds that",
        own=and_list(own),
    )
    return _("{known}; and {unknown}", known=allergens_text(known), unknown=unknown) if known else unknown


THINGS_WORDS = (
    N_("no things"),
    N_("learned using {first}"),
    N_("learned using {first}; to be tried using {others} too"),
)


def things_words(text: str) -> str:
    """Names of things as they were understood."""
    first, *others = things_in(text) or ("",)
    words = said(THINGS_WORDS[bool(first) + bool(others)])
    return words.replace("{first}", first).replace("{others}", ", ".join(others))


def lines_of(screen: Screen, answers: Answers) -> tuple[str, ...]:
    """A line for each thing that a screen asked about."""
    return tuple(
        line
        for group in screen.asked(answers)
        for entry in answers.entries(group.key) or _default_of(group)
        if (line := _line(group, entry, answers))
    )


def _default_of(group: Group) -> tuple[Entry, ...]:
    return () if group.several else (Entry(f"{group.letter}1"),)


def _line(group: Group, entry: Entry, answers: Answers) -> str:
    kept = _kept_from(entry, answers) if group.key == "things" else {}
    is_kept = bool(kept) and len(kept) == len(answers.entries("children"))
    parts = [
        s
        for q in group.asked(answers)
        if q.key != "name" and not (is_kept and q.key == "kept_at") and (s := _said(q, entry, answers, group))
    ]
    parts += [_("is not planned for {child}: {why}", child=child, why=why) for child, why in kept.items()]
    name = entry.get("name")
    return f"{name}: {'; '.join(parts)}" if name and parts else name or "; ".join(parts)


def _kept_from(thing: Entry, answers: Answers) -> dict[str, str]:
    """The children for whom it is not planned, as of today, each with the reason."""
    found = {}
    for child in answers.entries("children") if answers.today else ():
        with suppress(InvalidValue):  # it is told where it was typed
            if answers.today and (why := kept_from(answers, child, thing, answers.today)):
                found[child.get("name")] = why
    return found


def _said(question: Question, entry: Entry, answers: Answers, group: Group) -> str:
    """An answer in words; what was left alone is not repeated but where it decides."""
    decides = (
        question.kind in (Kind.ONE_OF, Kind.SOME_OF, Kind.NAMES, Kind.CHOICE, Kind.ZONE)
        or not group.several
        or bool(question.hint_again)  # what is taken over from the first is seen
    )
    goes_along = question.key == "kept_at"  # it decides whether the family is asked to send it along
    if not entry.get(question.key).strip() and (question.more or not decides) and not goes_along:
        return ""
    try:
        value = value_of(question, entry, answers)
    except InvalidValue:
        return entry.get(question.key)
    if goes_along and len(value) == len(question.choices(answers)):
        return _("goes along with the child: you send it along to each check")
    if question.key == "helpers" and group.again and len(value) == len(question.choices(answers)):
        return _("everybody can be there")
    if question.kind is Kind.NAMES:
        return things_words(entry.get(question.key))
    if group.key == "skills" and question.kind is Kind.SOME_OF:
        text = _tried(answers, entry, question.key)
    elif isinstance(value, tuple) and looked(answers) in value:
        held = _worded(question, tuple(v for v in value if v != looked(answers)), answers)
        if held:
            return _("holds {allergens}, and no more that a child must not have", allergens=held)
        return _(
            "no {allergens} in it", allergens=or_list([allergens_text((a,)) for a in allergies_of(answers)])
        )
    else:
        text = _worded(question, value, answers)
    return _as_told(question, text)


def _as_told(question: Question, text: str) -> str:
    return question.told.replace("{}", text) if text and question.told else text


def _tried(answers: Answers, skill: Entry, group: str) -> str:
    """All of it, also what nobody chose: it is what will be planned."""
    try:
        found = tried(answers, skill, group)
        if group == "helpers":
            child = value_of(group_of("skills").question("child"), skill, answers)
            whose = group_of("helpers").question("children")
            found = [e for e in found if child in value_of(whose, e, answers)]
    except InvalidValue:
        return ""
    return ", ".join(e.get("name") for e in found)


def _worded(question: Question, value: object, answers: Answers) -> str:
    choices = dict(question.choices(answers))
    match question.kind, value:
        case Kind.HOURS, tuple():
            return hours_words(value)
        case ((Kind.CHOICE | Kind.ONE_OF), str()):
            text = choices[value]
        case ((Kind.TICKS | Kind.SOME_OF), tuple()):
            return ", ".join(choices[v] for v in value)
        case Kind.ALLERGIES, tuple():
            return allergens_text(value)
        case Kind.LONG, str():
            text = value.removesuffix(".")  # what comes next stands behind a semicolon
        case _:
            text = "" if value is None else str(value)
    plain = question.told or question.kind in (Kind.CHOICE, Kind.LONG, Kind.ZONE)
    asked = question.words.rstrip("?")
    return text if plain or not text else f"{asked.lower() if in_english() else asked} {text}"
