"""The keys at the top of a case."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from genplan.casefile.changes import CHANGE, DATED_BY, TOLD
from genplan.casefile.composite_types import list_of
from genplan.casefile.domain_types import CASE_ID, FORMAT, words, zone_name
from genplan.casefile.keys.people import ADULT, LEARNER
from genplan.casefile.keys.places import LOCATION, MATERIAL_SET, TRAVEL
from genplan.casefile.keys.policy import POLICY
from genplan.casefile.keys.shared import SHARED
from genplan.casefile.keys.targets import TARGET
from genplan.casefile.privacy import AS_IS, GROUP, OUT, ZONE, names
from genplan.casefile.privacy import POLICY as NAMED_OR_KEYS
from genplan.casefile.privacy import section as things
from genplan.casefile.record_types import BY_HAND, NOT_THERE, Field, Key, NoField, Shape, section, shape
from genplan.casefile.scalar_types import FieldType, choice, either
from genplan.language import CALLED, LANGUAGES, N_, Words

WORDS = tuple(w.value for w in Words)
LANGUAGE_CHOICES = tuple(("" if one == LANGUAGES[0] else one, CALLED[one]) for one in LANGUAGES)
WORDS_CHOICES = (
    ("", N_("as the policy says")),
    (Words.PLAIN.value, N_("plain: skill, check, visit, reached")),
    (Words.TRADE.value, N_("of the trade: target, probe, sitting, met")),
)
OWN_PAGE = NoField("each of its things has a form of its own")
POLICY_KEYS = shape("a policy", POLICY)
NAMED_POLICY = FieldType(
    "a name, a path or keys",
    lambda node, path, notes: node,
    either({"type": "string"}, POLICY_KEYS.schema),
    POLICY,
)
SECTIONS: Mapping[str, FieldType] = {
    "learners": section("a learner", LEARNER),
    "adults": section("an adult", ADULT),
    "locations": section("a location", LOCATION),
    "material_sets": section("a material set", MATERIAL_SET),
    "targets": section("a target", TARGET),
}


_CHANGE = shape("a change", CHANGE)
A_CHANGE = replace(_CHANGE, schema={**_CHANGE.schema, "anyOf": [{"required": [key]} for key in DATED_BY]})


def _section(name: str, words: str) -> Key:
    return Key(SECTIONS[name], words, copy=things(name), form=OWN_PAGE, required=True, lands=BY_HAND)


CASE: Shape = {
    "format": Key(
        FORMAT,
        "the version of this format",
        copy=AS_IS,
        form=NoField("it is written once, when the case is made"),
        required=True,
        lands=NOT_THERE,
    ),
    "case_id": Key(
        CASE_ID,
        "what tells this case from every other in calendars and on a server. `genplan new` and `genplan keep` write it"
        " once; it is never changed",
        copy=OUT,
        form=NoField("the program writes it once, and it stays"),
        default="none",
        lands=BY_HAND,
    ),
    "timezone": Key(
        zone_name(),
        "all times are of this zone",
        copy=ZONE,
        form=Field("Time zone", "plain", "Such as Europe/Dublin."),
        required=True,
    ),
    "policy": Key(
        NAMED_POLICY,
        "how to plan: family, school-transfer, caseload, the path of a file in the case folder, or keys of a policy",
        copy=NAMED_OR_KEYS,
        form=Field("Policy", hint="family, school-transfer, caseload, or a file of your own."),
        default="the defaults",
        lands=BY_HAND,
    ),
    "language": Key(
        choice(LANGUAGES),
        "the language of what is written for people: pages, messages, calendars, sheets",
        copy=AS_IS,
        form=Field(
            "Language", "choice", "Of pages, messages, calendars and sheets.", args=(LANGUAGE_CHOICES,)
        ),
        default=LANGUAGES[0],
    ),
    "words": Key(
        choice(WORDS),
        "plain: everyday words, such as skill, check, visit, reached; trade: those of the trade, such as target, probe,"
        " sitting, met",
        copy=AS_IS,
        form=Field("Words", "choice", "Everyday words, or those of the trade.", args=(WORDS_CHOICES,)),
        default="the policy's",
        lands=BY_HAND,
    ),
    "learners": _section("learners", "the children whose skills are checked"),
    "adults": _section("adults", "whoever runs a probe: a parent, a relative, a teacher, a therapist"),
    "locations": _section("locations", "where a probe is run"),
    "material_sets": _section("material_sets", "the objects that a probe uses"),
    "targets": _section("targets", "one skill of one learner, with what counts as correct"),
    **SHARED,
    "travel_minutes": Key(
        shape("travel_minutes", TRAVEL),
        "how long journeys take",
        copy=GROUP,
        form=None,
        default="0 everywhere",
        lands=BY_HAND,
    ),
    "changes": Key(
        list_of(A_CHANGE, one_alone=False),
        "dated facts that came up since, one each: somebody ill, a place shut, an hour more; and wishes for a week",
        copy=GROUP,
        form=TOLD,
        lands=BY_HAND,
    ),
    "other_allergens": Key(
        words(),
        "names of allergens beyond the known ones",
        copy=names("allergen"),
        form=Field("More allergens", "names", "One a line, such as kiwi."),
        lands=NOT_THERE,
    ),
    "other_hazards": Key(
        words(),
        "names of hazards beyond the known ones",
        copy=names("hazard"),
        form=Field("More hazards", "names", "One a line."),
        lands=NOT_THERE,
    ),
}

WHOLE = shape("the case", CASE)
