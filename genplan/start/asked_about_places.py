"""What is asked about places, the ways between them, and things."""

from __future__ import annotations

from genplan.start.allergies import allergies_of
from genplan.start.answers import Answers
from genplan.start.questions import Group, Kind, Options, Question

NONE_OF_THESE = "none"
SMALL = "small"
CAUTIONS = (
    (SMALL, "a piece small enough to be swallowed"),
    ("magnet", "a magnet a child could get hold of"),
    ("button-cell", "a button cell a child could get hold of"),
    (NONE_OF_THESE, "nothing small, no magnet, no button cell: I have looked"),
)
HAZARDS = (
    ("balloon", "a balloon"),
    ("cord", "a long cord"),
    ("heat", "something hot"),
    ("water", "deep water"),
    ("sharp", "something sharp"),
)


def several_places(answers: Answers) -> bool:
    return len(answers.entries("places")) > 1


def more_than_two_places(answers: Answers) -> bool:
    return len(answers.entries("places")) > 2


def some_allergies(answers: Answers) -> bool:
    return bool(allergies_of(answers))


def allergy_options(answers: Answers) -> Options:
    return tuple((name, name) for name in allergies_of(answers))


PLACES = Group(
    "places",
    (
        Question("name", "Name", Kind.LINE, needed="What is this place called?"),
        Question(
            "open", "Open", Kind.HOURS, "Empty if one can be there at any hour.", more=True, told="open {}"
        ),
        Question(
            "helpers", "Who goes there?", Kind.SOME_OF, of="helpers", more=True, told="who goes there: {}"
        ),
    ),
    letter="l",
    one="place",
    first="Where can it be? A place, such as Home",
    another="Another place",
    none="Where can it be? At least one place is needed.",
    several=True,
)

TRAVEL = Group(
    "travel",
    (
        Question(
            "minutes",
            "Minutes from one place to another",
            Kind.NUMBER,
            "Door to door, as it mostly is.",
            default="15",
            most=600,
            told="{} minutes from one place to another",
        ),
    ),
    letter="t",
    asked_if=several_places,
)

WAYS = Group(
    "ways",
    (
        Question("from", "From", Kind.ONE_OF, of="places"),
        Question("to", "To", Kind.ONE_OF, of="places", default=lambda a: a.entries("places")[1].key),
        Question(
            "minutes",
            "Minutes",
            Kind.NUMBER,
            most=600,
            needed="How many minutes is this way?",
            told="{} minutes",
        ),
    ),
    letter="w",
    one="way",
    first="Is one of the ways longer or shorter? From",
    another="Another way",
    several=True,
    asked_if=more_than_two_places,
)

THINGS = Group(
    "things",
    (
        Question("name", "Name", Kind.LINE, needed="What is it called?"),
        Question(
            "cautions",
            "Is there, or may there be, in {name}",
            Kind.TICKS,
            "Tick nothing if you do not know. What has a magnet or a button cell in reach is planned for no child.",
            options=CAUTIONS,
        ),
        Question(
            "holds",
            "Does {name} hold",
            Kind.TICKS,
            options=allergy_options,
            asked_if=some_allergies,
            told="holds {}",
        ),
        Question(
            "hazards",
            "To be watched",
            Kind.TICKS,
            "The sheet for the adult then says so.",
            options=HAZARDS,
            more=True,
        ),
        Question(
            "kept_at",
            "Where does it stay?",
            Kind.SOME_OF,
            "Everywhere, if it goes along with the child.",
            of="places",
            more=True,
            told="stays at {}",
        ),
        Question(
            "copies", "How many are there?", Kind.NUMBER, default="1", most=100, more=True, told="{} of them"
        ),
    ),
    letter="m",
    one="thing",
    first="Which thing? Nothing if none is needed",
    another="Another thing",
    several=True,
)
