"""What a case says once for several things: texts of skills, defaults, names for several ids."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from genplan.casefile.composite_types import list_of, table_of
from genplan.casefile.diagnostics import InvalidValue
from genplan.casefile.keys.people import ADULT, LEARNER
from genplan.casefile.keys.places import LOCATION, MATERIAL_SET
from genplan.casefile.keys.targets import TARGET
from genplan.casefile.privacy import OUT
from genplan.casefile.record_types import BY_HAND, Key, NoField, Shape, keys_of, optional, section
from genplan.casefile.scalar_types import AN_ID, ID, ID_TEXT, FieldType, an_id, id_hint
from genplan.language import N_, _, said

WRITTEN_ONCE = NoField(N_("it is written in the file or a workbook; the forms show what comes from there"))

OF_ONE_ALONE = ("name", "alias", "born", "email", "busy", "address", "learner", "like")
"""What belongs to one thing and cannot be said for all."""


def _optional(keys: Shape, without: tuple[str, ...]) -> Shape:
    return {name: optional(key) for name, key in keys.items() if name not in without}


SKILL: Shape = _optional(TARGET, ("learner", "like"))
DEFAULTS: Mapping[str, Shape] = {
    "learners": _optional(LEARNER, OF_ONE_ALONE),
    "adults": _optional(ADULT, OF_ONE_ALONE),
    "locations": _optional(LOCATION, OF_ONE_ALONE),
    "material_sets": _optional(MATERIAL_SET, OF_ONE_ALONE),
    "targets": _optional(TARGET, OF_ONE_ALONE),
}
"""By section."""


def _defaults_of(name: str, keys: Shape) -> Key:
    kind = keys_of(lambda: _("defaults of {name}", name=name), keys)
    return Key(
        kind, lambda: _("for {name} that do not say", name=name), copy=OUT, form=WRITTEN_ONCE, lands=BY_HAND
    )


def _group_name(name: str) -> str:
    if name == "all" or not ID.fullmatch(name):
        raise InvalidValue(
            _("the name '{name}'", name=name),
            said(AN_ID),
            _("choose another name") if name == "all" else id_hint(name),
        )
    return name


def groups() -> FieldType:
    members = list_of(an_id(), least=1, apart=True, expects=N_("a list of ids, such as [mum, dad]"))
    table = table_of(members, N_("names with ids, such as {staff: [mum, dad]}"), _group_name)
    return replace(table, schema={**table.schema, "propertyNames": {"pattern": f"^{ID_TEXT}$"}})


SHARED: Shape = {
    "skills": Key(
        section(N_("a skill"), SKILL, listed=False),
        N_(
            "what targets have in common, by the name that they give under "
            "`like`; with the keys of a target but `learner`"
        ),
        copy=OUT,
        form=WRITTEN_ONCE,
        lands=BY_HAND,
    ),
    "defaults": Key(
        keys_of(N_("defaults"), {name: _defaults_of(name, keys) for name, keys in DEFAULTS.items()}),
        N_(
            "what holds for all learners, adults, locations, material_sets or targets that do not "
            "say otherwise, such as `{adults: {limits: {sittings_per_day: 2}}}`. A thing's own key "
            "goes before the default; of `limits` each of its keys by itself"
        ),
        copy=OUT,
        form=WRITTEN_ONCE,
        lands=BY_HAND,
    ),
    "groups": Key(
        groups(),
        N_(
            "names for several ids, such as `{staff: [mum, aide]}`; "
            "such a name may stand wherever several ids may"
        ),
        copy=OUT,
        form=WRITTEN_ONCE,
        lands=BY_HAND,
    ),
}
