"""The keys of each kind of thing, each once: reading, the built case, copies without names, forms, the reference's
tables (`key_tables`) and the JSON Schema (`schema`) come from here. What a row says is told in `record_types.Key`."""

from genplan.casefile.keys.people import ADULT, LEARNER
from genplan.casefile.keys.places import LOCATION, MATERIAL_SET, TRAVEL
from genplan.casefile.keys.policy import POLICY
from genplan.casefile.keys.shared import DEFAULTS, SKILL
from genplan.casefile.keys.targets import TARGET
from genplan.casefile.keys.whole import CASE, POLICY_KEYS, SECTIONS, WHOLE

__all__ = [
    "ADULT",
    "CASE",
    "DEFAULTS",
    "LEARNER",
    "LOCATION",
    "MATERIAL_SET",
    "POLICY",
    "POLICY_KEYS",
    "SECTIONS",
    "SKILL",
    "TARGET",
    "TRAVEL",
    "WHOLE",
]
