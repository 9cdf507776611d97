"""What became of the wishes of whoever plans the weeks, in words."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from genplan.case import Case
from genplan.case.sitting_ids import SittingId, mark_of
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.case.wishes_of_planners import PlannersWish, WishKind, sitting_id
from genplan.language import _, and_list, ngettext
from genplan.language.dates import day_name
from genplan.language.sentences import capital
from genplan.plan import Unkept, WishAnswer
from genplan.text.limits import limit_sentence
from genplan.text.target_names import target_named


def wish_text(case: Case, wish: PlannersWish) -> str:
    """What is wished, without a full stop."""
    match wish.kind:
        case WishKind.HOLD:
            return _("{sitting} stays as it is", sitting=_sitting(case, wish))
        case WishKind.NOT:
            return _("call off {sitting}", sitting=_sitting(case, wish))
        case WishKind.MOVE:
            where = f", {case.called(LOCATION, wish.location)}" if wish.location else ""
            sitting, moment = _sitting(case, wish), _moment(wish.start)
            if wish.adult:
                return _(
                    "{sitting} moves to {moment} with {adult}{where}",
                    sitting=sitting,
                    moment=moment,
                    adult=case.called(ADULT, wish.adult),
                    where=where,
                )
            return _("{sitting} moves to {moment}{where}", sitting=sitting, moment=moment, where=where)
        case WishKind.RATHER:
            adult = case.called(ADULT, wish.adult)
            whose = case.adults[wish.adult]
            # of none each child of that adult, until the line is read
            meant = [
                x.alias for i, x in case.learners.items() if wish.learner in ("", i) and whose.works_with(i)
            ]
            child = and_list(meant or [case.learners[wish.learner].alias])
            return _(
                "rather {child} with {adult}, {stretch}", child=child, adult=adult, stretch=_stretch(wish)
            )
        case WishKind.ADD:
            child, adult = case.learners[wish.learner].alias, case.called(ADULT, wish.adult)
            where = f"{case.called(LOCATION, wish.location)}, {_moment(wish.start)}"
            return _(
                "{child} with {adult}, {where} ({name}: {used})",
                child=child,
                adult=adult,
                where=where,
                name=case.targets[wish.target].name,
                used=_used(case, wish),
            )
    when = f" ({_stretch(wish)})" if wish.start else ""
    one, other = (_thing(case, text) for text in wish.two)
    if one == other:
        return _("{first} once a day at the most{when}", first=one, when=when)
    return _("{first} and {other} not on one day{when}", first=one, other=other, when=when)


def _used(case: Case, wish: PlannersWish) -> str:
    """The material set, and what of the extra dimensions."""
    values = dict(wish.values)
    named = case.called(MATERIAL_SET, values.pop(MATERIAL_SET))
    return "; ".join((named, *(f"{name}: {value}" for name, value in values.items())))


def answer_text(case: Case, answer: WishAnswer) -> str:
    """The wish, and whether it is kept or what stands in the way: one sentence."""
    wish = wish_text(case, answer.wish)
    said = capital(wish)
    if not answer.kept:
        return _("{said}: not kept, since {reason}.", said=said, reason=reason_text(case, answer))
    if answer.broken_on:
        days = and_list([day_name(day.weekday()) for day in answer.broken_on])
        return _(
            "{said}: kept on the days that are left; on {days} it was broken already.", said=said, days=days
        )
    if answer.stay:
        return ngettext(
            "{said}: kept. What people were told of stays beside it: {sittings}."
            " To have it go, wish that too ('not').",
            "{said}: kept. What people were told of stays beside it: {sittings}."
            " To have them go, wish that too ('not').",
            len(answer.stay),
            said=said,
            sittings=and_list([_told_sitting(case, id_) for id_ in answer.stay]),
        )
    return _("{said}: kept.", said=said)


def reason_text(case: Case, answer: WishAnswer) -> str:
    """Why a wish is not kept, without a full stop."""
    match answer.why:
        case Unkept.UNKNOWN:
            sitting, at = answer.wish.sitting, answer.wish.at
            what = (
                _("people were told of no sitting {sitting} at {at:%H:%M}", sitting=sitting, at=at)
                if at
                else _("people were told of no sitting {sitting}", sitting=sitting)
            )
            return f"{what} ({_small(answer.nearest)})" if answer.nearest else what
        case Unkept.BEGUN:
            return _("the sitting has begun")
        case Unkept.WISHES:
            return _against(case, answer)
        case Unkept.RULES:
            return "; ".join(
                limit_sentence(case, limit, target=answer.wish.target) for limit in answer.limits
            )
    if answer.proven:
        return _(
            "no week in which the other wishes are kept holds it too, or it would cost another such wish"
        )
    return _("no week with it was found")


def _against(case: Case, answer: WishAnswer) -> str:
    others = _(" and beside ").join(f"'{wish_text(case, w)}'" for w in answer.against)
    why = "; ".join(limit_sentence(case, limit, target=answer.wish.target) for limit in answer.limits)
    which = (
        _("it cannot be kept beside {others}", others=others)
        if others
        else _("it cannot be kept beside all the wishes that are")
    )
    sure = (
        ""
        if answer.proven
        else _(" (whether more could be kept in another way was not looked at to the end)")
    )
    return f"{which}{sure}{': ' if why else ''}{why}"


def _sitting(case: Case, wish: PlannersWish) -> str:
    named = SittingId.parse(wish.sitting)
    when = _(" at {at:%H:%M}", at=wish.at) if wish.at else (_(" (the other one)") if named.letter else "")
    return _(
        "{meeting} on {day}{when}", meeting=_meeting(case, named), day=day_name(named.weekday), when=when
    )


def _told_sitting(case: Case, id_: str) -> str:
    named = SittingId.parse(id_)
    return _("{meeting} on {day}", meeting=_meeting(case, named), day=day_name(named.weekday))


def _meeting(case: Case, named: SittingId) -> str:
    children = _(" or ").join(x.alias for i, x in case.learners.items() if mark_of(i) == named.mark) or "?"
    return _("{children} with {adult}", children=children, adult=case.called(ADULT, named.adult))


def _thing(case: Case, text: str) -> str:
    named = sitting_id(text)
    return target_named(case, text) if named is None else _meeting(case, named)


def _moment(moment: datetime | None) -> str:
    if moment is None:
        return ""
    return f"{day_name(moment.weekday())} {moment:%H:%M}"


def _stretch(wish: PlannersWish) -> str:
    """Whole days without their hours."""
    assert wish.start is not None
    assert wish.end is not None
    if wish.start.time() != time() or wish.end.time() != time():
        return _("{start} to {end}", start=_moment(wish.start), end=_moment(wish.end))
    first, last = (day_name(day.weekday()) for day in (wish.start, wish.end - timedelta(days=1)))
    return (
        _("on {first}", first=first)
        if wish.end - wish.start == timedelta(days=1)
        else _("from {first} to {last}", first=first, last=last)
    )


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]
