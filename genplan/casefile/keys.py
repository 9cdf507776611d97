"""The keys of each kind of thing, each once: reading, the built case, copies without names, forms, the README's
tables and the schema come from here. What a key says is told in `shapes.Key`."""

from __future__ import annotations

from collections.abc import Mapping

from genplan.case import AdultLimits, LearnerLimits, TargetState, Wish
from genplan.case.safety import ALLERGENS, HAZARDS
from genplan.casefile import hours
from genplan.casefile.changes import CHANGE, TOLD
from genplan.casefile.domain import FORMAT, dimension_name, pattern, set_sizes, wish, words, zone_name
from genplan.casefile.groups import absences, ids_or_all, list_of, table_of, terms, weekly_hours
from genplan.casefile.kinds import (
    Kind,
    an_id,
    choice,
    decimal,
    either,
    parsed,
    pass_mark,
    text,
    whole,
    yes_no,
)
from genplan.casefile.policy_keys import COUNTED, COVER, LADDER, MINUTES, POLICY
from genplan.casefile.privacy import (
    AS_IS,
    AVOIDED,
    BIRTH,
    CALENDAR,
    COUNTS,
    DATES,
    GROUP,
    GROUPS_MIXED,
    LOST,
    PATTERNS,
    VARIED,
    ZONE,
    ids,
    names,
    said,
)
from genplan.casefile.privacy import POLICY as NAMED_OR_KEYS
from genplan.casefile.privacy import section as things
from genplan.casefile.public_holidays import country
from genplan.casefile.shapes import BY_HAND, NOT_THERE, Field, Key, NoField, Shape, section, shape

LIMIT = whole(1, 10_080, "leave the key out for no limit")
DAYS_OFF = "One a line: 2026-12-03, or 2026-12-04 09:00-12:00, or 2026-12-24..2027-01-03"
HOURS = "Such as 15:30-18:00, or 09:00-12:00, 14:00-16:00. Leave a day empty for none."
EVERY_ONE = ("every one that is possible",)
OWN_PAGE = NoField("each of its things has a form of its own")


def chosen(given: tuple[str, ...] | None) -> frozenset[str] | None:
    """Ids as a set; None is all."""
    return None if given is None else frozenset(given)


def _limit(what: str, label: str) -> Key:
    return Key(LIMIT, what, AS_IS, Field(label, "number"), "no limit")


def _name(where: str, start: str, hint: str) -> Key:
    return Key(text(), where, said(start), Field("Name", hint=hint), "the id")


def _away(words_: str, why: str, label: str) -> Key:
    return Key(absences(why), words_, DATES, Field(label, "lines", DAYS_OFF))


def _free(words_: str, label: str) -> Key:
    return Key(weekly_hours(), words_, AS_IS, Field(label, "hours", HOURS), "never")


def _choice(words_: str, section_: str, label: str, every: str) -> Key:
    """Ids of those that something goes together with; all, if nothing is said."""
    field = Field(label, "several", of=section_, args=(every,))
    return Key(ids_or_all(), words_, ids(section_), field, "all", to=chosen)


