"""How many people a new plan tells something, and what is proven of that."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from genplan.case import Case
from genplan.language import _, and_list, ngettext
from genplan.language.numbers import number_words
from genplan.plan import ObjectiveName, Plan, ProbeKind
from genplan.report.names_and_words import Names
from genplan.rules.limits import Kind, Limit


def told_lines(case: Case, plan: Plan) -> tuple[str, ...]:
    """How many people have to be told something, and what is proven of that; nothing where nobody has to."""
    if not plan.people_told:
        return ()
    names = Names(case)
    least = next((o.bound for o in plan.objectives if o.name is ObjectiveName.PEOPLE), None)
    price = price_of_fewer((item.kind for item in plan.left_out), any(a.kept for a in plan.wishes))
    told = told_sentence(people_called(names, plan.people_told), least, price)
    if any(a.kept for a in plan.wishes) or any(o.name is ObjectiveName.TOLD for o in plan.objectives):
        return (told,)
    anew = _("Nothing that people were told of is still ahead, so the rest of the week is planned afresh.")
    return told, anew


def further_sentence(why_left_out: Iterable[Limit], how: str) -> str:
    """That more would be shown if more were told, where something is left out for that; `how` one looks for it."""
    if all(limit.kind is not Kind.TOLD_ANEW for limit in why_left_out):
        return ""
    return _(
        "Some of what is left out could be run if more people were told of a change, or more sittings changed. "
        "To look for such a week: {how}",
        how=how,
    )


def people_called(names: Names, people: Iterable[tuple[str, str]]) -> list[str]:
    """Those who are told something, each `("adult" or "learner", id)`."""
    return [names.adult(i) if kind == "adult" else bringer(names.learner(i)) for kind, i in people]


def bringer(child: str) -> str:
    """Who is told what changes for a child: a child of five is told nothing."""
    return _("the family of {child}", child=child)


def price_of_fewer(left_out: Iterable[ProbeKind], wishes_kept: bool) -> str:
    """What somebody would have to do without whom fewer are told than is proven to be possible: it is looked for
    before few are told. `left_out` are the kinds of what is not in the plan."""
    all_due = not any(kind.is_due for kind in left_out)
    if wishes_kept:
        return (
            _("giving up a wish or leaving out something that is due")
            if all_due
            else _("giving up a wish or leaving out more of what is due")
        )
    return _("leaving out something that is due") if all_due else _("leaving out more of what is due")


def told_sentence(called: Sequence[str], least: float | None, price: str) -> str:
    """Who has to be told, for each child its family; `least` is how many are proven to be the fewest, where that
    was looked for, `price` what `price_of_fewer` says."""
    # an alias may end in a full stop
    people = ngettext(
        "1 person has to be told ({called}).",
        "{n} people have to be told ({called}).",
        len(called),
        called=and_list(called),
    )
    if least is None:
        return people
    if least <= 0:  # nobody told: that there is no better bound helps nobody
        fewest = _("Without {price}, no week that tells fewer was found.", price=price)
    elif len(called) <= least:
        fewest = _("It cannot be fewer without {price}.", price=price)
    else:
        fewest = _(
            "Without {price}, no week that tells fewer was found, and none can tell fewer than {least}.",
            least=number_words(least),
            price=price,
        )
    return f"{people} {fewest}"
