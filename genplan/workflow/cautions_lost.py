"""Which cautions of a case another state of it does not have: nobody must lose one without a word. Whatever changes a
case asks here: a form, another name, an earlier state, tables."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence, Set
from datetime import date

from genplan.case import Case
from genplan.case.people import Birth, Learner
from genplan.case.possible import is_kept_from_small_parts
from genplan.case.safety import IN_DOUBT, MaterialSet, avoided_allergens, with_meanings
from genplan.case.targets import Pattern, Target
from genplan.casefile.allergen_words import may_be_in, named_in
from genplan.casefile.domain_types import SECTION_OF
from genplan.casefile.lint_allergens import may_hold
from genplan.casefile.small_words import hazards_named, usually_small
from genplan.errors import UsageError
from genplan.language import _, and_list, or_list, said
from genplan.text.obstacles import HAZARDS, allergens_text

Renamings = Sequence[tuple[str, str, str]]
"""Section, id and id after, in order."""
Whose = tuple[str, str]
"""Section and id, before the change."""
MayGo = Callable[[Sequence[str]], bool]
"""Whether whoever makes the change has said of each of these cautions that it is to go."""


class CautionsWouldGo(UsageError):
    """`cautions` say which, of whom."""

    def __init__(self, cautions: tuple[str, ...], others: tuple[str, ...] = ()) -> None:
        self.cautions, self.others = cautions, others
        gone = _(
            "A caution would go with it, and nothing was changed: {cautions}.", cautions="; ".join(cautions)
        )
        also = _("These changes would go as well: {changes}.", changes="; ".join(others)) if others else ""
        super().__init__(f"{gone} {also}".strip())


def none_may_go(cautions: Sequence[str]) -> bool:
    return False


def refuse_lost(
    before: Case | None,
    after: Case | None,
    may_go: MayGo,
    renamed: Renamings = (),
    *,
    typed: bool = False,
    others: tuple[str, ...] = (),
    on: date | None = None,
) -> None:
    """Raises CautionsWouldGo. `others` are changes that would go as well; `on` is the day, which decides ages."""
    lost = cautions_lost(before, after, renamed, typed=typed)
    if typed and before and after and on:
        lost = tuple(dict.fromkeys((*lost, *_looked_at_under_another_name(before, after, renamed, on))))
    if lost and not may_go(lost):
        raise CautionsWouldGo(lost, others)


def cautions_lost(
    before: Case | None, after: Case | None, renamed: Renamings = (), *, typed: bool = False
) -> tuple[str, ...]:
    """What to say of each caution of a child, a thing or a skill that both have, and that is another one after. Where
    one of the two cannot be read, that is said. `typed`: somebody writes it now, so what was open before, and has an
    answer after, was looked at; in what is older it may have been found to be wrong since."""
    return tuple(
        dict.fromkeys(caution for _whose, caution in cautions_of_things(before, after, renamed, typed=typed))
    )


def cautions_of_things(
    before: Case | None, after: Case | None, renamed: Renamings = (), *, typed: bool = False
) -> tuple[tuple[Whose, str], ...]:
    """The same, each with the child, thing or skill whose it is; of a case that cannot be read nobody's."""
    if before is None or after is None:
        unread = _(
            "The case cannot be read as it is, so nobody can say whether an allergy or another caution goes."
        )
        return ((("", ""), unread),)
    return tuple(dict.fromkeys(_lost(before, after, renamed, typed)))


def _looked_at_under_another_name(before: Case, after: Case, renamed: Renamings, on: date) -> Iterator[str]:
    """Where a child is at risk each thing is looked at by itself: a new name may be that of another one, whatever it
    says."""
    if not any(is_kept_from_small_parts(child, on) for child in after.learners.values()):
        return
    now_called = {was: now for of, was, now in renamed if of == "material_sets"}
    for thing in before.material_sets.values():
        then = after.material_sets.get(now_called.get(thing.id, thing.id))
        if then is None or _is_called_alike(thing, then) or usually_small(then.name):
            continue
        if (
            thing.may_be_small_part is then.may_be_small_part is False
            or thing.free_of & then.free_of & HAZARDS.keys()
        ):
            yield _(
                "{name}: whether a piece could be swallowed, or a magnet or a button cell is in it. Somebody looked at "
                "{before}; look at this one, too",
                name=then.name,
                before=thing.name,
            )