LEARNER_LIMITS: Shape = {
    "sittings_per_day": _limit("most sittings on one day", "Most sittings a day"),
    "probes_per_day": _limit("most probes on one day", "Most probes a day"),
    "probes_per_sitting": _limit("most probes in one sitting", "Most probes in a sitting"),
    "sitting_minutes": _limit("longest sitting, settling in included", "Longest sitting, minutes"),
    "sittings_per_week": _limit("most sittings in one week", "Most sittings a week"),
}
ADULT_LIMITS: Shape = {
    "sittings_per_day": _limit("most sittings on one day", "Most sittings a day"),
    "minutes_per_week": _limit("most minutes in sittings in one week", "Most minutes a week"),
    "sittings_per_week": _limit("most sittings in one week", "Most sittings a week"),
}
LEARNER: Shape = {
    "name": _name(
        "shown on the family's own sheets", "learner ", "Shown here and on the family's own sheets."
    ),
    "alias": Key(
        text(40),
        "shown in every calendar and shared page",
        said("L"),
        Field("Alias", hint="Shown in every calendar and on every page that is shared, such as W."),
        "first letter of the name and a dot",
    ),
    "born": Key(
        parsed("a month such as 2021-04", hours.birth, f"{hours.A_DAY}|[0-9]{{4}}-[0-9]{{2}}"),
        "for the small-parts and minimum-age cautions",
        BIRTH,
        Field("Born", "plain", "The month is enough: 2021-04. It decides about small parts and ages."),
    ),
    "free": _free("when probes may be run", "Hours in which a probe may be run"),
    "away": _away("days and hours off", "away", "Days off"),
    "limits": Key(
        shape("a learner's limits", LEARNER_LIMITS),
        "what is enough for one day",
        GROUP,
        None,
        "no limit",
        to=lambda given: LearnerLimits(**given),
    ),
    "allergens": Key(
        words(),
        "what no material set may hold",
        AVOIDED,
        Field("Must not meet", "words", of="other_allergens", args=(tuple(sorted(ALLERGENS)),)),
        to=frozenset,
    ),
    "needs": Key(
        decimal(0, 1000, "1.5"),
        "this learner's weight when hours are short",
        AS_IS,
        Field("Weight when hours are short", "plain", "1, if nothing is said; 2 counts twice as much."),
        "1",
    ),
}
ADULT_KEYS: Shape = {
    "name": _name("shown in calendars and on sheets", "adult ", "Shown in calendars and on sheets."),
    "role": Key(
        text(),
        "parent, relative, teacher, … free text",
        said("role "),
        Field("Role", hint="Such as parent, relative, teacher."),
    ),
    "free": _free("when the adult can run probes", "Hours"),
    "away": _away("days and hours off", "away", "Days off"),
    "learners": _choice("whom the adult works with", "learners", "Works with", "every learner"),
    "locations": _choice("where the adult goes", "locations", "Goes to", "every location"),
    "briefed_on": _choice(
        "the targets that this adult knows how to probe", "targets", "Knows how to probe", "every target"
    ),
    "limits": Key(
        shape("an adult's limits", ADULT_LIMITS),
        "what is enough for this adult",
        GROUP,
        None,
        "no limit",
        to=lambda given: AdultLimits(**given),
    ),
    "busy": Key(
        text(300),
        "an exported calendar in the case folder; its times are taken off",
        CALENDAR,
        Field("Busy calendar", hint="A calendar file in the case folder, such as busy/dad.ics."),
    ),
}
LOCATION_KEYS: Shape = {
    "name": _name("shown in calendars and on sheets", "location ", "Shown in calendars and on sheets."),
    "open": Key(
        weekly_hours(empty="leave 'open' out for a place that is open all day"),
        "opening times",
        AS_IS,
        Field("Opening times", "hours", f"Leave all seven empty for open all day. {HOURS}"),
        "all day",
    ),
    "capacity": Key(
        whole(1, 1000),
        "sittings at the same time",
        AS_IS,
        Field("Sittings at the same time", "number", "One, if nothing is said."),
        "1",
    ),
    "closed": _away("days and hours when it is shut", "closed", "Closed"),
    "holidays": Key(
        country(),
        "the country whose public holidays close it",
        LOST,
        Field(
            "Closed on the public holidays of",
            "country",
            "The two letters of a country, such as IE, or of a part of one, such as AU-TAS.",
        ),
    ),
    "terms": Key(
        terms(),
        "open only inside these dates",
        DATES,
        Field("Terms", "lines", "One a line: 2026-08-27..2026-12-18. Empty for all year."),
        "all year",
        lands="closed",
    ),
    "learners": _choice("whom the location takes", "learners", "Takes", "every learner"),
}
MATERIAL_SET_KEYS: Shape = {
    "name": _name("shown on sheets", "set ", "Shown on sheets."),
    "copies": Key(
        whole(1, 1000),
        "how many of the set there are",
        AS_IS,
        Field("Copies", "number", "One, if nothing is said."),
        "1",
    ),
    "kept_at": Key(
        ids_or_all(least=1),
        "where the set stays",
        ids("locations"),
        Field("Kept", "several", of="locations", args=("travels with the learner", "stays at")),
        "it travels with the learner",
        to=chosen,
    ),
    "small_parts": Key(
        yes_no(),
        "whether a piece is, or may be, a small part",
        AS_IS,
        Field("Is or may a piece be a small part?", "yes or no"),
        "not known",
    ),
    "dimensions_mm": Key(
        set_sizes(),
        "three sizes of the smallest piece",
        AS_IS,
        Field("Three sizes of the smallest piece, mm", "numbers", "Such as 35, 40, 80."),
        "not known",
    ),
    "min_age_months": Key(
        whole(0, 1200),
        "no younger learner is given it",
        AS_IS,
        Field("Not for children under, months", "number"),
        "0",
    ),
    "allergens": Key(
        words(),
        "what the set holds",
        names("allergen"),
        Field("Holds", "words", of="other_allergens", args=(tuple(sorted(ALLERGENS)),)),
        to=frozenset,
    ),
    "hazards": Key(
        words(),
        "what an adult must watch",
        names("hazard", *HAZARDS),
        Field("To watch", "words", of="other_hazards", args=(tuple(sorted(HAZARDS)),)),
        to=frozenset,
    ),
}


