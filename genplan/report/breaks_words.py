"""What was taught against all else, and where it breaks, in whole sentences with their numbers."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.evidence.breaks import LEVEL, Breaks, Comparison
from genplan.evidence.where_taught import Counted, TaughtAndOthers
from genplan.language import _, ngettext
from genplan.language.numbers import decimals
from genplan.report.figure_words import chance_words, interval_words, percent
from genplan.report.names_and_words import Names, clean


def teaching_sentence(found: TaughtAndOthers) -> str:
    """`Where it was taught 9 of 10 probes met (90 %; 95 % interval 55 % to over 99 %), in all other combinations …`"""
    if not found.taught.probes and not found.others.probes:
        return _("No probe was run yet, where it was taught or elsewhere.")
    return _(
        "Where it was taught {taught}; in all other combinations {others}.",
        taught=_of_probes(found.taught),
        others=_of_probes(found.others),
    )


def _of_probes(found: Counted) -> str:
    if not found.probes:
        return _("no probe was run")
    share, interval = percent(Fraction(found.met, found.probes)), interval_words(found.met, found.probes)
    return _(
        "{met} of {probes} met ({share}; exact 95 % interval {interval})",
        met=found.met,
        probes=ngettext("{n} probe", "{n} probes", found.probes),
        share=share,
        interval=interval,
    )


def breaks_sentences(names: Names, breaks: Breaks) -> Iterator[str]:
    """What was taught against all else; then what stands out among the rest, or that nothing does, or that there is too
    little to tell."""
    teaching = breaks.teaching
    if not teaching.taught.probes and not teaching.others.probes:
        yield _("Nothing was probed yet, so there is nothing to compare.")
        return
    yield teaching_sentence(teaching)
    if teaching.chance is not None:
        yield (
            _(
                "If teaching made no difference, so few met in the others would have an exact chance of"
                " {chance}, taking each probe by itself.",
                chance=chance_words(teaching.chance),
            )
        )
    yield from _values(names, breaks)


def found_sentences(names: Names, breaks: Breaks) -> Iterator[str]:
    """What stands out among what was not taught."""
    for look in breaks.found:
        yield _("Met less often here, teaching apart: {look}", look=look_sentence(names, breaks, look))


def _values(names: Names, breaks: Breaks) -> Iterator[str]:
    seen = ngettext(
        "{met} of {n} combination without teaching met at the first probe",
        "{met} of {n} combinations without teaching met at the first probe",
        breaks.probes,
        met=breaks.met,
    )
    if not breaks.probes:
        yield _("Nothing was probed yet where it was not taught, so no value can be compared with others.")
    elif breaks.found:
        yield from found_sentences(names, breaks)
    elif breaks.met in (0, breaks.probes):
        yield _all_alike(breaks, seen)
    elif not breaks.can_tell:
        yield (
            _(
                "Too few probes to tell where it breaks ({seen}): even if all that were not met had one value"
                " in common, it could be chance.",
                seen=seen,
            )
        )
    else:
        yield _("No one value stands out ({seen}).", seen=seen)
        if breaks.looks and breaks.looks[0].adjusted is not None:
            yield _(
                "The largest difference may well be chance: {look}",
                look=look_sentence(names, breaks, breaks.looks[0]),
            )


def _all_alike(breaks: Breaks, seen: str) -> str:
    """Where all went one way there is nothing to hold against each other, however many there are."""
    if breaks.met:
        return _(
            "No value stands out, since all were met ({seen}): where it breaks, if it does, was not seen.",
            seen=seen,
        )
    return _("No value stands out, since none was met ({seen}): there is nothing to compare with.", seen=seen)


def look_sentence(names: Names, breaks: Breaks, look: Comparison) -> str:
    """`7 of 8 met at Home, 1 of 6 at School (…).`"""
    others = {k.value for k in breaks.looks if k.dimension == look.dimension} - {look.value}
    rest = _held(names, look.dimension, others.pop()) if len(others) == 1 else _elsewhere(look.dimension)
    here = _held(names, look.dimension, look.value)
    looks = sum(k.adjusted is not None for k in breaks.looks)
    over = (
        _("over {targets}, ", targets=ngettext("{n} target", "{n} targets", look.targets))
        if look.targets > 1
        else ""
    )
    adjusted = Fraction(1) if look.adjusted is None else look.adjusted
    return _(
        "{met_without} of {probes_without} met {rest}, {met} of {probes} {here} ({over}exact"
        " chance of so few {chance}, {adjusted} after Holm's correction for"
        " {looks}; called a finding up to {level}).",
        met_without=look.met_without,
        probes_without=look.probes_without,
        rest=rest,
        met=look.met,
        probes=look.probes,
        here=here,
        over=over,
        chance=chance_words(look.p_value),
        adjusted=chance_words(adjusted),
        looks=ngettext("{n} look", "{n} looks", looks),
        level=decimals(float(LEVEL), 2),
    )


def _held(names: Names, dimension: str, value: str) -> str:
    name = names.value(dimension, value)
    if dimension == LOCATION:
        return _("at {place}", place=name)
    if dimension in (ADULT, MATERIAL_SET):
        return _("with {name}", name=name)
    return _("with {dimension} '{name}'", dimension=clean(dimension), name=name)


def _elsewhere(dimension: str) -> str:
    match dimension:
        case "adult":
            return _("with other adults")
        case "location":
            return _("at other locations")
        case "material_set":
            return _("with other material sets")
    return _("with other values of {dimension}", dimension=clean(dimension))
