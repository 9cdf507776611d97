"""What of the sittings that people were told of has to give way, so that all is run that is due or wished.

Everything told that can still be held stays at first. Learners who would so be without something that is due, or
without a sitting that whoever plans the weeks would rather have, are planned anew, with nothing but what is due, what
may be run in such a sitting and what they were told of: so little that all of it is looked at soon.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from genplan.case.targets import ADULT, LOCATION
from genplan.plan import ObjectiveName
from genplan.planning.caseload_problem import Caseload, Seats, all_seats
from genplan.planning.counted_bounds import counted_bounds
from genplan.planning.figures import coverage_values, rather_value
from genplan.planning.jobs import SolveJob, Workers, run_solve
from genplan.planning.needs import Choice, TargetNeed
from genplan.planning.outcome import Outcome
from genplan.planning.problem import Problem
from genplan.planning.rivals import rivals
from genplan.planning.search_settings import SETTINGS
from genplan.planning.told_anew import ToldAnew
from genplan.rules.placed_sittings import Person, PlacedSitting, of_learner, people_in

FIRST = (ObjectiveName.RATHER, ObjectiveName.DUE, ObjectiveName.DATED)
"""What comes before what people were told."""
THEN = (ObjectiveName.PEOPLE, ObjectiveName.OTHERWISE)
Values = tuple[float, ...]
"""Of `FIRST`, in that order."""


@dataclass(frozen=True, kw_only=True)
class OpenedUp:
    """The sittings told that stay, and as much of what is due as was found beside them.

    - `seats`: each learner's
    - `anew`: what has to be told of it
    - `most`: of each objective of `FIRST` what no week passes
    - `fewest`: so many people at the least are told something in any week with as much of these
    - `only`: any such week that is as good tells the same people, and leaves the same sittings as they are"""

    seats: Seats
    anew: ToldAnew
    most: Mapping[ObjectiveName, float]
    fewest: int
    only: bool


def opened_up(load: Caseload, workers: Workers, stay: Sequence[PlacedSitting], *, all_stay: bool) -> OpenedUp:
    """`stay` are the sittings told that can be held together; `all_stay`: no more could be, each by itself."""
    seats: Seats = {i: of_learner(stay, i) for i in load.learners}
    counted = {i: _counted(load, i) for i in load.learners}
    lacking = [i for i in load.learners if _first(load, i, seats[i]) < counted[i]]
    alone = _each_alone(load, workers, lacking)
    most = counted | {i: tuple(o.bound(name) for name in FIRST) for i, o in alone.items()}
    short = [i for i in lacking if _first(load, i, seats[i]) < most[i]]
    left = list(short)
    touched = {i for i in short if _is_touched(load, i, stay, most[i])}
    for beside in (0, SETTINGS.opened_up_rivals):
        chosen = [i for i in left if i in touched] if beside else left
        for group in _groups(load, chosen, seats, beside):
            if not workers.budget.is_over and any(_first(load, i, seats[i]) < most[i] for i in group):
                seats = _planned_anew(load, workers, group, seats)
        left = [i for i in left if _first(load, i, seats[i]) < most[i]]
    anew = load.told_anew(all_seats(seats))
    forced = _told_in_any_week(load, short, stay)
    summed = {name: sum(own[at] for own in most.values()) for at, name in enumerate(FIRST)}
    if left:
        summed = _beyond_what_was_reached(summed, counted, [_first(load, i, own) for i, own in seats.items()])
        return OpenedUp(seats=seats, anew=anew, most=summed, fewest=len(load.told_anyway), only=False)
    one_gives_way = [len(forced | people_in(s)) for s in load.told if s not in load.lost]
    fewest = [
        len(forced),
        *(() if all_stay else (min(one_gives_way),)),
        *(_with_its_adults(load, i, alone[i], forced) for i in short),
    ]
    return OpenedUp(
        seats=seats,
        anew=anew,
        most=summed,
        fewest=max(fewest),
        only=all_stay and anew.people == forced and set(anew.stays) == set(stay),
    )


def _beyond_what_was_reached(
    summed: Mapping[ObjectiveName, float], counted: Mapping[str, Values], values: Sequence[Values]
) -> dict[ObjectiveName, float]:
    """What is proven of an objective holds of weeks that have all of those before it: after the first of which there
    was less only what is counted is left."""
    found, is_whole = dict[ObjectiveName, float](), True
    for at, name in enumerate(FIRST):
        found[name] = summed[name] if is_whole else sum(own[at] for own in counted.values())
        is_whole = is_whole and sum(own[at] for own in values) >= summed[name]
    return found


def _told_in_any_week(
    load: Caseload, short: Iterable[str], stay: Collection[PlacedSitting]
) -> frozenset[Person]:
    """Who is told something in any week with all that is due. Of those who are `short` of it these are the learners all
    of whose sittings stay, but for what is lost: where one gave way to another learner's, that other might be told
    instead."""
    left_as_it_was = {*load.lost, *stay}
    gave_way = {s.learner for s in load.told if s not in left_as_it_was}
    return load.told_anyway | {("learner", i) for i in short if i not in gave_way}


def _is_touched(load: Caseload, learner: str, stay: Sequence[PlacedSitting], most: Values) -> bool:
    """Whether others may have to give way for a learner: it had more of what comes first in what people were told, or
    something of it was run this week, or somebody would rather have another sitting. Who was as short before is not
    worth another one's sitting now: that was tried when the week was planned."""
    now = _first(load, learner, of_learner(stay, learner))
    rather = FIRST.index(ObjectiveName.RATHER)
    if now < _first(load, learner, of_learner(load.told, learner)) or now[rather] < most[rather]:
        return True
    standings = (s for n in load.needs if n.target.learner == learner for s in n.tally.standings.values())
    return any(s.last_date is not None and s.last_date >= load.week.monday for s in standings)