def _varied(what: str, section_: str, label: str, every: tuple[str, ...] = EVERY_ONE) -> Key:
    """The values that a target takes of one of the first three dimensions."""
    field = Field(label, "several", of=section_, args=every)
    return Key(
        ids_or_all(least=1),
        f"{what} to vary",
        ids(section_),
        field,
        "every one that is possible",
        lands=BY_HAND,
    )


STATES = (("", "mastered"), ("teaching", "teaching: not probed yet"), ("paused", "paused: not probed now"))
COVERS = (
    ("", "as the policy says"),
    ("each-value", "each adult, location and set once"),
    ("pairs", "every pair"),
    ("triples", "every triple"),
    ("all", "every combination"),
)
EXTRA_VALUES = list_of(text(), least=1, apart=True, expects="values, such as [by hand, by card]")
TARGET_KEYS: Shape = {
    "learner": Key(
        an_id(),
        "whose skill it is",
        ids("learners"),
        Field("Learner", "one of", of="learners"),
        required=True,
    ),
    "name": _name("shown on sheets", "target ", "Shown on sheets."),
    "correct_when": Key(
        text(2000),
        "what counts as correct",
        said("what counts as correct "),
        Field("Counts as correct", "long", "What is seen, how soon, with how much help."),
        "nothing, with a warning",
    ),
    "instruction": Key(
        text(2000),
        "what the adult says",
        said("instruction "),
        Field("What the adult says or does", "long"),
    ),
    "state": Key(
        choice([s.value for s in TargetState]),
        "only mastered targets are probed",
        AS_IS,
        Field("State", "choice", args=(STATES,)),
        "mastered",
        to=TargetState,
    ),
    "mastered_on": Key(
        parsed(hours.A_DATE, hours.day, hours.A_DAY),
        "maintenance counts from here",
        DATES,
        Field("Mastered on", "plain", "Such as 2026-10-19. Maintenance is counted from here."),
    ),
    "criterion": Key(
        pass_mark(),
        "how mastery was judged",
        AS_IS,
        Field("Mastery criterion that was met", "plain", "Such as 9/10."),
    ),
    "taught": Key(
        list_of(pattern(), one_alone=False),
        "combinations that teaching used",
        PATTERNS,
        Field("Taught with", "patterns", "A row for each combination of teaching.", "dimensions"),
    ),
    "adults": _varied("adults", "adults", "Adults to vary", ("everybody who can",)),
    "locations": _varied("locations", "locations", "Locations to vary"),
    "material_sets": _varied("sets", "material_sets", "Material sets to vary"),
    "also_vary": Key(
        table_of(EXTRA_VALUES, 'names with values, such as {wording: ["A", "B"]}', dimension_name),
        "more dimensions and their values",
        VARIED,
        Field("Also vary", "varied", "A name such as wording, and its values, one a line."),
        lands=BY_HAND,
    ),
    "cover": Key(
        COVER,
        "what must have been seen together: each value, each pair, …",
        AS_IS,
        Field("Must be seen together", "choice", args=(COVERS,)),
        "the policy's",
    ),
    "trials": Key(
        whole(1, 1000),
        "trials of one probe",
        AS_IS,
        Field("Trials of one probe", "number"),
        "the policy's",
    ),
    "pass_mark": Key(
        pass_mark(),
        "a probe that reaches it is met",
        AS_IS,
        Field("Met with", "plain", "Correct of trials, such as 4/5."),
        "the policy's",
    ),
    "minutes": Key(
        MINUTES, "length of one probe", AS_IS, Field("Minutes of one probe", "number"), "the policy's"
    ),
    "never": Key(
        list_of(pattern(), one_alone=False),
        "combinations that must not be planned",
        PATTERNS,
        Field("Never together", "patterns", "A row holds values that must not meet.", "dimensions"),
    ),
    "first": Key(
        list_of(wish(), one_alone=False),
        "wanted before the rest, by a date",
        PATTERNS,
        Field("Wanted before the rest", "patterns", "With the day by which.", "dimensions", (True,)),
        to=lambda given: tuple(Wish(wanted, by) for wanted, by in given),
    ),
    "generalised_when": Key(
        COUNTED,
        "how many values must have been met",
        COUNTS,
        Field("Generalised once met with so many", "counts", of="counted"),
        "the policy's",
    ),
    "maintenance_days": Key(
        LADDER,
        "days after mastered_on for maintenance probes",
        AS_IS,
        Field("Maintenance, days after mastery", "numbers", "Such as 7, 14, 28, 56."),
        "the policy's",
    ),
}
WITH_ROUTE = NoField("a journey is a row in the form of its case")
ROUTE: Shape = {
    "between": Key(
        list_of(an_id(), least=1, one_alone=False, expects="two locations"),
        "two locations",
        ids("locations"),
        WITH_ROUTE,
        required=True,
        lands=BY_HAND,
    ),
    "minutes": Key(
        whole(0, 1440),
        "minutes from one to the other, both ways",
        AS_IS,
        WITH_ROUTE,
        required=True,
        lands=BY_HAND,
    ),
}
TRAVEL: Shape = {
    "otherwise": Key(
        whole(0, 1440),
        "minutes between any two locations without a route",
        AS_IS,
        Field("Minutes between any two locations", "number"),
        "0",
    ),
    "routes": Key(
        list_of(shape("a route", ROUTE), one_alone=False),
        "journeys that take other times",
        GROUPS_MIXED,
        Field("Journeys that take other times", "routes", of="locations"),
        to=lambda given: dict(sorted(((frozenset(r["between"]), r["minutes"]) for r in given), key=_by_ids)),
    ),
}


