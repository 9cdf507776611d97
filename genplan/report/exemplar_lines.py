"""What to teach and what to leave to probes, as lines of plain text for a terminal."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date
from textwrap import wrap

from genplan.case import Case, Combination, Pattern, Target
from genplan.case.second_adults import teachers_beside
from genplan.case.targets import ADULT
from genplan.casefile.tree import Leaf
from genplan.casefile.yaml_writing import written
from genplan.coverage.tuples import Tuple
from genplan.planning.spanning import Spanning, Unspanned
from genplan.report.names_and_words import Names, clean, long_date
from genplan.report.plain_characters import counted, listed
from genplan.text.spanning import SPAN_WORDS, lack_text

NAMED_AT_MOST, NARROWEST = 4, 40
FOR_PEOPLE = "This says what to teach in, not how: that, and whether it is right for the child, is for whoever teaches."


def exemplar_lines(
    case: Case, on: date, found: Sequence[Spanning], tested: Collection[str], width: int | None = None
) -> Iterator[str]:
    """A block for each target, then what holds for all of them. `width` is the terminal's; None: lines are as long as
    they are, as those for the case always are."""
    names = Names(case)
    yield f"What to teach, and what to leave to probes, as of {long_date(on)}"
    for one in found:
        target = case.targets[one.target]
        yield ""
        yield from _folded(_block(names, target, one), width)
        yield from _to_paste(target, one, width)
        if one.target in tested:
            looked_at = (
                "  What was met or not met so far is not looked at here; the plan of a week does that."
            )
            yield from _folded([looked_at], width)
    yield ""
    yield from _folded([FOR_PEOPLE], width)


def _block(names: Names, target: Target, found: Spanning) -> Iterator[str]:
    yield f"{clean(target.id)}: {names.learner(target.learner)}, {names.target(target.id)}"
    wanted = SPAN_WORDS[found.span]
    if found.taught:
        yield f"  Taught already: {counted(len(found.taught), 'combination')}."
        yield from _numbered(names, target, found.taught)
    yield f"  {_teach_sentence(found, wanted)}"
    yield from _numbered(names, target, found.teach, found.no_hours, teaching=True)
    yield from _gaps(names, "Cannot be taught", found.not_taught)
    yield f"  {_probe_sentence(found, wanted)}"
    yield from _numbered(names, target, found.probes, found.no_hours)
    yield from _gaps(names, "Not shown by these probes", found.not_probed if found.probes else ())
    if found.others:
        are = "is" if found.others == 1 else "are"
        yield f"  {counted(found.others, 'other combination')} {are} possible: to probe, or to teach if need be."


def _folded(lines: Iterable[str], width: int | None) -> Iterator[str]:
    """Each line in the terminal's width, what follows two columns further in."""
    for line in lines:
        start = " " * (len(line) - len(line.lstrip()))
        yield from (
            [line]
            if width is None
            else wrap(
                line.lstrip(),
                max(width, NARROWEST),
                initial_indent=start,
                subsequent_indent=start + "  ",
                break_long_words=False,
            )
        )


def _teach_sentence(found: Spanning, wanted: str) -> str:
    if not found.teach:
        what = "what is taught already holds all that can be" if found.taught else "nothing can be taught"
        return f"Teach nothing more: {what}."
    these = "this combination" if len(found.teach) == 1 else f"these {len(found.teach)} combinations"
    beside = " as well, which with those above hold " if found.taught else ", which between them hold "
    all_ = f"{wanted} that can be taught" if found.not_taught else wanted
    return f"Teach {these}{beside}{all_}{_proof(found.fewest, len(found.teach))}"


def _probe_sentence(found: Spanning, wanted: str) -> str:
    if found.by_hand:
        return f"Never teach what the case holds out: {counted(len(found.probes), 'combination')} to probe untaught."
    if not found.probes:
        return "Nothing is left to probe untaught: every possible combination is taught."
    these = "this one" if len(found.probes) == 1 else f"these {len(found.probes)}"
    all_ = f"{wanted} that can be shown so" if found.not_probed else f"{wanted} once more"
    return f"Leave {these} untaught, and probe them: they show {all_}{_proof(found.fewest_probes, len(found.probes))}"


def _proof(proven: bool, number: int) -> str:
    if number == 1:
        return "."
    return ". No fewer do: proven." if proven else ". No fewer were found; whether fewer do is not proven."


def _numbered(
    names: Names,
    target: Target,
    combinations: Sequence[Combination],
    no_hours: Collection[Combination] = (),
    *,
    teaching: bool = False,
) -> Iterator[str]:
    width = len(str(len(combinations)))
    for number, combination in enumerate(combinations, 1):
        remarks = [_beside(names, target, combination)] if teaching else []
        if combination in no_hours:
            remarks.append("no usual week has a time for it")
        said = "; ".join((names.combination(target, combination), *filter(None, remarks)))
        yield f"    {number:>{width}}. {said}"


def _beside(names: Names, target: Target, combination: Combination) -> str:
    adult = target.value(combination, ADULT)
    if names.case.adults[adult].may_teach(target.id):
        return ""
    others = [names.adult(other) for other in teachers_beside(names.case, target, combination)]
    return f"{' or '.join(others)} sits beside and teaches, {names.adult(adult)} may not"


def _gaps(names: Names, title: str, missing: Iterable[Unspanned]) -> Iterator[str]:
    """A line for each reason, with the first things it keeps out."""
    by_reason: dict[str, list[Tuple]] = {}
    for one in missing:
        by_reason.setdefault(clean(lack_text(names.case, one)), []).append(one.tuple_)
    if by_reason:
        yield f"  {title}:"
    for reason, tuples in by_reason.items():
        said = [" with ".join(names.value(name, value) for name, value in t) for t in tuples]
        yield f"    - {listed(said, NAMED_AT_MOST)}: {reason}."


def _to_paste(target: Target, found: Spanning, width: int | None) -> Iterator[str]:
    """Lines for the case file: what is held out, if the case does not say so by itself, and what is to stand there once
    it has been taught, beside the patterns of the case. What stands under `taught` counts as taught."""
    id_ = clean(target.id)
    if found.probes and not found.by_hand:
        yield f"  To say so in the case, under '{id_}':"
        yield from _key("hold_out", _patterns(target, found.probes))
    if found.teach:
        each, others = (
            ("this", "") if len(found.teach) == 1 else ("each of these", ", and leave out the others")
        )
        when = f"  Once {each} has been taught, and no sooner, add it under '{id_}'{others}:"
        what = "what stands there counts as taught, so nothing more of it would be planned or told."
        yield from _folded([f"{when} {what}"], width)
        yield from _key("taught", [*target.taught, *_patterns(target, found.teach)])


def _patterns(target: Target, combinations: Iterable[Combination]) -> list[dict[str, str]]:
    return [dict(zip(target.dimension_names, c, strict=True)) for c in combinations]


def _key(key: str, patterns: Iterable[Pattern]) -> Iterator[str]:
    yield f"    {key}:"
    yield from (f"      - {written({n: Leaf(v, plain=False) for n, v in p.items()})}" for p in patterns)
