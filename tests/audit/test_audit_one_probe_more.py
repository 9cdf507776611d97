"""A proof told beside room for more: what the auditor finds, and what it does not.

Robin's buttons has grandad, home and park, jackets and ribbons. Planned are park with ribbons on Wednesday and home
with jackets on Tuesday, both at 17:00 for ten minutes; home with ribbons and park with jackets are left. Everybody is
free from 15:00 to 18:00 each day, a skill has one probe a day.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta

import pytest

from genplan.audit import audit, one_probe_more
from genplan.audit.context import AuditContext
from genplan.case import Absence, AdultLimits, LearnerLimits, TargetState, WeeklyHours, Window
from genplan.plan import Beside, Objective, Plan, ProbeKind, StageStatus
from genplan.rules.limits import LESS_URGENT
from tests.fixtures.audited_world import MON, TUE, WED, World, at, probe, target, wall

NEVER = ()


def of_days(*days: int, start: int = 15 * 60, end: int = 18 * 60) -> WeeklyHours:
    return WeeklyHours(tuple((Window(start, end),) if d in days else NEVER for d in range(7)))


def world_of(**changes: object) -> World:
    world = World().having("targets", "greets", state=TargetState.PAUSED)
    world = world.having("targets", "zips", state=TargetState.PAUSED)
    return replace(world, sittings={i: world.sittings[i] for i in "bd"}, **changes)  # type: ignore[arg-type]


ONE = world_of()


def told(world: World, *proven: str) -> Plan:
    """Due and new tuples, told as they are counted, and as proven if named."""
    plan = world.plan
    due = sum(p.kind is not ProbeKind.NEW for s in plan.sittings if not s.begun for p in s.probes)
    new = sum(p.new_tuples for s in plan.sittings if not s.begun for p in s.probes)
    status = {True: StageStatus.OPTIMAL, False: StageStatus.BEST_SO_FAR}
    objectives = [
        Objective(
            name=n,
            sense="most",
            value=value,
            bound=value + (n not in proven),
            status=status[n in proven],
        )
        for n, value in (("due", due), ("new tuples", new))
    ]
    return replace(plan, objectives=tuple(objectives))


def complaints(world: World, plan: Plan | None = None) -> tuple[str, ...]:
    plan = plan or told(world, "due", "new tuples")
    return audit(world.case, world.log, plan, world.busy, world.kept)


FITS = "fits beside the plan, which is told as proven best"


def test_a_probe_more_that_fits_is_found() -> None:
    """The first free start: Monday at 15:00."""
    assert complaints(ONE) == (f"Target buttons: grandad, home, ribbons at 2026-11-30 15:00 {FITS}.",)


@pytest.mark.parametrize("proven", [("due",), ("new tuples",), ()])
def test_what_is_not_told_as_proven_may_have_room(proven: tuple[str, ...]) -> None:
    """Of stages one after the other a proof says something only if all before it are proven, too."""
    assert complaints(ONE, told(ONE, *proven)) == ()


def test_what_people_were_told_may_count_more() -> None:
    plan = told(ONE, "due", "new tuples")
    due, new = plan.objectives
    as_told = Objective(name="told", sense="most", value=0, bound=0, status=StageStatus.OPTIMAL)
    assert complaints(ONE, replace(plan, objectives=(due, as_told, new))) == ()
    # after new tuples it is no reason
    assert len(complaints(ONE, replace(plan, objectives=(due, new, as_told)))) == 1


def with_busy(world: World, *days: tuple[int, str, str]) -> World:
    return replace(
        world, busy={"grandad": tuple(Absence(wall(d, a), wall(d, b), "busy") for d, a, b in days)}
    )


# each as: what leaves no room, and what leaves some
NARROW: dict[str, tuple[Callable[[], World], Callable[[], World]]] = {
    "the skill has its probe of the day": (
        lambda: ONE.having("learners", "robin", free=of_days(1, 2)),
        lambda: ONE.having("learners", "robin", free=of_days(1, 2)).under(probes_per_target_per_day=2),
    ),
    "the skill has its probes of the week": (
        lambda: ONE.under(probes_per_target_per_week=2),
        lambda: ONE.under(probes_per_target_per_week=3),
    ),
    "the adult's minutes are used up": (
        lambda: ONE.having("adults", "grandad", limits=AdultLimits(minutes_per_week=29)),
        lambda: ONE.having("adults", "grandad", limits=AdultLimits(minutes_per_week=30)),
    ),
    "the days of the policy": (
        lambda: ONE.under(days=(1, 2)),
        lambda: ONE.under(days=(1, 2, 3)),
    ),
    "what is over": (
        lambda: replace(ONE.having("learners", "robin", free=of_days(0, 1, 2)), now=at(MON, "17:46")),
        lambda: replace(ONE.having("learners", "robin", free=of_days(0, 1, 2)), now=at(MON, "17:45")),
    ),
    "hours too short by a minute": (
        lambda: ONE.having("learners", "robin", free=replace_day(0, 15 * 60, 15 * 60 + 9)),
        lambda: ONE.having("learners", "robin", free=replace_day(0, 15 * 60, 15 * 60 + 10)),
    ),
    "a start that is not on the grid": (
        lambda: ONE.having("learners", "robin", free=replace_day(0, 15 * 60 + 1, 15 * 60 + 24)),
        lambda: ONE.having("learners", "robin", free=replace_day(0, 15 * 60 + 1, 15 * 60 + 25)),
    ),
    "a busy adult": (
        lambda: with_busy(only_monday(), (MON, "15:01", "17:59")),
        lambda: with_busy(only_monday(), (MON, "15:01", "17:45")),
    ),
    "sets that are missing": (
        lambda: missing(only_monday(), "jackets", "ribbons"),
        lambda: missing(only_monday(), "jackets"),
    ),
    # on Tuesday, with two probes a day allowed: d is from 17:00 to 17:10 and a rest is 30 minutes
    "the rest": (
        lambda: on_tuesday(16 * 60 + 30, 17 * 60 + 45),
        lambda: on_tuesday(16 * 60 + 15, 17 * 60 + 45),
    ),
    "the sittings of a day": (
        lambda: on_tuesday(15 * 60, 18 * 60).having(
            "learners", "robin", limits=LearnerLimits(sittings_per_day=1)
        ),
        lambda: on_tuesday(15 * 60, 18 * 60).having(
            "learners", "robin", limits=LearnerLimits(sittings_per_day=2)
        ),
    ),
}


def replace_day(day: int, start: int, end: int) -> WeeklyHours:
    """Tuesday and Wednesday afternoon, which are used up, and some minutes of another day."""
    days = list(of_days(1, 2).days)
    days[day] = (Window(start, end),)
    return WeeklyHours(tuple(days))


def only_monday() -> World:
    return ONE.having("learners", "robin", free=of_days(0, 1, 2))


def missing(world: World, *sets: str) -> World:
    gone = (Absence(wall(MON, "08:00"), wall(TUE, "08:00"), "missing"),)
    for name in sets:
        world = world.having("material_sets", name, missing=gone)
    return world


def on_tuesday(start: int, end: int) -> World:
    """Two probes a day are allowed; on Wednesday grandad has the minutes of b and no others."""
    days = list(of_days(2).days)
    days[1] = (Window(start, end),)
    world = ONE.having("learners", "robin", free=WeeklyHours(tuple(days)))
    world = with_busy(world, (WED, "00:00", "17:00"), (WED, "17:10", "23:00"))
    return world.under(probes_per_target_per_day=2)


@pytest.mark.parametrize("name", NARROW)
def test_room_to_the_minute(name: str) -> None:
    without, with_some = NARROW[name]
    assert complaints(without()) == ()
    (complaint,) = complaints(with_some())
    assert complaint.startswith("Target buttons: grandad, ")
    assert complaint.endswith(f"{FITS}.")


def with_laces(end: int) -> World:
    """Another skill of Robin's, at home on Tuesday, when he has until some minutes after five."""
    laces = target("laces", "robin", "grandad", "home", "ribbons")
    world = ONE.in_case(targets={**ONE.case.targets, "laces": laces})
    world = replace(world, sittings={"d": world.sittings["d"]})
    return world.having("learners", "robin", free=of_days(1, start=17 * 60, end=17 * 60 + end))


