"""Wishes in `changes`: which keys each kind has, what is wrong with one, and the values."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from genplan.case.sitting_ids import SittingId, mark_of
from genplan.case.targets import MATERIAL_SET
from genplan.case.week import Week
from genplan.case.wishes_of_planners import PlannersWish, WishKind, in_order, sitting_id
from genplan.casefile.diagnostics import Diagnostics, InvalidValue, Path
from genplan.casefile.domain_types import one_of
from genplan.casefile.near_ids import MOST_NAMED, ids_called, which_of
from genplan.casefile.scalar_types import FieldType, parsed, scalar, shown, texts
from genplan.casefile.tree import Leaf
from genplan.findings import nearest
from genplan.language import N_, _, and_list, or_list, pgettext, said

WISHES = tuple(WishKind)
BESIDE: Mapping[WishKind, tuple[str, ...]] = {
    WishKind.HOLD: ("at",),
    WishKind.MOVE: ("to", "at", "adult", "location"),
    WishKind.ADD: (),
    WishKind.NOT: ("at",),
    WishKind.APART: ("from", "to"),
    WishKind.RATHER: ("from", "to", "learner"),
}
"""What may stand beside each kind of wish, and beside a note."""
A_SITTING = N_("the id of a sitting, such as 2026-W49-tue-mum-3fa")
TWO = N_("two ids of sittings or targets, such as [2026-W49-tue-mum-3fa, zips-jacket]")
WHERE_IDS_STAND = N_(
    "copy it from the page, a calendar or plan.csv: the week, the day, the adult and three "
    "signs for the child, with a letter behind them for a second sitting of that day"
)
A_TIME_OF_A_DAY = N_("a date with a time, such as 2026-12-01 16:00")


@dataclass(frozen=True)
class Known:
    """What a wish may name: `ids` by section, `adults` and `targets` as they were written."""

    ids: Mapping[str, Collection[str]]
    adults: Mapping[str, Mapping[str, Any]]
    targets: Mapping[str, Mapping[str, Any]]

    def learners_of(self, adult: str) -> tuple[str, ...]:
        with_whom = self.adults.get(adult, {}).get("learners")
        return tuple(i for i in sorted(self.ids["learners"]) if with_whom is None or i in with_whom)


def a_sitting() -> FieldType:
    def parse(leaf: Leaf) -> str:
        if sitting_id(leaf.text) is None:
            raise InvalidValue(shown(leaf), "", said(WHERE_IDS_STAND))
        return leaf.text

    return scalar(A_SITTING, parse, texts("[0-9]{4}-W[0-9]{2}-[a-z]{3}-[a-z0-9-]+"))


def a_time_of_a_day(moment: Callable[[str], datetime]) -> FieldType:
    """A moment that a sitting can begin at: with its time."""

    def parse(text: str) -> datetime:
        if ":" not in text:
            raise InvalidValue(f"'{text.strip()}'", said(A_TIME_OF_A_DAY), _("add the time behind the day"))
        return moment(text)

    return parsed(A_TIME_OF_A_DAY, parse, "[0-9]{4}-[0-9]{2}-[0-9]{2}[ T]+[0-9]{1,2}:[0-9]{2}")


def an_id_of_either() -> FieldType:
    def parse(leaf: Leaf) -> str:
        return leaf.text  # whether it is one is told with the ids of the case

    return scalar(N_("the id of a sitting or a target"), parse, texts())


def check_wish(wish: Mapping[str, Any], kind: WishKind, path: Path, known: Known, notes: Diagnostics) -> None:
    """Whether what a wish names is there, and is said as far as it has to be."""
    for key in sorted(wish.keys() - {kind.value, "note", *BESIDE[kind]}):
        beside = ", ".join((kind.value, *BESIDE[kind], "note"))
        notes.error(
            (*path, key),
            _("'{key}' in a change with '{kind}'", key=key, kind=kind),
            _("no more than {beside}", beside=beside),
            _("take it out"),
        )
    checks = {
        WishKind.HOLD: _of_a_sitting,
        WishKind.NOT: _of_a_sitting,
        WishKind.MOVE: _move,
        WishKind.RATHER: _rather,
        WishKind.ADD: _add,
        WishKind.APART: _apart,
    }
    for at, found, expected, hint in checks[kind](wish, kind, known):
        if at[0] in wish or (*path, at[0]) not in notes.marks:  # else it was told why it cannot be read
            notes.error((*path, *at), found, expected, hint)


Problem = tuple[tuple[str, ...], str, str, str]
"""The keys from the wish to what is wrong, what was found, what was expected, what to do."""


def _of_a_sitting(wish: Mapping[str, Any], kind: str, known: Known) -> Iterator[Problem]:
    yield from _named(wish[kind], (kind,), known)


def _named(text: str, at: tuple[str, ...], known: Known) -> Iterator[Problem]:
    """What of a sitting's id the case does not have."""
    named = sitting_id(text)
    assert named is not None
    if named.adult not in known.ids["adults"]:
        found = _("'{text}', a sitting with the unknown adult '{adult}'", text=text, adult=named.adult)
        yield (
            at,
            found,
            _("an adult of this case"),
            nearest(named.adult, known.ids["adults"]) or said(WHERE_IDS_STAND),
        )
    elif not learners_marked(named, known.ids["learners"]):
        learners = known.learners_of(named.adult)
        ids = or_list([_("{id} of {learner}", id=_like(named, i), learner=i) for i in learners[:3]])
        yield (
            at,
            _("'{text}', whose '{mark}' is the sign of no learner", text=text, mark=named.mark),
            _("an id such as {ids}", ids=ids) if ids else said(A_SITTING),
            said(WHERE_IDS_STAND),
        )


