"""What leaves a first week empty or poor, said before the case is made: nobody is to wait for a week with nothing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from genplan.case.windows import Windows, intersect
from genplan.casefile.diagnostics import InvalidValue
from genplan.language import _, or_list
from genplan.start.allergies import looked
from genplan.start.answers import Answers, Entry
from genplan.start.asked_about_places import ON_SIZE, SMALL
from genplan.start.asked_about_skills import LEARNING
from genplan.start.defaults import policy_of
from genplan.start.hours_text import Week
from genplan.start.kept_from import kept_from, material_set
from genplan.start.reading import value_of
from genplan.start.screens import question_of
from genplan.start.tried import possible, tried
from genplan.start.visit_lengths import arriving, check_minutes
from genplan.text.obstacles import allergens_text


def remarks(answers: Answers) -> tuple[str, ...]:
    """In sentences, each with what to change; none for answers that cannot be understood yet."""
    try:
        found = dict.fromkeys(s for skill in answers.entries("skills") for s in _of_skill(answers, skill))
        found |= dict.fromkeys(_without_a_skill(answers))
    except (InvalidValue, LookupError):
        return ()
    return tuple(found)


def _without_a_skill(answers: Answers) -> Iterator[str]:
    skills = answers.entries("skills")
    with_one = {_said(answers, "skills", skill, "child") for skill in skills}
    for child in answers.entries("children") if skills else ():
        if child.key not in with_one:
            yield _("{child} has no skill yet, so nothing is planned for {child}.", child=child.get("name"))


def _of_skill(answers: Answers, skill: Entry) -> Iterator[str]:
    child = answers.entry("children", _said(answers, "skills", skill, "child")) if skill else None
    if child is None:
        return
    name = skill.get("name").strip()
    if _said(answers, "skills", skill, "state") == LEARNING:
        return
    helpers = [e for e in tried(answers, skill, "helpers") if child.key in _children_of(answers, e)]
    places = tried(answers, skill, "places")
    things = tried(answers, skill, "things")
    planned = [t for t in things if not answers.today or not kept_from(answers, child, t, answers.today)]
    yield from _may_be_planned(answers, child, planned)
    if len(possible(answers, skill)) < 2:
        yield _(
            "{skill}: there is nothing else to try it with than what it was learned with, so the first "
            "week will hold nothing of it: add a person, a place or a thing.",
            skill=name,
        )
        return
    yield from _small_or_unknown(answers, child, planned)
    needed = arriving(answers) + check_minutes(answers, skill)
    apart = [h for h in helpers if not _meet(answers, child, h, places, needed)]
    if len(apart) == len(helpers):
        yield _(
            "{child} and {helpers} are never free together for the {minutes} minutes that a visit takes, in a place "
            "that is open, so the first week will hold nothing of it: change the hours.",
            child=child.get("name"),
            helpers=or_list([h.get("name") for h in apart]),
            minutes=needed,
        )
        return
    for helper in apart:
        yield _(
            "{child} and {helper} are never free together for the {minutes} minutes that a visit takes, in a place "
            "that is open: nothing will be planned with {helper}.",
            child=child.get("name"),
            helper=helper.get("name"),
            minutes=needed,
        )


def _may_be_planned(answers: Answers, child: Entry, things: list[Entry]) -> Iterator[str]:
    """What is said to hold nothing that the child must not have, and what was only left without a tick."""
    allergies = or_list([allergens_text((a,)) for a in _said(answers, "children", child, "allergies")])
    free = [thing for thing in things if looked(answers) in _said(answers, "things", thing, "holds")]
    left = [thing for thing in things if thing not in free]
    if allergies and free:
        yield _(
            "As you said, there is no {allergens} in or on: {things}. So it may be planned for {child}.",
            allergens=allergies,
            things=", ".join(thing.get("name") for thing in free),
            child=child.get("name"),
        )
    if allergies and left:
        yield _(
            "Nobody said whether there is any {allergens} in or on: {things}. It may be planned for {child} all the "
            "same; look once more if you are in doubt.",
            allergens=allergies,
            things=", ".join(thing.get("name") for thing in left),
            child=child.get("name"),
        )


def _small_or_unknown(answers: Answers, child: Entry, planned: list[Entry]) -> Iterator[str]:
    """What may be planned for the child though a piece of it could be swallowed, or nobody looked."""
    said = [(thing.get("name"), _said(answers, "things", thing, "cautions")) for thing in planned]
    if unknown := [name for name, cautions in said if ON_SIZE.isdisjoint(cautions)]:
        yield _(
            "Nobody said whether a small piece, a magnet or a button cell is in or on: {things}. It may be planned for "
            "{child} all the same; look before it is used.",
            things=", ".join(unknown),
            child=child.get("name"),
        )
    if balloons := [t.get("name") for t in planned if "balloon" in material_set(answers, t).hazards_by_name]:
        yield _(
            "By its name there is a balloon in: {things}. Uninflated or burst it can choke a child, and whoever uses "
            "it is told so. If there is none in it, say so later, in the form of the thing.",
            things=", ".join(balloons),
        )
    if small := [name for name, cautions in said if SMALL in cautions]:
        yield _(
            "You said that a piece could be swallowed of: {things}. It may be planned for {child} all the same; take "
            "it out under the skill if it is not for {child}.",
            things=", ".join(small),
            child=child.get("name"),
        )


def _meet(answers: Answers, child: Entry, helper: Entry, places: list[Entry], needed: int) -> bool:
    for place in places:
        if helper.key not in _said(answers, "places", place, "helpers"):
            continue
        opened: Week = _said(answers, "places", place, "open")
        weeks = [_said(answers, "children", child, "hours"), _said(answers, "helpers", helper, "hours")]
        weeks += [opened] if any(opened) else []
        days = (_common([week[day] for week in weeks]) for day in _days(answers))
        if any(window.length >= needed for windows in days for window in windows):
            return True
    return False


def _days(answers: Answers) -> tuple[int, ...]:
    return policy_of(answers.one("purpose", "policy")).days


def _common(hours: list[Windows]) -> Windows:
    first, *others = hours
    for other in others:
        first = intersect(first, other)
    return first


def _children_of(answers: Answers, helper: Entry) -> tuple[str, ...]:
    found: tuple[str, ...] = _said(answers, "helpers", helper, "children")
    return found


def _said(answers: Answers, group: str, entry: Entry, question: str) -> Any:
    return value_of(question_of(group, question), entry, answers)
