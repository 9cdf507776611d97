"""What somebody is asked of rows of which another speaks already: in its place, perhaps once more, or otherwise."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from genplan.language import _

if TYPE_CHECKING:
    from genplan.case import Case
    from genplan.evidence.log import Log, Result


def in_the_place_of(case: Case, log: Log, rows: Sequence[Result]) -> tuple[str, ...]:
    """A sentence for each row that would count no more if these were added, and what to do if it is to count."""
    from genplan.evidence.append_rows import two_of_a_day
    from genplan.evidence.row_identity import in_names, replaced

    added = {row.line for row in rows}
    sentences, hints = [], {}
    for pair in replaced(log, rows):
        old = _("Another new row") if pair.old.line in added else _("Line {line}", line=pair.old.line)
        what, hint = _("probe") if pair.old.kind.is_probe else _("teaching"), two_of_a_day(pair.old)
        hints[f"{hint[0].upper()}{hint[1:]}."] = True
        sentences.append(
            _(
                "{old} speaks of the same {what}: {row}. If it is added, both rows stay, and the new one counts: "
                "{new_row}.",
                old=old,
                what=what,
                row=in_names(case, pair.old),
                new_row=in_names(case, pair.new),
            )
        )
    return (*sentences, *hints)


def there_but_for_the_time(case: Case, log: Log, rows: Sequence[Result]) -> tuple[str, ...]:
    from genplan.evidence.row_identity import in_names, is_same_but_for_the_time

    days = {row.date for row in rows}
    there = [row for row in log.results if row.date in days]
    found = ((row, next((r for r in there if is_same_but_for_the_time(r, row)), None)) for row in rows)
    return tuple(
        _(
            "Line {line} may be the same, for only one of the two has a time: {row}. If it is added, both count. If it "
            "was another one of that day, give each of the two its time.",
            line=old.line,
            row=in_names(case, old),
        )
        for _row, old in found
        if old
    )


def denied(case: Case, log: Log, new: Sequence[Result]) -> tuple[str, ...]:
    """A sentence for each row that says that something was run, or not, of which one that is there says the opposite,
    and will go on to count."""
    from genplan.evidence.row_identity import denies, in_names, replaced

    gone = {pair.old.line for pair in replaced(log, new)}
    there = [r for r in log.results if r.line not in gone]
    found = {r.line: r for row in new for r in there if r.date == row.date and denies(r, row)}
    return tuple(
        _(
            "Line {line} says otherwise of the same time: {row}. If this is added, both stay. If that row is not so, "
            "take it back.",
            line=line,
            row=in_names(case, row),
        )
        for line, row in sorted(found.items())
    )
