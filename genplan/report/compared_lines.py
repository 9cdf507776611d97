"""Two plans of a week as lines for a terminal: what the choice between them costs comes first, in plain sentences."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import isfinite
from operator import itemgetter

from genplan.case import Case, Wish
from genplan.keeping.compared import Both, Compared, Held, is_better
from genplan.keeping.saved_plan import SavedPlan
from genplan.language import N_, _, and_list, ngettext, said
from genplan.language.numbers import number_words
from genplan.language.sentences import capital
from genplan.plan import Objective, StageStatus
from genplan.report.names_and_words import (
    Names,
    amount_words,
    clean,
    day_words,
    kind_words,
    long_date,
)
from genplan.report.people_told import people_called
from genplan.report.plain_characters import clock, ended
from genplan.report.textgrid import laid_out
from genplan.report.week_changes import change_lines, changes_of_people
from genplan.text.objectives import objective_figure, objective_words
from genplan.text.tuple_words import combination_words, common_words, counted_tuples, tuple_word

FIRST, SECOND = N_("the first plan"), N_("the second plan")
"""Such as cannot be taken for a child's alias."""
MOST_LISTED = 20


def compared_lines(
    case: Case, called: tuple[str, str], found: Compared, *, figures: bool = True
) -> Iterator[str]:
    """`called` is what the two plans were called when they were asked for; without `figures` what was counted is told
    in sentences, of what differs alone."""
    names, week = Names(case), found.first.week
    yield _(
        "Week {week}: {first} to {last}", week=week, first=day_words(week.monday), last=long_date(week.sunday)
    )
    for letter, name, plan in ((FIRST, called[0], found.first), (SECOND, called[1], found.second)):
        yield f"{capital(said(letter))}: {clean(name)}, {_made(plan)}: {amount_words(plan.sittings)}"
    yield ""
    yield from cost_sentences(case, found)
    for head, lines in (
        (_("Only in the first plan"), _only(names, found.only_first, found.held_first)),
        (_("Only in the second plan"), _only(names, found.only_second, found.held_second)),
        (
            _("Who holds the first plan and gets the second is told"),
            list(change_lines(case, found.differences)) if found.differences else [],
        ),
        (_("Minutes of each adult"), _minutes(names, found)),
        (
            _("What the search counted, in the order in which it counts"),
            list(_counted(found, figures)),
        ),
    ):
        if lines:
            yield from ("", head, *(f"  {line}" if line else "" for line in lines))


def _made(plan: SavedPlan) -> str:
    return _("of {day}, {time}", day=day_words(plan.made.date()), time=clock(plan.made))


def cost_sentences(case: Case, found: Compared) -> Iterator[str]:
    """What the second does otherwise than the first, the gravest first, as the search ranks it: dates, what is due,
    wishes, what is new, what is taught, then who is told and how long everybody is there."""
    names = Names(case)
    yield from _dates(names, found)
    yield from _due(names, found, taught=False)
    yield from _wishes(names, found)
    yield from _shown(names, found)
    yield from _due(names, found, taught=True)
    yield from _told(case, found)
    yield from _more_or_fewer(names, found)
    if (first := found.decides) is not None:
        yield _decides(*first)


def _dates(names: Names, found: Compared) -> Iterator[str]:
    """The nearest date first, since a later one can still be met in the weeks after; on one day what only one plan has
    anything of before what one shows more of."""
    own = [(target, wish, both) for target, wish, both in found.wishes if wish.by]
    known = [(target, wish) for target, wish, _both in own]
    lines = [(wish.by, _only_in(names, target, wish, both)) for target, wish, both in own]
    lines += [
        (wish.by, _more_in(names, *one)) for one in found.dates if (one[0], wish := one[1]) not in known
    ]
    yield from (line for _by, line in sorted(lines, key=itemgetter(0)))


def _more_in(names: Names, target: str, wish: Wish, both: Both, of: int) -> str:
    return _(
        "{what}{by}: in time the first plan shows {one} of {tuples}, the second {other}.",
        what=_wanted(names, target, wish),
        by=_by(wish),
        one=round(both.first),
        other=round(both.second),
        tuples=counted_tuples(names.case.targets[target], of),
    )


def _only_in(names: Names, target: str, wish: Wish, both: Both) -> str:
    plan = said(FIRST if both.first else SECOND)
    return ended(
        _("{what}{by}: only {plan} has it", what=_wanted(names, target, wish), by=_by(wish), plan=plan)
    )


