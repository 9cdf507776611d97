"""What was taught against all else, and where it breaks, in whole sentences with their numbers."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.evidence.breaks import LEVEL, Breaks, Comparison
from genplan.evidence.where_taught import Counted, TaughtAndOthers
from genplan.report.evidence_words import PLURALS, chance_words, interval_words, percent
from genplan.report.names_and_words import Names, clean
from genplan.report.plain_characters import counted

_PLACED = {ADULT: "with", LOCATION: "at", MATERIAL_SET: "with"}


def teaching_sentence(found: TaughtAndOthers) -> str:
    """`Where it was taught 9 of 10 probes met (90 %; 95 % interval 55 % to over 99 %), in all other combinations …`"""
    if not found.taught.probes and not found.others.probes:
        return "No probe was run yet, where it was taught or elsewhere."
    return f"Where it was taught {_of_probes(found.taught)}; in all other combinations {_of_probes(found.others)}."


def _of_probes(found: Counted) -> str:
    if not found.probes:
        return "no probe was run"
    share, interval = percent(Fraction(found.met, found.probes)), interval_words(found.met, found.probes)
    return f"{found.met} of {counted(found.probes, 'probe')} met ({share}; exact 95 % interval {interval})"


def breaks_sentences(names: Names, breaks: Breaks) -> Iterator[str]:
    """What was taught against all else; then what stands out among the rest, or that nothing does, or that there is too
    little to tell."""
    teaching = breaks.teaching
    if not teaching.taught.probes and not teaching.others.probes:
        yield "Nothing was probed yet, so there is nothing to compare."
        return
    yield teaching_sentence(teaching)
    if teaching.chance is not None:
        yield (
            f"If teaching made no difference, so few met in the others would have an exact chance of"
            f" {chance_words(teaching.chance)}, taking each probe by itself."
        )
    yield from _values(names, breaks)


def found_sentences(names: Names, breaks: Breaks) -> Iterator[str]:
    """What stands out among what was not taught."""
    for look in breaks.found:
        yield f"Met less often here, teaching apart: {look_sentence(names, breaks, look)}"


def _values(names: Names, breaks: Breaks) -> Iterator[str]:
    combinations = "combination" if breaks.probes == 1 else "combinations"
    seen = f"{breaks.met} of {breaks.probes} {combinations} without teaching met at the first probe"
    if not breaks.probes:
        yield "Nothing was probed yet where it was not taught, so no value can be compared with others."
    elif breaks.found:
        yield from found_sentences(names, breaks)
    elif breaks.met in (0, breaks.probes):
        yield _all_alike(breaks, seen)
    elif not breaks.can_tell:
        yield (
            f"Too few probes to tell where it breaks ({seen}): even if all that were not met had one value"
            " in common, it could be chance."
        )
    else:
        yield f"No one value stands out ({seen})."
        if breaks.looks and breaks.looks[0].adjusted is not None:
            yield f"The largest difference may well be chance: {look_sentence(names, breaks, breaks.looks[0])}"


def _all_alike(breaks: Breaks, seen: str) -> str:
    """Where all went one way there is nothing to hold against each other, however many there are."""
    if breaks.met:
        return f"No value stands out, since all were met ({seen}): where it breaks, if it does, was not seen."
    return f"No value stands out, since none was met ({seen}): there is nothing to compare with."


def look_sentence(names: Names, breaks: Breaks, look: Comparison) -> str:
    """`7 of 8 met at Home, 1 of 6 at School (…).`"""
    others = {k.value for k in breaks.looks if k.dimension == look.dimension} - {look.value}
    rest = _held(names, look.dimension, others.pop()) if len(others) == 1 else _elsewhere(look.dimension)
    here = _held(names, look.dimension, look.value)
    looks = sum(k.adjusted is not None for k in breaks.looks)
    over = f"over {counted(look.targets, 'target')}, " if look.targets > 1 else ""
    adjusted = Fraction(1) if look.adjusted is None else look.adjusted
    return (
        f"{look.met_without} of {look.probes_without} met {rest}, {look.met} of {look.probes} {here} ({over}exact"
        f" chance of so few {chance_words(look.p_value)}, {chance_words(adjusted)} after Holm's correction for"
        f" {counted(looks, 'look')}; called a finding up to {float(LEVEL):.2f})."
    )


def _held(names: Names, dimension: str, value: str) -> str:
    name = names.value(dimension, value)
    return f"{_PLACED[dimension]} {name}" if dimension in _PLACED else f"with {clean(dimension)} '{name}'"


def _elsewhere(dimension: str) -> str:
    where = _PLACED.get(dimension, "with")
    return f"{where} other {PLURALS.get(dimension, f'values of {clean(dimension)}')}"
