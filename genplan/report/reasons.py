"""What was left out, grouped so that a person can read it, and why a week is empty."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, partial

from genplan.case import Case, Target
from genplan.language import _, and_list, and_list_of, ngettext
from genplan.language.sentences import capital
from genplan.plan import LeftOut, NoteKind, Plan, ProbeKind
from genplan.report.names_and_words import Names, clean, day_short
from genplan.report.plain_characters import as_read, ended
from genplan.rules.limits import Limit
from genplan.text.left_out import what_text
from genplan.text.limits import cause_sentence, limit_sentence
from genplan.text.nothing_possible import nothing_possible
from genplan.text.tuple_words import counted_tuples, new_tuples_text, tuple_word, tuple_words

NAMED_AT_MOST = 8
"""How many things a group names one by one; `plan.json` names all."""

_KIND_ORDER = (
    ProbeKind.MAINTENANCE,
    ProbeKind.RETEST,
    ProbeKind.BASELINE,
    ProbeKind.TEACHING,
    ProbeKind.NEW,
)


@dataclass(frozen=True)
class OfTarget:
    """One target's share of a group: how much in words, and the first few by name."""

    target: str
    amount: str
    named: tuple[str, ...]
    unnamed: int
    id: str


@dataclass(frozen=True)
class ReasonGroup:
    """Everything of one learner that was left out for the same reason."""

    reason: str
    kind: ProbeKind
    weight: int
    targets: tuple[OfTarget, ...]


def what_read(case: Case, item: LeftOut) -> str:
    """What was left out, for people: on one line, the date in words."""
    return clean(what_text(case, item, day_short)).strip()


def reason_read(case: Case, limit: Limit, target: str = "") -> str:
    """A reason for people, the date in words; with the target's name where nothing beside it says which it is."""
    return clean(limit_sentence(case, limit, day=day_short, target=target)).strip()


def reason_groups(names: Names, left_out: Iterable[LeftOut], learner: str) -> tuple[ReasonGroup, ...]:
    """The groups of one learner: maintenance, retests, teachings, then new combinations; the largest first. What reads
    the same is one group, and stands where the first of its kinds does."""
    said = cache(partial(reason_read, names.case))  # the same few limits stand against much
    groups: dict[str, list[LeftOut]] = defaultdict(list)
    for item in left_out:
        if item.learner == learner:
            groups[_sentence(said(item.limit, item.target))].append(item)
    made = [_group(names, reason, items) for reason, items in groups.items()]
    return tuple(sorted(made, key=lambda g: (_KIND_ORDER.index(g.kind), -g.weight, g.reason)))


def _group(names: Names, reason: str, items: list[LeftOut]) -> ReasonGroup:
    by_target: dict[str, list[LeftOut]] = defaultdict(list)
    for item in items:
        by_target[item.target].append(item)
    shares = tuple(
        _share(names, target, found)
        for target, found in sorted(by_target.items(), key=lambda item: as_read(item[0]))
    )
    kind = min((item.kind for item in items), key=_KIND_ORDER.index)
    return ReasonGroup(reason, kind, sum(map(amount_of, items)), shares)


def _share(names: Names, target_id: str, items: list[LeftOut]) -> OfTarget:
    target = names.case.targets.get(target_id)
    amounts = [
        _of_kind(kind, target, sum(map(amount_of, of_kind)))
        for kind in _KIND_ORDER
        if (of_kind := [item for item in items if item.kind is kind])
    ]
    amount = and_list(amounts)
    named = tuple(what_read(names.case, item) for item in items[:NAMED_AT_MOST])
    return OfTarget(names.target(target_id), amount, named, len(items) - len(named), target_id)


def _of_kind(kind: ProbeKind, target: Target | None, n: int) -> str:
    """`1 retest`, `12 pairs`: of new combinations what the target counts in."""
    match kind:
        case ProbeKind.MAINTENANCE:
            return ngettext("{n} maintenance probe", "{n} maintenance probes", n)
        case ProbeKind.RETEST:
            return ngettext("{n} retest", "{n} retests", n)
        case ProbeKind.BASELINE:
            return ngettext("{n} baseline probe", "{n} baseline probes", n)
        case ProbeKind.TEACHING:
            return ngettext("{n} teaching", "{n} teachings", n)
    return counted_tuples(target, n) if target else ngettext("{n} probe", "{n} probes", n)


def amount_of(item: LeftOut) -> int:
    return max(1, item.tuples if item.kind is ProbeKind.NEW else item.teachings)