def _with_its_adults(load: Caseload, learner: str, alone: Outcome, forced: Collection[Person]) -> int:
    """How many people at the least are told something in any week with all that is due: those who have to be for what
    is due for one learner, though nobody else were there, and the other learners who are."""
    others = {*forced} - load.told_anyway - {("learner", learner)}
    return len(others) + round(alone.bound(ObjectiveName.PEOPLE))


def _first(load: Caseload, learner: str, seats: Sequence[PlacedSitting]) -> Values:
    needs = [n for n in load.needs if n.target.learner == learner]
    values = coverage_values(load.case, load.week, needs, seats, {})
    values[ObjectiveName.RATHER] = rather_value(load.rather, seats, (learner,))
    return tuple(values[name] for name in FIRST)


def _counted(load: Caseload, learner: str) -> Values:
    """What no week can pass, by counting alone."""
    needs = tuple(_with_a_place(load, n) for n in load.needs if n.target.learner == learner)
    bare = Problem(
        case=load.case,
        week=load.week,
        learners=(learner,),
        needs=needs,
        openings=(),
        taken=load.begun,
        rather=load.rather,
    )
    bounds = counted_bounds(bare)
    return tuple(bounds[name] for name in FIRST)


def _with_a_place(load: Caseload, need: TargetNeed) -> TargetNeed:
    """The need without what is due and has no place in any week."""
    places = {(o.adult, o.location): o.day for o in load.openings[need.target.learner]}

    def has_a_place(choice: Choice) -> bool:
        adult, location = (need.target.value(choice.combination, d) for d in (ADULT, LOCATION))
        return places.get((adult, location), -1) >= choice.first_day

    return replace(need, choices=tuple(c for c in need.choices if has_a_place(c)))


def _each_alone(load: Caseload, workers: Workers, learners: Sequence[str]) -> dict[str, Outcome]:
    """Each as if there were no other: what this cannot have nobody has in company, and who has to be told something for
    it has to be in company too."""
    if workers.budget.is_over:
        return {}
    jobs = [_job(load, (i,), (), ()) for i in learners]
    return dict(zip(learners, workers.answers(run_solve, jobs), strict=True))


def _job(
    load: Caseload, group: tuple[str, ...], others: Sequence[PlacedSitting], start: Sequence[PlacedSitting]
) -> SolveJob:
    problem = load.problem(group, others, {})
    needs = tuple(what_matters(load, n) for n in problem.needs)
    idle = {ObjectiveName.RATHER: not load.rather, ObjectiveName.OTHERWISE: not load.told}
    goals = load.ordered(*(name for name in (*FIRST, *THEN) if not idle.get(name)))
    return SolveJob(problem=replace(problem, needs=needs), goals=goals, start=tuple(start))


def what_matters(load: Caseload, need: TargetNeed) -> TargetNeed:
    """The need with what is due, or has its last chance, or is run by an adult whom somebody would rather have, or was
    told: all that counts for `FIRST`, or that a sitting told holds."""
    wanted = {r.adult for r in load.rather if r.learner == need.target.learner}
    own = of_learner(load.told, need.target.learner)
    told = {(p.combination, p.kind) for s in own for p in s.probes if p.target == need.id}
    dated = need.dated.keys()
    choices = tuple(
        c
        for c in need.choices
        if c.kind.is_due
        or (c.combination, str(c.kind)) in told
        or not dated.isdisjoint(c.shows)
        or need.target.value(c.combination, ADULT) in wanted
    )
    return replace(need, choices=choices, open=frozenset(dated), held_back=())


def _planned_anew(load: Caseload, workers: Workers, group: tuple[str, ...], seats: Seats) -> Seats:
    """The week with a better one of the group, if there is one."""
    job = _job(load, group, all_seats(seats, but=group), [s for i in group for s in seats[i]])
    found = workers.answer(run_solve, job).seats
    better = {**seats, **{i: of_learner(found, i) for i in group}}
    return better if better != seats and _is_worth_more(load, group, better, seats) else seats


def _is_worth_more(load: Caseload, group: tuple[str, ...], better: Seats, seats: Seats) -> bool:
    """Whether the group has more, the others being as they are, or else less has to be told of all."""
    more, before = (_of_group(load, group, s) for s in (better, seats))
    if more != before:
        return more > before
    after, now = (load.told_anew(all_seats(s)) for s in (better, seats))
    return (len(after.people), after.otherwise) < (len(now.people), now.otherwise)


def _of_group(load: Caseload, group: tuple[str, ...], seats: Seats) -> Values:
    return tuple(map(sum, zip(*(_first(load, i, seats[i]) for i in group), strict=True)))


def _groups(load: Caseload, short: Sequence[str], seats: Seats, beside: int) -> Iterator[tuple[str, ...]]:
    """Those who are short, several at once; with `beside` each with so many of those who are most in its way."""
    if beside:
        for learner in short:
            yield tuple(sorted({learner, *rivals(load, learner, seats)[:beside]}))
        return
    for at in range(0, len(short), SETTINGS.opened_up_at_once):
        yield tuple(short[at : at + SETTINGS.opened_up_at_once])