def _wanted(names: Names, target: str, wish: Wish) -> str:
    return _("{target}: {wish}", target=_skill(names, target), wish=names.pattern(wish.pattern))


def _by(wish: Wish) -> str:
    return _(", wanted by {day}", day=day_words(wish.by)) if wish.by else _(", wanted before the rest")


def _wishes(names: Names, found: Compared) -> Iterator[str]:
    """Of whoever plans, then what is wanted before the rest without a date."""
    for words, both in found.planners:
        yield ended(
            _(
                "Only {plan} keeps the wish: {wish}",
                plan=said(FIRST if both.first else SECOND),
                wish=clean(words),
            )
        )
    yield from (_only_in(names, target, wish, both) for target, wish, both in found.wishes if not wish.by)


def _told(case: Case, found: Compared) -> Iterator[str]:
    people = [(p.kind, p.id) for p in changes_of_people(case, found.differences)]
    if people:
        yield ended(
            ngettext(
                "From the first plan to the second {n} person is told something otherwise: {people}",
                "From the first plan to the second {n} people are told something otherwise: {people}",
                len(people),
                people=and_list(people_called(Names(case), people)),
            )
        )
    else:
        yield _("Nobody who holds the first plan is told anything otherwise by the second.")


def _whose(names: Names, targets: Iterable[str]) -> str:
    """In brackets the children whose skills these are; nothing where there is one alone."""
    learners = sorted({names.case.targets[t].learner for t in targets})
    if len(names.case.learners) == 1:
        return ""
    return _(" ({children})", children=and_list([names.learner(i) for i in learners]))


def _shown(names: Names, found: Compared) -> Iterator[str]:
    word, words = common_words(names.case.mastered)
    first, second = len(found.only_first), len(found.only_second)
    if not first and not second:
        yield _("Both show the same {tuples} for the first time.", tuples=words)
    for plan, other, n, some in (
        (FIRST, SECOND, first, found.only_first),
        (SECOND, FIRST, second, found.only_second),
    ):
        if n:
            yield _(
                "{plan} shows {n} {tuples} that {other} does not{whose}.",
                whose=_whose(names, (t for t, _values in some)),
                plan=capital(said(plan)),
                n=n,
                tuples=word if n == 1 else words,
                other=said(other),
            )


def _due(names: Names, found: Compared, *, taught: bool) -> Iterator[str]:
    """Due probes, or what is `taught`, that only one holds."""
    for plan, other, held in (
        (FIRST, SECOND, found.held_first),
        (SECOND, FIRST, found.held_second),
    ):
        own = [target for target, _combination, kind in held if kind.is_probe is not taught]
        whose = _whose(names, own)
        if own and taught:
            yield ngettext(
                "{plan} holds {n} teaching that {other} does not{whose}.",
                "{plan} holds {n} teachings that {other} does not{whose}.",
                len(own),
                plan=capital(said(plan)),
                other=said(other),
                whose=whose,
            )
        elif own:
            yield ngettext(
                "{plan} holds {n} due probe (maintenance, retest or baseline) that {other} does not{whose}.",
                "{plan} holds {n} due probes (maintenance, retest or baseline) that {other} does not{whose}.",
                len(own),
                plan=capital(said(plan)),
                other=said(other),
                whose=whose,
            )


def _more_or_fewer(names: Names, found: Compared) -> Iterator[str]:
    changed = [(adult, round(b.second - b.first)) for adult, b in found.minutes if b.differs]
    if changed:
        yield _(
            "Minutes more or fewer in the second plan than in the first: {list}.",
            list=", ".join(f"{names.adult(adult)} {n:+d}" for adult, n in changed),
        )


def _decides(one: Objective, other: Objective) -> str:
    """Which is better by what counts first of all that differs, and by what."""
    better = said(FIRST if is_better(one, other) else SECOND)
    unproven = (
        ""
        if StageStatus.OPTIMAL is one.status is other.status
        else _(" It is not proven of both that no plan is better.")
    )
    return (
        _(
            "The first thing in the order in which the search counts that differs: {words}. The first plan has"
            " {one}, the second {other}, so by that {better} is better.",
            words=objective_words(one),
            one=objective_figure(one, one.value),
            other=objective_figure(other, other.value),
            better=better,
        )
        + unproven
    )