def _like(named: SittingId, learner: str) -> str:
    return named.stem.removesuffix(named.mark) + mark_of(learner)


def learners_marked(named: SittingId, learners: Iterable[str]) -> list[str]:
    """The learners whose sign is in the id; nearly always one."""
    return [i for i in sorted(learners) if mark_of(i) == named.mark]


def _move(wish: Mapping[str, Any], kind: str, known: Known) -> Iterator[Problem]:
    yield from _named(wish["move"], ("move",), known)
    for key, section in (("adult", "adults"), ("location", "locations")):
        if key in wish:
            yield from _id(wish[key], (key,), section, known)
    named = sitting_id(wish["move"])
    assert named is not None
    if "to" not in wish:
        yield ("to",), _("no 'to'"), said(A_TIME_OF_A_DAY), _("say when it is to begin")
    elif wish["to"] == datetime.combine(wish["to"].date(), datetime.min.time()):
        yield ("to",), _("a day without a time"), said(A_TIME_OF_A_DAY), _("add the time behind the day")
    elif Week.of(wish["to"].date()) != named.week:
        yield (
            ("to",),
            _("{day:%Y-%m-%d}, in another week", day=wish["to"]),
            _("a day of {week}", week=named.week),
            _("for another week take the sitting out with 'not', and put one in there with 'add'"),
        )


def _rather(wish: Mapping[str, Any], kind: str, known: Known) -> Iterator[Problem]:
    yield from _id(wish["rather"], ("rather",), "adults", known)
    yield from _stretch(wish, required=True)
    learners = known.learners_of(wish["rather"])
    if "learner" in wish:
        yield from _id(wish["learner"], ("learner",), "learners", known)
        if wish["learner"] in known.ids["learners"] and wish["learner"] not in learners:
            found = _(
                "'{learner}', with whom {adult} does not work", learner=wish["learner"], adult=wish["rather"]
            )
            yield ("learner",), found, _("a learner of that adult"), _("name another, or another adult")


def _add(wish: Mapping[str, Any], kind: str, known: Known) -> Iterator[Problem]:
    add = wish["add"]
    for key, section in (
        ("learner", "learners"),
        ("adult", "adults"),
        ("location", "locations"),
        ("material_set", "material_sets"),
        ("target", "targets"),
    ):
        if key in add:
            yield from _id(add[key], ("add", key), section, known)
    target = known.targets.get(add.get("target", ""), {})
    if (
        add.get("learner") in known.ids["learners"]
        and target.get("learner", add["learner"]) != add["learner"]
    ):
        found = _("'{target}', a target of {learner}", target=add["target"], learner=target["learner"])
        yield (
            ("add", "target"),
            found,
            _("a target of {learner}", learner=add["learner"]),
            _("name another target, or its learner"),
        )
    for name, value in add.get("values", {}).items():
        varied = target.get("also_vary", {})
        if name not in varied:
            hint = nearest(name, varied) or _("take it out")
            yield (
                ("add", "values", name),
                _("'{name}', which the target does not vary", name=name),
                _("a name in 'also_vary'"),
                hint,
            )
        elif value not in varied[name]:
            hint = nearest(value, varied[name])
            yield (
                ("add", "values", name),
                f"'{value}'",
                _("one of {values}", values=", ".join(varied[name])),
                hint,
            )


