"""The keys of each kind of thing: one table, from which the check of a file and the README's list come."""

from __future__ import annotations

from collections.abc import Mapping

from genplan.case import STRENGTHS, TargetState
from genplan.casefile import hours
from genplan.casefile.changes import CHANGE
from genplan.casefile.domain import (
    FORMAT,
    counted_dimension,
    dimension_name,
    grid_minutes,
    pattern,
    set_sizes,
    wish,
    words,
    zone_name,
)
from genplan.casefile.groups import (
    absences,
    ascending,
    days_of_week,
    ids_or_all,
    list_of,
    table_of,
    terms,
    weekly_hours,
)
from genplan.casefile.kinds import Kind, an_id, choice, decimal, parsed, pass_mark, share, text, whole, yes_no
from genplan.casefile.public_holidays import country
from genplan.casefile.shapes import Key, Shape, section, shape

COVER = choice(STRENGTHS, {"1": "each-value", "2": "pairs", "3": "triples"})
COUNTS = table_of(
    whole(1, 999), "how many, such as {adults: 3, locations: 2, material_sets: 3}", counted_dimension
)
LADDER = ascending(whole(1, 3650), "days after mastery, such as [7, 14, 28, 56]")
MINUTES = whole(1, 240)
LIMIT = whole(1, 10_080, "leave the key out for no limit")
AMOUNT = whole(1, 10_080)

LEARNER_LIMITS: Shape = {
    "sittings_per_day": Key(LIMIT, "most sittings on one day", "no limit"),
    "probes_per_day": Key(LIMIT, "most probes on one day", "no limit"),
    "probes_per_sitting": Key(LIMIT, "most probes in one sitting", "no limit"),
    "sitting_minutes": Key(LIMIT, "longest sitting, settling in included", "no limit"),
    "sittings_per_week": Key(LIMIT, "most sittings in one week", "no limit"),
}
ADULT_LIMITS: Shape = {
    "sittings_per_day": Key(LIMIT, "most sittings on one day", "no limit"),
    "minutes_per_week": Key(LIMIT, "most minutes in sittings in one week", "no limit"),
    "sittings_per_week": Key(LIMIT, "most sittings in one week", "no limit"),
}
LEARNER: Shape = {
    "name": Key(text(), "shown on the family's own sheets", "the id"),
    "alias": Key(text(40), "shown in every calendar and shared page", "first letter of the name and a dot"),
    "born": Key(
        parsed("a month such as 2021-04", hours.birth), "for the small-parts and minimum-age cautions"
    ),
    "free": Key(weekly_hours(), "when probes may be run", "never"),
    "away": Key(absences("away"), "days and hours off"),
    "limits": Key(shape("a learner's limits", LEARNER_LIMITS), "what is enough for one day", "no limit"),
    "allergens": Key(words(), "what no material set may hold"),
    "needs": Key(decimal(0, 1000, "1.5"), "this learner's weight when hours are short", "1"),
}
ADULT_KEYS: Shape = {
    "name": Key(text(), "shown in calendars and on sheets", "the id"),
    "role": Key(text(), "parent, relative, teacher, … free text"),
    "learners": Key(ids_or_all(), "whom the adult works with", "all"),
    "locations": Key(ids_or_all(), "where the adult goes", "all"),
    "free": Key(weekly_hours(), "when the adult can run probes", "never"),
    "away": Key(absences("away"), "days and hours off"),
    "busy": Key(text(300), "an exported calendar in the case folder; its times are taken off"),
    "limits": Key(shape("an adult's limits", ADULT_LIMITS), "what is enough for this adult", "no limit"),
    "briefed_on": Key(ids_or_all(), "the targets that this adult knows how to probe", "all"),
}
LOCATION_KEYS: Shape = {
    "name": Key(text(), "shown in calendars and on sheets", "the id"),
    "open": Key(
        weekly_hours(empty="leave 'open' out for a place that is open all day"), "opening times", "all day"
    ),
    "capacity": Key(whole(1, 1000), "sittings at the same time", "1"),
    "closed": Key(absences("closed"), "days and hours when it is shut"),
    "holidays": Key(country(), "the country whose public holidays close it"),
    "terms": Key(terms(), "open only inside these dates", "all year"),
    "learners": Key(ids_or_all(), "whom the location takes", "all"),
}
MATERIAL_SET_KEYS: Shape = {
    "name": Key(text(), "shown on sheets", "the id"),
    "copies": Key(whole(1, 1000), "how many of the set there are", "1"),
    "kept_at": Key(ids_or_all(least=1), "where the set stays", "it travels with the learner"),
    "small_parts": Key(yes_no(), "whether a piece is, or may be, a small part", "not known"),
    "dimensions_mm": Key(set_sizes(), "three sizes of the smallest piece", "not known"),
    "min_age_months": Key(whole(0, 1200), "no younger learner is given it", "0"),
    "allergens": Key(words(), "what the set holds"),
    "hazards": Key(words(), "what an adult must watch"),
}
TARGET_KEYS: Shape = {
    "learner": Key(an_id(), "whose skill it is", required=True),
    "name": Key(text(), "shown on sheets", "the id"),
    "correct_when": Key(text(2000), "what counts as correct", "nothing, with a warning"),
    "instruction": Key(text(2000), "what the adult says"),
    "state": Key(choice([s.value for s in TargetState]), "only mastered targets are probed", "mastered"),
    "mastered_on": Key(parsed(hours.A_DATE, hours.day), "maintenance counts from here"),
    "criterion": Key(pass_mark(), "how mastery was judged"),
    "taught": Key(list_of(pattern(), one_alone=False), "combinations that teaching used"),
    "adults": Key(ids_or_all(least=1), "adults to vary", "every one that is possible"),
    "locations": Key(ids_or_all(least=1), "locations to vary", "every one that is possible"),
    "material_sets": Key(ids_or_all(least=1), "sets to vary", "every one that is possible"),
    "also_vary": Key(
        table_of(
            list_of(text(), least=1, apart=True, expects="values, such as [by hand, by card]"),
            'names with values, such as {wording: ["A", "B"]}',
            dimension_name,
        ),
        "more dimensions and their values",
    ),
    "cover": Key(COVER, "what must have been seen together: each value, each pair, …", "the policy's"),
    "trials": Key(whole(1, 1000), "trials of one probe", "the policy's"),
    "pass_mark": Key(pass_mark(), "a probe that reaches it is met", "the policy's"),
    "minutes": Key(MINUTES, "length of one probe", "the policy's"),
    "never": Key(list_of(pattern(), one_alone=False), "combinations that must not be planned"),
    "first": Key(list_of(wish(), one_alone=False), "wanted before the rest, by a date"),
    "generalised_when": Key(COUNTS, "how many values must have been met", "the policy's"),
    "maintenance_days": Key(LADDER, "days after mastered_on for maintenance probes", "the policy's"),
}
ROUTE: Shape = {
    "between": Key(
        list_of(an_id(), least=1, one_alone=False, expects="two locations"), "two locations", required=True
    ),
    "minutes": Key(whole(0, 1440), "minutes from one to the other, both ways", required=True),
}
TRAVEL: Shape = {
    "otherwise": Key(whole(0, 1440), "minutes between any two locations without a route", "0"),
    "routes": Key(list_of(shape("a route", ROUTE), one_alone=False), "journeys that take other times"),
}
PREFER: Shape = {
    "one_change_at_a_time": Key(yes_no(), "combinations nearer to one that was met come first", "no"),
    "fair_shares": Key(yes_no(), "adults' minutes in proportion to what they can give", "yes"),
    "spread_over_days": Key(yes_no(), "no crowded days", "yes"),
}
SOLVER: Shape = {
    "work_per_stage": Key(
        decimal(0, 100_000, "12"), "the same work on every run, about a second a unit", "12"
    ),
    "seconds": Key(decimal(0, 100_000, "600"), "a limit on the clock for the whole run", "600"),
}
POLICY: Shape = {
    "start_every_minutes": Key(grid_minutes(), "the grid of starting times", "15"),
    "settle_minutes": Key(whole(0, 240), "at the start of a sitting", "5"),
    "rest_minutes": Key(whole(0, 1440), "between two sittings of one learner", "30"),
    "probes_per_target_per_day": Key(AMOUNT, "most probes of a target on one day", "1"),
    "probes_per_target_per_week": Key(AMOUNT, "most probes of a target in one week", "4"),
    "days": Key(days_of_week(), "the days that may be used", "all seven"),
    "cover": Key(COVER, "for targets that do not say", "pairs"),
    "trials": Key(whole(1, 1000), "for targets that do not say", "5"),
    "pass_mark": Key(pass_mark(), "for targets that do not say", "4/5"),
    "minutes": Key(MINUTES, "for targets that do not say", "5"),
    "generalised_when": Key(COUNTS, "for targets that do not say"),
    "maintenance_days": Key(LADDER, "for targets that do not say"),
    "maintenance_tolerance_days": Key(
        whole(0, 60), "days before or after its date at which a maintenance probe is on time", "0"
    ),
    "maintenance_after_lapse_days": Key(
        whole(0, 365),
        "days after a maintenance probe that was not met at which one is due again",
        "0: the ladder",
    ),
    "alarm_minutes": Key(
        whole(0, 10_080), "minutes before a sitting at which a calendar reminds", "no reminder"
    ),
    "observed_share": Key(
        share("0.2"), "of a learner's probes so many get a second observer", "0: nobody is asked"
    ),
    "accompany_new_adults": Key(
        yes_no(), "an adult without a result with a learner sits beside one who has worked with it", "no"
    ),
    "prefer": Key(shape("what to prefer", PREFER), "what decides between equally good plans"),
    "solver": Key(shape("the solver's limits", SOLVER), "how hard to search"),
}

