"""Warnings about `generalised_when`: what is asked for and can never be met while the case stays as it is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from genplan.case import Case, Combination, Target
from genplan.case.possible import kept_away, possible_combinations
from genplan.case.targets import ADULT, MATERIAL_SET
from genplan.casefile.at_any_age import adults_to_brief
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.domain_types import SECTION_OF
from genplan.casefile.lint import how_to_brief, tell
from genplan.language import _, and_list, ngettext, or_list
from genplan.text.dimension_words import counted_values, dimension_words


def lint_generalised(case: Case, notes: Diagnostics) -> None:
    short: dict[tuple[str, str], list[_Short]] = defaultdict(list)
    for target in case.targets.values():
        if not (target.generalised_with or target.generalised_when):
            continue
        possible = [*possible_combinations(case, target, date.max)]
        counting = possible
        if target.generalised_untaught:
            counting = [c for c in possible if not any(target.matches(c, p) for p in target.taught)]
        _what_goes_together_can_be_met(case, target, possible, counting, notes)
        for each in _too_few(case, target, possible, counting, notes):
            short[each.dimension, each.found].append(each)
    for (dimension, found), those in sorted(short.items()):
        # one that has the count itself is told at its line, the others at the first of them
        for at_once in ([t for t in those if t.is_own], [t for t in those if not t.is_own]):
            if at_once:
                key = SECTION_OF.get(dimension, dimension)
                tell([t.target for t in at_once], "generalised_when", key, found, at_once[0].hint, notes)


@dataclass(frozen=True)
class _Short:
    """A count of a target that cannot be met; `is_own`: it stands at the target and not in the policy."""

    target: Target
    dimension: str
    found: str
    hint: str
    is_own: bool


def _too_few(
    case: Case, target: Target, possible: list[Combination], counting: list[Combination], notes: Diagnostics
) -> Iterator[_Short]:
    held_in, untaught_in = (_values_in(some, target) for some in (possible, counting))
    most = {d.name: len(held or d.values) for held, d in zip(held_in, target.dimensions, strict=True)}
    for held, untaught, dimension in zip(held_in, untaught_in, target.dimensions, strict=True):
        name, wanted = dimension.name, target.generalised_when.get(dimension.name, 0)
        if wanted <= len(untaught):
            continue
        key = SECTION_OF.get(name, name)
        is_own = ("targets", target.id, "generalised_when", key) in notes.marks
        fewer = _("write '{text}' there", text=f"{key}: {most[name]}") if is_own else _fewer(target, most)
        values = counted_values(wanted, name)
        if wanted > len(dimension.values):
            found = _(
                "it is to be met with {values} before it counts as generalised, and the target has only {there}",
                values=values,
                there=len(dimension.values),
            )
            hint = _("add {values}, or {fewer}", values=dimension_words(name), fewer=fewer)
        elif not possible:  # it is told that none is
            continue
        elif name == ADULT and wanted > len(held) and (to_brief := adults_to_brief(case, target, {})):
            found = ngettext(
                "it is to be met with {values} before it counts as generalised, and no more than {there} can be "
                "reached: {adults} is not briefed on it",
                "it is to be met with {values} before it counts as generalised, and no more than {there} can be "
                "reached: {adults} are not briefed on it",
                len(to_brief),
                values=values,
                there=len(held),
                adults=and_list([f"'{adult}'" for adult in to_brief]),
            )
            hint = _("once they are, add the target to their 'briefed_on'; or {fewer}", fewer=fewer)
        elif wanted > len(held) and (kept := _kept_away(case, target, name, held)):
            found = _(
                "it is to be met with {values} before it counts as generalised, and no more than {there} can be "
                "reached: {kept} may not be used with {child}",
                values=values,
                there=len(held),
                kept=and_list([f"'{case.called(name, value)}'" for value in kept]),
                child=case.learners[target.learner].alias,
            )
            hint = _(
                "name another thing for the skill in its place, or ask for fewer: {fewer}. What was run with it stays "
                "written down",
                fewer=fewer,
            )
        elif wanted > len(held):
            found = _(
                "it is to be met with {values} before it counts as generalised, and no more than {there} can be "
                "reached: nothing is possible with {without}",
                values=values,
                there=len(held),
                without=or_list([f"'{value}'" for value in dimension.values if value not in held]),
            )
            hint = _(
                "{fewer}; or see who works with whom, is briefed and goes where, where sets are kept, "
                "their allergens and hazards, and 'never'",
                fewer=fewer,
            )
        else:
            found = _(
                "it is to be met with {values} without teaching before it counts as generalised, and only {there} "
                "can be met so",
                values=values,
                there=len(untaught),
            )
            hint = _("'taught' names all combinations that are possible: take 'untaught' out")
            if untaught:
                hint = _(
                    "'taught' names all combinations of the others: write '{text}' there, or take 'untaught' out",
                    text=f"{key}: {len(untaught)}",
                )
        yield _Short(target, name, found, hint, is_own)


def _kept_away(case: Case, target: Target, dimension: str, held: Collection[str]) -> list[str]:
    """The things of which none is possible, if the child is kept from each of them at any age."""
    if dimension != MATERIAL_SET:
        return []
    learner = case.learners[target.learner]
    never = [v for v in target.values_of(dimension) if v not in held]
    away = [v for v in never if kept_away(learner, case.material_sets[v], date.max)]
    return away if away == never else []


def _values_in(combinations: list[Combination], target: Target) -> list[set[str]]:
    """Of each dimension."""
    return [*map(set, zip(*combinations, strict=True))] or [set() for _ in target.dimensions]


def _fewer(target: Target, most: Mapping[str, int]) -> str:
    """All counts of a target that has them from the policy, lowered to what there is: its own stand in the place of
    all of the policy's."""
    counts = {SECTION_OF.get(n, n): min(count, most[n]) for n, count in target.generalised_when.items()}
    return _(
        "write 'generalised_when' there, with {counts} under it",
        counts=and_list([f"'{key}: {count}'" for key, count in counts.items()]),
    )


def _what_goes_together_can_be_met(
    case: Case, target: Target, possible: list[Combination], counting: list[Combination], notes: Diagnostics
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
            hint = how_to_brief(case, target, pattern) or hint
        notes.warning(at, found, "", hint)
