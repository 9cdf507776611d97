"""Warnings about `generalised_when`: what is asked for and can never be met while the case stays as it is."""

from __future__ import annotations

from collections import defaultdict

from genplan.case import Case, Combination, Target
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.domain_types import SECTION_OF
from genplan.casefile.lint import possible_at_any_age, tell
from genplan.language import _
from genplan.text.dimension_words import counted_values, dimension_words


def lint_generalised(case: Case, notes: Diagnostics) -> None:
    _there_are_as_many_values(case, notes)
    for target in case.targets.values():
        if not (target.generalised_with or target.generalised_when):
            continue
        possible = [c for c in target.combinations() if possible_at_any_age(case, target, c)]
        counting = [c for c in possible if not _is_taught_and_does_not_count(target, c)]
        _what_goes_together_can_be_met(target, possible, counting, notes)
        if possible:  # else that is told, and nothing needs to be counted
            _so_many_can_be_met(target, possible, counting, notes)


def _is_taught_and_does_not_count(target: Target, combination: Combination) -> bool:
    return target.generalised_untaught and any(target.matches(combination, p) for p in target.taught)


def _there_are_as_many_values(case: Case, notes: Diagnostics) -> None:
    short: dict[tuple[str, int, int], list[Target]] = defaultdict(list)
    for target in case.targets.values():
        for dimension in target.dimensions:
            wanted, there = target.generalised_when.get(dimension.name, 0), len(dimension.values)
            if wanted > there:
                short[dimension.name, wanted, there].append(target)
    for (name, wanted, there), targets in sorted(short.items()):
        key = SECTION_OF.get(name, name)
        found = _(
            "it is to be met with {values} before it counts as generalised, and the target has only {there}",
            values=counted_values(wanted, name),
            there=there,
        )
        hint = _(
            "add {values}, or write 'generalised_when: {{{key}: {there}}}' at this target",
            values=dimension_words(name),
            key=key,
            there=there,
        )
        tell(targets, "generalised_when", key, found, hint, notes)


def _so_many_can_be_met(
    target: Target, possible: list[Combination], counting: list[Combination], notes: Diagnostics
) -> None:
    for at, dimension in enumerate(target.dimensions):
        wanted = target.generalised_when.get(dimension.name, 0)
        there, untaught = (len({c[at] for c in some}) for some in (possible, counting))
        if untaught < wanted <= there:
            key = SECTION_OF.get(dimension.name, dimension.name)
            found = _(
                "{wanted} {key} wanted by 'generalised_when' without teaching, and only {untaught} can be met so",
                wanted=wanted,
                key=key,
                untaught=untaught,
            )
            hint = _(
                "'taught' names all combinations of the others: ask for fewer {key}, or take 'untaught' out",
                key=key,
            )
            tell([target], "generalised_when", key, found, hint, notes)


def _what_goes_together_can_be_met(
    target: Target, possible: list[Combination], counting: list[Combination], notes: Diagnostics
) -> None:
    for i, pattern in enumerate(target.generalised_with, 1):
        if any(target.matches(c, pattern) for c in counting):
            continue
        values, at = ", ".join(pattern.values()), ("targets", target.id, "generalised_when", "with", str(i))
        if any(target.matches(c, pattern) for c in possible):
            found = _(
                "{values}, which only combinations hold that 'taught' names: with 'untaught: yes' it is never met",
                values=values,
            )
            hint = _("ask for a combination without teaching, or take 'untaught' out")
        else:
            found = _("{values}, which no possible combination holds, so it is never met", values=values)
            hint = _("check the target's values and 'never', and who goes where")
        notes.warning(at, found, "", hint)
