"""What is asked about the purpose, the children and those who help."""

from __future__ import annotations

from genplan.language import N_
from genplan.start.answers import Answers, Entry
from genplan.start.questions import Group, Kind, Question
from genplan.start.time_zone import likely_zone, local_zone

FAMILY = "family"
PURPOSES = (
    (FAMILY, N_("A child at home: parents, relatives and friends help")),
    ("school-transfer", N_("A skill that is to work at school as well")),
    ("caseload", N_("Several children, with people who work with more than one of them")),
)

PURPOSE = Group(
    "purpose",
    (
        Question("policy", N_("What fits best?"), Kind.CHOICE, options=PURPOSES, default=FAMILY),
        Question(
            "timezone",
            N_("Time zone"),
            Kind.ZONE,
            N_("The nearest large city, or the country. All hours are by its clock."),
            default=lambda _: likely_zone(),
            more=True,
            waits_if=lambda _: bool(local_zone()),  # a zone that was only guessed is shown
            needed=N_("Which time zone is it? Such as Europe/Dublin or America/Halifax."),
        ),
    ),
    letter="p",
)

MOUTHS = "mouths"


def hours_of_the_first(child: Entry, answers: Answers) -> str:
    """Of a further child, where nothing else is said: one who looks after several mostly has them at the same time."""
    first = next(iter(answers.entries("children")), child)
    return "" if first.key == child.key else first.get("hours")


CHILDREN = Group(
    "children",
    (
        Question(
            "name",
            N_("The child's name"),
            Kind.LINE,
            needed=N_("What is the child called? A nickname will do."),
        ),
        Question(
            "born",
            N_("Born"),
            Kind.MONTH,
            N_(
                "Year and month, such as 2020-04. For a child under three nothing is planned that is said to "
                "have a piece small enough to be swallowed, and each thing is asked about."
            ),
            told=N_("born {}"),
        ),
        Question(
            "mouths",
            N_("Does {name} still put things into the mouth?"),
            Kind.TICKS,
            options=(
                (
                    MOUTHS,
                    N_(
                        "yes: then nothing with a piece small enough to be swallowed is planned, whatever the age"
                    ),
                ),
            ),
            told=N_("still puts things into the mouth"),
        ),
        Question(
            "hours",
            N_("When could {name} do something short?"),
            Kind.HOURS,
            N_("Awake, fed and in the mood, for some 15 minutes. Such as mon-fri 3-5pm, sat 10-12."),
            hint_again=N_("Leave it empty if it is as for the first child."),
            of_entry=hours_of_the_first,
            needed=N_("When could {name} do something short? Without hours nothing can be planned."),
        ),
        Question(
            "allergies",
            N_("Allergies"),
            Kind.ALLERGIES,
            N_("Such as egg, peanut. Nothing that holds them is planned. Leave it empty if there are none."),
            told=N_("allergies: {}"),
        ),
        Question(
            "visits",
            N_("Most visits on one day"),
            Kind.NUMBER,
            default="2",
            most=20,
            more=True,
            told=N_("at most {} visits on one day"),
        ),
        Question(
            "minutes",
            N_("Longest visit, in minutes"),
            Kind.NUMBER,
            N_("The minutes to arrive are part of it."),
            default="20",
            most=240,
            more=True,
            told=N_("a visit of {} minutes at most"),
        ),
        Question(
            "alias",
            N_("Name in calendars that others see"),
            Kind.LINE,
            N_("The first letter, if you leave it empty."),
            more=True,
            most=40,
            told=N_("in calendars of others: {}"),
        ),
    ),
    letter="c",
    one=N_("child"),
    nobody=N_("this child"),
    first=N_("The child's name"),
    another=N_("Another child"),
    none=N_("What is the child called?"),
    several=True,
    listed=True,
)


HELPERS = Group(
    "helpers",
    (
        Question(
            "name",
            N_("Name"),
            Kind.LINE,
            N_("As the child says it. Several at once, if you like: Mum, Grandad, Mrs Lee."),
            needed=N_("What is this person called?"),
        ),
        Question(
            "hours",
            N_("When can {name} help?"),
            Kind.HOURS,
            N_("Such as tue 3.30-5pm, the same on thu."),
            needed=N_("When can {name} help? If not at all for now, take {name} out here."),
        ),
        Question(
            "role",
            N_("Who is that?"),
            Kind.LINE,
            N_("Such as parent, relative, teacher, therapist."),
            more=True,
            told="{}",
        ),
        Question(
            "visits",
            N_("Most visits in one week"),
            Kind.NUMBER,
            N_("Empty for no limit: the work is shared out fairly."),
            more=True,
            most=100,
            told=N_("at most {} visits in one week"),
        ),
        Question(
            "children", N_("With which children?"), Kind.SOME_OF, of="children", more=True, told=N_("with {}")
        ),
    ),
    letter="h",
    one=N_("person"),
    nobody=N_("this person"),
    first=N_("Who helps? A name"),
    another=N_("Somebody else"),
    none=N_("Who helps? At least one person is needed."),
    several=True,
    listed=True,
)
