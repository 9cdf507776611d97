"""What would help most, and why not, as lines of plain text for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from itertools import chain

from genplan.case import Case
from genplan.evidence.failed_again import FailedAgain
from genplan.language import N_, _, ngettext, said
from genplan.plan import LeftOut, NoteKind, Plan
from genplan.planning.explanation import Why
from genplan.planning.what_if import Gains
from genplan.report.folded_lines import folded
from genplan.report.help_lines import anyway_sentence, helps, tried_sentence
from genplan.report.names_and_words import Names, clean, day_words, long_date
from genplan.report.reasons import ReasonGroup, causes, reason_groups, reason_read, what_read
from genplan.report.shortest import shortest_lines
from genplan.text.failed_again import failed_again_text
from genplan.text.held_back import things_held_back
from genplan.text.notes import note_text
from genplan.text.nothing_possible import nothing_possible

HELPS_AT_MOST, CAUSES_AT_MOST = 8, 12
LEARNERS_AT_MOST = 6
HELD_BACK = N_("Held back by a caution")
TAUGHT_AND_NOT_MET = N_("What was taught and not met again")
NOTHING_LEFT = N_("Nothing: all that is owed is in the plan.")
NOTHING_ELSE = N_("Nothing else: all that is owed and may be planned is in the plan.")

_folded = partial(folded, whole_words=True)


def why_lines(
    case: Case,
    plan: Plan,
    why: Why,
    learners: tuple[str, ...],
    target: str | None = None,
    width: int | None = None,
    details: bool = False,
    again: Sequence[FailedAgain] = (),
) -> Iterator[str]:
    """What would help, then what is left out and why: of several learners by cause, of one by target, of one target
    each thing by itself. `details`: everything of everybody. `width` is the terminal's; None: lines are as long as they
    are."""
    names = Names(case)
    yield from _folded(
        _(
            "Why not, and what would help: the week from {monday} to {sunday} ({week}), as of {now}.",
            monday=day_words(plan.week.monday),
            sunday=long_date(plan.week.sunday),
            week=plan.week,
            now=long_date(plan.now.date()),
        ),
        width,
    )
    for note in plan.notes:
        if note.kind.is_of_told_not_counted:
            yield from _folded(note_text(case, note), width)
    whole = details or len(learners) == 1
    if len(learners) > 1 and target is None:
        for line in shortest_lines(names, why.left_out):
            yield from _folded(line, width)
    came_before = (NoteKind.FELL_THROUGH, NoteKind.CATCH_UP)
    if before := list(_notes_of(case, plan, learners, target, *came_before)):
        yield from _section(_("What was not run before, and what can be caught up"), _listed(before, width))
    if beyond := list(_notes_of(case, plan, learners, target, NoteKind.UNPLANNED)):
        yield from _section(_("What is lacking, and no plan holds"), _listed(beyond, width))
    if again:
        told_again = [clean(failed_again_text(case, one, plan.week.monday)) for one in again]
        yield from _section(said(TAUGHT_AND_NOT_MET), _listed(told_again, width))
    if impossible := nothing_possible(case, learners, plan.week.monday, target):
        yield from _section(_("What is not possible at all"), _listed(map(clean, impossible), width))
    held = things_held_back(case, learners, plan.week.monday, target)
    if held:
        yield from _section(said(HELD_BACK), _listed(map(clean, held), width))
    nothing = said(NOTHING_ELSE if held else NOTHING_LEFT)
    told = (note_text(case, note) for note in plan.notes if note.kind is NoteKind.TEACHING_NOT_PLANNED)
    gains = _gains(names, why.gains, width, whole=whole)
    yield from _section(_("What would help most"), chain(_listed(told, width), gains))
    if target is not None:
        yield from _section(
            _("Left out of '{target}'", target=names.target(target)),
            _one_by_one(case, why.left_out, target, width, nothing),
        )
    elif whole:
        for learner in learners:
            groups = reason_groups(names, why.left_out, learner)
            yield from _section(
                _("Left out for {learner}", learner=names.learner(learner)), _groups(groups, width, nothing)
            )
    else:
        yield from _section(_("Left out, and why"), _causes(names, why.left_out, width, nothing))
    if why.unasked:
        yield from _folded(
            _(
                "For {unasked} of what is left out it was not tried what the week would lose with it; --learner or"
                " --target asks for less.",
                unasked=why.unasked,
            ),
            width,
        )


def _notes_of(
    case: Case, plan: Plan, learners: tuple[str, ...], target: str | None, *kinds: NoteKind
) -> Iterator[str]:
    """What the plan remarks, of these kinds, for those who are asked about."""
    for note in plan.notes:
        if note.kind not in kinds:
            continue
        if target in (None, note.target) and case.targets[note.target].learner in learners:
            yield clean(note_text(case, note))


def _causes(names: Names, left_out: tuple[LeftOut, ...], width: int | None, nothing: str) -> Iterator[str]:
    found = causes(names, left_out)
    for one in found[:CAUSES_AT_MOST]:
        yield from _folded(f"- {one.sentence(LEARNERS_AT_MOST)}", width, "  ")
    if len(found) > CAUSES_AT_MOST:
        yield ngettext(
            "  and {n} cause more, each of less.",
            "  and {n} causes more, each of less.",
            len(found) - CAUSES_AT_MOST,
        )
    if found:
        yield from _folded(
            _("What it is, one by one: --learner ID or --target ID, or --details for everybody."), width
        )
    else:
        yield nothing


def _one_by_one(
    case: Case, left_out: tuple[LeftOut, ...], target: str, width: int | None, nothing: str
) -> Iterator[str]:
    own = [item for item in left_out if item.target == target]
    for item in own:
        yield from _folded(f"- {what_read(case, item)}: {reason_read(case, item.limit)}.", width, "  ")
    if not own:
        yield nothing


def _groups(groups: tuple[ReasonGroup, ...], width: int | None, nothing: str) -> Iterator[str]:
    for group in groups:
        yield from _folded(f"- {group.reason}", width, "  ")
        for share in group.targets:
            more = _(", and {unnamed} more", unnamed=share.unnamed) if share.unnamed else ""
            yield from _folded(
                f"  {share.target}, {share.amount}: {'; '.join(share.named)}{more}", width, "    "
            )
    if not groups:
        yield nothing


def _gains(names: Names, gains: Gains, width: int | None, *, whole: bool) -> Iterator[str]:
    if anyway := anyway_sentence(names, gains.anyway, "'genplan replan --deeper'"):
        yield from _folded(f"- {anyway}", width, "  ")
    found = helps(names, gains)
    shown = found if whole else found[:HELPS_AT_MOST]
    for one in shown:
        yield from _folded(f"- {one.best}", width, "  ")
        for other in one.others if whole else ():
            yield from _folded(_("  or: {other}", other=other), width, "    ")
    if left := len(found) - len(shown) + (0 if whole else sum(len(one.others) for one in shown)):
        yield from _folded(
            ngettext(
                "  {n} other change would help too: --details.",
                "  {n} other changes would help too: --details.",
                left,
            ),
            width,
        )
    if not found:
        yield _("No week that shows more was found with any of the changes that were tried.")
    yield from _folded(tried_sentence(gains), width)


def _listed(sentences: Iterable[str], width: int | None) -> Iterator[str]:
    for one in sentences:
        yield from _folded(f"- {one}", width, "  ")


def _section(title: str, lines: Iterator[str]) -> Iterator[str]:
    yield ""
    yield title
    yield from lines