def test_a_sitting_that_could_be_longer_is_found() -> None:
    """Ten minutes are the one of d; five more hold a probe of the other skill."""
    assert complaints(with_laces(14)) == ()
    (complaint,) = complaints(with_laces(15))
    assert complaint == f"Target laces: grandad, home, ribbons at 2026-12-01 17:00 {FITS}."


def test_what_is_due_is_found_where_it_is_told_as_proven() -> None:
    """Home with jackets was not met, and taught since; d is taken out of the plan."""
    world = replace(ONE, sittings={"b": ONE.sittings["b"]}).knowing(
        ("2026-11-02", "buttons", "grandad home jackets", 5, 0),
        ("2026-11-03", "buttons", "grandad home jackets", 0, 0),
    )
    (complaint,) = complaints(world, told(world, "due"))
    assert complaint == f"Target buttons: grandad, home, jackets at 2026-11-30 15:00 {FITS}."
    assert complaints(world, told(world)) == ()
    again = probe("buttons", "grandad home jackets", ProbeKind.RETEST)
    with_it = world.seated(replace(ONE.sittings["d"], probes=(again,)))
    assert complaints(with_it, told(with_it, "due")) == ()


def test_an_observer_stands_in_nothings_way() -> None:
    """For a probe more mum would not observe. As a companion she is needed where she is."""
    found = {}
    for part in (Beside.OBSERVER, Beside.COMPANION):
        world = only_mum(part)
        found[part] = [c for c in complaints(world) if FITS in c]
    assert len(found[Beside.OBSERVER]) == 1
    assert found[Beside.COMPANION] == []