def _by_ids(route: tuple[frozenset[str], int]) -> list[str]:
    return sorted(route[0])


SECTIONS: Mapping[str, Kind] = {
    "learners": section("a learner", LEARNER),
    "adults": section("an adult", ADULT_KEYS),
    "locations": section("a location", LOCATION_KEYS),
    "material_sets": section("a material set", MATERIAL_SET_KEYS),
    "targets": section("a target", TARGET_KEYS),
}


def _section(name: str, words_: str) -> Key:
    return Key(SECTIONS[name], words_, things(name), OWN_PAGE, required=True, lands=BY_HAND)


TRAVEL_KEYS = shape("travel_minutes", TRAVEL)
CHANGES = list_of(shape("a change", CHANGE), one_alone=False)
POLICY_KEYS = shape("a policy", POLICY)
NAMED_POLICY = Kind(
    "a name, a path or keys",
    lambda node, path, notes: node,
    either({"type": "string"}, POLICY_KEYS.schema),
    POLICY,
)

CASE: Shape = {
    "format": Key(
        FORMAT,
        "the version of this format",
        AS_IS,
        NoField("it is written once, when the case is made"),
        required=True,
        lands=NOT_THERE,
    ),
    "timezone": Key(
        zone_name(),
        "all times are of this zone",
        ZONE,
        Field("Time zone", "plain", "Such as Europe/Dublin."),
        required=True,
    ),
    "policy": Key(
        NAMED_POLICY,
        "the name of a policy, the path of one in the case folder, or its keys",
        NAMED_OR_KEYS,
        Field("Policy", hint="family, school-transfer, caseload, or a file of your own."),
        "the defaults",
        lands=BY_HAND,
    ),
    "learners": _section("learners", "the children"),
    "adults": _section("adults", "whoever runs a probe"),
    "locations": _section("locations", "where a probe is run"),
    "material_sets": _section("material_sets", "the objects a probe uses"),
    "targets": _section("targets", "the skills"),
    "travel_minutes": Key(TRAVEL_KEYS, "how long journeys take", GROUP, None, lands=BY_HAND),
    "changes": Key(
        CHANGES,
        "dated facts that came up since, one each",
        GROUP,
        TOLD,
        lands=BY_HAND,
    ),
    "other_allergens": Key(
        words(),
        "names of allergens beyond the known ones",
        names("allergen"),
        Field("More allergens", "names", "One a line, such as kiwi."),
        lands=NOT_THERE,
    ),
    "other_hazards": Key(
        words(),
        "names of hazards beyond the known ones",
        names("hazard"),
        Field("More hazards", "names", "One a line."),
        lands=NOT_THERE,
    ),
}

WHOLE = shape("the case", CASE)