def _only(
    names: Names, tuples: Sequence[tuple[str, tuple[tuple[str, str], ...]]], held: Sequence[Held]
) -> list[str]:
    case = names.case
    lines = []
    for target, values in tuples:
        what = names.pattern(dict(values))
        lines.append(f"{_skill(names, target)}: {what} ({tuple_word(case.targets[target])})")
    for target, combination, kind in held:
        what = clean(combination_words(case, case.targets[target], combination))
        lines.append(f"{_skill(names, target)}: {what} ({kind_words(kind)})")
    left = len(lines) - MOST_LISTED
    return lines if left <= 0 else [*lines[:MOST_LISTED], _("and {n} more", n=left)]


def _skill(names: Names, target: str) -> str:
    """A skill, and of several children whose, since two may learn the same."""
    whose = names.learner(names.case.targets[target].learner)
    return f"{whose}, {names.target(target)}" if len(names.case.learners) > 1 else names.target(target)


def _minutes(names: Names, found: Compared) -> list[str]:
    rows = [[names.adult(adult), *_pair(both)] for adult, both in found.minutes]
    return laid_out([["", said(FIRST), said(SECOND)], *rows]) if rows else []


def _pair(both: Both) -> list[str]:
    return [number_words(both.first), number_words(both.second)]


def _counted_apart(found: Compared) -> str:
    """Why the figures of two plans that were not counted alike do not stand side by side."""
    if found.is_of_one_stretch:
        return _(
            "Each counts only what is planned beside the sittings that stay as they are, {one} in the first plan"
            " and {other} in the second, and these are not the same: so the figures do not compare and are not shown."
            " The sentences above compare all sittings.",
            one=len(found.first.staying),
            other=len(found.second.staying),
        )
    return _(
        "The first plan counts from {one} on, the second from {other} on: each leaves out what lay before, so"
        " their figures do not compare and are not shown. The sentences above compare the sittings that each holds.",
        one=_moment(found.first),
        other=_moment(found.second),
    )


def _moment(plan: SavedPlan) -> str:
    return _("{day}, {time}", day=day_words(plan.made.date()), time=clock(plan.made))


def _counted(found: Compared, figures: bool) -> Iterable[str]:
    if found.first.objectives and found.second.objectives and not found.is_counted_alike:
        return [_counted_apart(found)]
    return [*_beside(found), *(_objectives(found) if figures else _in_sentences(found))]


def _beside(found: Compared) -> Iterator[str]:
    """What the figures leave out in both."""
    if staying := found.first.staying:
        yield ngettext(
            "{n} sitting stays as it is, in both; of what is shown, due and held only what is planned beside it is"
            " counted.",
            "{n} sittings stay as they are, in both; of what is shown, due and held only what is planned beside them is"
            " counted.",
            len(staying),
        )


def _in_sentences(found: Compared) -> Iterator[str]:
    """What differs."""
    for one, other in found.objectives:
        if one is None or other is None or one.value == other.value:
            continue
        if StageStatus.NOT_REACHED in (one.status, other.status):
            continue
        yield _(
            "{label}: {one} in the first plan, {other} in the second.",
            label=capital(objective_words(one)),
            one=objective_figure(one, one.value),
            other=objective_figure(other, other.value),
        )
    if found.objectives:
        yield _("All figures, and what is known of the best possible: the same command with --figures.")


def _objectives(found: Compared) -> list[str]:
    if not found.objectives:
        return []
    head = ["", f"{said(FIRST)}: {_('value')}", _("bound"), f"{said(SECOND)}: {_('value')}", _("bound")]
    rows = [[_name(pair), *_figures(pair[0]), *_figures(pair[1])] for pair in found.objectives]
    proven = _("What is proven of a plan is proven of the case as it was when that was planned.")
    return [*laid_out([head, *rows]), proven]


def _name(pair: tuple[Objective | None, Objective | None]) -> str:
    return next(o.name.value for o in pair if o is not None)


def _figures(objective: Objective | None) -> list[str]:
    if objective is None:
        return ["–", "–"]
    if objective.status is StageStatus.NOT_REACHED:
        return [_("not reached"), "–"]
    bound = number_words(objective.bound) if isfinite(objective.bound) else _("none")
    return [number_words(objective.value), _("proven") if objective.status is StageStatus.OPTIMAL else bound]
