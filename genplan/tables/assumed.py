"""What a new case gets that no table says."""

from __future__ import annotations

from genplan.casefile.policies import policy_names
from genplan.casefile.tree import Leaf
from genplan.language import _, or_list
from genplan.start.time_zone import machine_zone
from genplan.tables.filled import Filled


def assumed_of(filled: Filled, timezone: str, policy: str) -> tuple[str, ...]:
    """Gives a new case what people do not write into spreadsheets, and says so: the time zone of this machine, a
    policy, and no objects where no sheet is about things."""
    said_of: list[str] = []
    if timezone:
        filled.values.setdefault(("timezone",), Leaf(timezone, False))
    elif ("timezone",) not in filled.values and (zone := machine_zone()):
        filled.values["timezone",] = Leaf(zone, False)
        said_of.append(
            _("The time zone is that of this computer, {zone}; --timezone says another.", zone=zone)
        )
    said_of += _assumed_policy(filled, policy)
    if filled.has_no_things:
        said_of.append(
            _(
                "No sheet is about things, so every skill is probed without objects; a sheet 'things' names some."
            )
        )
    return tuple(said_of)


def _assumed_policy(filled: Filled, policy: str) -> tuple[str, ...]:
    """A case that was written as tables is what it was: that it has no policy may be meant."""
    if {("policy",), ("case_id",)} & {path[:1] for path in filled.values}:
        return ()
    chosen = policy or ("caseload" if len(filled.names.called["learners"]) > 1 else "family")
    filled.values["policy",] = Leaf(chosen, True)
    others = or_list([name for name in policy_names() if name != chosen])
    told = _(
        "The policy, by which weeks are planned, is {policy}; --policy says another, such as {others}.",
        policy=chosen,
        others=others,
    )
    return () if policy else (told,)