SECTIONS: Mapping[str, Kind] = {
    "learners": section("a learner", LEARNER),
    "adults": section("an adult", ADULT_KEYS),
    "locations": section("a location", LOCATION_KEYS),
    "material_sets": section("a material set", MATERIAL_SET_KEYS),
    "targets": section("a target", TARGET_KEYS),
}

ANYTHING = Kind("a name, a path or keys", lambda node, path, notes: node)

CASE: Shape = {
    "format": Key(FORMAT, "the version of this format", required=True),
    "timezone": Key(zone_name(), "all times are of this zone", required=True),
    "policy": Key(
        ANYTHING, "the name of a policy, the path of one in the case folder, or its keys", "the defaults"
    ),
    "learners": Key(SECTIONS["learners"], "the children", required=True),
    "adults": Key(SECTIONS["adults"], "whoever runs a probe", required=True),
    "locations": Key(SECTIONS["locations"], "where a probe is run", required=True),
    "material_sets": Key(SECTIONS["material_sets"], "the objects a probe uses", required=True),
    "targets": Key(SECTIONS["targets"], "the skills", required=True),
    "travel_minutes": Key(shape("travel_minutes", TRAVEL), "how long journeys take", "0"),
    "changes": Key(
        list_of(shape("a change", CHANGE), one_alone=False), "dated facts that came up since, one each"
    ),
    "other_allergens": Key(words(), "names of allergens beyond the known ones"),
    "other_hazards": Key(words(), "names of hazards beyond the known ones"),
}

WHOLE = shape("the case", CASE)
