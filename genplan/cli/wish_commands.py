"""Wishes of whoever plans the weeks, as typed."""

from __future__ import annotations

from argparse import ArgumentTypeError, Namespace
from collections.abc import Mapping
from datetime import datetime, timedelta

from genplan.case.targets import MATERIAL_SET
from genplan.case.wishes_of_planners import PlannersWish, WishKind
from genplan.cli import argument_types, output
from genplan.cli.as_typed import command_of
from genplan.errors import UsageError
from genplan.language import _

ADDED = ("learner", "adult", "location", "start", "target", MATERIAL_SET)
ALLOWED: Mapping[WishKind, tuple[str, ...]] = {
    WishKind.HOLD: (),
    WishKind.NOT: (),
    WishKind.MOVE: ("end", "adult", "location"),
    WishKind.RATHER: ("start", "end", "learner"),
    WishKind.APART: ("start", "end"),
    WishKind.ADD: (),
}
"""What may be typed beside each kind."""
TYPED = {
    "start": "--from",
    "end": "--to",
    "learner": "--learner",
    "adult": "--adult",
    "location": "--location",
}


def wish_of(words: Namespace) -> PlannersWish | None:
    """The wish that was typed, or None for a fact. Raises UsageError for one that lacks something."""
    given = {
        WishKind.HOLD: words.hold,
        WishKind.NOT: words.not_,
        WishKind.MOVE: words.move,
        WishKind.RATHER: words.rather,
        WishKind.APART: words.apart,
        WishKind.ADD: words.add,
    }
    kind = next((k for k, value in given.items() if value is not None), None)
    allowed = ALLOWED[kind] if kind else ("start", "end")
    for key, option in TYPED.items():
        if getattr(words, key) and key not in allowed:
            beside = f"--{kind}" if kind else _("this")
            raise UsageError(
                _("{option} says nothing beside {beside}. Leave it out.", option=option, beside=beside)
            )
    if words.take_back and kind is None:
        raise UsageError(_("--take-back is for wishes. Take a fact out of changes.yaml in a text editor."))
    return _wish(kind, words) if kind else None


def _wish(kind: WishKind, words: Namespace) -> PlannersWish:
    start, end, note = words.start, words.end, words.note
    match kind:
        case WishKind.HOLD:
            return PlannersWish(kind=kind, sitting=words.hold, note=note)
        case WishKind.NOT:
            return PlannersWish(kind=kind, sitting=words.not_, note=note)
        case WishKind.MOVE:
            if end is None and not words.take_back:
                raise UsageError(
                    _("When is it to begin? Add --to with a date and a time, such as --to 2026-12-03T16:00.")
                )
            return PlannersWish(
                kind=kind,
                sitting=words.move,
                start=end,
                adult=words.adult,
                location=words.location,
                note=note,
            )
        case WishKind.RATHER:
            if start is None and not words.take_back:
                raise UsageError(_("From when on? Add --from, and --to for more than that day."))
            span = _span(start, end)
            return PlannersWish(
                kind=kind, adult=words.rather, learner=words.learner, start=span[0], end=span[1], note=note
            )
        case WishKind.APART:
            span = _span(start, end)
            return PlannersWish(
                kind=kind, two=tuple(sorted(words.apart)), start=span[0], end=span[1], note=note
            )
    return _added(argument_types.each_once(words.add, _two_of_a_sitting), note, partly=words.take_back)


def _two_of_a_sitting(key: str) -> str:
    return _("--add gives two values for '{key}'; a sitting has one.", key=key)


def _span(start: datetime | None, end: datetime | None) -> tuple[datetime | None, datetime | None]:
    if start is None:
        return None, None
    return start, end or datetime.combine(start.date(), datetime.min.time()) + timedelta(days=1)


def _added(given: Mapping[str, str], note: str, *, partly: bool) -> PlannersWish:
    missing = [key for key in ADDED if key not in given]
    if missing and not partly:
        raise UsageError(
            _(
                "A sitting of your own needs {missing} too, such as '{first}=…'.",
                missing=", ".join(missing),
                first=missing[0],
            )
        )
    try:
        start = argument_types.moment(given["start"]) if "start" in given else None
    except ArgumentTypeError as error:
        raise UsageError(_("Argument --add: {error}.", error=error)) from None
    values = {k: v for k, v in given.items() if k not in ADDED[:5]}
    learner, adult, location, target = (given.get(k, "") for k in ("learner", "adult", "location", "target"))
    return PlannersWish(
        kind=WishKind.ADD,
        learner=learner,
        adult=adult,
        location=location,
        start=start,
        target=target,
        values=tuple(sorted(values.items())),
        note=note,
    )


def tell(words: Namespace, wanted: PlannersWish) -> int:
    from genplan import workflow
    from genplan.text.wishes import answer_text

    if words.tried:
        if words.take_back:
            raise UsageError(_("--try says nothing beside --take-back. Leave one of them out."))
        tried = workflow.try_wish(words.folder, wanted, words.now)
        output.show(tried.said)
        refused = tried.answer is not None and not tried.answer.kept
        if not refused and _show_price(words, wanted):
            return 0
        output.show(
            answer_text(tried.case, tried.answer)
            if tried.answer
            else _(
                "Whether it is kept only a plan tells. Write it down: 'genplan replan' without --keep tells what it"
                " does, and --take-back takes it out again."
            )
        )
        return 0
    if words.take_back:
        output.show(workflow.take_back(words.folder, wanted, words.now))
    else:
        done = workflow.wish(words.folder, wanted, words.now)
        output.show(done.said)
        if done.unknown:
            output.tell(done.unknown)
        if done.answer and not done.answer.kept:
            output.show(
                _("As it is, the plan cannot keep it. {why}", why=answer_text(done.case, done.answer))
            )
        elif done.answer and done.answer.broken_on:
            output.show(answer_text(done.case, done.answer))
    output.show(
        _(
            "For a week that people were told of, next: {command}",
            command=command_of("replan", words.folder),
        )
    )
    return 0


def _show_price(words: Namespace, wanted: PlannersWish) -> bool:
    """What becomes of the wish in the kept weeks, and what it costs there; whether there is any such week. What one
    week cannot keep of a wish for longer the weeks after it may, so that is no answer."""
    from genplan import workflow

    priced = workflow.price_of_wish(words.folder, wanted, words.now, output.progress)
    told = [one for one in priced if not one.is_open]
    for one in told:
        for line in one.lines():
            output.show(line)
    return bool(told)
