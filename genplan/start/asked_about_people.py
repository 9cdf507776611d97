"""What is asked about the purpose, the children and those who help."""

from __future__ import annotations

from genplan.start.questions import Group, Kind, Question
from genplan.start.time_zone import local_zone

FAMILY = "family"
PURPOSES = (
    (FAMILY, "A child at home: parents, relatives and friends help"),
    ("school-transfer", "A skill that is to work at school as well"),
    ("caseload", "Several children, with people who work with more than one of them"),
)

PURPOSE = Group(
    "purpose",
    (
        Question("policy", "What fits best?", Kind.CHOICE, options=PURPOSES, default=FAMILY),
        Question(
            "timezone",
            "Time zone",
            Kind.ZONE,
            "The nearest large city. All hours are by its clock.",
            default=lambda _: local_zone(),
            more=True,
            needed="Which time zone is it? Such as Europe/Dublin or America/Halifax.",
        ),
    ),
    letter="p",
)

CHILDREN = Group(
    "children",
    (
        Question(
            "name", "The child's name", Kind.LINE, needed="What is the child called? A nickname will do."
        ),
        Question(
            "born",
            "Born",
            Kind.MONTH,
            "Year and month, such as 2020-04. With it, nothing that is too small is planned for a small child.",
        ),
        Question(
            "hours",
            "When could {name} do something short?",
            Kind.HOURS,
            "Awake, fed and in the mood, for some 15 minutes. Such as mon-fri 3-5pm, sat 10-12.",
            needed="When could {name} do something short? Without hours nothing can be planned.",
        ),
        Question(
            "allergies",
            "Allergies",
            Kind.ALLERGIES,
            "Such as egg, peanut. Nothing that holds them is planned. Empty for none.",
            told="allergies: {}",
        ),
        Question("visits", "Most visits on one day", Kind.NUMBER, default="2", most=20, more=True),
        Question(
            "minutes",
            "Longest visit, in minutes",
            Kind.NUMBER,
            "With five minutes to arrive.",
            default="20",
            most=240,
            more=True,
        ),
        Question(
            "alias",
            "In calendars that others see",
            Kind.LINE,
            "The first letter, if you leave it empty.",
            more=True,
            most=40,
        ),
    ),
    letter="c",
    one="child",
    first="The child's name",
    another="Another child",
    none="What is the child called?",
    several=True,
)


HELPERS = Group(
    "helpers",
    (
        Question(
            "name",
            "Name",
            Kind.LINE,
            "As the child says it: Mum, Grandad, Mrs Lee.",
            needed="What is this person called?",
        ),
        Question(
            "hours",
            "When can {name} help?",
            Kind.HOURS,
            "Such as tue 3.30-5pm, the same on thu.",
            needed="When can {name} help? If not at all for now, take {name} out here.",
        ),
        Question(
            "role",
            "Who is that?",
            Kind.LINE,
            "Such as parent, relative, teacher, therapist.",
            more=True,
            told="{}",
        ),
        Question(
            "visits",
            "Most visits in one week",
            Kind.NUMBER,
            "Empty for no limit: the work is shared out fairly.",
            more=True,
            most=100,
        ),
        Question("children", "With which children?", Kind.SOME_OF, of="children", more=True, told="with {}"),
    ),
    letter="h",
    one="person",
    first="Who helps? A name",
    another="Somebody else",
    none="Who helps? At least one person is needed.",
    several=True,
)
