"""What is asked about places, the ways between them, and things."""

from __future__ import annotations

import re
from collections.abc import Sequence

from genplan.case.safety import NAMED_HAZARDS
from genplan.casefile.small_words import hazards_named, usually_small
from genplan.language import N_, pgettext
from genplan.start.allergies import NO_MORE, allergies_of, looked
from genplan.start.answers import Answers, Entry
from genplan.start.questions import Group, Kind, Options, Question
from genplan.text.obstacles import allergens_text

NONE_OF_THESE = "none"
SMALL, TOO_BIG = "small", "too-big"
CAUTIONS = (
    (SMALL, N_("a piece small enough to be swallowed")),
    ("magnet", N_("a magnet a child could get hold of")),
    ("button-cell", N_("a button cell a child could get hold of")),
    (NONE_OF_THESE, N_("nothing small, no magnet, no button cell: I have looked")),
)
BIG_WHATEVER_ITS_NAME = N_(
    "no small piece in it, or none that could come off, whatever it is called: I have looked"
)
BALLOON = ("balloon", N_("a balloon"))
SEEN_TO_BE_FREE = {
    "magnet": ("no-magnet", N_("no magnet a child could get hold of, whatever it is called: I have looked")),
    "button-cell": (
        "no-button-cell",
        N_("no button cell a child could get hold of, whatever it is called: I have looked"),
    ),
    "balloon": ("no-balloon", N_("no balloon in it, whatever it is called: I have looked")),
}
"""The answer to what the name of a thing says outright, by hazard. One tick for many things is none."""
OF_ITS_NAME = (TOO_BIG, *(answer for answer, _words in SEEN_TO_BE_FREE.values()))
"""Answers that hold for one thing alone."""
ON_SIZE = frozenset({SMALL, "magnet", "button-cell", NONE_OF_THESE, TOO_BIG})
"""Answers after which nobody has to be asked whether a piece could be swallowed."""
CONTRADICTIONS = (
    (SMALL, TOO_BIG),
    *((hazard, free) for hazard, (free, _words) in SEEN_TO_BE_FREE.items()),
    *((there, NONE_OF_THESE) for there in (SMALL, "magnet", "button-cell")),
)
"""Ticks of which one at the most is true of a thing."""
_ALL_CAUTIONS = (
    *CAUTIONS,
    (TOO_BIG, BIG_WHATEVER_ITS_NAME),
    BALLOON,
    *(SEEN_TO_BE_FREE[h] for h in NAMED_HAZARDS),
)
HAZARDS = (
    BALLOON,
    ("cord", N_("a long cord")),
    ("heat", N_("something hot")),
    ("water", N_("deep water")),
    ("sharp", N_("something sharp")),
)


def several_places(answers: Answers) -> bool:
    return len(answers.entries("places")) > 1


def more_than_two_places(answers: Answers) -> bool:
    return len(answers.entries("places")) > 2


def several_helpers(answers: Answers) -> bool:
    return len(answers.entries("helpers")) > 1


def those_its_name_tells(place: Entry, answers: Answers) -> str:
    """Keys of those who are ticked at a place before anybody says so; nothing for all. A place called as somebody is,
    or as what somebody works at, is theirs (Granny's flat; the kindergarten and its teacher), and who is called as the
    whole of one place is at no other. It is only shown: each tick can be changed."""
    helpers = answers.entries("helpers")
    called = {h.key: _words(f"{h.get('name')} {h.get('role')}") for h in helpers}
    theirs = [key for key, words in called.items() if words & _words(place.get("name"))]
    if not theirs:
        others = [words for p in answers.entries("places") if (words := _words(p.get("name")))]
        theirs = [key for key, words in called.items() if not any(other <= words for other in others)]
    return "" if len(theirs) == len(helpers) else "\n".join(theirs)


def _words(name: str) -> frozenset[str]:
    """The words of a name, those whose they are among them: Granny's, Omas."""
    words = {word for word in re.findall(r"[^\W\d_]+", name.casefold()) if len(word) > 2}
    return frozenset(word.removesuffix("s") for word in words)


def some_things(answers: Answers) -> bool:
    return bool(answers.entries("things"))


def some_allergies(answers: Answers) -> bool:
    return bool(allergies_of(answers))


def caution_options(answers: Answers) -> Options:
    """All that may be chosen of some thing."""
    return _cautions_of(answers.entries("things"))


def cautions_of_one(thing: Entry, answers: Answers) -> Options:
    """Some of them only where the thing is called as what is usually small, or as what holds a magnet or the like; or
    where they were chosen of it, so that they can be taken back."""
    chosen = {*thing.get("cautions").split("\n")}
    named = dict(_cautions_of([thing]))
    return tuple((key, words) for key, words in _ALL_CAUTIONS if key in named or key in chosen)


