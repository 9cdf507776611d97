"""Amounts that the limits of people speak of: so many sittings, probes or minutes."""

from __future__ import annotations

from genplan.language import _, ngettext
from genplan.rules.amounts import Amount, Span, Unit


def amount_text(unit: Unit, n: int) -> str:
    """`3 probes`."""
    match unit:
        case Unit.SITTINGS:
            return ngettext("{n} sitting", "{n} sittings", n)
        case Unit.PROBES:
            return ngettext("{n} probe", "{n} probes", n)
        case Unit.TEACHINGS:
            return ngettext("{n} teaching", "{n} teachings", n)
        case Unit.RETESTS:
            return ngettext("{n} retest", "{n} retests", n)
        case Unit.MINUTES:
            return ngettext("{n} minute", "{n} minutes", n)


def span_text(span: Span) -> str:
    """`a day`."""
    return {Span.SITTING: _("in a sitting"), Span.DAY: _("a day"), Span.WEEK: _("a week")}[span]


def used_up_text(who: str, amount: Amount) -> str:
    """That somebody has all that a limit allows."""
    span = _("a sitting") if amount.span is Span.SITTING else span_text(amount.span)
    return _(
        "{who} has all the {things} {span} that the limits allow",
        who=who,
        things=_things(amount.unit),
        span=span,
    )


def _things(unit: Unit) -> str:
    return {
        Unit.SITTINGS: _("sittings"),
        Unit.PROBES: _("probes"),
        Unit.TEACHINGS: _("teachings"),
        Unit.RETESTS: _("retests"),
        Unit.MINUTES: _("minutes"),
    }[unit]
