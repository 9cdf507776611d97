"""The keys of locations, material sets and journeys."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from genplan.case.safety import ALLERGENS, HAZARDS, MOST_COPIES, NAMED_HAZARDS
from genplan.casefile.composite_types import ids_or_all, list_of, terms, weekly_hours
from genplan.casefile.domain_types import set_sizes, words
from genplan.casefile.keys.rows import HOURS, away, chosen, goes_with, name
from genplan.casefile.privacy import ALLERGENS_MIXED, AS_IS, DATES, GROUPS_MIXED, LOST, ids, names, said
from genplan.casefile.public_holidays import country
from genplan.casefile.record_types import BY_HAND, Field, Key, NoField, Shape, shape
from genplan.casefile.scalar_types import an_id, integer, text, yes_no
from genplan.language import N_, _, pgettext
from genplan.language.marked import say

IN_HOURS = weekly_hours(
    empty=N_(
        "leave 'open' out for a place that is open all day, write {daily: []} for one that is never open"
    )
)
WITH_ROUTE = NoField(N_("a journey is a row in the form of its case"))

LOCATION: Shape = {
    "name": name(N_("shown in calendars and on sheets"), "location "),
    "open": Key(
        IN_HOURS,
        N_("opening times"),
        copy=AS_IS,
        form=Field(
            N_("Opening times"),
            "hours",
            lambda: _("Leave all seven empty for open all day. {hours}", hours=say(HOURS)),
        ),
        default=N_("all day"),
    ),
    "capacity": Key(
        integer(1, 1000),
        N_("sittings at the same time"),
        copy=AS_IS,
        form=Field(N_("Sittings at the same time"), "number", N_("One, if nothing is said.")),
        default="1",
    ),
    "closed": away(N_("days and hours when it is shut"), "closed", N_("Closed")),
    "holidays": Key(
        country(),
        N_(
            "shut on the public holidays of this country; needs the extra "
            "`holidays`: `pip install 'genplan[holidays]'`"
        ),
        copy=LOST,
        form=Field(
            N_("Closed on the public holidays of"),
            "country",
            N_("The two letters of a country, such as IE, or of a part of one, such as AU-TAS."),
        ),
    ),
    "terms": Key(
        terms(),
        N_("open only inside these dates"),
        copy=DATES,
        form=Field(N_("Terms"), "lines", N_("One a line: 2026-08-27..2026-12-18. Empty for all year.")),
        default=N_("all year"),
        lands="closed",
    ),
    "learners": goes_with(N_("whom the location takes"), "learners", N_("Takes"), N_("every learner")),
    "address": Key(
        text(),
        N_(
            "the address, as calendars write it: a busy event there, or at a place "
            "of the location's name, takes the way there and back too"
        ),
        copy=said("address "),
        form=Field(N_("Address"), hint=N_("As calendars write it: events there take the way too.")),
    ),
}
MATERIAL_SET: Shape = {
    "name": name(N_("shown on sheets"), "set "),
    "copies": Key(
        integer(1, MOST_COPIES),
        N_("how many of the set there are"),
        copy=AS_IS,
        form=Field(N_("Copies"), "number", N_("One, if nothing is said.")),
        default="1",
    ),
    "kept_at": Key(
        ids_or_all(least=1),
        N_("the locations where the set stays"),
        copy=ids("locations"),
        form=Field(
            lambda: pgettext("of a set at a place", "Kept"),
            "several",
            of="locations",
            args=(N_("travels with the learner"), N_("stays at")),
        ),
        default=N_("it travels with the learner"),
        to=chosen,
    ),
    "small_parts": Key(
        yes_no(),
        N_("whether a piece is, or may be, a small part"),
        copy=AS_IS,
        form=Field(N_("Could a piece be swallowed (a small part)?"), "yes or no"),
        default=N_("not known"),
    ),
    "dimensions_mm": Key(
        set_sizes(),
        N_("the smallest piece"),
        copy=AS_IS,
        form=Field(N_("Three sizes of the smallest piece, mm"), "numbers", N_("Such as 35, 40, 80.")),
        default=N_("not known"),
    ),
    "min_age_months": Key(
        integer(0, 1200),
        N_("no younger learner is given it"),
        copy=AS_IS,
        form=Field(N_("Not for children under, months"), "number"),
        default="0",
    ),
    "allergens": Key(
        words(),
        N_("what the set holds; `[]`: somebody looked, and there is nothing of the kind in it"),
        copy=ALLERGENS_MIXED,
        form=Field(N_("Holds"), "words", of="other_allergens", args=(tuple(sorted(ALLERGENS)),)),
        to=frozenset,
    ),
    "free_of": Key(
        words(),
        N_(
            "what its name may mean, and what somebody looked for and did not find in it: allergens, `magnet`, "
            "`button-cell`, `balloon`"
        ),
        copy=names("allergen", *NAMED_HAZARDS),
        form=Field(
            N_("I have looked: holds none of"),
            "words",
            of="other_allergens",
            args=((*NAMED_HAZARDS, *sorted(ALLERGENS)),),
        ),
        to=frozenset,
    ),
    "hazards": Key(
        words(),
        lambda: _(
            "what an adult must watch: {hazards}, or your own",
            hazards=", ".join(f"`{h}`" for h in sorted(HAZARDS)),
        ),
        copy=names("hazard", *HAZARDS),
        form=Field(N_("To watch"), "words", of="other_hazards", args=(tuple(sorted(HAZARDS)),)),
        to=frozenset,
    ),
    "bring": Key(
        yes_no(),
        N_("whether it has to be brought; `no` for a set of nothing, such as empty hands"),
        copy=AS_IS,
        form=Field(
            N_("Has it to be brought?"), "yes or no", N_("No for a set of nothing, such as empty hands.")
        ),
        default="yes",
    ),
}
ROUTE: Shape = {
    "between": Key(
        list_of(an_id(), least=1, one_alone=False, expects=N_("two locations")),
        N_("from where to where, and back"),
        copy=ids("locations"),
        form=WITH_ROUTE,
        required=True,
        lands=BY_HAND,
    ),
    "minutes": Key(
        integer(0, 1440), N_("how long it takes"), copy=AS_IS, form=WITH_ROUTE, required=True, lands=BY_HAND
    ),
}


def _minutes_between(routes: Iterable[Mapping[str, Any]]) -> dict[frozenset[str], int]:
    return dict(sorted(((frozenset(r["between"]), r["minutes"]) for r in routes), key=lambda r: sorted(r[0])))


TRAVEL: Shape = {
    "otherwise": Key(
        integer(0, 1440),
        N_("minutes between any two locations that have no route"),
        copy=AS_IS,
        form=Field(N_("Minutes between any two locations"), "number"),
        default="0",
    ),
    "routes": Key(
        list_of(shape(N_("a route"), ROUTE), one_alone=False),
        N_("journeys that take other times, such as `{between: [home, park], minutes: 10}`"),
        copy=GROUPS_MIXED,
        form=Field(N_("Journeys that take other times"), "routes", of="locations"),
        to=_minutes_between,
    ),
}