def _lost(before: Case, after: Case, renamed: Renamings, typed: bool) -> Iterator[tuple[Whose, str]]:
    def then(section: str, id_: str) -> str:
        for of, now, was in renamed:
            id_ = was if (of, now) == (section, id_) else id_
        return id_

    def pattern_then(pattern: Pattern) -> dict[str, str]:
        return {name: then(SECTION_OF.get(name, ""), value) for name, value in pattern.items()}

    for learner in before.learners.values():
        if child := after.learners.get(then("learners", learner.id)):
            yield from ((("learners", learner.id), caution) for caution in _of_learner(learner, child))
    for thing in before.material_sets.values():
        if was := after.material_sets.get(then("material_sets", thing.id)):
            found = (*_of_thing(thing, was, typed), *_of_another_name(thing, was))
            yield from ((("material_sets", thing.id), caution) for caution in found)
    for target in before.targets.values():
        there = after.targets.get(then("targets", target.id))
        if there and not all(_is_ruled_out(pattern_then(pattern), target, there) for pattern in target.never):
            never = _("{name}: what is never to be tried", name=target.name or target.id)
            yield ("targets", target.id), never


def _is_ruled_out(pattern: Pattern, before: Target, after: Target) -> bool:
    """Whether it is, or something wider. Of a dimension that is called otherwise now only the number can tell."""
    if not pattern.keys() <= {*after.dimension_names}:
        return len(after.never) >= len(before.never)
    return any(wider.items() <= pattern.items() for wider in after.never)


def _of_learner(now: Learner, then: Learner) -> Iterator[str]:
    if gone := _not_among(now.allergens, avoided_allergens(then.allergens)):
        yield _("{name}: must keep away from {allergens}", name=now.name, allergens=_all(gone))
    if now.born is not None and (then.born is None or _latest(then.born) < _latest(now.born)):
        yield _("{name}: when the child was born", name=now.name)
    if now.mouths and not then.mouths:
        yield _("{name}: everything still goes into the mouth", name=now.name)


def _latest(born: Birth) -> tuple[int, int, int]:
    return born.year, born.month, born.day or 31


def _of_thing(now: MaterialSet, then: MaterialSet, typed: bool) -> Iterator[str]:
    answered = then.free_of - now.free_of if typed else frozenset()
    there = with_meanings(then.holds)
    if gone := _not_among(now.allergens, there) | _not_among(now.by_name - answered, there):
        yield _("{name}: holds {allergens}", name=now.name, allergens=_all(gone))
    if not typed and now.free_of != then.free_of:
        yield _("{name}: what somebody looked for and did not find in it", name=now.name)
    if not typed and then.holds_nothing and (asked := may_hold(now)):
        yield _("{name}: whether it holds {allergens}", name=now.name, allergens=_any(asked))
    is_answer = typed and then.may_be_small_part is False and _is_called_alike(now, then)
    if _smallness(then) < _smallness(now) and not (is_answer and now.may_be_small_part is None):
        yield _("{name}: whether a piece could be swallowed", name=now.name)
    if now.min_age_months > then.min_age_months:
        yield _("{name}: not for children under {months} months", name=now.name, months=now.min_age_months)
    if gone := (now.hazards - then.watched) | (now.hazards_by_name - then.watched - answered):
        yield _(
            "{name}: {hazards}",
            name=now.name,
            hazards=and_list([said(HAZARDS.get(h, h)) for h in sorted(gone)]),
        )


def _smallness(thing: MaterialSet) -> int:
    """How much speaks for a small part: somebody says so, its name does, nothing is known, it is none."""
    if (known := thing.may_be_small_part) is not None:
        return 3 if known else 0
    return 2 if thing.small_by_name else 1


def _of_another_name(now: MaterialSet, then: MaterialSet) -> Iterator[str]:
    """An answer belongs to what a thing was called when somebody looked: another name that speaks against it may be
    that of another thing."""
    if _is_called_alike(now, then):
        return
    maybe = frozenset(may_be_in(then.name))
    found = {*hazards_named(then.name), *named_in(then.name), *maybe} & now.free_of & then.free_of
    if now.holds_nothing and then.holds_nothing:
        found |= then.left_unsaid(maybe)
    if found:
        yield _(
            "{name}: by this name it may hold {found}. That somebody looked for it, and found none, was said of "
            "{before}",
            name=then.name,
            found=_any(found),
            before=now.name,
        )
    if usually_small(then.name) and now.may_be_small_part is then.may_be_small_part is False:
        yield _(
            "{name}: by this name it may have pieces small enough to be swallowed. That it has none was said, or "
            "measured, of {before}",
            name=then.name,
            before=now.name,
        )


def _is_called_alike(one: MaterialSet, other: MaterialSet) -> bool:
    return one.name.casefold().split() == other.name.casefold().split()


def _not_among(allergens: Set[str], kept: Set[str]) -> Set[str]:
    """Those that are gone; nuts of no kind are still there where each kind is."""
    return {a for a in allergens - kept if not IN_DOUBT.get(a, {a}) <= kept}


def _any(found: Collection[str]) -> str:
    return or_list([said(HAZARDS[f]) if f in HAZARDS else _all((f,)) for f in sorted(found)])


def _all(allergens: Collection[str]) -> str:
    return and_list([allergens_text((a,)) for a in sorted(allergens)])
