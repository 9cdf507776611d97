"""Whether a skill counts as generalised by what the case asks for, and what is missing, in whole sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from genplan.case import Target
from genplan.case.targets import BASE_DIMENSIONS, MATERIAL_SET
from genplan.coverage.criterion import AskedFor, Criterion, CriterionPart
from genplan.coverage.unplanned import Unplanned
from genplan.language import _, and_list, ngettext, or_list
from genplan.language.sentences import capital
from genplan.report.names_and_words import Names, clean, day_short
from genplan.text.dimension_words import counted_values, dimension_words


def criterion_sentences(
    names: Names, criterion: Criterion, unplanned: Sequence[Unplanned] = ()
) -> Iterator[str]:
    """Whether what the case asks for is met, and first of all what it names and is not; then each part with what is met
    of it, what without teaching, what was tested only, what is missing; last what of that no plan will probe."""
    if not criterion.is_set:
        yield _("The case does not say when this counts as generalised.")
        return
    for asked in criterion.not_met:
        yield _("Not generalised yet: {not_met}.", not_met=_not_met(names, asked))
    if criterion.is_met:
        but = _met_nowhere(names, criterion)
        if but:
            met = _("What the case asks for is met: the target counts as generalised, {but}.", but=but)
        else:
            met = _("What the case asks for is met: the target counts as generalised.")
        yield f"{met} {_failed(criterion)}".strip()
    elif not criterion.not_met:
        yield _("Not generalised yet by what the case asks for.")
    for part in parts_told(names, criterion):
        yield _part_sentence(names, part, criterion)
    for asked in criterion.asked:
        if asked.met:
            how = _("without teaching") if asked.untaught else _("where it was taught, not without teaching")
            yield _(
                "Asked for and met: {together} ({how}).", together=_together(names, asked.values), how=how
            )
    for one in unplanned:
        yield _unplanned_sentence(names, names.case.targets[criterion.target], one)


def _failed(criterion: Criterion) -> str:
    """What belongs beside the yes, wherever only the first sentence is read."""
    if not criterion.failed:
        return ""
    return ngettext(
        "All the same, {n} combination was not met when it was last tested.",
        "All the same, {n} combinations were not met when they were last tested.",
        len(criterion.failed),
    )


def generalised_words(names: Names, criterion: Criterion) -> str:
    """What stands beside 'yes' or 'not yet' in a row of figures: what is met nowhere, and how much without teaching."""
    untaught = ", ".join(
        ngettext(
            "{values} ({n} is asked for)",
            "{values} ({n} are asked for)",
            p.wanted,
            values=_counted(len(p.untaught), p.dimension),
        )
        for p in criterion.parts
    )
    lacks = _met_nowhere(names, criterion) if criterion.is_met else ""
    missing = [_together(names, a.values) for a in criterion.not_met]
    return "; ".join(
        filter(
            None,
            (
                lacks,
                _("asked for and not met: {missing}", missing=", ".join(missing)) if missing else "",
                _("without teaching {untaught}", untaught=untaught) if untaught else "",
            ),
        )
    )


def _not_met(names: Names, asked: AskedFor) -> str:
    what = _together(names, asked.values)
    if asked.taught_only:
        found = _("{what} is asked for, and was met only where it was taught", what=what)
    elif asked.lost_on:
        day = day_short(asked.lost_on)
        found = _("{what} is asked for, and was met, but was lost on {day}", what=what, day=day)
    elif asked.tested:
        found = _("{what} is asked for, and was tested and not met", what=what)
    else:
        found = _("{what} is asked for, and was not tried", what=what)
    return (
        found
        if asked.in_reach
        else _("{found}; it cannot be reached while the case stays as it is", found=found)
    )


def _met_nowhere(names: Names, criterion: Criterion) -> str:
    """What never worked, and apart from it what worked and was lost."""
    lost = criterion.lost
    never = [names.value(*value) for value in criterion.met_nowhere if value not in lost]
    told = [_("with {values} it was tried and never met", values=and_list(never))] if never else []
    for day in sorted(set(lost.values())):
        values = and_list([names.value(*value) for value in criterion.met_nowhere if lost.get(value) == day])
        told.append(_("with {values} it was met, but was lost on {day}", values=values, day=day_short(day)))
    return _("though {told}", told=_(", and ").join(told)) if told else ""


def _counted(number: int, dimension: str) -> str:
    """`1 adult`, `2 locations`, `0 values of wording`."""
    if dimension in BASE_DIMENSIONS:
        return counted_values(number, dimension)
    return ngettext(
        "{n} value of {dimension}", "{n} values of {dimension}", number, dimension=clean(dimension)
    )


def _together(names: Names, values: Sequence[tuple[str, str]]) -> str:
    return _(" with ").join(names.value(*value) for value in values)


def parts_told(names: Names, criterion: Criterion) -> tuple[CriterionPart, ...]:
    """But for things, where the skill has none."""
    if not names.has_no_objects(names.case.targets[criterion.target]):
        return criterion.parts
    return tuple(part for part in criterion.parts if part.dimension != MATERIAL_SET)


def _part_sentence(names: Names, part: CriterionPart, criterion: Criterion) -> str:
    plural = (
        dimension_words(part.dimension)
        if part.dimension in BASE_DIMENSIONS
        else _("values of {dimension}", dimension=clean(part.dimension))
    )

    def named(values: Sequence[str]) -> str:
        return f" ({'; '.join(names.value(part.dimension, v) for v in values)})" if values else ""

    text = _(
        "{values}: {met} met, {wanted} asked for{named}",
        values=capital(plural),
        met=len(part.met),
        wanted=part.wanted,
        named=named(part.met),
    )
    if part.met:
        text += f", {_untaught_of(part)}"
    if part.taught_only:
        text += _(
            ", {taught_only} met only where it was taught{named}",
            taught_only=len(part.taught_only),
            named=named(part.taught_only),
        )
    lost = {v: day for v in part.tested if (day := criterion.lost.get((part.dimension, v)))}
    if never := [v for v in part.tested if v not in lost]:
        text += _(", {tested} tested and not met{named}", tested=len(never), named=named(never))
    if lost:
        each = [f"{names.value(part.dimension, v)}, {day_short(day)}" for v, day in lost.items()]
        text += _(", {number} met and then lost ({each})", number=len(lost), each="; ".join(each))
    if part.missing and (untried := [v for v in part.untried if v not in part.shut_out]):
        text += _(", {untried} not tried{named}", untried=len(untried), named=named(untried))
    if part.missing and part.shut_out:
        text += _(
            ", {number} not possible for now{named}",
            number=len(part.shut_out),
            named=named(part.shut_out),
        )
    if part.missing:
        text += _(". {missing} missing", missing=part.missing)
    if part.in_reach < part.wanted:
        text += _(
            ". No more than {in_reach} can be reached while the case stays as it is", in_reach=part.in_reach
        )
    return text + "."


def _unplanned_sentence(names: Names, target: Target, one: Unplanned) -> str:
    values = [names.value(*value) for value in one.values]
    return _(
        "No plan holds a probe that would count with {values}, since all that has to be seen together there was tested"
        " or taught. A probe that is run beside the plan and recorded counts, such as {example}.",
        values=or_list(values) if one.dimension else _together(names, one.values),
        example=names.combination(target, one.example),
    )


def _untaught_of(part: CriterionPart) -> str:
    if len(part.untaught) == len(part.met):
        return _("all without teaching") if len(part.met) > 1 else _("without teaching")
    if not part.untaught:
        return _("none of them without teaching")
    return _("{untaught} of them without teaching", untaught=len(part.untaught))
