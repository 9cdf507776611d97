"""What is asked about a skill: three questions of its own, and the rest, which has good answers already."""

from __future__ import annotations

from genplan.case import PassMark, Policy
from genplan.language import N_
from genplan.start.answers import Answers
from genplan.start.defaults import policy_of
from genplan.start.questions import Group, Kind, Question

DONE, LEARNING = "mastered", "teaching"
TEACHINGS = 3
"""A week, where nobody says how often: common practice, no source. It is shown, and can be changed."""
STATES = (
    (DONE, N_("it works there, without help")),
    (LEARNING, N_("it is still being learned")),
)


def helper_of_all_children(answers: Answers) -> str:
    """The first helper who works with every child; nothing where there is none: whose skill it is may be chosen on the
    same screen, and whoever does not work with that child has not taught it."""
    children = {child.key for child in answers.entries("children")}
    for helper in answers.entries("helpers"):
        if not (chosen := helper.get("children")) or children <= {*chosen.split("\n")}:
            return helper.key
    return ""


def several_children(answers: Answers) -> bool:
    return len(answers.entries("children")) > 1


def _policy(answers: Answers) -> Policy:
    return policy_of(answers.one("purpose", "policy"))


def _teaching_is_planned(answers: Answers) -> bool:
    return _policy(answers).plan_teaching


def _teachings(answers: Answers) -> str:
    return str(min(TEACHINGS, _policy(answers).teachings_per_target_per_week))


def _pass_mark(answers: Answers) -> str:
    mark: PassMark = _policy(answers).pass_mark
    return str(mark)


SKILLS = Group(
    "skills",
    (
        Question(
            "name",
            N_("The skill in a few words"),
            Kind.LINE,
            N_("Such as: puts on the jacket."),
            needed=N_("What is the skill called? A few words will do."),
        ),
        Question(
            "child",
            N_("Whose skill is it?"),
            Kind.ONE_OF,
            of="children",
            asked_if=several_children,
            told=N_("a skill of {}"),
        ),
        Question(
            "correct",
            N_("What counts as correct?"),
            Kind.LONG,
            N_("What one sees, how soon, with how much help: two people should agree whether it was."),
            needed=N_("What counts as correct? Without that, two people would count differently."),
        ),
        Question(
            "things",
            N_("Which things does it need?"),
            Kind.NAMES,
            N_(
                "First what it was learned with, then what else it is to work with: red jacket, blue jacket. "
                "Leave it empty if it needs none."
            ),
            of="things",
        ),
        Question(
            "by",
            N_("With whom?"),
            Kind.ONE_OF,
            of="helpers",
            default=helper_of_all_children,
            needed=N_("With whom was it learned? Choose one of those who help."),
            under=N_("How was it learned?"),
            told=N_("learned with {}"),
        ),
        Question("at", N_("Where?"), Kind.ONE_OF, of="places", told=N_("at {}")),
        Question(
            "helpers",
            N_("With whom?"),
            Kind.SOME_OF,
            of="helpers",
            under=N_("What is to be tried out?"),
            told=N_("to be tried with {}"),
        ),
        Question("places", N_("Where?"), Kind.SOME_OF, of="places", told=N_("to be tried at {}")),
        Question(
            "says",
            N_("What does the adult say or do to begin?"),
            Kind.LONG,
            more=True,
            told=N_("begun by: {}"),
        ),
        Question(
            "state",
            N_("Does it work there already?"),
            Kind.CHOICE,
            N_("What is still being learned is not tried out elsewhere yet."),
            options=STATES,
            default=DONE,
            more=True,
        ),
        Question(
            "teachings",
            N_("How often a week, while it is still being learned?"),
            Kind.NUMBER,
            N_("So many times a week it is then planned that somebody teaches it."),
            default=_teachings,
            most=20,
            more=True,
            asked_if=_teaching_is_planned,
            told=N_("taught {} times a week, while it is still being learned"),
        ),
        Question(
            "since",
            N_("Since when does it work there?"),
            Kind.DAY,
            N_("From this day on the program also checks whether it lasts. Left empty, it does not."),
            more=True,
            told=N_("works since {}"),
        ),
        Question(
            "trials",
            N_("How many tries make one check?"),
            Kind.NUMBER,
            default=lambda a: str(_policy(a).trials),
            most=100,
            more=True,
            told=N_("{} tries make one check"),
        ),
        Question(
            "pass_mark",
            N_("Reached, if so many were correct"),
            Kind.MARK,
            N_("How many of how many, such as 4/5."),
            default=_pass_mark,
            more=True,
            told=N_("reached with {} correct"),
        ),
        Question(
            "minutes",
            N_("Minutes for one check"),
            Kind.NUMBER,
            default=lambda a: str(_policy(a).minutes),
            most=120,
            more=True,
            told=N_("{} minutes for one check"),
        ),
    ),
    letter="s",
    one=N_("skill"),
    nobody=N_("this skill"),
    first=N_("Which skill? A few words"),
    another=N_("Another skill"),
    none=N_("Which skill is it about? One is enough to begin with."),
    several=True,
)
