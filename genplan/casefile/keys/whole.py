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
OWN_PAGE = NoField(N_("each of its things has a form of its own"))
POLICY_KEYS = shape(N_("a policy"), POLICY)
NAMED_POLICY = FieldType(
    N_("a name, a path or keys"),
    lambda node, path, notes: node,
    either({"type": "string"}, POLICY_KEYS.schema),
    POLICY,
)
SECTIONS: Mapping[str, FieldType] = {
    "learners": section(N_("a learner"), LEARNER),
    "adults": section(N_("an adult"), ADULT),
    "locations": section(N_("a location"), LOCATION),
    "material_sets": section(N_("a material set"), MATERIAL_SET),
    "targets": section(N_("a target"), TARGET),
}


_CHANGE = shape(N_("a change"), CHANGE)
A_CHANGE = replace(_CHANGE, schema={**_CHANGE.schema, "anyOf": [{"required": [key]} for key in DATED_BY]})


def _section(name: str, words: str) -> Key:
    return Key(SECTIONS[name], words, copy=things(name), form=OWN_PAGE, required=True, lands=BY_HAND)


CASE: Shape = {
    "format": Key(
        FORMAT,
        N_("the version of this format"),
        copy=AS_IS,
        form=NoField(N_("it is written once, when the case is made")),
        required=True,
        lands=NOT_THERE,
    ),
    "case_id": Key(
        CASE_ID,
        N_(
            "what tells this case from every other in calendars and on a server. "
            "`genplan new` and `genplan keep` write it once; it is never changed"
        ),
        copy=OUT,
        form=NoField(N_("the program writes it once, and it stays")),
        default=N_("none"),
        lands=BY_HAND,
    ),
    "timezone": Key(
        zone_name(),
        N_("all times are of this zone"),
        copy=ZONE,
        form=Field(N_("Time zone"), "plain", N_("Such as Europe/Dublin.")),
        required=True,
    ),
    "policy": Key(
        NAMED_POLICY,
        N_(
            "how to plan: family, school-transfer, caseload, the path of "
            "a file in the case folder, or keys of a policy"
        ),
        copy=NAMED_OR_KEYS,
        form=Field(N_("Policy"), hint=N_("family, school-transfer, caseload, or a file of your own.")),
        default=N_("the defaults"),
        lands=BY_HAND,
    ),
    "language": Key(
        choice(LANGUAGES),
        N_("the language of what is written for people: pages, messages, calendars, sheets"),
        copy=AS_IS,
        form=Field(
            N_("Language"),
            "choice",
            N_("Of pages, messages, calendars and sheets."),
            args=(LANGUAGE_CHOICES,),
        ),
        default=LANGUAGES[0],
    ),
    "words": Key(
        choice(WORDS),
        N_(
            "plain: everyday words, such as skill, check, visit, reached; trade: those of the trade, such as target,"
            " probe, sitting, met"
        ),
        copy=AS_IS,
        form=Field(
            N_("Words"), "choice", N_("Everyday words, or those of the trade."), args=(WORDS_CHOICES,)
        ),
        default=N_("the policy's"),
        lands=BY_HAND,
    ),
    "learners": _section("learners", N_("the children whose skills are checked")),
    "adults": _section("adults", N_("whoever runs a probe: a parent, a relative, a teacher, a therapist")),
    "locations": _section("locations", N_("where a probe is run")),
    "material_sets": _section("material_sets", N_("the objects that a probe uses")),
    "targets": _section("targets", N_("one skill of one learner, with what counts as correct")),
    **SHARED,
    "travel_minutes": Key(
        shape(N_("travel_minutes"), TRAVEL),
        N_("how long journeys take"),
        copy=GROUP,
        form=None,
        default=N_("0 everywhere"),
        lands=BY_HAND,
    ),
    "changes": Key(
        list_of(A_CHANGE, one_alone=False),
        N_(
            "dated facts that came up since, one each: somebody ill, a "
            "place shut, an hour more; and wishes for a week"
        ),
        copy=GROUP,
        form=TOLD,
        lands=BY_HAND,
    ),
    "other_allergens": Key(
        words(),
        N_("names of allergens beyond the known ones"),
        copy=names("allergen"),
        form=Field(N_("More allergens"), "names", N_("One a line, such as kiwi.")),
        lands=NOT_THERE,
    ),
    "other_hazards": Key(
        words(),
        N_("names of hazards beyond the known ones"),
        copy=names("hazard"),
        form=Field(N_("More hazards"), "names", N_("One a line.")),
        lands=NOT_THERE,
    ),
}

WHOLE = shape(N_("the case"), CASE)
