"""week.html: the page to look at. One file that loads nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from genplan.case import Case, Target
from genplan.language import _
from genplan.plan import Plan, Sitting
from genplan.report.day_cards import DayCard, cautions_of, day_cards
from genplan.report.grid import Planned, legend, planned_cells
from genplan.report.loads import loads
from genplan.report.mark_words import mark_sentences
from genplan.report.names_and_words import (
    Names,
    amount_words,
    clean,
    day_words,
    hours,
    long_date,
    week_words,
)
from genplan.report.not_in_time import dates_lost, not_in_time
from genplan.report.objective_sentences import objective_sentences, staying_sentence
from genplan.report.plain_characters import in_order
from genplan.report.reasons import ReasonGroup, reason_groups, why_empty
from genplan.report.render import render
from genplan.report.target_cards import Curves, TargetCard, target_card
from genplan.report.week_picture import week_picture
from genplan.report.week_table import By, week_table
from genplan.text.cautions import standing_cautions
from genplan.text.held_back import things_held_back
from genplan.text.notes import note_text
from genplan.text.observers import observed_texts
from genplan.text.wishes import answer_text

OPEN_AT_MOST = 3
"""With more learners each is folded: on the screen by its link, on paper where it was unfolded."""


@dataclass(frozen=True)
class SeatLine:
    """One sitting in the list of all learners; `number` is the learner's place on the page, from 1."""

    hours: str
    learner: str
    number: int
    adult: str
    place: str
    probes: int
    teachings: int


@dataclass(frozen=True)
class LearnerCard:
    """`further` is how many further probes would finish all targets, `open` the tuples that they would show."""

    name: str
    sittings: int
    probes: int
    teachings: int
    new: int
    open: int
    further: int
    days: tuple[DayCard, ...]
    empty: tuple[str, ...]
    targets: tuple[TargetCard, ...]
    not_in_time: tuple[str, ...]
    left_out: tuple[ReasonGroup, ...]
    held_back: tuple[str, ...]
    cautions: tuple[str, ...]


def week_page(case: Case, plan: Plan, names: bool = False, curves: Curves | None = None) -> str:
    """The page as HTML. Learners are called by their aliases; with `names` by name, for the family alone. `curves`
    show how the coverage of each target grew until now."""
    called, planned = Names(case, names), planned_cells(plan.planned())
    learners = tuple(_learner(called, plan, planned, i, curves or {}) for i in in_order(case.learners))
    return render(
        "week.html",
        **week_words(plan.week),
        planned_at=f"{long_date(plan.now.date())}, {plan.now:%H:%M}",
        zone=str(case.timezone),
        learners=learners,
        together=_together(called, plan) if len(learners) > 1 else (),
        many=len(learners) > OPEN_AT_MOST,
        glance=week_table(called, plan.week, plan.sittings, By.LEARNER),
        picture=week_picture(called, plan.week, plan.sittings)
        if len(learners) == 1 and plan.sittings
        else None,
        totals=amount_words(plan.sittings),
        loads=loads(called, plan.sittings),
        empty=() if plan.sittings else why_empty(case, plan),
        objectives=objective_sentences(case, plan),
        staying=staying_sentence(case, plan),
        lost=tuple(dates_lost(called, plan.lost)),
        wishes=[answer_text(case, a) for a in plan.wishes],
        notes=[note_text(case, n) for n in plan.notes],
        observed=observed_texts(case, plan.observed),
        by_the_clock=not plan.repeatable and not plan.interrupted,
        standing=standing_cautions(case),
        marks=_marks(called, plan),
        legend=legend(p.kind for s in plan.sittings for p in s.probes),
        what=_what(plan.sittings),
        teachings=_number(plan.sittings, teachings=True) > 0,
    )


def _marks(names: Names, plan: Plan) -> tuple[str, ...]:
    targets = [t for i in in_order(names.case.learners) for t in _shown_targets(names.case, plan, i)]
    return tuple(mark_sentences(names, targets))


def _what(sittings: Sequence[Sitting]) -> str:
    """What the week is a week of."""
    taught = [not p.kind.is_probe for s in sittings for p in s.probes]
    if not any(taught):
        return _("Probes")
    return _("Teachings") if all(taught) else _("Probes and teachings")


def _together(names: Names, plan: Plan) -> tuple[tuple[str, tuple[SeatLine, ...]], ...]:
    """The sittings of all learners by day, in order of time."""
    numbers = {learner: n for n, learner in enumerate(in_order(names.case.learners), start=1)}
    order = sorted(plan.sittings, key=lambda s: (s.start, numbers[s.learner], s.id))
    return tuple(
        (day_words(day), tuple(_seat(names, numbers, s) for s in order if s.start.date() == day))
        for day in dict.fromkeys(s.start.date() for s in order)
    )


def _seat(names: Names, numbers: Mapping[str, int], sitting: Sitting) -> SeatLine:
    return SeatLine(
        hours(sitting),
        names.learner(sitting.learner),
        numbers[sitting.learner],
        _(" and ").join(map(names.adult, sitting.adults)),
        names.location(sitting.location),
        _number([sitting], teachings=False),
        _number([sitting], teachings=True),
    )


def _number(sittings: Sequence[Sitting], *, teachings: bool) -> int:
    """How many probes are in them, or how many teachings."""
    return sum(p.kind.is_probe is not teachings for s in sittings for p in s.probes)


def _learner(names: Names, plan: Plan, planned: Planned, learner_id: str, curves: Curves) -> LearnerCard:
    own = tuple(s for s in plan.sittings if s.learner == learner_id)
    covers = tuple(c for c in plan.coverage if c.learner == learner_id)
    return LearnerCard(
        names.learner(learner_id),
        len(own),
        _number(own, teachings=False),
        _number(own, teachings=True),
        sum(c.new for c in covers),
        sum(c.open for c in covers),
        sum(c.fewest_further for c in covers),
        day_cards(names, own, lambda s: names.adult(s.adult)),
        () if own else why_empty(names.case, plan, learner_id),
        tuple(
            target_card(names, plan, planned, t, curves) for t in _shown_targets(names.case, plan, learner_id)
        ),
        tuple(not_in_time(names, plan, learner_id)),
        reason_groups(names, plan.left_out_by_learner.get(learner_id, ()), learner_id),
        tuple(map(clean, things_held_back(names.case, (learner_id,), plan.week.monday))),
        cautions_of(names, own),
    )


def _shown_targets(case: Case, plan: Plan, learner_id: str) -> tuple[Target, ...]:
    """The learner's targets of which the plan says anything."""
    spoken_of = {c.target for c in plan.coverage} | plan.matrix_by_target.keys()
    return tuple(t for t in case.targets_of(learner_id) if t.id in spoken_of)
