"""What is seen of a search while it runs: plain lines, and drafts that hold every rule and never steer it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from queue import SimpleQueue
from threading import Event

import pytest

from genplan import workflow
from genplan.audit import broken_rules
from genplan.case import Week
from genplan.plan import ObjectiveName, Plan, Sitting
from genplan.planning.assemble import seat_of
from genplan.planning.budget import ENDLESS
from genplan.planning.figures import coverage_values
from genplan.planning.first_week import FirstWeek
from genplan.planning.interruption import interrupt
from genplan.planning.probe_insertion import insert_probes
from genplan.planning.progress import InWeek, Phase, PhaseProgress, SearchBegun, StageProgress, WeekSoFar
from genplan.planning.week_context import WeekContext, week_context_of
from genplan.rules.placed_sittings import PlacedSitting
from genplan.text.progress import shown_text, stage_text, step_text
from genplan.workflow.facts_to_plan_by import facts_of
from genplan.workflow.watching import Draft, Watch
from tests.fixtures.light_case import light_family
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.places import EXAMPLES

WEEK = Week(2026, 49)
NOON = datetime(2026, 11, 29, 12)


def context_of(name: str) -> WeekContext:
    opened = workflow.open_case(EXAMPLES / name, NOON)
    facts = facts_of(opened, WEEK)
    return week_context_of(opened.case, facts.log, WEEK, opened.now, facts.busy, facts.kept)


def greedy(context: WeekContext) -> tuple[PlacedSitting, ...]:
    seats = insert_probes(context.caseload, {}, ENDLESS, {})
    return tuple(s for own in seats.values() for s in own)


def of_pairs(context: WeekContext) -> WeekContext:
    """The same of the targets that are counted in pairs alone."""
    return replace(context, needs=tuple(n for n in context.needs if n.target.strength == 2))


def test_a_line_says_the_phase_and_what_the_best_week_shows() -> None:
    context, lines = of_pairs(context_of("family")), list[str]()
    shown = len({(n.id, t) for n in context.needs for t in n.open})
    watch, week = Watch(lines.append), greedy(context)
    watch(SearchBegun(context, FirstWeek(context.caseload)))
    watch(PhaseProgress(Phase.ALONE, 3, 12))
    watch(WeekSoFar(week, at_most=30))
    first, _, new = lines[-1].rpartition("; ")[2].rpartition(", ")
    count = int(new.split()[0])
    assert first.startswith("4 due probes, ")  # what weighs more stands in front
    assert 0 < count < 30 < shown
    watch(PhaseProgress(Phase.FINISHING, 1038, 1060))
    watch(StageProgress(ObjectiveName.NEW_TUPLES, most=True, value=2.0, bound=29.0))
    watch(StageProgress(ObjectiveName.SITTINGS, most=False, value=9.0, bound=7.0))
    assert lines == [
        "each alone: 3 of 12 children",
        f"each alone: 3 of 12 children; {first}, {count} of at most 30 new pairs",
        f"tidying up: 1,038 of 1,060 children; {first}, {count} of at most 30 new pairs",
        f"{count} of at most 29 new pairs",
        f"fewer sittings and ways: 9, at least 7; {first}, {count} of at most 29 new pairs",
    ]


def test_a_better_week_with_fewer_new_says_what_it_has_more_of() -> None:
    """What is proven of new pairs is proven of the weeks that are as good in what weighs more: one before may have
    shown more, and nobody reads 204 of at most 186."""
    assert shown_text((11, 0, 2, 204), 522, "pairs") == (
        "11 due probes, 2 of the wished pairs, 204 of at most 522 new pairs"
    )
    assert shown_text((12, 1, 2, 186), 186, "pairs") == (
        "12 due probes, 1 of the pairs with their last chance, 2 of the wished pairs, 186 of at most 186 new pairs"
    )
    assert shown_text((0, 0, 0, 204), 186, "pairs") == "204 new pairs"
    lines, context = list[str](), of_pairs(context_of("family"))
    watch, week = Watch(lines.append), greedy(context)
    watch(SearchBegun(context, FirstWeek(context.caseload)))
    watch(WeekSoFar(week))
    watch(StageProgress(ObjectiveName.NEW_TUPLES, most=True, value=2.0, bound=3.0))
    assert lines[-1] == "2 of at most 3 new pairs"


def test_a_week_that_shows_less_is_no_better_one() -> None:
    context, lines, drafts = context_of("family"), list[str](), list[Draft]()
    watch, week = Watch(lines.append, drafts.append), greedy(context)
    watch(SearchBegun(context, FirstWeek(context.caseload)))
    watch(WeekSoFar(week))
    best = lines[-1]
    watch._again = 0.0  # there is time to draw
    watch(WeekSoFar(week[:2]))
    assert lines[-1] == best
    assert max(d.shown for d in drafts) == drafts[-1].shown


def test_a_draft_that_breaks_a_rule_is_not_shown() -> None:
    context, drafts = context_of("family"), list[Draft]()
    watch, week = Watch(lambda _: None, drafts.append), greedy(context)
    watch._context = context
    twice = (*week, *(replace(s, start=s.start + 5, end=s.end + 5) for s in week))
    watch(WeekSoFar(twice))
    assert drafts == []
    watch._best, watch._again = (), 0.0
    watch(WeekSoFar(week))
    assert len(drafts) == 1


@pytest.mark.parametrize("name", ["family", pytest.param("school-transfer", marks=pytest.mark.nightly)])
def test_drafts_hold_every_rule_get_better_and_change_nothing(name: str, tmp_path: Path) -> None:
    case = light_family(tmp_path / "case") if name == "family" else EXAMPLES / name
    drafts, opened = list[Draft](), workflow.open_case(case, NOON)
    watched = workflow.plan(case, WEEK, NOON, None, lambda _: None, drafts.append)
    assert watched.plan == workflow.plan(case, WEEK, NOON, None, lambda _: None).plan
    facts = facts_of(opened, WEEK)
    assert drafts
    for draft in drafts:
        assert draft.week == WEEK
        assert draft.sittings
        assert 0 < draft.shown <= draft.at_most
        plan = Plan.of_sittings(WEEK, opened.now, draft.sittings)
        assert broken_rules(facts.case, plan, facts.busy, facts.log) == ()
    new = sum(p.new_tuples for s in watched.plan.sittings for p in s.probes)
    assert all(d.at_most >= new for d in drafts)
    assert all(a.at_most >= b.at_most for a, b in pairwise(drafts))


def test_every_phase_and_objective_has_words_of_its_own() -> None:
    assert len({step_text(PhaseProgress(p)) for p in Phase}) == len(Phase)
    said = {stage_text(StageProgress(o, most=True), "pairs", weighted=False) for o in ObjectiveName}
    assert len(said) == len(ObjectiveName)


def test_a_bound_that_says_nothing_is_not_said() -> None:
    assert stage_text(StageProgress(ObjectiveName.SITTINGS, False, 9.0, 0.0), "pairs", weighted=False) == (
        "fewer sittings and ways: 9"
    )
    assert stage_text(StageProgress(ObjectiveName.WISHED, True, 0.0, 3.0), "pairs", weighted=False) == (
        "what is wanted first: 0 of at most 3"
    )
    assert stage_text(
        StageProgress(ObjectiveName.NEW_TUPLES, True, 2431.5, 2480.0), "pairs", weighted=True
    ) == ("new pairs, weighted by needs: 2,431.5 of at most 2,480")
    assert stage_text(StageProgress(ObjectiveName.EARLY, False, 424.0, 400.0), "pairs", weighted=False) == (
        "earlier times of day"  # a figure in no unit says nothing
    )
    assert step_text(PhaseProgress(Phase.BETTERING, 12, better=3)) == "better weeks: 3 in 12 tries"


def test_what_can_be_done_meanwhile_begins_once_with_the_search_and_holds_up_nobody() -> None:
    begun, go_on, lines = SimpleQueue[str](), Event(), list[str]()

    def meanwhile() -> None:
        begun.put("begun")
        go_on.wait(60)
        begun.put("done")

    watch = Watch(lines.append, meanwhile=meanwhile)
    watch(PhaseProgress(Phase.SEARCHING))
    assert begun.empty()
    for value in (2.0, 3.0):
        watch(StageProgress(ObjectiveName.SITTINGS, most=False, value=value))
    assert len(lines) == 3
    assert begun.get(timeout=60) == "begun"
    go_on.set()
    assert begun.get(timeout=60) == "done"
    assert begun.empty()


def test_what_is_said_of_one_of_several_weeks_names_it() -> None:
    lines = list[str]()
    Watch(lines.append)(InWeek(WEEK, PhaseProgress(Phase.REASONS)))
    Watch(lines.append)("12 of 40 courses")
    assert lines == ["2026-W49: looking for why the rest is left out", "12 of 40 courses"]


@pytest.mark.parametrize("number", by_day_the_first([2, 1, 4]))
def test_what_is_taken_is_no_worse_than_what_was_shown(number: int, tmp_path: Path) -> None:
    case = light_family(tmp_path / "case")
    context, drafts = context_of(str(case)), list[Draft]()

    def worth(sittings: tuple[Sitting, ...]) -> list[float]:
        seats = [seat_of(context.case, WEEK, s) for s in sittings]
        return list(coverage_values(context.case, WEEK, context.needs, seats, {}).values())

    def show(draft: Draft) -> None:
        drafts.append(draft)
        if len(drafts) == number:
            assert interrupt()

    found = workflow.plan(case, WEEK, NOON, None, lambda _: None, show)
    assert all(worth(found.plan.sittings) >= worth(d.sittings) for d in drafts)
