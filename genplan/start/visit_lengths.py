"""How long a visit has to be: a check and the minutes to arrive before it."""

from __future__ import annotations

from genplan.language import _
from genplan.language.typed_numbers import amount_of
from genplan.start.answers import Answers, Entry
from genplan.start.defaults import policy_of

CHILD, SKILL = "children", "skills"


def arriving(answers: Answers) -> int:
    return policy_of(answers.one("purpose", "policy")).settle_minutes


def check_minutes(answers: Answers, skill: Entry) -> int:
    """Of one skill; what was typed for it and is no number is told where it was typed."""
    typed = amount_of(skill.get("minutes"), in_minutes=True)
    return typed or policy_of(answers.one("purpose", "policy")).minutes


def too_short(group: str, entry: Entry, answers: Answers, minutes: int) -> str:
    """What to say of a longest visit in which no check of the child fits, and of a check that fits in no visit of its
    child; nothing where it fits."""
    settle = arriving(answers)
    if group == CHILD:
        own = [e for e in answers.entries(SKILL) if _child_of(e, answers) == entry.key]
        check = min(
            (check_minutes(answers, skill) for skill in own), default=check_minutes(answers, Entry("s1"))
        )
        if minutes < check + settle:
            return _(
                "A check takes {check} minutes, and there are {settle} to arrive before it: a visit has to last "
                "{least} minutes at least, or nothing can be planned.",
                check=check,
                settle=settle,
                least=check + settle,
            )
    if group == SKILL:
        child = answers.entry(CHILD, _child_of(entry, answers))
        longest = amount_of(child.get("minutes"), in_minutes=True) if child else None
        if child and longest and minutes + settle > longest:
            return _(
                "A visit of {child} lasts {longest} minutes at most, {settle} of them to arrive: a check can take "
                "{most} minutes at most. Else let a visit last longer, where it was asked about {child}.",
                child=child.get("name"),
                longest=longest,
                settle=settle,
                most=max(0, longest - settle),
            )
    return ""


def _child_of(skill: Entry, answers: Answers) -> str:
    children = answers.entries(CHILD)
    return skill.get("child") or (children[0].key if children else "")
