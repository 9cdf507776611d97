"""The screens of the guided start, in order."""

from __future__ import annotations

from genplan.language import N_
from genplan.start.asked_about_people import CHILDREN, HELPERS, PURPOSE
from genplan.start.asked_about_places import PLACES, THINGS, TRAVEL, WAYS, WHO
from genplan.start.asked_about_skills import SKILLS
from genplan.start.questions import Group, Question, Screen

SCREENS = (
    Screen(
        "purpose",
        N_("Who is it for?"),
        N_(
            "This decides how a week is planned, such as how often a "
            "skill is checked. It can be changed later."
        ),
        (PURPOSE,),
    ),
    Screen(
        "children",
        N_("The child"),
        N_("A first name will do, or a nickname. All you write stays in this folder on this machine."),
        (CHILDREN,),
    ),
    Screen(
        "helpers",
        N_("Who helps, and when?"),
        N_(
            "Parents, grandparents, a neighbour, a teacher: whoever could "
            "do one short check with the child now and then."
        ),
        (HELPERS,),
    ),
    Screen(
        "places",
        N_("Where can it be?"),
        N_("Home first, then where the skill is to work as well: at Grandma's, in the park, at school."),
        (PLACES,),
    ),
    Screen(
        "who",
        N_("Who can be where?"),
        N_(
            "Take the tick away from whoever is not there. A check is planned only where somebody has a tick."
        ),
        (WHO,),
    ),
    Screen(
        "ways", N_("How far is it?"), N_("So that nobody is planned in two places at once."), (TRAVEL, WAYS)
    ),
    Screen(
        "skills",
        N_("Skills to begin with"),
        N_(
            "One that works already: in one place, with one person, with one thing. "
            "What the week tries out is whether it works elsewhere too."
        ),
        (SKILLS,),
    ),
    Screen(
        "things",
        N_("A look at the things"),
        N_(
            "Those that the skills name. A child is kept from what is not safe for them, and whoever does a check is "
            "told what to look out for."
        ),
        (THINGS,),
    ),
)

REVIEW = "ready"
"""Where the screens lead to."""


def screen_of(key: str) -> Screen | None:
    return next((s for s in SCREENS if s.key == key), None)


def group_of(key: str) -> Group:
    return next(g for s in SCREENS for g in s.groups if g.key == key)


def question_of(group: str, key: str) -> Question:
    """Wherever it is asked: of one thing two screens may ask."""
    return next(q for s in SCREENS for g in s.groups if g.key == group for q in g.questions if q.key == key)