def _apart(wish: Mapping[str, Any], kind: str, known: Known) -> Iterator[Problem]:
    two = wish["apart"]
    if len(two) != 2 or two[0] == two[1]:
        few = {0: _("nothing"), 1: _("one alone"), 2: _("the same twice")}
        found = few.get(len(two), _("{number} of them", number=len(two)))
        yield ("apart",), found, said(TWO), _("write one pair a change")
        return
    several = _targets_of_one_child(two, known)
    for number, text in enumerate(two, 1):
        if sitting_id(text):
            yield from _named(text, ("apart", str(number)), known)
        elif text not in known.ids["targets"]:
            hint = several or _near_target(text, known) or said(WHERE_IDS_STAND)
            yield (
                ("apart", str(number)),
                f"'{text}'",
                _("the id of a sitting, such as 2026-W49-tue-mum-3fa, or of a target"),
                hint,
            )
            if several:
                break  # the hint is for both
    weeks = {str(s.week) for text in two if (s := sitting_id(text))}
    if len(weeks) > 1:
        yield (
            ("apart",),
            _("sittings of {weeks}", weeks=and_list(sorted(weeks))),
            _("two of one week"),
            _("they are apart already"),
        )
    yield from _stretch(wish, required=False)


def _near_target(text: str, known: Known) -> str:
    called = ids_called(text, _names_of_targets(known))
    if len(called) > 1:
        return which_of(called, {i: known.targets[i].get("learner", "") for i in called})
    return nearest(text, known.ids["targets"])


def _names_of_targets(known: Known) -> dict[str, str]:
    return {i: str(t.get("name", i)) for i, t in known.targets.items()}


def _targets_of_one_child(two: Sequence[str], known: Known) -> str:
    """A hint that names both targets for each child that has both, where a text is the name of a skill."""
    names = _names_of_targets(known)
    by_child: list[dict[str, str]] = []
    for text in two:
        ids = [text] if text in names else ids_called(text, names)
        by_child.append({known.targets[i].get("learner", ""): i for i in reversed(ids)})
    pairs = [
        _("[{first}, {second}] for {child}", first=by_child[0][c], second=by_child[1][c], child=c)
        for c in sorted(set.intersection(*map(set, by_child)))
    ]
    if len(pairs) > MOST_NAMED:
        pairs[MOST_NAMED:] = [_("{number} more", number=len(pairs) - MOST_NAMED)]
    named = pgettext("between pairs", " or ").join(pairs)
    return _("write the ids of both, such as {named}", named=named) if pairs else ""


def _stretch(wish: Mapping[str, Any], *, required: bool) -> Iterator[Problem]:
    if "from" not in wish and required:
        yield ("from",), _("no 'from'"), _("a date such as 2026-12-01"), _("add 'from: …'")
    if "from" not in wish and "to" in wish and not required:
        yield ("from",), _("'to' without 'from'"), _("both, or neither"), _("add 'from: …', or take 'to' out")


def _id(value: str, at: tuple[str, ...], section: str, known: Known) -> Iterator[Problem]:
    if value not in known.ids[section]:
        hint = nearest(value, known.ids[section]) or _(
            "add '{value}' under '{section}', or correct it here", value=value, section=section
        )
        yield (
            at,
            _("the unknown {kind} '{value}'", kind=said(one_of(section)), value=value),
            _("an id under '{section}'", section=section),
            hint,
        )


def wishes_of(changes: Sequence[Mapping[str, Any]], known: Known) -> tuple[PlannersWish, ...]:
    """The wishes among checked changes, in an order that the lines do not decide. One for rather another adult that
    names no learner is one for each child of that adult."""
    return in_order(
        wish
        for number, change in enumerate(changes, 1)
        for kind in WISHES
        if kind.value in change
        for wish in _wishes(change, kind, number, known)
    )


def _wishes(change: Mapping[str, Any], kind: WishKind, number: int, known: Known) -> Iterator[PlannersWish]:
    if kind is not WishKind.RATHER or "learner" in change:
        yield _wish(change, kind, number)
    else:
        for learner in known.learners_of(change["rather"]):
            yield _wish({**change, "learner": learner}, kind, number)


def _wish(change: Mapping[str, Any], kind: WishKind, number: int) -> PlannersWish:
    common: dict[str, Any] = {"kind": kind, "number": number, "note": change.get("note", "")}
    if kind is WishKind.ADD:
        add = change["add"]
        values = {MATERIAL_SET: add["material_set"], **add.get("values", {})}
        people = {key: add[key] for key in ("learner", "adult", "location", "target", "start")}
        return PlannersWish(**common, **people, values=tuple(sorted(values.items())))
    if kind is WishKind.RATHER:
        return PlannersWish(**common, adult=change["rather"], learner=change["learner"], **_span(change))
    if kind is WishKind.APART:
        return PlannersWish(**common, two=tuple(sorted(change["apart"])), **_span(change))
    return PlannersWish(
        **common,
        sitting=change[kind.value],
        at=change.get("at"),
        start=change.get("to"),
        adult=change.get("adult", ""),
        location=change.get("location", ""),
    )


def _span(change: Mapping[str, Any]) -> dict[str, Any]:
    if "from" not in change:
        return {}
    start: datetime = change["from"]
    ends = datetime.combine(start.date(), datetime.min.time()) + timedelta(days=1)
    return {"start": start, "end": change.get("to") or ends}