def _cautions_of(things: Sequence[Entry]) -> Options:
    names = [thing.get("name") for thing in things]
    named = frozenset[str]().union(*map(hazards_named, names))
    offered = {key for key, _words in CAUTIONS} | {SEEN_TO_BE_FREE[h][0] for h in NAMED_HAZARDS if h in named}
    offered |= {TOO_BIG} if any(map(usually_small, names)) else set()
    offered |= {BALLOON[0]} & named
    return tuple((key, words) for key, words in _ALL_CAUTIONS if key in offered)


def allergy_options(answers: Answers) -> Options:
    held = tuple((name, allergens_text((name,))) for name in allergies_of(answers))
    return (*held, (looked(answers), NO_MORE))


PLACES = Group(
    "places",
    (
        Question(
            "name",
            N_("Name"),
            Kind.LINE,
            N_("Several at once, if you like: Home, Grandma's flat, the park."),
            needed=N_("What is this place called?"),
        ),
        Question(
            "open",
            N_("Open"),
            Kind.HOURS,
            N_("Empty if one can be there at any hour."),
            more=True,
            told=N_("open {}"),
        ),
    ),
    letter="l",
    one=N_("place"),
    nobody=N_("this place"),
    first=N_("Where can it be? A place, such as Home"),
    another=lambda: pgettext("one more", "Another place"),
    none=N_("Where can it be? At least one place is needed."),
    several=True,
    listed=True,
)

WHO = Group(
    "places",
    (
        Question(
            "helpers",
            N_("Who can be at {name} with the child?"),
            Kind.SOME_OF,
            of="helpers",
            of_entry=those_its_name_tells,
            told=N_("who can be there: {}"),
        ),
    ),
    letter="l",
    again=True,
    asked_if=several_helpers,
)

TRAVEL = Group(
    "travel",
    (
        Question(
            "minutes",
            N_("Minutes from one place to another"),
            Kind.NUMBER,
            N_("Door to door, as it mostly is."),
            default="15",
            most=600,
            told=N_("{} minutes from one place to another"),
        ),
    ),
    letter="t",
    asked_if=several_places,
)

WAYS = Group(
    "ways",
    (
        Question("from", N_("From"), Kind.ONE_OF, of="places"),
        Question(
            "to",
            lambda: pgettext("of a way", "To"),
            Kind.ONE_OF,
            of="places",
            default=lambda a: a.entries("places")[1].key,
        ),
        Question(
            "minutes",
            N_("Minutes"),
            Kind.NUMBER,
            most=600,
            needed=N_("How many minutes is this way?"),
            told=N_("{} minutes"),
        ),
    ),
    letter="w",
    one=N_("way"),
    nobody=N_("this way"),
    above=N_("Is one of the ways longer or shorter? Leave the minutes empty if none is."),
    first=N_("Is one of the ways longer or shorter? From"),
    another=N_("Another way"),
    several=True,
    asked_if=more_than_two_places,
)

THINGS = Group(
    "things",
    (
        Question(
            "cautions",
            N_("Could any of this be in {name}, or on it?"),
            Kind.TICKS,
            N_(
                "If you do not know, leave it open. For a child under three, or one who puts things into the mouth, do "
                "not: choose that a piece could be swallowed, or take the thing out, until somebody has looked. What "
                "has a magnet or a button cell in reach is planned for no child."
            ),
            options=caution_options,
            options_of=cautions_of_one,
            alike=True,
        ),
        Question(
            "holds",
            N_("Is any of this in {name}, or on it?"),
            Kind.TICKS,
            N_("If in doubt, choose it: then it is kept from a child who must not have it."),
            options=allergy_options,
            asked_if=some_allergies,
            told=N_("holds {}"),
        ),
        Question(
            "hazards",
            N_("What needs watching?"),
            Kind.TICKS,
            N_("The sheet for the adult then says so."),
            options=HAZARDS,
            more=True,
            told=N_("to be watched: {}"),
        ),
        Question(
            "kept_at",
            N_("Where does it stay?"),
            Kind.SOME_OF,
            N_(
                "Everywhere, if it goes along with the child: then the family is asked to send it along to each "
                "check."
            ),
            of="places",
            more=True,
            told=N_("stays at {}"),
        ),
        Question(
            "copies",
            N_("How many are there?"),
            Kind.NUMBER,
            default="1",
            most=100,
            more=True,
            told=N_("{} of them"),
        ),
    ),
    letter="m",
    one=N_("thing"),
    nobody=N_("this thing"),
    again=True,
    asked_if=some_things,
)