def _sentence(text: str) -> str:
    """With a capital and a full stop, as a list of reasons wants it."""
    return ended(capital(text))


@dataclass(frozen=True)
class Cause:
    """One cause for what was left out, whosever it is: how much, in words and as a number, and whose, who has most of
    it first; nobody is named whom the cause names."""

    cause: str
    amount: str
    learners: tuple[str, ...]
    weight: int

    def sentence(self, at_most: int) -> str:
        """With so many names."""
        whose = f" ({and_list_of(self.learners, at_most)})" if self.learners else ""
        return f"{self.cause}: {self.amount}{whose}."


def causes(names: Names, left_out: Iterable[LeftOut]) -> tuple[Cause, ...]:
    """What stands in the way of most first. Reasons of one kind are one cause, told in full where all are the same."""
    found: dict[str, list[LeftOut]] = defaultdict(list)
    for item in left_out:
        found[cause_sentence(item.limit) or reason_read(names.case, item.limit)].append(item)
    made = [_cause(names, text, items) for text, items in found.items()]
    return tuple(sorted(made, key=lambda c: (-c.weight, c.cause)))


def _cause(names: Names, text: str, items: list[LeftOut]) -> Cause:
    reasons = {reason_read(names.case, item.limit) for item in items}
    words = reasons.pop() if len(reasons) == 1 else text
    whose = _whose(names, items)
    return Cause(
        cause=capital(words),
        amount=amounts_read(names, items),
        learners=() if len(whose) == 1 and whose[0] in words else whose,
        weight=sum(map(amount_of, items)),
    )


def amounts_read(names: Names, items: Iterable[LeftOut]) -> str:
    """`14 new pairs and 1 retest`; what skills count otherwise is told apart."""
    counts = Counter[tuple[int, str, str]]()
    for item in items:
        target, word, words = names.case.targets.get(item.target), "", ""
        if item.kind is ProbeKind.NEW:
            word = tuple_word(target) if target else _("combination")
            words = tuple_words(target) if target else _("combinations")
        counts[-_KIND_ORDER.index(item.kind), word, words] += amount_of(item)
    parts = [
        new_tuples_text(n, word, words) if word else _of_kind(_KIND_ORDER[-order], None, n)
        for (order, word, words), n in sorted(counts.items())
    ]
    return and_list(parts)


def _whose(names: Names, items: Iterable[LeftOut]) -> tuple[str, ...]:
    counts = Counter[str]()
    for item in items:
        counts[item.learner] += amount_of(item)
    return tuple(names.learner(i) for i in sorted(counts, key=lambda i: (-counts[i], i)))


def why_empty(case: Case, plan: Plan, learner: str | None = None) -> tuple[str, ...]:
    """Why no sitting is planned (for one learner, or at all) and what can be done: sentences."""
    learners = tuple(case.learners) if learner is None else (learner,)
    if not any(t.learner in learners for t in case.planned):
        return (
            _("No target is marked mastered, and only mastered targets are probed."),
            _(
                "What to do: once a target meets its mastery criterion, set its state to mastered and plan anew."
            ),
        )
    impossible = {c.target for c in plan.coverage if not c.possible}
    left = [i for i in plan.left_out if i.learner in learners and i.target not in impossible]
    if not left and not any(c.open for c in plan.coverage if c.learner in learners):
        if any(
            n.kind is NoteKind.UNPLANNED and case.targets[n.target].learner in learners for n in plan.notes
        ):
            return (
                _(
                    "The plan has nothing to hold this week; its notes name what is lacking and is not planned."
                ),
                _("What to do: run what the notes name beside the plan, and record it."),
            )
        if sentences := nothing_possible(case, learners, plan.week.monday):
            return (
                _(
                    "The plan has nothing to hold this week. {sentences}",
                    sentences=" ".join(map(clean, sentences)),
                ),
                _(
                    "What to do: add an adult, a place or a thing with which it is possible, or take the target out."
                ),
            )
        waits = _("no retest and no teaching waits") if case.policy.plan_teaching else _("no retest waits")
        return (
            _(
                "Nothing is owed this week: all that was asked for has been shown, {waits} and no maintenance"
                " falls due.",
                waits=waits,
            ),
            _("What to do: nothing now. Plan the next week as usual: maintenance is seen when it falls due."),
        )
    return (
        _("Nothing that is owed fits into this week; the reasons are listed under what was left out."),
        _(
            "What to do: look for hours in which the learner, an adult and a place are free together, for limits"
            " that are used up, for adults who could be briefed, for combinations that wait for teaching."
        ),
    )
