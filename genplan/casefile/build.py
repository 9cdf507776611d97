"""Records without errors -> Case, with every default filled in and every mapping sorted by id."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any, TypeVar

from genplan.case import Adult, Case, Dimension, Learner, Location, MaterialSet, Policy, Target, Travel
from genplan.case.safety import MOST_COPIES
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET
from genplan.casefile import keys
from genplan.casefile.allergen_words import may_be_in, named_in
from genplan.casefile.changes import with_changes
from genplan.casefile.domain_types import WITH, counted_in, untaught_in
from genplan.casefile.planners_wishes import Known
from genplan.casefile.record_types import BY_HAND, NOT_THERE, Shape
from genplan.casefile.small_words import hazards_named, usually_small
from genplan.language import LANGUAGES, Words

Record = Mapping[str, Any]
T = TypeVar("T")

NAMED: tuple[tuple[str, type[Any], Shape], ...] = (
    ("locations", Location, keys.LOCATION),
    ("material_sets", MaterialSet, keys.MATERIAL_SET),
)


def build_case(top: Record, policy: Policy) -> Case:
    """`top` holds checked records by section."""
    learners = {i: learner(i, r) for i, r in sorted(top["learners"].items())}
    locations, material_sets = (
        {i: made(cls, shape, r, id=i, name=i) for i, r in sorted(top[section].items())}
        for section, cls, shape in NAMED
    )
    avoids = any(x.allergens for x in learners.values())
    material_sets = {
        i: _enough_of_nothing(_with_what_its_name_says(m, avoids, "allergens" in top["material_sets"][i]))
        for i, m in material_sets.items()
    }
    adults = {i: adult(i, r, top["targets"]) for i, r in sorted(top["adults"].items())}
    travel = made(Travel, keys.TRAVEL, top.get("travel_minutes", {}))
    without = Case(
        timezone=top["timezone"],
        learners=learners,
        adults=adults,
        locations=locations,
        material_sets=material_sets,
        targets={},
        travel=travel,
        policy=policy,
        case_id=top.get("case_id", ""),
        language=top.get("language", LANGUAGES[0]),
        words=Words(top["words"]) if "words" in top else policy.words,
    )
    targets = {i: target(i, r, without) for i, r in sorted(top["targets"].items())}
    known = Known({s: top[s] for s in ("learners", "adults", "targets")}, top["adults"], top["targets"])
    return with_changes(replace(without, targets=targets), top.get("changes", ()), known)


def _with_what_its_name_says(
    thing: MaterialSet, somebody_avoids_allergens: bool, are_allergens_said: bool
) -> MaterialSet:
    return replace(
        thing,
        holds_nothing=are_allergens_said and not thing.allergens,
        by_name=thing.left_unsaid(named_in(thing.name)) if somebody_avoids_allergens else frozenset(),
        maybe_by_name=frozenset(may_be_in(thing.name)) if somebody_avoids_allergens else frozenset(),
        small_by_name=thing.may_be_small_part is None and usually_small(thing.name),
        hazards_by_name=hazards_named(thing.name) - thing.hazards - thing.free_of,
    )


def _enough_of_nothing(thing: MaterialSet) -> MaterialSet:
    """Nobody waits for a set of nothing, and nobody carries it from place to place."""
    return replace(thing, copies=MOST_COPIES) if thing.is_nothing else thing


def made(cls: type[T], shape: Shape, record: Record, **fields: Any) -> T:
    """The value of a record. `fields` are what the record's own keys go before; what neither has keeps the default of
    the class. Two keys of one field are stretches of time that are joined."""
    given: dict[str, Any] = {}
    for name, value in record.items():
        key = shape[name]
        if key.lands in (BY_HAND, NOT_THERE):
            continue
        field, held = key.lands or name, key.to(value)
        given[field] = tuple(sorted((*given[field], *held))) if field in given else held
    return cls(**{**fields, **given})


def learner(id_: str, record: Record) -> Learner:
    name = record.get("name", id_)
    return made(Learner, keys.LEARNER, record, id=id_, name=name, alias=f"{name[0]}.")


def adult(id_: str, record: Record, targets: Collection[str]) -> Adult:
    """`teaches: all` is more than leaving it out: an adult who is not briefed on a target may teach it then."""
    taught = record.get("teaches", ())
    teaches = None if "teaches" not in record else frozenset(targets if taught is None else taught)
    return made(Adult, keys.ADULT, record, id=id_, name=id_, teaches=teaches)


def target(id_: str, record: Record, case: Case) -> Target:
    """`case` without targets: what the values of a dimension default to."""
    shared = (k for k in keys.POLICY.keys() & keys.TARGET.keys() if keys.POLICY[k].lands != BY_HAND)
    policy = {key: getattr(case.policy, key) for key in shared}
    dimensions = _dimensions(id_, record, case)
    fields = policy | _criterion(case.policy, record)
    return made(Target, keys.TARGET, record, id=id_, name=id_, dimensions=dimensions, **fields)


def _criterion(policy: Policy, record: Record) -> dict[str, Any]:
    """Counts, what must be among them, and whether what was taught counts; what the target leaves out is the policy's,
    without counts of dimensions that this target does not have."""
    given = record.get("generalised_when", {})
    dimensions = {ADULT, LOCATION, MATERIAL_SET, *record.get("also_vary", {})}
    of_policy = {d: n for d, n in policy.generalised_when.items() if d in dimensions}
    return {
        "generalised_when": counted_in(given) or of_policy,
        "generalised_with": given[WITH] if isinstance(given.get(WITH), tuple) else (),
        "generalised_untaught": untaught_in(given, policy.generalised_untaught),
    }


def _dimensions(id_: str, record: Record, case: Case) -> tuple[Dimension, ...]:
    """Given values in the user's order. By default: the adults who work with the learner, the locations that
    take the learner, and the sets that travel or are kept at one of the locations. Who is not briefed yet stays
    listed, so that it is said what a briefing would open; and a set that is barred for the child's safety, so that
    the matrix says why it is not used."""
    learner = record["learner"]
    adults = (a.id for a in case.adults.values() if a.works_with(learner))
    locations = [p.id for p in case.locations.values() if p.takes(learner)]
    base = {ADULT: record.get("adults") or adults, LOCATION: record.get("locations") or locations}
    sets = (
        m.id
        for m in case.material_sets.values()
        if m.kept_at is None or not m.kept_at.isdisjoint(base[LOCATION])
    )
    base[MATERIAL_SET] = record.get("material_sets") or sets
    return tuple(
        Dimension(name, tuple(values)) for name, values in {**base, **record.get("also_vary", {})}.items()
    )
