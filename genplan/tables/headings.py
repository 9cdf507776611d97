"""What people call sheets and head columns with, beside the names of keys: in every language, whichever is spoken.

Other languages than English have their own lists in the catalogue, no translations word by word.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import lru_cache

from genplan.case.week import DAY_NAMES
from genplan.casefile.invisible_characters import same_form
from genplan.casefile.record_types import Field, Key
from genplan.language import LANGUAGES, Speech, pgettext, speaking
from genplan.language.typed import day_of

Words = Callable[[], str]
"""Several, apart by commas, in the language that is spoken."""

SHEETS: Mapping[str, Words] = {
    "children": lambda: pgettext(
        "names of sheets, apart by commas",
        "children, child, learner, learners, pupil, pupils, students, kids",
    ),
    "adults": lambda: pgettext(
        "names of sheets, apart by commas", "adults, adult, staff, staff list, people, team, employees"
    ),
    "hours": lambda: pgettext(
        "names of sheets, apart by commas",
        "hours, staff hours, working hours, opening hours, hours of the week, rota, staff rota, roster, shifts,"
        " availability",
    ),
    "places": lambda: pgettext(
        "names of sheets, apart by commas", "places, place, rooms, room, locations, location"
    ),
    "ways": lambda: pgettext(
        "names of sheets, apart by commas",
        "ways, way, walking, walking times, travel, travel minutes, travel times, journeys, routes, distances",
    ),
    "things": lambda: pgettext(
        "names of sheets, apart by commas",
        "things, thing, materials, material sets, sets, objects, equipment, toys",
    ),
    "skills": lambda: pgettext(
        "names of sheets, apart by commas", "skills, skill, targets, target, goals, skills of children"
    ),
    "results": lambda: pgettext("names of sheets, apart by commas", "results, result"),
    "changes": lambda: pgettext(
        "names of sheets, apart by commas",
        "changes, change, absences, absence, absent, away, sick notes, sick leave",
    ),
    "case": lambda: pgettext("names of sheets, apart by commas", "case, the case, settings"),
    "notes": lambda: pgettext(
        "names of sheets, apart by commas", "notes, legend, key, info, information, read me, comments"
    ),
}


def _sittings_a_day() -> str:
    return pgettext(
        "headings of columns, apart by commas",
        "sittings a day, sittings day, max sittings a day, max sittings per day, max sittings day, "
        "most sittings per day, maximum sittings a day, maximum sittings per day",
    )


_HEADINGS: Mapping[str, Words] = {
    "children.name": lambda: pgettext(
        "headings of columns, apart by commas",
        "name, child, children, learner, pupil, student, first name, full name, "
        "name of the child, name of child, child's name, child name, pupil's name, "
        "pupil name, student's name, student name, learner's name, learner name",
    ),
    "children.born": lambda: pgettext(
        "headings of columns, apart by commas", "date of birth, birth date, birthday, dob"
    ),
    "children.free": lambda: pgettext(
        "headings of columns, apart by commas",
        "hours, times, available, availability, at school, school hours",
    ),
    "children.allergens": lambda: pgettext(
        "headings of columns, apart by commas",
        "allergies, allergy, food allergies, must not have, must not eat",
    ),
    "children.mouths": lambda: pgettext(
        "headings of columns, apart by commas",
        "mouths things, mouthing, puts things in mouth, puts things in the mouth, puts things into the mouth, "
        "puts everything in mouth, puts everything into the mouth, things in mouth, everything in mouth",
    ),
    "adults.name": lambda: pgettext(
        "headings of columns, apart by commas",
        "name, adult, adults, staff, who, person, first name, full name, staff member, "
        "employee, colleague, therapist, teacher, staff name, name of staff, "
        "name of staff member, member of staff, adult's name, adult name, name of adult, "
        "employee name, therapist name, teacher name",
    ),
    "adults.role": lambda: pgettext(
        "headings of columns, apart by commas", "job, job title, position, post, profession"
    ),
    "adults.free": lambda: pgettext(
        "headings of columns, apart by commas", "hours, times, working hours, available, availability, shifts"
    ),
    "adults.learners": lambda: pgettext(
        "headings of columns, apart by commas",
        "children, pupils, caseload, key children, works with, who with",
    ),
    "adults.locations": lambda: pgettext("headings of columns, apart by commas", "works in, rooms, places"),
    "adults.email": lambda: pgettext(
        "headings of columns, apart by commas", "e mail, mail, email address, e mail address"
    ),
    "adults.sittings_per_day": _sittings_a_day,
    "children.sittings_per_day": _sittings_a_day,
    "adults.max hours a week": lambda: pgettext(
        "headings of columns, apart by commas",
        "max hours per week, max hours week, max hrs a week, max hrs per week, max hrs week, max hrs pw, "
        "max weekly hours, most hours a week, hours a week, hours per week, hours week, hrs a week, "
        "hrs per week, hrs week, weekly hours",
    ),
    "adults.max hours": lambda: pgettext(
        "headings of columns, apart by commas",
        "max hrs, max h, max no of hours, maximum hours, maximum hrs, hours max, hrs max, most hours",
    ),
    "places.name": lambda: pgettext(
        "headings of columns, apart by commas",
        "name, place, room, location, name of the room, name of room, room name, place name, "
        "name of place, name of the place, location name",
    ),
    "places.open": lambda: pgettext(
        "headings of columns, apart by commas",
        "hours, times, open, opening hours, opening times, open hours, available, availability",
    ),
    "places.capacity": lambda: pgettext(
        "headings of columns, apart by commas",
        "children at a time, children at once, how many at a time, how many at once, "
        "no of children, number of children, max children, maximum of children",
    ),
    "things.name": lambda: pgettext(
        "headings of columns, apart by commas",
        "name, thing, set, material set, material, materials, object, objects, toy, item, "
        "items, item name, name of item, material name, name of material, thing name, "
        "set name, name of the set",
    ),
    "things.copies": lambda: pgettext(
        "headings of columns, apart by commas", "how many, number, quantity, count"
    ),
    "things.kept_at": lambda: pgettext(
        "headings of columns, apart by commas",
        "kept in, where, room, place, where kept, kept where, stored in",
    ),
    "things.allergens": lambda: pgettext("headings of columns, apart by commas", "allergens, contains"),
    "skills.name": lambda: pgettext(
        "headings of columns, apart by commas",
        "name, skill, target, goal, skill name, name of skill, name of the skill, target name, goal name",
    ),
    "skills.learner": lambda: pgettext(
        "headings of columns, apart by commas",
        "child, children, pupil, pupils, student, students, child's name, child name, "
        "name of child, name of the child, pupil's name, pupil name, student's name, "
        "student name",
    ),
    "skills.correct_when": lambda: pgettext(
        "headings of columns, apart by commas",
        "counts as correct when, correct if, definition, description, right if, right when, "
        "when is it right, what counts",
    ),
    "skills.mastered_on": lambda: pgettext(
        "headings of columns, apart by commas", "mastered, date mastered, mastery date"
    ),
    "skills.adults": lambda: pgettext("headings of columns, apart by commas", "staff, people, with whom"),
    "skills.locations": lambda: pgettext("headings of columns, apart by commas", "places, rooms, where"),
    "skills.material_sets": lambda: pgettext(
        "headings of columns, apart by commas", "things, objects, materials, sets, toys, with what"
    ),
    "skills.pass_mark": lambda: pgettext(
        "headings of columns, apart by commas", "pass, pass at, passed with"
    ),
    "things.small_parts": lambda: pgettext(
        "headings of columns, apart by commas", "small pieces, small parts, can be swallowed"
    ),
    "skills.taught by": lambda: pgettext(
        "headings of columns, apart by commas", "taught by, learned with, learnt with"
    ),
    "skills.taught in": lambda: pgettext(
        "headings of columns, apart by commas",
        "taught in, taught at, learned where, learnt where, learned in, learnt in",
    ),
    "skills.taught using": lambda: pgettext(
        "headings of columns, apart by commas", "taught using, learned using, learnt using"
    ),
    "hours.who": lambda: pgettext(
        "headings of columns, apart by commas",
        "who, name, id, first name, full name, person, staff member, employee, colleague, "
        "therapist, teacher, name of the room, name of room, room name, staff name, "
        "name of staff, name of staff member, member of staff, child's name, child name, "
        "name of child, name of the child",
    ),
    "hours.kind": lambda: pgettext("headings of columns, apart by commas", "what"),
    "hours.hours": lambda: pgettext("headings of columns, apart by commas", "times"),
    "hours.days": lambda: pgettext("headings of columns, apart by commas", "day, weekday, weekdays"),
    "hours.from": lambda: pgettext("headings of columns, apart by commas", "start, starts, begins"),
    "hours.to": lambda: pgettext("headings of columns, apart by commas", "end, ends, until"),
    "ways.from": lambda: pgettext("headings of columns, apart by commas", "between"),
    "ways.to": lambda: pgettext("headings of columns, apart by commas", "and"),
    "ways.minutes": lambda: pgettext("headings of columns, apart by commas", "time, how long"),
    "results.date": lambda: pgettext("headings of columns, apart by commas", "day, on, when"),
    "results.time": lambda: pgettext(
        "headings of columns, apart by commas", "time of day, clock, start time, at what time"
    ),
    "results.kind": lambda: pgettext("headings of columns, apart by commas", "type, what was done"),
    "results.target": lambda: pgettext(
        "headings of columns, apart by commas",
        "skill, goal, skill name, name of the skill, target name, ability, abilities, what was learned",
    ),
    "results.learner": lambda: pgettext(
        "headings of columns, apart by commas",
        "child, children, pupil, pupils, student, students, child's name, child name, "
        "name of child, name of the child, pupil's name, pupil name, student's name, "
        "student name",
    ),
    "results.adult": lambda: pgettext(
        "headings of columns, apart by commas",
        "who, with whom, staff, staff member, therapist, teacher, person, grown up, name of adult, adult's name, "
        "run by, taught by, learned with whom",
    ),
    "results.location": lambda: pgettext(
        "headings of columns, apart by commas", "where, place, room, taught in, learned where, learned in"
    ),
    "results.material_set": lambda: pgettext(
        "headings of columns, apart by commas",
        "with, with what, thing, material, set, object, toy, item, taught using, learned using, learned with what",
    ),
    "results.note": lambda: pgettext(
        "headings of columns, apart by commas", "note, notes, comment, comments, remark, remarks"
    ),
    "results.trials": lambda: pgettext("headings of columns, apart by commas", "of, out of, tries, attempts"),
    "results.correct": lambda: pgettext("headings of columns, apart by commas", "right, number correct"),
    "changes.away": lambda: pgettext(
        "headings of columns, apart by commas",
        "absent, who is away, ill, sick, who, name, staff, staff member, person, employee",
    ),
    "changes.closed": lambda: pgettext(
        "headings of columns, apart by commas", "shut, closed room, closed place"
    ),
    "changes.missing": lambda: pgettext("headings of columns, apart by commas", "missing thing, lost"),
    "changes.from": lambda: pgettext(
        "headings of columns, apart by commas",
        "since, start, starts, first day, ill from, sick from, away from",
    ),
    "changes.to": lambda: pgettext(
        "headings of columns, apart by commas",
        "until, till, end, ends, last day, ill until, sick until, away until",
    ),
    "changes.note": lambda: pgettext(
        "headings of columns, apart by commas", "notes, remark, remarks, comment, reason"
    ),
    "surname": lambda: pgettext(
        "headings of columns, apart by commas", "surname, last name, family name, second name"
    ),
    "notes": lambda: pgettext(
        "headings of columns, apart by commas",
        "note, notes, comment, comments, remark, remarks, total, totals, total hours, sum, "
        "team, group, class, floor, building, phone, telephone, mobile, "
        "parents phone, emergency contact, key worker, contract, contract hours, contracted hours",
    ),
}
"""By sheet and heading; `surname` and `notes` may stand in any sheet."""
_AS_IN = {"hours.role": "adults.role"}
"""Columns that are headed as those of another sheet."""
_KINDS: Mapping[str, Words] = {
    "learners": lambda: pgettext("headings of columns, apart by commas", "child, learner, pupil, student"),
    "adults": lambda: pgettext("headings of columns, apart by commas", "adult, staff"),
    "locations": lambda: pgettext("headings of columns, apart by commas", "place, room, location"),
}
"""What a row of hours may be of."""


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """A heading or a name as it is compared: small letters and digits, words apart by a blank."""
    return " ".join(re.findall(r"\w+", same_form(text).lower().replace("_", " ")))


@lru_cache(maxsize=4096)
def parts_of_heading(text: str) -> tuple[str, ...]:
    """What stands in brackets and outside them, on each side of a stroke; initials as one word."""
    outside = re.sub(r"\(.*?\)", " ", text)
    parts = [outside, *re.findall(r"\((.*?)\)", text), *outside.split("/")]
    if re.fullmatch(r"(?:\w\.\s?){2,}", text):
        parts.append(text.replace(".", "").replace(" ", ""))
    return tuple(dict.fromkeys(part.strip() for part in parts if part.strip() and part.strip() != text))


@lru_cache
def sheet_names(sheet: str) -> frozenset[str]:
    return apart_in_every_language(SHEETS[sheet]) if sheet in SHEETS else frozenset()


@lru_cache
def headings_of(sheet: str, column: str) -> frozenset[str]:
    """Other headings of a column of a sheet; of hours a name may be headed with what it is the name of."""
    name = f"{sheet}.{column}"
    words = _HEADINGS.get(_AS_IN.get(name, name))
    found = apart_in_every_language(words) if words else frozenset()
    return found | frozenset(kinds()) if (sheet, column) == ("hours", "who") else found


@lru_cache
def headings_everywhere(column: str) -> frozenset[str]:
    return apart_in_every_language(_HEADINGS[column])


@lru_cache(maxsize=4096)
def is_a_sum(name: str) -> bool:
    return plain(name) in apart_in_every_language(
        lambda: pgettext("the name of a row of sums, several apart by commas", "total, totals, sum, overall")
    )


@lru_cache
def words_for_none() -> frozenset[str]:
    """What people write where a child has no allergy."""
    return apart_in_every_language(
        lambda: pgettext(
            "words for no allergy, apart by commas",
            "none, none known, none so far, none yet, no, no allergies, nil, nka, n/a",
        )
    )


@lru_cache
def words_for_having_looked() -> frozenset[str]:
    """What people write where somebody looked what a thing holds, and it was none."""
    return apart_in_every_language(
        lambda: pgettext("words for no allergen in a thing, apart by commas", "none, nothing")
    )


@lru_cache
def kinds() -> Mapping[str, str]:
    """The words for a child, an adult and a place, each with its section."""
    return {word: section for section, words in _KINDS.items() for word in apart_in_every_language(words)}


def labels_of(key: Key | None) -> frozenset[str]:
    """What the field of a key is called in a form."""
    if key is None or not isinstance(key.form, Field):
        return frozenset()
    found = set()
    for language in LANGUAGES:
        with speaking(Speech(language)):
            found.add(plain(str(key.form.label)))
    return frozenset(found)


def day_headed(heading: str) -> str:
    """`mon` for Mon, Monday, Montag, Mo., Mondays; nothing for what is no day."""
    day = day_of(heading.strip().rstrip("."))
    return "" if day is None else DAY_NAMES[day]


def apart_in_every_language(words: Words) -> frozenset[str]:
    """The words that `words` says with commas between them, of all languages together."""
    found: set[str] = set()
    for language in LANGUAGES:
        with speaking(Speech(language)):
            found |= _apart(words)
    return frozenset(found)


def spoken_kinds() -> frozenset[str]:
    """The words for a child, an adult and a place in the language that is spoken."""
    return frozenset().union(*map(_apart, _KINDS.values()))


def spoken_words_for(sheet: str) -> frozenset[str]:
    """What the sheet may be called in the language that is spoken."""
    return _apart(SHEETS[sheet])


def spoken_headings(sheet: str, column: str) -> frozenset[str]:
    """What the column may be headed with in the language that is spoken, beside the name of its key."""
    words = _HEADINGS.get(f"{sheet}.{column}") or _HEADINGS.get(column)
    found = _apart(words) if words else frozenset()
    return found | spoken_kinds() if (sheet, column) == ("hours", "who") else found


def _apart(words: Words) -> frozenset[str]:
    return frozenset({plain(word) for word in words().split(",")} - {""})
