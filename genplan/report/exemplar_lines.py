"""What to teach and what to leave to probes, as lines of plain text for a terminal."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date

from genplan.case import Case, Combination, Pattern, Target
from genplan.case.second_adults import teachers_beside
from genplan.case.targets import ADULT
from genplan.casefile.tree import Leaf
from genplan.casefile.yaml_writing import written
from genplan.coverage.tuples import Tuple
from genplan.language import N_, _, and_list_of, ngettext, said
from genplan.planning.spanning import Fewest, Spanning, Unspanned
from genplan.report.folded_lines import folded
from genplan.report.names_and_words import Names, clean, long_date
from genplan.text.spanning import SPAN_WORDS, lack_text

NAMED_AT_MOST = 4
FOR_PEOPLE = N_(
    "This says what to teach in, not how: that, and whether it is right for the child, is for whoever teaches."
)


def exemplar_lines(
    case: Case, on: date, found: Sequence[Spanning], tested: Collection[str], width: int | None = None
) -> Iterator[str]:
    """A block for each target, then what holds for all of them. `width` is the terminal's; None: lines are as long as
    they are, as those for the case always are."""
    names = Names(case)
    yield _("What to teach, and what to leave to probes, as of {on}", on=long_date(on))
    for one in found:
        target = case.targets[one.target]
        yield ""
        yield from _folded(_block(names, target, one), width)
        yield from _to_paste(target, one, width)
        if one.target in tested:
            looked_at = _(
                "  What was met or not met so far is not looked at here; the plan of a week does that."
            )
            yield from _folded([looked_at], width)
    yield ""
    yield from _folded([said(FOR_PEOPLE)], width)


def _block(names: Names, target: Target, found: Spanning) -> Iterator[str]:
    yield f"{clean(target.id)}: {names.learner(target.learner)}, {names.target(target.id)}"
    wanted = said(SPAN_WORDS[found.span])
    if found.taught:
        yield _(
            "  Taught already: {combinations}.",
            combinations=ngettext("{n} combination", "{n} combinations", len(found.taught)),
        )
        yield from _numbered(names, target, found.taught, gone=found.gone)
    yield f"  {_teach_sentence(found, wanted)}"
    yield from _numbered(names, target, found.teach, found.no_hours, teaching=True)
    yield from _gaps(names, _("Cannot be taught"), found.not_taught)
    yield f"  {_probe_sentence(found, wanted)}"
    yield from _numbered(names, target, found.probes, found.no_hours)
    yield from _gaps(names, _("Not shown by these probes"), found.not_probed if found.probes else ())
    if found.others:
        yield ngettext(
            "  {n} other combination is possible: to probe, or to teach if need be.",
            "  {n} other combinations are possible: to probe, or to teach if need be.",
            found.others,
        )


def _folded(lines: Iterable[str], width: int | None) -> Iterator[str]:
    """Each line in the terminal's width, what follows two columns further in."""
    for line in lines:
        indent = " " * (len(line) - len(line.lstrip()) + 2)
        yield from folded(line, width, indent, whole_words=True)


def _teach_sentence(found: Spanning, wanted: str) -> str:
    if not found.teach:
        what = (
            _("what is taught already holds all that can be") if found.taught else _("nothing can be taught")
        )
        return _("Teach nothing more: {what}.", what=what)
    all_ = _("{wanted} that can be taught", wanted=wanted) if found.not_taught else wanted
    proof, number = _proof(found.fewest, len(found.teach)), len(found.teach)
    if found.taught:
        return ngettext(
            "Teach this combination as well, which with what is above holds {all}{proof}",
            "Teach these {n} combinations as well, which with those above hold {all}{proof}",
            number,
            all=all_,
            proof=proof,
        )
    return ngettext(
        "Teach this combination, which holds {all}{proof}",
        "Teach these {n} combinations, which between them hold {all}{proof}",
        number,
        all=all_,
        proof=proof,
    )