def only_mum(part: Beside) -> World:
    """Mum is beside in Robin's d, on Tuesday at 17:00, and Wren's skill with mum can be run then and never else."""
    laces = target("laces", "wren", "mum", "home", "dolls")
    world = ONE.in_case(targets={**ONE.case.targets, "laces": laces})
    world = world.having("learners", "robin", free=of_days(1))
    d = replace(world.sittings["d"], beside="mum", beside_as=part)
    world = replace(world, sittings={"d": d})
    return world.having("learners", "wren", free=of_days(1, start=17 * 60, end=17 * 60 + 10)).having(
        "locations", "home", capacity=2
    )


def less_urgent(world: World, plan: Plan) -> tuple[str, ...]:
    one, *others = plan.left_out
    changed = replace(one, limit=LESS_URGENT)
    found = complaints(world, replace(plan, left_out=(changed, *others)))
    return tuple(c for c in found if "less urgent" in c)


def test_less_urgent_beside_a_proof_is_a_contradiction() -> None:
    (complaint,) = less_urgent(ONE, told(ONE, "due", "new tuples"))
    assert complaint.startswith("Target buttons: ")
    assert complaint.endswith("is told as less urgent beside a proven best of new tuples.")
    assert less_urgent(ONE, told(ONE, "due")) == ()


def test_less_urgent_where_nothing_is_planned_is_a_contradiction() -> None:
    empty = replace(ONE, sittings={})
    (complaint,) = less_urgent(empty, told(empty))
    assert complaint.endswith("is told as less urgent where nothing is planned.")


def test_what_has_begun_is_no_room() -> None:
    """d has begun: it is not made longer."""
    world = with_laces(15)
    d = world.sittings["d"]
    begun = replace(world.seated(replace(d, begun=True)), kept=(d,), now=d.start + timedelta(minutes=1))
    assert complaints(begun) == ()


def test_limits_that_count_a_day_are_asked_once_a_day(monkeypatch: pytest.MonkeyPatch) -> None:
    """Not at each of the starts of a day, which may be hundreds."""
    asked: list[object] = []

    def over(matter: AuditContext) -> Iterator[str]:
        asked.extend((s.start.date(), s.probes) for s in matter.plan.sittings if s.id == "more")
        yield "over the limit"

    monkeypatch.setattr(one_probe_more, "COUNTED", (over,))
    assert complaints(ONE) == ()
    assert len(asked) == len(set(asked)) > 0
