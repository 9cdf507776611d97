"""What is asked about a skill: three questions of its own, and the rest, which has good answers already."""

from __future__ import annotations

from genplan.case import PassMark, Policy
from genplan.start.answers import Answers
from genplan.start.defaults import policy_of
from genplan.start.questions import Group, Kind, Question

DONE, LEARNING = "mastered", "teaching"
STATES = (
    (DONE, "it works there, without help"),
    (LEARNING, "it is still being learned"),
)


def several_children(answers: Answers) -> bool:
    return len(answers.entries("children")) > 1


def some_things(answers: Answers) -> bool:
    return bool(answers.entries("things"))


def _policy(answers: Answers) -> Policy:
    return policy_of(answers.one("purpose", "policy"))


def _pass_mark(answers: Answers) -> str:
    mark: PassMark = _policy(answers).pass_mark
    return str(mark)


SKILLS = Group(
    "skills",
    (
        Question(
            "name",
            "The skill in a few words",
            Kind.LINE,
            "Such as: puts on the jacket.",
            needed="What is the skill called? A few words will do.",
        ),
        Question("child", "Whose skill is it?", Kind.ONE_OF, of="children", asked_if=several_children),
        Question(
            "correct",
            "What counts as correct?",
            Kind.LONG,
            "What one sees, how soon, with how much help: two people should agree whether it was.",
            needed="What counts as correct? Without it no two people count the same.",
        ),
        Question(
            "by", "With whom?", Kind.ONE_OF, of="helpers", under="How was it learned?", told="learned with {}"
        ),
        Question("at", "Where?", Kind.ONE_OF, of="places", told="at {}"),
        Question("with", "With what?", Kind.ONE_OF, of="things", asked_if=some_things, told="using {}"),
        Question(
            "helpers",
            "With whom?",
            Kind.SOME_OF,
            of="helpers",
            under="What is to be tried out?",
            told="to be tried with {}",
        ),
        Question("places", "Where?", Kind.SOME_OF, of="places", told="to be tried at {}"),
        Question(
            "things",
            "With what?",
            Kind.SOME_OF,
            of="things",
            asked_if=some_things,
            told="to be tried using {}",
        ),
        Question(
            "says", "What does the adult say or do to begin?", Kind.LONG, more=True, told="begun by: {}"
        ),
        Question(
            "state",
            "How far is it?",
            Kind.CHOICE,
            "What is still being learned is not tried out elsewhere yet.",
            options=STATES,
            default=DONE,
            more=True,
        ),
        Question(
            "since",
            "Since when does it work there?",
            Kind.DAY,
            "From this day on the program also looks whether it lasts. Empty: it does not.",
            more=True,
            told="works since {}",
        ),
        Question(
            "trials",
            "How many tries make one check?",
            Kind.NUMBER,
            default=lambda a: str(_policy(a).trials),
            most=100,
            more=True,
        ),
        Question(
            "pass_mark",
            "Reached, if so many were correct",
            Kind.MARK,
            "Correct of tries, such as 4/5.",
            default=_pass_mark,
            more=True,
        ),
        Question(
            "minutes",
            "Minutes for one check",
            Kind.NUMBER,
            default=lambda a: str(_policy(a).minutes),
            most=120,
            more=True,
        ),
    ),
    letter="s",
    one="skill",
    first="Which skill? A few words",
    another="Another skill",
    none="Which skill is it about? One is enough to begin with.",
    several=True,
)
