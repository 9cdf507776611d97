"""What a second person saw, in whole sentences: how far two counts agree, how far the steps of a probe were kept."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from genplan.coverage.review import Review
from genplan.evidence.agreement import AGREEMENT_WANTED, SHARE_WANTED, Agreement
from genplan.language import N_, _, ngettext
from genplan.language.numbers import decimals
from genplan.report.figure_words import percent
from genplan.report.names_and_words import Names

AGREEMENT_STANDARD = N_(
    "The usual standard: a second observer on at least 20 % of the probes of each condition, and at least 80 %"
    " agreement (What Works Clearinghouse, Single-case designs technical documentation, 2010; both figures as"
    " remembered or read in a summary)."
)


def agreement_sentences(found: Agreement) -> Iterator[str]:
    """The share observed and the agreement, against the usual standard."""
    if not found.probes:
        yield _("No probe was run.")
        return
    share = percent(found.share)
    if found.share < SHARE_WANTED:
        share = _(
            "{share}; {missing} more would have made {wanted}",
            share=share,
            missing=found.still_to_observe,
            wanted=percent(SHARE_WANTED),
        )
    yield _(
        "{observed} of {probes} observed by a second person ({share}).",
        observed=found.observed,
        probes=ngettext("{n} probe", "{n} probes", found.probes),
        share=share,
    )
    if found.total is None or found.lowest is None or found.highest is None:
        return
    total, wanted = percent(found.total), percent(AGREEMENT_WANTED)
    if found.total >= AGREEMENT_WANTED:
        yield _(
            "Total agreement, the smaller count over the larger, is {total} on average, at or over {wanted}.",
            total=total,
            wanted=wanted,
        )
    else:
        yield _(
            "Total agreement, the smaller count over the larger, is {total} on average, under {wanted}.",
            total=total,
            wanted=wanted,
        )
    if found.marked:
        yield _by_marks(found)
    if found.marked < found.observed:
        yield _by_totals(found.lowest, found.highest, found.observed - found.marked if found.marked else 0)


def _by_marks(found: Agreement) -> str:
    """Exact, from the marks of both."""
    assert found.trial_agreement is not None
    assert found.sign_agreement is not None
    text = _(
        "By the marks of both ({probes}, {trials}), trial by trial they agreed on {agreement}",
        probes=ngettext("{n} probe", "{n} probes", found.marked),
        trials=ngettext("{n} trial", "{n} trials", found.marked_trials),
        agreement=percent(found.trial_agreement),
    )
    if found.sign_agreement != found.trial_agreement:
        text += _(
            ", and on {agreement} with help told apart from not correct",
            agreement=percent(found.sign_agreement),
        )
    if found.kappa is None:
        return _("{text}; kappa is not defined, since both counted all alike.", text=text)
    return _("{text}; kappa {kappa}.", text=text, kappa=decimals(float(found.kappa), 2))


def _by_totals(lowest: Fraction, highest: Fraction, others: int) -> str:
    """The bounds. `others`: so many probes beside those with marks; 0: there are no marks."""
    bounds = (
        percent(lowest)
        if lowest == highest
        else _("{lowest} to {highest}", lowest=percent(lowest), highest=percent(highest))
    )
    if not others:
        return _("Single trials are not written down: trial by trial they agreed on {bounds}.", bounds=bounds)
    return ngettext(
        "Of {n} probe only totals are written down: over all observed trials they agreed on {bounds}.",
        "Of {n} probes only totals are written down: over all observed trials they agreed on {bounds}.",
        others,
        bounds=bounds,
    )


def procedure_sentences(names: Names, review: Review) -> Iterator[str]:
    """How far each adult kept to the steps of a probe, beside what the adult is briefed on; nothing where no skill has
    steps and none were marked."""
    skills = [t.target for t in review.targets]
    if not review.procedure and any(t.steps for t in skills):
        yield _("Nobody has marked yet whether the steps of a probe were kept.")
    for one in review.procedure:
        briefed = names.case.adults[one.adult].briefed_on
        known = len(skills) if briefed is None else sum(t.id in briefed for t in skills)
        on = (
            _("every target here")
            if known == len(skills)
            else _(
                "{known} of {skills} here",
                known=known,
                skills=ngettext("{n} target", "{n} targets", len(skills)),
            )
        )
        yield (
            _(
                "{adult}: {kept} of {steps} kept ({share}), as"
                " marked in {observed} of {probes}; briefed on {on}.",
                adult=names.adult(one.adult),
                kept=one.kept,
                steps=ngettext("{n} step", "{n} steps", one.marked),
                share=percent(one.share),
                observed=one.observed,
                probes=ngettext("{n} probe", "{n} probes", one.probes),
                on=on,
            )
        )