def _probe_sentence(found: Spanning, wanted: str) -> str:
    if found.by_hand:
        return _(
            "Never teach what the case holds out: {combinations} to probe untaught.",
            combinations=ngettext("{n} combination", "{n} combinations", len(found.probes)),
        )
    if not found.probes:
        return _("Nothing is left to probe untaught: every possible combination is taught.")
    all_ = (
        _("{wanted} that can be shown so", wanted=wanted)
        if found.not_probed
        else _("{wanted} once more", wanted=wanted)
    )
    return ngettext(
        "Leave this one untaught, and probe it: it shows {all}{proof}",
        "Leave these {n} untaught, and probe them: they show {all}{proof}",
        len(found.probes),
        all=all_,
        proof=_proof(found.fewest_probes, len(found.probes)),
    )


def _proof(proven: Fewest, number: int) -> str:
    return "." if number == 1 else said(_PROOFS[proven])


_PROOFS: Mapping[Fewest, str] = {
    Fewest.IN_ALL: N_(". No fewer do: proven."),
    Fewest.WITH_A_TIME: N_(". No fewer do without more of those for which no usual week has a time: proven."),
    Fewest.NOT_PROVEN: N_(". No fewer were found; whether fewer do is not proven."),
}


def _numbered(
    names: Names,
    target: Target,
    combinations: Sequence[Combination],
    no_hours: Collection[Combination] = (),
    *,
    gone: Collection[Combination] = (),
    teaching: bool = False,
) -> Iterator[str]:
    width = len(str(len(combinations)))
    for number, combination in enumerate(combinations, 1):
        remarks = [_beside(names, target, combination)] if teaching else []
        if combination in gone:
            remarks.append(_("not possible any more"))
        if combination in no_hours:
            remarks.append(_("no usual week has a time for it"))
        line = "; ".join((names.combination(target, combination), *filter(None, remarks)))
        yield f"    {number:>{width}}. {line}"


def _beside(names: Names, target: Target, combination: Combination) -> str:
    adult = target.value(combination, ADULT)
    if names.case.adults[adult].may_teach(target.id):
        return ""
    others = [names.adult(other) for other in teachers_beside(names.case, target, combination)]
    return _(
        "{others} sits beside and teaches, {adult} may not",
        others=_(" or ").join(others),
        adult=names.adult(adult),
    )


def _gaps(names: Names, title: str, missing: Iterable[Unspanned]) -> Iterator[str]:
    """A line for each reason, with the first things it keeps out."""
    by_reason: dict[str, list[Tuple]] = {}
    for one in missing:
        by_reason.setdefault(clean(lack_text(names.case, one)), []).append(one.tuple_)
    if by_reason:
        yield f"  {title}:"
    for reason, tuples in by_reason.items():
        named = [_(" with ").join(names.value(name, value) for name, value in t) for t in tuples]
        yield f"    - {and_list_of(named, NAMED_AT_MOST)}: {reason}."


def _to_paste(target: Target, found: Spanning, width: int | None) -> Iterator[str]:
    """Lines for the case file: what is held out, if the case does not say so by itself, and what is to stand there once
    it has been taught, beside the patterns of the case. What stands under `taught` counts as taught."""
    id_ = clean(target.id)
    if found.probes and not found.by_hand:
        yield _("  To say so in the case, under '{id}':", id=id_)
        yield from _key("hold_out", _patterns(target, found.probes))
    if found.teach:
        when = (
            _("  Once this has been taught, and no sooner, add it under '{id}':", id=id_)
            if len(found.teach) == 1
            else _(
                "  Once each of these has been taught, and no sooner, add it under '{id}', and leave out the others:",
                id=id_,
            )
        )
        what = _("what stands there counts as taught, so nothing more of it would be planned or told.")
        yield from _folded([f"{when} {what}"], width)
        yield from _key("taught", [*target.taught, *_patterns(target, found.teach)])


def _patterns(target: Target, combinations: Iterable[Combination]) -> list[dict[str, str]]:
    return [dict(zip(target.dimension_names, c, strict=True)) for c in combinations]


def _key(key: str, patterns: Iterable[Pattern]) -> Iterator[str]:
    yield f"    {key}:"
    yield from (f"      - {written({n: Leaf(v, plain=False) for n, v in p.items()})}" for p in patterns)
