"""Why not, and what would help most, as lines of plain text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from genplan.case import Case
from genplan.plan import LeftOut, Plan
from genplan.planning.explanation import Why
from genplan.planning.what_if import Gain, Gains
from genplan.report.names_and_words import Names, clean, day_words, long_date
from genplan.report.plain_characters import counted
from genplan.report.reasons import ReasonGroup, reason_groups, reason_read, what_read
from genplan.text.gains import easing_text, piece_text

SHOWN_AT_MOST = 12
NARROWEST = 40


def why_lines(
    case: Case,
    plan: Plan,
    why: Why,
    learners: tuple[str, ...],
    target: str | None = None,
    width: int | None = None,
) -> Iterator[str]:
    """Everything for these learners, or of one target each thing by itself. `width` is the terminal's; None: lines are
    as long as they are."""
    names = Names(case)
    yield from _folded(
        f"Why not, and what would help: the week from {day_words(plan.week.monday)} to"
        f" {long_date(plan.week.sunday)} ({plan.week}), as of {long_date(plan.now.date())}.",
        width,
    )
    if target is not None:
        yield from _section(
            f"Left out of '{names.target(target)}'", _one_by_one(case, why.left_out, target, width)
        )
    else:
        for learner in learners:
            groups = reason_groups(names, why.left_out, learner)
            yield from _section(f"Left out for {names.learner(learner)}", _groups(groups, width))
    if why.unasked:
        yield from _folded(
            f"For {counted(why.unasked, 'combination')} it was not tried what the week would lose with them; --learner"
            " or --target asks for fewer.",
            width,
        )
    yield from _section("What would help most", _gains(names, why.gains, width))


def _one_by_one(case: Case, left_out: tuple[LeftOut, ...], target: str, width: int | None) -> Iterator[str]:
    own = [item for item in left_out if item.target == target]
    for item in own:
        yield from _folded(f"- {what_read(case, item)}: {reason_read(case, item.limit)}.", width, "  ")
    if not own:
        yield "Nothing: all that is owed is in the plan."


def _groups(groups: tuple[ReasonGroup, ...], width: int | None) -> Iterator[str]:
    for group in groups:
        yield from _folded(f"- {group.reason}", width, "  ")
        for share in group.targets:
            more = f", and {share.unnamed} more" if share.unnamed else ""
            yield from _folded(
                f"  {share.target}, {share.amount}: {'; '.join(share.named)}{more}", width, "    "
            )
    if not groups:
        yield "Nothing: all that is owed is in the plan."


def _gains(names: Names, gains: Gains, width: int | None) -> Iterator[str]:
    sentences = gain_sentences(names, gains)
    for sentence in sentences[:SHOWN_AT_MOST]:
        yield from _folded(f"- {sentence}", width, "  ")
    if len(sentences) > SHOWN_AT_MOST:
        yield f"  and {len(sentences) - SHOWN_AT_MOST} more, none of which helps more than the last."
    if not sentences:
        yield "None of the changes that were tried would let the week show more."
    yield from _folded(tried_sentence(gains), width)


def gain_sentences(names: Names, gains: Gains) -> tuple[str, ...]:
    """The changes that help, the best first, then by what they are called; those of one kind that bring the same are
    told together."""
    alike: dict[tuple[object, ...], list[Gain]] = {}
    for gain in gains.found:
        alike.setdefault((gain.easing, gain.more, gain.learners), []).append(gain)
    best = sorted(
        alike.values(),
        key=lambda g: (*(-m for m in g[0].more), easing_text(names.case, g[0].easing)),
    )
    return tuple(_sentence(names, several) for several in best)


def _sentence(names: Names, alike: list[Gain]) -> str:
    gain = alike[0]
    times = " or ".join(piece_text(g.piece) for g in alike if g.piece)
    words = clean(f"{easing_text(names.case, gain.easing)} {times}".strip())
    whom = ", ".join(names.learner(i) for i in gain.learners)
    text = f"{words[:1].upper()}{words[1:]}: {_more(gain)} more for {whom}"
    less = -gain.of("new tuples")
    if less > 0:
        text += f", but {counted(less, 'new combination')} fewer"
    return text if text.endswith(".") else text + "."


def _more(gain: Gain) -> str:
    due, dated, wished, new = (gain.of(name) for name in ("due", "dated", "wished", "new tuples"))
    parts = [counted(due, "due probe")] if due > 0 else []
    if dated > 0:
        parts.append(f"{counted(dated, 'wished combination')} at the last chance")
    if new > 0:
        parts.append(counted(new, "new combination") + (f", {wished} of them wished," if wished > 0 else ""))
    elif wished > 0:
        parts.append(counted(wished, "wished combination"))
    return " and ".join(parts)


def tried_sentence(gains: Gains) -> str:
    left = gains.all_changes - gains.tried
    rest = f" {counted(left, 'part')} of them stayed untried." if left else ""
    return (
        f"{counted(gains.all_changes, 'small change')} looked at, each by planning again with everything else as it is."
        f"{rest} Whether one is right for the child is for people to say."
    )


def _section(title: str, lines: Iterator[str]) -> Iterator[str]:
    yield ""
    yield title
    yield from lines


def _folded(text: str, width: int | None, indent: str = "") -> list[str]:
    if width is None:
        return [text]
    return wrap(text, max(width, NARROWEST), subsequent_indent=indent, break_long_words=False) or [text]
