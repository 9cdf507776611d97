"""Whether another number of trials was counted than is asked for: a slip of the thumb, or a probe of another length."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from genplan.language import _, ngettext
from genplan.workflow.opened_case import Opened

if TYPE_CHECKING:
    from genplan.case import Target
    from genplan.evidence.log import Result

FEW = 3
"""Rows that are told one by one; of more there is one sentence."""


def other_trials(opened: Opened, rows: Sequence[Result]) -> tuple[str, ...]:
    """One right of one would count as four of five do, and six of seven with two taps too many: a probe of another
    length is held against the same fraction. Of a lesson only more are asked about, which are taps twice, since it may
    end sooner."""
    from genplan.text.short_checks import is_short

    found = [(row, target) for row in rows for target in [opened.case.targets[row.target]]]
    found = [(r, t) for r, t in found if is_short(t, r) or (r.trials or 0) > t.trials]
    told = tuple(_sentence(row, target) for row, target in found[:FEW])
    more = len(found) - FEW
    if more <= 0:
        return told
    return (
        *told,
        ngettext(
            "{n} more row has another number of trials than its target.",
            "{n} more rows have another number of trials than their targets.",
            more,
        ),
    )


def _sentence(row: Result, target: Target) -> str:
    trials = row.trials or 0
    said = [
        _(
            "{planned} of '{target}' were planned, and {counted} counted.",
            planned=ngettext("{n} trial", "{n} trials", target.trials),
            target=target.name,
            counted=ngettext("{n} was", "{n} were", trials),
        )
    ]
    if trials > target.trials:
        said.append(_("Was one counted twice? Written down so, all of them count."))
    if row.kind.is_test:
        said.append(
            _(
                "It is taken as a whole probe, held against {mark}: {result}.",
                mark=target.pass_mark,
                result=_("met") if row.meets(target.pass_mark) else _("not met"),
            )
        )
    return " ".join(said)
