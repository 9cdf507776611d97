"""Whether every id, dimension, allergen and hazard that one thing names is known. What is not is an error
with the nearest known word."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from genplan.case.safety import ALLERGENS, HAZARDS, NAMED_HAZARDS
from genplan.case.targets import BASE_DIMENSIONS
from genplan.casefile.allergen_words import allergens_called, found_in, is_another
from genplan.casefile.changes import check_changes
from genplan.casefile.diagnostics import Diagnostics, Path
from genplan.casefile.domain_types import IN_PLACE_OF_A_COUNT, SECTION_OF, VALUES_OF, WITH, counted_in, one_of
from genplan.casefile.planners_wishes import Known
from genplan.casefile.scalar_types import ID, as_id
from genplan.findings import nearest
from genplan.language import N_, _, and_list, or_list, pgettext, said

Records = Mapping[str, Mapping[str, Any]]

LINKS = (
    ("adults", "learners", "learners"),
    ("adults", "locations", "locations"),
    ("adults", "briefed_on", "targets"),
    ("adults", "teaches", "targets"),
    ("locations", "learners", "learners"),
    ("material_sets", "kept_at", "locations"),
    ("targets", "learner", "learners"),
    ("targets", "adults", "adults"),
    ("targets", "locations", "locations"),
    ("targets", "material_sets", "material_sets"),
)
"""(section, key, section whose ids the key names)."""
OF_THIS_CASE = {
    "learners": N_("a learner of this case ({listed})"),
    "adults": N_("an adult of this case ({listed})"),
    "locations": N_("a location of this case ({listed})"),
    "material_sets": N_("a material set of this case ({listed})"),
    "targets": N_("a target of this case ({listed})"),
}


def check_references(
    top: Mapping[str, Any], known: Mapping[str, Collection[str]], notes: Diagnostics
) -> None:
    """`known` holds the ids of each section as written, those of faulty things too, so that one fault is told
    once."""
    groups = top.get("groups", {})
    for section, key, other in LINKS:
        for thing, record in top.get(section, {}).items():
            _check_ids(record.get(key), (section, thing, key), other, known, notes, groups)
    for thing, record in top.get("targets", {}).items():
        for at, values in _patterns(thing, record):
            _check_pattern(values, at, record, known, notes, groups)
        _check_held_out(thing, record, notes)
        _check_counts(thing, record, notes)
    _check_routes(top, known, notes)
    check_changes(top.get("changes", ()), Known(known, top.get("adults", {}), top.get("targets", {})), notes)
    for section, where, given in (
        ("learners", "allergens", ALLERGENS),
        ("material_sets", "allergens", ALLERGENS),
        ("material_sets", "free_of", ALLERGENS.union(NAMED_HAZARDS)),
    ):
        _check_names("allergens", section, where, given, top, notes)
    _check_names("hazards", "material_sets", "hazards", frozenset(HAZARDS), top, notes)
    _check_lookalikes(top, notes)


def _check_ids(
    value: Any,
    path: Path,
    other: str,
    known: Mapping[str, Collection[str]],
    notes: Diagnostics,
    groups: Collection[str] = (),
) -> None:
    """`groups` may stand in a list of ids."""
    if value is None:
        return
    for i, name in enumerate([value] if isinstance(value, str) else value, 1):
        if name not in known[other]:
            may_be = () if isinstance(value, str) and path[-1] == "learner" else groups
            _unknown(name, notes.item(path, i), other, known[other], notes, may_be)


def _unknown(
    name: str,
    path: Path,
    other: str,
    ids: Collection[str],
    notes: Diagnostics,
    groups: Collection[str] = (),
) -> None:
    faulty = {as_id(i) for i in ids if not ID.fullmatch(i)}
    ids = [i for i in ids if ID.fullmatch(i)]
    if name in faulty or not ids:
        return  # that the section has none, or writes its id in another way, is told already
    listed = ", ".join(sorted(ids)) if len(ids) <= 12 else _("an id under '{other}'", other=other)
    hint = nearest(name, {*ids, *groups}) or _(
        "add '{name}' under '{other}', or take it out here", name=name, other=other
    )
    found = _("the unknown {kind} '{name}'", kind=said(one_of(other)), name=name)
    notes.error(path, found, said(OF_THIS_CASE[other], listed=listed), hint)


def _patterns(thing: str, record: Mapping[str, Any]) -> Iterator[tuple[Path, Mapping[str, str]]]:
    for key in ("taught", "never", "hold_out"):
        for i, values in enumerate(record.get(key, ()), 1):
            yield ("targets", thing, key, str(i)), values
    asked = record.get("generalised_when", {}).get(WITH)
    for i, values in enumerate(asked if isinstance(asked, tuple) else (), 1):
        yield ("targets", thing, "generalised_when", WITH, str(i)), values
    for i, (values, _by) in enumerate(record.get("first", ()), 1):
        yield ("targets", thing, "first", str(i)), values


def _check_pattern(
    values: Mapping[str, str],
    at: Path,
    record: Mapping[str, Any],
    known: Mapping[str, Collection[str]],
    notes: Diagnostics,
    groups: Mapping[str, Collection[str]],
) -> None:
    extra = record.get("also_vary", {})
    dimensions = (*BASE_DIMENSIONS, *extra)
    for dimension, value in values.items():
        path = (*at, dimension)
        if section := SECTION_OF.get(dimension):
            if value not in known[section] and value in groups:
                members = [f"{dimension}: {m}" for m in groups[value] if m in known[section]]
                hint = _("write one for each of it: {members}", members="; ".join(members)) if members else ""
                notes.error(
                    path,
                    _("the group '{value}'", value=value),
                    _("one {kind}, for no group stands here", kind=said(one_of(section))),
                    hint,
                )
            elif value not in known[section]:
                _unknown(value, path, section, known[section], notes)
        elif dimension not in extra:
            expected = _("one of {names}", names=", ".join(dimensions))
            notes.error(
                path,
                _("the unknown dimension '{dimension}'", dimension=dimension),
                expected,
                nearest(dimension, dimensions),
            )
        elif value not in extra[dimension]:
            listed = ", ".join(f"'{v}'" for v in extra[dimension])
            notes.error(
                path,
                f"'{value}'",
                _("a value of '{dimension}' ({listed})", dimension=dimension, listed=listed),
                nearest(value, extra[dimension]),
            )
    lacking = [d for d in BASE_DIMENSIONS if d not in values] if at[2] == "taught" else []
    if lacking:
        found = _("no {names}", names=pgettext("no adult and no location", " and no ").join(lacking))
        hint = _("only a dimension of 'also_vary' may be left out here")
        notes.error(at, found, _("what teaching used: {names}", names=", ".join(BASE_DIMENSIONS)), hint)


def _check_held_out(thing: str, record: Mapping[str, Any], notes: Diagnostics) -> None:
    """What was taught cannot be kept as a combination that never is."""
    for i, held_out in enumerate(record.get("hold_out", ()), 1):
        for j, taught in enumerate(record.get("taught", ()), 1):
            if held_out.items() <= taught.items():
                at = notes.mark(("targets", thing, "taught", str(j)))
                found = _(
                    "{values} is held out, and 'taught' says that it was taught ({at})",
                    values=", ".join(held_out.values()),
                    at=at,
                )
                hint = _("take it out of one of the two, or name more values here")
                notes.error(("targets", thing, "hold_out", str(i)), found, _("what was never taught"), hint)
                break


def _check_counts(thing: str, record: Mapping[str, Any], notes: Diagnostics) -> None:
    dimensions = (*BASE_DIMENSIONS, *record.get("also_vary", {}))
    for dimension, number in counted_in(record.get("generalised_when", {})).items():
        path = ("targets", thing, "generalised_when", dimension)
        if dimension not in dimensions and dimension in IN_PLACE_OF_A_COUNT:
            hint = _(
                "a number there counts the values of a dimension '{dimension}', which 'also_vary' does not have",
                dimension=dimension,
            )
            notes.error(
                path, _("the number {number}", number=number), said(IN_PLACE_OF_A_COUNT[dimension]), hint
            )
        elif dimension not in dimensions:
            written = (*VALUES_OF, *record.get("also_vary", {}))
            found = _("the unknown dimension '{dimension}'", dimension=dimension)
            notes.error(
                path, found, _("one of {names}", names=", ".join(written)), nearest(dimension, written)
            )


def _check_routes(top: Mapping[str, Any], known: Mapping[str, Collection[str]], notes: Diagnostics) -> None:
    seen: dict[frozenset[str], Path] = {}
    for i, route in enumerate(top.get("travel_minutes", {}).get("routes", ()), 1):
        path = ("travel_minutes", "routes", str(i), "between")
        ends = route.get("between")
        if ends is None:
            continue
        _check_ids(ends, path, "locations", known, notes)
        pair = frozenset(ends)
        if len(ends) != 2 or len(pair) != 2:
            notes.error(path, f"[{', '.join(ends)}]", _("two different locations, such as [home, park]"))
        elif pair in seen:
            first = notes.mark(seen[pair])
            found = _(
                "the route between {places} a second time (first at {first})",
                places=and_list(sorted(pair)),
                first=first,
            )
            notes.error(path, found, _("each route once"), _("a route counts in both directions"))
        seen.setdefault(pair, path)


def _check_names(
    key: str, section: str, where: str, given: frozenset[str], top: Mapping[str, Any], notes: Diagnostics
) -> None:
    """The names under the key `where`, which are to be known ones or those of `other_allergens`, say."""
    others = top.get(f"other_{key}", ())
    known = given.union(others)
    for thing, record in top.get(section, {}).items():
        for i, name in enumerate(record.get(where, ()), 1):
            if name in known:
                continue
            called = _called(name, given) or (_held_in(name) if key == "allergens" else "")
            near = _("did you mean '{word}'?", word=called) if called else nearest(name, known)
            hint = _(
                "if it is right, add the line 'other_{key}: [{name}]' at the top of the case",
                key=key,
                name=name,
            )
            if near:
                hint = _(
                    "{near} Else add the line 'other_{key}: [{name}]' at the top of the case",
                    near=near,
                    key=key,
                    name=name,
                )
            if _meant(name, given):
                hint = near
            path = notes.item((section, thing, where), i)
            found = (
                _("the unknown allergen '{name}'", name=name)
                if key == "allergens"
                else _("the unknown hazard '{name}'", name=name)
            )
            notes.error(path, found, _("one of {known}", known=", ".join(sorted(known))), hint)


def _check_lookalikes(top: Mapping[str, Any], notes: Diagnostics) -> None:
    """An own name that is nearly a known one would quietly miss it: `eggs` beside `egg`."""
    for key, given in (("allergens", ALLERGENS), ("hazards", frozenset(HAZARDS))):
        for i, name in enumerate(top.get(f"other_{key}", ()), 1):
            meant = _meant(name, given)
            if meant:
                path = notes.item((f"other_{key}",), i)
                hint = _("write '{meant}' instead, here and where '{name}' is used", meant=meant, name=name)
                notes.error(
                    path,
                    _("'{name}', which would never match '{meant}'", name=name, meant=meant),
                    _("a name beyond the known allergens")
                    if key == "allergens"
                    else _("a name beyond the known hazards"),
                    hint,
                )
            elif key == "allergens":
                _holds_a_known_word(name, notes.item((f"other_{key}",), i), top, notes)


def _holds_a_known_word(name: str, path: Path, top: Mapping[str, Any], notes: Diagnostics) -> None:
    """`egg-allergy`, `egg-powder` keep no egg away. It is well where whoever has the name has the known one too."""
    known = set(_words_in(name))
    records = [r for section in ("learners", "material_sets") for r in top.get(section, {}).values()]
    having = [set(r.get("allergens", ())) for r in records if name in r.get("allergens", ())]
    if known and not (having and all(names & known for names in having)):
        notes.warning(
            path,
            _(
                "'{name}', which is another allergen than {known}: a thing that is said to hold {known} is not "
                "kept from a child with '{name}'",
                name=name,
                known=or_list([f"'{word}'" for word in sorted(known)]),
            ),
            "",
            _(
                "if {known} is meant, write that instead, here and where '{name}' is used; if both are, add it "
                "there",
                known=or_list([f"'{word}'" for word in sorted(known)]),
                name=name,
            ),
        )


def _words_in(name: str) -> tuple[str, ...]:
    """The known allergens that a part of the name is a word for."""
    found = found_in(name)
    return () if is_another(name) else (*found.known, *found.maybe)


def _held_in(name: str) -> str:
    """The same, ready to be put between quotation marks."""
    return "' or '".join(dict.fromkeys(_words_in(name)))


def _meant(name: str, given: frozenset[str]) -> str | None:
    """The known name that an own one would be taken for."""
    return _called(name, given) or next((g for g in sorted(given) if _is_alike(name, g)), None)


def _called(name: str, given: frozenset[str]) -> str:
    """What everyday language calls so of the known ones, ready to be put between quotation marks."""
    return "' or '".join(a for a in allergens_called(name) if a in given)


def _is_alike(name: str, known: str) -> bool:
    short, long = sorted((name, known), key=len)
    return long in (short, f"{short}s", f"{short}es")
